"""Find foods by what a cook types: name, synonyms, source description; slips of the finger allowed."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, process

from workbookgen.model.food import Food

WORD = re.compile(r"[a-z0-9%]+")
# Least likeness (0 to 100) at which a typed word counts as a slip of a word in the text.
LEAST_LIKENESS = 75.0
# Shorter words must be typed right: a slip in "egg" gives another food.
LEAST_LETTERS = 4
# A hit in the name is worth more than one in a synonym, that more than one in the description.
NAME, SYNONYM, DESCRIPTION = "name", "synonym", "description"
WEIGHTS = {NAME: 1.0, SYNONYM: 0.95, DESCRIPTION: 0.85}
EXACT, START = 100.0, 92.0
# Each word besides the typed ones costs a little; a text whose head is just the typed words gains.
EXTRA_WORD_COST, HEAD_GAIN, ORDER_GAIN = 0.5, 3.0, 1.0
# Among equals a recipe more often means the uncooked food.
STATE_ORDER = ("raw", "dry", "ready", "frozen", "canned", "drained", "rinsed", "cooked")


@dataclass(frozen=True, slots=True)
class Hit:
    """A food found, how well it fits (about 0 to 100) and where (name, synonym or description)."""

    food: Food
    score: float
    where: str


def find_foods(foods: Sequence[Food], text: str, limit: int = 12) -> list[Hit]:
    """Foods that hold every typed word, best first, at most ``limit``.

    A typed word counts for a word that is equal or starts with it; where none is, for one that is nearly
    equal (a letter swapped, missing or doubled). Equal scores go by state, then by name.
    """
    typed = words_of(text)
    if not typed:
        return []
    texts = [(food, where, words_of(part), part) for food in foods for where, part in _texts(food)]
    near = _near_words(typed, {word for _, _, words, _ in texts for word in words})
    best: dict[str, Hit] = {}
    for food, where, words, part in texts:
        score = _score(typed, words, near)
        if score > 0:
            score = (score + _gain(typed, words, part, near)) * WEIGHTS[where]
            if food.id not in best or score > best[food.id].score:
                best[food.id] = Hit(food, score, where)
    return sorted(best.values(), key=_order)[:limit]


def words_of(text: str) -> list[str]:
    """Lower-case words of a text; a plural s is dropped so that "beans" finds "bean"."""
    return [_singular(word) for word in WORD.findall(text.lower())]


def _singular(word: str) -> str:
    if len(word) > LEAST_LETTERS and word.endswith("oes"):
        return word[:-2]
    if len(word) >= LEAST_LETTERS and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def _texts(food: Food) -> Iterator[tuple[str, str]]:
    """Searched texts of one food: its name, each synonym, the description of its source."""
    yield NAME, food.name
    for part in food.synonyms.split(";"):
        yield SYNONYM, part
    yield DESCRIPTION, food.source_description


def _near_words(typed: Sequence[str], vocabulary: Collection[str]) -> dict[str, dict[str, float]]:
    """For each typed word, the words of the vocabulary that count for it and how much (0 to 100)."""
    ordered = sorted(vocabulary)
    found: dict[str, dict[str, float]] = {}
    for word in typed:
        near = {other: EXACT if other == word else START for other in ordered if other.startswith(word)}
        if not near and len(word) >= LEAST_LETTERS:
            slips = process.extract(word, ordered, scorer=fuzz.ratio, limit=None, score_cutoff=LEAST_LIKENESS)
            near = {other: score for other, score, _ in slips if other[0] == word[0]}
        found[word] = near
    return found


def _score(typed: Sequence[str], words: Sequence[str], near: Mapping[str, Mapping[str, float]]) -> float:
    """Mean likeness of the typed words in a text; 0 when one of them is not there."""
    left = list(words)
    total = 0.0
    for word in typed:
        likeness, match = max(((near[word].get(other, 0.0), other) for other in left), default=(0.0, ""))
        if not likeness:
            return 0.0
        left.remove(match)
        total += likeness
    return max(1.0, total / len(typed) - EXTRA_WORD_COST * len(left))


def _gain(
    typed: Sequence[str], words: Sequence[str], text: str, near: Mapping[str, Mapping[str, float]]
) -> float:
    """What a text gains when it begins with the typed words, and more when its head holds no other."""
    begins = len(words) >= len(typed) and all(w in near[t] for t, w in zip(typed, words, strict=False))
    head = len(words_of(text.split(",")[0]))
    return (ORDER_GAIN if begins else 0.0) + (HEAD_GAIN if begins and head == len(typed) else 0.0)


def _order(hit: Hit) -> tuple[float, int, str]:
    state = STATE_ORDER.index(hit.food.state) if hit.food.state in STATE_ORDER else len(STATE_ORDER)
    return (-round(hit.score, 6), state, hit.food.name.casefold())
