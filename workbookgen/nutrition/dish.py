"""A recipe as an ingredient of other recipes: a stock, a sauce, a batch of grain."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food, Measure
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.markers import dish_marks

DISH_ID = "dish"
DISH_GROUP = "Dishes"
SERVING = "serving"
DEFAULT_ROLE = "seasoning"


def in_order(recipes: Sequence[Recipe]) -> tuple[list[Recipe], list[Recipe]]:
    """Split recipes into dishes that others use (each after those it uses itself) and all others, both in
    their first order.

    Raises BadInput naming the recipes that use each other in a circle.
    """
    by_title = {r.title.lower(): r for r in recipes}
    uses = {r.title.lower(): [f for line in r.lines if (f := line.food.lower()) in by_title] for r in recipes}
    used = {title for titles in uses.values() for title in titles}
    done: list[str] = []

    def visit(title: str, path: list[str]) -> None:
        if title in path:
            circle = " -> ".join(by_title[t].title for t in [*path[path.index(title):], title])
            raise BadInput(by_title[title].path or by_title[title].title, f"recipes use each other in a circle: {circle}; "
                           "take one of them out")
        if title in done:
            return
        for other in uses[title]:
            visit(other, [*path, title])
        done.append(title)

    for recipe in recipes:
        visit(recipe.title.lower(), [])
    dishes = [by_title[t] for t in done if t in used or by_title[t].component]
    kept = {r.title.lower() for r in dishes}
    return dishes, [r for r in recipes if r.title.lower() not in kept]


def dish_food(kitchen: Kitchen, analysis: Analysis, number: int) -> tuple[Food, list[Measure]]:
    """The finished dish as a food row: values per 100 g as served, the share of them that is known, a
    "serving" unit and, with a weighed cup, its weight per mL. Allergens and other marks of its ingredients
    travel with it, and whether any of them brings added salt or sugar."""
    recipe = analysis.recipe
    cup_ml = kitchen.unit_by_name["cup"].factor
    allergens, diet, cautions = dish_marks(analysis.lines, kitchen.safety)
    dish_id = f"{DISH_ID}{number}"
    food = Food(
        id=dish_id, name=recipe.title, group=DISH_GROUP, state="ready", role=recipe.counts_as or DEFAULT_ROLE,
        values={tag: r.per_100g for tag, r in analysis.nutrients.items()},
        known={tag: r.coverage for tag, r in analysis.nutrients.items()},
        source_number=f"{DISH_ID} {number}", source_description="recipe of this book",
        g_per_ml=recipe.cup_weight_g / cup_ml if recipe.cup_weight_g else None,
        allergens=allergens, diet=diet, cautions=cautions,
        salt_ingredient=_holds([line.food.salt_ingredient for line in analysis.lines if line.edible > 0]),
        sugar_ingredient=_holds([line.food.sugar_ingredient for line in analysis.lines if line.edible > 0]),
        own=True,
    )
    return food, [Measure(dish_id, SERVING, analysis.serving_g, 1, "this book")]


def _holds(flags: Sequence[str]) -> str:
    """Whether a dish holds added salt or sugar: "yes" when a counted ingredient does, "no" only when none can."""
    if "yes" in flags:
        return "yes"
    return "no" if flags and all(flag == "no" for flag in flags) else "unknown"


def with_dishes(kitchen: Kitchen, dishes: Sequence[Recipe], settings: Settings) -> tuple[Kitchen, list[Analysis]]:
    """Work out the dishes in order; each becomes a food of the kitchen for the next ones."""
    analyses = []
    for number, recipe in enumerate(dishes, 1):
        analysis = analyse_recipe(kitchen, recipe, settings)
        analyses.append(analysis)
        food, measures = dish_food(kitchen, analysis, number)
        kitchen = kitchen.with_foods([food], measures)
    return kitchen, analyses
