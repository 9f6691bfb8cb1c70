"""A recipe, worked out from first line to last verdict."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import Analysis, LineResult, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen, is_water
from workbookgen.nutrition.lines import ABSORBED, work_out_line
from workbookgen.nutrition.plate import group_grams, plate_results
from workbookgen.nutrition.targets import judge
from workbookgen.nutrition.totals import nutrient_result


def analyse_recipe(kitchen: Kitchen, recipe: Recipe, settings: Settings) -> Analysis:
    """Work out ``recipe`` with the foods, tables and constants of ``kitchen``.

    Raises BadInput naming the recipe and ingredient that cannot be understood.
    """
    if recipe.servings <= 0:
        raise BadInput(recipe.path or recipe.title, "servings must be more than 0")
    lines = tuple(
        work_out_line(kitchen, line, settings, f"{recipe.path or recipe.title}, ingredient {number}")
        for number, line in enumerate(recipe.lines, 1)
    )
    estimate = sum(line.cooked for line in lines)
    weighed = recipe.cooked_weight_g is not None
    cooked_weight = recipe.cooked_weight_g if recipe.cooked_weight_g is not None else estimate
    reference = kitchen.reference_set_by_id[settings.reference_set]
    nutrients = {
        n.tag: nutrient_result(kitchen.tables, n, lines, cooked_weight, recipe.servings, reference)
        for n in kitchen.tables.nutrients
    }
    model = kitchen.plate_model_by_id[recipe.plate_model or settings.plate_model]
    grams = group_grams(model, lines, recipe.legumes_as)
    left_out = estimate - sum(grams)
    return Analysis(
        recipe=recipe,
        settings=settings,
        lines=lines,
        cooked_weight=cooked_weight,
        cooked_weight_weighed=weighed,
        servings=recipe.servings,
        serving_g=cooked_weight / recipe.servings,
        water_short_g=water_short(lines),
        nutrients=nutrients,
        plate=plate_results(model, grams, settings.plate_tolerance),
        plate_left_out_g=left_out,
        plate_left_out_share_pct=left_out / estimate * 100 if estimate else 0.0,
        targets=tuple(
            judge(t, nutrients, kitchen.nutrient_by_tag[t.tag].unit) for t in recipe.targets
        ),
        general_energy=general_energy(kitchen, {n: nutrients[n].serving for n in ("PROCNT", "FAT", "CHOCDF", "ALC")}),
    )


def water_short(lines: Sequence[LineResult]) -> float:
    """Grams of water the yields take up beyond what the "absorbed" rows give; 0 when there is enough."""
    taken_up = sum(max(0.0, line.cooked - line.edible) for line in lines if not is_water(line.food))
    given = sum(line.edible for line in lines if line.line.water == ABSORBED and line.food.role == "liquid")
    return max(0.0, taken_up - given)


def general_energy(kitchen: Kitchen, serving: dict[str, float]) -> float:
    """Energy (kcal) by the general factors 4-9-4 and alcohol: a check beside the sum of the food rows,
    which use their own factors (21 CFR 101.9(c)(1)(i)(B))."""
    c = kitchen.constants
    return (
        serving["PROCNT"] * c["general_protein"]
        + serving["FAT"] * c["general_fat"]
        + serving["CHOCDF"] * c["general_carbohydrate"]
        + serving["ALC"] * c["alcohol_kcal"]
    )
