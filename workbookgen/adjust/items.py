"""What may change: every line of a recipe with its bounds and kitchen steps, its siblings, and foods to add."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from workbookgen.adjust.rules import NOT_THERE, Addition, AdjustRules, Bound, Step
from workbookgen.model.analysis import Analysis, LineResult, Settings
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.amounts import grams_per_unit
from workbookgen.nutrition.fractions import split_unit
from workbookgen.nutrition.kitchen import NO_TREATMENT, Kitchen
from workbookgen.nutrition.lines import ABSORBED, work_out_line

AS_IS, OUT, STEPS = "as is", "out", "steps"
IN, ABSENT, FIXED = "in", "absent", "fixed"
LINE, LISTED, ADDITION = "line", "listed", "addition"
HAIR = 1e-9
PIECE = "piece"
ADDED_NOTE = "added to reach the targets"
SWEET_GROUPS = ("Fruit", "Dried fruit", "Sweeteners")


@dataclass(frozen=True, slots=True)
class Mode:
    """One way an item may stand: out of the dish, as it is, or on kitchen steps (multiples ``low`` to ``high`` of
    ``step``) that all lie above or all below the written amount. ``slot`` counts the foods of the item, ``cost`` is
    what choosing it costs beside the change of amount."""

    kind: str
    slot: int
    cost: float
    step: Fraction = Fraction(0)
    low: int = 0
    high: int = 0


@dataclass(frozen=True, slots=True)
class Slot:
    """One food that an item may be: ``line`` as it would stand, ``one`` worked out for one unit, ``base`` the amount
    that counts as unchanged (for a food to add: the usual amount), ``most`` the largest allowed."""

    line: IngredientLine
    one: LineResult
    base: float
    least: float
    most: float

    @property
    def food(self) -> Food:
        return self.one.food


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the recipe, or a food that may join it. ``place`` is the line's number from 0 (None for a food to
    add), ``start`` "in", "absent" or "fixed"; the first slot is the food as written."""

    kind: str
    place: int | None
    start: str
    weight: float
    slots: tuple[Slot, ...]
    modes: tuple[Mode, ...]
    bound: str

    @property
    def name(self) -> str:
        return self.slots[0].food.name

    @property
    def can_leave(self) -> bool:
        return any(m.kind == OUT for m in self.modes)


@dataclass(frozen=True, slots=True)
class Freedom:
    """What the caller lets change: foods kept (lower case), the largest share of change (None = kitchen sense only),
    swaps allowed, foods never increased, and which foods may come in."""

    keep: frozenset[str] = frozenset()
    max_change: float | None = None
    swaps: bool = False
    not_more: frozenset[str] = frozenset()
    permitted: Callable[[LineResult], bool] = lambda _: True


def unit_kind(kitchen: Kitchen, unit: str) -> tuple[str, str]:
    """Kind of a unit (volume, mass or piece) and its first word, by which steps are looked up.

    A household measure such as "cup, chopped" is measured like its first word.
    """
    head, _ = split_unit(unit)
    known = kitchen.unit_by_name.get(head.lower())
    return (known.kind, known.name) if known else (PIECE, head)


def step_modes(steps: Sequence[Step], slot: int, base: float, least: float, most: float, cost: float) -> list[Mode]:
    """Kitchen steps from ``least`` to ``most`` units: for each row of steps one mode below ``base``, one above it.

    Steps below and above the written amount are modes of their own, so that what a mode costs is linear in its steps.
    The written amount itself is no step, and a mode whose steps another one holds too is left out.
    """
    found: list[Mode] = []
    for s in steps:
        size = float(s.step)
        low = math.ceil(max(float(s.low), least) / size - HAIR)
        high = math.floor(min(float(s.high), most) / size + HAIR)
        below, above = math.ceil(base / size - HAIR) - 1, math.floor(base / size + HAIR) + 1
        for first, last in ((low, min(high, below)), (max(low, above), high)):
            if first <= last:
                found.append(Mode(STEPS, slot, cost, s.step, first, last))
    return [m for i, m in enumerate(found) if not any(_holds(o, m, i < j) for j, o in enumerate(found) if j != i)]


def _holds(one: Mode, other: Mode, earlier: bool) -> bool:
    """True where every step of ``other`` is one of ``one``; of two equal modes the earlier one stays."""
    if not (_points(other) <= _points(one)):
        return False
    return not (earlier and _points(one) <= _points(other))


def _points(mode: Mode) -> set[Fraction]:
    return {mode.step * n for n in range(mode.low, mode.high + 1)}


def line_items(kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, freedom: Freedom) -> list[Item]:
    """One item for every counted line, and for every line the recipe offers without counting it."""
    found = []
    for place, result in enumerate(analysis.lines):
        line = result.line
        if line.include:
            found.append(_line_item(kitchen, analysis, rules, freedom, place, result))
        elif line.optional and line.food.lower() not in freedom.keep:
            found.append(_listed_item(kitchen, analysis, rules, place, result))
    return found


def _one(kitchen: Kitchen, line: IngredientLine, settings: Settings) -> LineResult:
    return work_out_line(kitchen, replace(line, amount=1.0, include=True), settings, line.food)


def _limits(bound: Bound, base: float, one: LineResult, servings: float, max_change: float | None) -> tuple[float, float]:
    """Least and largest amount by kitchen sense, by the caller's share, by grams of a serving."""
    least, most = bound.least, bound.most
    if max_change is not None:
        least, most = max(least, 1 - max_change), min(most, 1 + max_change)
    high = base * most
    if bound.most_g is not None and one.edible > 0:
        high = max(base, min(high, bound.most_g * servings / one.edible))
    return base * least, high


def _line_item(
    kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, freedom: Freedom, place: int, result: LineResult
) -> Item:
    line, costs = result.line, rules.costs
    bound = rules.bound_of(result)
    one = _one(kitchen, line, analysis.settings)
    fixed = Slot(line, one, line.amount, line.amount, line.amount)
    as_is = Mode(AS_IS, 0, 0.0)
    if result.food.name.lower() in freedom.keep or one.edible <= 0:
        return Item(LINE, place, FIXED, bound.weight, (fixed,), (as_is,), bound.id)
    least, most = _limits(bound, line.amount, one, analysis.servings, freedom.max_change)
    if result.food.name.lower() in freedom.not_more:
        most = min(most, line.amount)
    touch = costs["change_water" if line.water == ABSORBED else "change_one"]
    slots = [Slot(line, one, line.amount, least, most)]
    kind, head = unit_kind(kitchen, line.unit)
    modes = [as_is, *step_modes(rules.steps_of(result.food, kind, head), 0, line.amount, least, most, touch)]
    if bound.leave_out and (freedom.max_change is None or freedom.max_change >= 1):
        modes.append(Mode(OUT, 0, touch + costs["leave_out_one"]))
    if freedom.swaps:
        for name in rules.swaps.get(result.food.name.lower(), ()):
            _add_sibling(kitchen, analysis, rules, freedom, result, bound, name, slots, modes)
    if len(modes) == 1:
        return Item(LINE, place, FIXED, bound.weight, (fixed,), (as_is,), bound.id)
    return Item(LINE, place, IN, bound.weight, tuple(slots), tuple(modes), bound.id)


def _add_sibling(
    kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, freedom: Freedom, result: LineResult, bound: Bound,
    name: str, slots: list[Slot], modes: list[Mode],
) -> None:  # fmt: skip
    """A sibling food in the place of a line: same unit where it has it, else the same grams."""
    food = kitchen.food_by_name.get(name.lower())
    if food is None or all(t.name != result.line.treatment.lower() for t in kitchen.offers(food.keep_group, food.state)):
        return
    same_unit = grams_per_unit(kitchen, food, result.line.unit) is not None
    unit = result.line.unit if same_unit else "g"
    base = result.line.amount if same_unit else result.grams
    line = replace(result.line, food=food.name, unit=unit, amount=base, amount_text="", amount_low=None, amount_high=None)
    one = _one(kitchen, line, analysis.settings)
    if not freedom.permitted(one):
        return
    least, most = _limits(bound, base, one, analysis.servings, freedom.max_change)
    kind, head = unit_kind(kitchen, unit)
    swap, number = rules.costs["swap_one"], len(slots)
    more = step_modes(rules.steps_of(food, kind, head), number, base, least, most, swap + rules.costs["change_one"])
    slots.append(Slot(line, one, base, least, most))
    modes += [Mode(AS_IS, number, swap)] if same_unit else []
    modes += more


def _listed_item(kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, place: int, result: LineResult) -> Item:
    """An ingredient the recipe offers ("optional, not counted"): it may be counted."""
    line, costs = result.line, rules.costs
    one = _one(kitchen, line, analysis.settings)
    bound = rules.bound_of(result)
    least, most = _limits(bound, line.amount, one, analysis.servings, None)
    kind, head = unit_kind(kitchen, line.unit)
    modes = [Mode(OUT, 0, 0.0), Mode(AS_IS, 0, costs["add_listed"])]
    touch = costs["add_listed"] + costs["change_one"]
    modes += step_modes(rules.steps_of(result.food, kind, head), 0, most + 1, least, most, touch)
    return Item(LISTED, place, ABSENT, bound.weight, (Slot(line, one, line.amount, least, most),), tuple(modes), bound.id)


def addition_item(kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, row: Addition, treatment: str) -> Item | None:
    """A food to add, None when its unit is not known or no kitchen step fits between 0 and its most."""
    food = kitchen.food_by_name.get(row.food.lower())
    if food is None or grams_per_unit(kitchen, food, row.unit) is None:
        return None
    base, most = row.usual * analysis.servings, row.most * analysis.servings
    least = base * rules.costs["add_least"]
    line = IngredientLine(food=food.name, amount=base, unit=row.unit, treatment=treatment, note=ADDED_NOTE)
    one = _one(kitchen, line, analysis.settings)
    bound = rules.bound_of(one)
    kind, head = unit_kind(kitchen, row.unit)
    steps = step_modes(rules.steps_of(food, kind, head), 0, most + 1, least, most, rules.costs["add_one"])
    if not steps:
        return None
    slot = Slot(line, one, base, least, most)
    return Item(ADDITION, None, ABSENT, bound.weight, (slot,), (Mode(OUT, 0, 0.0), *steps), bound.id)


def addition_rows(analysis: Analysis, rules: AdjustRules) -> list[tuple[Addition, str]]:
    """Additions that suit the dish (cooked or not, sweet or not) with their treatment; foods that are in it already,
    counted or offered, are left out."""
    present = {line.food.name.lower() for line in analysis.lines}
    cold = _share(analysis, lambda x: x.line.treatment.lower() == NO_TREATMENT) >= rules.costs["cold_share"]
    sweet = cold and _share(analysis, lambda x: x.food.group in SWEET_GROUPS) >= rules.costs["sweet_share"]
    found = []
    for row in rules.additions:
        treatment = row.cold if cold else row.hot
        if treatment != NOT_THERE and row.food.lower() not in present and (row.sweet or not sweet):
            found.append((row, treatment))
    return found


def _share(analysis: Analysis, fits: Callable[[LineResult], bool]) -> float:
    """Per cent of the edible weight, water left out, of the lines that fit."""
    weight = sum(line.weight_without_water for line in analysis.lines)
    part = sum(line.weight_without_water for line in analysis.lines if fits(line))
    return part / weight * 100 if weight else 0.0
