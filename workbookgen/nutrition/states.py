"""Help beside a line: what a dry, raw or canned amount gives when cooked or drained."""

from __future__ import annotations

from workbookgen.model.analysis import LineResult
from workbookgen.model.food import Food
from workbookgen.nutrition.kitchen import NO_TREATMENT, Kitchen
from workbookgen.nutrition.label import half_up, shown

DRY_GROUPS = ("legume_short", "legume_medium", "legume_long", "rice", "pasta", "cereal", "oatmeal")
QUARTERS = ("", " 1/4", " 1/2", " 3/4")


def cooks_to(kitchen: Kitchen, food: Food) -> tuple[float, str] | None:
    """Cooked grams per gram and the treatment meant, for dry pulses and grains and for raw meat, fish and poultry.

    The first treatment offered whose published yield is not 1; None where there is none.
    """
    dry = food.state == "dry" and food.keep_group in DRY_GROUPS
    if not dry and not (food.state == "raw" and food.mfp):
        return None
    for treatment in kitchen.offers(food.keep_group, food.state):
        factor, _ = kitchen.yield_factor(food, treatment.name)
        if factor != 1:
            return factor, treatment.name
    return None


def in_cups(grams: float, g_per_ml: float, cup_ml: float, parts: float) -> str:
    """Cups to the nearest quarter in kitchen words, "" below an eighth.

    >>> in_cups(412.0, 0.7, 236.588, 4), in_cups(40.0, 0.7, 236.588, 4), in_cups(10.0, 0.7, 236.588, 4)
    ('2 1/2 cups', '1/4 cup', '')
    """
    quarters = int(half_up(half_up(grams / (g_per_ml * cup_ml) * parts, 9)))
    whole, part = divmod(quarters, int(parts))
    if quarters == 0:
        return ""
    words = (f"{whole}" if whole else "") + QUARTERS[part]
    return f"{words.strip()} {'cups' if quarters > parts else 'cup'}"


def state_help(kitchen: Kitchen, line: LineResult) -> str:
    """What the counted amount of a line gives in another state, in words; "" where nothing is known.

    Cooked weight by the yield of the chosen treatment, or of the usual one while none is chosen; drained weight
    from the contents of a can.
    """
    food, grams = line.food, line.edible
    if grams <= 0:
        return ""
    drained = kitchen.drained.get(food.source_number)
    if drained is not None and not food.own:
        row = next((f for f in kitchen.fixed_foods if drained.number and f.source_number == drained.number), None)
        return f"drained about {shown(grams * drained.share, 0)} g" + (f": {row.name}" if row else "")
    usual = cooks_to(kitchen, food)
    if usual is None or food.own:
        return ""
    chosen = line.line.treatment != NO_TREATMENT and line.yield_factor != 1
    factor, name = (line.yield_factor, line.line.treatment) if chosen else usual
    cooked = grams * factor
    pair = kitchen.counterpart(food)
    cup = kitchen.unit_by_name["cup"].factor
    parts = kitchen.constants["cup_parts"]
    cups = in_cups(cooked, pair.g_per_ml, cup, parts) if pair is not None and pair.g_per_ml else ""
    how = "" if chosen or cups else f" ({name})"  # short: it stands beside the line
    return f"cooked about {shown(cooked, 0)} g" + (f", {cups}" if cups else "") + how
