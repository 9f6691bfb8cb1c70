"""A packaged product read from its label: per 100 g, readings of per cent Daily Value, typing checks, a food row.

Amounts stand for one serving in the unit of ``nutrients.csv``; what is not declared is unknown, never 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Settings
from workbookgen.model.claims import REFERENCE_SET, US
from workbookgen.model.food import Food, Measure
from workbookgen.model.pack import Pack
from workbookgen.model.tables import RoundingRule, Tables
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, half_up, to_step

LABEL_ID = "label"
SERVING = "serving"
LOW, BETWEEN, HIGH = "low", "between", "high"
ENERGY, NO_PERCENT = "ENERC_KCAL", ("ENERC_KCAL", "PROCNT")
FLESH = ("meat", "poultry", "fish", "pork")
ALLERGENS = (
    "milk", "egg", "fish", "crustacean", "tree_nut", "peanut", "wheat", "soy", "sesame", "gluten", "celery",
    "mustard", "lupin", "mollusc", "sulphite",
)  # fmt: skip
#: What the printed 4-9-4 figures are: tag and constant of its general factor.
GENERAL = (("PROCNT", "general_protein"), ("FAT", "general_fat"), ("CHOCDF", "general_carbohydrate"))


def declared_tags(tables: Tables) -> tuple[str, ...]:
    """Nutrients a US label may declare, mandatory ones first in panel order (21 CFR 101.9(c))."""
    ruled = [n.tag for n in tables.nutrients if n.tag in tables.rounding]
    first = (ENERGY, "FAT", "FASAT", "FATRN", "CHOLE", "NA", "CHOCDF", "FIBTG", "SUGAR", "SUGAD", "PROCNT",
             "VITD", "CA", "FE", "K")  # fmt: skip
    tags = [t for t in first if t in ruled] + [t for t in ruled if t not in first]
    tags.insert(tags.index("FOLDFE") + 1, "FOLAC")  # named beside the folate when it was added
    return tuple(tags)


def daily_values(tables: Tables) -> dict[str, float]:
    """US Daily Values (4 years and over) of nutrients whose printed per cent can be checked.

    Left out: energy, which has none, and protein, whose printed per cent counts its quality (101.9(c)(7)).
    """
    values = next(s.values for s in tables.reference_sets if s.id == REFERENCE_SET[US])
    return {tag: v.value for tag, v in values.items() if tag not in NO_PERCENT}


def less_than_value(rule: RoundingRule) -> float | None:
    """Middle of what "less than ..." allows, None where a label has no such words.

    "less than 1 g" stands for 0.5 to 1 g, so 0.75 g is used.
    """
    return (rule.zero_below + rule.text_below) / 2 if rule.text_amount > 0 else None


def allowed(amount: float, rule: RoundingRule | None) -> tuple[float, float] | None:
    """True amounts that a label declares as ``amount``: from the first (included) to the second.

    None when the rule (21 CFR 101.9(c)) never gives that figure, or when there is no rule.

    >>> from workbookgen.model.tables import RoundingRule
    >>> sodium = RoundingRule("sodium", "mg", 5, 0, False, 0, 140, 5, 1e99, 10, 10, "", "")
    >>> allowed(140, sodium), allowed(0, sodium), allowed(143, sodium)
    ((137.5, 145.0), (0.0, 5), None)
    """
    if rule is None:
        return None
    middle = less_than_value(rule)
    if amount == 0:
        return 0.0, rule.zero_below if middle is not None else max(rule.zero_below, rule.step_1 / 2)
    if middle is not None and half_up(amount, 9) == half_up(middle, 9):
        return rule.zero_below, rule.text_below
    zones = ((rule.zero_below, rule.upto_1, rule.step_1), (rule.upto_1, rule.upto_2, rule.step_2),
             (rule.upto_2, float("inf"), rule.step_3))  # fmt: skip
    spans = []
    for start, end, step in zones:
        ratio = half_up(amount / step, 9)
        if ratio == half_up(ratio) and amount + step / 2 > start and amount - step / 2 <= end:
            spans.append((max(start, amount - step / 2), min(end, amount + step / 2)))
    return (spans[0][0], spans[-1][1]) if spans else None


def used_amounts(pack: Pack, tables: Tables) -> dict[str, float]:
    """Amounts of one serving: the declared ones, else those worked out from a printed per cent Daily Value."""
    values = daily_values(tables)
    found: dict[str, float] = {}
    for tag in declared_tags(tables):
        if tag in pack.amounts:
            found[tag] = pack.amounts[tag]
        elif tag in pack.percents and tag in values:
            found[tag] = pack.percents[tag] / 100 * values[tag]
    return found


def per_100g(pack: Pack, tables: Tables) -> dict[str, float]:
    """Amounts of 100 g."""
    return {tag: v / pack.serving_g * 100 for tag, v in used_amounts(pack, tables).items()}


def reading(dv_pct: float, low: float, high: float) -> str:
    """Low at or below ``low``, high at or above ``high`` per cent Daily Value, else between.

    >>> reading(5.0, 5, 10), reading(9.99, 5, 10), reading(10.0, 5, 20)
    ('low', 'between', 'between')
    """
    value = half_up(dv_pct, 9)
    return LOW if value <= low else HIGH if value >= high else BETWEEN


@dataclass(frozen=True, slots=True)
class PackReading:
    """One declared nutrient: per serving and 100 g, what rounding allows, per cent Daily Value, both readings.

    ``dv_pct`` counts in the reference set in use; None where it has no value, or for protein, whose per cent
    needs its quality. ``percent_fits`` is None when no per cent is printed or it cannot be checked.
    """

    tag: str
    serving: float
    per_100g: float
    span: tuple[float, float] | None
    dv_pct: float | None
    kitchen: str
    regulator: str
    percent_fits: bool | None


def read_pack(kitchen: Kitchen, pack: Pack, settings: Settings) -> tuple[PackReading, ...]:
    """Every declared nutrient, sodium first."""
    tables = kitchen.tables
    in_use = kitchen.reference_set_by_id[settings.reference_set].values
    amounts = used_amounts(pack, tables)
    found = []
    for tag in sorted(amounts, key=lambda t: t != "NA"):
        value, reference = amounts[tag], in_use.get(tag)
        pct = value / reference.value * 100 if reference and tag not in NO_PERCENT else None
        words = ("", "") if pct is None else (
            reading(pct, settings.low_practice, settings.high_practice),
            reading(pct, settings.low_regulator, settings.high_regulator))  # fmt: skip
        span = allowed(value, tables.rounding.get(tag)) if tag in pack.amounts else None
        found.append(
            PackReading(
                tag, value, value / pack.serving_g * 100, span, pct, *words, percent_fits(pack, tag, tables)
            )
        )
    return tuple(found)


def percent_fits(pack: Pack, tag: str, tables: Tables) -> bool | None:
    """Whether the printed per cent can follow from the declared amount, both as rounded (21 CFR 101.9(c), (d))."""
    reference, printed, amount = daily_values(tables).get(tag), pack.percents.get(tag), pack.amounts.get(tag)
    rule = tables.rounding.get("%" + tag)
    if reference is None or printed is None or amount is None or rule is None:
        return None
    ends = allowed(amount, tables.rounding[tag]) or (amount, amount)
    low, high = (end / reference * 100 for end in ends)
    most = declared(high, rule)
    if half_up(high, 9) < rule.zero_below:  # below 2 % a label may print 0 or round as usual
        most = max(most, to_step(high, rule.step_1))
    return declared(low, rule) <= half_up(printed, 9) <= most


def energy_span(kitchen: Kitchen, pack: Pack) -> tuple[float, float] | None:
    """Energy the declared protein, fat and carbohydrate allow by 4-9-4, kcal (21 CFR 101.9(c)(1)(i)(B), (C)).

    The lower end takes all fibre off the carbohydrate, as the rule allows for non-digestible carbohydrate; both
    ends count what rounding allows. None while one of the three is not declared.
    """
    rounding, factor = kitchen.tables.rounding, kitchen.constants

    def ends(tag: str) -> tuple[float, float]:
        value = pack.amounts.get(tag, 0.0)
        return allowed(value, rounding[tag]) or (value, value)

    if any(tag not in pack.amounts for tag, _ in GENERAL):
        return None
    fibre = ends("FIBTG")[1] if "FIBTG" in pack.amounts else 0.0
    low = sum(ends(tag)[0] * factor[name] for tag, name in GENERAL) - fibre * factor["general_carbohydrate"]
    return max(0.0, low), sum(ends(tag)[1] * factor[name] for tag, name in GENERAL)


def energy_fits(kitchen: Kitchen, pack: Pack) -> bool | None:
    """Whether the declared energy can follow from 4-9-4; None when it cannot be checked.

    Sugar alcohols, organic acids, alcohol or a product's own factors can explain a figure that does not fit.
    """
    span, energy = energy_span(kitchen, pack), pack.amounts.get(ENERGY)
    if span is None or energy is None:
        return None
    low, high = allowed(energy, kitchen.tables.rounding[ENERGY]) or (energy, energy)
    return half_up(high, 9) >= half_up(span[0], 9) and half_up(low, 9) <= half_up(span[1], 9)


def serving_g_per_ml(kitchen: Kitchen, pack: Pack) -> float | None:
    """Weight per mL of a product whose serving is told as a volume, label measures (21 CFR 101.9(b)(5)(viii))."""
    unit = kitchen.unit_by_name.get(pack.serving_unit.lower())
    if unit is None or unit.kind == "mass" or not pack.serving_amount:
        return None
    own = {"cup": "label_cup_ml", "tbsp": "label_tbsp_ml", "tsp": "label_tsp_ml", "fl oz": "label_floz_ml"}
    ml = kitchen.constants[own[unit.name]] if unit.name in own else unit.factor
    density = pack.serving_g / (pack.serving_amount * ml)
    return (
        density if kitchen.constants["density_min"] <= density <= kitchen.constants["density_max"] else None
    )


def allergen_marks(contains: Sequence[str], checked: bool) -> str:
    """Marker text of typed allergens; all others are unknown until checked, ``-;`` closes a checked list."""
    words = {w.lower().replace(" ", "").replace("_", "") for w in contains}
    return "".join(f"+{a};" for a in ALLERGENS if a.replace("_", "") in words) + ("-;" if checked else "?*;")


def label_values(pack: Pack, tables: Tables, constants: Mapping[str, float]) -> dict[str, float]:
    """Values per 100 g as a food row holds them. Folate DFE is split: without declared folic acid all of it is
    folate of the food, since a label must name added folic acid (21 CFR 101.9(c)(8)(vii))."""
    found = per_100g(pack, tables)
    dfe = found.pop("FOLDFE", None)
    found.pop("NIAEQ", None)  # niacin equivalents cannot be taken apart
    if dfe is not None:
        found["FOLAC"] = found.get("FOLAC", 0.0)
        found["FOLFD"] = max(0.0, dfe - constants["dfe_factor"] * found["FOLAC"])
    return found


def pack_foods(kitchen: Kitchen, packs: Sequence[Pack]) -> tuple[list[Food], list[Measure]]:
    """Products as food rows in sheet order, each with its serving as a unit."""
    foods, measures = [], []
    for number, pack in enumerate(packs, 1):
        food_id = f"{LABEL_ID}{number}"
        flesh = any(word in pack.diet.lower() for word in FLESH)
        foods.append(Food(
            id=food_id, name=pack.name, group=pack.group, state=pack.state, role=pack.role,
            values=label_values(pack, kitchen.tables, kitchen.constants), keep_group=pack.keep_group,
            source_number=f"{LABEL_ID} {number}", source_description="from the label of the pack",
            g_per_ml=serving_g_per_ml(kitchen, pack), mfp=flesh, heme=flesh,
            allergens=allergen_marks(pack.contains, pack.checked), diet=pack.diet or "?",
            salt_ingredient=pack.salt, sugar_ingredient=pack.sugar, own=True,
        ))  # fmt: skip
        measures.append(Measure(food_id, SERVING, pack.serving_g, 1, "label"))
        if has_own_unit(kitchen, pack):
            grams = pack.serving_g / (pack.serving_amount or 1.0)
            measures.append(Measure(food_id, pack.serving_unit, grams, 2, "label"))
    return foods, measures


def has_own_unit(kitchen: Kitchen, pack: Pack) -> bool:
    """True for a serving told in pieces, such as 3 crackers: a piece becomes a unit too."""
    return bool(pack.serving_unit) and bool(pack.serving_amount) and pack.serving_unit.lower() not in (
        SERVING, *kitchen.unit_by_name)  # fmt: skip
