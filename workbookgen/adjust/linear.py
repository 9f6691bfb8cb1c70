"""Targets as linear conditions on the amounts, at fixed servings.

Every figure of the core is a sum over lines, and each line is proportional to its amount, so one unit of each
food gives a coefficient. What is not linear as it stands is made so:

* per cent Daily Value: times the reference value; per serving: the number of servings stays.
* per 100 g, shares of the plate, shares of energy: value / weight <= limit becomes value - limit x weight <= 0
  (the weight is never negative, so nothing is lost).
* protein score (lowest of nine ratios, FAO 2013): at least s when every amino acid reaches s, nine rows.
* protein corrected for its quality: the product of a ratio and the digestibility of the mixture is no linear form.
  The digestibility is held at or above a figure near the present one, which turns the rest into rows. That asks for
  a little more than the target does; several figures are tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from workbookgen.adjust.cost import price_per_unit
from workbookgen.adjust.safety import QuietCaution
from workbookgen.adjust.space import Demand, Row, Space, Vector
from workbookgen.adjust.targets import CORRECTED, COST, NUTRIENT, PER_100G, PER_DV, PLATE, SCORE, WEIGHT, Wish
from workbookgen.model.errors import BadInput
from workbookgen.model.science import AMINO, AMINO_NAMES, ProteinPattern
from workbookgen.nutrition.kitchen import is_water
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.lines import ABSORBED
from workbookgen.nutrition.plate import plate_role
from workbookgen.nutrition.protein import protein_line, protein_of_serving

AT_LEAST, AT_MOST = ">=", "<="
#: Digestibility of the mixture tried for corrected protein: the present one less these figures.
DIGESTIBILITY_BELOW = (0.0, 0.02, 0.05)
SERVING_UNIT, PLATE_UNIT, MONEY, SCORE_UNIT = "g serving", "% of the plate", "money", "score"


def limits(wish: Wish) -> list[tuple[str, float]]:
    """The limits of a wish with their signs."""
    return [(s, v) for s, v in ((AT_LEAST, wish.low), (AT_MOST, wish.high)) if v is not None]


def ways_of(space: Space, wish: Wish, number: int) -> tuple[Demand, ...]:
    """The ways to fulfil one target that is no statement; each is a set of rows that must hold together."""
    if wish.kind == NUTRIENT:
        return (Demand(tuple(_nutrient_rows(space, wish, number))),)
    if wish.kind == PLATE:
        return (Demand(tuple(_plate_rows(space, wish, number))),)
    if wish.kind == WEIGHT:
        return (Demand(tuple(weight_row(space, number, s, v, "Weight of a serving") for s, v in limits(wish))),)
    if wish.kind == COST:
        return (Demand(tuple(_cost_rows(space, wish, number))),)
    if wish.kind == SCORE:
        return (Demand(tuple(_score_rows(space, wish, number))),)
    assert wish.kind == CORRECTED
    least = wish.low or 0.0
    return tuple(Demand(tuple(rows)) for rows in corrected_ways(space, number, least * space.servings))


def nutrient_row(
    space: Space, number: int | str, tag: str, sign: str, limit: float, strict: bool = False, label: str = ""
) -> Row:
    """Amount of one serving, in the nutrient's unit."""
    nutrient = space.kitchen.nutrient_by_tag[tag]
    return Row(
        number, label or nutrient.name, sign, space.values(tag), limit, nutrient.unit, den_constant=space.servings,
        strict=strict, tag=tag,
    )  # fmt: skip


def _nutrient_rows(space: Space, wish: Wish, number: int) -> Iterable[Row]:
    nutrient = space.kitchen.nutrient_by_tag[wish.tag]
    values = space.values(wish.tag)
    for sign, limit in limits(wish):
        if wish.basis == PER_100G:
            label = f"{nutrient.name} per 100 g"
            yield Row(number, label, sign, values, limit, nutrient.unit, den=space.cooked / 100)
        elif wish.basis == PER_DV:
            daily = space.kitchen.reference_set_by_id[space.analysis.settings.reference_set].values[wish.tag].value
            yield Row(
                number, nutrient.name, sign, values, limit, PER_DV, den_constant=space.servings * daily / 100, tag=wish.tag
            )
        else:
            yield nutrient_row(space, number, wish.tag, sign, limit)


def _plate_rows(space: Space, wish: Wish, number: int) -> Iterable[Row]:
    """Shares of the plate by weight. The sum of all groups must be more than nothing."""
    recipe, settings = space.analysis.recipe, space.analysis.settings
    model = space.kitchen.plate_model_by_id[recipe.plate_model or settings.plate_model]
    grams = {
        g.name: space.vector(lambda one, g=g: one.cooked if plate_role(one, recipe.legumes_as) in g.roles else 0.0)  # type: ignore[misc]
        for g in model.groups
    }
    whole = sum(grams.values(), start=np.zeros(len(space.slots)))
    yield Row(number, "Anything on the plate", AT_LEAST, whole, 1.0, "g", den_constant=1.0)
    for group in model.groups:
        asked: list[tuple[str, float]]
        if wish.group:
            asked = limits(wish) if wish.group == group.name else []
        else:
            asked = [(AT_LEAST, group.target_pct - wish.tolerance), (AT_MOST, group.target_pct + wish.tolerance)]
            asked = [(s, v) for s, v in asked if not (s == AT_LEAST and v <= 0)]
        for sign, limit in asked:
            yield Row(number, group.name, sign, grams[group.name], limit, PLATE_UNIT, den=whole / 100)


def weight_row(space: Space, number: int | str, sign: str, grams: float, label: str) -> Row:
    """Weight of one serving. A weighed pot belongs to the old amounts, so the estimate counts."""
    return Row(number, label, sign, space.cooked, grams, SERVING_UNIT, den_constant=space.servings)


def _cost_rows(space: Space, wish: Wish, number: int) -> Iterable[Row]:
    prices = np.array([price_per_unit(space.kitchen, slot.one) or 0.0 for slot in space.slots])
    for sign, limit in limits(wish):
        yield Row(number, "Cost of a serving", sign, prices, limit, MONEY, den_constant=space.servings)


def pattern_of(space: Space) -> ProteinPattern:
    """The pattern the recipe chooses, else the default one."""
    science = space.kitchen.tables.science
    if not science.patterns:
        raise BadInput("--target", "this food table has no amino-acid patterns; leave protein targets out")
    chosen = dict(space.analysis.recipe.settings).get("protein_pattern", "")
    found = next((p for p in science.patterns if p.id == chosen), None)
    return found or science.patterns[science.pattern_no("default")]


def _protein_vectors(space: Space) -> tuple[dict[str, Vector], Vector, Vector, Vector]:
    """Per unit: each amino acid (mg), covered protein, its digested part, all protein (g, N x 6.25)."""
    lines = [protein_line(space.kitchen, slot.one) for slot in space.slots]
    amino = {a: np.array([x.amino.get(a, 0.0) for x in lines]) for a in AMINO}
    return (
        amino,
        np.array([x.reference for x in lines]),
        np.array([x.digested for x in lines]),
        np.array([x.nitrogen for x in lines]),
    )


def covered_protein(space: Space) -> Vector:
    """Protein with known amino acids (g, N x 6.25) per unit; corrected protein is never more."""
    return _protein_vectors(space)[1]


def _covered_row(space: Space, number: int | str, covered: Vector, everything: Vector) -> Row:
    least = space.kitchen.constants["protein_covered_min"]
    return Row(number, "Protein with known amino acids", AT_LEAST, covered, least, "% of protein", den=everything / 100)


def _score_rows(space: Space, wish: Wish, number: int) -> Iterable[Row]:
    amino, covered, _, everything = _protein_vectors(space)
    pattern = pattern_of(space)
    yield _covered_row(space, number, covered, everything)
    for a in AMINO:
        per_g = covered * pattern.mg_per_g[a]
        yield Row(number, AMINO_NAMES[a], AT_LEAST, amino[a], wish.low or 0.0, SCORE_UNIT, den=per_g)


def corrected_ways(
    space: Space, number: int | str, least_g: float, num_scale: float = 1.0, weight: Vector | None = None
) -> list[list[Row]]:
    """At least ``least_g`` of corrected protein in the whole dish (21 CFR 101.9(c)(7)), one way per digestibility.

    With ``weight`` the limit is taken times it (reference amounts: num_scale x corrected >= least_g x weight).
    """
    amino, covered, digested, everything = _protein_vectors(space)
    science = space.kitchen.tables.science
    pattern = science.patterns[science.pattern_no("regulation")]
    now = protein_of_serving(space.kitchen, space.analysis).digestibility or 1.0
    ways = []
    for below in DIGESTIBILITY_BELOW:
        held = now - below
        rows = [
            _covered_row(space, number, covered, everything),
            Row(number, "Digestibility of the protein", AT_LEAST, digested, held * 100, "%", den=covered / 100, exact=False),
            _floor(number, "Protein", covered * num_scale, least_g, weight, exact=True),
        ]
        for a in AMINO:
            corrected = amino[a] / pattern.mg_per_g[a] * held * num_scale
            rows.append(_floor(number, f"Corrected protein by {AMINO_NAMES[a].lower()}", corrected, least_g, weight, exact=False))
        ways.append(rows)
    return ways


def _floor(number: int | str, label: str, num: Vector, least: float, weight: Vector | None, exact: bool) -> Row:
    return Row(number, label, AT_LEAST, num, least, "g", den=weight, exact=exact)


def water_rows(space: Space) -> tuple[Row, ...]:
    """Water that grains and pulses take up must be given ("absorbed" lines), as far as it was before, and hardly more.

    Cooked grams beyond the edible ones against edible grams of liquids marked absorbed (`analyse.water_short`).
    """
    def balance(given: bool) -> Vector:
        return space.vector(
            lambda one: one.edible
            if given and one.line.water == ABSORBED and one.food.role == "liquid"
            else max(0.0, one.cooked - one.edible) if not given and not is_water(one.food) else 0.0
        )

    spare = balance(True) - balance(False)
    if not np.any(balance(True)):
        return ()
    before = float(spare @ space.start)
    rooms = [
        float(max(m.step for m in item.modes)) * item.slots[0].one.edible
        for item in space.items
        if item.slots[0].line.water == ABSORBED
    ]
    label = "Water for grains and pulses"
    return (
        Row("water", label, AT_LEAST, spare, min(before, 0.0), "g"),
        Row("water", label, AT_MOST, spare, max(before, 0.0) + max(rooms, default=0.0), "g"),
    )


def caution_rows(space: Space, quiet: Sequence[QuietCaution], allowed: frozenset[str], demanded: Sequence[Row]) -> tuple[Row, ...]:
    """Rows that keep cautions quiet which the dish does not fire yet.

    A caution named by the caller is left alone, and one whose limit a target itself asks to reach: iron of 20 per
    cent of the Daily Value is what the caution on iron warns of.
    """
    rows = []
    for caution in quiet:
        t = caution.trigger
        above = t.sign in (">", ">=")
        asked = any(
            row.tag == t.key
            and (row.sense == AT_LEAST) == above
            and (_serving_limit(space, row) >= caution.limit if above else _serving_limit(space, row) <= caution.limit)
            for row in demanded
        )
        if caution.id in allowed or asked:
            continue
        sign = AT_MOST if above else AT_LEAST
        name = f"no new caution {caution.id} ({t.name})"
        rows.append(nutrient_row(space, caution.id, t.key, sign, caution.limit, strict=t.sign != ">", label=name))
    return tuple(rows)


def _serving_limit(space: Space, row: Row) -> float:
    """Limit of a row on one nutrient as an amount of one serving, free of binary noise."""
    return half_up(row.limit * row.den_constant / space.servings, 9)
