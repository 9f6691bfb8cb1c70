"""One small book for the tests of the sheets Person and Day, and a live copy in which one types."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import formualizer

from tests.dishes import dish, line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, load_kitchen
from workbookgen.workbook.book import Book, Cell, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import Disagreement, _load_values, _runs, _speller, fill

POT = (line("Black beans, boiled", 300, treatment="reheated"), line("Kale, raw", 200), line("Salt, table", 3))
SLAW = (line("Cabbage, green, raw", 300), line("Walnuts, english, raw", 40), line("Olive oil", 20))
FOODS = ("Apples, with skin, raw", "Whole wheat bread", "Kale, raw", "Olive oil", "Beef liver, raw")
LIVE = ("Person", "Day")
STOCK = "Green stock"


@cache
def small_book() -> tuple[Book, tuple[Analysis, ...], Kitchen, tuple[Disagreement, ...]]:
    """Two recipes, a stock that one of them uses, a spare sheet and a spare dish, laid out and filled."""
    whole = load_kitchen()
    small = small_kitchen(whole, *(x.food for x in (*POT, *SLAW)), *FOODS, "Water, tap")
    recipes = [
        Recipe(title=STOCK, servings=2.0, lines=(line("Kale, raw", 50), line("Water, tap", 300, water="stays"))),
        Recipe(title="Bean and greens pot with barley", servings=3.0, lines=(*POT, line(STOCK, 100))),
        replace(dish(small, *SLAW, servings=2.0).recipe, title="Fruit and walnut slaw", plate_model="practice"),
    ]
    book, analyses = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), Spares(1, 1))
    listed = [*(a for a in analyses if a.recipe.title != STOCK), *(a for a in analyses if a.recipe.title == STOCK)]
    return book, tuple(listed), small, tuple(fill(book))  # dishes stand last in lists of recipes


class Typed:
    """The sheets Person and Day alive, all others at their stored values."""

    def __init__(self) -> None:
        book, _, _, _ = small_book()
        self.engine = formualizer.Workbook()
        self.engine.set_changelog_enabled(False)
        spell = _speller(book.names)
        for sheet in book.sheets:
            self.engine.add_sheet(sheet.name)
        for sheet in book.sheets:
            _load_values(self.engine, sheet if sheet.name in LIVE else frozen(sheet))
        for sheet in book.sheets:
            if sheet.name in LIVE:
                for row, col, formulas in _runs(sheet, formulas=True):
                    self.engine.set_formulas_batch(sheet.name, row + 1, col + 1, [[spell(f) for f in formulas]])
        self.engine.evaluate_all()

    def type(self, sheet: str, entries: Mapping[tuple[int, int], object]) -> None:
        """Type into cells (zero-based row and column) and work everything out anew."""
        for (row, col), value in entries.items():
            self.engine.set_value(sheet, row + 1, col + 1, value)
        self.engine.evaluate_all()

    def at(self, sheet: str, row: int, col: int) -> Any:
        """What a cell shows; an empty one shows nothing."""
        value = self.engine.get_value(sheet, row + 1, col + 1)
        return "" if value is None else value


def frozen(sheet: Sheet) -> Sheet:
    """The sheet with values instead of formulas."""
    return replace(sheet, cells={at: Cell(c.value, c.style) for at, c in sheet.cells.items()})


@cache
def typed() -> Typed:
    return Typed()


def sheet_of(name: str) -> Sheet:
    return next(s for s in small_book()[0].sheets if s.name == name)
