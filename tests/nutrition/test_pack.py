"""Labels: what rounding allows, both readings, typing checks, the food row."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.model.analysis import Settings
from workbookgen.model.pack import Pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, says_less_than
from workbookgen.nutrition.pack import (
    allergen_marks,
    allowed,
    declared_tags,
    energy_fits,
    less_than_value,
    pack_foods,
    per_100g,
    percent_fits,
    read_pack,
    reading,
    serving_g_per_ml,
)

CRACKER = Pack("Cracker", 30.0, 5.0, "cracker", amounts={"ENERC_KCAL": 130.0, "FAT": 5.0, "NA": 250.0, "CHOCDF": 20.0, "PROCNT": 2.0})


@given(tag=st.sampled_from(("ENERC_KCAL", "FAT", "FASAT", "NA", "CHOLE", "CHOCDF", "CA", "FE", "VITC")),
       value=st.floats(0, 3000, allow_nan=False))  # fmt: skip
def test_the_true_amount_lies_in_what_its_declared_figure_allows(kitchen: Kitchen, tag: str, value: float) -> None:
    rule = kitchen.tables.rounding[tag]
    figure = less_than_value(rule) if says_less_than(value, rule) else declared(value, rule)
    assert figure is not None
    span = allowed(figure, rule)
    assert span is not None
    assert span[0] - 1e-9 <= value <= span[1] + 1e-9


@pytest.mark.parametrize(("tag", "figure", "span"), [  # 21 CFR 101.9(c)(1), (2), (3), (4), (6)
    ("NA", 135, (132.5, 137.5)), ("NA", 140, (137.5, 145)), ("NA", 150, (145, 155)), ("NA", 0, (0, 5)), ("NA", 143, None),
    ("FAT", 0, (0, 0.5)), ("FAT", 0.5, (0.5, 0.75)), ("FAT", 5, (4.75, 5.5)), ("FAT", 6, (5.5, 6.5)), ("FAT", 5.5, None),
    ("ENERC_KCAL", 50, (47.5, 55)), ("ENERC_KCAL", 60, (55, 65)), ("CHOLE", 0, (0, 2)), ("CHOCDF", 0.75, (0.5, 1)),
])  # fmt: skip
def test_figures_allow_the_amounts_that_round_to_them(kitchen: Kitchen, tag: str, figure: float, span: tuple[float, float] | None) -> None:
    assert allowed(figure, kitchen.tables.rounding[tag]) == span


@pytest.mark.parametrize(("pct", "kitchen_word", "guide"), [
    (5, "low", "low"), (5.0001, "between", "between"), (9.9999, "between", "between"), (10, "high", "between"),
    (19.9999, "high", "between"), (20, "high", "high"), (0.1 + 0.2 + 4.7, "low", "low"),
])  # fmt: skip
def test_low_and_high_at_their_limits(pct: float, kitchen_word: str, guide: str) -> None:
    assert (reading(pct, 5, 10), reading(pct, 5, 20)) == (kitchen_word, guide)


def test_sodium_is_read_first_and_protein_has_no_reading(kitchen: Kitchen) -> None:
    found = read_pack(kitchen, CRACKER, Settings())
    assert next(r.tag for r in found) == "NA"
    protein = next(r for r in found if r.tag == "PROCNT")
    assert (protein.dv_pct, protein.kitchen) == (None, "")


def test_readings_follow_the_reference_set_in_use(kitchen: Kitchen) -> None:
    small = read_pack(kitchen, CRACKER, Settings(reference_set="us_1_3"))[0]
    assert small.dv_pct == pytest.approx(250 / 1500 * 100)


def test_undeclared_is_unknown_and_zero_is_zero(kitchen: Kitchen) -> None:
    food = pack_foods(kitchen, [replace(CRACKER, amounts={"NA": 0.0})])[0][0]
    assert food.values == {"NA": 0.0}


def test_a_printed_per_cent_stands_in_for_a_missing_amount(kitchen: Kitchen) -> None:
    pack = replace(CRACKER, amounts={}, percents={"CA": 10.0})
    assert per_100g(pack, kitchen.tables) == {"CA": pytest.approx(130 / 30 * 100)}


@pytest.mark.parametrize(("tag", "amount", "printed", "fits"), [
    ("NA", 250, 11, True), ("NA", 250, 10, False), ("NA", 250, 25, False), ("CA", 20, 0, True), ("CA", 20, 2, True), ("CA", 20, 4, False),
    ("FE", 1.2, 6, True), ("FE", 1.2, 8, False), ("SUGAD", 2, 4, True), ("VITD", 0, 0, True),
])  # fmt: skip
def test_printed_per_cents_are_held_against_amounts(kitchen: Kitchen, tag: str, amount: float, printed: float, fits: bool) -> None:
    assert percent_fits(Pack("x", 30.0, amounts={tag: amount}, percents={tag: printed}), tag, kitchen.tables) is fits


@pytest.mark.parametrize(("energy", "fits"), [(120, False), (130, True), (140, True), (150, False), (310, False)])
def test_energy_is_held_against_4_9_4(kitchen: Kitchen, energy: float, fits: bool) -> None:
    assert energy_fits(kitchen, replace(CRACKER, amounts=dict(CRACKER.amounts) | {"ENERC_KCAL": energy})) is fits


def test_fibre_may_be_left_out_of_the_energy(kitchen: Kitchen) -> None:
    bran = Pack("Bran", 30.0, amounts={"ENERC_KCAL": 60.0, "FAT": 0.0, "CHOCDF": 25.0, "PROCNT": 2.0})
    assert energy_fits(kitchen, bran) is False
    assert energy_fits(kitchen, replace(bran, amounts=dict(bran.amounts) | {"FIBTG": 14.0})) is True


def test_energy_without_fat_cannot_be_checked(kitchen: Kitchen) -> None:
    assert energy_fits(kitchen, Pack("x", 30.0, amounts={"ENERC_KCAL": 100.0, "CHOCDF": 20.0, "PROCNT": 2.0})) is None


def test_the_cup_of_a_label_is_240_ml(kitchen: Kitchen) -> None:
    assert serving_g_per_ml(kitchen, Pack("Soup", 245.0, 1.0, "cup")) == pytest.approx(245 / 240)


def test_serving_and_piece_become_units(kitchen: Kitchen) -> None:
    _, measures = pack_foods(kitchen, [CRACKER])
    assert [(m.unit, m.grams) for m in measures] == [("serving", 30.0), ("cracker", 6.0)]


def test_added_folic_acid_is_taken_off_the_folate(kitchen: Kitchen) -> None:
    food = pack_foods(kitchen, [Pack("Flour", 100.0, amounts={"FOLDFE": 100.0, "FOLAC": 50.0})])[0][0]
    assert (food.values["FOLFD"], food.values["FOLAC"]) == (pytest.approx(15.0), 50.0)


def test_unchecked_allergens_stay_unknown() -> None:
    assert allergen_marks(("milk", "tree nut"), False) == "+milk;+tree_nut;?*;"
    assert allergen_marks((), True) == "-;"


def test_mandatory_nutrients_come_first(kitchen: Kitchen) -> None:
    tags = declared_tags(kitchen.tables)
    assert tags[:3] == ("ENERC_KCAL", "FAT", "FASAT")
    assert tags[14] == "K"
    assert len(set(tags)) == len(tags)
