"""What state and degree a line asks for: dry, cooked, drained; low sodium, fat free."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.csvread import read_rows
from workbookgen.exchange.food_words import Speller
from workbookgen.exchange.lexicon import FOLDER, Lexicon, StateWord

DRAINED = ("drained", "rinsed")
NOTHING = "-"  # words such as "patted dry" that look like a state and are none


@dataclass(frozen=True, slots=True)
class Degree:
    """A word of degree: ``level`` within ``group``; a food without any counts as ``bare``."""

    group: str
    words: str
    level: int
    bare: int


def load_degrees(data: Path, spell: Speller) -> tuple[Degree, ...]:
    """Words of degree, longest first, in the one spelling."""
    rows = read_rows(data / FOLDER / "attributes.csv", ("group", "words", "level", "bare"))
    degrees = [
        Degree(
            r.text("group"),
            spell.same(r.text("words")),
            int(r.number_in("level", 0, 9)),
            int(r.number_in("bare", 0, 9)),
        )
        for r in rows
    ]
    return tuple(sorted(degrees, key=lambda d: (-len(d.words.split()), d.words)))


def take_degrees(text: str, degrees: Sequence[Degree]) -> tuple[str, dict[str, Degree]]:
    """Words of degree in ``text`` (one spelling) by group, and ``text`` without them."""
    found: dict[str, Degree] = {}
    for degree in degrees:
        pattern = rf"(?<!\S){re.escape(degree.words)}(?!\S)"
        if degree.group not in found and re.search(pattern, text):
            found[degree.group] = degree
            text = " ".join(re.sub(pattern, " ", text).split())
    return text, found


def load_state_scores(data: Path) -> dict[tuple[str, str, str], float]:
    """How well a state serves: (asked, group, has) -> 0 to 1."""
    rows = read_rows(data / FOLDER / "state_match.csv", ("asked", "group", "has", "score"))
    return {
        (r.text("asked", blank=True), r.text("group", blank=True), r.text("has")): r.number_in("score", 0, 1)
        for r in rows
    }


def state_score(scores: Mapping[tuple[str, str, str], float], asked: str, group: str, has: str) -> float:
    """The figure of state_match.csv for the food's group, else for any group."""
    return scores.get((asked, group, has), scores.get((asked, "", has), 0.0))


def take_state(name: str, comment: str, in_can: bool, words: Lexicon, spell: Speller) -> tuple[str, str, str]:
    """The state a line asks for ("" when it does not say), and its name and comment without those words.

    ``in_can`` is true when the amount is told in cans or tins. Rinsing alone does not tell of a can.
    """
    found: list[StateWord] = []
    parts = [spell.same(name), spell.same(comment)]
    for state in words.states:
        pattern = rf"(?<!\S){re.escape(spell.same(state.words))}(?!\S)"
        for place, part in enumerate(parts):
            if re.search(pattern, part):
                found += [state] if state.state != NOTHING else []
                if not state.keeps:
                    parts[place] = " ".join(re.sub(pattern, " ", part).split())
    if re.search(r"(?<!\S)rinsed(?!\S)", " ".join(parts)):
        parts = [" ".join(re.sub(r"(?<!\S)rinsed(?!\S)", " ", part).split()) for part in parts]
        if in_can or any(s.state == "canned" for s in found):
            found.append(StateWord("rinsed", "rinsed", False, 8))
    others = [s for s in found if s.state not in DRAINED]
    if any(s.state in ("frozen", "cooked", "dry") for s in others):
        found = others  # "frozen spinach, thawed and drained" is frozen
    if not found:
        return ("canned" if in_can else ""), parts[0], parts[1]
    best = max(found, key=lambda s: s.rank)
    asked = best.state
    if in_can and asked in ("raw", "cooked", "frozen") and best.rank < 6:
        asked = "canned"
    return asked, parts[0], parts[1]
