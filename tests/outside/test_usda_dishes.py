"""Both mashed-potato dishes through the real workbook path, against USDA's own rows (Release 28)."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from tests.outside.usda_dishes import Compared, compare, edge_recipe
from workbookgen.catalogue.constants import constant_rows
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, load_kitchen
from workbookgen.workbook.build import Spares, build_workbook
from workbookgen.workbook.look import load_look

DISHES = ("11657", "11934")
LEAST_SHARE = 0.80


@pytest.fixture(scope="module")
def published() -> Kitchen:
    return load_kitchen("usda")


@pytest.fixture(scope="module")
def results(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, float]]:
    """Per-100 g values that the written workbook stores on its sheet Results: {title: {heading: value}}."""
    path: Path = tmp_path_factory.mktemp("dishes") / "dishes.xlsx"
    recipes = [edge_recipe(kitchen, dish, sign) for dish in DISHES for sign in (-1, 1)]
    built = build_workbook(kitchen, constant_rows(), recipes, default_settings(), load_look(), path, spares=Spares(0, 0))
    assert built.disagreements == ()
    rows = list(openpyxl.load_workbook(path, data_only=True, read_only=True)["Results"].iter_rows(values_only=True))
    head = next(row for row in rows if row and "Recipe" in row)
    at = head.index("Recipe")
    return {str(row[at]): dict(zip(head, row, strict=False)) for row in rows[rows.index(head) + 1 :] if row[at]}


@pytest.mark.parametrize("dish", DISHES)
def test_published_values_lie_inside_what_the_per_cents_allow(
    kitchen: Kitchen, published: Kitchen, results: dict[str, dict[str, float]], dish: str
) -> None:
    found = []
    for c in compare(kitchen, published, dish):
        nutrient = kitchen.nutrient_by_tag[c.tag]
        heading = f"{nutrient.name}, {nutrient.unit} per 100 g"
        low, high = (results[f"Dish {dish} {edge}"][heading] for edge in ("low", "high"))
        found.append(Compared(c.tag, c.published, low, high))
    assert len(found) > 50
    assert sum(c.inside for c in found) / len(found) >= LEAST_SHARE
