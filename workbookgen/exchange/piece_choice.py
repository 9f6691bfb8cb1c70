"""Chooses the measure of a natural piece: "2 large eggs", "3 cloves", "1 medium stalk", "1 can"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.exchange.measured import Kit, Measured
from workbookgen.exchange.parsed import JUICE_OF, ZEST_OF, ParsedLine
from workbookgen.exchange.quantities import Quantity
from workbookgen.model.food import Food, Measure

SIZES = ("extra large", "extra small", "jumbo", "medium", "large", "small")
USUAL = "medium"
USUAL_EGG = "large"  # the size US recipes mean
EGG_GROUP = "egg"
_NO_PIECE = re.compile(r"(?:cup|tbsp|tsp|fl oz|pint|quart|dash|pat|mL|L)\b")
_JUICE = ("juice of 1 lemon", "juice of 1 lime", "juice of 1 fruit")
_WHOLE = ("fruit", "piece", "whole", "unit", "each")
_TIE = 0.05
_OTHER_WORDS = -0.5  # at or below, the measure has words that the line does not say


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a line asks for: unit word, size, all its words, the food's own words, the usual size."""

    unit: str
    size: str
    said: frozenset[str]
    named: frozenset[str]
    usual: str


@dataclass(frozen=True, slots=True)
class _Fit:
    """A measure with its points (the more the better) and the size it is for."""

    points: float
    measure: Measure
    size: str


def choose_piece(
    amount: Quantity, line: ParsedLine, food: Food, own: Sequence[Measure], kit: Kit
) -> Measured:
    """The measure of one piece; a doubt is noted when the table has none or several fit as well."""
    if amount.unit == ZEST_OF:
        return _nothing("the weight of the zest of one fruit is not in the food table")
    if amount.unit == JUICE_OF:
        juice = next((m for m in own if m.unit.startswith(_JUICE)), None)
        return (
            _chosen(amount, juice, "")
            if juice
            else _nothing("the juice of one fruit is not in the food table")
        )
    unit = amount.unit.name if amount.unit else ""
    head, synonyms = food.name.partition(",")[0], food.synonyms.replace(";", " ")
    asked = _Asked(
        unit,
        line.size,
        frozenset(kit.spell.tokens(f"{line.name} {line.comment} {unit}")),
        frozenset(kit.spell.tokens(f"{head} {synonyms}")),
        USUAL_EGG if food.keep_group == EGG_GROUP else USUAL,
    )
    fits = [fit for measure in own if (fit := _fit(measure, asked, kit)) is not None]
    if not fits:
        piece = f"{line.size} {unit or 'piece'}".strip()
        return _nothing(f"the food table gives no weight for a {piece}")
    fits.sort(key=lambda fit: (-fit.points, fit.measure.number))
    return _chosen(amount, fits[0].measure, _doubt(fits, asked, kit))


def _fit(measure: Measure, asked: _Asked, kit: Kit) -> _Fit | None:
    """How well a measure fits; None for one that cannot be meant."""
    if _NO_PIECE.match(measure.unit):
        return None
    plain = re.sub(r"\(.*?\)", " ", measure.unit)
    size = next((s for s in SIZES if re.search(rf"\b{s}\b", plain)), "")
    words = kit.spell.tokens(re.sub(rf"\b{size}\b", " ", plain) if size else plain)
    if asked.unit and asked.unit not in words:
        return None
    part = any(w in kit.words.only_when_said and w not in asked.said for w in words)
    if not asked.unit and part and plain.strip() not in _WHOLE:
        return None
    points = sum(1.0 if w in asked.said else 0.0 if w in asked.named or w in _WHOLE else -1.0 for w in words)
    if asked.size and size:
        points += 3.0 if size == asked.size else -3.0
    elif size:
        points += 0.9 if size == asked.usual else -1.0
    return _Fit(points - 0.1 * ("(" in measure.unit), measure, size)


def _doubt(fits: Sequence[_Fit], asked: _Asked, kit: Kit) -> str:
    """Why the best measure is not certain; "" when it is."""
    best, measure = fits[0], fits[0].measure
    if asked.size and best.size and best.size != asked.size:
        return f'the size "{asked.size}" is not in the food table; "{measure.unit}" is the nearest'
    ties = [fit.measure for fit in fits[1:] if fit.points >= best.points - _TIE]
    apart = [m for m in ties if abs(m.grams - measure.grams) > kit.limits["same_cup"] * measure.grams]
    if apart:
        return f'"{measure.unit}" ({measure.grams:g} g) or "{apart[0].unit}" ({apart[0].grams:g} g): choose'
    if best.points <= _OTHER_WORDS:
        return f'"{measure.unit}" ({measure.grams:g} g) may not be what is meant'
    return ""


def _nothing(why: str) -> Measured:
    return Measured(None, None, "", None, (why,))


def _chosen(amount: Quantity, measure: Measure, doubt: str) -> Measured:
    return Measured(amount.low, amount.high, measure.unit, measure.grams, (doubt,) if doubt else ())
