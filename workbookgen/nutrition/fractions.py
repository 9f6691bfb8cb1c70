"""Amounts in kitchen words: fractions of cups and spoons, pounds and ounces, plurals, metric steps.

The printed card scales a recipe to any number of servings; a cook cannot measure 0.417 cup. Amounts are
rounded to fractions that spoons and cups have (1/8, 1/4, 1/3, 1/2, 2/3, 3/4); where the nearest is more
than ``off_pct`` per cent away, the rest goes one unit down if that comes nearer. The exact weight stands
beside. US customary units: NIST Handbook 44, Appendix C.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from workbookgen.model.food import Food
from workbookgen.model.handout import KitchenStep, KitchenWords, MetricStep
from workbookgen.nutrition.label import half_up, to_step

#: Floors look this far above a fraction, so that 1/3 kept to nine digits is still found.
HAIR = 1e-7
LEAST_DENSITY = 0.8


@dataclass(frozen=True, slots=True)
class Kitchened:
    """An amount a kitchen can measure: its words and its size in the base measure (mL, g or pieces)."""

    text: str
    size: float


def nearest(s: float, fractions: Sequence[tuple[float, str]]) -> tuple[float, str]:
    """The measurable amount nearest to ``s`` units, halves up, with its words ("" for none).

    >>> nearest(1.4, [(0.25, "1/4"), (0.5, "1/2")])
    (1.5, '1 1/2')
    """
    whole = math.floor(s)
    part = half_up(s - whole, 9)
    stops = [(0.0, ""), *fractions, (1.0, "+")]
    chosen = stops[0]
    for lower, upper in pairwise(stops):
        if part >= half_up((lower[0] + upper[0]) / 2, 9):
            chosen = upper
    return _worded(whole, chosen)


def floor_of(s: float, fractions: Sequence[tuple[float, str]]) -> tuple[float, str]:
    """The largest measurable amount that is not above ``s`` units, with its words."""
    whole = math.floor(s)
    part = half_up(s - whole, 9)
    chosen = (0.0, "")
    for stop in [*fractions, (1.0, "+")]:
        if part >= stop[0] - HAIR:
            chosen = stop
    return _worded(whole, chosen)


def _worded(whole: int, stop: tuple[float, str]) -> tuple[float, str]:
    value, text = stop
    if text == "+":
        return whole + 1.0, str(whole + 1)
    words = " ".join(w for w in (str(whole) if whole else "", text) if w)
    return whole + value, words


def named(amount: tuple[float, str], step: KitchenStep, one: str = "", many: str = "") -> str:
    """Amount and unit in words, plural from more than one on."""
    value, words = amount
    unit = (many or step.many) if value > 1 else (one or step.one)
    return f"{words} {unit}".rstrip()


def kitchen_amount(
    q: float, steps: Sequence[KitchenStep], off_pct: float, one: str = "", many: str = ""
) -> Kitchened:
    """``q`` (mL, g or pieces) in kitchen words.

    ``steps`` are the units of one kind, small to large; ``off_pct`` is how far (per cent) the nearest
    fraction may be off before one unit down is tried. ``one`` and ``many`` name pieces.
    """
    if q <= 0:
        return Kitchened("0", 0.0)
    k = max(i for i, step in enumerate(steps) if half_up(q, 9) >= half_up(step.from_size, 9))
    step = steps[k]
    s = half_up(q / step.size, 9)
    plain = nearest(s, step.fractions)
    size = plain[0] * step.size
    if step.finer and half_up(abs(plain[0] - s) * 100 / s, 9) > off_pct:
        other = _one_down(q, s, step, steps[k - 1])
        if half_up(abs(other.size - q), 9) < half_up(abs(size - q), 9):
            return other
    return Kitchened(named(plain, step, one, many) if plain[0] else step.least, size)


def _one_down(q: float, s: float, step: KitchenStep, finer: KitchenStep) -> Kitchened:
    """The same amount with its rest in the finer unit ("2 cups + 2 tbsp"), or wholly in it."""
    kept = (0.0, "")
    if step.split_from is not None and s >= step.split_from:
        kept = floor_of(s, step.fractions if step.keeps_fraction else ())
    rest = nearest(half_up(max(0.0, q - kept[0] * step.size) / finer.size, 9), finer.fractions)
    parts = [named(a, u) for a, u in ((kept, step), (rest, finer)) if a[0]]
    return Kitchened(step.joiner.join(parts), kept[0] * step.size + rest[0] * finer.size)


def metric_amount(x: float, steps: Sequence[MetricStep]) -> Kitchened:
    """``x`` grams or millilitres as a scale or jug shows them."""
    step = max((s for s in steps if half_up(x, 9) >= s.start), key=lambda s: s.start)
    value = to_step(x, step.step)
    if value == 0 and x > 0:
        return Kitchened(f"less than {_plain(step.step / step.divisor)} {step.unit}", 0.0)
    return Kitchened(f"{_plain(value / step.divisor)} {step.unit}", value)


def _plain(x: float) -> str:
    """Number in a text, up to three decimals, without trailing zeros."""
    return f"{half_up(half_up(x * 1000, 9)) / 1000:.3f}".rstrip("0").rstrip(".")


def plural(unit: str, plurals: Mapping[str, str]) -> str:
    """Plural of a kitchen unit; words after a comma or bracket stay.

    >>> plural("clove", {}), plural("leaf, large", {"leaf": "leaves"}), plural("can (15 oz)", {})
    ('cloves', 'leaves, large', 'cans (15 oz)')
    """
    head, _ = split_unit(unit)
    rest = unit[len(head):]
    if head in plurals:
        return plurals[head] + rest
    first, _, last = head.rpartition(" ")
    front = first + " " if first else ""
    if last in plurals:
        return front + plurals[last] + rest
    if last.endswith(("s", "x", "ch", "sh")):
        return front + last + "es" + rest
    if last.endswith("y") and last[-2:-1] not in "aeiou":
        return front + last[:-1] + "ies" + rest
    return front + last + "s" + rest


def split_unit(unit: str) -> tuple[str, str]:
    """What is counted, and the words that describe it: "can (15 oz), drained" -> "can", "15 oz, drained"."""
    at = min(f"{unit},".find(","), f"{unit} (".find(" ("))
    return unit[:at], unit[at + 2 :].replace(")", "").replace(" (", ", ")


def is_poured(food: Food, words: KitchenWords) -> bool:
    """True for a food that a metric kitchen measures in mL; common practice, no source."""
    if food.g_per_ml is None or food.g_per_ml < LEAST_DENSITY:
        return False
    name = food.name.split(",")[0].lower()
    if any(name.endswith(ending) for ending in words.not_poured):
        return False
    return food.role == "liquid" or any(name.endswith(ending) for ending in words.poured)
