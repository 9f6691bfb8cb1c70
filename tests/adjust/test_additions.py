"""Foods to add, siblings and offered ingredients: the least change over every point, judged by the core alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from tests.dishes import dish, line
from workbookgen.adjust.items import AS_IS, OUT
from workbookgen.adjust.least import least_change
from workbookgen.adjust.rank import rank_additions
from workbookgen.adjust.rules import Addition, AdjustRules, load_rules
from workbookgen.adjust.safety import quiet_cautions
from workbookgen.adjust.solve import Choice
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.nutrition.kitchen import Kitchen

FEW = ("Green peas, frozen", "Lentils, boiled", "Carrots, raw")


@pytest.fixture(scope="module")
def few() -> AdjustRules:
    rules = load_rules()
    rows = [Addition(r.food, "g", 40.0, 41.0 if r.food != FEW[1] else 21.0, r.hot, r.cold, r.sweet) for r in rules.additions if r.food in FEW]
    steps = tuple(replace(s, step=s.step * 4, low=s.step * 4) if (s.unit, s.step) == ("g", 5) else s for s in rules.steps)
    return replace(rules, additions=tuple(rows), steps=steps)


def every_point(task: Task) -> list[Choice]:
    """Every combination of modes and steps, with no more new foods than allowed."""
    space = task.space
    ways: list[list[tuple[int, int, float]]] = []
    for item in space.items:
        mine = []
        for m, mode in enumerate(item.modes):
            if mode.kind == OUT:
                mine.append((m, 0, 0.0))
            elif mode.kind == AS_IS:
                mine.append((m, mode.slot, item.slots[mode.slot].base))
            else:
                mine += [(m, mode.slot, float(mode.step * n)) for n in range(mode.low, mode.high + 1)]
        ways.append(mine)
    found = []
    for chosen in product(*ways):
        amounts = np.zeros(len(space.slots))
        new = 0
        for k, (m, slot, amount) in enumerate(chosen):
            amounts[space.first[k] + slot] = amount
            new += space.items[k].start == "absent" and space.items[k].modes[m].kind != OUT
        if new <= task.additions:
            found.append(Choice(tuple(m for m, _, _ in chosen), amounts))
    return found


def own_cost(task: Task, choice: Choice) -> float:
    """Cost of a point, written down anew: relative change times weight, and the prices of touching things."""
    costs, total = task.space.rules.costs, 0.0
    for k, item in enumerate(task.space.items):
        mode = item.modes[choice.modes[k]]
        slot = item.slots[mode.slot]
        amount = choice.amounts[task.space.first[k] + mode.slot]
        if item.start == "absent":
            total += 0.0 if mode.kind == OUT else item.weight * amount / slot.base
            if mode.kind != OUT:
                total += costs["add_listed"] if item.kind == "listed" else costs["add_one"]
                total += costs["change_one"] if item.kind == "listed" and mode.kind != AS_IS else 0.0
            continue
        total += item.weight * abs((0.0 if mode.kind == OUT else amount / slot.base) - 1)
        total += costs["swap_one"] if mode.slot else 0.0
        total += costs["change_one"] if mode.kind != AS_IS else 0.0
        total += costs["leave_out_one"] if mode.kind == OUT else 0.0
    return float(total)


def fulfils(task: Task, choice: Choice) -> bool:
    """Targets of single nutrients of a serving, and cautions that must stay quiet, by sums over the foods."""
    def serving(tag: str) -> float:
        return sum((s.one.values[tag] or 0.0) * float(a) for s, a in zip(task.space.slots, choice.amounts, strict=True)) / 2.0

    for wish in task.wishes:
        value = round(serving(wish.tag), 9)
        if value < (wish.low or 0.0) or value > (wish.high or np.inf):
            return False
    held = {row.wish for row in task.cautions.rows}
    for quiet in quiet_cautions(task.space.kitchen, task.space.analysis):
        if quiet.id in held:
            fired = figure_fires(quiet.trigger.sign, round(serving(quiet.trigger.key), 9), quiet.limit)
            if fired:
                return False
    return True


def figure_fires(sign: str, value: float, limit: float) -> bool:
    return value > limit if sign == ">" else value >= limit if sign == ">=" else value <= limit


@pytest.mark.parametrize(("targets", "additions", "swaps"), [
    (["FIBTG >= 9.6 g"], 1, False), (["FIBTG >= 12.4 g"], 2, False), (["NA <= 200 mg"], 0, True), (["NA <= 180 mg", "FIBTG >= 8.7 g"], 1, True),
    (["VITC >= 27 mg", "NA <= 200 mg"], 1, True), (["FIBTG >= 14 g"], 1, True),
])  # fmt: skip
def test_the_answer_is_the_least_of_all_points(
    kitchen: Kitchen, few: AdjustRules, targets: list[str], additions: int, swaps: bool
) -> None:
    lines = [
        line("Tomatoes, canned, in juice", 1, "can (14.5 oz)", treatment="reheated"), line("Chickpeas, canned, drained", 150, treatment="reheated"),
        line("Avocado, raw", 0.25, "cup, cubed", include=False, optional=True),
    ]  # fmt: skip
    analysis = dish(kitchen, *lines, servings=2.0)
    request = Request(targets=targets, additions=additions, swaps=swaps, max_change=0.2)
    task = make_task(kitchen, analysis, request, few)
    points = sorted(every_point(task), key=lambda c: own_cost(task, c))
    best = next((choice for choice in points if fulfils(task, choice)), None)
    result = least_change(task)
    assert (result is None) == (best is None)
    if result is not None and best is not None:
        assert result.cost == pytest.approx(own_cost(task, best), abs=1e-6)
        assert result.cost == pytest.approx(own_cost(task, result.choice), abs=1e-9)
        assert not result.missed


def test_no_more_foods_are_added_than_asked_for(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Black beans, boiled", 400, treatment="reheated"), servings=4.0)
    for additions in (1, 2):
        result = least_change(make_task(kitchen, analysis, Request(targets=["VITC >= 30 mg", "CA >= 60 mg"], additions=additions)))
        assert result is not None
        assert len(result.recipe.lines) - 1 <= additions


def test_ranking_names_what_helps_first(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Black beans, boiled", 400, treatment="reheated"), servings=4.0)
    task = make_task(kitchen, analysis, Request(targets=["VITC >= 30 mg"]))
    ranking = rank_additions(task)
    assert ranking.without.missed > 0
    assert [h.missed for h in ranking.foods] == sorted(h.missed for h in ranking.foods)
    assert ranking.foods[0].missed == 0
    best = ranking.foods[0].food
    alone = make_task(kitchen, analysis, Request(targets=["VITC >= 30 mg"], additions=1, consider=[]))
    result = least_change(alone, ranking)
    assert result is not None
    assert any(x.food.name == best for x in result.analysis.lines) or result.cost <= ranking.foods[0].change + 1


def test_an_offered_ingredient_may_be_counted(kitchen: Kitchen) -> None:
    lines = [line("Black beans, boiled", 400), line("Avocado, raw", 100, include=False, optional=True)]
    analysis = dish(kitchen, *lines, servings=4.0)
    rules = replace(load_rules(), additions=())
    asked = Request(targets=["VITC >= 2 mg"], additions=1)
    result = least_change(make_task(kitchen, analysis, asked, rules))
    assert result is not None
    assert [(x.food, x.include) for x in result.recipe.lines] == [("Black beans, boiled", True), ("Avocado, raw", True)]
    assert least_change(make_task(kitchen, analysis, replace(asked, additions=0), rules)) is None


def test_a_food_without_the_figure_stays_out_of_a_ceiling(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Bananas, raw", 400), servings=4.0)
    task = make_task(kitchen, analysis, Request(targets=["SUGAD <= 5 g"], consider=["Chickpeas, canned, rinsed"]))
    assert "no figure" in task.refused["Chickpeas, canned, rinsed"][0]
