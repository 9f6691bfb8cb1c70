"""Which new food would help most: the least change with each one allowed alone, between kitchen steps."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.adjust.model import Options, build
from workbookgen.adjust.solve import solve_linear
from workbookgen.adjust.space import Demand
from workbookgen.adjust.task import Task, chosen_ways


@dataclass(frozen=True)
class Help:
    """One food tried: how far targets are missed in all (parts of their limits) and the change needed, without steps;
    the amount that was used. ``item`` is its number among the items (-1 for none)."""

    item: int
    food: str
    missed: float
    change: float
    amount: float
    unit: str


@dataclass(frozen=True)
class Ranking:
    """The dish without new foods, and every new food that helps, most helpful first."""

    without: Help
    foods: tuple[Help, ...]


_SAME = 1e-7


def rank_additions(task: Task) -> Ranking:
    """Try every new food alone, with everything else free to change."""
    new = [k for k, item in enumerate(task.space.items) if item.start == "absent"]
    without = _tried(task, new, None)
    tried = [_tried(task, new, k) for k in new]
    helping = [h for h in tried if _key(h) < _key(without)]
    return Ranking(without, tuple(sorted(helping, key=lambda h: (*_key(h), h.food))))


def _key(found: Help) -> tuple[float, float]:
    return round(found.missed / _SAME) * _SAME, round(found.change / _SAME) * _SAME


def _tried(task: Task, new: list[int], chosen: int | None) -> Help:
    barred = frozenset(k for k in new if k != chosen)
    best: Help | None = None
    for demands in chosen_ways(task, range(len(task.wishes))):
        found = _with(task, (*demands, task.cautions), barred, chosen)
        if found is not None and (best is None or _key(found) < _key(best)):
            best = found
    return best or Help(-1, "", float("inf"), float("inf"), 0.0, "")


def _with(task: Task, demands: tuple[Demand, ...], barred: frozenset[int], chosen: int | None) -> Help | None:
    """Change needed; where the targets cannot all hold, first the least total miss, then the change at it."""
    space = task.space
    missed = 0.0
    model = build(space, demands, Options(continuous=True, additions=1, barred=barred))
    solved = solve_linear(model)
    if solved is None:
        model = build(space, demands, Options(continuous=True, additions=1, barred=barred, elastic=frozenset(task.parts)))
        only = [0.0] * len(model.cost)
        for column in model.missed.values():
            only[column] = 1.0
        solved = solve_linear(model, only)
        if solved is None:
            return None
        missed = solved.cost
    change = float(sum(c * v for c, v in zip(model.cost, solved.x, strict=True)))
    if chosen is None:
        return Help(-1, "", missed, change, 0.0, "")
    slot = space.items[chosen].slots[0]
    return Help(chosen, slot.food.name, missed, change, float(solved.x[model.amount[space.first[chosen]]]), slot.line.unit)
