"""From a table as read to rows of the catalogue, by the same rules that made the kitchen catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from workbookgen.catalogue.authoring import load_volumes
from workbookgen.catalogue.authoring_measures import (
    MeasureRow,
    WordStep,
    agreeing,
    clean_measures,
    decimal_text,
    density,
    load_extra_measures,
    load_word_steps,
    measure_rows,
)
from workbookgen.catalogue.authoring_rows import Authored
from workbookgen.catalogue.authoring_rules import FoodRules, load_rules
from workbookgen.catalogue.authoring_values import Figures, FoodFacts, food_figures, provenance_text
from workbookgen.catalogue.authoring_whole import plain_name
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.food_words import FoodWords, load_food_words
from workbookgen.catalogue.foods import FOOD_FIELDS
from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.raw import RawFood, is_amount
from workbookgen.catalogue.importers.rules import ImportRules
from workbookgen.catalogue.importers.words import WordRules, kitchen_words
from workbookgen.catalogue.infer import GROUP
from workbookgen.catalogue.sr_ascii import SrValue
from workbookgen.catalogue.tables import load_nutrients
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient

UNKNOWN_SOURCE = "?"
#: Tags worked out by rule in the catalogue; a figure that the file itself prints wins.
PRINTED_WINS = ("SUGAD", "NIAEQ")
MOST_REFUSE = 100.0


@dataclass(frozen=True)
class Converter:
    """Everything a conversion needs besides the foods."""

    words: WordRules
    controlled: FoodWords
    nutrients: tuple[Nutrient, ...]
    rules: FoodRules
    steps: Sequence[WordStep]
    volumes: Mapping[str, Fraction]
    extra_measures: Mapping[str, Sequence[MeasureRow]]
    digestibility: Mapping[str, Decimal]
    findings: Findings


def load_converter(data: Path, rules: ImportRules, words: WordRules, findings: Findings) -> Converter:
    """Read the tables of ``data`` that the conversion follows."""
    food_rules = load_rules(data)
    order = (*food_rules.provenance_order, rules.not_told)
    food_rules = replace(
        food_rules,
        provenance_order=order,
        derivation_word={**food_rules.derivation_word, **{word: word for word in order}},
        source_word={**food_rules.source_word, UNKNOWN_SOURCE: rules.not_told},
        folate_total="FOL",
    )
    columns = ("key", "pct", "description", "source_id", "status", "note")
    digestibility = read_rows(data / "protein_digestibility.csv", columns)
    return Converter(
        words=words,
        controlled=load_food_words(data, whole_table=True),
        # imported values are keyed by tag, not by a number of USDA's
        nutrients=tuple(replace(nutrient, usda_no=nutrient.tag) for nutrient in load_nutrients(data)),
        rules=food_rules,
        steps=load_word_steps(data),
        volumes=load_volumes(data),
        extra_measures=load_extra_measures(data),  # by five-digit NDB number, which the empty one is not
        digestibility={row.text("key"): Decimal(row.text("pct")) for row in digestibility},
        findings=findings,
    )


def convert(foods: Sequence[RawFood], with_: Converter) -> list[Authored]:
    """Rows of every usable food, in file order; names are made unique. Faulty foods go to the findings."""
    cells_of: dict[str, dict[str, str]] = {}
    origins: Counter[str] = Counter()
    usable: list[RawFood] = []
    for food in foods:
        cells, origin = kitchen_words(food, with_.words)
        if not food.values:
            with_.findings.remark("foods without any usable value", food.description)
        elif _fits(food, cells, with_):
            cells_of[food.code] = cells
            origins[f"group by {origin}"] += 1
            usable.append(food)
    for what, count in sorted(origins.items()):
        with_.findings.remark(what, count=count)
    _give_names(usable, cells_of, with_)
    _link_counterparts(usable, cells_of)
    return [_rows(food, cells_of[food.code], with_) for food in usable]


def _fits(food: RawFood, cells: Mapping[str, str], with_: Converter) -> bool:
    """Report a food whose words or numbers the catalogue cannot hold."""
    faults = list(
        with_.controlled.faults({**dict.fromkeys(FOOD_FIELDS, ""), **cells, "id": food.id, "name": "x"})
    )
    for name, text in (
        ("refuse_pct", food.refuse_pct),
        ("nitrogen_factor", food.nitrogen_factor),
        ("g_per_ml", cells.get("g_per_ml", "")),
        ("whole_grain_pct", cells["whole_grain_pct"]),
    ):
        if text and not (is_amount(text) and float(text) >= 0):
            faults.append(f'{name} is "{text}" where a number or a blank belongs')
    if is_amount(food.refuse_pct) and float(food.refuse_pct) >= MOST_REFUSE:
        faults.append(f"refuse_pct is {food.refuse_pct}; it must stay below {MOST_REFUSE:g}")
    for fault in faults:
        with_.findings.bad(food.place, fault)
    return not faults


def _give_names(foods: Iterable[RawFood], cells_of: Mapping[str, dict[str, str]], with_: Converter) -> None:
    """Reviewed names first; then the file's own or its description; a taken name gets the number behind."""
    ordered = sorted(foods, key=lambda food: not cells_of[food.code]["name"])
    taken: set[str] = set()
    for food in ordered:
        cells = cells_of[food.code]
        wanted = cells["name"] or plain_name(food.name or food.description, with_.controlled.forbidden)
        most = with_.controlled.most_letters - len(food.number) - len(" ()")
        if len(wanted) > most:
            wanted = wanted[:most].rsplit(" ", 1)[0]
            with_.findings.remark("names shortened", wanted)
        if wanted.casefold() in taken:
            wanted = f"{wanted} ({food.number})"
        taken.add(wanted.casefold())
        cells["name"] = wanted
        if not cells["ndb"]:  # reviewed rows have synonyms of their own
            cells["synonyms"] = food.synonyms


def _link_counterparts(foods: Sequence[RawFood], cells_of: Mapping[str, dict[str, str]]) -> None:
    """Point raw foods at their cooked form where it is in the table."""
    by_ndb = {food.ndb: food.id for food in foods if food.ndb}
    by_code = {food.code: food.id for food in foods}
    for food in foods:
        cells = cells_of[food.code]
        cells["counterpart_id"] = by_code.get(food.counterpart) or by_ndb.get(cells["counterpart_ndb"], "")


def _rows(food: RawFood, cells: Mapping[str, str], with_: Converter) -> Authored:
    printed = {tag: _told(value, with_) for tag, value in food.values.items()}
    facts = FoodFacts(
        food.ndb, cells[GROUP], cells["diet"], cells["salt_ingredient"], cells["sugar_ingredient"]
    )
    figures = food_figures(facts, printed, with_.nutrients, with_.rules)
    for tag in PRINTED_WINS:
        if tag in printed:
            value = printed[tag]
            figures.put(tag, value.text, with_.rules.provenance_word(value.source, value.derivation))
    return Authored(
        food=_food_row(food, cells, figures, with_),
        measures=tuple(_measures(food, cells, with_)),
        details=tuple(_details(food, printed, figures, with_)),
        factors=(),
    )


def _told(value: SrValue, with_: Converter) -> SrValue:
    """The value with a source that has a provenance word."""
    rules = with_.rules
    if value.derivation in rules.derivation_word or value.source in rules.source_word:
        return value
    if value.derivation:
        with_.findings.remark("values with a source code that has no word here", value.derivation)
    return value._replace(source=UNKNOWN_SOURCE)


def _density_seq(food: RawFood, cells: Mapping[str, str], with_: Converter) -> str:
    """The reviewed density measure, where this table still has it as a volume."""
    try:
        found = density(food.weights, cells["density_seq"], with_.steps, with_.volumes, food.place)
    except BadInput:
        return ""
    return "" if found is None else cells["density_seq"]


def _food_row(food: RawFood, cells: Mapping[str, str], figures: Figures, with_: Converter) -> tuple[str, ...]:
    pct = with_.digestibility.get(cells["digest_key"])
    stated = cells.get("g_per_ml", "")
    found = density(food.weights, _density_seq(food, cells, with_), with_.steps, with_.volumes, food.place)
    row = {
        **{name: cells[name] for name in FOOD_FIELDS if name in cells},
        "id": food.id,
        "source_id": food.source_id,
        "source_number": food.number,
        "source_description": food.description,
        "provenance": provenance_text(figures, with_.nutrients, with_.rules),
        "refuse_pct": food.refuse_pct or "0",
        "refuse_what": food.refuse_what,
        "g_per_ml": stated or ("" if found is None else decimal_text(found, with_.rules)),
        "digestibility": "" if pct is None else str(pct),
        "nitrogen_factor": food.nitrogen_factor,
    }
    texts = [row[name] for name in FOOD_FIELDS]
    return tuple(texts + [figures.texts.get(n.tag, "") for n in with_.nutrients])


def _measures(food: RawFood, cells: Mapping[str, str], with_: Converter) -> list[MeasureRow]:
    cleaned = agreeing(clean_measures(food.weights, cells["state"], with_.steps), with_.volumes)
    seq = _density_seq(food, cells, with_)
    extra = [replace(row, food_id=food.id) for row in with_.extra_measures.get(food.ndb, ())]
    return measure_rows(food.id, cleaned, seq, extra, food.source_id, with_.rules)


def _details(
    food: RawFood, printed: Mapping[str, SrValue], figures: Figures, with_: Converter
) -> list[tuple[str, ...]]:
    """What the source prints beside each value that the row takes over unchanged."""
    rows: list[tuple[str, ...]] = []
    for nutrient in with_.nutrients:
        value = printed.get(nutrient.tag)
        if value is not None and figures.texts.get(nutrient.tag) == value.text:
            code = f"{value.source.replace(UNKNOWN_SOURCE, '')} {value.derivation}".strip()
            points = value.points if value.points.isdecimal() else "0"
            beside = (value.standard_error, value.minimum, value.maximum)
            rows.append((food.id, nutrient.tag, points, *beside, code))
    return rows
