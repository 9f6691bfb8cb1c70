"""Numbers and units as cooks write them: "1 ½", "one and a half", "2-3", "14.5-oz", "2 dl".

Numbers are exact fractions. Weights and volumes the units table does not hold ("dl", "gallon") are read
through pint and turned into a unit it holds.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import pint

from workbookgen.exchange.lexicon import Lexicon, UnitWord

MOST_DIGITS = 7  # "12345678 cups" is a slip, not an amount
_HYPHENS = "‐‑‒–—−"
_VULGAR = re.compile("[¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]")
_DIGITS = re.compile(
    r"(?P<whole>\d+)\s*(?:-\s?|\s+(?:and|&)\s+|\s+)(?P<top>\d+)/(?P<bottom>\d+)"  # 1 1/2, 1-1/2, 1 and 1/2
    r"|(?P<only_top>\d+)/(?P<only_bottom>\d+)"
    r"|(?P<decimal>\d*\.\d+)"
    r"|(?P<thousands>\d{1,3}(?:,\d{3})+)(?!\d)"
    r"|(?P<number>\d+)"
)
# Metric words and the customary ones pint knows; its other short words mean something else in a kitchen.
_PINT_WORDS = re.compile(
    r"(?:milli|centi|deci|deca|hecto|kilo|micro)?(?:gram|liter|litre)(?:me)?s?|[mcd]l|[cdk]g|mg|hg"
    r"|gallons?|gals?|gills?|pecks?|drams?|fluid_drams?|bushels?",
    re.I,
)
_PINT_AS = {"[mass]": ("g", "gram"), "[length] ** 3": ("mL", "milliliter")}


@dataclass(frozen=True, slots=True)
class Quantity:
    """``low`` of ``unit``; ``high`` is the upper end of a range. ``unit`` None means a bare count."""

    low: Fraction
    high: Fraction | None
    unit: UnitWord | None
    doubt: str = ""

    @property
    def base(self) -> float | None:
        """Grams of a weight, millilitres of a volume (lower end); None for anything else."""
        return float(self.low) * self.unit.factor if self.unit and self.unit.factor else None


def plain(text: str) -> str:
    """``text`` with plain fractions ("1 1/2"), hyphens, slashes, quotes and blanks."""
    text = _VULGAR.sub(lambda m: f" {_fraction_of(m[0])} ", text)
    for sign in _HYPHENS:
        text = text.replace(sign, "-")
    text = text.replace("⁄", "/").replace("∕", "/").replace("×", " x ").replace("’", "'").replace("″", '"')
    text = text.replace("“", '"').replace("”", '"')
    text = " ".join(unicodedata.normalize("NFKC", text).split())
    return re.sub(r"(?<=\d)\s*/\s*(?=\d)", "/", text)


def _fraction_of(sign: str) -> Fraction:
    return Fraction(unicodedata.numeric(sign)).limit_denominator(10)


def read_number(text: str, words: Lexicon) -> tuple[Fraction, int] | None:
    """The number at the start of ``text`` and where it ends; None when there is none or it is absurd."""
    match = _DIGITS.match(text)
    if match:
        return _digits(match)
    return _number_words(text, words)


def _digits(match: re.Match[str]) -> tuple[Fraction, int] | None:
    part = {name: value.replace(",", "") for name, value in match.groupdict().items() if value}
    if any(len(value) > MOST_DIGITS for value in part.values()):
        return None
    if "whole" in part:
        bottom, top, whole = int(part["bottom"]), int(part["top"]), int(part["whole"])
        if bottom == 0:
            return None
        return (
            (whole + Fraction(top, bottom), match.end())
            if top < bottom
            else (Fraction(whole), match.end("whole"))
        )
    if "only_top" in part:
        bottom = int(part["only_bottom"])
        return (Fraction(int(part["only_top"]), bottom), match.end()) if bottom else None
    return Fraction(next(iter(part.values()))), match.end()


def _number_words(text: str, words: Lexicon) -> tuple[Fraction, int] | None:
    """ "half a", "one and a half", "three quarters", "a dozen", "two"."""
    low = text.lower()
    names = "|".join(sorted(words.numbers, key=len, reverse=True))
    match = re.match(
        r"(?:(one|two|three|a)[\s-](half|thirds?|quarters?|fourths?)|(half)(?:\s+an?)?)(?!\w)(?:\s+of)?(?:\s+an?\b)?",
        low,
    )
    if match and match[3]:
        rest = re.match(r"\s+(?:a\s+)?dozen\b", low[match.end() :])
        return (Fraction(6), match.end() + rest.end()) if rest else (Fraction(1, 2), match.end())
    if match:
        parts = {"half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4}
        return words.numbers[match[1]] / parts[match[2]], match.end()
    match = re.match(rf"({names})(?!\w)", low)
    if not match:
        return None
    value, end = words.numbers[match[1]], match.end()
    more = re.match(r"\s+and\s+(?:a|one)[\s-](half|quarter|third)(?!\w)", low[end:])
    if more:
        return value + words.numbers[more[1]], end + more.end()
    dozen = re.match(r"\s+(?:dozen|couple)(?:\s+of)?(?!\w)", low[end:])
    if dozen:
        return value * (12 if "dozen" in dozen[0] else 2), end + dozen.end()
    return value, end


def read_range(text: str, words: Lexicon) -> tuple[Fraction, Fraction | None, int] | None:
    """A number or a range ("2-3", "2 to 3", "2 or 3") at the start of ``text``, and where it ends."""
    first = read_number(text, words)
    if first is None:
        return None
    low, end = first
    dozen = re.match(r"\s+dozen(?!\w)", text[end:], re.I)
    if dozen:
        return low * 12, None, end + dozen.end()
    sep = re.match(r"\s*(?:-|\bto\b|\bor\b)\s*", text[end:], re.I)
    if sep:
        second = read_number(text[end + sep.end() :], words)
        if second and second[0] > low and not _is_size(text[end + sep.end() + second[1] :], sep[0], words):
            return low, second[0], end + sep.end() + second[1]
    return low, None, end


def _is_size(rest: str, sep: str, words: Lexicon) -> bool:
    """True for the "15-oz" of "1-15-oz can": a hyphen with a size behind it is no range."""
    unit = read_unit(rest.lstrip("-"), words) if rest.startswith("-") and "-" in sep else None
    return unit is not None and unit[0].kind in ("mass", "volume")


def read_unit(text: str, words: Lexicon) -> tuple[UnitWord, int, str] | None:
    """The unit word at the start of ``text``, where it ends, and a doubt ("" when there is none)."""
    match = re.match(r"([Tt])(?:\.|\b)(?=\s|$)", text)
    if match:
        # One slip of the shift key would treble the amount, so the letter alone always asks.
        name = "tbsp" if match[1] == "T" else "tsp"
        return words.units[name], match.end(), f'"{match[1]}" is read as {name}'
    match = _unit_pattern(tuple(words.units)).match(text)
    if match:
        end = match.end() + (1 if text[match.end() : match.end() + 1] == "." else 0)
        return words.units[" ".join(match[0].lower().split())], end, ""
    match = re.match(r"[A-Za-z]+", text)
    if match and _PINT_WORDS.fullmatch(match[0]):
        unit = pint_unit(match[0])
        if unit:
            return unit, match.end(), ""
    return None


@lru_cache(maxsize=4)
def _unit_pattern(spellings: tuple[str, ...]) -> re.Pattern[str]:
    ordered = sorted(spellings, key=lambda s: (-len(s), s))
    body = "|".join(re.escape(s).replace(r"\ ", r"[\s-]+") for s in ordered)
    return re.compile(rf"(?:{body})(?![A-Za-z])", re.I)


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry:  # type: ignore[type-arg]
    return pint.UnitRegistry()


@lru_cache(maxsize=256)
def pint_unit(word: str) -> UnitWord | None:
    """A weight or volume that pint knows by ``word``, as grams or millilitres; None when it knows none."""
    try:
        one = _registry().Quantity(1, word.lower())
        for dimension, (name, base) in _PINT_AS.items():
            if one.check(dimension):
                factor = float(one.to(base).magnitude)
                return UnitWord(name, "mass" if name == "g" else "volume", factor)
    except (pint.errors.PintError, AttributeError, ValueError):
        return None
    return None
