"""The sheet Adjust follows the chosen recipe and the change that is typed, and agrees with the core."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import formualizer
import pytest

from tests.dishes import dish, line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Target
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import plate_balance
from workbookgen.nutrition.sensitivity import line_moves
from workbookgen.session import default_settings
from workbookgen.workbook.adjust_sheet import FIRST_TARGET, FOOD, NAME_ROW, UNIT, VERDICT_ROW, Plan
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_picker import INPUT_ROW, MESSAGE_ROW
from workbookgen.workbook.stored import _load_values, _runs, _speller, fill

BEANS = (line("Black beans, boiled", 300, treatment="reheated"), line("Kale, raw", 200), line("Salt, table", 3), line("Feta", 30, include=False))
SLAW = (line("Cabbage, green, raw", 300), line("Walnuts, english, raw", 40), line("Olive oil", 20))


@pytest.fixture(scope="module")
def laid_out(kitchen: Kitchen) -> tuple[Book, list[Analysis], Kitchen]:
    small = small_kitchen(kitchen, *(x.food for x in (*BEANS, *SLAW)), "Water, tap")
    targets = (Target("FE", ">=", 20, "%DV"), Target("NA", "<=", 100, "amount", "mg"), Target("PHYTAC", "<=", 1, "amount", "mg"))
    first = dish(small, *BEANS, servings=3.0, targets=targets)
    second = dish(small, *SLAW, servings=2.0, targets=(Target("VITC", ">=", 90, "%DV"),))
    recipes = [replace(first.recipe, title="Bean pot"), replace(second.recipe, title="Slaw")]
    book, analyses = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), Spares(1, 0))
    assert fill(book) == []
    return book, analyses, small


def cell(sheet: Sheet, row: int, col: int) -> Any:
    return sheet.cells[row, col].value


def test_stored_values_are_those_of_the_core(laid_out: tuple[Book, list[Analysis], Kitchen]) -> None:
    book, analyses, kitchen = laid_out
    sheet = next(s for s in book.sheets if s.name == "Adjust")
    plan = Plan(30)
    told = line_moves(kitchen, analyses[0], plate_balance(kitchen, analyses[0]), 10)
    assert cell(sheet, plan.first(0) + 1, FIRST_TARGET) == told[1].moves[0]
    assert cell(sheet, plan.first(0), FIRST_TARGET + 2) == "?"
    assert cell(sheet, plan.first(0) + 3, FIRST_TARGET) == ""  # not counted
    assert cell(sheet, plan.first(1) + 2, FIRST_TARGET + 1) == told[2].alone[1]
    assert cell(sheet, plan.first(2) + 1, FIRST_TARGET + 1) == told[1].more[0]
    assert cell(sheet, plan.first(3) + 1, FIRST_TARGET) == -told[1].weight
    assert cell(sheet, NAME_ROW, FIRST_TARGET + 3) == "-"
    assert cell(sheet, VERDICT_ROW, FIRST_TARGET + 1) == "not met"


class Live:
    """The book in another engine, where one types into the sheet Adjust and reads it again."""

    def __init__(self, book: Book) -> None:
        self.engine = formualizer.Workbook()
        self.engine.set_changelog_enabled(False)
        spell = _speller(book.names)
        for sheet in book.sheets:
            self.engine.add_sheet(sheet.name)
        for sheet in book.sheets:
            _load_values(self.engine, sheet)
        for sheet in book.sheets:
            for row, col, formulas in _runs(sheet, formulas=True):
                self.engine.set_formulas_batch(sheet.name, row + 1, col + 1, [[spell(f) for f in formulas]])
        self.engine.evaluate_all()

    def __call__(self, recipe: object, change: object) -> Live:
        self.engine.set_value("Adjust", INPUT_ROW + 1, FOOD + 1, recipe)
        self.engine.set_value("Adjust", INPUT_ROW + 1, UNIT + 1, change)
        self.engine.evaluate_all()
        return self

    def at(self, row: int, col: int) -> Any:
        return self.engine.evaluate_cell("Adjust", row + 1, col + 1)


@pytest.fixture(scope="module")
def live(laid_out: tuple[Book, list[Analysis], Kitchen]) -> Live:
    return Live(laid_out[0])


def test_another_recipe_and_another_change(laid_out: tuple[Book, list[Analysis], Kitchen], live: Live) -> None:
    _, analyses, kitchen = laid_out
    plan, at = Plan(30), live("slaw", 25).at
    told = line_moves(kitchen, analyses[1], plate_balance(kitchen, analyses[1]), 25)
    assert at(plan.first(0), FOOD) == "Cabbage, green, raw"
    assert at(plan.first(0), FIRST_TARGET) == pytest.approx(told[0].moves[0])
    assert at(plan.first(2) + 1, FIRST_TARGET + 3) == pytest.approx(told[1].more[2])
    assert at(plan.first(3) + 1, FIRST_TARGET + 1) == pytest.approx(told[1].less[0])
    assert at(plan.first(0) + 5, FIRST_TARGET) == ""


@pytest.mark.parametrize("typed", ["lots", -5, 0, 1000, True])
def test_nonsense_in_the_change_is_named_and_ten_is_taken(
    laid_out: tuple[Book, list[Analysis], Kitchen], live: Live, typed: object
) -> None:
    _, analyses, kitchen = laid_out
    at = live("Bean pot", typed).at
    assert "10" in at(MESSAGE_ROW, UNIT)
    told = line_moves(kitchen, analyses[0], plate_balance(kitchen, analyses[0]), 10)
    assert at(Plan(30).first(0) + 1, FIRST_TARGET) == pytest.approx(told[1].moves[0])
