"""Household measures: USDA's words become a cook's words, amounts become 1, volumes agree exactly."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from workbookgen.catalogue.authoring_rules import FoodRules
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.sr_ascii import SrWeight
from workbookgen.model.errors import BadInput

WORDS_FILE = "measure_words.csv"
EXTRA_FILE = "measures_extra.csv"
DROP = "DROP"
CAN = "can"
PLAIN_MEANS_THIS = "a plain cup, tbsp or tsp means this form"
CAN_STATES = {"canned": "with liquid", "drained": "drained", "rinsed": "rinsed"}
PART_OF_UNIT = re.compile(r"(\d+/\d+) (.+)")
# USDA prints thirds, sixths and twelfths cut short; these are what is meant.
PRINTED_FRACTIONS = {
    "0.33": Fraction(1, 3),
    "0.333": Fraction(1, 3),
    "0.67": Fraction(2, 3),
    "0.667": Fraction(2, 3),
    "0.167": Fraction(1, 6),
    "0.083": Fraction(1, 12),
}


@dataclass(frozen=True, slots=True)
class WordStep:
    """One step of the cleaning: what ``pattern`` finds is replaced, or the measure is dropped."""

    pattern: re.Pattern[str]
    becomes: str


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One row of measures.csv as text."""

    food_id: str
    unit: str
    grams: str
    source_id: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Cleaned:
    """One USDA measure in a cook's words: grams of one unit, exact."""

    seq: str
    unit: str
    grams: Fraction


def load_word_steps(data: Path) -> tuple[WordStep, ...]:
    """Read ``measure_words.csv``; the steps are applied from top to bottom."""
    steps = []
    for row in read_rows(data / WORDS_FILE, ("pattern", "becomes", "why")):
        try:
            pattern = re.compile(row.text("pattern"), re.IGNORECASE)
        except re.error as error:
            raise row.bad(f"the pattern is no regular expression ({error})") from error
        steps.append(WordStep(pattern, row.text("becomes", blank=True)))
    return tuple(steps)


def load_extra_measures(data: Path) -> dict[str, list[MeasureRow]]:
    """Read ``measures_extra.csv``: measures of other sources than USDA's WEIGHT file, by food number."""
    extra: dict[str, list[MeasureRow]] = {}
    for row in read_rows(data / EXTRA_FILE, ("ndb", "unit", "grams", "source_id", "status", "note")):
        row.number_in("grams", 0.001, 10_000)
        measure = MeasureRow(
            "sr" + row.text("ndb"),
            row.text("unit"),
            row.text("grams"),
            row.text("source_id"),
            row.text("note", blank=True),
        )
        extra.setdefault(row.text("ndb"), []).append(measure)
    return extra


def cook_words(words: str, steps: Sequence[WordStep]) -> str:
    """A cook's name of a measure, or ``""`` when it is dropped."""
    for step in steps:
        if step.becomes == DROP:
            if step.pattern.fullmatch(words):
                return ""
        else:
            words = step.pattern.sub(step.becomes, words)
    return words.strip()


def printed_amount(text: str) -> Fraction:
    """Amount of a WEIGHT line as an exact number: ``.33`` means a third."""
    key = str(Decimal(text))
    return PRINTED_FRACTIONS.get(key, Fraction(key))


def _cleaned(weight: SrWeight, steps: Sequence[WordStep]) -> Cleaned:
    """One WEIGHT line in a cook's words; a unit left as "1/2 cup" counts half a cup."""
    unit = cook_words(weight.words, steps)
    grams = Fraction(weight.grams) / printed_amount(weight.amount)
    part = PART_OF_UNIT.fullmatch(unit)
    return (
        Cleaned(weight.seq, part[2], grams / Fraction(part[1])) if part else Cleaned(weight.seq, unit, grams)
    )


def clean_measures(weights: Sequence[SrWeight], state: str, steps: Sequence[WordStep]) -> list[Cleaned]:
    """All measures of one food that stay, in USDA's order, one of each name (the first wins)."""
    cleaned: dict[str, Cleaned] = {}
    for weight in weights:
        measure = _cleaned(weight, steps)
        if measure.unit and measure.grams > 0:
            unit = _can_name(measure.unit, state)
            cleaned.setdefault(unit.casefold(), replace(measure, unit=unit))
    return list(cleaned.values())


def _can_name(unit: str, state: str) -> str:
    """A bare can says whether the grams are with the liquid or without."""
    return f"{CAN}, {CAN_STATES[state]}" if unit == CAN and state in CAN_STATES else unit


def split_unit(unit: str, volumes: Mapping[str, Fraction]) -> tuple[str, str]:
    """Volume unit and qualifier of a measure name (``("", name)`` when it starts with no volume unit)."""
    for name in sorted(volumes, key=len, reverse=True):
        if unit == name:
            return name, ""
        if unit.startswith((name + ",", name + " ")):
            return name, unit[len(name) :].strip(" ,")
    return "", unit


def density(
    weights: Sequence[SrWeight],
    seq: str,
    steps: Sequence[WordStep],
    volumes: Mapping[str, Fraction],
    place: str,
) -> Fraction | None:
    """Grams per mL from measure ``seq``; without one, from the largest plain volume unit there is."""
    best: tuple[Fraction, Fraction] | None = None
    for weight in weights:
        measure = _cleaned(weight, steps)
        unit, qualifier = split_unit(measure.unit, volumes)
        if seq and weight.seq == seq:
            unit = unit or split_unit(weight.words, volumes)[0]  # a chosen measure counts even when dropped
            if not unit:
                raise BadInput(
                    place, f'measure {seq} is "{weight.words}", which is no volume; choose another'
                )
            return measure.grams / volumes[unit]
        if unit and not qualifier and (best is None or volumes[unit] > best[0]):
            best = volumes[unit], measure.grams
    if best is None or seq:
        return None
    return best[1] / best[0]


def agreeing(measures: Sequence[Cleaned], volumes: Mapping[str, Fraction]) -> list[Cleaned]:
    """Drop plain volume units and make volumes of one form agree with the largest of that form.

    The density gives cup, tbsp, tsp and the like; "tbsp, chopped" follows from "cup, chopped".
    """
    largest: dict[str, tuple[Fraction, Fraction]] = {}
    for measure in measures:
        unit, form = split_unit(measure.unit, volumes)
        if unit and form and (form not in largest or volumes[unit] > largest[form][0]):
            largest[form] = (volumes[unit], measure.grams)
    kept = []
    for measure in measures:
        unit, form = split_unit(measure.unit, volumes)
        if unit and form:
            volume, grams = largest[form]
            kept.append(Cleaned(measure.seq, measure.unit, grams * volumes[unit] / volume))
        elif not unit:
            kept.append(measure)
    return kept


def measure_rows(
    food_id: str,
    measures: Sequence[Cleaned],
    density_seq: str,
    extra: Sequence[MeasureRow],
    source_id: str,
    rules: FoodRules,
) -> list[MeasureRow]:
    """Rows of one food: USDA's measures in their order, then the extra ones of new names.

    The note of measure ``density_seq`` says that a plain cup, tbsp or tsp of the food means its form.
    """
    rows = [
        MeasureRow(
            food_id,
            m.unit,
            decimal_text(m.grams, rules),
            source_id,
            PLAIN_MEANS_THIS if m.seq == density_seq else "",
        )
        for m in measures
    ]
    names = {row.unit.casefold() for row in rows}
    return rows + [row for row in extra if row.unit.casefold() not in names]


def decimal_text(value: Fraction, rules: FoodRules) -> str:
    """Text of an exact quotient after the written rounding."""
    return rules.significant(Decimal(value.numerator) / Decimal(value.denominator))
