"""Quality gates over the kitchen catalogue: findings are exactly the explained exceptions."""

from __future__ import annotations

import dataclasses
import random

import pytest

from workbookgen.catalogue.food_words import load_food_words
from workbookgen.catalogue.foods import load_foods
from workbookgen.catalogue.foods_gates import (
    EnergyFactors,
    Limits,
    findings,
    load_exceptions,
    load_factors,
    load_limits,
)
from workbookgen.catalogue.paths import data_path
from workbookgen.model.food import Food

MAIN = (
    "ENERC_KCAL",
    "PROCNT",
    "FAT",
    "CHOCDF",
    "SUGAR",
    "FASAT",
    "CA",
    "FE",
    "K",
    "NA",
    "VITC",
    "FOL",
    "LYS",
)


@pytest.fixture(scope="module")
def foods() -> tuple[Food, ...]:
    return load_foods().foods


@pytest.fixture(scope="module")
def limits() -> Limits:
    return load_limits(data_path())


@pytest.fixture(scope="module")
def factors() -> dict[str, EnergyFactors]:
    return load_factors(data_path())


def test_every_finding_is_an_explained_exception(foods, limits, factors) -> None:
    known = load_exceptions(data_path())
    new = [f"{f.gate} {f.tag}: {f.text}" for f in findings(foods, limits, factors) if f.key not in known]
    assert not new


def test_no_exception_outlives_its_finding(foods, limits, factors) -> None:
    found = {f.key for f in findings(foods, limits, factors)}
    assert not set(load_exceptions(data_path())) - found


def test_own_energy_factors_cover_most_foods(foods, factors) -> None:
    assert len(factors) > 0.8 * len(foods)


def changed(foods: tuple[Food, ...], name: str, **values: float) -> list[Food]:
    """The table with some figures of one food changed."""
    assert any(food.name == name for food in foods)
    return [dataclasses.replace(f, values={**f.values, **values}) if f.name == name else f for f in foods]


@pytest.mark.parametrize(
    ("gate", "values"),
    [
        ("proximates", {"WATER": 80.0}),
        ("own_energy", {"ENERC_KCAL": 311.0}),  # 341 with its last digits swapped about
        ("general_energy", {"ENERC_KCAL": 34.1}),
        ("part", {"SUGAR": 70.0}),
        ("part", {"FASAT": 3.66}),
        ("amino_acids", {"LYS": 14.83}),
        ("vitamin_a", {"VITA_RAE": 10.0}),
        ("minerals", {"K": 14830.0}),
        ("isolated", {"FE": 502.0}),
        ("pair", {"ZN": 36.5}),
    ],
)
def test_a_slip_in_black_beans_is_found(gate: str, values: dict[str, float], foods, limits, factors) -> None:
    known = load_exceptions(data_path())
    found = findings(changed(foods, "Black beans, dry", **values), limits, factors)
    assert gate in {f.gate for f in found if f.key not in known}


def test_a_food_entered_twice_is_found(foods, limits, factors) -> None:
    twin = dataclasses.replace(foods[0], id="twin", name="twin")
    assert ("duplicate", "twin", "") in {f.key for f in findings([*foods, twin], limits, factors)}


def test_a_counterpart_that_is_not_cooked_is_found(foods, limits, factors) -> None:
    beans = next(f for f in foods if f.name == "Black beans, dry")
    wrong = [
        dataclasses.replace(f, counterpart_id=beans.id) if f.name == "Navy beans, dry" else f for f in foods
    ]
    assert "link" in {f.gate for f in findings(wrong, limits, factors)}


def test_slips_of_a_thousand_are_found_in_19_of_20_figures(foods, limits, factors) -> None:
    """A fixed random sample; slips of ten are found in about two thirds (measured, not asserted)."""
    known = load_exceptions(data_path())
    most = load_food_words(data_path()).most
    chance = random.Random(3)
    found = 0
    for _ in range(20):
        food = chance.choice([f for f in foods if f.values["WATER"] < 99])
        tag = chance.choice([t for t in MAIN if food.values.get(t, 0.0) > 0])
        slip = food.values[tag] * 1000
        table = changed(foods, food.name, **{tag: slip})
        found += slip > most[tag] or any(f.key not in known for f in findings(table, limits, factors))
    assert found >= 19
