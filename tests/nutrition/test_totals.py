"""Totals, coverage, readings, targets, dishes as ingredients."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import IngredientLine, Recipe, Target
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen


def analyse(kitchen: Kitchen, *lines: IngredientLine, servings: float = 2, **more: object) -> Analysis:
    return analyse_recipe(kitchen, Recipe("Test", servings, lines, **more), Settings())  # type: ignore[arg-type]


def grams(food: str, amount: float, **more: object) -> IngredientLine:
    return IngredientLine(food, amount, "g", **more)  # type: ignore[arg-type]


def test_serving_is_dish_over_servings(kitchen: Kitchen) -> None:
    found = analyse(kitchen, grams("Kale, raw", 100), grams("Onions, raw", 300), servings=4)
    for result in found.nutrients.values():
        assert result.serving == pytest.approx(result.dish / 4)
    assert found.serving_g == 100


def test_short_coverage_reads_at_least_and_states_the_share(kitchen: Kitchen) -> None:
    without = next(f for f in kitchen.fixed_foods if "LYS" not in f.values and f.values.get("ENERC_KCAL", 0) > 0)
    found = analyse(kitchen, grams("Spinach, raw", 75), grams(without.name, 25)).nutrients["LYS"]
    assert found.reads == "at least"
    assert found.coverage == pytest.approx(0.75)


def test_water_does_not_count_in_coverage(kitchen: Kitchen) -> None:
    found = analyse(kitchen, grams("Spinach, raw", 100), grams("Water, tap", 900, water="stays"))
    assert found.nutrients["LYS"].coverage == 1


def test_top_three_adds_the_lines_of_one_food(kitchen: Kitchen) -> None:
    found = analyse(kitchen, grams("Kale, raw", 50), grams("Onions, raw", 60), grams("Kale, raw", 50))
    names = [name for name, _ in found.nutrients["VITC"].top]
    assert names == ["Kale, raw", "Onions, raw"]
    assert sum(share for _, share in found.nutrients["VITC"].top) == pytest.approx(100)


def test_left_out_lines_bring_nothing(kitchen: Kitchen) -> None:
    with_it = analyse(kitchen, grams("Kale, raw", 100))
    without = analyse(kitchen, grams("Kale, raw", 100), grams("Butter, salted", 500, include=False))
    assert without.nutrients["FAT"].dish == with_it.nutrients["FAT"].dish


@pytest.mark.parametrize(("sign", "value", "verdict"), [(">=", 1, "met"), (">=", 10**6, "not met"), ("<=", 10**6, "met"), ("<=", 0, "not met")])
def test_targets_with_full_coverage_are_met_or_not(kitchen: Kitchen, sign: str, value: float, verdict: str) -> None:
    found = analyse(kitchen, grams("Kale, raw", 100), targets=(Target("K", sign, value, "amount"),))
    assert found.targets[0].verdict == verdict


def test_ceiling_with_unknown_values_cannot_be_judged(kitchen: Kitchen) -> None:
    food = next(f for f in kitchen.fixed_foods if "LYS" not in f.values and f.values.get("ENERC_KCAL", 0) > 0)
    target = Target("LYS", "<=", 1000, "amount")
    assert analyse(kitchen, grams(food.name, 100), targets=(target,)).targets[0].verdict == "cannot be judged"
    assert analyse(kitchen, grams(food.name, 100), grams("Spinach, raw", 900), targets=(replace(target, value=0.001),)).targets[0].verdict == "not met"


@settings(max_examples=30, deadline=None)
@given(amounts=st.lists(st.floats(0.1, 2000), min_size=1, max_size=6), servings=st.floats(0.5, 40))
def test_doubling_everything_doubles_the_dish(kitchen: Kitchen, amounts: list[float], servings: float) -> None:
    foods = kitchen.fixed_foods[:: len(kitchen.fixed_foods) // len(amounts)]
    once = analyse(kitchen, *(grams(f.name, a) for f, a in zip(foods, amounts, strict=False)), servings=servings)
    twice = analyse(kitchen, *(grams(f.name, 2 * a) for f, a in zip(foods, amounts, strict=False)), servings=2 * servings)
    for tag, result in once.nutrients.items():
        assert twice.nutrients[tag].dish == pytest.approx(2 * result.dish)
        assert twice.nutrients[tag].serving == pytest.approx(result.serving)
        assert twice.nutrients[tag].coverage == pytest.approx(result.coverage)


STOCK = Recipe("House stock", 4, (grams("Onions, raw", 200), grams("Water, tap", 800)), cup_weight_g=240, counts_as="liquid")


def test_a_dish_is_an_ingredient_by_its_weight(kitchen: Kitchen) -> None:
    book, _ = with_dishes(kitchen, [STOCK], Settings())
    direct = analyse(kitchen, grams("Onions, raw", 100), grams("Water, tap", 400))
    through = analyse(book, grams("House stock", 500))
    for tag, result in direct.nutrients.items():
        assert through.nutrients[tag].dish == pytest.approx(result.dish), tag


def test_unknown_values_travel_with_a_dish(kitchen: Kitchen) -> None:
    without = next(f for f in kitchen.fixed_foods if "LYS" not in f.values and f.values.get("ENERC_KCAL", 0) > 0)
    sauce = Recipe("Sauce", 2, (grams("Spinach, raw", 50), grams(without.name, 50)))
    book, _ = with_dishes(kitchen, [sauce], Settings())
    assert analyse(book, grams("Sauce", 80)).nutrients["LYS"].coverage == pytest.approx(0.5)


def test_a_weighed_cup_gives_a_dish_its_volumes(kitchen: Kitchen) -> None:
    book, _ = with_dishes(kitchen, [STOCK], Settings())
    assert analyse(book, IngredientLine("House stock", 2, "cup")).lines[0].grams == pytest.approx(480)
    assert analyse(book, IngredientLine("House stock", 1, "serving")).lines[0].grams == pytest.approx(250)


def test_recipes_that_use_each_other_are_refused_by_name() -> None:
    a = Recipe("A", 1, (grams("B", 100),))
    b = Recipe("B", 1, (grams("A", 100),))
    with pytest.raises(BadInput, match="circle: A -> B -> A"):
        in_order([a, b])


def test_dishes_come_before_those_that_use_them() -> None:
    pot = Recipe("Pot", 1, (grams("Sauce", 1),))
    sauce = Recipe("Sauce", 1, (grams("House stock", 1),))
    dishes, others = in_order([pot, sauce, STOCK])
    assert [r.title for r in dishes] == ["House stock", "Sauce"]
    assert [r.title for r in others] == ["Pot"]
