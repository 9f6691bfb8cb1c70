"""More about one serving: ratios and shares with a published reading, colours, carotenoids.

Readings are meant for a whole diet; a single dish may stray. Limits and sources stand in ``data/readings.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.model.science import Reading
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up, to_step

NOT_ENOUGH = "not enough data"
COLOURS = ("red", "orange-yellow", "green", "blue-purple", "white-brown")
CAROTENOIDS = ("CARTB", "CARTA", "CRYPXB", "LYCPN", "LUT+ZEA")


@dataclass(frozen=True, slots=True)
class FactRule:
    """One figure: name, unit, decimals shown, id of its reading ("" = none), nutrients it rests on."""

    key: str
    name: str
    unit: str
    decimals: int
    reading: str
    tags: tuple[str, ...]


#: All nutrients that carry energy, for the shares.
ENERGY_TAGS = ("PROCNT", "FAT", "CHOCDF", "FIBTG", "ALC")
FACTS = (
    FactRule("energy_density", "Energy density", "kcal/g", 2, "energy_density", ("ENERC_KCAL",)),
    FactRule("fibre_1000", "Fibre per 1000 kcal", "g", 1, "fibre_1000", ("FIBTG", "ENERC_KCAL")),
    FactRule("protein_share", "Energy from protein", "%", 1, "protein_share", ENERGY_TAGS),
    FactRule("fat_share", "Energy from fat", "%", 1, "fat_share", ENERGY_TAGS),
    FactRule("carbohydrate_share", "Energy from carbohydrate, fibre included", "%", 1, "carbohydrate_share", ENERGY_TAGS),
    FactRule("fibre_share", "of which from fibre", "%", 1, "", ENERGY_TAGS),
    FactRule("alcohol_share", "Energy from alcohol", "%", 1, "", ENERGY_TAGS),
    FactRule("saturated_share", "Energy from saturated fat", "%", 1, "saturated_share", ("FASAT", "ENERC_KCAL")),
    FactRule("added_sugar_share", "Energy from added sugars", "%", 1, "added_sugar_share", ("SUGAD", "ENERC_KCAL")),
    FactRule("sodium_1000", "Sodium per 1000 kcal", "mg", 0, "sodium_1000", ("NA", "ENERC_KCAL")),
    FactRule("sodium_potassium", "Sodium to potassium, mol per mol", "", 2, "sodium_potassium", ("NA", "K")),
    FactRule("unsaturated_saturated", "Unsaturated to saturated fat, g per g", "", 1, "unsaturated_saturated",
             ("FAMS", "FAPU", "FASAT")),
    FactRule("epa_dha", "EPA + DHA", "mg", 0, "epa_dha", ("F20D5N3", "F22D6N3")),
)


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure of one serving: ``value`` None where it cannot be formed, ``known`` the smallest share of weight
    with a known value among its nutrients, ``reads`` its published reading in words."""

    rule: FactRule
    value: float | None
    known: float
    reads: str


def read_step(reading: Reading, value: float) -> str:
    """Words of the last step that ``value``, rounded, reaches."""
    rounded = to_step(value * 10**reading.decimals, 1) / 10**reading.decimals
    return [s.words for s in reading.steps if s.start <= rounded][-1]


def energy_parts(constants: Mapping[str, float], serving: Mapping[str, float]) -> dict[str, float]:
    """Energy in kcal of protein, fat, carbohydrate without fibre, fibre and alcohol by general factors
    (FAO 2003: 4, 9, 4, 2 and the energy of alcohol); only their shares are used."""
    c = constants
    return {
        "protein": serving["PROCNT"] * c["general_protein"],
        "fat": serving["FAT"] * c["general_fat"],
        "carbohydrate": max(0.0, serving["CHOCDF"] - serving["FIBTG"]) * c["general_carbohydrate"],
        "fibre": serving["FIBTG"] * c["fibre_kcal"],
        "alcohol": serving["ALC"] * c["alcohol_kcal"],
    }


def _ratio(top: float, bottom: float, scale: float = 1.0) -> float | None:
    return top / bottom * scale if bottom > 0 else None


def serving_facts(kitchen: Kitchen, analysis: Analysis) -> list[Fact]:
    """Every figure of `FACTS` for one serving."""
    c = kitchen.constants
    v = {tag: result.serving for tag, result in analysis.nutrients.items()}
    parts = energy_parts(c, v)
    total, energy = sum(parts.values()), v["ENERC_KCAL"]
    values: dict[str, float | None] = {
        "energy_density": _ratio(energy, analysis.serving_g),
        "fibre_1000": _ratio(v["FIBTG"], energy, 1000),
        "protein_share": _ratio(parts["protein"], total, 100),
        "fat_share": _ratio(parts["fat"], total, 100),
        "carbohydrate_share": _ratio(parts["carbohydrate"] + parts["fibre"], total, 100),
        "fibre_share": _ratio(parts["fibre"], total, 100),
        "alcohol_share": _ratio(parts["alcohol"], total, 100),
        "saturated_share": _ratio(v["FASAT"] * c["general_fat"], energy, 100),
        "added_sugar_share": _ratio(v["SUGAD"] * c["general_carbohydrate"], energy, 100),
        "sodium_1000": _ratio(v["NA"], energy, 1000),
        "sodium_potassium": _ratio(v["NA"] / c["sodium_molar"], v["K"] / c["potassium_molar"]),
        "unsaturated_saturated": _ratio(v["FAMS"] + v["FAPU"], v["FASAT"]),
        "epa_dha": (v["F20D5N3"] + v["F22D6N3"]) * 1000,
    }
    return [_fact(kitchen, analysis, rule, values[rule.key]) for rule in FACTS]


def _fact(kitchen: Kitchen, analysis: Analysis, rule: FactRule, value: float | None) -> Fact:
    known = min(analysis.nutrients[tag].coverage for tag in rule.tags)
    if value is None or not rule.reading:
        return Fact(rule, value, known, "")
    if half_up(known * 100, 9) < kitchen.constants["known_weight_min"]:
        return Fact(rule, value, known, NOT_ENOUGH)
    return Fact(rule, value, known, read_step(kitchen.tables.science.readings[rule.reading], value))


def colour_grams(analysis: Analysis) -> dict[str, float]:
    """Grams per serving of vegetables and fruit of each colour, as in the finished dish."""
    return {
        colour: sum(line.cooked for line in analysis.lines if line.food.colour == colour) / analysis.servings
        for colour in COLOURS
    }
