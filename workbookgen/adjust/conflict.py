"""When targets cannot all hold: the smallest set that cannot hold together, and how near one can come.

A set is shown to conflict by the solver's proof that it has no point on kitchen steps (most often its linear
relaxation has none already). A deletion filter (Chinneck and Dravnieks 1991, from memory) finds a set from which
nothing can be left out; every smaller set is then tried as well, so that the set named is the smallest there is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

import numpy as np

from workbookgen.adjust.least import Point, Result, solve_task, worked_out
from workbookgen.adjust.model import Model, Options, build
from workbookgen.adjust.solve import GAVE_UP, IMPOSSIBLE, Choice, choice_of, solve, solve_linear
from workbookgen.adjust.space import Demand, Row, Vector
from workbookgen.adjust.task import Task, chosen_ways

#: Sets tried beyond the deletion filter; with more of them the set named is only known to hold nothing superfluous.
MOST_SETS = 400
_ROUNDS = 8
_SAME = 1e-9

Part = int | str


@dataclass(frozen=True)
class Near:
    """How near one target can come while all others hold: ``result`` is the dish, judged by the core; None where the
    others cannot hold without it either."""

    part: Part
    result: Result | None
    kept: tuple[Part, ...]


@dataclass(frozen=True)
class Conflict:
    """Targets (numbers) and quiet cautions (ids) that cannot hold together. ``smallest`` is False where a smaller set
    was not ruled out, ``by_steps`` is True where amounts between kitchen steps would do, ``exact`` is False where a
    target was asked for a little more strictly than it is."""

    parts: tuple[Part, ...]
    smallest: bool
    by_steps: bool
    exact: bool
    near: tuple[Near, ...]


@dataclass
class _Tester:
    """Asks whether sets of parts can hold together; remembers what each point found so far holds."""

    task: Task
    points: list[frozenset[Part]] = field(default_factory=list)

    def demands(self, parts: Sequence[Part]) -> list[tuple[Demand, ...]]:
        wishes = [p for p in parts if isinstance(p, int)]
        quiet = Demand(tuple(row for row in self.task.cautions.rows if row.wish in parts))
        return [(*ways, quiet) for ways in chosen_ways(self.task, wishes)]

    def relaxed(self, parts: Sequence[Part]) -> bool:
        """Is there a point when amounts need not be measurable?"""
        return any(self._linear(demands) for demands in self.demands(parts))

    def _linear(self, demands: tuple[Demand, ...]) -> bool:
        model = build(self.task.space, demands, Options(continuous=True, additions=self.task.additions))
        return solve_linear(model, [0.0] * len(model.cost)) is not None

    def holds(self, parts: Sequence[Part]) -> bool:
        """Is there a point on kitchen steps where all of ``parts`` hold?"""
        wanted = frozenset(parts)
        if any(wanted <= held for held in self.points):
            return True
        for demands in self.demands(parts):
            if self._linear(demands):
                found = solve_task(self.task, demands, Options(additions=self.task.additions), "missed")
                if found.state not in (IMPOSSIBLE, GAVE_UP):
                    self.points.append(wanted | self.held_by(found.choice))
                    return True
        return False

    def held_by(self, choice: Choice) -> frozenset[Part]:
        """Parts that hold at a point, where rows alone decide."""
        amounts, task = choice.amounts, self.task
        held: set[Part] = set()
        for number, ways in enumerate(task.ways):
            if any(not d.logic and all(_row_holds(row, amounts) for row in d.rows) for d in ways):
                held.add(number)
        for caution in {row.wish for row in task.cautions.rows}:
            if all(_row_holds(row, amounts) for row in task.cautions.rows if row.wish == caution):
                held.add(caution)
        return frozenset(held)


def _row_holds(row: Row, amounts: Vector) -> bool:
    value, limit = row.value(amounts), row.limit
    return value >= limit if row.sense == ">=" else value <= limit


def find_conflict(task: Task) -> Conflict:
    """The smallest set that conflicts and how near each of its parts can come. The task must be impossible."""
    tester = _Tester(task)
    parts = _no_smaller(tester, list(task.parts))
    near = [_near(tester, part, parts) for part in parts]
    proven = all(n.kept == _others(task.parts, n.part) for n in near)
    # where everything but any one part can hold, every conflict holds all of these parts: there is no smaller one
    if not proven:
        smaller, proven = _smaller(tester, parts)
        if len(smaller) < len(parts):
            parts = smaller
            near = [_near(tester, part, parts) for part in parts]
    return Conflict(
        parts=tuple(parts),
        smallest=proven,
        by_steps=tester.relaxed(parts),
        exact=all(row.exact for d in tester.demands(parts) for demand in d for row in demand.rows),
        near=tuple(near),
    )


def _others(parts: Sequence[Part], part: Part) -> tuple[Part, ...]:
    return tuple(p for p in parts if p != part)


def _no_smaller(tester: _Tester, parts: list[Part]) -> list[Part]:
    """A set from which nothing can be left out: one part that is impossible by itself, else by the deletion filter."""
    for part in parts:
        if not tester.holds([part]):
            return [part]
    for part in sorted(parts, key=lambda p: (isinstance(p, int), str(p))):
        rest = [p for p in parts if p != part]
        if not tester.holds(rest):
            parts = rest
    return parts


def _smaller(tester: _Tester, parts: Sequence[Part]) -> tuple[list[Part], bool]:
    """The smallest conflicting set among all of fewer parts, and whether every one was tried."""
    tried = 0
    for size in range(2, len(parts)):
        for candidate in combinations(tester.task.parts, size):
            tried += 1
            if tried > MOST_SETS:
                return list(parts), False
            if not tester.holds(candidate):
                return list(candidate), True
    return list(parts), True


def _near(tester: _Tester, part: Part, parts: Sequence[Part]) -> Near:
    """The dish in which one part is missed by as little as possible while all others hold, or at least the others of
    the conflict."""
    task = tester.task
    for others in (_others(task.parts, part), _others(parts, part)):
        best: Point | None = None
        taken: tuple[Demand, ...] = ()
        for demands in tester.demands([*others, part]):
            point = _closest(task, demands, part)
            if point.ok and (best is None or point.cost < best.cost):
                best, taken = point, demands
        if best is not None:
            tester.points.append(frozenset(others))
            return Near(part, worked_out(task, best.choice, best.state, best.gap, taken), others)
    return Near(part, None, ())


def _closest(task: Task, demands: tuple[Demand, ...], part: Part) -> Point:
    """Least miss of one part, and of the dishes that miss it by so little the one that changes least.

    For a single share (a figure per 100 g, of the plate, of energy) the limit is moved to the figure reached and asked
    again until it stands (Dinkelbach 1967, from memory). ``cost`` of the point is the miss.
    """
    options = Options(additions=task.additions, elastic=frozenset([part]))
    found = solve_task(task, demands, options, "missed")
    rows = [row for demand in demands for row in demand.rows if row.wish == part]
    logic = any(row.wish == part for demand in demands for row in demand.logic)
    if not found.ok:
        return found
    if len(rows) == 1 and not logic:
        return _closest_figure(task, demands, rows[0], found)
    model = build(task.space, demands, options)
    model.high[model.missed[part]] = found.cost + _SAME
    return _less_change(task, model, found)


def _closest_figure(task: Task, demands: tuple[Demand, ...], row: Row, found: Point) -> Point:
    """The best figure of a single row."""
    sign = -1.0 if row.sense == ">=" else 1.0
    others = tuple(replace(d, rows=tuple(r for r in d.rows if r is not row)) for d in demands)
    model = build(task.space, others, Options(additions=task.additions))
    reached = row.value(found.choice.amounts)
    for _ in range(_ROUNDS if row.den is not None else 0):
        cost = np.zeros(len(model.cost))
        for i, c in enumerate(replace(row, limit=reached).coefficients()):
            cost[model.amount[i]] += sign * float(c)
        solved = solve(model, list(cost / (float(np.abs(cost).max()) or 1.0)))
        if solved.x is None:
            break
        found = Point(solved.state, choice_of(task.space, model, solved.x), found.cost, solved.gap)
        now = row.value(found.choice.amounts)
        if abs(now - reached) <= _SAME * max(1.0, abs(reached)):
            break
        reached = now
    reached = row.value(found.choice.amounts)
    room = _SAME * max(1.0, abs(reached))
    settled = replace(row, limit=reached + sign * room, strict=False)
    demands = tuple(replace(d, rows=tuple(settled if r is row else r for r in d.rows)) for d in demands)
    model = build(task.space, demands, Options(additions=task.additions))
    return _less_change(task, model, replace(found, cost=abs(row.limit - reached)))


def _less_change(task: Task, model: Model, found: Point) -> Point:
    solved = solve(model)
    return found if solved.x is None else replace(found, choice=choice_of(task.space, model, solved.x))


def missed_by(row: Row, result: Result) -> float:
    """By how much a row is missed at a result, in its unit; 0 when it holds."""
    value = row.value(result.choice.amounts)
    return max(0.0, row.limit - value if row.sense == ">=" else value - row.limit)


def can_hold(task: Task) -> bool:
    """True where all targets and quiet cautions can hold together on kitchen steps."""
    return _Tester(task).holds(task.parts)
