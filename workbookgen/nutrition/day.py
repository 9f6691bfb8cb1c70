"""A day of recipes and foods: sums, what is unknown in them, and how they stand against a reference.

Unknown is never met: a sum with an unknown part reads "at least", and what it has not reached stays open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.model.food import Food
from workbookgen.model.tables import PlateModel
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.plate import group_grams

GUARD = 9
OPEN = "cannot be judged"


@dataclass(frozen=True, slots=True)
class DayItem:
    """One row of the day: servings of a recipe, or grams of a food. ``meal`` counts from 1, 0 = none chosen."""

    meal: int
    analysis: Analysis | None = None
    servings: float = 0.0
    food: Food | None = None
    grams: float = 0.0

    @property
    def weight(self) -> float:
        """Grams eaten."""
        return self.servings * self.analysis.serving_g if self.analysis else self.grams

    def amount(self, tag: str) -> float | None:
        """What the row brings of a nutrient; None where the food table does not say."""
        if self.analysis is not None:
            return self.servings * self.analysis.nutrients[tag].serving
        if self.food is None or self.grams == 0:
            return 0.0
        value = self.food.values.get(tag)
        return None if value is None else self.grams / 100 * value

    def reads(self, tag: str) -> str:
        """"at least", "at most" or "" for what the row brings."""
        if self.analysis is not None:
            return self.analysis.nutrients[tag].reads if self.servings > 0 else ""
        return "at least" if self.amount(tag) is None else ""


@dataclass(frozen=True, slots=True)
class DayTotal:
    """Known sum of a nutrient; ``least``: an unknown part is missing; ``most``: an unknown part was poured off."""

    amount: float
    least: bool
    most: bool

    @property
    def reads(self) -> str:
        """In words, as the sheet says it."""
        if self.least and self.most:
            return "not certain"
        return "at least" if self.least else "at most" if self.most else ""


def day_total(items: Iterable[DayItem], tag: str) -> DayTotal:
    """Sum of a nutrient over rows."""
    rows = list(items)
    amounts = (row.amount(tag) for row in rows)
    reads = {row.reads(tag) for row in rows}
    return DayTotal(sum(a for a in amounts if a is not None), "at least" in reads, "at most" in reads)


def against(total: DayTotal, reference: float | None, kind: str, unit: str, decimals: int) -> str:
    """How a sum stands against its reference, in words.

    ``kind`` "reach": at least that much is meant, "limit": at most, "aim": about that much. A sum that may be higher
    is not called short of a reference, and one that may be lower is not called reached.
    """
    if reference is None:
        return ""
    if total.least and total.most:
        return OPEN
    over = half_up(total.amount, GUARD) - half_up(reference, GUARD)
    away = away_words(total.amount - reference, unit, decimals)
    if over > 0:
        return _above(total, kind, away)
    if over == 0:
        return _at(total, kind)
    return _below(total, kind, away)


def away_words(difference: float, unit: str, decimals: int) -> str:
    """How far apart two amounts are; a difference too small for the decimals shown is "a trace"."""
    told = shown(abs(difference), decimals)
    return "a trace" if float(told) == 0 else f"{told} {unit}"


def _above(total: DayTotal, kind: str, away: str) -> str:
    if total.most:
        return {"reach": "may be reached", "limit": "may be above", "aim": OPEN}[kind]
    more = " or more" if total.least else ""
    return {"reach": "reached", "limit": f"above by {away}{more}", "aim": f"{away}{more} above"}[kind]


def _at(total: DayTotal, kind: str) -> str:
    if kind == "reach":
        return "may be reached" if total.most else "reached"
    if kind == "limit":
        return "at the limit as far as known" if total.least else "at the limit"
    return OPEN if total.least or total.most else "as planned"


def _below(total: DayTotal, kind: str, away: str) -> str:
    if kind == "limit":
        return "within as far as known" if total.least else f"{away} left"
    known = " of the known part" if total.least else " or more" if total.most else ""
    return f"{away} short{known}"


def upper_words(total: DayTotal, upper: float | None, unit: str, decimals: int) -> str:
    """A sum against an upper level that counts it, in words; "" where none is set."""
    if upper is None:
        return ""
    if half_up(total.amount, GUARD) > half_up(upper, GUARD):
        return "may be above" if total.most else "above by " + away_words(total.amount - upper, unit, decimals)
    return "below as far as known" if total.least else "below"


def of_meal(items: Sequence[DayItem], meal: int) -> list[DayItem]:
    """Rows of one meal."""
    return [item for item in items if item.meal == meal]


def day_plate(model: PlateModel, items: Sequence[DayItem]) -> tuple[tuple[float, ...], float]:
    """Grams of each plate group over the day, and grams eaten that are in no group. Recipes count as on their own
    sheets, those with a plate model of their own in no group; foods eaten as such count by their role, at the weight typed."""
    sums = [0.0] * len(model.groups)
    for item in items:
        if item.analysis is not None:
            dish = item.analysis
            grams = group_grams(model, dish.lines, dish.recipe.legumes_as)
            if dish.servings > 0 and (dish.recipe.plate_model or model.id) == model.id:
                sums = [s + item.servings * g / dish.servings for s, g in zip(sums, grams, strict=True)]
        elif item.food is not None:
            role = item.food.role
            sums = [s + (item.grams if role in g.roles else 0.0) for s, g in zip(sums, model.groups, strict=True)]
    return tuple(sums), sum(item.weight for item in items) - sum(sums)


def meal_sums(items: Sequence[DayItem], meals: int, tags: Sequence[str]) -> Mapping[str, list[DayTotal]]:
    """For each tag the sums of the meals in their order."""
    return {tag: [day_total(of_meal(items, m), tag) for m in range(1, meals + 1)] for tag in tags}
