"""What one ingredient line says, before any food is looked up."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.exchange.lexicon import UnitWord
from workbookgen.exchange.quantities import Quantity

JUICE, ZEST = "juice", "zest"
JUICE_OF = UnitWord("juice of 1", "piece")
ZEST_OF = UnitWord("zest of 1", "piece")


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """One food of one line.

    ``amounts`` add up ("1 tablespoon plus 1 teaspoon"); none of them means the amount is not told and must
    be asked, never taken as zero. ``each`` is the size of one container or piece ("(15 oz)"), ``same_as``
    the same amount said otherwise ("(240 g)"). ``names`` holds the food words; several are alternatives
    ("butter or margarine"), the first one written first. ``comment`` is what follows the first comma or
    stands in brackets. ``extra`` is an amount that is not told ("plus more for greasing").
    ``longer`` holds, beside each alternative, the words it may borrow from the last one ("vegetable or canola
    oil"), else "". ``part`` is "juice" or "zest" of a whole fruit. ``doubts`` are what a person must settle.
    """

    text: str
    amounts: tuple[Quantity, ...] = ()
    each: Quantity | None = None
    size: str = ""
    same_as: tuple[Quantity, ...] = ()
    names: tuple[str, ...] = ()
    longer: tuple[str, ...] = ()
    comment: str = ""
    section: str = ""
    optional: bool = False
    divided: bool = False
    garnish: bool = False
    undecided: str = ""
    extra: str = ""
    part: str = ""
    doubts: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The food words of the first alternative."""
        return self.names[0] if self.names else ""

    @property
    def unit(self) -> UnitWord | None:
        """The unit of the first amount; None for a bare count or when no amount is told."""
        return self.amounts[0].unit if self.amounts else None
