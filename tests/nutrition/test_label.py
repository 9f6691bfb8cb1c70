"""Label rounding against 21 CFR 101.9(c), in the core."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, declared_text, half_up, shown

# (tag, amount, declared text): cases at and around each step, from the rounding paragraphs of 21 CFR 101.9(c)
CFR = [
    ("ENERC_KCAL", 4.9, "0 kcal"), ("ENERC_KCAL", 5, "5 kcal"), ("ENERC_KCAL", 7.5, "10 kcal"), ("ENERC_KCAL", 47.4, "45 kcal"),
    ("ENERC_KCAL", 50, "50 kcal"), ("ENERC_KCAL", 52, "50 kcal"), ("ENERC_KCAL", 55, "60 kcal"), ("ENERC_KCAL", 144.9, "140 kcal"),
    ("FAT", 0.49, "0 g"), ("FAT", 0.5, "0.5 g"), ("FAT", 1.24, "1 g"), ("FAT", 1.25, "1.5 g"), ("FAT", 4.75, "5 g"), ("FAT", 5.4, "5 g"),
    ("FAT", 5.5, "6 g"), ("FASAT", 2.2, "2 g"), ("CHOLE", 1.9, "0 mg"), ("CHOLE", 2, "less than 5 mg"), ("CHOLE", 5, "less than 5 mg"),
    ("CHOLE", 5.1, "5 mg"), ("CHOLE", 7.5, "10 mg"), ("NA", 4.9, "0 mg"), ("NA", 5, "5 mg"), ("NA", 137.5, "140 mg"), ("NA", 140, "140 mg"),
    ("NA", 144.9, "140 mg"), ("NA", 145, "150 mg"), ("CHOCDF", 0.49, "0 g"), ("CHOCDF", 0.5, "less than 1 g"), ("CHOCDF", 0.99, "less than 1 g"),
    ("CHOCDF", 1, "1 g"), ("CHOCDF", 1.5, "2 g"), ("PROCNT", 0.7, "less than 1 g"), ("FIBTG", 2.5, "3 g"),
]


@pytest.mark.parametrize(("tag", "amount", "text"), CFR)
def test_declared_amounts_follow_the_regulation(kitchen: Kitchen, tag: str, amount: float, text: str) -> None:
    rule = kitchen.tables.rounding[tag]
    assert declared_text(amount, rule, kitchen.nutrient_by_tag[tag].unit, 2) == text


@pytest.mark.parametrize(("pct", "label"), [(0.9, 0), (2, 2), (2.9, 2), (3, 4), (10, 10), (11, 10), (12.5, 15), (50, 50), (54.9, 50), (55, 60)])
def test_vitamin_percent_steps_are_2_5_and_10(kitchen: Kitchen, pct: float, label: float) -> None:
    """21 CFR 101.9(c)(8)(iii)."""
    assert declared(pct, kitchen.tables.rounding["%FE"]) == label


@given(st.integers(0, 10**7), st.integers(0, 4))
def test_half_up_rounds_decimal_halves_away_from_zero(thousandths: int, decimals: int) -> None:
    value = thousandths / 1000
    scaled = Fraction(thousandths, 1000) * 10**decimals
    assert half_up(value, decimals) == pytest.approx(math.floor(scaled + Fraction(1, 2)) / 10**decimals, abs=1e-12)


@pytest.mark.parametrize(("value", "decimals", "text"), [(0.145, 2, "0.15"), (2.5, 0, "3"), (10.0, 1, "10"), (1234.56, 1, "1234.6"), (0, 2, "0")])
def test_numbers_in_texts_round_half_up(value: float, decimals: int, text: str) -> None:
    assert shown(value, decimals) == text
