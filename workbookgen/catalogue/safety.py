"""Loads and checks the rules of the handout: allergens, suitability, cautions, temperatures, keeping.

One function per file of ``data/``; words come from ``templates/cautions.md`` and ``templates/keeping.md``
and may print figures of ``handling.csv`` by name, such as ``{reheat_f}``.
"""

from __future__ import annotations

import re
from collections.abc import Container, Mapping, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.catalogue.safety_cautions import load_caution_foods, load_cautions
from workbookgen.catalogue.safety_texts import fill_in, read_words
from workbookgen.model.errors import BadInput
from workbookgen.model.safety import (
    APART,
    EU_LIST,
    LISTED,
    NOT_LISTED,
    US_LIST,
    Allergen,
    AllergenKind,
    FoodSelector,
    Handling,
    Keeping,
    Safety,
    Suitability,
    Temperature,
)
from workbookgen.model.tables import Nutrient

PLACES = (LISTED, APART, NOT_LISTED)
ANSWERS = ("no", "?", "")
KEEPING_KINDS = ("chosen", "cold", "caution", "diet", "rest")
KEEPING_LINES = ("cool", "fridge", "freeze", "no_freeze", "reheat", "no_reheat")
UNKNOWN = "unknown"
_KIND = re.compile(r"[a-z][a-z ]*")


def load_safety(
    sources: Container[str],
    nutrients: Sequence[Nutrient],
    data: Path | None = None,
    templates: Path | None = None,
) -> Safety:
    """All rules from the folders ``data`` and ``templates`` (the installed ones when None), checked.

    Raises ``BadInput`` with file, row and mend.
    """
    folder = data if data is not None else data_path()
    words = templates if templates is not None else template_path()
    handling = load_handling(folder, sources)
    figures = {row.id: f"{row.value:g}" for row in handling}
    keeping_words = read_words(words / "keeping.md")
    notes = {
        key: fill_in(keeping_words.get("notes", {}).get(key, ""), figures, f"keeping.md, notes, {key}")
        for key in ("handling", "service")
    }
    allergens = load_allergens(folder, sources)
    return Safety(
        allergens=allergens,
        kinds=load_kinds(folder, {a.id for a in allergens}, sources),
        list_of_set=load_lists(folder, sources),
        suitability=load_suitability(folder, sources),
        cautions=load_cautions(folder, words, figures, sources, {n.tag for n in nutrients}),
        caution_foods=load_caution_foods(folder, sources),
        temperatures=load_temperatures(folder, sources),
        raw_handling=notes["handling"],
        service=notes["service"],
        keeping=load_keeping(folder, keeping_words.get("lines", {}), figures, sources),
        handling=handling,
    )


def load_handling(folder: Path, sources: Container[str]) -> tuple[Handling, ...]:
    """Figures that texts print by name."""
    rows = read_rows(folder / "handling.csv", ("id", "value", "unit", *PROVEN))
    only_once(rows, "id")
    return tuple(
        Handling(
            row.text("id"),
            row.number_in("value"),
            row.text("unit"),
            *proof(row, sources),
            row.text("note", blank=True),
        )
        for row in rows
    )


def load_allergens(folder: Path, sources: Container[str]) -> tuple[Allergen, ...]:
    """Allergens in the order of the sheet, with their place on the US and on the EU list."""
    columns = ("id", "name_us", "name_eu", "us", "eu", "kinds", *PROVEN, "source_eu", "status_eu")
    rows = read_rows(folder / "allergens.csv", columns)
    only_once(rows, "id")
    found = []
    for row in rows:
        source_id, status = proof(row, sources)
        if row.text("source_eu") not in sources:
            raise row.bad(f"source '{row.text('source_eu')}' is not in sources.csv; add it there")
        found.append(
            Allergen(
                id=row.text("id"),
                name_us=row.text("name_us"),
                name_eu=row.text("name_eu"),
                us=row.choice("us", PLACES),
                eu=row.choice("eu", PLACES),
                kinds=row.yes("kinds"),
                source_id=source_id,
                status=status,
                source_eu=row.text("source_eu"),
                status_eu=row.text("status_eu"),
                note=row.text("note", blank=True),
            )
        )
    return tuple(found)


def load_kinds(folder: Path, allergens: Container[str], sources: Container[str]) -> tuple[AllergenKind, ...]:
    """Kinds of nuts, fish, crustaceans and cereals; rows of one allergen stand together."""
    columns = ("allergen", "kind", "shown", "words", "beside", *PROVEN)
    rows = read_rows(folder / "allergen_kinds.csv", columns)
    only_once(rows, "allergen", "kind")
    _together(rows, "allergen")
    found = []
    for row in rows:
        if row.text("allergen") not in allergens:
            raise row.bad(f"allergen '{row.text('allergen')}' is not in allergens.csv; add it there")
        if not _KIND.fullmatch(row.text("kind")):
            raise row.bad(f"kind '{row.text('kind')}' must be small letters and spaces")
        source_id, status = proof(row, sources)
        found.append(
            AllergenKind(
                row.text("allergen"),
                row.text("kind"),
                row.text("shown"),
                row.items("words"),
                row.text("beside", blank=True),
                source_id,
                status,
            )
        )
    return tuple(found)


def _together(rows: Sequence[Row], column: str) -> None:
    """Raise ``BadInput`` when rows with the same word in ``column`` do not stand together."""
    done: set[str] = set()
    last = ""
    for row in rows:
        word = row.cells[column]
        if word != last and word in done:
            raise row.bad(f"'{word}' stands further up already; move the row there")
        done.add(word)
        last = word


def load_lists(folder: Path, sources: Container[str]) -> dict[str, str]:
    """Allergen list ("us" or "eu") by id of the reference set."""
    rows = read_rows(folder / "allergen_lists.csv", ("set_id", "list", *PROVEN))
    only_once(rows, "set_id")
    for row in rows:
        proof(row, sources)
    return {row.text("set_id"): row.choice("list", (US_LIST, EU_LIST)) for row in rows}


def load_suitability(folder: Path, sources: Container[str]) -> tuple[Suitability, ...]:
    """Rules for vegetarian, vegan and the like; the columns between name and source are diet words."""
    fixed = ("id", "name", *PROVEN)
    rows = read_rows(folder / "suitability.csv", (*fixed, *_diet_columns(folder, fixed)))
    only_once(rows, "id")
    found = []
    for row in rows:
        source_id, status = proof(row, sources)
        answers = {word: row.choice(word, ANSWERS) for word in row.cells if word not in fixed}
        if not answers.get(UNKNOWN):
            raise row.bad("'unknown' must say ? (or no): what nobody knows cannot say yes")
        found.append(
            Suitability(
                row.text("id"), row.text("name"), answers, source_id, status, row.text("note", blank=True)
            )
        )
    return tuple(found)


def _diet_columns(folder: Path, fixed: Sequence[str]) -> list[str]:
    header = next(
        line
        for line in (folder / "suitability.csv").read_text(encoding="utf-8-sig").splitlines()
        if not line.startswith("#")
    )
    return [name.strip() for name in header.split(",") if name.strip() not in fixed]


def load_temperatures(folder: Path, sources: Container[str]) -> tuple[Temperature, ...]:
    """Safe least internal temperatures with the line a card prints."""
    columns = (
        "id", "name", "fahrenheit", "celsius", "rest_min", "words_to_print", "groups", "keep_groups",
        "states", "words", "allergens", *PROVEN,
    )  # fmt: skip
    rows = read_rows(folder / "temperatures.csv", columns)
    only_once(rows, "id")
    found = []
    for row in rows:
        source_id, status = proof(row, sources)
        fahrenheit, celsius = row.number_or_none("fahrenheit", 0, 250), row.number_or_none("celsius", 0, 125)
        if (fahrenheit is None) != (celsius is None):
            raise row.bad("write both 'fahrenheit' and 'celsius', or neither")
        found.append(
            Temperature(
                id=row.text("id"),
                name=row.text("name"),
                fahrenheit=fahrenheit,
                celsius=celsius,
                words=_temperature_words(row, fahrenheit, celsius),
                selector=FoodSelector(
                    row.items("groups"),
                    row.items("keep_groups"),
                    row.items("states"),
                    row.items("words"),
                    allergens=row.text("allergens", blank=True),
                ),
                source_id=source_id,
                status=status,
                note=row.text("note", blank=True),
            )
        )
    return tuple(found)


def _temperature_words(row: Row, fahrenheit: float | None, celsius: float | None) -> str:
    rest, more = row.number_or_none("rest_min", 0, 60), row.text("words_to_print", blank=True)
    parts = []
    if fahrenheit is not None and celsius is not None:
        parts.append(f"{fahrenheit:g} °F ({celsius:g} °C)")
    if rest:
        parts.append(f"then let rest {rest:g} minutes")
    if more:
        parts.append(more)
    if not parts:
        raise row.bad("give a temperature or 'words_to_print'")
    return ", ".join(parts)


def load_keeping(
    folder: Path, words: Mapping[str, str], figures: Mapping[str, str], sources: Container[str]
) -> tuple[Keeping, ...]:
    """Kinds of dishes with their four keeping lines; the last kind is for everything else."""
    missing = [key for key in KEEPING_LINES if key not in words]
    if missing:
        raise BadInput("keeping.md", f"the section 'lines' lacks {', '.join(missing)}; add it")
    columns = ("id", "name", "kind", "key", "days_low", "days_high", "months_low", "months_high", *PROVEN)
    rows = read_rows(folder / "keeping.csv", columns)
    only_once(rows, "id")
    only_once(rows, "name")
    found = [_keeping(row, words, figures, sources) for row in rows]
    if not found or found[-1].kind != "rest":
        raise BadInput("keeping.csv", "the last row must be of kind rest, for every other dish")
    return tuple(found)


def _keeping(
    row: Row, words: Mapping[str, str], figures: Mapping[str, str], sources: Container[str]
) -> Keeping:
    source_id, status = proof(row, sources)
    kind = row.choice("kind", KEEPING_KINDS)
    numbers = {**figures, "days": _range(row, "days")}
    months = row.number_or_none("months_low", 0, 60) is not None
    if months:
        numbers["months"] = _range(row, "months")
    last = "no_reheat" if kind == "cold" else "reheat"
    keys = ("cool", "fridge", "freeze" if months else "no_freeze", last)
    cool, fridge, freeze, reheat = (fill_in(words[key], numbers, f"keeping.md, {key}") for key in keys)
    return Keeping(
        row.text("id"), row.text("name"), kind, row.text("key", blank=True), (cool, fridge, freeze, reheat),
        source_id, status, row.text("note", blank=True),
    )  # fmt: skip


def _range(row: Row, what: str) -> str:
    low, high = row.number_in(f"{what}_low", 0, 60), row.number_in(f"{what}_high", 0, 60)
    if high < low:
        raise row.bad(f"'{what}_high' is below '{what}_low'; swap them")
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
