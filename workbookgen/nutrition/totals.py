"""From lines to the dish, the serving and 100 g: sums, coverage, where a nutrient comes from."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import LineResult, NutrientResult
from workbookgen.model.tables import Nutrient, ReferenceSet, Tables
from workbookgen.nutrition.label import declared, declared_text, half_up

AT_LEAST = "at least"
AT_MOST = "at most"
TOP = 3
#: Nutrients that poured-off drippings carry away, so a raw row without a cooked counterpart overstates them.
DRAINED_TAGS = ("ENERC_KCAL", "FAT", "FASAT", "FATRN", "FAMS", "FAPU", "CHOLE")


def dish_total(lines: Sequence[LineResult], tag: str) -> float:
    """Sum of the known amounts of one nutrient over all lines."""
    return sum(v for line in lines if (v := line.values[tag]) is not None)


def coverage(lines: Sequence[LineResult], tag: str) -> float:
    """Share (0 to 1) of the ingredient weight, water left out, whose value of ``tag`` is known.

    0 when nothing is counted. Unknown is not zero: FAO/INFOODS Guidelines for Checking Food Composition
    Data (2012), from memory.
    """
    weight = sum(line.weight_without_water for line in lines)
    if weight == 0:
        return 0.0
    return 1 - unknown_weight(lines, tag) / weight


def unknown_weight(lines: Sequence[LineResult], tag: str) -> float:
    """Grams of ingredients, water left out, whose value is unknown; a dish used as an ingredient counts
    with the unknown share of its own weight."""
    unknown = sum(line.weight_without_water for line in lines if line.values[tag] is None)
    for line in lines:
        if line.food.known is not None and line.values[tag] is not None:
            unknown += line.weight_without_water * (1 - line.food.known.get(tag, 1.0))
    return unknown


def reads(lines: Sequence[LineResult], tag: str, covered: float) -> str:
    """"at least" when a counted line's value is unknown, "at most" when drained fat could not be taken off."""
    if half_up(covered, 9) < 1 and any(line.weight_without_water for line in lines):
        return AT_LEAST
    if tag in DRAINED_TAGS and any(line.at_most for line in lines):
        return AT_MOST
    return ""


def food_shares(lines: Sequence[LineResult], tag: str) -> list[tuple[str, float]]:
    """Share in per cent of each food in the dish total, lines of one food summed, in order of appearance."""
    total = dish_total(lines, tag)
    if total == 0:
        return []
    by_food: dict[str, float] = {}
    for line in lines:
        by_food.setdefault(line.food.name, 0.0)
        by_food[line.food.name] += line.values[tag] or 0.0
    return [(name, amount / total * 100) for name, amount in by_food.items()]


def top_foods(lines: Sequence[LineResult], tag: str) -> tuple[tuple[str, float], ...]:
    """The three foods that bring most of a nutrient, per cent of the dish; ties go to the earlier line."""
    shares = [s for s in food_shares(lines, tag) if s[1] > 0]
    return tuple(sorted(shares, key=lambda s: -s[1])[:TOP])


def nutrient_result(
    tables: Tables,
    nutrient: Nutrient,
    lines: Sequence[LineResult],
    cooked_weight: float,
    servings: float,
    reference: ReferenceSet,
) -> NutrientResult:
    """Everything the nutrient table says about one nutrient."""
    dish = dish_total(lines, nutrient.tag)
    covered = coverage(lines, nutrient.tag)
    serving = dish / servings if servings else 0.0
    daily = reference.values.get(nutrient.tag)
    dv_pct = serving / daily.value * 100 if daily is not None else None
    amount_rule = tables.rounding.get(nutrient.tag)
    pct_rule = tables.rounding.get("%" + nutrient.tag)
    return NutrientResult(
        tag=nutrient.tag,
        dish=dish,
        serving=serving,
        per_100g=dish / cooked_weight * 100 if cooked_weight else 0.0,
        coverage=covered,
        reads=reads(lines, nutrient.tag, covered),
        dv_pct=dv_pct,
        label_amount=declared(serving, amount_rule) if amount_rule else None,
        label_text=declared_text(serving, amount_rule, nutrient.unit, 2) if amount_rule else "",
        label_dv_pct=declared(dv_pct, pct_rule) if pct_rule and dv_pct is not None else None,
        top=top_foods(lines, nutrient.tag),
    )
