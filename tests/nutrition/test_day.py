"""A day: sums over recipes and foods, unknown parts, and words against a reference."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.nutrition.day import DayItem, DayTotal, against, day_plate, day_total, meal_sums, upper_words
from workbookgen.nutrition.kitchen import Kitchen

KNOWN, LEAST, MOST = (DayTotal(100.0, least, most) for least, most in ((False, False), (True, False), (False, True)))


def test_servings_and_grams_add_up(kitchen: Kitchen) -> None:
    pot = dish(kitchen, line("Black beans, boiled", 300, treatment="reheated"), servings=2.0)
    apple = kitchen.food_by_name["apples, with skin, raw"]
    items = [DayItem(1, pot, servings=1.5), DayItem(2, food=apple, grams=150)]
    want = 1.5 * pot.nutrients["FE"].serving + 1.5 * apple.values["FE"]
    assert day_total(items, "FE") == DayTotal(pytest.approx(want), False, False)  # type: ignore[arg-type]
    assert sum(i.weight for i in items) == pytest.approx(1.5 * pot.serving_g + 150)


def test_an_unknown_part_reads_at_least(kitchen: Kitchen) -> None:
    apple = kitchen.food_by_name["apples, with skin, raw"]
    blind = replace(apple, values={k: v for k, v in apple.values.items() if k != "FE"})
    assert day_total([DayItem(1, food=blind, grams=100)], "FE") == DayTotal(0, True, False)
    assert not day_total([DayItem(1, food=blind, grams=0)], "FE").least
    pot = dish(kitchen, line("Kale, raw"))
    bare = replace(pot, nutrients={**pot.nutrients, "FE": replace(pot.nutrients["FE"], reads="at least")})
    assert day_total([DayItem(1, bare, servings=1)], "FE").least
    assert not day_total([DayItem(1, bare, servings=0)], "FE").least
    drained = replace(pot, nutrients={**pot.nutrients, "FE": replace(pot.nutrients["FE"], reads="at most")})
    assert day_total([DayItem(1, drained, servings=1), DayItem(1, bare, servings=1)], "FE").reads == "not certain"


@pytest.mark.parametrize(
    ("kind", "reference", "known", "least", "most"),
    [
        ("reach", 101, "1 mg short", "1 mg short of the known part", "1 mg short or more"),
        ("reach", 100, "reached", "reached", "may be reached"),
        ("reach", 99, "reached", "reached", "may be reached"),
        ("limit", 101, "1 mg left", "within as far as known", "1 mg left"),
        ("limit", 100, "at the limit", "at the limit as far as known", "at the limit"),
        ("limit", 99, "above by 1 mg", "above by 1 mg or more", "may be above"),
        ("aim", 101, "1 mg short", "1 mg short of the known part", "1 mg short or more"),
        ("aim", 100, "as planned", "cannot be judged", "cannot be judged"),
        ("aim", 99, "1 mg above", "1 mg or more above", "cannot be judged"),
    ],
)
def test_words_at_just_under_and_just_over(kind: str, reference: float, known: str, least: str, most: str) -> None:
    assert [against(t, reference, kind, "mg", 1) for t in (KNOWN, LEAST, MOST)] == [known, least, most]
    assert against(DayTotal(100, True, True), reference, kind, "mg", 1) == "cannot be judged"
    assert against(KNOWN, None, kind, "mg", 1) == ""


def test_a_gap_too_small_to_show_is_a_trace() -> None:
    assert against(KNOWN, 100.04, "reach", "mg", 1) == "a trace short"
    assert against(KNOWN, 100.05, "reach", "mg", 1) == "0.1 mg short"
    assert against(KNOWN, 99.96, "limit", "mg", 1) == "above by a trace"


def test_upper_levels() -> None:
    assert [upper_words(t, 99, "mg", 0) for t in (KNOWN, LEAST, MOST)] == ["above by 1 mg", "above by 1 mg", "may be above"]
    assert [upper_words(t, 100, "mg", 0) for t in (KNOWN, LEAST, MOST)] == ["below", "below as far as known", "below"]
    assert upper_words(KNOWN, None, "mg", 0) == ""


def test_plate_counts_recipes_by_their_groups_and_foods_by_role(kitchen: Kitchen) -> None:
    model = kitchen.plate_model_by_id["practice"]
    pot = dish(kitchen, line("Black beans, boiled", 300, treatment="reheated"), line("Olive oil", 20), servings=2.0)
    apple = kitchen.food_by_name["apples, with skin, raw"]
    grams, left = day_plate(model, [DayItem(1, pot, servings=1), DayItem(2, food=apple, grams=150)])
    place = {role: g for g, group in enumerate(model.groups) for role in group.roles}
    assert grams[place["legume"]] == pytest.approx(150)
    assert grams[place["fruit"]] == pytest.approx(150)
    assert left == pytest.approx(10)
    own = replace(pot, recipe=replace(pot.recipe, plate_model="another"))
    grams, left = day_plate(model, [DayItem(1, own, servings=1)])
    assert (sum(grams), left) == (0, pytest.approx(160))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 5), st.sampled_from(["Kale, raw", "Olive oil", "Walnuts, english, raw"]), st.floats(0, 500)), max_size=20))
def test_meals_add_up_to_the_day(kitchen: Kitchen, rows: list[tuple[int, str, float]]) -> None:
    items = [DayItem(meal, food=kitchen.food_by_name[name.lower()], grams=grams) for meal, name, grams in rows]
    meals = meal_sums(items, 5, ["NA"])["NA"]
    outside = day_total([i for i in items if i.meal == 0], "NA").amount
    assert sum(m.amount for m in meals) + outside == pytest.approx(day_total(items, "NA").amount)
