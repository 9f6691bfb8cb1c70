"""Two dishes side by side, serving against serving: what differs, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.analysis import NutrientResult
from workbookgen.nutrition.label import half_up
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
