"""Amounts as cooks write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.catalogue.constants import load_constants
from workbookgen.recipes import amounts
from workbookgen.recipes.amounts import (
    Amount,
    AmountError,
    UndecidedAmount,
    check_limits,
    parse_amount,
    split_amount,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("3/4", 0.75), ("1 1/2", 1.5), ("½", 0.5), ("1½", 1.5), ("1 ½", 1.5), ("⅓", 1 / 3), ("⅞", 0.875),
        ("0.5", 0.5), (".5", 0.5), ("2.", 2.0), ("12", 12.0), ("1⁄2", 0.5), (" 1  1 / 2 ", 1.5),
        ("two", 2.0), ("Twelve", 12.0), ("a", 1.0), ("half", 0.5), ("one and a half", 1.5), ("5000", 5000.0),
    ],
)  # fmt: skip
def test_an_amount_reads_as_a_cook_means_it(text: str, value: float) -> None:
    assert parse_amount(text) == Amount(value)


@pytest.mark.parametrize("text", ["2-3", "2 - 3", "2–3", "2 to 3", "2 or 3", "two to three"])
def test_a_range_keeps_both_ends_and_computes_on_the_lower_unless_told_otherwise(text: str) -> None:
    assert parse_amount(text) == Amount(2.0, 2.0, 3.0)
    assert parse_amount(text, use="high") == Amount(3.0, 2.0, 3.0)


@pytest.mark.parametrize(
    ("text", "value", "rest"),
    [
        ("3/4 cup", 0.75, "cup"), ("200g", 200.0, "g"), ("1½ cups, chopped", 1.5, "cups, chopped"),
        ("half a cup", 0.5, "cup"), ("an egg", 1.0, "egg"), ("ten tenderloins", 10.0, "tenderloins"),
        ("1 (15 oz) can", 1.0, "(15 oz) can"), ("1. cup", 1.0, "cup"),
    ],
)  # fmt: skip
def test_an_amount_that_holds_its_unit_is_split(text: str, value: float, rest: str) -> None:
    assert split_amount(text) == (Amount(value), rest)


@pytest.mark.parametrize("text", ["", "  ", "to taste", "To taste.", "as needed", "some", "for garnish"])
def test_an_amount_left_to_taste_is_an_error_until_it_is_decided(text: str) -> None:
    with pytest.raises(UndecidedAmount, match="measure it once and write a number"):
        parse_amount(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("-2", 'amount "-2" is negative; write a number above 0'),
        ("−2 cups", 'amount "−2 cups" is negative; write a number above 0'),
        ("0", "the amount is 0; write the amount, or take the line out"),
        ("0/3", "the amount is 0; write the amount, or take the line out"),
        ("1/0", 'amount "1/0" divides by 0; write the fraction again'),
        ("0.0001", 'amount "0.0001" is below 0.001; choose a smaller unit'),
        ("5001", 'amount "5001" is above 5,000; choose a larger unit'),
        ("0,5", 'amount "0,5" has a comma in the number; write 0.5 or 1000'),
        ("1,000", 'amount "1,000" has a comma in the number; write 0.5 or 1000'),
        ("3-2", 'range "3-2" does not run upwards; write "2-3", or "1 1/2" for one and a half'),
        ("1-1/2", 'range "1-1/2" does not run upwards; write "2-3", or "1 1/2" for one and a half'),
        ("2-2", 'range "2-2" does not run upwards; write "2-3", or "1 1/2" for one and a half'),
        ("pinch", 'amount "pinch" does not start with a number; write "3/4" or "1 1/2"'),
        ("tenderloin", 'amount "tenderloin" does not start with a number; write "3/4" or "1 1/2"'),
        ("2 1", 'amount "2 1" is not understood; write it like "3/4", "1 1/2" or "2-3"'),
        ("1/2/3", 'amount "1/2/3" is not understood; write it like "3/4", "1 1/2" or "2-3"'),
        ("2-inch", 'amount "2-inch" is not understood; write it like "3/4", "1 1/2" or "2-3"'),
        ("3 cups", '"cups" stands after the number of "3 cups"; put it into the unit'),
    ],
)
def test_a_bad_amount_gets_one_sentence_with_its_mend(text: str, sentence: str) -> None:
    with pytest.raises(AmountError) as caught:
        parse_amount(text)
    assert str(caught.value) == sentence


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), -1.0, 0.0, 1e-9, 5000.5])
def test_a_number_out_of_bounds_is_refused(value: float) -> None:
    with pytest.raises(AmountError):
        check_limits(value, value)


def test_the_limits_are_those_of_the_workbook() -> None:
    constants = load_constants()
    assert (constants["amount_min"], constants["amount_max"]) == (amounts.LEAST, amounts.MOST)


@given(st.integers(0, 4000), st.integers(1, 63), st.integers(2, 64))
def test_a_mixed_fraction_is_the_nearest_float(whole: int, top: int, bottom: int) -> None:
    exact = (whole * bottom + top) / bottom
    assert parse_amount(f"{whole} {top}/{bottom}").value == exact


@given(st.floats(0.001, 5000))
def test_a_decimal_number_is_read_as_python_reads_it(value: float) -> None:
    assert parse_amount(f"{value:.6f}").value == float(f"{value:.6f}")


@given(st.text(max_size=40) | st.from_regex(r"[0-9 /.,½a-z-]{0,20}", fullmatch=True))
def test_any_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    said = ""
    try:
        amount, rest = split_amount(text)
    except AmountError as error:
        said = str(error)
    else:
        assert 0.001 <= amount.value <= 5000
        assert rest == rest.strip()
    assert "\n" not in said
    assert len(said) < 200
