"""Why targets cannot hold together, and how near one can come."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from tests.adjust.brute import MOST_POINTS, Listed, count_points, figure, fulfils, list_points
from tests.adjust.generate import small_dish, small_targets
from tests.dishes import dish, line
from workbookgen.adjust.conflict import can_hold, find_conflict
from workbookgen.adjust.least import least_change
from workbookgen.adjust.rules import load_rules
from workbookgen.adjust.run import ways_out
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.nutrition.kitchen import Kitchen


def impossible_tasks(kitchen: Kitchen, count: int) -> list[tuple[Task, Listed]]:
    """Generated problems without an answer, with all their points."""
    rules = replace(load_rules(), additions=())
    found = []
    for seed in range(500, 900):
        rng = random.Random(seed)
        analysis = dish(kitchen, *small_dish(kitchen, rng).lines, servings=4.0)
        targets = [*small_targets(analysis, rng), *small_targets(analysis, rng)]
        task = make_task(kitchen, analysis, Request(targets=targets, max_change=0.25), rules)
        if count_points(task) <= MOST_POINTS // 10:
            points = list_points(task)
            if not points.good.any():
                found.append((task, points))
        if len(found) == count:
            return found
    raise AssertionError("too few impossible problems")


@pytest.fixture(scope="module")
def impossible(kitchen: Kitchen) -> list[tuple[Task, Listed]]:
    return impossible_tasks(kitchen, 25)


def holding(task: Task, points: Listed) -> dict[int | str, np.ndarray]:
    """For every part, at which points it holds, by the list of points."""
    held: dict[int | str, np.ndarray] = {n: fulfils(task, wish, points.amounts) for n, wish in enumerate(task.wishes)}
    for row in task.cautions.rows:
        value = np.round(points.amounts @ row.num / row.den_constant, 9)
        good = value >= row.limit if row.sense == ">=" else value <= row.limit
        if row.strict:
            good &= value != round(row.limit, 9)
        held[row.wish] = held.get(row.wish, True) & good
    return held


def together(held: dict[int | str, np.ndarray], parts: tuple[int | str, ...]) -> bool:
    return bool(np.all([held[p] for p in parts], axis=0).any())


def test_the_conflict_is_the_smallest_there_is(impossible: list[tuple[Task, Listed]]) -> None:
    sizes = []
    for task, points in impossible:
        assert least_change(task) is None
        conflict = find_conflict(task)
        held = holding(task, points)
        assert not together(held, conflict.parts)
        assert conflict.smallest
        for size in range(1, len(conflict.parts)):
            for parts in combinations(task.parts, size):
                assert together(held, parts), (parts, conflict.parts)
        sizes.append(len(conflict.parts))
    assert 1 in sizes
    assert max(sizes) >= 2


def test_near_is_the_nearest_of_all_points(impossible: list[tuple[Task, Listed]]) -> None:
    """Of all points where everything else holds, none comes nearer in the figure of the target itself."""
    compared = 0
    for task, points in impossible:
        held = holding(task, points)
        for near in find_conflict(task).near:
            if near.result is None or not isinstance(near.part, int):
                continue
            assert together(held, near.kept)
            wish = task.wishes[near.part]
            if (wish.low is None) == (wish.high is None):
                continue
            others = np.all([held[p] for p in near.kept], axis=0) if near.kept else np.ones(len(points.cost), dtype=bool)
            values = figure(task, wish, points.amounts)[others]
            best = np.nanmax(values) if wish.low is not None else np.nanmin(values)
            assert near.result.reached[near.part].value == pytest.approx(best, rel=1e-6), wish.text
            compared += 1
    assert compared > 15


def test_steps_alone_may_stand_in_the_way(kitchen: Kitchen) -> None:
    """Half a can would do, whole cans do not."""
    analysis = dish(kitchen, line("Black beans, canned, with liquid", 1, "can (15 oz)", treatment="reheated"), servings=4.0)
    value = analysis.nutrients["NA"].serving
    rules = replace(load_rules(), additions=())
    task = make_task(kitchen, analysis, Request(targets=[f"NA {value * 1.2:.1f}..{value * 1.6:.1f} mg"]), rules)
    conflict = find_conflict(task)
    assert conflict.by_steps
    assert conflict.parts == (0,)


def test_two_targets_that_pull_apart_are_both_named(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Feta", 60), line("Kale, raw", 50), servings=2.0)
    calcium, sodium = (analysis.nutrients[t].serving for t in ("CA", "NA"))
    targets = [f"CA >= {calcium * 1.15:.1f} mg", f"NA <= {sodium * 0.6:.1f} mg", "FE >= 0.1 mg"]
    task = make_task(kitchen, analysis, Request(targets=targets), replace(load_rules(), additions=()))
    assert least_change(task) is None
    conflict = find_conflict(task)
    assert conflict.parts == (0, 1)
    assert all(n.result is not None for n in conflict.near)


def test_ways_out_are_tried_before_they_are_named(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Tomatoes, canned, in juice", 1, "can (28 oz)", treatment="reheated"), servings=4.0)
    asked = Request(targets=["NA <= 60 mg"], max_change=0.5)
    assert not can_hold(make_task(kitchen, analysis, asked))
    assert any("--swap" in w for w in ways_out(kitchen, analysis, asked))
    assert can_hold(make_task(kitchen, analysis, replace(asked, swaps=True)))
    kept = Request(targets=["NA <= 60 mg"], keep=["Tomatoes, canned, in juice"], additions=1, swaps=True)
    assert ways_out(kitchen, analysis, kept) == ("kept foods may change (without --keep)",)
