"""The label panel of one serving: what a label would declare, in the order and words of the regulation.

US: 21 CFR 101.9(c) and the vertical format of 101.9(d). EU: Regulation (EU) No 1169/2011, Annex XV, rounded
by the Commission's guidance of December 2012. An amount that is not known is never shown as 0: it reads "not
known", or "at least" where part of the ingredients is known. The per cent Daily Value of protein stands on
quality-corrected protein alone (21 CFR 101.9(c)(7)) and is left out where that cannot be worked out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, NutrientResult
from workbookgen.model.handout import EuPanelRow, KitchenWords, PanelRules, UsPanelRow
from workbookgen.model.tables import RoundingRule
from workbookgen.nutrition.fractions import metric_amount
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, half_up, says_less_than, shown, to_step
from workbookgen.nutrition.protein import protein_of_serving
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

NOT_KNOWN = "not known"
AMOUNT = "{amount}"
INDENT = "  "
SIGNS = {"": "", AT_LEAST: "≥", AT_MOST: "≤"}


@dataclass(frozen=True, slots=True)
class PanelLine:
    """One printed line: name, two texts beside it (amount and % DV, or 100 g and portion)."""

    name: str
    first: str
    second: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel: ``servings`` and ``serving`` in words, ``energy`` of one serving, lines, the note below."""

    format: str
    servings: str
    serving: str
    energy: str
    lines: tuple[PanelLine, ...]
    note: str


def make_panel(kitchen: Kitchen, analysis: Analysis, rules: PanelRules, words: KitchenWords) -> Panel:
    """The panel that belongs to the reference set in use."""
    set_id = analysis.settings.reference_set
    format = rules.panel_of(set_id)
    nutrients = analysis.nutrients
    if format == "eu":
        printed = [row for row in rules.eu if eu_printed(kitchen, row, analysis)]
        lines = tuple(eu_line(kitchen, row, analysis) for row in printed)
    else:
        corrected = protein_dv(kitchen, analysis)
        lines = tuple(us_line(row, nutrients[row.tag], kitchen, corrected) for row in rules.us)
    return Panel(
        format=format,
        servings=servings_words(analysis.servings, words),
        serving=serving_words(analysis.recipe.serving_text, analysis.serving_g, words),
        energy=us_amount(nutrients["ENERC_KCAL"], kitchen.tables.rounding["ENERC_KCAL"], ""),
        lines=lines,
        note=rules.note_of(set_id),
    )


def protein_dv(kitchen: Kitchen, analysis: Analysis) -> float | None:
    """Per cent Daily Value of corrected protein; None without patterns or with too little known."""
    return protein_of_serving(kitchen, analysis).dv_pct if kitchen.tables.science.patterns else None


def servings_words(servings: float, words: KitchenWords) -> str:
    """"6 servings per recipe", with "about" where rounding changed the number (21 CFR 101.9(b)(8)(i))."""
    text = metric_amount(servings, words.metric_of("servings"))
    number = text.text.split(" ")[0]
    about = "about " if half_up(text.size, 9) != half_up(servings, 9) else ""
    return f"{about}{number} serving{'' if text.size == 1 else 's'} per recipe"


def serving_words(household: str, grams: float, words: KitchenWords) -> str:
    """Household measure with its metric weight behind it, rounded by 21 CFR 101.9(b)(7)(ii)."""
    weight = metric_amount(grams, words.metric_of("serving")).text
    return f"{household} ({weight})" if household else weight


def us_amount(result: NutrientResult, rule: RoundingRule, unit: str) -> str:
    """The declared amount with its reading; "not known" where zero would only mean that nothing is known."""
    figure, less = declared(result.serving, rule), says_less_than(result.serving, rule)
    if half_up(result.coverage, 9) <= 0 or (result.reads == AT_LEAST and (less or half_up(figure, 9) == 0)):
        return NOT_KNOWN
    if less:
        return _spaced(f"less than {shown(rule.text_amount, 2)}", unit)
    return _spaced(result.reads, shown(figure, 2), unit)


def _spaced(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def us_line(
    row: UsPanelRow, result: NutrientResult, kitchen: Kitchen, corrected_dv: float | None
) -> PanelLine:
    """One line of the US panel; ``corrected_dv`` is the per cent Daily Value of corrected protein, None where
    it cannot be given."""
    rule, unit = kitchen.tables.rounding[row.tag], kitchen.nutrient_by_tag[row.tag].unit
    amount = us_amount(result, rule, unit)
    exact = corrected_dv if row.corrected else result.label_dv_pct if row.shows_pct else None
    pct = "" if amount == NOT_KNOWN or exact is None else f"{SIGNS[result.reads]}{shown(exact, 0)}%"
    indent = INDENT * row.indent
    if AMOUNT not in row.name:
        return PanelLine(indent + row.name, amount, pct, row.bold)
    before, after = (part.strip() for part in row.name.split(AMOUNT))
    if amount == NOT_KNOWN:
        return PanelLine(f"{indent}{after}: {NOT_KNOWN}", "", "", row.bold)
    less = says_less_than(result.serving, rule)
    number = shown(rule.text_amount if less else declared(result.serving, rule), 2)
    short = f"{'<' if less else SIGNS[result.reads]}{number} {unit}"
    return PanelLine(f"{indent}{before} {short} {after}", "", pct, row.bold)


def eu_line(kitchen: Kitchen, row: EuPanelRow, analysis: Analysis) -> PanelLine:
    """One line of the EU panel; a vitamin or mineral carries its share of the reference value in 100 g."""
    per_100g, serving, reads, known = eu_figures(kitchen, row, analysis.nutrients)
    first, second = (eu_amount(row, value, reads, known) for value in (per_100g, serving))
    share = eu_share(kitchen, row, analysis) if row.kind == "vitamin" else None
    if share is not None:
        first += f" {shown(share, 0)}%"
    return PanelLine(INDENT * row.indent + row.name, first, second, row.indent == 0)


def eu_printed(kitchen: Kitchen, row: EuPanelRow, analysis: Analysis) -> bool:
    """False for a vitamin or mineral of which 100 g bring no significant share."""
    if row.kind != "vitamin":
        return True
    share = eu_share(kitchen, row, analysis)
    return share is not None and half_up(share, 9) >= kitchen.constants["eu_significant"]


def eu_share(kitchen: Kitchen, row: EuPanelRow, analysis: Analysis) -> float | None:
    """Per cent of the reference value that 100 g bring; None without a reference value."""
    daily = kitchen.reference_set_by_id[analysis.settings.reference_set].values.get(row.tag)
    return None if daily is None else analysis.nutrients[row.tag].per_100g / daily.value * 100


def eu_figures(
    kitchen: Kitchen, row: EuPanelRow, nutrients: Mapping[str, NutrientResult]
) -> tuple[float, float, str, bool]:
    """Amount in 100 g and in a serving, how it reads, whether anything is known of it."""
    result = nutrients[row.tag]
    known = half_up(result.coverage, 9) > 0
    if row.kind == "carbohydrate":
        fibre = nutrients["FIBTG"]
        both = result.reads == AT_LEAST and fibre.reads == AT_LEAST
        reads = result.reads or (AT_MOST if fibre.reads == AT_LEAST else "")
        return (max(0.0, result.per_100g - fibre.per_100g), max(0.0, result.serving - fibre.serving), reads,
                known and not both)
    c = kitchen.constants
    factor = {"kj": c["kj_per_kcal"], "salt": c["salt_per_sodium"] / 1000}.get(row.kind, 1.0)
    return result.per_100g * factor, result.serving * factor, result.reads, known


def eu_amount(row: EuPanelRow, value: float, reads: str, known: bool) -> str:
    """An amount in the words of the EU declaration."""
    v, low = half_up(value, 9), row.low or 0.0
    if not known or (reads == AT_LEAST and v <= low):
        return NOT_KNOWN
    if 0 < v <= low:
        return f"<{shown(eu_least(row), 2)} {row.unit}"
    step = row.step_1 if v <= row.upto_1 else row.step_2 if v <= row.upto_2 else row.step_3
    return _spaced(reads, shown(to_step(v, step), 2), row.unit)


def eu_least(row: EuPanelRow) -> float:
    """What "<" names: the limit itself, but 0.01 g for salt, whose limit 0.0125 g is finer than its steps."""
    return to_step(row.low or 0.0, row.step_1)
