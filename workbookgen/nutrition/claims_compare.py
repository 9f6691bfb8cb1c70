"""Statements that compare two dishes, and the authorised health claims (21 CFR part 101 subparts D and E)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.model.claims import REFERENCE_SET, Comparison, Quantity, Rule
from workbookgen.nutrition.claims import CANNOT, UNCONFIRMED, WORDS, Verdicts, within
from workbookgen.nutrition.claims_measures import ENERGY, Dish, Measured, measure
from workbookgen.nutrition.label import half_up

MET, NOT_MET = "met", "not met"
#: Statements every health claim needs (21 CFR 101.14(a)(4) and (e)(6)).
ALWAYS = ("level_fat", "level_sat", "level_chol", "level_sodium", "ten_percent")


@dataclass(frozen=True, slots=True)
class Compared:
    """A comparison judged: amounts of both dishes on their basis, the change found (per cent less or more, or
    points of % DV), code and verdict."""

    comparison: Comparison
    amount: float
    reference: float
    change: float
    code: int
    verdict: str


def per_basis(dish: Dish, food: bool, other_racc: float = 0.0) -> float | None:
    """Factor from the whole dish to what comparisons count on: for a US food the reference amount (the other
    dish's when it has none of its own), else 100 g; None when the reference amount is not known."""
    weight = dish.analysis.cooked_weight
    if not food:
        return 100 / weight if weight else 0.0
    racc = dish.racc_g or other_racc
    return racc / weight if racc > 0 else None


def judge_comparison(
    comparison: Comparison, dish: Dish, verdicts: Verdicts, other: Dish, others: Verdicts
) -> Compared:
    """Judge one comparison of ``dish`` with the reference dish ``other``.

    Reduced: (reference - amount) / reference, with upper bounds for what is unknown on the side that hurts.
    More: the known amount must reach it, and the reference must be known in full.
    """
    food = verdicts.dish_word == "food"  # the kind of the dish itself decides what both are counted on
    mine, theirs = per_basis(dish, food), per_basis(other, food, dish.racc_g)
    if mine is None or theirs is None:
        return Compared(comparison, 0.0, 0.0, 0.0, 0, CANNOT)
    quantity = dish.rules.quantities[comparison.quantity]
    a, b = (scaled(measure(d, quantity), f) for d, f in ((dish, mine), (other, theirs)))
    if comparison.dish not in ("any", verdicts.dish_word):
        return Compared(comparison, a.known, b.known, 0.0, 0, "not for this kind of dish")
    code, change = (
        _less(comparison, a, b) if comparison.change == "less" else _more(comparison, a, b, dish, verdicts)
    )
    code = min(
        code,
        _reference_code(comparison, others),
        _also_code(comparison, quantity, dish, other, verdicts, (mine, theirs)),
    )
    return Compared(comparison, a.known, b.known, change, code, WORDS[code])


def scaled(m: Measured, factor: float) -> Measured:
    return Measured(m.known * factor, m.most * factor, m.short, m.open, m.loose, m.drained, m.decides)


def _percent(change: float, of: float) -> float:
    return change / of * 100 if of > 0 else 0.0


def _less(c: Comparison, a: Measured, b: Measured) -> tuple[int, float]:
    found = _percent(b.known - a.known, b.known)
    sure = not a.open and b.known > 0 and within(">=", _percent(b.known - a.most, b.known), c.least)
    hopeless = not b.open and not within(">=", _percent(b.most - a.known, b.most), c.least)
    return (1 if sure else (-1 if hopeless else 0)), found


def _more(c: Comparison, a: Measured, b: Measured, dish: Dish, verdicts: Verdicts) -> tuple[int, float]:
    if c.counted == "%":
        found = _percent(a.known - b.known, b.known)
    else:
        values = dish.kitchen.reference_set_by_id[REFERENCE_SET[verdicts.rule_set]].values
        found = (a.known - b.known) / values[c.quantity].value * 100
    if within(">=", found, c.least):
        return (0 if b.short else 1), found
    return (0 if a.short else -1), found


def _reference_code(c: Comparison, others: Verdicts) -> int:
    """The reference dish must not itself be low (21 CFR 101.13(j)(3))."""
    return -others.by_id[c.reference_not].code if c.reference_not else 1


def source_statement(verdicts: Verdicts, tag: str) -> str:
    return f"source_{tag}" if f"source_{tag}" in verdicts.by_id else f"micro_source_{tag}"


def _also_code(
    c: Comparison,
    quantity: Quantity,
    dish: Dish,
    other: Dish,
    verdicts: Verdicts,
    factors: tuple[float, float],
) -> int:
    n, m = dish.analysis.nutrients, other.analysis.nutrients
    if c.also == "sat_2g":
        sat = scaled(measure(dish, dish.rules.quantities["FASAT"]), factors[0])
        limit = c.also_limit or 0.0
        return 1 if within("<=", sat.most, limit) else (0 if within("<=", sat.known, limit) else -1)
    if c.also == "fat_below_half":
        share = measure(other, other.rules.quantities["energy_fat"]).known
        return 1 if within("<", share, c.also_limit or 0.0) else -1
    if c.also == "energy_not_higher":
        return 1 if within("<=", n[ENERGY].dish * factors[0], m[ENERGY].dish * factors[1]) else -1
    if c.also == "source":
        return verdicts.by_id[source_statement(verdicts, quantity.id)].code
    return 1


@dataclass(frozen=True, slots=True)
class HealthResult:
    """A health claim: met, not met, cannot be judged or figures not confirmed, with the code of each
    condition (those every claim needs come first)."""

    words: str
    rule: Rule
    verdict: str
    code: int
    codes: tuple[int, ...]


def judge_health(words: str, rule: Rule, verdicts: Verdicts, inputs: Mapping[str, float]) -> HealthResult:
    """Judge one authorised health claim on the verdicts of a recipe; ``inputs`` are grams typed for
    substances that no food table holds (soluble fiber, soy protein, sterols); what is missing there cannot be
    judged."""
    common = [verdicts.by_id[s].code for s in ALWAYS]
    own = []
    for condition in rule.conditions:
        kind, _, what = condition.quantity.partition(":")
        if kind == "say":
            own.append(verdicts.by_id[what].code)
        elif what not in inputs:
            own.append(0)
        else:
            own.append(1 if half_up(inputs[what], 9) >= half_up(condition.limit, 9) else -1)
    paths = [
        min(k for c, k in zip(rule.conditions, own, strict=True) if c.path in (0, path))
        for path in rule.paths
    ]
    code = min([*common, max(paths)])
    word = {1: MET, 0: CANNOT, -1: NOT_MET}[code]
    return HealthResult(words, rule, word if rule.confirmed else UNCONFIRMED, code, (*common, *own))


def reading(dv_pct: float | None, low: float, high: float) -> str:
    """low, high or between: a per cent Daily Value read by two thresholds; "" without a Daily Value."""
    if dv_pct is None:
        return ""
    v = half_up(dv_pct, 9)
    return "low" if v <= low else ("high" if v >= high else "between")


def turns(code: int, sign: str, flips: float, change_pct: float) -> bool:
    """Does a harmful change of the governing amount by ``change_pct`` per cent turn a verdict?"""
    strict = sign in ("<", ">", "< known")
    change, at = half_up(change_pct, 9), half_up(flips, 9)
    if code == 0:
        return False
    return change >= at if strict == (code == 1) else change > at
