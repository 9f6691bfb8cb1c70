"""Numbers and units as cooks write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.exchange.lexicon import Lexicon, load_lexicon
from workbookgen.exchange.quantities import pint_unit, plain, read_range, read_unit

WORDS = load_lexicon()


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("1 ½ cups", "3/2", None),
        ("1½ cups", "3/2", None),
        ("1-1/2 cups", "3/2", None),
        ("1 and 1/2 cups", "3/2", None),
        ("1⁄2 cup", "1/2", None),
        (".5 cup", "1/2", None),
        ("1,000 g", "1000", None),
        ("1-2 cloves", "1", "2"),
        ("3 to 4 carrots", "3", "4"),
        ("2 or 3 stalks", "2", "3"),
        ("½–¾ cup", "1/2", "3/4"),
        ("1 to 1 1/2 cups", "1", "3/2"),
        ("half a cup", "1/2", None),
        ("one and a half cups", "3/2", None),
        ("three quarters of a cup", "3/4", None),
        ("a dozen eggs", "12", None),
        ("half a dozen eggs", "6", None),
        ("2 dozen eggs", "24", None),
        ("twelve eggs", "12", None),
    ],
)
def test_numbers_fractions_words_and_ranges_are_exact(text: str, low: str, high: str | None) -> None:
    found = read_range(plain(text), WORDS)
    assert found is not None
    assert found[0] == Fraction(low)
    assert found[1] == (Fraction(high) if high else None)


@pytest.mark.parametrize("text", ["salt", "", "1/0 cup", "99999999999 g", "/2 cups"])
def test_no_number_is_read_where_none_stands(text: str) -> None:
    assert read_range(plain(text), WORDS) is None


def test_a_size_behind_a_count_is_no_range() -> None:
    assert read_range("1 15-oz can", WORDS) == (Fraction(1), None, 1)


@pytest.mark.parametrize(
    ("text", "name"),
    [("Tbsp. oil", "tbsp"), ("tablespoons", "tbsp"), ("c. milk", "cup"), ("lbs", "lb"), ("fl oz", "fl oz"),
     ("fluid ounces", "fl oz"), ("litre", "L"), ("grams", "g"), ("kilo", "kg"), ("cloves", "clove"),
     ("tins", "can"), ("pkg.", "package"), ("ribs", "stalk"), ("dl", "mL"), ("gallon", "mL")],
)  # fmt: skip
def test_units_in_many_spellings(text: str, name: str) -> None:
    found = read_unit(text, WORDS)
    assert found is not None
    assert found[0].name == name


def test_a_lone_letter_t_is_read_but_doubted() -> None:
    big, small = read_unit("T. sugar", WORDS), read_unit("t salt", WORDS)
    assert big is not None
    assert small is not None
    assert (big[0].name, small[0].name) == ("tbsp", "tsp")
    assert big[2]
    assert small[2]


@pytest.mark.parametrize(
    "text", ["can of corn", "pinch", "bag", "hand of ginger", "stone fruit", "grain mustard"]
)
def test_words_of_the_kitchen_are_no_units_of_physics(text: str) -> None:
    found = read_unit(text, WORDS)
    assert found is None or found[0].kind == "container" or found[0].name == "pinch"


def test_gallons_and_decilitres_come_through_pint() -> None:
    gallon, decilitre = pint_unit("gallon"), pint_unit("dl")
    assert gallon is not None
    assert decilitre is not None
    assert gallon.factor == pytest.approx(3785.411784)  # 231 cubic inches, NIST Handbook 44, Appendix C
    assert decilitre.factor == pytest.approx(100)
    assert pint_unit("can") is None


@given(st.text(max_size=60))
def test_any_text_is_read_without_an_error(text: str) -> None:
    lexicon: Lexicon = WORDS
    found = read_range(plain(text), lexicon)
    assert found is None or found[1] is None or found[1] > found[0]
