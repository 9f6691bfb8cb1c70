"""What a little more or less of each ingredient does to the targets, the plate and the weight of a serving.

Amounts of nutrients are proportional to amounts of foods, so a change of p per cent moves a target by p per cent of what
the line brings. Shares of the plate are not: more of one food takes share from all others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, TargetResult
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.plate import PlateBalance, plate_role
from workbookgen.nutrition.targets import NOT_MET

UNKNOWN, NOT_ALONE, NONE_OF_IT = "?", "not alone", "-"


@dataclass(frozen=True, slots=True)
class LineMoves:
    """One ingredient line: what it brings to each target of a serving (None = unknown), how many per cent it alone
    would have to change (or why not), grams of a serving for the change asked, and percentage points of each plate
    group for more and for less of it."""

    brings: tuple[float | None, ...]
    moves: tuple[float | None, ...]
    alone: tuple[float | str, ...]
    weight: float
    more: tuple[float, ...]
    less: tuple[float, ...]


def brought(kitchen: Kitchen, analysis: Analysis, line: int, target: int) -> float | None:
    """What a line brings of a target's nutrient to one serving, in per cent Daily Value where the target is told so;
    None where it is not known."""
    wish = analysis.recipe.targets[target]
    amount = analysis.lines[line].values[wish.tag]
    if analysis.lines[line].source_grams == 0:
        amount = 0.0
    if amount is None:
        return None
    if wish.basis == "%DV":
        daily = kitchen.reference_set_by_id[analysis.settings.reference_set].values.get(wish.tag)
        return None if daily is None else amount / analysis.servings / daily.value * 100
    return amount / analysis.servings


def alone(limit: float, result: TargetResult, brings: float | None) -> float | str:
    """Per cent by which this ingredient alone would have to change; words where the target needs nothing or where
    taking all of it out is not enough."""
    if result.verdict != NOT_MET or result.value is None:
        return result.verdict
    if brings is None:
        return UNKNOWN
    if brings == 0:
        return NONE_OF_IT
    change = (limit - result.value) / brings * 100
    return NOT_ALONE if half_up(change, 9) < -100 else change


def share_moves(amounts: Sequence[float], groups: Sequence[int], sums: Sequence[float], line: int, change: float) -> tuple[float, ...]:
    """Percentage points by which each group's share moves when a line on the plate changes by ``change`` (a share);
    ``groups`` counts from 1, 0 is off the plate."""
    total = sum(sums)
    moved = amounts[line] * change if groups[line] else 0.0
    found = []
    for number, amount in enumerate(sums, 1):
        before = amount / total * 100 if total else 0.0
        new = amount + (moved if groups[line] == number else 0.0)
        after = new / (total + moved) * 100 if total + moved > 0 else 0.0
        found.append(after - before)
    return tuple(found)


def line_moves(kitchen: Kitchen, analysis: Analysis, balance: PlateBalance, percent: float) -> tuple[LineMoves, ...]:
    """The moves of every line for a change of ``percent`` more or less."""
    recipe = analysis.recipe
    model = kitchen.plate_model_by_id[recipe.plate_model or analysis.settings.plate_model]
    groups = [
        next((n for n, g in enumerate(model.groups, 1) if plate_role(x, recipe.legumes_as) in g.roles), 0) for x in analysis.lines
    ]
    sums = [g.grams for g in balance.groups]
    share = percent / 100
    found = []
    for i, line in enumerate(analysis.lines):
        brings = tuple(brought(kitchen, analysis, i, t) for t in range(len(recipe.targets)))
        found.append(
            LineMoves(
                brings=brings,
                moves=tuple(None if b is None else b * percent / 100 for b in brings),
                alone=tuple(alone(t.value, r, b) for t, r, b in zip(recipe.targets, analysis.targets, brings, strict=True)),
                weight=line.cooked / analysis.servings * percent / 100,
                more=share_moves(balance.amounts, groups, sums, i, share),
                less=share_moves(balance.amounts, groups, sums, i, -share),
            )
        )
    return tuple(found)
