"""A small book with a recipe, its variant and another dish, also as a live copy in which one types and reads."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import formualizer
import pytest

from tests.dishes import dish, line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Change, Target, Variant
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import _load_values, _runs, _speller

BEANS = (line("Black beans, boiled", 300, treatment="reheated"), line("Kale, raw", 200), line("Salt, table", 3), line("Feta", 30))
SLAW = (line("Cabbage, green, raw", 300), line("Walnuts, english, raw", 40), line("Olive oil", 20))
MILD = Variant("mild", (Change("leave out", "Salt, table"), Change("replace", "Feta", "Walnuts, english, raw"),
                        Change("add", "Olive oil", amount=1.0, unit="tbsp")))  # fmt: skip
TITLES = ("Bean pot", "Bean pot: mild", "Slaw")


@cache
def laid_out(kitchen: Kitchen) -> tuple[Book, list[Analysis], Kitchen]:
    """Book, analyses in the order of Results and the small kitchen behind them; plumbing has no stored values."""
    small = small_kitchen(kitchen, *(x.food for x in (*BEANS, *SLAW)), "Water, tap")
    first = dish(small, *BEANS, servings=3.0, targets=(Target("FE", ">=", 20, "%DV"),))
    second = dish(small, *SLAW, servings=2.0)
    recipes = [replace(first.recipe, title="Bean pot", variants=(MILD,)), replace(second.recipe, title="Slaw")]
    book, analyses = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), Spares(1, 0))
    return book, analyses, small


def sheet_of(book: Book, name: str) -> Sheet:
    return next(s for s in book.sheets if s.name == name)


class Live:
    """The book in another engine."""

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

    def type(self, sheet: str, row: int, col: int, value: object) -> None:
        """Type into a zero-based cell; `work_out` follows."""
        self.engine.set_value(sheet, row + 1, col + 1, value)

    def work_out(self) -> None:
        self.engine.evaluate_all()

    def at(self, sheet: str, row: int, col: int) -> Any:
        found = self.engine.get_value(sheet, row + 1, col + 1)
        return "" if found is None else found


def disagreements(kitchen: Kitchen, name: str) -> list[tuple[int, int, Any, Any]]:
    """Cells of a sheet whose figure of the core differs from the engine's."""
    book, engine = laid_out(kitchen)[0], live(kitchen)
    found = []
    for (row, col), cell in sheet_of(book, name).cells.items():
        told = engine.at(name, row, col) if cell.from_core else None
        if cell.from_core and told != (cell.value if isinstance(cell.value, str) else pytest.approx(cell.value, rel=2e-9, abs=2e-9)):
            found.append((row, col, cell.value, told))
    return found


@cache
def live(kitchen: Kitchen) -> Live:
    return Live(laid_out(kitchen)[0])
