"""Reduced, light and more: a dish against a packaged product whose label gives rounded amounts."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.claims import REFERENCE_SET, Comparison
from workbookgen.model.pack import Pack
from workbookgen.nutrition.claims import CANNOT, WORDS, Verdicts, within
from workbookgen.nutrition.claims_compare import scaled, source_statement
from workbookgen.nutrition.claims_measures import ENERGY, Dish, Measured, measure
from workbookgen.nutrition.pack import allowed

OTHER_KIND, NOT_ON_LABEL = "not for this kind of dish", "not on this label"
FOOD = "food"
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class AgainstPack:
    """A comparison with a product: the dish's known amount, what the product's label allows (least and most) on the
    same grams, code and verdict."""

    comparison: Comparison
    amount: float
    least: float
    most: float
    code: int
    verdict: str


def declared_span(dish: Dish, pack: Pack, tag: str) -> Span | None:
    """Least and most of one serving that the label's rounded figure allows; None when it declares none.

    A figure the rounding rule (21 CFR 101.9(c)) never gives is taken as it stands.
    """
    amount = pack.amounts.get(tag)
    if amount is None:
        return None
    return allowed(amount, dish.kitchen.tables.rounding.get(tag)) or (amount, amount)


def judge_against_pack(comparison: Comparison, dish: Dish, verdicts: Verdicts, pack: Pack) -> AgainstPack:
    """Judge one comparison of ``dish`` with the product: it holds only where it holds for every amount the label's
    rounding allows, and fails only where none of them would do.

    Both are counted on the dish's reference amount (21 CFR 101.12) when it is a US food, else on 100 g. The product
    must not be low itself (21 CFR 101.13(j)(3)): sure only when its least amount lies above the limit.
    """
    food = verdicts.dish_word == FOOD
    grams = dish.racc_g if food else 100.0
    quantity = dish.rules.quantities[comparison.quantity]
    span = declared_span(dish, pack, quantity.terms[0][0]) if len(quantity.terms) == 1 else None
    weight = dish.analysis.cooked_weight
    if grams <= 0 or weight <= 0 or pack.serving_g <= 0:
        return AgainstPack(comparison, 0.0, 0.0, 0.0, 0, CANNOT)
    mine = scaled(measure(dish, quantity), grams / weight)
    factor = grams / pack.serving_g
    if span is None:
        return AgainstPack(comparison, mine.known, 0.0, 0.0, 0, NOT_ON_LABEL)
    least, most = span[0] * factor, span[1] * factor
    if comparison.dish not in ("any", verdicts.dish_word):
        return AgainstPack(comparison, mine.known, least, most, 0, OTHER_KIND)
    judge = _less if comparison.change == "less" else _more
    code = min(
        judge(comparison, mine, least, most, dish, verdicts),
        _not_low(comparison, dish, verdicts, least),
        _also(comparison, dish, verdicts, pack, (grams / weight, factor)),
    )
    return AgainstPack(comparison, mine.known, least, most, code, WORDS[code])


def _fall(of: float, to: float) -> float:
    return (of - to) / of * 100 if of > 0 else 0.0


def _less(c: Comparison, a: Measured, least: float, most: float, dish: Dish, verdicts: Verdicts) -> int:
    if not a.open and least > 0 and within(">=", _fall(least, a.most), c.least):
        return 1
    return 0 if within(">=", _fall(most, a.known), c.least) else -1


def _more(c: Comparison, a: Measured, least: float, most: float, dish: Dish, verdicts: Verdicts) -> int:
    def rise(of: float) -> float:
        if c.counted == "%":
            return (a.known - of) / of * 100 if of > 0 else 0.0
        return (a.known - of) / values[c.quantity].value * 100

    values = dish.kitchen.reference_set_by_id[REFERENCE_SET[verdicts.rule_set]].values
    if within(">=", rise(most), c.least):
        return 1
    return 0 if a.short or within(">=", rise(least), c.least) else -1


def low_limit(dish: Dish, comparison: Comparison, rule_set: str, word: str) -> float | None:
    """The limit of "low" for the same nutrient and kind of dish, None where the comparison names none."""
    rule = dish.rules.rule(rule_set, word, comparison.reference_not) if comparison.reference_not else None
    if rule is None:
        return None
    return next((c.limit for c in rule.conditions if c.quantity == comparison.quantity), None)


def _not_low(c: Comparison, dish: Dish, verdicts: Verdicts, least: float) -> int:
    if not c.reference_not:
        return 1
    limit = low_limit(dish, c, verdicts.rule_set, verdicts.dish_word)
    return 1 if limit is not None and within(">", least, limit) else 0


def _also(c: Comparison, dish: Dish, verdicts: Verdicts, pack: Pack, factors: tuple[float, float]) -> int:
    if c.also == "sat_2g":
        sat = scaled(measure(dish, dish.rules.quantities["FASAT"]), factors[0])
        limit = c.also_limit or 0.0
        return 1 if within("<=", sat.most, limit) else (0 if within("<=", sat.known, limit) else -1)
    energy = declared_span(dish, pack, ENERGY)
    if c.also == "fat_below_half":
        fat = declared_span(dish, pack, "FAT")
        if energy is None or fat is None:
            return 0
        per_g, limit = dish.kitchen.constants["general_fat"], c.also_limit or 0.0
        high = fat[1] * per_g / energy[0] * 100 if energy[0] > 0 else limit
        low = fat[0] * per_g / energy[1] * 100 if energy[1] > 0 else 0.0
        return 1 if within("<", high, limit) else (0 if within("<", low, limit) else -1)
    if c.also == "energy_not_higher":
        if energy is None:
            return 0
        mine = dish.analysis.nutrients[ENERGY].dish * factors[0]
        return 1 if within("<=", mine, energy[0] * factors[1]) else (0 if within("<=", mine, energy[1] * factors[1]) else -1)
    if c.also == "source":
        return verdicts.by_id[source_statement(verdicts, c.quantity)].code
    return 1
