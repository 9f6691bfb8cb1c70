"""Likely ranges: spread from what the source prints, squares of independent lines, too little printed."""

from __future__ import annotations

import math

import pytest

from tests.dishes import dish, line
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.food import ValueDetail
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.ranges import deviations, range_of_serving, standard_deviation

DIVISORS = load_tables().science.divisors


@pytest.mark.parametrize(
    ("detail", "expected"),
    [
        (ValueDetail(4, 0.5, 1.0, 9.0), 1.0),  # the standard error wins over the range
        (ValueDetail(2, None, 1.0, 2.128), 1.0),
        (ValueDetail(12, None, 0.0, 3.078), 1.0),  # 12 samples take the row from 10 on
        (ValueDetail(400, None, 0.0, 3.931), 1.0),
        (ValueDetail(1, 0.5, 1.0, 9.0), None),
        (ValueDetail(9, None, 1.0, None), None),
        (ValueDetail(0), None),
    ],
)
def test_standard_deviation_from_what_is_printed(detail: ValueDetail, expected: float | None) -> None:
    found = standard_deviation(detail, DIVISORS)
    assert found == (None if expected is None else pytest.approx(expected))


def test_independent_lines_add_their_squares(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"), line("Broccoli, raw"), servings=2.0)
    spread = deviations(kitchen, "CA")
    a, b = (spread[x.food.id] for x in analysis.lines)
    found = range_of_serving(kitchen, analysis, "CA", spread)
    width = 2 * math.sqrt(a * a + b * b)
    assert found.words == "likely range"
    assert found.low == pytest.approx((analysis.nutrients["CA"].dish - width) / 2)
    assert found.high == pytest.approx((analysis.nutrients["CA"].dish + width) / 2)


def test_a_range_never_goes_below_nothing(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"))
    found = range_of_serving(kitchen, analysis, "CA", {analysis.lines[0].food.id: 1e6})
    assert found.low == 0


@pytest.mark.parametrize(("grams", "words"), [(100.0, "likely range"), (99.9999, "too few ranges published")])
def test_eighty_per_cent_of_the_amount_must_have_a_spread(kitchen: Kitchen, grams: float, words: str) -> None:
    analysis = dish(kitchen, line("Kale, raw", grams), line("Kale, raw", 25.0))
    value = analysis.lines[0].food.values["CA"]
    lines = analysis.lines
    assert lines[0].values["CA"] == pytest.approx(value * grams / 100)
    import dataclasses

    other = dataclasses.replace(lines[1].source_food, id="no spread")
    changed = dataclasses.replace(analysis, lines=(lines[0], dataclasses.replace(lines[1], source_food=other)))
    found = range_of_serving(kitchen, changed, "CA", {lines[0].food.id: 1.0})
    assert found.words == words


def test_energy_has_no_published_range(kitchen: Kitchen) -> None:
    assert deviations(kitchen, "ENERC_KCAL") == {}
    found = range_of_serving(kitchen, dish(kitchen, line("Kale, raw")), "ENERC_KCAL", {})
    assert (found.words, found.low, found.high) == ("no range published", None, None)
