"""Targets of a recipe: wishes such as FE >= 20 %DV or NA <= 600 mg per serving."""

from __future__ import annotations

from collections.abc import Mapping

from workbookgen.model.analysis import NutrientResult, TargetResult
from workbookgen.model.recipe import Target
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

MET = "met"
NOT_MET = "not met"
CANNOT_SAY = "cannot be judged"


def target_text(target: Target, unit: str) -> str:
    """The target in words, as the sheet shows it."""
    return f"{target.tag} {target.sign} {target.value:g} {'%DV' if target.basis == '%DV' else unit}"


def judge(target: Target, nutrients: Mapping[str, NutrientResult], unit: str) -> TargetResult:
    """Verdict on one target, per serving. Unknown values never turn into a pass: with short coverage a
    ceiling that holds so far cannot be judged, and a floor not reached so far cannot either."""
    result = nutrients[target.tag]
    value = result.dv_pct if target.basis == "%DV" else result.serving
    text = target_text(target, unit)
    if value is None:
        return TargetResult(text, None, CANNOT_SAY)
    floor = target.sign == ">="
    v, limit = half_up(value, 9), half_up(target.value, 9)
    holds = v >= limit if floor else v <= limit
    doubtful = result.reads == (AT_LEAST if holds != floor else AT_MOST)
    verdict = CANNOT_SAY if doubtful else (MET if holds else NOT_MET)
    return TargetResult(text, value, verdict)
