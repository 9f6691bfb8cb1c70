"""Controlled words and physical bounds of the food table, from ``food_words.toml`` and ``nutrients.csv``."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.tables import load_nutrients

WORDS_FILE = "food_words.toml"
ALLERGEN_MARK = re.compile(r"[+?]([a-z_]+)(\([a-z ,]+\))?")


@dataclass(frozen=True, slots=True)
class FoodWords:
    """What a food row may say: allowed words by column, and the most per 100 g by nutrient tag."""

    one_of: Mapping[str, frozenset[str]]
    some_of: Mapping[str, frozenset[str]]
    allergens: frozenset[str]
    anything_else: str
    most_letters: int
    forbidden: str
    most: Mapping[str, float]

    def faults(self, row: Mapping[str, str]) -> Iterator[str]:
        """Say what is wrong with the words of a row, a sentence each."""
        for column in ("id", "name"):
            if not row[column]:
                yield f"{column} is blank; every food needs one"
        name = row["name"]
        if len(name) > self.most_letters:
            yield f'the name "{name}" has more than {self.most_letters} letters'
        bad = sorted(set(name) & set(self.forbidden))
        if bad:
            yield f'the name "{name}" holds {" ".join(bad)}, which look-ups cannot take'
        for column, allowed in self.one_of.items():
            if row[column] not in allowed:
                yield f'{column} "{row[column]}" is not one of {", ".join(sorted(allowed))}'
        for column, allowed in self.some_of.items():
            for word in row[column].split(";"):
                if word and word not in allowed:
                    yield f'{column} holds "{word}", which is not one of {", ".join(sorted(allowed))}'
        yield from self._allergen_faults(row["allergens"])

    def _allergen_faults(self, marks: str) -> Iterator[str]:
        if marks and not marks.endswith(";"):
            yield f'allergens "{marks}" must end with a semicolon'
        for mark in filter(None, marks.split(";")):
            match = ALLERGEN_MARK.fullmatch(mark)
            if mark != self.anything_else and (match is None or match[1] not in self.allergens):
                known = ", ".join(sorted(self.allergens))
                yield f'allergens holds "{mark}"; write + or ? before one of {known}'


def load_food_words(data: Path, *, whole_table: bool = False) -> FoodWords:
    """Read the controlled words; ``whole_table`` allows the groups and long names of the whole table."""
    raw = tomllib.loads((data / WORDS_FILE).read_text(encoding="utf-8"))
    groups = raw["groups"] + (raw["whole_table_groups"] if whole_table else [])
    roles = raw["roles"] + (raw["whole_table_roles"] if whole_table else [])
    most = {n.tag: float(raw["most_per_100_g"][n.unit]) for n in load_nutrients(data)}
    return FoodWords(
        one_of={
            "group": frozenset(groups),
            "state": frozenset(raw["states"]),
            "role": frozenset(roles),
            "keep_group": frozenset(raw["keep_groups"]),
            "salt_ingredient": frozenset(raw["yes_no_unknown"]),
            "sugar_ingredient": frozenset(raw["yes_no_unknown"]),
            "mfp": frozenset({"yes", "no", ""}),
            "heme": frozenset({"yes", "no", ""}),
            "colour": frozenset({"", *raw["colours"]}),
            "aisle": frozenset({"", *raw["aisles"]}),
        },
        some_of={"diet": frozenset(raw["diet"]), "cautions": frozenset(raw["cautions"])},
        allergens=frozenset(raw["allergens"]),
        anything_else=raw["anything_else_unknown"],
        most_letters=raw["name"]["whole_table_most_letters" if whole_table else "most_letters"],
        forbidden=raw["name"]["forbidden"],
        most=most,
    )
