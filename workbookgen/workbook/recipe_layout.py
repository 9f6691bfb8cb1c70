"""Where everything stands on a recipe sheet: columns by key, rows by block."""

from __future__ import annotations

from dataclasses import dataclass, field

from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.amounts import units_offered
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import a1, block
from workbookgen.workbook.handout_layout import HANDOUT_SECTIONS, MARK_COLUMNS, section_rows
from workbookgen.workbook.review_layout import REVIEW_COLUMNS, REVIEW_SECTIONS, STATE_COLUMNS
from workbookgen.workbook.science_layout import SCIENCE_COLUMNS, SCIENCE_SECTIONS
from workbookgen.workbook.statements_layout import STATEMENT_COLUMNS, STATEMENT_SECTIONS, statement_rows
from workbookgen.workbook.tables_sheet import PLATE_GROUPS

MIN_LINES = 30
SPARE_LINES = 4
TARGETS = 8
METHOD_STEPS = 14
OWN_MEASURES_PER_FOOD = 4
TOP = 3

INPUT_LABEL_ROW, INPUT_ROW, INPUT_HINT_ROW = 2, 3, 4
TILE_HEAD_ROW, TILE_ROW, TILE_FOOT_ROW = 5, 6, 7
ATTENTION_ROW = 8
HEAD_ROW = 10
FIRST_LINE = 11

#: key, heading, width, style of the cells; the front is what a cook reads, the rest is working.
FRONT = (
    ("no", "No.", 4, "calc small centre"),
    ("count", "Counted", 8, "input centre"),
    ("food", "Food", 38, "input"),
    ("amount", "Amount", 9, "input amount"),
    ("unit", "Unit", 20, "input"),
    ("basis", "Bought as", 12, "input small"),
    ("treat", "Treatment", 24, "input small"),
    ("share", "Eaten, %", 8, "input n0"),
    ("water", "Liquid", 10, "input small"),
    ("grams", "Edible weight, g", 10, "calc z1"),
    ("dish", "In the dish, g", 12, "calc z1"),
    ("message", "What to mend", 44, "message"),
)
MORE_INPUTS = (
    ("role", "Counts as", 14, "input small"),
    ("mark", "Mark", 10, "input small"),
    ("heading", "Heading above this line", 22, "input small"),
    ("note", "Note", 30, "input small"),
)
AS_READ = (
    ("r_food", "Food", 24), ("r_amount", "Amount", 9), ("r_unit", "Unit", 12), ("r_count", "Counted", 8),
    ("r_basis", "Bought as", 11), ("r_treat", "Treatment", 16), ("r_share", "Eaten, %", 8),
    ("r_water", "Liquid", 9), ("r_role", "Counts as", 11), ("r_mark", "Mark", 9),
)
WORK = (
    ("row", "Row in Foods", 8, "n0"), ("m1", "First measure", 8, "n0"), ("mn", "Measures", 8, "n0"), ("oc", "Own measures", 8, "n0"),
    ("nu", "Units", 8, "n0"), ("uk", "Unit's place", 8, "n0"), ("gpu", "Grams per unit", 9, "n2"),
    ("purchased", "Weight as measured, g", 9, "n1"), ("o1", "First treatment", 8, "n0"),
    ("on", "Treatments", 8, "n0"), ("tk", "Treatment's place", 8, "n0"), ("krow", "Retention row", 8, "n0"),
    ("yld", "Cooked g per raw g", 8, "n2"), ("srow", "Row of nutrients", 8, "n0"),
    ("sgrams", "Weight for nutrients, g", 9, "n1"), ("dry", "Weight without water, g", 9, "n1"),
    ("erole", "Counts as", 12, ""), ("pgroup", "Plate group", 8, "n0"), ("bad", "To mend (1 = yes)", 8, "n0"),
    ("most", "Drained fat kept (1 = yes)", 8, "n0"), ("first", "First line of this food", 8, "n0"),
    ("problem", "Problem", 24, ""),
)

#: Working columns of single topics (key, heading, width, number style), laid out by their own modules.
EXTRA_COLUMNS: tuple[tuple[str, str, float, str], ...] = (
    *SCIENCE_COLUMNS, *MARK_COLUMNS, *STATEMENT_COLUMNS, *STATE_COLUMNS, *REVIEW_COLUMNS)
#: Blocks of the front below the nutrient tables (key, rows with title and heading, starts a new page).
EXTRA_SECTIONS: tuple[tuple[str, int, bool], ...] = (
    *SCIENCE_SECTIONS, *HANDOUT_SECTIONS,
    ("panel", 21, True), ("hold_back", 19, False), ("about", 12, True), *REVIEW_SECTIONS,
    *STATEMENT_SECTIONS,
)
CHART_ROWS = 37
DV_CHART_AT = 17  # rows below the chart of the plate
PLATE_FACTS = 4


@dataclass
class RecipeLayout:
    """Columns and rows of one recipe sheet (zero-based)."""

    nutrients: tuple[Nutrient, ...]
    main: tuple[Nutrient, ...]
    lines: int
    units: int
    treatments: int
    dishes: int = 0
    is_dish: bool = False
    section_rows: dict[str, int] = field(default_factory=dict)
    col: dict[str, int] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        at = 0
        for key, _, width, _ in FRONT:
            at = self._take(key, at, width)
        self.front_last = at - 1
        at = self._take("gap1", at, 2)
        for key, _, width, _ in MORE_INPUTS:
            at = self._take(key, at, width)
        at = self._take("gap2", at, 2)
        for key, _, width in AS_READ:
            at = self._take(key, at, width)
        for key, _, width, _ in WORK:
            at = self._take(key, at, width)
        for key, _, wide, _ in EXTRA_COLUMNS:
            at = self._take(key, at, wide)
        at = self._take("gap3", at, 2)
        for n in self.nutrients:
            at = self._take("n_" + n.tag, at, 10)
        at = self._take("gap4", at, 2)
        for n in self.main:
            at = self._take("s_" + n.tag, at, 9)
        at = self._take("gap5", at, 2)
        for k in range(1, self.units + 1):
            at = self._take(f"u_{k}", at, 12)
        for k in range(1, self.treatments + 1):
            at = self._take(f"t_{k}", at, 14)
        self.last_col = at - 1
        self.last_line = FIRST_LINE + self.lines - 1
        self.edge = self.last_line + 1
        # beneath the working columns
        self.total, self.unknown, self.cover = self.edge + 1, self.edge + 2, self.edge + 3
        self.top_value, self.top_line = self.edge + 5, self.edge + 5 + TOP
        self.top_words = self.top_line + TOP
        self.dish_first = self.top_words + 2  # weight of each usable dish in this recipe
        # beneath the front
        self.plate_title = self.edge + 2
        self.plate_by = self.plate_title + 1  # what the groups are compared by
        self.plate_head = self.plate_by + 1
        self.plate_first = self.plate_head + 1
        self.plate_last = self.plate_first + PLATE_GROUPS - 1
        self.plate_sum = self.plate_last + 1
        self.plate_out = self.plate_sum + 1
        self.mend_head = self.plate_out + 1  # one ingredient per group to add or take
        self.mend_first = self.mend_head + 1
        self.mend_last = self.mend_first + PLATE_GROUPS - 1
        self.mend_edge = self.mend_last + 1
        self.plate_fact = self.mend_edge + 1
        self.target_title = self.plate_fact + PLATE_FACTS + 1
        self.target_head = self.target_title + 1
        self.target_first = self.target_head + 1
        self.target_last = self.target_first + TARGETS - 1
        self.target_edge = self.target_last + 1
        self.check_title = self.target_edge + 1
        self.check_first = self.check_title + 1
        self.check_last = self.check_first + 5
        self.chart = self.check_last + 2
        self.main_title = self.chart + CHART_ROWS + 1
        self.main_head = self.main_title + 1
        self.main_first = self.main_head + 1
        self.main_last = self.main_first + len(self.main) - 1
        self.more_title = self.main_last + 2
        self.more_head = self.more_title + 1
        self.more_first = self.more_head + 1
        self.more_last = self.more_first + len(self.nutrients) - len(self.main) - 1
        self.pages = [self.plate_title, self.check_title, self.main_title, self.more_title]
        at = self.more_last + 2
        self.section: dict[str, int] = {}
        for key, fixed_rows, new_page in EXTRA_SECTIONS:
            rows = self.section_rows.get(key, fixed_rows)
            if not rows:
                continue
            self.section[key] = at
            if new_page:
                self.pages.append(at)
            at += rows + 1
        self.method_title = at
        self.pages.append(at)
        self.method_head = self.method_title + 1
        self.method_first = self.method_head + 1
        self.method_last = self.method_first + METHOD_STEPS - 1
        self.method_edge = self.method_last + 1
        self.last_row = self.method_edge

    def _take(self, key: str, at: int, width: float) -> int:
        self.col[key] = at
        self.widths[at] = width
        return at + 1

    def cell(self, key: str, row: int) -> str:
        """A line's cell with its column fixed, such as ``$C12``."""
        return a1(row, self.col[key], fix_col=True)

    def column(self, key: str) -> str:
        """All lines of a column, fixed."""
        return block(FIRST_LINE, self.col[key], self.last_line, self.col[key])

    def guarded(self, key: str) -> str:
        """All lines of an input column with the locked cells above and below."""
        return block(HEAD_ROW, self.col[key], self.edge, self.col[key])

    def at(self, key: str, row: int) -> str:
        """A fixed single cell of a column."""
        return a1(row, self.col[key], True, True)

    def result_rows(self) -> dict[str, int]:
        """Row of each nutrient in the result tables."""
        rows = {n.tag: self.main_first + i for i, n in enumerate(self.main)}
        others = [n for n in self.nutrients if not n.main]
        return rows | {n.tag: self.more_first + i for i, n in enumerate(others)}


def strip_lengths(kitchen: Kitchen) -> tuple[int, int]:
    """Cells needed to list the units and the treatments of the food that has most of them."""
    units = max(len(units_offered(kitchen, f)) for f in kitchen.fixed_foods) + OWN_MEASURES_PER_FOOD
    kinds = {(f.keep_group, f.state) for f in kitchen.table.foods}
    return units, max(len(kitchen.offers(g, s)) for g, s in kinds)


def recipe_layout(kitchen: Kitchen, lines: int, strips: tuple[int, int], dishes: int, is_dish: bool) -> RecipeLayout:
    """Layout for a recipe of ``lines`` ingredients: 30 lines, more when it needs them. ``dishes`` is how many
    recipes of the book it may use as ingredients."""
    nutrients = kitchen.tables.nutrients
    main = tuple(n for n in nutrients if n.main)
    needed = max(MIN_LINES, lines + SPARE_LINES)
    rows = section_rows(kitchen.safety) | statement_rows(kitchen.tables.claims)
    return RecipeLayout(nutrients, main, needed, *strips, dishes, is_dish, rows)
