"""Statements as rows: a point fulfils the rows exactly where the verdict is "holds"."""

from __future__ import annotations

import contextlib
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adjust.points import random_choice, rows_hold
from tests.dishes import dish, line
from workbookgen.adjust.check import reached
from workbookgen.adjust.least import least_change, worked_out
from workbookgen.adjust.rules import load_rules
from workbookgen.adjust.targets import Wish
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.claims import CANNOT, HOLDS, judge_statements
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.targets import CANNOT_SAY, MET

LINES = (
    line("Black beans, boiled", 300, treatment="reheated"), line("Brown rice, long grain, cooked", 400, treatment="reheated"),
    line("Broccoli, raw", 300, treatment="boiled, water used"), line("Red bell pepper, raw", 150, treatment="sauteed"),
    line("Olive oil", 2, "tbsp"), line("Salt, table", 1, "tsp"), line("Cheddar cheese", 60), line("Egg, whole, raw", 2, "large", treatment="hard-boiled"),
    line("Chicken breast, no skin, boneless, raw", 200, treatment="roasted"), line("Sugar, white, granulated", 1, "tbsp"),
)  # fmt: skip


def bowl(kitchen: Kitchen, kind: str = "main dish", reference_set: str = "us_4plus", **more: object) -> Analysis:
    return dish(kitchen, *LINES, servings=4.0, kind=kind, racc_g=195.0 if kind == "food" else 245.0, reference_set=reference_set, **more)


def statements(kitchen: Kitchen, rule_set: str) -> list[str]:
    return [s.id for s in kitchen.tables.claims.statements if s.shown and s.words[rule_set]]


def ask(kitchen: Kitchen, analysis: Analysis, statement: str) -> Task:
    rules = replace(load_rules(), additions=())
    return make_task(kitchen, analysis, Request(targets=[], statements=[statement]), rules)


KINDS = [("food", "us_4plus", "us"), ("main dish", "us_4plus", "us"), ("meal", "us_4plus", "us"), ("main dish", "eu_nrv", "eu")]


@pytest.mark.parametrize(("kind", "reference_set", "rule_set"), KINDS)
def test_rows_of_statements_agree_with_verdicts(kitchen: Kitchen, kind: str, reference_set: str, rule_set: str) -> None:
    """Every statement at random points. Rows of corrected protein ask for a little more than the rule, never less."""
    analysis = bowl(kitchen, kind, reference_set)
    rng = random.Random(kind + reference_set)
    tasks = {}
    for statement in statements(kitchen, rule_set):
        with contextlib.suppress(BadInput):
            tasks[statement] = ask(kitchen, analysis, statement)
    agreed = held = 0
    for _ in range(3):
        choice = random_choice(next(iter(tasks.values())).space, rng)  # all tasks have the same items
        verdicts = judge_statements(kitchen, worked_out(tasks["low_fat"], choice).analysis).by_id
        for statement, task in tasks.items():
            verdict = verdicts[statement].verdict
            if verdict == CANNOT:
                continue
            rows = any(rows_hold(task.space, (way,), choice) for way in task.ways[0])
            exact = all(row.exact for way in task.ways[0] for row in way.rows)
            assert rows == (verdict == HOLDS) if exact else (verdict == HOLDS or not rows), statement
            agreed += 1
            held += verdict == HOLDS
    assert len(tasks) > 30
    assert agreed > 80
    assert held > 10


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6))
def test_answers_hold_by_the_core(kitchen: Kitchen, seed: int) -> None:
    rng = random.Random(seed)
    kind, reference_set, rule_set = rng.choice(KINDS)
    analysis = bowl(kitchen, kind, reference_set)
    statement = rng.choice(statements(kitchen, rule_set))
    try:
        task = ask(kitchen, analysis, statement)
    except BadInput:
        return
    result = least_change(task)
    if result is not None:
        assert result.reached[0].verdict in (MET, CANNOT_SAY), statement


def test_no_salt_added_leaves_salted_ingredients_out(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Black beans, boiled", 300), line("Kale, raw", 200), line("Salt, table", 1, "tsp"), servings=2.0, kind="food")
    result = least_change(ask(kitchen, analysis, "No salt added"))
    assert result is not None
    assert "Salt, table" not in [x.food for x in result.recipe.lines]
    assert result.reached[0].verdict == MET


def test_no_salt_added_cannot_hold_while_a_salted_food_stays(kitchen: Kitchen) -> None:
    assert least_change(ask(kitchen, bowl(kitchen), "No salt added")) is None  # the cheese may shrink, not go


def test_the_part_that_brings_most_decides_for_a_main_dish(kitchen: Kitchen) -> None:
    """Good source of calcium, 21 CFR 101.54(c)(2): the ingredient that brings most must hold by itself."""
    task = ask(kitchen, bowl(kitchen), "Good source of calcium")
    assert any(logic.coefs for logic in task.ways[0][0].logic)
    result = least_change(task)
    assert result is None or result.reached[0].verdict == MET


def test_a_meal_must_weigh_what_a_meal_weighs(kitchen: Kitchen) -> None:
    small = dish(kitchen, line("Black beans, boiled", 400), line("Broccoli, raw", 500), line("Cheddar cheese", 100), servings=4.0, kind="meal")
    task = ask(kitchen, small, "Low sodium")
    result = least_change(task)
    assert result is None or result.analysis.serving_g >= 283.5
    labels = {row.label for row in task.ways[0][0].rows}
    assert "Weight of a meal" in labels


@pytest.mark.parametrize(("statement", "kind", "says"), [
    ("Healthy", "main dish", "memory"), ("Good source of antioxidant vitamin C", "main dish", "do not define"),
])  # fmt: skip
def test_statements_without_a_firm_rule_are_refused(kitchen: Kitchen, statement: str, kind: str, says: str) -> None:
    with pytest.raises(BadInput, match="cannot be a target") as error:
        ask(kitchen, bowl(kitchen, kind), statement)
    assert says in str(error.value)


def test_a_reference_amount_is_asked_for(kitchen: Kitchen) -> None:
    analysis = bowl(kitchen, "food")
    bare = replace(analysis, recipe=replace(analysis.recipe, racc_g=None))
    with pytest.raises(BadInput, match="racc"):
        ask(kitchen, bare, "Low sodium")


def test_corrected_protein_is_reached_by_the_regulation(kitchen: Kitchen) -> None:
    """21 CFR 101.9(c)(7): the core's own corrected figure reaches the target the rows asked for."""
    now = reached(kitchen, bowl(kitchen), Wish("", "corrected protein", 1.0)).value
    assert now is not None
    task = make_task(kitchen, bowl(kitchen), Request(targets=[f"corrected protein >= {now * 1.1:.2f} g"]))
    result = least_change(task)
    assert result is not None
    assert result.reached[0].verdict == MET
    assert result.cost > 0
