"""The written rules of ``data/import_rules.toml`` and the nutrient tables beside it, as typed objects."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from workbookgen.catalogue.constants import load_constants
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.food_words import WORDS_FILE

RULES_FILE = "import_rules.toml"
NUTRIENTS_FILE = "import_nutrients.csv"
TAGS_FILE = "import_tags.csv"
KILOJOULE, KILOCALORIE = "kJ", "kcal"
COOKED, READY = "cooked", "ready"


@dataclass(frozen=True, slots=True)
class Limits:
    """The most an archive may hold: members, bytes unpacked, bytes per packed byte."""

    most_members: int
    most_bytes: int
    most_ratio: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """A USDA nutrient that can give the value of ``tag``; of several the lowest ``order`` counts."""

    tag: str
    order: int
    number: str
    fdc_id: str


@dataclass(frozen=True, slots=True)
class OtherTag:
    """A template column under another tagname: its tag here, its usual unit, a tag that is added."""

    tag: str
    unit: str
    plus: str


@dataclass(frozen=True, slots=True)
class DataType:
    """One kind of FoodData Central food: where its figures come from."""

    source_id: str
    citation: str


@dataclass(frozen=True, slots=True)
class AsEaten:
    """States of foods as eaten: ``states`` need these words, other foods of ``cooked_groups`` are cooked."""

    states: Mapping[str, re.Pattern[str]]
    cooked_groups: tuple[str, ...]

    def state(self, inferred: str, group: str, description: str) -> str:
        """The state of a food as eaten whose words alone gave ``inferred``."""
        words = self.states.get(inferred)
        if words is None or words.search(description.lower()):
            return inferred
        return COOKED if group in self.cooked_groups else READY


@dataclass(frozen=True)
class ImportRules:
    """Everything the importers need to know besides the files."""

    limits: Limits
    units: Mapping[str, str]
    per: Mapping[tuple[str, str], Decimal]
    digits: int
    below_zero: Mapping[str, float]
    as_eaten: AsEaten
    candidates: tuple[Candidate, ...]
    other_tags: Mapping[str, OtherTag]
    types: Mapping[str, DataType]
    fdc: Mapping[str, Any]
    sr: DataType
    licence: str
    template_needed: tuple[str, ...]
    template_optional: tuple[str, ...]
    not_told: str
    groups: tuple[str, ...]
    examples: int

    def factor(self, unit: str, ours: str) -> Decimal | None:
        """Multiplier from a file's ``unit`` to ``ours``; None when it is not known or does not convert."""
        known = self.units.get(unit.strip().casefold())
        if known is None:
            return None
        return Decimal(1) if known == ours else self.per.get((known, ours))


def load_import_rules(data: Path) -> ImportRules:
    """Read the rule file and both nutrient tables of ``data``."""
    raw = tomllib.loads((data / RULES_FILE).read_text(encoding="utf-8"))
    per = {(pair.split()[0], pair.split()[1]): Decimal(text) for pair, text in raw["per"].items()}
    per[KILOJOULE, KILOCALORIE] = 1 / Decimal(str(load_constants()["kj_per_kcal"]))
    template = raw["template"]
    return ImportRules(
        limits=Limits(**raw["limits"]),
        units=raw["units"],
        per=per,
        digits=raw["rounding"]["significant_digits"],
        below_zero=raw["below_zero"],
        as_eaten=_as_eaten(raw["as_eaten"]),
        candidates=_candidates(data),
        other_tags=_other_tags(data),
        types={name: DataType(**entry) for name, entry in raw["fdc"]["types"].items()},
        fdc={key: value for key, value in raw["fdc"].items() if key != "types"},
        sr=DataType(**raw["sr"]),
        licence=raw["usda"]["licence"],
        template_needed=tuple(template["needed"]),
        template_optional=tuple(template["optional"]),
        not_told=raw["provenance"]["not_told"],
        groups=_groups(data),
        examples=raw["report"]["examples"],
    )


def _as_eaten(raw: Mapping[str, Any]) -> AsEaten:
    states = {state: re.compile(words) for state, words in raw["states"].items()}
    return AsEaten(states, tuple(raw["cooked_groups"]))


def _groups(data: Path) -> tuple[str, ...]:
    raw = tomllib.loads((data / WORDS_FILE).read_text(encoding="utf-8"))
    return (*raw["groups"], *raw["whole_table_groups"])


def _candidates(data: Path) -> tuple[Candidate, ...]:
    rows = read_rows(data / NUTRIENTS_FILE, ("tag", "order", "number", "fdc_id", "why"))
    return tuple(
        Candidate(row.text("tag"), int(row.number_in("order", 1)), row.text("number"), row.text("fdc_id"))
        for row in rows
    )


def _other_tags(data: Path) -> dict[str, OtherTag]:
    rows = read_rows(data / TAGS_FILE, ("column", "tag", "unit", "plus", "why"))
    return {
        row.text("column"): OtherTag(row.text("tag"), row.text("unit"), row.text("plus", blank=True))
        for row in rows
    }
