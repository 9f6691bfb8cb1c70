"""Words from a recipe file: what is allowed in them and how faults are gathered."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from workbookgen.model.errors import BadInput, BadInputs

LONGEST_TITLE = 120  # a title must fit one line of a printed page
LONGEST_NAME = 100  # food and unit names join into look-up keys, which spreadsheets cap at 255
LONGEST_TEXT = 2_000  # far below the 32,767 characters of a spreadsheet cell, far above a method step
MOST_FAULTS = 50  # more would scroll off the screen

_SPACES = "\t\n\r"
_DIRECTION_MARKS = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_NOT_XML = frozenset("\ufffe\uffff")


@dataclass
class Faults:
    """Collects independent faults of one input, so that a user sees all of them at once."""

    errors: list[BadInput] = field(default_factory=list)

    def add(self, place: str, what: str) -> None:
        """Note one fault: ``place`` names file and line, ``what`` is the sentence."""
        self.errors.append(BadInput(place, what))

    def finish(self) -> None:
        """Raise ``BadInputs`` when anything was noted; a long list ends with how many more there are."""
        shown, more = self.errors[:MOST_FAULTS], len(self.errors) - MOST_FAULTS
        if more > 0:
            shown.append(BadInput(shown[-1].place, f"{more} more faults follow; mend the ones above first"))
        if shown:
            raise BadInputs(shown)


def clean(text: str) -> str:
    """``text`` with every run of blanks, tabs and line ends as one blank, none at the ends, in NFC."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


def forbidden_character(text: str) -> str | None:
    """The first control or text-direction character of ``text`` as ``U+0007``; None when there is none.

    Tabs and line ends are blanks, not faults. Characters that XML 1.0 (section 2.2) cannot hold count too.
    """
    for char in text:
        control = unicodedata.category(char) in ("Cc", "Cs") and char not in _SPACES
        if control or char in _DIRECTION_MARKS or char in _NOT_XML:
            return f"U+{ord(char):04X}"
    return None


def text_fault(text: str, longest: int) -> str | None:
    """Why ``text`` cannot be used, or None; the sentence lacks its subject ("holds ...")."""
    character = forbidden_character(text)
    if character:
        return f"holds the control character {character}; delete it and type the words again"
    if len(clean(text)) > longest:
        return f"is {len(clean(text)):,} characters long; shorten it to at most {longest}"
    return None


def shown(value: Any) -> str:
    """``value`` as an error sentence quotes it: short and on one line, words in double quotes."""
    words = "".join(c if c.isprintable() else " " for c in _first_words(value))
    short = f"{words[:60]}..." if len(words) > 60 else words
    return f'"{short}"' if isinstance(value, str) else short


def _first_words(value: Any) -> str:
    if isinstance(value, str):
        return value[:61]
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return str(value)[:61]
    except ValueError:  # Python refuses to print whole numbers of more than 4,300 digits
        return "a very large number"


def listed(words: Iterable[str]) -> str:
    """``words`` as an error sentence lists them."""
    return ", ".join(words)


def nearest(word: str, known: Sequence[str], limit: int, least: float, whole: bool = False) -> list[str]:
    """Up to ``limit`` of ``known`` most like ``word``, best first; likeness (0 to 100) from ``least`` on.

    Parts of ``known`` may match too, unless ``whole`` words are to be compared.
    """
    from rapidfuzz import fuzz, process, utils

    found = process.extract(
        word[:LONGEST_NAME],
        known,
        scorer=fuzz.ratio if whole else fuzz.WRatio,
        processor=utils.default_process,
        limit=limit,
        score_cutoff=least,
    )
    return [name for name, _, _ in found]
