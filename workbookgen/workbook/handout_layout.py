"""Where allergens, cautions and keeping stand on a recipe sheet, and what a card reads from there.

Rows are zero-based. The three blocks stand on the front below the nutrient tables; their working stands
beneath the ingredient lines, in the columns of `MARK_COLUMNS`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from workbookgen.model.safety import Safety
from workbookgen.workbook.book import a1, block

if TYPE_CHECKING:
    from workbookgen.workbook.recipe_layout import RecipeLayout

OWN_KEEPING_LINES = 8
KEEPING_LINES = 4
#: Working columns: key, heading above the ingredient lines, width, number style.
MARK_COLUMNS: tuple[tuple[str, str, float, str], ...] = (
    ("a_counts", "Counts for allergens (1 = yes)", 8, "n0"),
    ("a_name", "Name in lists", 26, ""),
    ("a_marks", "Allergen marks", 26, ""),
    ("a_diet", "Made from", 16, ""),
    ("a_caution", "Caution marks", 26, ""),
    ("a_ask", "Leaves a listed allergen open (1 = yes)", 8, "n0"),
    ("a_w1", "", 10, ""),
    ("a_w2", "", 10, ""),
    ("a_w3", "", 26, ""),
)
ALLERGENS, CAUTIONS, KEEPING = "allergens", "cautions", "keeping"
#: Blocks of the front: key, rows (0 = see `section_rows`), starts a new page.
HANDOUT_SECTIONS: tuple[tuple[str, int, bool], ...] = (
    (ALLERGENS, 0, True),
    (CAUTIONS, 0, True),
    (KEEPING, 0, True),
)
FIRST_ROW = 3  # title, purpose, heads stand above the first row of a block


def section_rows(safety: Safety) -> dict[str, int]:
    """Rows each block needs; none at all for an empty rule set."""
    if not safety.allergens:
        return {}
    return {
        ALLERGENS: FIRST_ROW + len(safety.allergens) + 7 + len(safety.suitability) + 1,
        CAUTIONS: FIRST_ROW + 1 + len(safety.cautions) + 2 + len(safety.temperatures) + 2,
        KEEPING: 7 + KEEPING_LINES + 1 + OWN_KEEPING_LINES + 1,
    }


@dataclass(frozen=True, slots=True)
class Handout:
    """Rows of the three blocks and of their working on one recipe sheet."""

    lay: RecipeLayout
    safety: Safety

    @property
    def allergen_first(self) -> int:
        return self.lay.section[ALLERGENS] + FIRST_ROW

    @property
    def allergen_last(self) -> int:
        return self.allergen_first + len(self.safety.allergens) - 1

    @property
    def contains(self) -> int:
        return self.allergen_last + 1

    @property
    def unchecked(self) -> int:
        return self.contains + 1

    @property
    def apart(self) -> int:
        return self.contains + 2

    @property
    def may_contain(self) -> int:
        return self.contains + 3

    @property
    def may_input(self) -> int:
        return self.contains + 5  # words that nothing depends on stand above and below an input

    @property
    def suit_head(self) -> int:
        return self.contains + 6

    @property
    def suit_first(self) -> int:
        return self.suit_head + 1

    @property
    def alcohol(self) -> int:
        return self.suit_first + len(self.safety.suitability)

    @property
    def caution_first(self) -> int:
        return self.lay.section[CAUTIONS] + FIRST_ROW + 1  # one line more: who should ask here

    @property
    def caution_last(self) -> int:
        return self.caution_first + len(self.safety.cautions) - 1

    @property
    def heat_first(self) -> int:
        return self.caution_last + 3

    @property
    def heat_last(self) -> int:
        return self.heat_first + len(self.safety.temperatures) - 1

    @property
    def heat_note(self) -> int:
        return self.heat_last + 1

    @property
    def not_looked_at(self) -> int:
        return self.heat_last + 2

    @property
    def keep_input(self) -> int:
        return self.lay.section[KEEPING] + FIRST_ROW

    @property
    def keep_kind(self) -> int:
        return self.keep_input + 2  # a line of headings stands between, as nothing may depend on its cells

    @property
    def keep_first(self) -> int:
        return self.keep_kind + 1

    @property
    def service(self) -> int:
        return self.keep_first + KEEPING_LINES

    @property
    def own_head(self) -> int:
        return self.service + 1

    @property
    def own_first(self) -> int:
        return self.own_head + 1

    @property
    def own_last(self) -> int:
        return self.own_first + OWN_KEEPING_LINES - 1

    # working beneath the ingredient lines
    @property
    def joined(self) -> int:
        return self.lay.total

    @property
    def kind_first(self) -> int:
        return self.joined + 4

    @property
    def kind_last(self) -> int:
        return self.kind_first + len(self.safety.kinds) - 1

    @property
    def word_first(self) -> int:
        return self.kind_last + 4

    @property
    def word_last(self) -> int:
        return self.word_first + len(self.safety.diet_words) - 1

    @property
    def trigger_first(self) -> int:
        return self.word_last + 4

    @property
    def trigger_last(self) -> int:
        return self.trigger_first + len(self.safety.triggers) - 1

    def cell(self, key: str, row: int) -> str:
        """Fixed address of a cell of this sheet."""
        return a1(row, self.lay.col[key], True, True)

    def rows(self, key: str, first: int, last: int) -> str:
        """Fixed address of a piece of a column."""
        return block(first, self.lay.col[key], last, self.lay.col[key])

    @property
    def all_marks(self) -> str:
        return self.cell("a_marks", self.joined)

    @property
    def all_diet(self) -> str:
        return self.cell("a_diet", self.joined)

    @property
    def all_cautions(self) -> str:
        return self.cell("a_caution", self.joined)

    @property
    def counted(self) -> str:
        """Cell with the number of lines that count for allergens and cautions."""
        return self.cell("a_counts", self.joined)

    def names_with(self, key: str, column: str) -> str:
        """Formula piece: names of lines whose ``column`` holds the text of cell ``key``, each after "; "."""
        lines = range(self.lay.last_line - self.lay.lines + 1, self.lay.last_line + 1)
        cells = ((a1(r, self.lay.col[column]), a1(r, self.lay.col["a_name"])) for r in lines)
        return "&".join(f'IF(ISNUMBER(FIND({key},{text})),{name},"")' for text, name in cells)


def card_cells(lay: RecipeLayout, safety: Safety) -> Mapping[str, list[tuple[int, int]]]:
    """(row, column) of the cells a card prints, each list in order and without gaps, "" at its end.

    contains: the Contains line, what was not checked, the line on gluten, the may-contain note ("" where
    there is none); suitability: answers in the order of ``safety.suitability``; cautions, temperatures and
    keeping: ready lines; raw_handling: one sentence, "" when nothing raw is included; alcohol: what stays.
    """
    h, col = Handout(lay, safety), lay.col
    text, line = col["unit"], col["r_basis"]
    return {
        "contains": [(row, text) for row in (h.contains, h.unchecked, h.apart, h.may_contain)],
        "suitability": [(h.suit_first + i, text) for i in range(len(safety.suitability))],
        "alcohol": [(h.alcohol, text)],
        "cautions": [(row, line) for row in range(h.caution_first, h.caution_last + 1)],
        "temperatures": [(row, line) for row in range(h.heat_first, h.heat_last + 1)],
        "raw_handling": [(h.heat_note, col["food"])],
        "keeping": [(row, line) for row in range(h.own_first, h.own_last + 1)],
    }
