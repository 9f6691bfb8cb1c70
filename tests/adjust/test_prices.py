"""Prices are dual values: they equal what the next small step of a limit really costs."""

from __future__ import annotations

import random

import pytest

from tests.adjust.generate import big_dish, big_targets
from tests.dishes import dish, line
from workbookgen.adjust.least import Result, least_change
from workbookgen.adjust.prices import at_bounds, find_prices, harder, linear_problem, with_row
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings

SMALL = 1e-4


def solved(kitchen: Kitchen, seed: int) -> tuple[Task, Result] | None:
    rng = random.Random(seed)
    analysis = analyse_recipe(kitchen, big_dish(kitchen, rng, 10), default_settings())
    task = make_task(kitchen, analysis, Request(targets=big_targets(analysis, rng, 5), swaps=True))
    result = least_change(task)
    return (task, result) if result is not None and result.cost > 0 else None


def test_prices_equal_finite_differences(kitchen: Kitchen) -> None:
    """The dual value of each limit against the linear optimum with the limit moved a little both ways."""
    compared = 0
    for seed in range(12):
        found = solved(kitchen, seed)
        if found is None:
            continue
        task, result = found
        at = linear_problem(task, result, result.demands)
        assert at is not None
        for price in find_prices(task, result):
            size = SMALL * max(1.0, abs(price.row.limit))
            moved = [linear_problem(task, result, with_row(result.demands, price.row, harder(price.row, s))) for s in (size, -size)]
            slopes = [abs(m[0].cost - at[0].cost) / size for m in moved if m is not None]
            assert slopes
            low, high = min(slopes), max(slopes)
            assert low - 1e-5 <= price.per_unit <= high + 1e-5 or price.per_unit == pytest.approx(high, rel=1e-3), price.row.label
            compared += 1
    assert compared > 10


def test_the_linear_problem_never_costs_more_than_the_steps(kitchen: Kitchen) -> None:
    for seed in range(4):
        found = solved(kitchen, seed)
        if found is not None:
            task, result = found
            at = linear_problem(task, result, result.demands)
            assert at is not None
            touching = sum(item.modes[m].cost for item, m in zip(task.space.items, result.choice.modes, strict=True))
            assert at[0].cost <= result.cost - touching + 1e-6


def test_salt_is_what_less_sodium_costs(kitchen: Kitchen) -> None:
    """One teaspoon of salt for four: each 10 mg less takes 10 / sodium of the teaspoon, times the weight of salt."""
    analysis = dish(kitchen, line("Potatoes, with skin, raw", 600, treatment="boiled, water used"), line("Salt, table", 1, "tsp"), servings=4.0)
    task = make_task(kitchen, analysis, Request(targets=["NA <= 420 mg"], keep=["Potatoes, with skin, raw"]))
    result = least_change(task)
    assert result is not None
    (price,) = find_prices(task, result)
    sodium = next(x.values["NA"] for x in analysis.lines if x.food.name == "Salt, table") or 0.0
    weight = next(i.weight for i in task.space.items if i.name == "Salt, table")
    assert price.per_step == pytest.approx(10 * 4 / sodium * weight, rel=1e-9)
    assert [(m.food, m.unit) for m in price.movers] == [("Salt, table", "tsp")]
    assert price.movers[0].amount == pytest.approx(-10 * 4 / sodium)


def test_nothing_costs_anything_where_nothing_has_to_change(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 100))
    task = make_task(kitchen, analysis, Request(targets=["NA <= 4000 mg"]))
    result = least_change(task)
    assert result is not None
    assert result.cost == 0
    assert find_prices(task, result) == ()


def test_a_food_at_its_bound_is_named(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 100), servings=1.0)
    most = analysis.nutrients["VITC"].serving * 2.46
    full = make_task(kitchen, analysis, Request(targets=[f"VITC >= {most:.1f} mg"], allow=["warfarin", "kidney", "iron"]))
    result = least_change(full)
    assert result is not None
    assert at_bounds(full, result) == [("Kale, raw", "most")]
