"""Solving: the least change on kitchen steps by HiGHS, and its linear relaxations."""

from __future__ import annotations

import contextlib
import os
import sys
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from workbookgen.adjust.items import AS_IS, OUT, STEPS
from workbookgen.adjust.model import Chosen, Model
from workbookgen.adjust.space import Space, Vector

FOUND, BEST_SO_FAR, IMPOSSIBLE, GAVE_UP = "found", "best so far", "impossible", "gave up"
#: Search nodes before the best solution so far is taken: a count, so that the same input gives the same answer.
MOST_NODES = 20_000
_INFEASIBLE = 2
_LIMIT = 1


@dataclass(frozen=True)
class Choice:
    """One point: the mode and the amount of every item, amounts of all slots."""

    modes: Chosen
    amounts: Vector


@dataclass(frozen=True)
class Solved:
    """What the solver says. ``cost`` is the solver's own objective, ``gap`` how far below it the least could lie."""

    state: str
    x: Vector | None = None
    cost: float = 0.0
    gap: float = 0.0

    @property
    def ok(self) -> bool:
        return self.x is not None


def solve(model: Model, cost: Sequence[float] | None = None, nodes: int = MOST_NODES) -> Solved:
    """Least cost of a model with whole numbers; ``cost`` replaces the model's own."""
    result = _milp(model, cost, nodes, True)
    if result.status not in (0, _LIMIT, _INFEASIBLE):  # "infeasible or unbounded": decide without presolve
        result = _milp(model, cost, nodes, False)
    if result.status == _INFEASIBLE:
        return Solved(IMPOSSIBLE)
    if result.x is None:
        return Solved(GAVE_UP)
    state = FOUND if result.status == 0 else BEST_SO_FAR
    bound = result.mip_dual_bound
    gap = max(0.0, float(result.fun) - float(bound)) if bound is not None else 0.0
    return Solved(state, np.asarray(result.x), float(result.fun), gap)


def _milp(model: Model, cost: Sequence[float] | None, nodes: int, presolve: bool) -> Any:
    options = {"mip_rel_gap": 0.0, "node_limit": nodes, "presolve": presolve}
    rows = LinearConstraint(model.matrix(), model.row_low, model.row_high)
    with warnings.catch_warnings(), _silent_output():
        warnings.simplefilter("ignore", RuntimeWarning)  # a limit reached is told by the status
        return milp(
            model.cost if cost is None else cost, integrality=model.whole, bounds=Bounds(model.low, model.high),
            constraints=rows, options=options,
        )  # fmt: skip


@contextlib.contextmanager
def _silent_output() -> Iterator[None]:
    """The library writes stray remarks of its own to the standard output; an answer must not hold them."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


@dataclass(frozen=True)
class Priced:
    """A linear optimum with the dual value of every row of the model."""

    x: Vector
    cost: float
    duals: Vector


def solve_linear(model: Model, cost: Sequence[float] | None = None, method: str = "highs") -> Priced | None:
    """Optimum of a model taken as continuous, None when no point exists. ``duals[r]`` is the change of the optimum
    per unit of the active side of row r."""
    matrix = model.matrix()
    low, high = np.array(model.row_low), np.array(model.row_high)
    upper, lower = np.flatnonzero(np.isfinite(high)), np.flatnonzero(np.isfinite(low))
    a_ub = _stack(matrix, upper, lower)
    b_ub = np.concatenate([high[upper], -low[lower]])
    result = linprog(
        model.cost if cost is None else cost, A_ub=a_ub, b_ub=b_ub, bounds=list(zip(model.low, model.high, strict=True)), method=method
    )
    if result.status != 0:
        return None
    duals = np.zeros(len(low))
    marginals = result.ineqlin.marginals
    duals[upper] += marginals[: len(upper)]
    duals[lower] -= marginals[len(upper) :]
    return Priced(np.asarray(result.x), float(result.fun), duals)


def _stack(matrix: Any, upper: Any, lower: Any) -> Any:
    from scipy.sparse import vstack

    return vstack([matrix[upper], -matrix[lower]])


def choice_of(space: Space, model: Model, x: Vector) -> Choice:
    """The solver's point on exact kitchen steps."""
    modes, amounts = [], np.zeros(len(space.slots))
    for k, item in enumerate(space.items):
        columns = [(m, model.mode[k, m]) for m in range(len(item.modes)) if (k, m) in model.mode]
        m = max(columns, key=lambda pair: x[pair[1]])[0] if columns else 0
        mode = item.modes[m]
        modes.append(m)
        if mode.kind == AS_IS:
            amounts[space.first[k] + mode.slot] = item.slots[mode.slot].base
        elif mode.kind == STEPS:
            amounts[space.first[k] + mode.slot] = float(mode.step * round(x[model.count[k, m]]))
    return Choice(tuple(modes), amounts)


def start_choice(space: Space) -> Choice:
    """The dish as written."""
    modes = tuple(
        next(m for m, mode in enumerate(item.modes) if mode.kind == (OUT if item.start == "absent" else AS_IS))
        for item in space.items
    )
    return Choice(modes, space.start.copy())


def cost_of(space: Space, choice: Choice) -> float:
    """Weighted relative change plus what touching, leaving out, swapping and adding cost."""
    total = 0.0
    for k, item in enumerate(space.items):
        relative = sum(float(choice.amounts[space.first[k] + s]) / slot.base for s, slot in enumerate(item.slots))
        written = 0.0 if item.start == "absent" else 1.0
        total += item.weight * abs(relative - written) + item.modes[choice.modes[k]].cost
    return float(total)
