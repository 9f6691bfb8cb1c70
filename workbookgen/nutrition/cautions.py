"""Who should ask first: cautions that fire from ingredients and figures, and safe temperatures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.model.safety import Caution, Temperature, Trigger
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.markers import NOT_LOOKED_AT, UNTREATED, line_counts, line_marks

WHY = "{why}"
NOT_KNOWN, QUIET = "not known", "-"
AT_LEAST = "at least "


@dataclass(frozen=True, slots=True)
class TriggerResult:
    """A trigger: the value compared (lines that carry the mark, amount or per cent), True when it fires,
    None when unknown values leave it open, and what to say."""

    trigger: Trigger
    value: float
    fires: bool | None
    words: str


@dataclass(frozen=True, slots=True)
class CautionResult:
    """A caution: its answer when it fires, "not known" or "-"; what set it off; texts ready to print."""

    caution: Caution
    answer: str
    why: str
    sheet: str
    card: str
    triggers: tuple[TriggerResult, ...]

    @property
    def fires(self) -> bool:
        return self.answer == self.caution.answer


@dataclass(frozen=True, slots=True)
class CautionReport:
    """All cautions in order, the temperatures that matter with their foods, and foods nobody looked at."""

    cautions: tuple[CautionResult, ...]
    temperatures: tuple[tuple[Temperature, tuple[str, ...]], ...]
    not_looked_at: tuple[str, ...]

    @property
    def card_lines(self) -> tuple[str, ...]:
        """What a card prints, in order, without gaps."""
        return tuple(c.card for c in self.cautions if c.fires and c.card)


def caution_report(kitchen: Kitchen, analysis: Analysis) -> CautionReport:
    """Work out every caution of a dish. Marks come from lines that are included, optional, garnish or held
    back; amounts from the sums of one serving."""
    safety = kitchen.safety
    lines = [line for line in analysis.lines if line_counts(line.line)]
    marked = [(line.food.name, frozenset(line_marks(line, safety))) for line in lines]
    some = any(line.weight_without_water > 0 for line in analysis.lines)
    return CautionReport(
        cautions=tuple(_caution(kitchen, c, analysis, marked, some) for c in safety.cautions),
        temperatures=tuple((t, _carriers(marked, t.id)) for t in safety.temperatures),
        not_looked_at=_carriers(marked, NOT_LOOKED_AT),
    )


Marked = Sequence[tuple[str, frozenset[str]]]


def _carriers(marked: Marked, mark: str) -> tuple[str, ...]:
    return tuple(name for name, marks in marked if mark in marks)


def _caution(
    kitchen: Kitchen, caution: Caution, analysis: Analysis, marked: Marked, some: bool
) -> CautionResult:
    results = tuple(
        figure_trigger(kitchen, t, analysis, some) if t.of_nutrient else mark_trigger(t, marked)
        for t in caution.triggers
    )
    why = "; ".join(r.words for r in results if r.fires)
    if not any(r.fires for r in results):
        answer = NOT_KNOWN if any(r.fires is None for r in results) else QUIET
        return CautionResult(caution, answer, "", "", "", results)
    return CautionResult(
        caution, caution.answer, why, caution.sheet.replace(WHY, why), caution.card.replace(WHY, why), results
    )


def mark_trigger(trigger: Trigger, marked: Marked) -> TriggerResult:
    """An ingredient trigger fires when a line carries its mark; "untreated" asks for the mark with ``!``."""
    key = trigger.key + (UNTREATED if trigger.kind == "untreated" else "")
    names = _carriers(marked, key)
    return TriggerResult(trigger, float(len(names)), bool(names), "; ".join(names))


def figure_trigger(kitchen: Kitchen, trigger: Trigger, analysis: Analysis, some: bool) -> TriggerResult:
    """A figure of one serving against its limit.

    A floor that is not reached and a ceiling that holds are open (None) while part of the weight has no
    value. ``some`` is False for a dish without counted weight: nothing fires.
    """
    found = analysis.nutrients[trigger.key]
    nutrient = kitchen.nutrient_by_tag[trigger.key]
    value = found.serving / trigger.per * 100 if trigger.kind == "share" else found.serving
    short = half_up(found.coverage, 9) < 1
    fires: bool | None = meets(value, trigger.sign, trigger.limit)
    if short and fires == (trigger.sign == "<="):
        fires = None
    amount = f"{shown(found.serving, nutrient.decimals)} {nutrient.unit}"
    words = f"{trigger.name} {AT_LEAST if short else ''}{amount}"
    if trigger.kind == "share":
        words += f" ({shown(value, 0)} % of {shown(trigger.per, 0)} {nutrient.unit})"
    return TriggerResult(trigger, value, fires if some else False, words if some else "")


def meets(value: float, sign: str, limit: float) -> bool:
    """True when ``value`` stands to ``limit`` as ``sign`` says; both are rounded to 9 decimals first."""
    v, most = half_up(value, 9), half_up(limit, 9)
    return v > most if sign == ">" else v >= most if sign == ">=" else v <= most
