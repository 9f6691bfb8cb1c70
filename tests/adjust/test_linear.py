"""Rows say of a point what the core says of the same dish."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adjust.generate import PANTRY, _line
from tests.adjust.points import random_choice, rows_hold
from tests.dishes import dish, line
from workbookgen.adjust.check import _verdict, reached
from workbookgen.adjust.cost import serving_cost
from workbookgen.adjust.least import least_change, worked_out
from workbookgen.adjust.targets import Wish
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.model.programme import Price
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.targets import CANNOT_SAY, MET, NOT_MET
from workbookgen.session import default_settings

TARGETS = (
    "FE >= 3 mg", "FE >= 20 %DV", "NA <= 600 mg", "NA <= 200 mg per 100 g", "ENERC_KCAL 250..500", "plate within 15",
    "plate vegetables and fruit >= 40 %", "serving weight 200..500 g", "protein score >= 1", "cost <= 1.50",
)  # fmt: skip


def big_task(kitchen: Kitchen, rng: random.Random, targets: tuple[str, ...], **more: object) -> Task:
    rows = rng.sample(PANTRY, 8)
    recipe = Recipe(title="Pot", servings=4, lines=tuple(_line(r, 1) for r in rows))
    prices = tuple(Price(name, 2.0, 1.0, "lb") for name, *_ in PANTRY)
    kitchen = replace(kitchen, prices=prices)
    analysis = analyse_recipe(kitchen, recipe, default_settings())
    return make_task(kitchen, analysis, Request(targets=targets, swaps=True, **more))  # type: ignore[arg-type]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_figures_of_rows_are_figures_of_the_core(kitchen: Kitchen, seed: int) -> None:
    rng = random.Random(seed)
    task = big_task(kitchen, rng, TARGETS)
    choice = random_choice(task.space, rng)
    result = worked_out(task, choice)
    for number, (wish, ways) in enumerate(zip(task.wishes, task.ways, strict=True)):
        found = reached(task.space.kitchen, result.analysis, wish)
        rows = [row for row in ways[0].rows if row.label not in ("Anything on the plate", "Protein with known amino acids")]
        if found.value is not None and len(rows) == 1:
            assert rows[0].value(choice.amounts) == pytest.approx(found.value, rel=1e-9, abs=1e-9), wish.text
        if wish.kind == "plate" and not wish.group and result.analysis.plate:
            shares = {g.group: g.share_pct for g in result.analysis.plate}
            for row in rows:
                assert row.value(choice.amounts) == pytest.approx(shares[row.label], rel=1e-9, abs=1e-9)
        holds = all(
            row.value(choice.amounts) >= row.limit if row.sense == ">=" else row.value(choice.amounts) <= row.limit
            for row in ways[0].rows
        )
        if found.verdict != CANNOT_SAY:
            assert holds == (found.verdict == MET), (number, wish.text)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10**6))
def test_the_solver_sees_the_same_rows(kitchen: Kitchen, seed: int) -> None:
    rng = random.Random(seed)
    target = rng.choice(TARGETS)
    task = big_task(kitchen, rng, (target,))
    choice = random_choice(task.space, rng)
    found = worked_out(task, choice).reached[0]
    if found.verdict != CANNOT_SAY:
        assert rows_hold(task.space, task.ways[0], choice) == (found.verdict == MET)


def test_water_that_grain_takes_up_follows_it(kitchen: Kitchen) -> None:
    """Dry barley takes up water; more barley needs more of the line marked absorbed, and less must not leave a flood."""
    lines = [
        line("Barley, hulled, dry", 1, "cup", treatment="boiled, water used"),
        line("Water, tap", 2, "cup", water="absorbed"), line("Kale, raw", 4, "cup, 1 in pieces", treatment="boiled, water used"),
    ]  # fmt: skip
    analysis = dish(kitchen, *lines, servings=4)
    for target in ("FIBTG >= 9 g", "CHOCDF <= 26 g"):
        task = make_task(kitchen, analysis, Request(targets=[target]))
        result = least_change(task)
        assert result is not None
        assert result.choice.amounts[0] != 1
        short = analysis.water_short_g
        assert result.analysis.water_short_g <= max(short, 1e-6)
        given_water = next(x.edible for x in result.analysis.lines if x.line.water == "absorbed")
        taken = sum(max(0.0, x.cooked - x.edible) for x in result.analysis.lines if x.line.water != "absorbed")
        spare = lines[1].amount * 236.6 - analysis.lines[0].cooked + analysis.lines[0].edible
        assert given_water - taken <= max(spare, 0) + 119  # half a cup, the coarsest step


def test_a_weighed_pot_goes_and_the_estimate_counts(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 400), line("Salt, table", 4), cooked_weight_g=900)
    task = make_task(kitchen, analysis, Request(targets=["NA <= 300 mg per 100 g"]))
    result = least_change(task)
    assert result is not None
    assert result.recipe.cooked_weight_g is None
    assert result.analysis.nutrients["NA"].per_100g <= 300


def test_a_ceiling_with_unknown_values_is_met_but_not_proven(kitchen: Kitchen) -> None:
    """Unknown is not zero: what is known is kept below, and the answer says which foods leave it open."""
    name = next(f.name for f in kitchen.fixed_foods if "SUGAD" not in f.values and f.group == "Breads and baked")
    analysis = dish(kitchen, line(name, 50), line("Honey", 20), line("Kale, raw", 100))
    task = make_task(kitchen, analysis, Request(targets=["SUGAD <= 10 g"]))
    result = least_change(task)
    assert result is not None
    found = result.reached[0]
    assert found.verdict == CANNOT_SAY
    assert found.value is not None
    assert found.value <= 10
    assert name in found.remark
    assert "at most" in found.remark
    floor = make_task(kitchen, analysis, Request(targets=["SUGAD >= 4 g"]))
    again = least_change(floor)
    assert again is not None
    assert again.reached[0].verdict == MET


def test_cost_of_a_food_without_a_price_is_unknown(kitchen: Kitchen) -> None:
    priced = replace(kitchen, prices=(Price("Kale, raw", 3.0, 1.0, "lb"),))
    lines = line("Kale, raw", 453.59237, basis="as purchased"), line("Feta", 50), line("Water, tap", 100)
    analysis = dish(priced, *lines, servings=2)
    assert serving_cost(priced, analysis) == (pytest.approx(1.5), ("Feta",))
    bone = dish(priced, line("Kale, raw", 453.59237, basis="as purchased"))
    edible = dish(priced, line("Kale, raw", 453.59237))
    refuse = edible.lines[0].food.refuse_pct
    assert serving_cost(priced, bone)[0] == pytest.approx(3.0)
    assert serving_cost(priced, edible)[0] == pytest.approx(3.0 / (1 - refuse / 100))
    task = make_task(priced, analysis, Request(targets=["cost <= 2"]))
    assert reached(priced, analysis, task.wishes[0]).verdict == CANNOT_SAY


@pytest.mark.parametrize(("low", "high", "value", "more", "less", "says"), [
    (10, None, 10, False, False, MET), (10, None, 9.9999999999, False, False, MET), (10, None, 9.99999, False, False, NOT_MET),
    (10, None, 9, True, False, CANNOT_SAY), (10, None, 11, True, False, MET), (10, None, 11, False, True, CANNOT_SAY),
    (10, None, 9, False, True, NOT_MET), (None, 10, 10, False, False, MET), (None, 10, 9, True, False, CANNOT_SAY),
    (None, 10, 11, True, False, NOT_MET), (None, 10, 11, False, True, CANNOT_SAY), (None, 10, 9, False, True, MET),
    (5, 10, 7, True, False, CANNOT_SAY), (5, 10, 12, True, False, NOT_MET), (5, 10, 4, True, False, CANNOT_SAY),
])  # fmt: skip
def test_what_may_be_more_or_less_is_never_called_met(
    low: float | None, high: float | None, value: float, more: bool, less: bool, says: str
) -> None:
    assert _verdict(Wish("x", "cost", low, high), value, more, less) == says
