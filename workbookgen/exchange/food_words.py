"""Food names and ingredient words brought to one spelling, so that they can be compared."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from workbookgen.exchange.lexicon import Lexicon

_NOT_WORD = re.compile(r"[^a-z0-9%]+")
_NO_PLURAL = frozenset({"hummus", "couscous", "molasses", "asparagus", "citrus", "octopus"})
_IRREGULAR = {"leaves": "leaf", "halves": "half", "loaves": "loaf", "knives": "knife", "cookies": "cookie"}


def singular(word: str) -> str:
    """One form for singular and plural: "tomatoes" and "tomato", "berries" and "berry".

    >>> singular("potatoes"), singular("cherries"), singular("couscous"), singular("peaches")
    ('potato', 'cherry', 'couscous', 'peach')
    """
    if word in _NO_PLURAL or len(word) < 4 or not word.endswith("s") or word.endswith("ss"):
        return word
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("oes", "shes", "ches", "sses", "xes")):
        return word[:-2]
    return word[:-1]


def flat(text: str) -> str:
    """Small letters without accents, one blank between words, hyphens as blanks, singular words."""
    text = unicodedata.normalize(
        "NFKD", text.lower().replace("ñ", "n").replace("œ", "oe").replace("'s ", "s ").replace("'", "")
    )
    text = "".join(c for c in text if not unicodedata.combining(c)).replace("&", " and ")
    text = re.sub(r"(?<=\d)\s*(?:%|percent\b)", "%", text)
    return " ".join(singular(word) for word in _NOT_WORD.sub(" ", text).split())


class Speller:
    """Applies the spellings of ``same_words.csv`` to names and lines alike."""

    def __init__(self, words: Lexicon) -> None:
        self._same = [(f" {flat(a)} ", f" {flat(b)} ") for a, b in words.same_words]
        self.prep = frozenset(singular(w) for w in words.prep)
        self.small = words.small

    @lru_cache(maxsize=8192)  # noqa: B019 - one speller lives as long as the program
    def same(self, text: str) -> str:
        """``text`` in the one spelling."""
        out = f" {flat(text)} "
        for words, becomes in self._same:
            out = out.replace(words, becomes)
        return out.strip()

    def tokens(self, text: str) -> tuple[str, ...]:
        """The words of ``text`` in the one spelling, without the smallest ones."""
        return tuple(word for word in self.same(text).split() if word not in self.small)
