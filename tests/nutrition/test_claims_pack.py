"""Comparisons with a packaged product hold only where they hold for all that the label's rounding allows.

Limits: 21 CFR 101.61(b)(6), 101.54(e), 101.56(b); rounding of the label: 21 CFR 101.9(c).
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.statement_probe import probe_kitchen, recipe
from workbookgen.model.pack import Pack
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.claims import judge_statements
from workbookgen.nutrition.claims_measures import Dish
from workbookgen.nutrition.claims_pack import AgainstPack, judge_against_pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, half_up
from workbookgen.session import default_settings
from workbookgen.workbook.recipe_statements import judged_recipe

HAIR = 1e-6


def against(kitchen: Kitchen, values: dict[str, float], comparison: str, pack: Pack, dish: str = "food") -> AgainstPack:
    probe = probe_kitchen(kitchen, values)
    analysis = analyse_recipe(probe, recipe(dish), default_settings())
    judged = judged_recipe(probe, analysis)
    assert isinstance(judged.dish, Dish)
    assert judged.verdicts.dish_word == judge_statements(probe, analysis).dish_word
    rule = next(c for c in probe.tables.claims.comparisons if c.id == comparison)
    return judge_against_pack(rule, judged.dish, judged.verdicts, pack)


# a label that says 400 mg stands for 395 to 405 mg: a quarter less is 296.25 to 303.75 mg
@pytest.mark.parametrize(("sodium", "verdict"), [
    (296.25, "holds"), (296.25 + HAIR, "cannot be judged"), (303.75, "cannot be judged"), (303.75 + HAIR, "fails"), (500, "fails")])  # fmt: skip
def test_reduced_sodium_at_the_ends_of_the_label_rounding(kitchen: Kitchen, sodium: float, verdict: str) -> None:
    assert against(kitchen, {"NA": sodium}, "reduced_sodium", Pack("Pack", 100.0, amounts={"NA": 400.0})).verdict == verdict


@pytest.mark.parametrize(("grams", "verdict"), [(100.0, "holds"), (200.0, "fails")])
def test_both_are_counted_on_the_same_grams(kitchen: Kitchen, grams: float, verdict: str) -> None:
    """400 mg in 200 g are 200 mg on the reference amount of 100 g."""
    assert against(kitchen, {"NA": 250}, "reduced_sodium", Pack("Pack", grams, amounts={"NA": 400.0})).verdict == verdict


def test_a_product_that_may_be_low_itself_is_no_reference(kitchen: Kitchen) -> None:
    """A label that says 150 mg stands for 145 to 155 mg, one that says 140 mg for 137.5 to 145 mg: low is 140 mg."""
    assert against(kitchen, {"NA": 20}, "reduced_sodium", Pack("Pack", 100.0, amounts={"NA": 150.0})).verdict == "holds"
    assert against(kitchen, {"NA": 20}, "reduced_sodium", Pack("Pack", 100.0, amounts={"NA": 140.0})).verdict == "cannot be judged"


# 2 g of fiber on a label stand for 1.5 to 2.5 g; 10 % of the Daily Value of 28 g are 2.8 g
@pytest.mark.parametrize(("fibre", "verdict"), [
    (5.3, "holds"), (5.3 - HAIR, "cannot be judged"), (4.3, "cannot be judged"), (4.3 - HAIR, "fails")])  # fmt: skip
def test_more_fiber_at_the_ends_of_the_label_rounding(kitchen: Kitchen, fibre: float, verdict: str) -> None:
    assert against(kitchen, {"FIBTG": fibre}, "more_FIBTG", Pack("Pack", 100.0, amounts={"FIBTG": 2.0})).verdict == verdict


def test_what_a_label_does_not_declare_is_not_judged(kitchen: Kitchen) -> None:
    assert against(kitchen, {"FE": 9}, "more_FE", Pack("Pack", 100.0, amounts={"NA": 400.0})).verdict == "not on this label"
    assert against(kitchen, {"FE": 9}, "more_FE", Pack("Pack", 100.0, percents={"FE": 2.0})).verdict == "not on this label"


@pytest.mark.parametrize(("fat", "verdict"), [(10.0, "holds"), (21.0, "cannot be judged"), (24.0, "fails")])
def test_light_by_calories_needs_less_than_half_of_the_energy_from_fat(kitchen: Kitchen, fat: float, verdict: str) -> None:
    """380 kcal stand for 375 to 385, 21 g of fat for 20.5 to 21.5 g: 47.9 to 51.6 % of the energy. 24 g are above half for sure."""
    pack = Pack("Pack", 100.0, amounts={"ENERC_KCAL": 380.0, "FAT": fat})
    assert against(kitchen, {"ENERC_KCAL": 200, "FAT": 1}, "light_third", pack).verdict == verdict


def test_main_dishes_have_no_light_by_calories(kitchen: Kitchen) -> None:
    pack = Pack("Pack", 100.0, amounts={"ENERC_KCAL": 400.0, "FAT": 2.0})
    assert against(kitchen, {"ENERC_KCAL": 50}, "light_third", pack, "main dish").verdict == "not for this kind of dish"


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 900), st.floats(0, 900))
def test_a_word_never_holds_for_a_true_amount_that_does_not_carry_it(kitchen: Kitchen, mine: float, true: float) -> None:
    """Whatever the product truly holds: where the verdict is sure, the exact arithmetic agrees."""
    label = declared(true, kitchen.tables.rounding["NA"])
    found = against(kitchen, {"NA": half_up(mine, 6)}, "reduced_sodium", Pack("Pack", 100.0, amounts={"NA": label}))
    exact = true > 0 and (true - half_up(mine, 6)) / true >= 0.25
    if found.verdict == "holds":
        assert exact
    if found.verdict == "fails":
        assert not exact
