"""The least change: every way of the targets tried, each result judged by the core before it counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.adjust.check import Reached, all_reached
from workbookgen.adjust.items import ADDITION
from workbookgen.adjust.model import Options, build
from workbookgen.adjust.rank import Ranking
from workbookgen.adjust.safety import new_cautions
from workbookgen.adjust.solve import (
    FOUND,
    GAVE_UP,
    IMPOSSIBLE,
    Choice,
    Solved,
    choice_of,
    cost_of,
    solve,
    start_choice,
)
from workbookgen.adjust.space import Demand
from workbookgen.adjust.targets import targets_of
from workbookgen.adjust.task import Task, chosen_ways
from workbookgen.adjust.variant import adjusted_recipe
from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.targets import NOT_MET

#: Parts of the largest term by which a row is narrowed when the core finds its limit missed by rounding.
NARROWER = (2e-6, 2e-5, 2e-4)
MOST_TARGETS = 8


@dataclass(frozen=True)
class Result:
    """A dish that the core has worked out and judged. ``gap`` is how much less change might exist (0 = proven least);
    ``demands`` are the ways that were taken."""

    state: str
    choice: Choice
    cost: float
    gap: float
    recipe: Recipe
    analysis: Analysis
    reached: tuple[Reached, ...]
    demands: tuple[Demand, ...]

    @property
    def missed(self) -> tuple[int, ...]:
        return tuple(i for i, r in enumerate(self.reached) if r.verdict == NOT_MET)


def worked_out(task: Task, choice: Choice, state: str = FOUND, gap: float = 0.0, demands: tuple[Demand, ...] = ()) -> Result:
    """A point as a recipe, analysed and judged by the core."""
    space = task.space
    recipe = adjusted_recipe(space, choice, targets_of(task.wishes, space.analysis.recipe, MOST_TARGETS))
    analysis = analyse_recipe(space.kitchen, recipe, space.analysis.settings)
    reached = all_reached(space.kitchen, analysis, task.wishes)
    return Result(state, choice, cost_of(space, choice), gap, recipe, analysis, reached, demands)


def least_change(task: Task, ranking: Ranking | None = None) -> Result | None:
    """The least change that reaches every target and brings no caution, None when there is none.

    With a ``ranking``, of the foods to add only the most helpful take part; where they do not do, all do. Raises
    RuntimeError when the core does not confirm what the solver found, however much its rows are narrowed.
    """
    start = worked_out(task, start_choice(task.space), demands=next(chosen_ways(task, range(len(task.wishes)))))
    if not start.missed:
        return start
    barred = short_list(task, ranking)
    return _least(task, barred) or (_least(task, frozenset()) if barred else None)


def short_list(task: Task, ranking: Ranking | None) -> frozenset[int]:
    """Items that take no part in the search: foods to add beyond the most helpful ones."""
    if ranking is None:
        return frozenset()
    kept = {h.item for h in ranking.foods[: int(task.space.rules.costs["tried_most"])]}
    return frozenset(k for k, item in enumerate(task.space.items) if item.kind == ADDITION and k not in kept)


def _least(task: Task, barred: frozenset[int]) -> Result | None:
    best: Result | None = None
    for demands in chosen_ways(task, range(len(task.wishes))):
        found = _confirmed(task, (*demands, task.cautions), barred)
        if found is not None and (best is None or found.cost < best.cost):
            best = found
    return best


def _confirmed(task: Task, demands: tuple[Demand, ...], barred: frozenset[int]) -> Result | None:
    tighten: dict[int | str, float] = {}
    for narrower in (*NARROWER, None):
        solved = solve_task(task, demands, Options(additions=task.additions, tighten=tighten, barred=barred))
        if solved.state == GAVE_UP:
            raise BadInput("adjust", "no answer within the search limit; ask for less, or keep more foods with --keep")
        if not solved.ok:
            return None
        result = worked_out(task, solved.choice, solved.state, solved.gap, demands)
        wrong = [*result.missed, *_cautions_that_fire(task, result)]
        if not wrong:
            return result
        if narrower is not None:
            tighten = {**tighten, **{part: narrower for part in wrong}}  # type: ignore[misc]
    raise RuntimeError(f"the core does not confirm the result for {wrong}; please report this recipe")


def _cautions_that_fire(task: Task, result: Result) -> list[str]:
    """Cautions that were to stay quiet and do not."""
    held = {str(row.wish) for row in task.cautions.rows}
    kitchen = task.space.kitchen
    return [c for c in new_cautions(kitchen, task.space.analysis, result.analysis) if c in held]


@dataclass(frozen=True)
class Point:
    """What the solver found, on kitchen steps."""

    state: str
    choice: Choice
    cost: float
    gap: float

    @property
    def ok(self) -> bool:
        return self.state not in (IMPOSSIBLE, GAVE_UP)


def solve_task(task: Task, demands: Sequence[Demand], options: Options, cost_on: str = "change") -> Point:
    """Solve one combination of ways; ``cost_on`` "missed" minimises what elastic targets miss instead."""
    model = build(task.space, demands, options)
    cost = None
    if cost_on == "missed":
        cost = [0.0] * len(model.cost)
        for column in model.missed.values():
            cost[column] = 1.0
    solved: Solved = solve(model, cost)
    if solved.x is None:
        return Point(solved.state, start_choice(task.space), 0.0, 0.0)
    return Point(solved.state, choice_of(task.space, model, solved.x), solved.cost, solved.gap)
