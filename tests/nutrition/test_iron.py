"""Iron estimates: classes at their edges, the continuous equation, factors, unknown is not zero."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.catalogue.tables import load_tables
from workbookgen.nutrition.iron import (
    Meal,
    algorithm_factors,
    by_algorithm,
    by_class,
    by_stores,
    gaps,
    iron_line,
    iron_of_serving,
    meal_class,
)
from workbookgen.nutrition.kitchen import Kitchen

SCIENCE = load_tables().science
IRON = SCIENCE.iron
EMPTY = Meal(0, 0, 0, 0, 0, 0, 0, 0, 0)


@pytest.mark.parametrize(
    ("mfp", "vitc", "expected"),
    [
        (0, 0, "low"), (29.999, 24.999, "low"), (30, 0, "medium"), (0, 25, "medium"), (29.9, 75, "medium"),
        (90, 0, "medium"), (90, 24.999, "medium"), (90.001, 0, "high"), (0, 75.001, "high"), (30, 25, "high"),
        (0.1 * 3 * 100, 25 - 1e-12, "high"),
    ],
)
def test_class_of_a_meal_at_its_limits(mfp: float, vitc: float, expected: str) -> None:
    assert meal_class(IRON, mfp, vitc) == expected


@given(st.floats(0, 200), st.floats(0, 200))
def test_filling_a_gap_lifts_the_meal_a_class(mfp: float, vitc: float) -> None:
    cls = meal_class(IRON, mfp, vitc)
    vitc_gap, mfp_gap = gaps(IRON, cls, mfp, vitc)
    if cls == "high":
        assert (vitc_gap, mfp_gap) == (0, 0)
        return
    order = ["low", "medium", "high"]
    just_over = 1e-6  # "above 75 mg" and "above 90 g" start just past the limit
    assert order.index(meal_class(IRON, mfp, vitc + vitc_gap + just_over)) > order.index(cls)
    assert order.index(meal_class(IRON, mfp + mfp_gap + just_over, vitc)) > order.index(cls)


@pytest.mark.parametrize("stores", SCIENCE.stores, ids=lambda row: f"{row.stores_mg:g} mg")
def test_continuous_equation_meets_its_cap(stores: object) -> None:
    row = next(r for r in SCIENCE.stores if r is stores)
    below, at = (by_stores(IRON, replace(EMPTY, vitc_mg=v), row).nonheme_pct for v in (74.9999, 75.0))
    assert at == row.cap_pct
    assert below == pytest.approx(row.cap_pct, abs=0.05)
    assert by_stores(IRON, EMPTY, row).nonheme_pct == row.base_pct


@given(st.floats(0, 1000), st.floats(0, 500), st.floats(0, 1000), st.floats(0, 2000), st.floats(0, 50), st.floats(0, 5))
def test_absorbed_iron_stays_between_nothing_and_all(phytate: float, vitc: float, meat: float, calcium: float, soy: float,
                                                     eggs: float) -> None:
    meal = Meal(1.0, 3.0, vitc, meat, meat, phytate, calcium, soy, eggs)
    factors = algorithm_factors(IRON, meal)
    found = by_algorithm(IRON, meal, factors)
    assert 0 <= found.absorbed_mg <= 4
    assert found.nonheme_pct <= 100
    assert factors["phytate"] <= 1
    assert factors["calcium"] <= 1
    assert min(factors["vitamin C"], factors["meat, fish"]) >= 1


def test_no_factor_changes_a_meal_without_any(kitchen: Kitchen) -> None:
    assert all(f == pytest.approx(1) for f in algorithm_factors(IRON, EMPTY).values())
    assert by_class(IRON, replace(EMPTY, nonheme_mg=10), "low").absorbed_mg == pytest.approx(0.3)


def test_heme_iron_is_a_share_of_the_iron_of_meat_only(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Ground beef, 95% lean, raw"), line("Kale, raw"))
    beef, kale = (iron_line(IRON, x) for x in analysis.lines)
    assert beef.heme == pytest.approx(analysis.lines[0].values["FE"] * 0.4)
    assert beef.mfp_raw == 100
    assert (kale.heme, kale.mfp_raw) == (0, 0)
    assert kale.nonheme == analysis.lines[1].values["FE"]


def test_cooked_meat_counts_with_its_raw_weight(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Salmon, sockeye, baked"))
    assert iron_line(IRON, analysis.lines[0]).mfp_raw == pytest.approx(130)


def test_unknown_iron_is_not_zero(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"))
    one = analysis.lines[0]
    unknown = replace(one, values={**one.values, "FE": None})
    assert iron_line(IRON, unknown).heme is None
    assert iron_line(IRON, unknown).nonheme is None


def test_a_line_left_out_brings_nothing(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"), line("Egg, whole, raw", include=False), line("Tofu, firm, calcium sulfate", include=False))
    result = iron_of_serving(kitchen, analysis)
    assert result.meal.eggs == 0
    assert result.meal.soy_g == 0
    assert result.meal.nonheme_mg == pytest.approx(analysis.nutrients["FE"].serving)


@pytest.mark.parametrize(("coverage", "counts"), [(0.9, True), (0.8999999, False)])
def test_the_algorithm_needs_known_phytate_to_enter_the_spread(kitchen: Kitchen, coverage: float, counts: bool) -> None:
    analysis = dish(kitchen, line("Ground beef, 95% lean, raw", 200))
    phytate = replace(analysis.nutrients["PHYTAC"], coverage=coverage)
    result = iron_of_serving(kitchen, replace(analysis, nutrients={**analysis.nutrients, "PHYTAC": phytate}))
    assert result.phytate_known is counts
    assert (result.high_mg == result.algorithm.absorbed_mg) is counts


def test_spread_covers_the_three_methods(kitchen: Kitchen) -> None:
    result = iron_of_serving(kitchen, dish(kitchen, line("Lentils, brown or green, dry", 80)), 0.0)
    assert result.phytate_known
    three = [result.classes.absorbed_mg, result.levels[0].absorbed_mg, result.algorithm.absorbed_mg]
    assert (result.low_mg, result.high_mg) == (min(three), max(three))
    assert result.chosen == 0
    assert math.isclose(result.levels[2].heme_pct, result.classes.heme_pct)
