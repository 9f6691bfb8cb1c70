"""From household measures to grams."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.nutrition.amounts import edible_grams, grams_per_unit, units_offered
from workbookgen.nutrition.kitchen import Kitchen

VOLUMES = {"tsp": 1, "tbsp": 3, "fl oz": 6, "cup": 48, "pint": 96, "quart": 192}


def test_volume_units_of_one_food_agree_exactly(kitchen: Kitchen) -> None:
    for food in kitchen.fixed_foods:
        if food.g_per_ml is None:
            continue
        tsp = grams_per_unit(kitchen, food, "tsp")
        for unit, times in VOLUMES.items():
            assert grams_per_unit(kitchen, food, unit) == pytest.approx(tsp * times, rel=1e-12), (food.name, unit)


def test_weights_are_offered_for_every_food(kitchen: Kitchen) -> None:
    for food in kitchen.fixed_foods:
        assert {"g", "kg", "oz", "lb"} <= {name for name, _ in units_offered(kitchen, food)}


def test_volumes_are_not_offered_without_a_density(kitchen: Kitchen) -> None:
    food = next(f for f in kitchen.fixed_foods if f.g_per_ml is None)
    assert grams_per_unit(kitchen, food, "cup") is None


def test_no_food_offers_one_unit_twice(kitchen: Kitchen) -> None:
    for food in kitchen.fixed_foods:
        names = [name.lower() for name, _ in units_offered(kitchen, food)]
        assert len(names) == len(set(names)), food.name


@given(grams=st.floats(0, 1e5), refuse=st.floats(0, 99), share=st.floats(0, 100))
def test_trimming_never_adds_weight(grams: float, refuse: float, share: float) -> None:
    edible = edible_grams(grams, refuse, True, share)
    assert 0 <= edible <= grams * (1 + 1e-12)
    assert edible <= edible_grams(grams, refuse, False, share) * (1 + 1e-12)


def test_as_purchased_takes_refuse_off_before_the_share_eaten() -> None:
    assert edible_grams(200, 25, True, 50) == 75
