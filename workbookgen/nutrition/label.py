"""How a label declares amounts: rounding and per cent Daily Value (21 CFR 101.9(c))."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

from workbookgen.model.tables import RoundingRule


def half_up(value: float, decimals: int = 0) -> float:
    """Round as a spreadsheet's ROUND does: halves away from zero, in decimal arithmetic.

    >>> half_up(0.125, 2), half_up(2.5), half_up(-2.5)
    (0.13, 3.0, -3.0)
    """
    if not math.isfinite(value):
        return value
    step = Decimal(1).scaleb(-decimals)
    return float(Decimal(repr(value)).quantize(step, rounding=ROUND_HALF_UP))


def to_step(value: float, step: float) -> float:
    """Nearest multiple of ``step``; an inner rounding to 9 decimals keeps binary noise off the halves."""
    return half_up(half_up(value / step, 9)) * step


def shown(value: float, decimals: int) -> str:
    """A number as the workbook prints it inside a text: no trailing zeros, halves up.

    >>> shown(0.145, 2), shown(12.0, 1)
    ('0.15', '12')
    """
    scaled = half_up(half_up(value * 10**decimals, 9)) / 10**decimals
    return f"{scaled:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{scaled:.0f}"


def declared(value: float, rule: RoundingRule) -> float:
    """The amount a label declares for ``value`` (in the rule's unit)."""
    v = half_up(value, 9)
    if v < rule.zero_below:
        return 0.0
    if v <= rule.upto_1:
        return to_step(v, rule.step_1)
    if v <= rule.upto_2:
        return to_step(v, rule.step_2)
    return to_step(v, rule.step_3)


def says_less_than(value: float, rule: RoundingRule) -> bool:
    """True where the label may say "less than ..." instead of a number."""
    v = half_up(value, 9)
    if v < rule.zero_below:
        return False
    return v <= rule.text_below if rule.text_at else v < rule.text_below


def declared_text(value: float, rule: RoundingRule, unit: str, decimals: int) -> str:
    """The declared amount in words, "less than" included."""
    if says_less_than(value, rule):
        return f"less than {shown(rule.text_amount, decimals)} {unit}"
    return f"{shown(declared(value, rule), decimals)} {unit}"
