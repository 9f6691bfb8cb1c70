"""From household measures to grams."""

from __future__ import annotations

from workbookgen.model.food import Food
from workbookgen.model.tables import Unit
from workbookgen.nutrition.kitchen import Kitchen


def units_offered(kitchen: Kitchen, food: Food) -> list[tuple[str, float]]:
    """Units a cook may choose for this food, with grams of one: measures of the table first, then own
    measures, then weights, then volumes if its weight per mL is known."""
    offered = [(m.unit, m.grams) for m in kitchen.measures_by_food.get(food.id, [])]
    name = food.name.lower()
    offered += [(m.unit, m.grams) for m in kitchen.own_measures if m.food.lower() == name]
    for unit in kitchen.tables.units:
        grams = grams_of_unit(food, unit)
        if grams is not None:
            offered.append((unit.name, grams))
    return offered


def grams_of_unit(food: Food, unit: Unit) -> float | None:
    """Grams of one mass or volume unit of the food; None for a volume of a food without a density."""
    if unit.kind == "mass":
        return unit.factor
    return None if food.g_per_ml is None else unit.factor * food.g_per_ml


def grams_per_unit(kitchen: Kitchen, food: Food, unit: str) -> float | None:
    """Grams of one ``unit`` of ``food``, None when the unit is not known for it.

    The first unit of that name counts, capitals do not matter: the rule of a spreadsheet's MATCH.
    """
    wanted = unit.lower()
    for name, grams in units_offered(kitchen, food):
        if name.lower() == wanted:
            return grams
    return None


def edible_grams(grams: float, refuse_pct: float, as_purchased: bool, share_eaten_pct: float) -> float:
    """Edible grams eaten of ``grams`` measured.

    As purchased, the refuse (peel, bone, core; per cent of the purchased weight, USDA FOOD_DES) is taken
    off first; what is left over on purpose (``share_eaten_pct`` below 100) is taken off last.
    """
    trimmed = grams * (1 - refuse_pct / 100) if as_purchased else grams
    return trimmed * share_eaten_pct / 100
