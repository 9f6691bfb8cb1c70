"""Lists of foods: a plain range, or in a large table those that start as typed."""

from __future__ import annotations

import re
from itertools import groupby

import formualizer
import pytest

from workbookgen.catalogue.foods import load_foods
from workbookgen.nutrition.kitchen import by_name
from workbookgen.workbook.book import Book
from workbookgen.workbook.food_list import ALL_FOODS, MESSAGE, MOST_LISTED, narrow_food_lists, narrowed

LONGEST = 255  # characters of a validation formula or message


def book_with_a_list() -> Book:
    book = Book()
    sheet = book.add("Recipe")
    sheet.choose_from(11, 1, 40, 1, ALL_FOODS, "Food", "Choose from the list.")
    sheet.choose_from(11, 2, 40, 2, "=list_yes", "Counted", "yes or no")
    return book


def test_a_table_of_2000_foods_keeps_the_plain_range() -> None:
    book = book_with_a_list()
    narrow_food_lists(book, MOST_LISTED)
    assert [v[4]["source"] for v in book.sheets[0].validations] == [ALL_FOODS, "=list_yes"]


def test_a_larger_table_narrows_the_list_and_says_how() -> None:
    book = book_with_a_list()
    narrow_food_lists(book, MOST_LISTED + 1)
    food, other = (v[4] for v in book.sheets[0].validations)
    assert food["source"] == narrowed("B12")
    assert food["input_message"] == MESSAGE
    assert food["ignore_blank"] is False
    assert other["source"] == "=list_yes"


def test_formula_and_message_fit_a_validation() -> None:
    assert len(narrowed("AB1000")) <= LONGEST
    assert len(MESSAGE) <= LONGEST


def test_names_of_the_national_table_that_start_alike_stand_together() -> None:
    names = [food.name.lower() for food in by_name(load_foods("usda")).foods]
    for length in (1, 3, 6, 12, 25):
        starts = [start for start, _ in groupby(name[:length] for name in names)]
        assert len(starts) == len(set(starts)), length


@pytest.mark.parametrize("typed", ["kale", "KALE, r", "beef, ", "oil", "zzz", ""])
def test_the_list_holds_what_starts_as_typed_or_everything(typed: str) -> None:
    """First and last row as the validation works them out, by an independent engine."""
    names = [food.name for food in by_name(load_foods("usda")).foods]
    engine = formualizer.Workbook()
    engine.add_sheet("S")
    engine.set_values_batch("S", 1, 1, [[name] for name in names])
    engine.set_value("S", 1, 3, typed)
    first, last = re.fullmatch(r"=INDEX\(food_name,(.*)\):INDEX\(food_name,(.*)\)", narrowed("C1")).groups()  # type: ignore[union-attr]
    for row, formula in ((2, first), (3, last)):
        engine.set_formula("S", row, 3, "=" + formula.replace("food_name", f"$A$1:$A${len(names)}"))
    from_row, to_row = (int(engine.evaluate_cell("S", row, 3)) for row in (2, 3))
    fitting = [name for name in names if name.lower().startswith(typed.lower())]
    assert names[from_row - 1 : to_row] == (fitting or names)
