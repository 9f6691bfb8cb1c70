"""A recipe as its source words it, before any line is understood."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_ISO = re.compile(
    r"P(?:(?P<d>\d+(?:\.\d+)?)D)?(?:T(?:(?P<h>\d+(?:\.\d+)?)H)?(?:(?P<m>\d+(?:\.\d+)?)M)?(?:\d+(?:\.\d+)?S)?)?",
    re.I,
)
_SPOKEN = re.compile(
    r"(?P<number>\d+(?:\.\d+)?(?:\s+\d+/\d+)?|\d+/\d+)\s*(?P<unit>hours?|hrs?|h|minutes?|mins?|m|days?)\b",
    re.I,
)
_MINUTES = {"h": 60.0, "m": 1.0, "d": 1440.0}
_YIELD_CUPS = re.compile(r"(\d+(?:\.\d+)?(?:\s+\d+/\d+)?|\d+/\d+)\s*cups?\b", re.I)
_YIELD_NUMBER = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:-|to)\s*(\d+))?\s*([A-Za-z][\w -]*)?")
_SERVING_WORDS = re.compile(r"^(?:servings?|portions?|people|persons?|serves)\b", re.I)


@dataclass(frozen=True, slots=True)
class Yield:
    """What a recipe gives: servings, or cups; ``serving_text`` names one piece ("1 muffin")."""

    servings: float | None = None
    cups: float | None = None
    serving_text: str = ""


@dataclass
class RawRecipe:
    """Title, ingredient lines with their section headings, steps and remarks, in the order of the source."""

    title: str = ""
    lines: list[tuple[str, str]] = field(default_factory=list)
    method: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    gives: Yield = field(default_factory=Yield)
    prep_minutes: float | None = None
    cook_minutes: float | None = None
    total_minutes: float | None = None
    language: str = ""


def minutes(text: str) -> float | None:
    """Minutes of "PT1H30M" (ISO 8601) or "1 hour 30 minutes"; None when it tells no time.

    >>> minutes("PT1H30M"), minutes("1 1/2 hours"), minutes("45 min"), minutes("a while")
    (90.0, 90.0, 45.0, None)
    """
    text = text.strip()
    iso = _ISO.fullmatch(text)
    if iso and any(iso.groupdict().values()):
        return sum(float(iso[k]) * _MINUTES[k] for k in "dhm" if iso[k])
    found = [(_number(m["number"]), m["unit"][0].lower()) for m in _SPOKEN.finditer(text)]
    return sum(number * _MINUTES[unit] for number, unit in found) if found else None


def read_yield(text: str) -> Yield:
    """What "Serves 4", "Makes 12 muffins" or "6 cups" says; the lower end of a range.

    >>> read_yield("Serves 4-6").servings, read_yield("Makes 12 muffins"), read_yield("about 6 cups").cups
    (4.0, Yield(servings=12.0, cups=None, serving_text='1 muffin'), 6.0)
    """
    serving = re.search(
        r"(\d+)(?:\s*(?:-|–|to)\s*\d+)?\s*servings?\b|serv(?:es|ings?)\W*(?:about\s+)?(\d+)", text, re.I
    )
    if serving:
        return Yield(float(serving[1] or serving[2]))
    cups = _YIELD_CUPS.search(text)
    if cups:
        return Yield(cups=_number(cups[1]))
    match = _YIELD_NUMBER.search(text)
    if not match or float(match[1]) <= 0:
        return Yield()
    what = (match[3] or "").strip().lower()
    if not what or _SERVING_WORDS.match(what):
        return Yield(float(match[1]))
    last = what.split()[-1]
    one = " ".join(
        [*what.split()[:-1], last[:-1] if last.endswith("s") and not last.endswith("ss") else last]
    )
    return Yield(float(match[1]), serving_text=f"1 {one}")


def _number(text: str) -> float:
    value = 0.0
    for part in text.split():
        top, _, bottom = part.partition("/")
        value += float(top) / float(bottom) if bottom and float(bottom) else float(top)
    return value
