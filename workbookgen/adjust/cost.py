"""What a serving costs, from the prices a programme writes down; a food without a price is unknown, not free."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import bought_grams, price_per_g


def price_per_unit(kitchen: Kitchen, one: LineResult) -> float | None:
    """Price of a line worked out for one unit, None when it is not known."""
    price = price_per_g(kitchen, one.food.name)
    return None if price is None else price * bought_grams(kitchen, one)


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
