"""Whether a recipe is in English: nothing is guessed for other languages."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable
from pathlib import Path

from workbookgen.exchange.lexicon import FOLDER
from workbookgen.exchange.raw import RawRecipe

_WORD = re.compile(r"[^\W\d_]+")


def load_foreign_words(data: Path) -> tuple[frozenset[str], dict[str, float]]:
    """Small words of other languages and the shares that decide."""
    raw = tomllib.loads((data / FOLDER / "other_languages.toml").read_text(encoding="utf-8"))
    return frozenset(raw["words"]["small"]), raw["shares"]


def is_english(raw: RawRecipe, known: Callable[[str], bool], data: Path) -> bool:
    """True when most ingredient lines hold words of the food table and few hold words of other languages.

    ``known`` says whether a word stands in the food table. A general language detector (py3langid) was
    tried: on lines this short it takes "1 cup milk" for Romanian and "salt, pepper, paprika" for Norwegian.
    """
    foreign, shares = load_foreign_words(data)
    letters = "".join(_WORD.findall(" ".join([raw.title, *(t for _, t in raw.lines), *raw.method])))
    if letters and sum(_latin(c) for c in letters) < shares["latin_letters"] * len(letters):
        return False
    lines = [[w.lower() for w in _WORD.findall(text)] for _, text in raw.lines]
    lines = [w for w in lines if w]
    if not lines:
        return True
    understood = sum(any(known(w) for w in words) for words in lines) / len(lines)
    strange = sum(any(w in foreign for w in words) for words in lines) / len(lines)
    declared = bool(raw.language) and not raw.language.lower().startswith("en")
    least = shares["known_lines_declared"] if declared else shares["known_lines"]
    return understood >= least and strange <= shares["foreign_lines"]


def _latin(letter: str) -> bool:
    return unicodedata.name(letter, "").startswith("LATIN")
