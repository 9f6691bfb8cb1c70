"""Find a food by parts of its name or of another name: the ranking the sheet Find follows."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.food import Food

MOST_WORDS = 3
MOST_LETTERS = 60
RESULTS = 20


def search_words(name: str, synonyms: str = "") -> str:
    """What the search looks through: small letters, each word after a blank."""
    return f" {name} {synonyms}".rstrip().lower()


def rank(query: str, words: str) -> int:
    """1 when the food begins with the query, 2 when each word of the query begins a word, 3 when each is somewhere
    in it, 0 when one is missing.

    >>> rank("black be", " black beans, dry"), rank("bean bla", " black beans, dry"), rank("lack", " black beans")
    (1, 2, 3)
    """
    text = query.strip().lower()
    parts = _split(text)
    if not parts or any(part not in words for part in parts):
        return 0
    if words.startswith(" " + text):
        return 1
    return 2 if all(" " + part in words for part in parts) else 3


def _split(text: str) -> list[str]:
    """Up to three parts: the first two words, and whatever follows them."""
    found: list[str] = []
    rest = text
    while rest and len(found) < MOST_WORDS - 1:
        head, _, rest = rest.partition(" ")
        found.append(head)
        rest = rest.strip()
    return [*found, rest] if rest else found


def find(foods: Sequence[Food], query: str) -> list[Food]:
    """The best matches, best first; equal ones in table order. A query of more than 60 letters finds nothing."""
    if len(query) > MOST_LETTERS:
        return []
    ranked = [(rank(query, search_words(f.name, "" if f.own else f.synonyms)), i) for i, f in enumerate(foods)]
    return [foods[i] for r, i in sorted(x for x in ranked if x[0])][:RESULTS]
