"""Targets judged by the core on a worked-out recipe: nothing here knows how the amounts were found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.adjust.cost import serving_cost
from workbookgen.adjust.targets import (
    CORRECTED,
    COST,
    NUTRIENT,
    PER_100G,
    PER_DV,
    PLATE,
    SCORE,
    STATEMENT,
    WEIGHT,
    Wish,
)
from workbookgen.model.analysis import Analysis, NutrientResult
from workbookgen.nutrition.claims import CANNOT, HOLDS, NOTHING, judge_statements
from workbookgen.nutrition.claims_measures import Dish, line_most
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.protein import protein_of_serving
from workbookgen.nutrition.targets import CANNOT_SAY, MET, NOT_MET
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

_NAMED = 3


@dataclass(frozen=True, slots=True)
class Reached:
    """What a dish reaches of one target: the figure (None where there is no single one), in words, the verdict and a
    remark on what stays open."""

    wish: Wish
    value: float | None
    words: str
    verdict: str
    remark: str = ""


def holds(wish: Wish, value: float) -> bool:
    """Both limits, compared as the core does: rounded to 9 decimals."""
    v = half_up(value, 9)
    return (wish.low is None or v >= half_up(wish.low, 9)) and (wish.high is None or v <= half_up(wish.high, 9))


def reached(kitchen: Kitchen, analysis: Analysis, wish: Wish) -> Reached:
    """Judge one target."""
    if wish.kind == NUTRIENT:
        return _nutrient(kitchen, analysis, wish)
    if wish.kind == PLATE:
        return _plate(analysis, wish)
    if wish.kind == WEIGHT:
        value = analysis.serving_g
        return Reached(wish, value, f"{shown(value, 0)} g", MET if holds(wish, value) else NOT_MET)
    if wish.kind == COST:
        return _cost(kitchen, analysis, wish)
    if wish.kind in (SCORE, CORRECTED):
        return _protein(kitchen, analysis, wish)
    assert wish.kind == STATEMENT
    return _statement(kitchen, analysis, wish)


def all_reached(kitchen: Kitchen, analysis: Analysis, wishes: Sequence[Wish]) -> tuple[Reached, ...]:
    return tuple(reached(kitchen, analysis, wish) for wish in wishes)


def _nutrient(kitchen: Kitchen, analysis: Analysis, wish: Wish) -> Reached:
    found = analysis.nutrients[wish.tag]
    nutrient = kitchen.nutrient_by_tag[wish.tag]
    if wish.basis == PER_DV:
        value, decimals, unit = found.dv_pct or 0.0, 1, " %DV"
    else:
        value = found.per_100g if wish.basis == PER_100G else found.serving
        decimals, unit = max(1, nutrient.decimals), f" {nutrient.unit}"
    words = f"{found.reads} {shown(value, decimals)}{unit}".strip()
    verdict = _verdict(wish, value, found.reads == AT_LEAST, found.reads == AT_MOST)
    remark = _open_remark(kitchen, analysis, wish, found) if verdict == CANNOT_SAY else ""
    return Reached(wish, value, words, verdict, remark)


def _verdict(wish: Wish, value: float, may_be_more: bool, may_be_less: bool) -> str:
    """Unknown values never turn into a pass: a ceiling that holds for what is known, or a floor that what is known
    does not reach, cannot be judged while there may be more; the other way round while there may be less."""
    v = half_up(value, 9)
    verdicts = []
    if wish.low is not None:
        good = v >= half_up(wish.low, 9)
        doubt = may_be_less if good else may_be_more
        verdicts.append(CANNOT_SAY if doubt else MET if good else NOT_MET)
    if wish.high is not None:
        good = v <= half_up(wish.high, 9)
        doubt = may_be_more if good else may_be_less
        verdicts.append(CANNOT_SAY if doubt else MET if good else NOT_MET)
    return next((word for word in (NOT_MET, CANNOT_SAY) if word in verdicts), MET)


def _open_remark(kitchen: Kitchen, analysis: Analysis, wish: Wish, found: NutrientResult) -> str:
    """Which foods leave a target open, and the most they could add where the table bounds it."""
    if found.reads == AT_MOST:
        return "fat that was poured off is still counted, so the figure may be too high"
    unknown = [x for x in analysis.lines if x.values[wish.tag] is None and x.weight_without_water > 0]
    part = [x for x in analysis.lines if x.food.known is not None and x not in unknown]
    names = list(dict.fromkeys(x.food.name for x in (*unknown, *part)))
    more = "" if len(names) <= _NAMED else f" and {len(names) - _NAMED} more"
    text = f"no figure for {', '.join(names[:_NAMED])}{more}"
    dish = Dish(kitchen, analysis, 0.0)
    bound = dish.bounds.get(wish.tag)
    if bound is None:
        return f"{text}; a ceiling cannot be proven"
    extra = sum(line_most(x, bound, dish.group_most) for x in analysis.lines) / analysis.servings
    unit = kitchen.nutrient_by_tag[wish.tag].unit
    return f"{text}: at most {shown(extra, 1)} {unit} more of a serving by the highest of their food group"


def _plate(analysis: Analysis, wish: Wish) -> Reached:
    """One group against its own limits, or all groups within a tolerance of the plan; then the one farthest off is
    told."""
    served = any(g.grams > 0 for g in analysis.plate)
    if wish.group:
        group = next(g for g in analysis.plate if g.group == wish.group)
        good = served and holds(wish, group.share_pct)
        return Reached(wish, group.share_pct, f"{shown(group.share_pct, 1)} %", MET if good else NOT_MET)
    far = max(analysis.plate, key=lambda g: abs(g.share_pct - g.target_pct))
    off = [
        g
        for g in analysis.plate
        if half_up(g.share_pct, 9) < half_up(g.target_pct - wish.tolerance, 9)
        or half_up(g.share_pct, 9) > half_up(g.target_pct + wish.tolerance, 9)
    ]
    words = f"farthest off: {far.group} {shown(far.share_pct, 1)} % for {shown(far.target_pct, 0)} %"
    return Reached(wish, None, words if served else "nothing on the plate", MET if served and not off else NOT_MET)


def _cost(kitchen: Kitchen, analysis: Analysis, wish: Wish) -> Reached:
    value, unknown = serving_cost(kitchen, analysis)
    words = f"{'at least ' if unknown else ''}{shown(value, 2)}"
    verdict = _verdict(wish, value, bool(unknown), False)
    remark = f"no price for {', '.join(unknown[:_NAMED])}" if verdict == CANNOT_SAY else ""
    return Reached(wish, value, words, verdict, remark)


def _protein(kitchen: Kitchen, analysis: Analysis, wish: Wish) -> Reached:
    chosen = dict(analysis.recipe.settings).get("protein_pattern")
    found = protein_of_serving(kitchen, analysis, chosen)
    value = found.chosen.score if wish.kind == SCORE else found.corrected_g
    enough = half_up(found.covered * 100, 9) >= kitchen.constants["protein_covered_min"]
    if value is None or not enough:
        return Reached(wish, value, "not enough data", CANNOT_SAY, "too little of the protein has known amino acids")
    words = shown(value, 2) if wish.kind == SCORE else f"{shown(value, 1)} g"
    return Reached(wish, value, words, MET if holds(wish, value) else NOT_MET)


def _statement(kitchen: Kitchen, analysis: Analysis, wish: Wish) -> Reached:
    found = judge_statements(kitchen, analysis).by_id[wish.statement]
    verdict = MET if found.verdict == HOLDS else CANNOT_SAY if found.verdict in (CANNOT, NOTHING) else NOT_MET
    decides = found.decisive.decides if found.decisive else ""
    remark = f"no figure for {decides}" if verdict == CANNOT_SAY and decides else ""
    return Reached(wish, None, found.verdict, verdict, remark)
