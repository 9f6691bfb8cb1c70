"""Kitchen words of imported foods: the file's, own rules', reviewed rows', built-in rules', in that order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.authoring_selection import COLUMNS, SELECTION_FOLDER
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.importers.raw import RawFood
from workbookgen.catalogue.importers.rules import AsEaten
from workbookgen.catalogue.infer import (
    ANYTHING_ELSE_UNKNOWN,
    GATHERED,
    GROUP,
    RULES_FILE,
    InferRules,
    infer_words,
    load_infer_rules,
)

#: Words that a rule table may set; the others of a selection row name one food and its measures.
RULED = (
    "group", "state", "role", "keep_group", "allergens", "diet", "salt_ingredient", "sugar_ingredient", "mfp",
    "heme", "colour", "aisle", "cautions", "digest_key",
)  # fmt: skip
SALT, SUGAR, UNKNOWN, NO = "salt_ingredient", "sugar_ingredient", "unknown", "no"
#: What a kitchen added to a food as eaten, butter too, is not in its description.
RAW, PLANT, PLANT_OR_MORE = "raw", "plant", "plant;?"


@dataclass(frozen=True, slots=True)
class WordRules:
    """Where kitchen words come from; ``reviewed`` holds selection rows by five-digit NDB number."""

    built_in: InferRules
    own: InferRules | None
    reviewed: Mapping[str, Mapping[str, str]]
    as_eaten: AsEaten


def load_word_rules(data: Path, own: Path | None, as_eaten: AsEaten) -> WordRules:
    """Read the rule tables and the reviewed selection. Raises `BadInput` for a faulty own table."""
    reviewed = {
        row.text("ndb"): row.cells
        for file in sorted((data / SELECTION_FOLDER).glob("*.csv"))
        for row in read_rows(file, COLUMNS)
    }
    return WordRules(
        built_in=load_infer_rules(data / RULES_FILE),
        own=load_infer_rules(own) if own is not None else None,
        reviewed=reviewed,
        as_eaten=as_eaten,
    )


def kitchen_words(food: RawFood, rules: WordRules) -> tuple[dict[str, str], str]:
    """All cells of a selection row for one food, and where its group comes from: "file", "own rule",
    "reviewed" or "rule". The built-in rules see the group that the file or an own rule gives."""
    own_group = _found(food, rules.own, "")[GROUP] if rules.own is not None else ""
    group = food.given.get(GROUP) or own_group
    reviewed = rules.reviewed.get(food.ndb)
    cells = dict.fromkeys(COLUMNS, "")
    cells |= _found(food, rules.built_in, group) if reviewed is None else reviewed
    if rules.own is not None:
        found = _found(food, rules.own, group or cells[GROUP])
        cells |= {word: value for word, value in found.items() if value and word not in GATHERED}
        for word in GATHERED:
            cells[word] = _joined(cells[word], found[word].removesuffix(ANYTHING_ELSE_UNKNOWN))
    if food.as_eaten:
        cells["state"] = rules.as_eaten.state(cells["state"], cells[GROUP], food.description)
        if cells["state"] != RAW:
            cells |= {word: UNKNOWN for word in (SALT, SUGAR) if cells[word] == NO}
            cells["diet"] = PLANT_OR_MORE if cells["diet"] == PLANT else cells["diet"]
    cells |= food.given
    origin = "own rule" if own_group else "rule" if reviewed is None else "reviewed"
    return cells, "file" if GROUP in food.given else origin


def _found(food: RawFood, rules: InferRules, group: str) -> dict[str, str]:
    return _ruled(infer_words(food.source_group, food.description, rules, group))


def _ruled(words: Mapping[str, str]) -> dict[str, str]:
    return {word: words.get(word, "") for word in RULED}


def _joined(held: str, more: str) -> str:
    """Marks of two lists, each once; what is certain drops the question mark."""
    marks = list(dict.fromkeys(mark for mark in f"{held};{more}".split(";") if mark))
    sure = {mark[1:] for mark in marks if mark.startswith("+")}
    kept = [mark for mark in marks if not (mark.startswith("?") and mark[1:] in sure)]
    text = ";".join(kept)
    return text + ";" if held.endswith(";") or more.endswith(";") else text
