"""Words on a pack against their definitions (21 CFR part 101 subpart D), by the declared figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.claims import Racc
from workbookgen.model.food import Food
from workbookgen.model.pack import MOST_CONDITIONS, Pack, PackCondition, PackRules, PackWord
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.pack import ENERGY, per_100g, serving_g_per_ml

HOLDS, FAILS, CANNOT = "holds", "fails", "cannot be judged"
NOT_DEFINED = "not defined for this kind of product"
ASKED_NOT = ""
INGREDIENTS = {"salt_lines": "salt", "sugar_lines": "sugar", "fat_lines": "fat"}
SHARES = {"energy_fat": "FAT", "energy_sat": "FASAT"}
LESS, MEETS, LIGHT_CUT = "less_", "meets_", "light_cut"


@dataclass(frozen=True, slots=True)
class PackAmounts:
    """Grams a condition may be judged on; 0 for "small 50 g" when it is not asked."""

    reference: float
    serving: float
    small: float
    hundred: float
    healthy: float

    def of(self, basis: str) -> float:
        """Grams of a basis of ``PACK_BASES``; 0 for none."""
        return {
            "none": 0.0,
            "reference": self.reference,
            "serving": self.serving,
            "small 50 g": self.small,
            "100 g": self.hundred,
            "healthy amount": self.healthy,
        }[basis]


@dataclass(frozen=True, slots=True)
class WordVerdict:
    """The verdict on one word: states of its conditions in order ("" = not asked) with the measured values."""

    word: PackWord
    verdict: str
    states: tuple[str, ...]
    values: tuple[float | None, ...]
    picked: int


def reference_amount(kitchen: Kitchen, pack: Pack) -> tuple[float, Racc | None]:
    """Reference amount in grams (21 CFR 101.12); the serving stands in where none is chosen or its weight is not
    known."""
    racc = next((r for r in kitchen.tables.claims.raccs if r.id == pack.reference), None)
    if racc is not None and racc.grams is not None:
        return racc.grams, racc
    density = serving_g_per_ml(kitchen, pack)
    if racc is not None and racc.ml is not None and density is not None:
        return racc.ml * density, racc
    return pack.serving_g, None


def amounts(kitchen: Kitchen, pack: Pack) -> PackAmounts:
    """The amounts of one product. A reference amount of 30 g or 2 tablespoons or less is judged on 50 g too."""
    grams, racc = reference_amount(kitchen, pack)
    c = kitchen.constants
    ml = racc.ml if racc is not None else None

    def small(least_g: str, least_ml: str) -> bool:
        return half_up(grams, 9) <= c[least_g] or (ml is not None and ml <= c[least_ml])

    fifty = c["small_basis_g"]
    return PackAmounts(
        grams,
        pack.serving_g,
        fifty if small("small_racc_g", "small_racc_ml") else 0.0,
        100.0,
        fifty if small("healthy_small_g", "healthy_small_ml") else grams,
    )


def energy_share(kitchen: Kitchen, values: dict[str, float], tag: str) -> float | None:
    """Share of energy from a kind of fat, %; None when unknown or without energy."""
    part, energy = values.get(tag), values.get(ENERGY)
    if part is None or not energy:
        return None
    return part * kitchen.constants["general_fat"] / energy * 100


def quantity_values(
    kitchen: Kitchen, rules: PackRules, pack: Pack, other: Food | None
) -> dict[str, float | None]:
    """Every quantity of the rules: per 100 g for nutrients, per cent for shares, number of ingredients."""
    own = per_100g(pack, kitchen.tables)
    theirs = dict(other.values) if other is not None else {}
    at = amounts(kitchen, pack)
    found: dict[str, float | None] = {}
    for quantity, _, _ in rules.quantities:
        if quantity in INGREDIENTS:
            found[quantity] = {"no": 0.0, "yes": 1.0}.get(getattr(pack, INGREDIENTS[quantity]))
        elif quantity in SHARES:
            found[quantity] = energy_share(kitchen, own, SHARES[quantity])
        elif quantity.startswith(LESS):
            found[quantity] = less(own, theirs, quantity.removeprefix(LESS))
        elif quantity.startswith(MEETS):
            found[quantity] = meets(kitchen, rules, pack.kind, quantity.removeprefix(MEETS), theirs, at)
        elif quantity == LIGHT_CUT:
            found[quantity] = light_cut(kitchen, rules, own, theirs, at)
        else:
            found[quantity] = own.get(quantity)
    return found


def less(own: dict[str, float], other: dict[str, float], tag: str) -> float | None:
    """Per cent less than the compared product, weight for weight."""
    mine, theirs = own.get(tag), other.get(tag)
    return None if mine is None or not theirs else (1 - mine / theirs) * 100


def meets(
    kitchen: Kitchen, rules: PackRules, kind: str, statement: str, theirs: dict[str, float], at: PackAmounts
) -> float | None:
    """1 when the compared product meets a statement, 0 when not, None when a figure is missing."""
    met = True
    for condition in rules.meets[statement, kind]:
        grams = at.of(condition.basis)
        if condition.basis != "none" and grams == 0:
            continue
        value = (
            energy_share(kitchen, theirs, SHARES[condition.quantity])
            if condition.quantity in SHARES
            else theirs.get(condition.quantity)
        )
        if value is None:
            return None
        met = met and within(condition.sign, value * grams / 100 if grams else value, condition.limit)
    return 1.0 if met else 0.0


def light_cut(
    kitchen: Kitchen, rules: PackRules, own: dict[str, float], theirs: dict[str, float], at: PackAmounts
) -> float | None:
    """1 when the reductions of a "light" food are reached, 0 when not, None when a figure is missing.

    Fat at least halved; or, where less than half of the compared product's energy is from fat, calories a third
    less; where it is itself low in calories and in fat, sodium halved (21 CFR 101.56(b), (c)).
    """
    c = kitchen.constants
    low = [meets(kitchen, rules, "food", s, theirs, at) for s in ("low_calorie", "low_fat")]
    share = energy_share(kitchen, theirs, "FAT")
    if None in low or share is None:
        return None
    if sum(x or 0 for x in low) == 2:
        asked = [("NA", "light_sodium_cut")]
    else:
        asked = [("FAT", "light_fat_cut")]
        if half_up(share, 9) < c["light_fat_share"]:
            asked.append((ENERGY, "light_energy_cut"))
    cuts = [(less(own, theirs, tag), c[name]) for tag, name in asked]
    if any(cut is not None and half_up(cut, 9) >= half_up(limit, 9) for cut, limit in cuts):
        return 1.0
    return None if any(cut is None for cut, _ in cuts) else 0.0


def within(sign: str, value: float, limit: float) -> bool:
    """Compare with both sides rounded to 9 decimals, so that binary noise decides nothing."""
    v, at = half_up(value, 9), half_up(limit, 9)
    return {"<=": v <= at, "<": v < at, ">=": v >= at, ">": v > at}[sign]


def judge(condition: PackCondition, value: float | None, at: PackAmounts) -> tuple[str, float | None]:
    """State of a condition and the measured value on its basis."""
    grams = at.of(condition.basis)
    if condition.basis != "none" and grams == 0:
        return ASKED_NOT, None
    if value is None:
        return CANNOT, None
    measured = value if condition.basis == "none" else value * grams / 100
    return (HOLDS if within(condition.sign, measured, condition.limit) else FAILS), measured


def judge_words(
    kitchen: Kitchen, rules: PackRules, pack: Pack, other: Food | None
) -> tuple[WordVerdict, ...]:
    """A verdict for each word of the pack, with the condition that decides: the first that fails, else the first
    that cannot be judged, else the first."""
    values = quantity_values(kitchen, rules, pack, other)
    at = amounts(kitchen, pack)
    found: list[WordVerdict] = []
    for word_id in pack.words:
        word = rules.word(word_id)
        conditions = word.conditions.get(pack.kind, ())
        if not conditions:
            found.append(WordVerdict(word, NOT_DEFINED, (), (), 0))
            continue
        judged = [judge(c, values[c.quantity], at) for c in conditions]
        found.append(decide(word, judged))
    return tuple(found)


def decide(word: PackWord, judged: Sequence[tuple[str, float | None]]) -> WordVerdict:
    """All conditions must hold; the places count from 1."""
    states = tuple(state for state, _ in judged)
    assert len(states) <= MOST_CONDITIONS
    verdict = FAILS if FAILS in states else CANNOT if CANNOT in states else HOLDS
    return WordVerdict(word, verdict, states, tuple(v for _, v in judged), states.index(verdict) + 1)
