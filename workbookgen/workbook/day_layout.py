"""Where everything stands on the sheet Day."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import a1, block
from workbookgen.workbook.recipe_layout import strip_lengths
from workbookgen.workbook.tables_sheet import PLATE_GROUPS

SHEET = "Day"
NO, MEAL, SERVINGS, RECIPE, AMOUNT, UNIT, FOOD, WEIGHT, MESSAGE = range(9)
LAST = MESSAGE
SIDE, SIDE_LAST = 10, 14  # meals, plate and chart
ROWS = 20
NOTE_ROWS = (3, 4)
AGAINST_LABEL, AGAINST, AGAINST_HINT = 5, 6, 7
HEAD, FIRST = 9, 10
EDGE = FIRST + ROWS
LAST_ROW = EDGE - 1
MEALS_HEAD, MEALS_FIRST = HEAD, FIRST
PLATE_HEAD = MEALS_FIRST + 9
PLATE_FIRST = PLATE_HEAD + 1
TITLE = EDGE + 2
TABLE_HEAD, TABLE_FIRST = TITLE + 1, TITLE + 2
#: Nutrients that only upper levels count, beside those of the day.
ONLY_UPPER = ("RETOL", "FOLAC")
#: Nutrients whose reading is kept for every row.
BY_MEAL = ("ENERC_KCAL", "NA", "FE")
AGAINST_CHOICES = ("the person of sheet Person", "label values chosen on Start")
READS = ("r_meal", "r_recipe", "r_serv", "r_food", "r_amount", "r_unit")
WORK = ("row", "m1", "mn", "oc", "nu", "uk", "gpu", "dish", "problem", "ok", "slot", "served", "meal", "fgroup", "fgrams")
HEADS = {
    "r_meal": "Meal no.", "r_recipe": "Recipe", "r_serv": "Servings", "r_food": "Food", "r_amount": "Amount", "r_unit": "Unit",
    "row": "Row in Foods", "m1": "First measure", "mn": "Measures", "oc": "Own measures", "nu": "Units", "uk": "Unit's place",
    "gpu": "Grams per unit", "dish": "A dish (1 = yes)", "problem": "Problem", "ok": "1 recipe, 2 food", "slot": "Recipe no.",
    "served": "Servings counted", "meal": "Meal counted", "fgroup": "Plate group of a food", "fgrams": "Food, g",
}  # fmt: skip


@dataclass
class DayLayout:
    """Working columns by key."""

    tags: tuple[str, ...]
    slots: int
    units: int
    col: dict[str, int]

    def cell(self, key: str, row: int) -> str:
        """A row's cell with its column fixed."""
        return a1(row, self.col[key], fix_col=True)

    def column(self, key: str) -> str:
        """All rows of a working column."""
        return block(FIRST, self.col[key], LAST_ROW, self.col[key])

    def slot_column(self, key: str) -> str:
        """A working column with one row per recipe of the book."""
        return block(FIRST, self.col[key], FIRST + self.slots - 1, self.col[key])

    def table(self, key: str, k: int) -> str:
        """A working cell of nutrient ``k`` (from 0) of the table."""
        return a1(TABLE_FIRST + k, self.col[key], True, True)


def day_layout(kitchen: Kitchen, slots: int) -> DayLayout:
    """Layout for a book with ``slots`` recipe sheets."""
    tags = (*(n.tag for n in kitchen.person.nutrients), *ONLY_UPPER)
    units = strip_lengths(kitchen)[0]
    keys = [*READS, *WORK, *(f"f_{tag}" for tag in BY_MEAL), *(f"n_{tag}" for tag in tags), *(f"u_{k}" for k in range(1, units + 1)),
            "used", *(f"g_{g}" for g in range(1, PLATE_GROUPS + 1)), "side_1", "side_2", "side_3", "least", "most", "bar", "pos", "kind"]  # fmt: skip
    return DayLayout(tags, slots, units, {key: SIDE_LAST + 2 + i for i, key in enumerate(keys)})


def guarded(col: int) -> str:
    """The inputs of a column with the locked cells above and below."""
    return block(HEAD, col, EDGE, col)
