"""The amount of a line in a unit that the food table knows for the food."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from workbookgen.exchange.food_words import Speller
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.quantities import Quantity


@dataclass(frozen=True)
class Kit:
    """What choosing a unit needs: words, thresholds of matching.toml, drained shares of cans."""

    words: Lexicon
    spell: Speller
    limits: Mapping[str, float]
    drained: Mapping[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class Measured:
    """``low`` (to ``high``) of ``unit``, which weighs ``grams_each``; low None means no amount is known.

    ``doubts`` send the line to review, ``remarks`` only tell. ``as_bought``: the weight holds peel or bone.
    """

    low: Fraction | None
    high: Fraction | None
    unit: str
    grams_each: float | None
    doubts: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    as_bought: bool = False

    @property
    def grams(self) -> float | None:
        """Grams of the lower end, None when not known."""
        return None if self.low is None or self.grams_each is None else float(self.low) * self.grams_each

    @property
    def grams_high(self) -> float | None:
        """Grams of the upper end, the lower one when there is no range."""
        low = self.grams
        return low if self.high is None or self.grams_each is None else float(self.high) * self.grams_each


def amount_words(low: Fraction, high: Fraction | None = None) -> str:
    """The amount as a cook writes it, which a recipe file reads back: "1 1/2", "2-3", "0.35".

    >>> amount_words(Fraction(3, 2)), amount_words(Fraction(2), Fraction(3)), amount_words(Fraction(7, 20))
    ('1 1/2', '2-3', '0.35')
    """
    return _one(low) if high is None else f"{_one(low)}-{_one(high)}"


def _one(value: Fraction) -> str:
    if value.denominator == 1:
        return str(value.numerator)
    if value.denominator in (2, 3, 4, 6, 8, 16):
        whole, rest = divmod(value, 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{float(value):.6g}"


def total(amounts: tuple[Quantity, ...]) -> Quantity:
    """All amounts of one kind added up in the unit of the first: 1 lb and 4 oz are 1 1/4 lb."""
    first = amounts[0]
    low, high = first.low, first.high
    for more in amounts[1:]:
        if first.unit is None or more.unit is None or not first.unit.factor:
            continue
        scale = Fraction(more.unit.factor / first.unit.factor).limit_denominator(10_000)
        low += more.low * scale
        high = (high + (more.high or more.low) * scale) if high is not None else None
    return Quantity(low, high, first.unit, first.doubt)
