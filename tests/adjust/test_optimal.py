"""Generated problems: the answer is the least there is, passes the core, or is shown not to exist by other means."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from tests.adjust.brute import MOST_POINTS, count_points, list_points
from tests.adjust.generate import small_dish, small_targets
from workbookgen.adjust.least import Result, least_change
from workbookgen.adjust.model import Options, build
from workbookgen.adjust.rules import load_rules
from workbookgen.adjust.solve import FOUND
from workbookgen.adjust.task import Request, Task, chosen_ways, make_task
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.targets import CANNOT_SAY, MET
from workbookgen.session import default_settings

PROBLEMS = 100


def problem(kitchen: Kitchen, seed: int) -> Task:
    """A problem of few lines without foods to add; amounts change as far as kitchen sense goes, or by less where that
    would be too many points to list."""
    rng = random.Random(seed)
    analysis = analyse_recipe(kitchen, small_dish(kitchen, rng), default_settings())
    targets = small_targets(analysis, rng)
    rules = replace(load_rules(), additions=())
    tasks = (make_task(kitchen, analysis, Request(targets=targets, max_change=m), rules) for m in (None, 0.5, 0.25))
    return next(task for task in tasks if count_points(task) <= MOST_POINTS)


@pytest.fixture(scope="module")
def answers(kitchen: Kitchen) -> list[tuple[Task, Result | None]]:
    tasks = [problem(kitchen, seed) for seed in range(PROBLEMS)]
    return [(task, least_change(task)) for task in tasks]


def test_every_answer_is_the_least_of_all_points(answers: list[tuple[Task, Result | None]]) -> None:
    found = 0
    for task, result in answers:
        least = list_points(task).least
        if result is None:
            assert least is None, [w.text for w in task.wishes]
            continue
        found += 1
        assert result.state == FOUND
        assert least == pytest.approx(result.cost, abs=1e-6), [w.text for w in task.wishes]
    assert 40 <= found <= 90  # both kinds of answers are frequent


def test_every_answer_passes_the_core(answers: list[tuple[Task, Result | None]]) -> None:
    for _, result in answers:
        if result is None:
            continue
        for reached in result.reached:
            wish = reached.wish
            known = not wish.tag or result.analysis.nutrients[wish.tag].reads == ""
            assert reached.verdict == MET if known else reached.verdict in (MET, CANNOT_SAY), wish.text
        for target, verdict in zip(result.recipe.targets, result.analysis.targets, strict=True):
            assert verdict.verdict in (MET, CANNOT_SAY), target


def test_what_has_no_answer_has_none_for_another_solver_either(answers: list[tuple[Task, Result | None]]) -> None:
    """An interior-point run finds the relaxation infeasible too; where only kitchen steps stand in the way, the list
    of all points shows it."""
    by_relaxation = 0
    for task, result in answers:
        if result is not None:
            continue
        demands = next(chosen_ways(task, range(len(task.wishes))))
        model = build(task.space, (*demands, task.cautions), Options(continuous=True))
        matrix = model.matrix().toarray()
        low, high = np.array(model.row_low), np.array(model.row_high)
        a = np.concatenate([matrix[np.isfinite(high)], -matrix[np.isfinite(low)]])
        b = np.concatenate([high[np.isfinite(high)], -low[np.isfinite(low)]])
        bounds = list(zip(model.low, model.high, strict=True))
        other = linprog(np.zeros(len(model.low)), A_ub=a, b_ub=b, bounds=bounds, method="highs-ipm")
        if other.status == 2:
            by_relaxation += 1
        else:
            assert not list_points(task).good.any()
    assert by_relaxation > 5


def test_the_same_problem_gives_the_same_answer(kitchen: Kitchen) -> None:
    for seed in range(5):
        first, second = (least_change(problem(kitchen, seed)) for _ in range(2))
        assert (first is None) == (second is None)
        if first is not None and second is not None:
            assert first.choice.modes == second.choice.modes
            assert first.choice.amounts.tolist() == second.choice.amounts.tolist()
