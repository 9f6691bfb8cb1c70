"""Two dishes side by side, serving against serving: what differs, and how surely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import NutrientResult
from workbookgen.nutrition.allergens import CONTAINS, EMPTY, NO, NOT_KNOWN
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST


@dataclass(frozen=True, slots=True)
class Difference:
    """Other less first, in the nutrient's unit and in per cent of the first.

    ``amount`` is None where unknown parts on both sides leave even the direction open; ``reads`` is "", "at least"
    or "at most"; ``pct`` is None too where the first serving holds none.
    """

    amount: float | None
    pct: float | None
    reads: str


def difference(first: NutrientResult, other: NutrientResult) -> Difference:
    """What one serving of ``other`` holds more than one of ``first``.

    A figure that reads "at least" may be larger, so it bounds the difference from one side only: from below when it
    is the other's, from above when it is the first's. Bounds from both sides leave the difference unknown.
    """
    up = (other.reads == AT_LEAST) + (first.reads == AT_MOST)
    down = (other.reads == AT_MOST) + (first.reads == AT_LEAST)
    if up and down:
        return Difference(None, None, "")
    amount = other.serving - first.serving
    pct = amount / first.serving * 100 if half_up(first.serving, 9) > 0 else None
    return Difference(amount, pct, AT_LEAST if up else AT_MOST if down else "")


#: State of an allergen as one letter.
ALLERGEN_CODES = {CONTAINS: "c", NOT_KNOWN: "u", NO: "n", EMPTY: "u"}
#: Words of a change, the other's state, and the first's states it may come from.
ALLERGEN_STEPS = (("more", "c", "un"), ("no longer named", "n", "c"), ("now not known", "u", "cn"), ("no longer open", "n", "u"))
NOTHING_CHANGES = "no change in what is known"


def allergen_changes(names: Sequence[str], first: str, other: str) -> str:
    """What the other dish contains more, names no longer, or leaves open, in words; states as letters of
    `ALLERGEN_CODES`, names "" for allergens that are not on the list. Nothing here says "free from".

    >>> allergen_changes(["milk", "wheat", "soy"], "ncn", "cnu")
    'more: milk; no longer named: wheat; now not known: soy'
    """
    told = []
    for words, of_other, of_first in ALLERGEN_STEPS:
        found = [n for n, a, b in zip(names, first, other, strict=True) if n and b == of_other and a in of_first]
        if found:
            told.append(f"{words}: {', '.join(found)}")
    return "; ".join(told) or NOTHING_CHANGES


def signed(value: float, decimals: int) -> str:
    """A difference as printed: "+1.2", "-3", and "0" without a sign once it rounds to nothing.

    >>> signed(1.24, 1), signed(-0.04, 1)
    ('+1.2', '0')
    """
    text = shown(abs(value), decimals)
    return text if float(text) == 0 else ("+" if value > 0 else "-") + text


def amount_in_words(found: Difference, decimals: int) -> str:
    """The difference with its words; "?" when it is unknown."""
    return "?" if found.amount is None else f"{found.reads} {signed(found.amount, decimals)}".lstrip()


def per_cent_in_words(found: Difference) -> str:
    """Per cent of the first; "?" when unknown, "-" where the first holds none to compare with."""
    if found.amount is None:
        return "?"
    return "-" if found.pct is None else signed(found.pct, 0)
