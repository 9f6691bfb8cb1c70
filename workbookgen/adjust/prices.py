"""What each target costs: dual values of the linear problem that is left once foods and steps are chosen, in words.

With the chosen foods standing (which change, which are swapped, added or left out), amounts between kitchen steps are
let free; the least change is then a linear problem, and its dual values say what one unit more of each limit would
cost. Prices hold for small moves and for this choice of foods.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from workbookgen.adjust.least import Result
from workbookgen.adjust.model import Options, build
from workbookgen.adjust.solve import Priced, solve_linear
from workbookgen.adjust.space import Demand, Row, Space, Vector
from workbookgen.adjust.task import Task

_SMALL = 1e-7
_MOVERS = 2


@dataclass(frozen=True)
class Mover:
    """A food whose amount moves when a limit does: by ``amount`` of ``unit``."""

    food: str
    amount: float
    unit: str


@dataclass(frozen=True)
class Price:
    """Price of one row: ``per_unit`` of its limit (change of one ingredient by its whole amount = 1), one ``step`` in
    the row's unit, what moves most when the limit is made harder by one step; ``possible`` is False where nothing is
    left to move."""

    row: Row
    per_unit: float
    step: float
    movers: tuple[Mover, ...]
    possible: bool

    @property
    def per_step(self) -> float:
        return self.per_unit * self.step


def linear_problem(task: Task, result: Result, demands: tuple[Demand, ...]) -> tuple[Priced, Vector, list[tuple[Row, int, float]]] | None:
    """Optimum with the chosen foods fixed: solution, amounts of all slots, rows with their numbers and scales."""
    model = build(task.space, demands, Options(structure=result.choice.modes))
    solved = solve_linear(model)
    if solved is None:
        return None
    return solved, model.amounts(list(solved.x), len(task.space.slots)), model.told


def find_prices(task: Task, result: Result) -> tuple[Price, ...]:
    """Prices of the rows that cost something, dearest step first."""
    found = linear_problem(task, result, result.demands)
    if found is None:
        return ()
    solved, amounts, told = found
    prices = []
    for row, number, scale in told:
        per_unit = abs(float(solved.duals[number])) * row.below(amounts) / scale
        if per_unit > _SMALL and row.wish != "water":
            prices.append(_price(task, result, row, per_unit, amounts))
    return tuple(sorted(prices, key=lambda p: (-p.per_step, p.row.label)))


def harder(row: Row, step: float) -> Row:
    """The same row with its limit one step further."""
    return replace(row, limit=row.limit + step if row.sense == ">=" else row.limit - step)


def with_row(demands: tuple[Demand, ...], row: Row, other: Row) -> tuple[Demand, ...]:
    """The same demands with one row replaced."""
    return tuple(replace(d, rows=tuple(other if r is row else r for r in d.rows)) for d in demands)


def _price(task: Task, result: Result, row: Row, per_unit: float, amounts: Vector) -> Price:
    steps = task.space.rules.price_steps
    step = steps.get(row.unit, steps[""])
    found = linear_problem(task, result, with_row(result.demands, row, harder(row, step)))
    if found is None:
        return Price(row, per_unit, step, (), False)
    return Price(row, per_unit, step, _movers(task.space, found[1] - amounts), True)


def _movers(space: Space, moved: Vector) -> tuple[Mover, ...]:
    """Foods that move most in parts of their usual amount."""
    parts = np.abs(moved / space.bases)
    order = sorted(range(len(parts)), key=lambda i: (-parts[i], i))
    chosen = [i for i in order if parts[i] > _SMALL][:_MOVERS]
    return tuple(Mover(space.slots[i].food.name, float(moved[i]), space.slots[i].line.unit) for i in chosen)


def at_bounds(task: Task, result: Result) -> list[tuple[str, str]]:
    """Changed foods that can go no further in the way they went: (food, "most" or "least")."""
    found = []
    for k, item in enumerate(task.space.items):
        mode = item.modes[result.choice.modes[k]]
        if mode.kind != "steps":
            continue
        slot = item.slots[mode.slot]
        amount = float(result.choice.amounts[task.space.first[k] + mode.slot])
        same = [m for m in item.modes if m.kind == "steps" and m.slot == mode.slot]
        if amount > slot.base and amount >= max(float(m.step * m.high) for m in same) - _SMALL:
            found.append((slot.food.name, "most"))
        elif amount < slot.base and amount <= min(float(m.step * m.low) for m in same) + _SMALL and not item.can_leave:
            found.append((slot.food.name, "least"))
    return found
