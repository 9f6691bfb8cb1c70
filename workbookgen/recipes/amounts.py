"""Amounts as cooks write them: "3/4", "1 1/2", "1½", "2-3", "0.5", "two", "3/4 cup".

Fractions are computed exactly and turned into a float once, so "1/3" is the nearest float to a third.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from workbookgen.recipes.text import clean, shown

LEAST = 0.001
"""The least amount of any unit (the recipe sheet refuses less)."""
MOST = 5_000.0
"""The greatest amount of any unit: a spreadsheet's date for "3/4" lies above it, a cook's amount does not."""

_NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "a": 1, "an": 1,
}  # fmt: skip
_UNDECIDED = frozenset({
    "", "to taste", "as needed", "as required", "as desired", "as you like", "some", "a little", "a few",
    "for garnish", "for serving", "to serve", "for frying", "for greasing", "optional", "?",
})  # fmt: skip
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_WORD = "|".join(sorted(_NUMBER_WORDS, key=len, reverse=True))
_ONE = (
    rf"(?:[0-9]+\s+[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+|[0-9]*\.[0-9]+|[0-9]+\s*[{_VULGAR}]|[{_VULGAR}]"
    rf"|[0-9]+(?:\.(?![0-9]))?|(?:(?:{_WORD})\s+and\s+a\s+half|half\s+an?|half|{_WORD})\b)"
)
_RANGE = rf"(?P<low>{_ONE})(?:\s*(?:-|\bto\b|\bor\b)\s*(?P<high>{_ONE}))?"
_AMOUNT = re.compile(rf"{_RANGE}(?P<rest>.*)", re.I | re.S)
_COMMA = re.compile(r"[0-9],[0-9]")
_NEGATIVE = re.compile(r"-\s*[0-9.]")


class AmountError(ValueError):
    """``str(error)`` says in one sentence what is wrong with an amount and how to mend it."""


class UndecidedAmount(AmountError):
    """The amount is blank or left to taste; it must be decided before anything is computed."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount: ``value`` is computed on; ``low`` and ``high`` are the ends of a range, else None."""

    value: float
    low: float | None = None
    high: float | None = None


def parse_amount(text: str, use: str = "low") -> Amount:
    """The amount in ``text``, which holds nothing else; ``use`` ("low" or "high") picks the end of a range.

    Raises ``AmountError`` with one sentence.

    >>> parse_amount("1 1/2").value, parse_amount("2-3", use="high").value
    (1.5, 3.0)
    """
    amount, rest = split_amount(text, use)
    if rest:
        raise AmountError(f"{shown(rest)} stands after the number of {shown(text)}; put it into the unit")
    return amount


def split_amount(text: str, use: str = "low") -> tuple[Amount, str]:
    """The amount at the start of ``text`` and the words after it ("" when there are none).

    Raises ``AmountError`` with one sentence.

    >>> split_amount("1½ cups")
    (Amount(value=1.5, low=None, high=None), 'cups')
    """
    words = _plain_signs(text)
    if words.casefold().rstrip(".") in _UNDECIDED:
        how = f"amount {shown(text)} is not decided" if words else "the amount is blank"
        raise UndecidedAmount(f'{how}; measure it once and write a number, such as "1/4 tsp"')
    if _NEGATIVE.match(words):
        raise AmountError(f"amount {shown(text)} is negative; write a number above 0")
    if _COMMA.search(words):
        raise AmountError(f"amount {shown(text)} has a comma in the number; write 0.5 or 1000")
    match = _AMOUNT.fullmatch(words)
    if not match:
        raise AmountError(f'amount {shown(text)} does not start with a number; write "3/4" or "1 1/2"')
    rest = match["rest"].strip()
    if rest and not (rest[0].isalpha() or rest[0] in "(#"):
        raise AmountError(f'amount {shown(text)} is not understood; write it like "3/4", "1 1/2" or "2-3"')
    return _amount(match["low"], match["high"], use, text), rest


def check_limits(value: float, written: object) -> None:
    """Raise ``AmountError``, quoting ``written``, unless ``value`` is a number from ``LEAST`` to ``MOST``."""
    if not math.isfinite(value):
        raise AmountError(f"amount {shown(written)} is not a number; write one above 0")
    if value < 0:
        raise AmountError(f"amount {shown(written)} is negative; write a number above 0")
    if value == 0:
        raise AmountError("the amount is 0; write the amount, or take the line out")
    if value < LEAST:
        raise AmountError(f"amount {shown(written)} is below {LEAST:g}; choose a smaller unit")
    if value > MOST:
        raise AmountError(f"amount {shown(written)} is above {MOST:,.0f}; choose a larger unit")


def _amount(low_text: str, high_text: str | None, use: str, text: str) -> Amount:
    low = _value(low_text, text)
    check_limits(low, text)
    if high_text is None:
        return Amount(low)
    high = _value(high_text, text)
    check_limits(high, text)
    if high <= low:
        mend = 'write "2-3", or "1 1/2" for one and a half'
        raise AmountError(f"range {shown(text)} does not run upwards; {mend}")
    return Amount(high if use == "high" else low, low, high)


def _plain_signs(text: str) -> str:
    """``text`` on one line, with plain slashes, hyphens and minus signs."""
    for sign in "‐‑‒–—−":
        text = text.replace(sign, "-")
    return clean(text.replace("⁄", "/").replace("∕", "/"))


def _value(number: str, text: str) -> float:
    """The value of one number without a range."""
    words = number.casefold().split()
    try:
        if words[0] in _NUMBER_WORDS:
            return _NUMBER_WORDS[words[0]] + (0.5 if len(words) > 1 else 0.0)
        if words[0] == "half":
            return 0.5
        return float(_exact("".join(words) if "/" not in number else number))
    except (ValueError, OverflowError) as error:
        raise AmountError(f"amount {shown(text)} is too long a number; choose a larger unit") from error
    except ZeroDivisionError as error:
        raise AmountError(f"amount {shown(text)} divides by 0; write the fraction again") from error


def _exact(number: str) -> Fraction:
    if "/" in number:
        top, bottom = number.split("/")
        whole, _, top = top.strip().rpartition(" ")
        return Fraction(whole.strip() or 0) + Fraction(int(top), int(bottom))
    if number[-1] in _VULGAR:
        part = Fraction(unicodedata.numeric(number[-1])).limit_denominator(10)
        return Fraction(number[:-1] or 0) + part
    return Fraction(number.rstrip(".") if number.endswith(".") else number)
