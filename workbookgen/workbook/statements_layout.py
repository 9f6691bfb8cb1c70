"""Where the blocks on statements stand on a recipe sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from workbookgen.model.claims import BASES, ClaimRules
from workbookgen.workbook.book import a1
from workbookgen.workbook.claims_plan import ClaimPlan

if TYPE_CHECKING:
    from workbookgen.workbook.recipe_layout import RecipeLayout

BOUND_TAGS = ("ENERC_KCAL", "FAT", "FASAT", "FATRN", "CHOLE", "NA", "SUGAR", "SUGAD")
FLAGS = ("salt", "sugar", "fat", "meat")
#: Working columns of the ingredient lines: key, heading, width, number style.
STATEMENT_COLUMNS: tuple[tuple[str, str, float, str], ...] = (
    *((f"fl_{flag}", f"Holds {words}", 9, "") for flag, words in
      zip(FLAGS, ("added salt", "added sugar", "fat or oil", "meat or poultry"), strict=True)),
    ("hg", "Food group of the word healthy", 8, "n0"),
    ("eq", "Cup- or ounce-equivalents", 9, "n2"),
    ("gm", "Row of largest values", 8, "n0"),
    *((f"ub_{tag}", f"At most, where unknown: {tag}", 9, "n2") for tag in BOUND_TAGS),
)
SAY_DISH, SAY_CARD, SAYS, LEVELS = "say_dish", "say_card", "says", "say_levels"
DISH_FACTS = 7
CARD_STATEMENTS = 8
#: key, rows (0 = as many as the rules need), starts a new page.
STATEMENT_SECTIONS: tuple[tuple[str, int, bool], ...] = (
    (SAY_DISH, 0, True),
    (SAY_CARD, 0, False),
    (SAYS, 0, True),
    (LEVELS, 0, True),
)
#: Fields of a condition in the working columns, and how many cells each may take.
FIELDS = ("con", "known", "most", "code", "flips", "path")
WIDEST = 6
LEAD = ("tick", "rule", "n", "first", "judged", "verdict", "place", "shown", "struck", "beside", "words", "list")


def statement_rows(rules: ClaimRules) -> dict[str, int]:
    """Rows each block needs; none at all for an empty rule set."""
    if not rules.statements:
        return {}
    plan = ClaimPlan(rules)
    return {SAY_DISH: 6 + DISH_FACTS, SAY_CARD: 2 + CARD_STATEMENTS, SAYS: 4 + plan.shown,
            LEVELS: 3 + len(plan.statements) - plan.shown}


class Places:
    """Rows and working columns of the statement blocks of one recipe sheet (zero-based)."""

    def __init__(self, lay: RecipeLayout, plan: ClaimPlan) -> None:
        self.lay, self.plan = lay, plan
        self.dish = lay.section[SAY_DISH]
        self.input = self.dish + 3
        self.fact = self.dish + 6
        self.card = lay.section[SAY_CARD]
        self.card_first = self.card + 2
        self.list = lay.section[SAYS]
        self.head = self.list + 2
        self.first = self.head + 1
        self.last = self.first + plan.shown - 1
        self.edge = self.last + 1
        self.levels = lay.section[LEVELS]
        self.level_head = self.levels + 1
        self.level_first = self.level_head + 1
        base = lay.col["r_food"]
        self.lead = {key: base + i for i, key in enumerate(LEAD)}
        at = base + len(LEAD)
        self.field = {}
        for key in FIELDS:
            self.field[key] = at
            at += WIDEST
        self.q = {key: at + 1 + i for i, key in enumerate(("no", "words", "known", "most", "short", "open", "loose", "drained", "decides"))}
        self.q_first = self.first
        after = at + 11
        self.b = {key: after + i for i, key in enumerate(("no", "words", "factor", "state", "mend"))}
        self.hg = {key: after + 6 + i for i, key in enumerate(("no", "words", "eq", "quarter", "half"))}
        self.hg_first = self.first + len(BASES) + 3
        self.d = {key: after + i for i, key in enumerate(("id", "text", "joined"))}
        self.d_first = self.hg_first + 12

    def row(self, statement: int) -> int:
        """Row of statement ``statement`` (from 0)."""
        return self.first + statement if statement < self.plan.shown else self.level_first + statement - self.plan.shown

    def cell(self, key: str, row: int) -> str:
        return a1(row, self.lead[key], fix_col=True)

    def slot(self, key: str, row: int, j: int) -> str:
        return a1(row, self.field[key] + j, fix_col=True)

    def slots(self, key: str, row: int, count: int) -> str:
        return f"{self.slot(key, row, 0)}:{self.slot(key, row, count - 1)}"


def card_statement_cells(lay: RecipeLayout, rules: ClaimRules) -> list[tuple[str, str]]:
    """Fixed addresses, for the card, of what it prints and of what it strikes out: "" where there is none. Each list
    is filled from its first row without gaps."""
    places = Places(lay, ClaimPlan(rules))
    return [(lay.at("food", places.card_first + k), lay.at("message", places.card_first + k)) for k in range(CARD_STATEMENTS)]


def struck_line_cell(lay: RecipeLayout) -> str:
    """Fixed address of everything the card strikes out in one line, "" when there is nothing."""
    return a1(lay.section[SAY_CARD] + 1 + CARD_STATEMENTS, lay.col["r_food"] + LEAD.index("list"), True, True)
