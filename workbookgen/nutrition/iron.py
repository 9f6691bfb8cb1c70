"""How much iron a serving may bring into the body: three published estimates side by side.

Every figure here is an estimate for a meal eaten alone; none is a diagnosis. The serving is taken as the
meal. Coefficients stand in ``data/iron.csv`` and ``data/iron_stores.csv``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.science import Figure, IronNeed, IronStores
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

LOW, MEDIUM, HIGH = "low", "medium", "high"
#: States in which meat is weighed raw; in all others its weight counts as cooked.
RAW_STATES = ("raw", "frozen")
EGG_GROUP = "Eggs"
#: Groups whose soy protein counts; sauces hold too little and are changed by fermenting.
SOY_GROUPS = ("Pulses", "Plant drinks and soy")
SOY_MARK = "+soy;"
FACTORS = ("phytate", "vitamin C", "meat, fish", "calcium", "egg", "soy protein")


@dataclass(frozen=True, slots=True)
class IronLine:
    """What one line brings: iron in mg (None = unknown), meat, fish and poultry as raw and as cooked grams,
    eggs in pieces, soy protein in g (None = unknown)."""

    heme: float | None
    nonheme: float | None
    mfp_raw: float
    mfp_cooked: float
    eggs: float
    soy: float | None


@dataclass(frozen=True, slots=True)
class Meal:
    """What one serving holds of everything the equations ask for."""

    heme_mg: float
    nonheme_mg: float
    vitc_mg: float
    mfp_raw_g: float
    mfp_cooked_g: float
    phytate_mg: float
    calcium_mg: float
    soy_g: float
    eggs: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """One method: per cent of nonheme and heme iron taken up, and mg taken up in all."""

    nonheme_pct: float
    heme_pct: float
    absorbed_mg: float


@dataclass(frozen=True, slots=True)
class IronResult:
    """Everything the iron block shows for one serving.

    ``levels`` holds one estimate per row of ``iron_stores.csv``, ``chosen`` the position of the one in use.
    ``low_mg`` and ``high_mg`` span the three methods; the algorithm is an upper bound only, and left out of them,
    unless ``phytate_known``: enough of the weight has a known phytate value. ``vitc_gap`` and ``mfp_gap`` are what is missing to the
    next class, each alone; 0 in the highest.
    """

    lines: tuple[IronLine, ...]
    meal: Meal
    meal_class: str
    classes: Estimate
    levels: tuple[Estimate, ...]
    chosen: int
    factors: Mapping[str, float]
    algorithm: Estimate
    phytate_known: bool
    low_mg: float
    high_mg: float
    vitc_gap: float
    mfp_gap: float
    need: IronNeed
    need_absorbed_mg: float


def iron_line(iron: Mapping[str, Figure], line: LineResult) -> IronLine:
    """Heme and nonheme iron, meat weight, eggs and soy protein of one line.

    Heme iron is a fixed share of the iron of meat, fish and poultry (Monsen et al. 1978).
    """
    if line.source_grams == 0:
        return IronLine(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    total = line.values["FE"]
    share = iron["heme_share"].value / 100 if line.source_food.heme else 0.0
    raw = cooked = 0.0
    if line.food.mfp:
        raw = line.edible if line.food.state in RAW_STATES else line.edible * iron["cooked_to_raw"].value
        cooked = line.cooked
    soy: float | None = 0.0
    if SOY_MARK in line.food.allergens and line.food.group in SOY_GROUPS:
        soy = line.values["PROCNT"]
    return IronLine(
        heme=None if total is None else total * share,
        nonheme=None if total is None else total * (1 - share),
        mfp_raw=raw,
        mfp_cooked=cooked,
        eggs=line.edible / iron["egg_weight"].value if line.food.group == EGG_GROUP else 0.0,
        soy=soy,
    )


def meal_class(iron: Mapping[str, Figure], mfp_raw_g: float, vitc_mg: float) -> str:
    """Class of nonheme availability by raw meat, fish and poultry (g) and vitamin C (mg) of the meal.

    Monsen et al. 1978: low below both lower limits; high above one upper limit or between both pairs of limits;
    medium otherwise.
    """
    m, c = half_up(mfp_raw_g, 9), half_up(vitc_mg, 9)
    m_low, m_high = iron["mfp_low"].value, iron["mfp_high"].value
    c_low, c_high = iron["vitc_low"].value, iron["vitc_high"].value
    if m > m_high or c > c_high or (m >= m_low and c >= c_low):
        return HIGH
    return MEDIUM if m >= m_low or c >= c_low else LOW


def gaps(iron: Mapping[str, Figure], cls: str, mfp_raw_g: float, vitc_mg: float) -> tuple[float, float]:
    """Vitamin C (mg) and raw meat, fish or poultry (g), each alone, that lift the meal one class up."""
    if cls == HIGH:
        return 0.0, 0.0
    c_low, m_low = iron["vitc_low"].value, iron["mfp_low"].value
    if cls == LOW:
        return c_low - vitc_mg, m_low - mfp_raw_g
    has_meat = half_up(mfp_raw_g, 9) >= m_low
    if has_meat:
        return c_low - vitc_mg, iron["mfp_high"].value - mfp_raw_g
    return iron["vitc_high"].value - vitc_mg, m_low - mfp_raw_g


def by_class(iron: Mapping[str, Figure], meal: Meal, cls: str) -> Estimate:
    """Iron taken up by the classes of Monsen et al. 1978 (500 mg stores)."""
    pct = iron[{LOW: "low_pct", MEDIUM: "medium_pct", HIGH: "high_pct"}[cls]].value
    return _estimate(meal, pct, iron["heme_absorbed"].value)


def by_stores(iron: Mapping[str, Figure], meal: Meal, stores: IronStores) -> Estimate:
    """Iron taken up by the continuous equation of Monsen and Balintfy 1982 at one level of stores.

    nonheme % = base + slope x ln((EF + 100) / 100), EF = mg vitamin C + g raw meat equivalents; at EF of 75
    and above the printed cap.
    """
    factors = meal.vitc_mg + meal.mfp_raw_g
    if half_up(factors, 9) >= iron["ef_cap"].value:
        pct = stores.cap_pct
    else:
        pct = stores.base_pct + stores.slope_pct * math.log((factors + 100) / 100)
    return _estimate(meal, pct, stores.heme_pct)


def algorithm_factors(iron: Mapping[str, Figure], meal: Meal) -> dict[str, float]:
    """Factors on nonheme absorption after Hallberg and Hulthen 2000; polyphenols and alcohol are not in the
    food table and stay out (factor 1)."""
    v = {key: figure.value for key, figure in iron.items()}
    pp = meal.phytate_mg * v["hh_phosphorus"]
    vitc, meat = meal.vitc_mg, meal.mfp_cooked_g
    calcium = v["hh_calcium_floor"] + v["hh_calcium_range"] / (
        1 + 10 ** (-(v["hh_calcium_middle"] - math.log10(meal.calcium_mg + 1)) * v["hh_calcium_slope"]))
    return {
        "phytate": 10 ** (-v["hh_phytate"] * math.log10(1 + pp)),
        "vitamin C": 1 + v["hh_vitc_linear"] * vitc + math.log10(pp + 1) * v["hh_vitc_linear"]
        * 10 ** (v["hh_vitc_exponent"] * math.log10(vitc + 1)),
        "meat, fish": 1 + v["hh_meat"] * meat * (1 + v["hh_meat_phytate"] * pp),
        "calcium": min(1.0, calcium),
        "egg": max(0.0, 1 - v["hh_egg"] * meal.eggs),
        "soy protein": max(0.0, 1 - v["hh_soy"] * meal.soy_g),
    }


def by_algorithm(iron: Mapping[str, Figure], meal: Meal, factors: Mapping[str, float]) -> Estimate:
    """Iron taken up by the factor algorithm of Hallberg and Hulthen 2000 (borderline stores): 22.1 % times all
    factors, never above 100 %; calcium lowers heme iron as well."""
    pct = iron["hh_base"].value
    for name in FACTORS:
        pct *= factors[name]
    return _estimate(meal, min(100.0, pct), iron["hh_heme"].value * factors["calcium"])


def _estimate(meal: Meal, nonheme_pct: float, heme_pct: float) -> Estimate:
    absorbed = meal.nonheme_mg * nonheme_pct / 100 + meal.heme_mg * heme_pct / 100
    return Estimate(nonheme_pct, heme_pct, absorbed)


def iron_of_serving(kitchen: Kitchen, analysis: Analysis, stores_mg: float | None = None,
                    need_id: str | None = None) -> IronResult:
    """Iron of one serving as a meal; ``stores_mg`` and ``need_id`` choose rows of the tables (None: defaults)."""
    science = kitchen.tables.science
    iron = science.iron
    lines = tuple(iron_line(iron, line) for line in analysis.lines)
    meal = _meal(analysis, lines)
    cls = meal_class(iron, meal.mfp_raw_g, meal.vitc_mg)
    levels = tuple(by_stores(iron, meal, row) for row in science.stores)
    wanted = iron["stores_default"].value if stores_mg is None else stores_mg
    chosen = next(i for i, row in enumerate(science.stores) if row.stores_mg == wanted)
    classes = by_class(iron, meal, cls)
    factors = algorithm_factors(iron, meal)
    algorithm = by_algorithm(iron, meal, factors)
    known = half_up(analysis.nutrients["PHYTAC"].coverage * 100, 9) >= kitchen.constants["known_weight_min"]
    absorbed = [e.absorbed_mg for e in (classes, levels[chosen], *((algorithm,) if known else ()))]
    vitc_gap, mfp_gap = gaps(iron, cls, meal.mfp_raw_g, meal.vitc_mg)
    need = next((n for n in science.needs if n.id == need_id), science.needs[0])
    return IronResult(lines, meal, cls, classes, levels, chosen, factors, algorithm, known, min(absorbed),
                      max(absorbed), vitc_gap, mfp_gap, need, need.iron_mg * need.absorbed_pct / 100)


def _meal(analysis: Analysis, lines: Sequence[IronLine]) -> Meal:
    """The serving as a meal; unknown amounts are left out and reported by the coverage of each nutrient."""
    n = analysis.servings

    def serving(tag: str) -> float:
        return analysis.nutrients[tag].serving

    return Meal(
        heme_mg=sum(x.heme or 0.0 for x in lines) / n,
        nonheme_mg=sum(x.nonheme or 0.0 for x in lines) / n,
        vitc_mg=serving("VITC"),
        mfp_raw_g=sum(x.mfp_raw for x in lines) / n,
        mfp_cooked_g=sum(x.mfp_cooked for x in lines) / n,
        phytate_mg=serving("PHYTAC"),
        calcium_mg=serving("CA"),
        soy_g=sum(x.soy or 0.0 for x in lines) / n,
        eggs=sum(x.eggs for x in lines) / n,
    )
