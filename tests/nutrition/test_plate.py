"""The closed forms of the plate, against exact fractions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.model.tables import PlateGroup, PlateModel
from workbookgen.nutrition.plate import plate_results

MODEL = PlateModel("m", "M", (PlateGroup("protein", 25, ("protein",)), PlateGroup("grain", 25, ("whole grain",)),
                              PlateGroup("veg", 50, ("vegetable",))), "s", "seen")
GRAMS = st.lists(st.integers(0, 3000), min_size=3, max_size=3).filter(any)


@given(GRAMS)
def test_adding_all_groups_reaches_the_target_exactly(grams: list[int]) -> None:
    found = plate_results(MODEL, [float(g) for g in grams], 5)
    after = [Fraction(g) + Fraction(p.add_all).limit_denominator(1000) for g, p in zip(grams, found, strict=True)]
    total = sum(after)
    assert [a / total for a in after] == [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2)]
    assert all(p.add_all >= 0 for p in found)


@given(GRAMS.filter(all))
def test_taking_all_groups_reaches_the_target_exactly(grams: list[int]) -> None:
    found = plate_results(MODEL, [float(g) for g in grams], 5)
    after = [Fraction(g) - Fraction(p.take_all).limit_denominator(1000) for g, p in zip(grams, found, strict=True)]
    assert [a / sum(after) for a in after] == [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2)]


@given(GRAMS)
def test_adding_one_group_alone_reaches_its_own_share(grams: list[int]) -> None:
    for i, result in enumerate(plate_results(MODEL, [float(g) for g in grams], 5)):
        if result.add_alone > 0:
            after = grams[i] + result.add_alone
            assert after / (sum(grams) + result.add_alone) * 100 == pytest.approx(result.target_pct)


@pytest.mark.parametrize(("grams", "verdict"), [(20, "as planned"), (19.9, "add more"), (30, "as planned"), (30.1, "more than planned")])
def test_tolerance_counts_as_planned_at_its_very_edge(grams: float, verdict: str) -> None:
    rest = 100 - grams
    assert plate_results(MODEL, [grams, rest / 3, rest * 2 / 3], 5)[0].verdict == verdict
