"""How far a figure may stray: a likely range from the spread of the samples behind the food table.

USDA prints the number of samples with their standard error or smallest and largest value for part of its
figures. From them a standard deviation between samples is estimated, and the ingredients of a recipe are
taken to vary independently. Energy, carbohydrate and figures that were calculated or borrowed print no spread.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.model.food import ValueDetail
from workbookgen.model.science import RangeDivisor
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

#: Main nutrients for which the table prints a spread often enough to be worth a column.
RANGE_TAGS = ("PROCNT", "FAT", "FIBTG", "SUGAR", "CHOLE", "CA", "FE", "MG", "P", "K", "NA", "ZN", "VITC", "THIA",
              "RIBF", "VITB6A", "VITB12", "TOCPHA", "VITK1")
FEWEST_SAMPLES = 2
NO_RANGE, TOO_FEW, LIKELY = "no range published", "too few ranges published", "likely range"


@dataclass(frozen=True, slots=True)
class RangeResult:
    """Likely range of one nutrient per serving, in its unit.

    ``share`` is the part (0-1) of the amount that comes from figures with a printed spread; ``low`` and ``high``
    are None unless that share is large enough. ``spreads`` holds the standard deviation each line brings, None
    where none is printed.
    """

    tag: str
    low: float | None
    high: float | None
    share: float
    words: str
    spreads: tuple[float | None, ...]


def standard_deviation(detail: ValueDetail, divisors: Sequence[RangeDivisor]) -> float | None:
    """Standard deviation between samples, in the unit of the value; None when the source prints too little.

    From the standard error: SE x sqrt(n). Without one: (largest - smallest) / d2(n), the expected range of n
    values of a normal distribution in standard deviations.
    """
    if detail.points < FEWEST_SAMPLES:
        return None
    if detail.standard_error is not None:
        return detail.standard_error * math.sqrt(detail.points)
    if detail.minimum is None or detail.maximum is None:
        return None
    fitting = [d.divisor for d in divisors if d.samples <= detail.points]
    return (detail.maximum - detail.minimum) / fitting[-1] if fitting else None


def deviations(kitchen: Kitchen, tag: str) -> dict[str, float]:
    """Standard deviation per 100 g of each food (by id) that prints one for ``tag`` and has more than 0 of it."""
    found: dict[str, float] = {}
    for food in kitchen.table.foods:
        detail = kitchen.table.details.get((food.id, tag))
        if detail is None or food.own or food.values.get(tag, 0.0) <= 0:
            continue
        deviation = standard_deviation(detail, kitchen.tables.science.divisors)
        if deviation is not None:
            found[food.id] = deviation
    return found


def range_of_serving(kitchen: Kitchen, analysis: Analysis, tag: str, spread: Mapping[str, float]) -> RangeResult:
    """Likely range of ``tag`` in one serving; ``spread`` is what `deviations` gives.

    A line that brings amount a from a food with value v and deviation s brings a x s / v; independent lines add
    their squares; the range is the total minus and plus a set number of deviations, not below 0.
    """
    c = kitchen.constants
    total, n = analysis.nutrients[tag].dish, analysis.servings
    spreads: list[float | None] = []
    covered = 0.0
    for line in analysis.lines:
        amount, deviation = line.values[tag], spread.get(line.source_food.id)
        if amount is None or deviation is None or line.source_grams == 0:
            spreads.append(None)
            continue
        covered += amount
        spreads.append(amount * deviation / line.source_food.values[tag])
    share = covered / total if total else 0.0
    if share == 0:
        return RangeResult(tag, None, None, share, NO_RANGE, tuple(spreads))
    if half_up(share * 100, 9) < c["range_share_min"]:
        return RangeResult(tag, None, None, share, TOO_FEW, tuple(spreads))
    width = c["range_width"] * math.sqrt(sum(x * x for x in spreads if x is not None))
    return RangeResult(tag, max(0.0, (total - width) / n), (total + width) / n, share, LIKELY, tuple(spreads))
