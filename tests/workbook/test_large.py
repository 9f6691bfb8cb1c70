"""Large books, written in batches: the bytes are those of a book held whole."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.dishes import dish, line, small_kitchen
from tests.workbook.test_look import STYLE, png, style
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook import build, food_list, large
from workbookgen.workbook.build import Spares, build_workbook, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

FOODS = ("Kale, raw", "Water, tap", "Salt, table", "Olive oil")


@pytest.fixture(scope="module")
def small(kitchen: Kitchen) -> Kitchen:
    return small_kitchen(kitchen, *FOODS)


@pytest.fixture
def recipes(small: Kitchen) -> list[Recipe]:
    """Two recipes, one of them without a card, and a third that it uses as a food."""
    plain = dish(small, *(line(food) for food in FOODS)).recipe
    return [
        replace(plain, title="=Pot", statements=("low sodium",)),
        replace(plain, title="Stew", switches=("no card",), lines=(*plain.lines[:1], replace(plain.lines[0], food="Stock", amount=200.0, unit="g"))),
        replace(plain, title="Stock"),
    ]


@pytest.mark.parametrize("styled", [pytest.param(False, marks=pytest.mark.long), True])
def test_a_book_in_batches_has_the_bytes_of_one_held_whole(
    small: Kitchen, recipes: list[Recipe], styled: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a look of its own too: logo, sheets left out, long lists of foods."""
    monkeypatch.setattr(build, "MOST_SLOTS", 0)
    monkeypatch.setattr(large, "BATCH", 2)
    look = load_look()
    if styled:
        monkeypatch.setattr(food_list, "MOST_LISTED", 1)
        look = load_look(style(tmp_path, STYLE, logo_png=png(), hello_md=b"# Hello\nWelcome.\n", more_md=b"Ask first.\n"))
    spares = Spares(1, 0)
    built = build_workbook(small, constant_rows(), recipes, default_settings(), look, tmp_path / "batches.xlsx", spares=spares)
    book, _ = lay_out(small, constant_rows(), recipes, default_settings(), look, spares)
    assert fill(book) == []
    write_book(book, tmp_path / "whole.xlsx", look)
    assert (tmp_path / "batches.xlsx").read_bytes() == (tmp_path / "whole.xlsx").read_bytes()
    assert built.disagreements == ()
    assert (built.recipes, built.formulas) == (len(recipes), book.formula_count())


def test_batches_that_read_what_depends_on_them_are_refused(
    small: Kitchen, recipes: list[Recipe], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A recipe sheet made to read a count on Checks would get a stored value that is not final."""
    monkeypatch.setattr(build, "MOST_SLOTS", 0)

    def reading(*given: Any) -> RecipeSheet:
        made = put(*given)
        made.sheet.formula(900, 0, "='Checks'!$C$4", 0.0)
        return made

    put = large.put_recipe
    monkeypatch.setattr(large, "put_recipe", reading)
    with pytest.raises(ValueError, match="read Checks, which depends on them"):
        build_workbook(small, constant_rows(), recipes[:1], default_settings(), load_look(), tmp_path / "a.xlsx", spares=Spares(0, 0))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.long
def test_a_book_above_sixty_recipes_is_written_in_batches(small: Kitchen, recipes: list[Recipe], tmp_path: Path) -> None:
    many = [replace(recipes[0], title=f"Recipe {number}") for number in range(build.MOST_SLOTS + 1)]
    built = build_workbook(small, constant_rows(), many, default_settings(), load_look(), tmp_path / "a.xlsx", spares=Spares(0, 0))
    assert built.disagreements == ()
    assert built.recipes == build.MOST_SLOTS + 1
    assert built.formulas > 10 * built.book.formula_count()
