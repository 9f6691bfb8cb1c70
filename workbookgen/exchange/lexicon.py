"""The words of ingredient lines, read once from ``data/exchange/``."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from workbookgen.catalogue.csvread import only_once, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_sources, load_units
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Unit

FOLDER = "exchange"
KINDS = ("container", "piece", "vague", "length")


@dataclass(frozen=True, slots=True)
class UnitWord:
    """A word that may follow a number.

    ``name`` is the one way to say it, ``kind`` mass, volume, container, piece, vague or length; ``factor``
    is grams of a mass, millilitres of a volume, else 0. ``keep``: the word helps to find the food, too.
    """

    name: str
    kind: str
    factor: float = 0.0
    keep: bool = False


@dataclass(frozen=True, slots=True)
class StateWord:
    """Words that tell a food's state; the higher ``rank`` wins in one line."""

    words: str
    state: str
    keeps: bool
    rank: int


@dataclass(frozen=True)
class Lexicon:
    """All small words. Lists keep the order of the files, longer phrases first where they compete."""

    numbers: Mapping[str, Fraction]
    units: Mapping[str, UnitWord]
    measured: tuple[Unit, ...]
    lists: Mapping[str, tuple[str, ...]]
    sizes: Mapping[str, str]
    prep: frozenset[str]
    fruits: tuple[str, ...]
    juice: tuple[str, ...]
    zest: tuple[str, ...]
    bought: tuple[str, ...]
    bought_edible: tuple[str, ...]
    sections: Mapping[str, tuple[str, ...]]
    same_words: tuple[tuple[str, str], ...]
    same_prep: Mapping[str, str]
    states: tuple[StateWord, ...]
    small: frozenset[str]
    state_tokens: frozenset[str]
    only_when_said: frozenset[str]
    water: Mapping[str, tuple[str, ...]]

    def phrase(self, name: str) -> re.Pattern[str]:
        """A pattern that finds any phrase of the list ``name`` as whole words."""
        return _phrase_pattern(self.lists[name])


@lru_cache(maxsize=64)
def _phrase_pattern(phrases: tuple[str, ...]) -> re.Pattern[str]:
    ordered = sorted(phrases, key=lambda p: (-len(p), p))
    return re.compile(r"(?<!\w)(?:" + "|".join(re.escape(p) for p in ordered) + r")(?!\w)", re.I)


def load_lexicon(data: Path | None = None) -> Lexicon:
    """Read the words; ``data`` is the data folder (the installed one when None). Raises ``BadInput``."""
    return _load(data if data is not None else data_path())


@lru_cache(maxsize=4)
def _load(data: Path) -> Lexicon:
    folder = data / FOLDER
    words = _toml(folder / "words.toml")
    measured = load_units(data, load_sources(data))
    return Lexicon(
        numbers={word: Fraction(value) for word, value in words["numbers"].items()},
        units=_units(folder, measured),
        measured=measured,
        lists={name: tuple(phrases) for name, phrases in words["line"].items()},
        sizes=words["sizes"],
        prep=frozenset(words["prep"]["words"]),
        fruits=tuple(words["lemon"]["fruits"]),
        juice=tuple(words["lemon"]["juice"]),
        zest=tuple(words["lemon"]["zest"]),
        bought=tuple(words["bought"]["words"]),
        bought_edible=tuple(words["bought"]["edible"]),
        sections={name: tuple(titles) for name, titles in words["sections"].items()},
        same_words=_pairs(folder / "same_words.csv"),
        same_prep=dict(_pairs(folder / "same_prep.csv")),
        states=_states(folder / "state_words.csv"),
        small=frozenset(words["matching"]["small"]),
        state_tokens=frozenset(words["matching"]["state"]),
        only_when_said=frozenset(words["pieces"]["only_when_said"]),
        water={fate: tuple(said) for fate, said in words["water"].items()},
    )


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise BadInput(path.name, "the file is missing; install the package again") from error
    except tomllib.TOMLDecodeError as error:
        raise BadInput(path.name, f"not proper TOML ({error}); mend the line it names") from error


def _units(folder: Path, measured: tuple[Unit, ...]) -> dict[str, UnitWord]:
    """Unit words by lower-case spelling: weights and volumes of units.csv, then those of unit_words.csv."""
    found: dict[str, UnitWord] = {}
    for unit in measured:
        for spelling in (unit.name, *unit.synonyms):
            found[spelling.lower()] = UnitWord(unit.name, unit.kind, unit.factor)
    for row in read_rows(folder / "unit_words.csv", ("word", "kind", "spellings", "keep")):
        word = UnitWord(row.text("word"), row.choice("kind", KINDS), keep=row.yes("keep"))
        for spelling in (word.name, *row.items("spellings")):
            found.setdefault(spelling.lower(), word)
    return found


def _pairs(path: Path) -> tuple[tuple[str, str], ...]:
    rows = read_rows(path, ("words", "becomes"))
    only_once(rows, "words")
    return tuple((row.text("words"), row.text("becomes")) for row in rows)


def _states(path: Path) -> tuple[StateWord, ...]:
    rows = read_rows(path, ("words", "state", "keeps", "rank"))
    only_once(rows, "words")
    states = [
        StateWord(row.text("words"), row.text("state"), row.yes("keeps"), int(row.number_in("rank", 1, 9)))
        for row in rows
    ]
    return tuple(sorted(states, key=lambda s: (-len(s.words.split()), -s.rank, s.words)))
