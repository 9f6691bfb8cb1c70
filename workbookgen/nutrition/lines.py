"""One ingredient line: grams, cooked grams and what it brings of each nutrient."""

from __future__ import annotations

from workbookgen.model.analysis import LineResult, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine
from workbookgen.model.tables import Treatment
from workbookgen.nutrition.amounts import edible_grams, grams_per_unit
from workbookgen.nutrition.kitchen import NO_TREATMENT, NOTHING_LOST, Kitchen, is_water

POURED_OFF = "poured off"
ABSORBED = "absorbed"
STAYS = "stays"


def work_out_line(kitchen: Kitchen, line: IngredientLine, settings: Settings, place: str) -> LineResult:
    """Work out one line.

    Raises BadInput when food, unit or treatment are not known; ``place`` is named in the message.
    """
    food = kitchen.food_by_name.get(line.food.lower())
    if food is None:
        raise BadInput(place, f"food '{line.food}' is not in the food table")
    per_unit = grams_per_unit(kitchen, food, line.unit)
    if per_unit is None:
        raise BadInput(place, f"unit '{line.unit}' is not known for '{food.name}'")
    treatment = _treatment(kitchen, food, line.treatment, place)
    grams = line.amount * per_unit
    poured_off = line.water == POURED_OFF and food.role == "liquid"
    counted = 1.0 if line.include else 0.0
    edible = counted * edible_grams(
        grams, food.refuse_pct, line.basis == "as purchased", line.share_eaten_pct
    )
    if poured_off:
        edible = 0.0
    factor, factor_from = kitchen.yield_factor(food, treatment.name)
    cooked = _cooked_grams(food, line, edible, factor, settings)
    source_food, source_grams, code = food, edible, treatment.code
    counterpart = kitchen.counterpart(food)
    drained = treatment.drippings == "lost"
    if drained and counterpart is not None:
        source_food, source_grams, code = counterpart, edible * factor, NOTHING_LOST
    return LineResult(
        line=line,
        food=food,
        grams_per_unit=per_unit,
        grams=grams,
        edible=edible,
        yield_factor=factor,
        yield_from=factor_from,
        cooked=cooked,
        source_food=source_food,
        source_grams=source_grams,
        keep_code=code,
        weight_without_water=0.0 if is_water(food) else edible,
        role=line.role or food.role,
        at_most=drained and counterpart is None and edible > 0,
        values=_values(kitchen, source_food, source_grams, code),
    )


def _treatment(kitchen: Kitchen, food: Food, name: str, place: str) -> Treatment:
    for treatment in kitchen.offers(food.keep_group, food.state):
        if treatment.name == name.lower():
            return treatment
    raise BadInput(place, f"treatment '{name}' is not offered for '{food.name}' ({food.state})")


def _cooked_grams(
    food: Food, line: IngredientLine, edible: float, factor: float, settings: Settings
) -> float:
    """Grams in the finished dish. Liquids a grain soaks up weigh in with the grain's yield, so they
    count 0 themselves; water that stays loses the share that boils off."""
    if food.role == "liquid" and line.water == ABSORBED:
        return 0.0
    if is_water(food) and line.water in ("", STAYS) and line.treatment == NO_TREATMENT:
        boiled_off = settings.water_boiled_off_pct if line.water == STAYS else 0.0
        return edible * (1 - boiled_off / 100)
    return edible * factor


def _values(kitchen: Kitchen, food: Food, grams: float, code: str) -> dict[str, float | None]:
    """Amount of every nutrient in ``grams`` of ``food`` after the losses of retention row ``code``.

    nutrient = grams / 100 x value per 100 g x retention; energy loses the energy of lost alcohol.
    Published principle: EuroFIR recipe calculation, retention at ingredient level (Vasquez-Caicedo,
    Bell and Hartmann 2008, D2.2.9).
    """
    keep = kitchen.retention_by_code[code].pct
    found: dict[str, float | None] = {}
    for nutrient in kitchen.tables.nutrients:
        per_100g = food.values.get(nutrient.tag)
        if per_100g is None:
            found[nutrient.tag] = None
        elif nutrient.keep:
            kept = keep.get(nutrient.keep)  # a blank in the retention table is unknown, not zero
            found[nutrient.tag] = None if kept is None else grams / 100 * per_100g * kept / 100
        else:
            found[nutrient.tag] = grams / 100 * per_100g
    energy = food.values.get("ENERC_KCAL")
    if energy is not None:
        lost = food.values.get("ALC", 0.0) * (1 - keep.get("ALC", 100.0) / 100)
        found["ENERC_KCAL"] = grams / 100 * (energy - lost * kitchen.constants["alcohol_kcal"])
    found.update(_equivalents(kitchen, found))
    return found


def _equivalents(kitchen: Kitchen, values: dict[str, float | None]) -> dict[str, float | None]:
    """Folate total, dietary folate equivalents and niacin equivalents of a line.

    DFE = food folate + 1.7 x folic acid; NE = niacin + tryptophan / 60 (IOM 1998).
    """
    food_folate, folic_acid = values["FOLFD"], values["FOLAC"]
    niacin, tryptophan = values["NIA"], values["TRP"]
    out: dict[str, float | None] = {"FOL": None, "FOLDFE": None, "NIAEQ": None}
    if food_folate is not None and folic_acid is not None:
        out["FOL"] = food_folate + folic_acid
        out["FOLDFE"] = food_folate + kitchen.constants["dfe_factor"] * folic_acid
    if niacin is not None and tryptophan is not None:
        out["NIAEQ"] = niacin + tryptophan * 1000 / kitchen.constants["tryptophan_per_niacin"]
    return out
