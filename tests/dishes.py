"""Small dishes for tests of allergens, cautions and keeping."""

from __future__ import annotations

from dataclasses import replace

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings


def line(food: str, amount: float = 100.0, unit: str = "g", **more: object) -> IngredientLine:
    """100 g of a food unless told otherwise."""
    return IngredientLine(food=food, amount=amount, unit=unit, **more)  # type: ignore[arg-type]


def dish(
    kitchen: Kitchen,
    *lines: IngredientLine,
    reference_set: str = "us_4plus",
    servings: float = 1.0,
    **more: object,
) -> Analysis:
    """One serving of a dish of these lines."""
    recipe = Recipe(title="Test dish", servings=servings, lines=lines, **more)  # type: ignore[arg-type]
    return analyse_recipe(kitchen, recipe, replace(default_settings(), reference_set=reference_set))


def with_food(analysis: Analysis, number: int, **changes: object) -> Analysis:
    """The same analysis with the food of one line (from 0) changed, such as its allergens."""
    lines: list[LineResult] = list(analysis.lines)
    food: Food = replace(lines[number].food, **changes)  # type: ignore[arg-type]
    lines[number] = replace(lines[number], food=food)
    return replace(analysis, lines=tuple(lines))


def with_serving(analysis: Analysis, tag: str, amount: float, coverage: float = 1.0) -> Analysis:
    """The same analysis with another amount of a nutrient in one serving."""
    result = replace(analysis.nutrients[tag], serving=amount, coverage=coverage)
    return replace(analysis, nutrients={**analysis.nutrients, tag: result})


def small_kitchen(kitchen: Kitchen, *names: str) -> Kitchen:
    """The kitchen with these foods, their cooked rows and the protein partners, so that a book is quick."""
    wanted = {n.lower() for n in names}
    ids = {f.id for f in kitchen.table.foods if f.name.lower() in wanted}
    ids |= {f.counterpart_id for f in kitchen.table.foods if f.id in ids}
    ids |= {partner.food_id for partner in kitchen.tables.science.partners}
    table = replace(
        kitchen.table,
        foods=tuple(f for f in kitchen.table.foods if f.id in ids),
        measures=tuple(m for m in kitchen.table.measures if m.food_id in ids),
    )
    return replace(kitchen, table=table)
