"""Kitchen words (group, state, role, flags) for foods nobody has reviewed, by the rules of infer_rules.csv.

Used for USDA's whole table and for imported tables. Allergens are found by words and otherwise unknown:
a rule can never say that a food is free of one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.csvread import Row, read_rows

RULES_FILE = "infer_rules.csv"
COLUMNS = ("field", "source_groups", "own_groups", "words", "but", "value", "why")
GROUP = "group"
# Fields to which every fitting rule adds; the others take the first that fits.
GATHERED = ("allergens", "cautions")
ANYTHING_ELSE_UNKNOWN = "?*;"


@dataclass(frozen=True, slots=True)
class InferRule:
    """One row: gives ``value`` to a food whose groups and description fit."""

    value: str
    source_groups: frozenset[str]
    own_groups: frozenset[str]
    words: re.Pattern[str] | None
    but: re.Pattern[str] | None

    def fits(self, source_group: str, own_group: str, description: str) -> bool:
        """Say whether the rule applies; ``description`` in lower case."""
        return (
            (not self.source_groups or source_group in self.source_groups)
            and (not self.own_groups or own_group in self.own_groups)
            and (self.words is None or self.words.search(description) is not None)
            and (self.but is None or self.but.search(description) is None)
        )


InferRules = Mapping[str, Sequence[InferRule]]


def load_infer_rules(path: Path) -> InferRules:
    """Read a rule table: rules by field in the order of the file."""
    rules: dict[str, list[InferRule]] = {GROUP: []}
    for row in read_rows(path, COLUMNS):
        rule = InferRule(
            row.text("value", blank=True),
            frozenset(_groups(row, "source_groups")),
            frozenset(_groups(row, "own_groups")),
            _pattern(row, "words"),
            _pattern(row, "but"),
        )
        rules.setdefault(row.text("field"), []).append(rule)
    return rules


def infer_words(source_group: str, description: str, rules: InferRules, group: str = "") -> dict[str, str]:
    """Kitchen words of one food by field; ``group``, when it is known already, is not inferred."""
    text = description.lower()
    own = group or _first(rules[GROUP], source_group, "", text)
    found = {
        field: _first(field_rules, source_group, own, text)
        for field, field_rules in rules.items()
        if field not in GATHERED
    }
    for field in GATHERED:
        values = [r.value for r in rules.get(field, ()) if r.fits(source_group, own, text)]
        found[field] = _gathered(field, list(dict.fromkeys(values)))
    return found


def _gathered(field: str, values: list[str]) -> str:
    if field != "allergens":
        return ";".join(values)
    sure = {v[1:] for v in values if v.startswith("+")}
    kept = [v for v in values if v.startswith("+") or v[1:] not in sure]
    return "".join(f"{v};" for v in kept) + ANYTHING_ELSE_UNKNOWN


def _first(rules: Sequence[InferRule], source_group: str, own: str, text: str) -> str:
    return next((rule.value for rule in rules if rule.fits(source_group, own, text)), "")


def _groups(row: Row, column: str) -> list[str]:
    return [part.strip() for part in row.text(column, blank=True).split(";") if part.strip()]


def _pattern(row: Row, column: str) -> re.Pattern[str] | None:
    text = row.text(column, blank=True)
    try:
        return re.compile(text) if text else None
    except re.error as error:
        raise row.bad(f"'{column}' is no regular expression ({error})") from error
