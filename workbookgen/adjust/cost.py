"""What a serving costs, from the prices a programme writes down; a food without a price is unknown, not free."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.nutrition.amounts import grams_per_unit
from workbookgen.nutrition.kitchen import Kitchen, is_water


def price_per_g(kitchen: Kitchen, name: str) -> float | None:
    """Price of one gram as bought; water is free, None for a food without a usable price row."""
    food = kitchen.food_by_name.get(name.lower())
    if food is None:
        return None
    row = next((p for p in kitchen.prices if p.food.lower() == name.lower()), None)
    if row is None:
        return 0.0 if is_water(food) else None
    grams = grams_per_unit(kitchen, food, row.unit)
    return None if not grams else row.price / (row.amount * grams)


def bought_grams(line: LineResult) -> float:
    """Grams to buy: an edible amount needs its refuse too."""
    if line.line.basis == "as purchased":
        return line.grams
    return line.grams / (1 - line.food.refuse_pct / 100)


def price_per_unit(kitchen: Kitchen, one: LineResult) -> float | None:
    """Price of a line worked out for one unit, None when it is not known."""
    price = price_per_g(kitchen, one.food.name)
    return None if price is None else price * bought_grams(one)


def serving_cost(kitchen: Kitchen, analysis: Analysis) -> tuple[float, tuple[str, ...]]:
    """Known cost of one serving and the counted foods without a price."""
    total, unknown = 0.0, []
    for line in analysis.lines:
        if not line.line.include:
            continue
        price = price_per_unit(kitchen, line)
        if price is None:
            unknown.append(line.food.name)
        else:
            total += price
    return total / analysis.servings, tuple(dict.fromkeys(unknown))
