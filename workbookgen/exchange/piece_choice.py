"""Chooses the measure of a natural piece: "2 large eggs", "3 cloves", "1 medium stalk", "1 can"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from workbookgen.exchange.food_words import Speller
from workbookgen.exchange.measured import Measured
from workbookgen.exchange.parsed import JUICE_OF, ZEST_OF, ParsedLine
from workbookgen.exchange.quantities import Quantity
from workbookgen.model.food import Food, Measure

SIZES = ("extra small", "small", "medium", "large", "extra large", "jumbo")
USUAL = "medium"
USUAL_EGG = "large"  # the size US recipes mean
EGG_GROUP = "egg"
_NO_PIECE = re.compile(r"(?:cup|tbsp|tsp|fl oz|pint|quart|dash|pat|mL|L)\b")
# Parts and packings: meant only when the line says so.
_ONLY_WHEN_SAID = frozenset({
    "slice", "strip", "wedge", "leaf", "ring", "can", "package", "packet", "pack", "spear", "stalk", "container",
    "jar", "bottle", "carton", "box", "envelope", "cube", "sprig", "head", "bunch", "block", "sheet", "piece",
    "half", "kernel", "floret", "stick", "clove", "link", "patty", "roast", "miniature", "mini", "bag", "bird",
    "raisin", "cherry", "plum", "baby", "tip", "juice", "breast", "thigh", "drumstick", "wing", "leg", "glass",
})  # fmt: skip
_WHOLE = ("fruit", "piece", "whole", "unit", "each")


def choose_piece(
    amount: Quantity, line: ParsedLine, food: Food, own: Sequence[Measure], spell: Speller, limits: Mapping[str, float]
) -> Measured:
    """The measure of one piece; a doubt is noted when the table has none or several fit as well."""
    wanted = amount.unit.name if amount.unit else ""
    if amount.unit == ZEST_OF:
        return _nothing("the weight of the zest of one fruit is not in the food table")
    if amount.unit == JUICE_OF:
        juice = [m for m in own if m.unit.startswith(("juice of 1 lemon", "juice of 1 lime", "juice of 1 fruit"))]
        return _chosen(amount, juice[0], "") if juice else _nothing("the juice of one fruit is not in the food table")
    said = set(spell.tokens(f"{line.name} {line.comment}")) | ({wanted} if wanted else set())
    named = set(spell.tokens(food.name.partition(",")[0])) | set(spell.tokens(food.synonyms.replace(";", " ")))
    usual = USUAL_EGG if food.keep_group == EGG_GROUP else USUAL
    ranked: list[tuple[float, int, Measure, str]] = []
    for measure in own:
        points, size = _points(measure, wanted, line.size, said, named, usual, spell)
        if points is not None:
            ranked.append((-points, measure.number, measure, size))
    if not ranked:
        what = f"{line.size} {wanted or 'piece'}".strip()
        return _nothing(f"the food table gives no weight for a {what}")
    ranked.sort(key=lambda r: r[:2])
    best = ranked[0]
    doubt = _doubt(best, ranked, line.size, limits)
    return _chosen(amount, best[2], doubt)


def _points(
    measure: Measure, wanted: str, size: str, said: set[str], named: set[str], usual: str, spell: Speller
) -> tuple[float | None, str]:
    """How well a measure fits (None: not at all) and the size it is for."""
    if _NO_PIECE.match(measure.unit):
        return None, ""
    plain = re.sub(r"\(.*?\)", " ", measure.unit)
    has_size = next((s for s in sorted(SIZES, key=len, reverse=True) if re.search(rf"\b{s}\b", plain)), "")
    words = [w for w in spell.tokens(re.sub(rf"\b{has_size}\b", " ", plain) if has_size else plain)]
    if wanted and wanted not in words:
        return None, has_size
    if not wanted and any(w in _ONLY_WHEN_SAID and w not in said for w in words) and plain.strip() not in _WHOLE:
        return None, has_size
    points = sum(1.0 if w in said else 0.0 if w in named or w in _WHOLE else -1.0 for w in words)
    if size and has_size == size:
        points += 3.0
    elif size and has_size:
        points -= 3.0
    elif not size and has_size:
        points += 0.9 if has_size == usual else -1.0
    return points - 0.1 * ("(" in measure.unit), has_size


def _doubt(
    best: tuple[float, int, Measure, str], ranked: list[tuple[float, int, Measure, str]], size: str,
    limits: Mapping[str, float],
) -> str:  # fmt: skip
    measure = best[2]
    if size and best[3] and best[3] != size:
        return f'the size "{size}" is not in the food table; "{measure.unit}" is the nearest'
    near = [r[2] for r in ranked[1:] if r[0] <= best[0] + 0.05]
    apart = [m for m in near if abs(m.grams - measure.grams) > limits["same_cup"] * measure.grams]
    if apart:
        return f'"{measure.unit}" ({measure.grams:g} g) or "{apart[0].unit}" ({apart[0].grams:g} g): choose'
    if best[0] > 0.5:  # its own words are not the line's
        return f'"{measure.unit}" ({measure.grams:g} g) may not be what is meant'
    return ""


def _nothing(why: str) -> Measured:
    return Measured(None, None, "", None, (why,))


def _chosen(amount: Quantity, measure: Measure, doubt: str) -> Measured:
    return Measured(amount.low, amount.high, measure.unit, measure.grams, (doubt,) if doubt else ())
