"""What to buy and what it costs: from edible weights back to weights as purchased, merged over recipes.

As purchased = edible / (1 - refuse), the refuse being the per cent of the purchased weight that is peel, bone or core
(USDA National Nutrient Database for Standard Reference, documentation of FOOD_DES, field Refuse). What stays on the
plate is bought too. A food without a price is unknown, not free; water is free and is not bought.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food
from workbookgen.model.programme import TRIMMED, Price
from workbookgen.nutrition.amounts import grams_per_unit
from workbookgen.nutrition.dish import DISH_GROUP
from workbookgen.nutrition.kitchen import Kitchen, is_water

FILE = "prices.csv"


@dataclass(frozen=True, slots=True)
class RecipeCost:
    """One recipe: ``own`` is the cost of its priced lines, ``total`` adds what the dishes in it cost (currency).

    ``dishes`` maps titles of other recipes to the grams this one needs of them, on all ways. ``unpriced`` names foods
    without a price, its own first. ``total`` is None where nothing is priced.
    """

    title: str
    servings: float
    own: float
    total: float | None
    dishes: Mapping[str, float]
    unpriced: tuple[str, ...]

    @property
    def serving(self) -> float | None:
        """Cost of one serving, None when nothing is priced."""
        return None if self.total is None else self.total / self.servings


@dataclass(frozen=True, slots=True)
class Pick:
    """So many servings of a recipe to cook."""

    title: str
    servings: float


@dataclass(frozen=True, slots=True)
class Item:
    """One food of a shopping list; grams as bought.

    ``need`` is what the recipes take, ``pantry`` what is there of it, ``buy`` the rest, ``packages`` whole packages
    (None when the package is not known), ``cost`` what they cost (None when the price is not known).
    """

    food: str
    aisle: str
    need: float
    pantry: float
    buy: float
    packages: float | None
    cost: float | None


def price_row(kitchen: Kitchen, name: str) -> Price | None:
    """The first price written down for a food."""
    return next((p for p in kitchen.prices if p.food.lower() == name.lower()), None)


def sold_trimmed(kitchen: Kitchen, name: str) -> bool:
    """True where the food is bought without its refuse: shelled nuts, washed leaves."""
    row = price_row(kitchen, name)
    return row is not None and row.sold_as == TRIMMED


def package_grams(kitchen: Kitchen, food: Food, row: Price) -> float | None:
    """Grams of a package as bought, None for a unit that is not known for the food.

    Household measures are edible portions (USDA WEIGHT file), so a package told in them gets its refuse back.
    """
    grams = grams_per_unit(kitchen, food, row.unit)
    if grams is None:
        return None
    known = kitchen.unit_by_name.get(row.unit.lower())
    weighed = known is not None and known.kind == "mass"
    return row.amount * grams / (1.0 if weighed or row.sold_as == TRIMMED else 1 - food.refuse_pct / 100)


def price_per_g(kitchen: Kitchen, name: str) -> float | None:
    """Price of one gram as bought; water is free, None for a food without a usable price."""
    food = kitchen.food_by_name.get(name.lower())
    if food is None:
        return None
    if is_water(food):
        return 0.0
    row = price_row(kitchen, name)
    grams = package_grams(kitchen, food, row) if row else None
    return row.price / grams if row and grams else None


def bought_grams(kitchen: Kitchen, one: LineResult) -> float:
    """Grams to buy for one line that counts, before anything is left on the plate."""
    refuse = one.food.refuse_pct / 100
    edible = one.grams * (1 - refuse) if one.line.basis == "as purchased" else one.grams
    return edible if sold_trimmed(kitchen, one.food.name) else edible / (1 - refuse)


def line_cost(kitchen: Kitchen, one: LineResult) -> float | None:
    """Cost of a line, None without a price; 0 for a line that does not count or has no amount."""
    if not one.line.include or one.grams == 0:
        return 0.0
    price = price_per_g(kitchen, one.food.name)
    return None if price is None else price * bought_grams(kitchen, one)


def is_dish(food: Food) -> bool:
    """True for another recipe used as an ingredient."""
    return food.group == DISH_GROUP


def check_prices(kitchen: Kitchen) -> None:
    """Every price row names a food and a unit that are known; raises BadInput otherwise."""
    for row in kitchen.prices:
        food = kitchen.food_by_name.get(row.food.lower())
        if food is None:
            raise BadInput(FILE, f"no food '{row.food}' is known; write the name as in the food table")
        if package_grams(kitchen, food, row) is None:
            raise BadInput(FILE, f"'{row.food}' has no unit '{row.unit}'; use g, kg, oz, lb or a unit of sheet Measures")


def recipe_costs(kitchen: Kitchen, analyses: Sequence[Analysis]) -> dict[str, RecipeCost]:
    """Costs by lower-case title, dishes within dishes to every depth; ``kitchen`` holds the dishes as foods."""
    by_title = {a.recipe.title.lower(): a for a in analyses}
    found: dict[str, RecipeCost] = {}

    def work_out(title: str) -> RecipeCost:
        if title not in found:
            found[title] = _cost(kitchen, by_title[title], [(work_out(t), by_title[t].cooked_weight, grams)
                                                             for t, grams in _dishes(kitchen, by_title[title], by_title)])
        return found[title]

    for title in by_title:
        work_out(title)
    return found


def _dishes(kitchen: Kitchen, analysis: Analysis, known: Mapping[str, Analysis]) -> list[tuple[str, float]]:
    grams: dict[str, float] = {}
    for one in analysis.lines:
        title = one.food.name.lower()
        if one.line.include and is_dish(one.food) and title in known:
            grams[title] = grams.get(title, 0.0) + bought_grams(kitchen, one)
    return list(grams.items())


def _cost(kitchen: Kitchen, analysis: Analysis, parts: Sequence[tuple[RecipeCost, float, float]]) -> RecipeCost:
    """One recipe from its lines and from its dishes: (cost, cooked weight, grams needed)."""
    own, priced, unpriced = 0.0, False, []
    for one in analysis.lines:
        if not one.line.include or is_dish(one.food):
            continue
        cost = line_cost(kitchen, one)
        if cost is None:
            unpriced.append(one.food.name)
        else:
            own, priced = own + cost, priced or cost > 0
    total = own
    dishes: dict[str, float] = {}
    for cost_of, weight, grams in parts:
        dishes[cost_of.title] = dishes.get(cost_of.title, 0.0) + grams
        for title, inner in cost_of.dishes.items():
            dishes[title] = dishes.get(title, 0.0) + inner * grams / weight
        total += (cost_of.total or 0.0) * grams / weight
        priced = priced or bool(cost_of.total)
        unpriced += cost_of.unpriced
    nothing = not priced and bool(unpriced)
    return RecipeCost(analysis.recipe.title, analysis.servings, own, None if nothing else total, dishes,
                      tuple(dict.fromkeys(unpriced)))


def batches(kitchen: Kitchen, analyses: Sequence[Analysis], picks: Sequence[Pick]) -> dict[str, float]:
    """How many times each recipe is cooked, by lower-case title: for its own servings and inside other dishes."""
    costs = recipe_costs(kitchen, analyses)
    weight = {a.recipe.title.lower(): a.cooked_weight for a in analyses}
    times = dict.fromkeys(costs, 0.0)
    for pick in picks:
        title = pick.title.lower()
        direct = pick.servings / costs[title].servings
        times[title] += direct
        for dish, grams in costs[title].dishes.items():
            times[dish.lower()] += direct * grams / weight[dish.lower()]
    return times


def needs(kitchen: Kitchen, analyses: Sequence[Analysis], picks: Sequence[Pick]) -> dict[str, float]:
    """Grams as bought of every food, by name as the table spells it; water and dishes left out."""
    times = batches(kitchen, analyses, picks)
    grams: dict[str, float] = {}
    for analysis in analyses:
        for one in analysis.lines:
            if one.line.include and not is_water(one.food) and not is_dish(one.food):
                more = bought_grams(kitchen, one) * times[analysis.recipe.title.lower()]
                grams[one.food.name] = grams.get(one.food.name, 0.0) + more
    return grams


def whole_packages(buy: float, package: float) -> float:
    """Packages that hold ``buy`` grams, rounded up; nine decimals guard against binary noise."""
    return float(math.ceil(round(buy / package, 9)))


def shopping_list(kitchen: Kitchen, analyses: Sequence[Analysis], picks: Sequence[Pick]) -> list[Item]:
    """The list by aisle, within an aisle in the order of the food table."""
    place = {f.name: i for i, f in enumerate(kitchen.table.foods)}
    found = []
    for name, need in needs(kitchen, analyses, picks).items():
        if need > 0:
            food = kitchen.food_by_name[name.lower()]
            aisle = food.aisle if food.aisle in kitchen.aisles else kitchen.aisles[-1]
            found.append((kitchen.aisles.index(aisle), place[name], _item(kitchen, food, aisle, need)))
    return [item for _, _, item in sorted(found, key=lambda x: x[:2])]


def _item(kitchen: Kitchen, food: Food, aisle: str, need: float) -> Item:
    row = price_row(kitchen, food.name)
    pantry = min(row.pantry_g, need) if row else 0.0
    buy = need - pantry if round(need - pantry, 9) > 0 else 0.0
    package = package_grams(kitchen, food, row) if row else None
    packages = whole_packages(buy, package) if package else None
    cost = packages * row.price if row and packages is not None else (0.0 if buy == 0 else None)
    return Item(food.name, aisle, need, pantry, buy, packages, cost)
