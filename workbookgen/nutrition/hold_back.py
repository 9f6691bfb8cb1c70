"""Two sets of numbers where ingredients are held back when freezing: as frozen and as served.

What is held back (a soft cheese, fresh herbs, yoghurt) is added on reheating, so the dish as served keeps all
lines, and the dish as frozen lacks the marked ones.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST, DRAINED_TAGS, dish_total, unknown_weight


@dataclass(frozen=True, slots=True)
class FrozenFigure:
    """One nutrient of one serving as served and without the held-back lines, in the nutrient's unit.

    ``coverage`` (0 to 1) and ``reads`` are those of the dish as frozen, ``held_pct`` the per cent held back.
    """

    tag: str
    served: float
    frozen: float
    coverage: float
    reads: str
    held_pct: float


def is_held_back(line: LineResult) -> bool:
    """True for a line the sheet marks "hold back"; a garnish is added at the table anyway."""
    return line.line.held_back and not line.line.garnish


def serving_as_frozen(analysis: Analysis) -> float:
    """Grams of one serving as frozen."""
    held = sum(line.cooked for line in analysis.lines if is_held_back(line))
    return (analysis.cooked_weight - held) / analysis.servings


def as_frozen(analysis: Analysis, tag: str) -> FrozenFigure:
    """One nutrient as served and as frozen. Unknown parts of dishes used as ingredients stay counted even
    when the dish itself is held back: the coverage is then a little too low, never too high."""
    held = [line for line in analysis.lines if is_held_back(line)]
    kept = [line for line in analysis.lines if not is_held_back(line)]
    weight = sum(line.weight_without_water for line in kept)
    unknown = unknown_weight(analysis.lines, tag)
    unknown -= sum(line.weight_without_water for line in held if line.values[tag] is None)
    covered = 1 - unknown / weight if weight > 0 else 0.0
    total = dish_total(analysis.lines, tag)
    away = dish_total(held, tag)
    return FrozenFigure(
        tag=tag,
        served=analysis.nutrients[tag].serving,
        frozen=(total - away) / analysis.servings,
        coverage=covered,
        reads=_reads(kept, tag, weight, covered),
        held_pct=away / total * 100 if total else 0.0,
    )


def _reads(kept: list[LineResult], tag: str, weight: float, covered: float) -> str:
    if weight > 0 and half_up(covered, 9) < 1:
        return AT_LEAST
    if tag in DRAINED_TAGS and any(line.at_most for line in kept):
        return AT_MOST
    return ""
