"""The plate: groups with target 0, other ways to compare, the lean test at its limits, one ingredient to mend with."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.tables import PlateGroup, PlateModel
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import cups_of, lean_test, plate_balance, plate_results

MODEL = PlateModel("m", "M", (PlateGroup("protein", 25, ("protein",)), PlateGroup("grain", 25, ("whole grain",)),
                              PlateGroup("veg", 50, ("vegetable",)), PlateGroup("refined", 0, ("refined grain",))), "s", "seen")
GRAMS = st.lists(st.integers(0, 3000), min_size=4, max_size=4).filter(lambda g: any(g[:3]))


@given(GRAMS)
def test_adding_leaves_the_group_with_target_0_out(grams: list[int]) -> None:
    found = plate_results(MODEL, [float(g) for g in grams], 5)
    after = [Fraction(g) + Fraction(p.add_all).limit_denominator(1000) for g, p in zip(grams, found, strict=True)]
    assert [a / sum(after) for a in after] == [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2), 0]


@given(GRAMS.filter(lambda g: all(g[:3])))
def test_taking_leaves_the_group_with_target_0_out(grams: list[int]) -> None:
    found = plate_results(MODEL, [float(g) for g in grams], 5)
    after = [Fraction(g) - Fraction(p.take_all).limit_denominator(1000) for g, p in zip(grams, found, strict=True)]
    assert [a / sum(after) for a in after] == [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2), 0]


@given(GRAMS)
def test_taking_one_group_alone_reaches_its_own_share(grams: list[int]) -> None:
    for i, result in enumerate(plate_results(MODEL, [float(g) for g in grams], 5)):
        if result.take_alone > 0 and sum(grams) > result.take_alone:
            rest = grams[i] - result.take_alone
            assert rest / (sum(grams) - result.take_alone) * 100 == pytest.approx(result.target_pct, abs=1e-6)
        assert not (result.take_alone > 0 and result.add_alone > 0)


@pytest.mark.parametrize(("refined", "verdict"), [(5.0, "as planned"), (5.01, "more than planned"), (0.0, "as planned")])
def test_refined_grain_is_planned_up_to_the_tolerance(refined: float, verdict: str) -> None:
    rest = 100 - refined
    assert plate_results(MODEL, [rest / 4, rest / 4, rest / 2, refined], 5)[3].verdict == verdict


def test_a_white_rice_plate_looks_worse_than_a_brown_rice_plate(kitchen: Kitchen) -> None:
    def verdicts(rice: str) -> list[str]:
        lines = (line("Chicken breast, no skin, roasted", 150), line(rice, 150), line("Broccoli, boiled", 300))
        return [g.verdict for g in plate_balance(kitchen, dish(kitchen, *lines)).groups]

    assert verdicts("Brown rice, long grain, cooked") == ["as planned"] * 4
    assert verdicts("White rice, long grain, enriched, cooked") == ["as planned", "add more", "as planned", "more than planned"]


def test_legumes_count_once_with_the_other_count_beside(kitchen: Kitchen) -> None:
    lines = (line("Black beans, boiled", 250), line("Brown rice, long grain, cooked", 250), line("Kale, boiled", 500))
    protein = plate_balance(kitchen, dish(kitchen, *lines))
    vegetable = plate_balance(kitchen, dish(kitchen, *lines, legumes_as="vegetable"))
    assert [g.share_pct for g in protein.groups] == pytest.approx([25, 25, 50, 0])
    assert protein.other_pct == pytest.approx([0, 25, 75, 0])
    assert vegetable.other_pct == pytest.approx([g.share_pct for g in protein.groups])


@pytest.mark.parametrize(
    ("food", "grams", "cups"),
    [
        ("Kale, raw", 2 * 21, None),  # a cup-equivalent of raw leaves
        ("Black beans, dry", 66, 1.0),  # dry grams of one cooked cup
        ("Brown rice, long grain, dry", 28.35, 0.5),  # one ounce-equivalent
        ("Chicken breast, no skin, roasted", 140, 1.0),  # a chopped cup
        ("Milk, whole", 245, 1.0),
    ],
)
def test_cups_by_food(kitchen: Kitchen, food: str, grams: float, cups: float | None) -> None:
    one = dish(kitchen, line(food, grams)).lines[0]
    expected = cups if cups is not None else grams / (one.food.cup_eq_g or 1)
    assert cups_of(kitchen, one) == pytest.approx(expected, rel=0.02)


def test_unknown_cups_are_reported_by_weight(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 100))
    bare = replace(analysis.lines[0].food, cup_eq_g=None, g_per_ml=None)
    changed = replace(analysis, lines=(replace(analysis.lines[0], food=bare),))
    assert plate_balance(kitchen, changed, "cups").unknown_g == pytest.approx(analysis.lines[0].cooked)


def test_energy_shares_use_the_energy_of_the_lines(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"), line("Brown rice, long grain, cooked"))
    found = plate_balance(kitchen, analysis, "energy")
    assert sum(g.grams for g in found.groups) == pytest.approx(analysis.nutrients["ENERC_KCAL"].dish)


def _meat(analysis: Analysis, **values: float | None) -> LineResult:
    one = analysis.lines[0]
    return replace(one, cooked=100.0, values={**one.values, **values})


@pytest.mark.parametrize(
    ("fat", "saturated", "cholesterol", "verdict"),
    [
        (9.999, 4.5, 94.999, "lean"), (10.0, 4.5, 94.0, "not lean"), (9.0, 4.51, 94.0, "not lean"), (9.0, 4.5, 95.0, "not lean"),
        (4.999, 1.999, 94.999, "extra lean"), (5.0, 1.9, 10.0, "lean"), (4.9, 2.0, 10.0, "lean"),
        (4.9, 1.0, None, "cannot be judged"), (12.0, 1.0, None, "not lean"),
    ],
)
def test_lean_at_its_limits(kitchen: Kitchen, fat: float, saturated: float, cholesterol: float | None, verdict: str) -> None:
    one = _meat(dish(kitchen, line("Ground beef, 95% lean, raw")), FAT=fat, FASAT=saturated, CHOLE=cholesterol)
    assert lean_test(kitchen, [one]).verdict == verdict


def test_fat_that_could_not_be_drained_leaves_the_lean_test_open(kitchen: Kitchen) -> None:
    one = replace(_meat(dish(kitchen, line("Ground beef, 95% lean, raw")), FAT=20.0, FASAT=1.0, CHOLE=1.0), at_most=True)
    assert lean_test(kitchen, [one]).verdict == "cannot be judged"
    assert lean_test(kitchen, []).verdict == "-"


def test_mending_grams_are_those_of_the_line_as_weighed(kitchen: Kitchen) -> None:
    """Adding the grams told for one ingredient brings its group to the target."""
    def lines(rice: float) -> tuple[object, ...]:
        return (line("Chicken breast, no skin, roasted", 200), line("Brown rice, long grain, dry", rice,
                treatment="boiled, water used"), line("Broccoli, raw", 300))

    before = plate_balance(kitchen, dish(kitchen, *lines(20.0)))
    mend = before.mends[1]
    assert mend.line == 1
    after = plate_balance(kitchen, dish(kitchen, *lines(20.0 + mend.add_alone)))
    assert after.groups[1].share_pct == pytest.approx(25)


def test_an_empty_group_names_no_ingredient(kitchen: Kitchen) -> None:
    assert plate_balance(kitchen, dish(kitchen, line("Broccoli, raw"))).mends[0].line is None
