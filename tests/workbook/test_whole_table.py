"""A book on a table too large for a plain list: it builds, verifies, and its food list narrows.

The whole table at full size is measured by ``python -m tests.whole_table``.
"""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from tests.workbook.conftest import build
from workbookgen.catalogue.paths import data_path
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import load_checked, load_kitchen
from workbookgen.verify import run
from workbookgen.workbook.food_list import MOST_LISTED

RECIPE = data_path("demo", "fruit-walnut-slaw.toml")
EVERY = 4


@pytest.fixture(scope="module")
def large() -> Kitchen:
    """Every fourth food of the whole table, and those of the recipe."""
    whole = load_kitchen("usda")
    used = {line.food for recipe in load_checked(whole, [RECIPE]) for line in recipe.lines}
    foods = tuple(f for i, f in enumerate(whole.table.foods) if i % EVERY == 0 or f.name in used)
    ids = {food.id for food in foods}
    foods = tuple(f if f.counterpart_id in ids else replace(f, counterpart_id="") for f in foods)
    measures = tuple(m for m in whole.table.measures if m.food_id in ids)
    return replace(whole, table=replace(whole.table, foods=foods, measures=measures))


@pytest.fixture(scope="module")
def path(large: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One demo recipe, without spare sheets."""
    assert len(large.table.foods) > MOST_LISTED
    to = tmp_path_factory.mktemp("large") / "large.xlsx"
    assert not build(large, load_checked(large, [RECIPE]), to).disagreements
    return to


def test_a_book_on_a_large_table_verifies(path: Path) -> None:
    code, text = run(path, "formualizer")
    assert code == 0, text


def test_its_food_list_shows_what_starts_as_typed(path: Path) -> None:
    with zipfile.ZipFile(path) as archive:
        sheets = [archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/worksheets/sheet")]
    narrowed = [text for text in sheets if 'MATCH(C12&amp;"*",food_name,0)' in text]
    assert narrowed
    assert not any("<formula1>food_name</formula1>" in text for text in sheets)
