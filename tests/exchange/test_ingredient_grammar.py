"""What the grammar reads out of ingredient lines."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbookgen.exchange.ingredient_grammar import parse_line
from workbookgen.exchange.lexicon import load_lexicon
from workbookgen.exchange.parsed import ParsedLine

WORDS = load_lexicon()


def one(text: str) -> ParsedLine:
    lines = parse_line(text, WORDS)
    assert len(lines) == 1
    return lines[0]


def said(line: ParsedLine) -> list[str]:
    return [
        f"{q.low}{f'-{q.high}' if q.high else ''} {q.unit.name if q.unit else ''}".strip()
        for q in line.amounts
    ]


@pytest.mark.parametrize(
    ("text", "amounts", "name"),
    [
        ("1 ½ cups all-purpose flour", ["3/2 cup"], "all-purpose flour"),
        ("1-2 cloves garlic, minced", ["1-2 clove"], "garlic"),
        ("1 tablespoon plus 1 teaspoon soy sauce", ["1 tbsp", "1 tsp"], "soy sauce"),
        ("1 lb 4 oz ground beef", ["1 lb", "4 oz"], "ground beef"),
        ("2 cups flour, plus 2 tablespoons for dusting", ["2 cup", "2 tbsp"], "flour"),
        ("a pinch of nutmeg", ["1 pinch"], "nutmeg"),
        ("Pinch of salt", ["1 pinch"], "salt"),
        ("3 garlic cloves, minced", ["3 clove"], "garlic"),
        ("Flour - 2 cups", ["2 cup"], "Flour"),
        ("Butter: 100 g", ["100 g"], "Butter"),
        ("Chicken thighs (2 lb)", ["2 lb"], "Chicken thighs"),
        ("boneless, skinless chicken breasts, 1 1/2 pounds", ["3/2 lb"], "boneless skinless chicken breasts"),
        ("- 2 cups water", ["2 cup"], "water"),
        ("2 dl milk", ["200 mL"], "milk"),
        ("½ of a small onion", ["1/2"], "onion"),
    ],
)
def test_amounts_units_and_food_words(text: str, amounts: list[str], name: str) -> None:
    line = one(text)
    assert said(line) == amounts
    assert line.name == name


@pytest.mark.parametrize(
    ("text", "count", "each"),
    [
        ("1 (15 oz) can black beans, drained and rinsed", 1, "15 oz"),
        ("2 (14.5-ounce) cans tomatoes", 2, "29/2 oz"),
        ("1 can (6 oz) tomato paste", 1, "6 oz"),
        ("2 cans (15 ounces each) chickpeas", 2, "15 oz"),
        ("1 10-oz package frozen spinach", 1, "10 oz"),
        ("8-ounce package cream cheese", 1, "8 oz"),
        ("2 x 400 g tins chickpeas", 2, "400 g"),
        ("1 large (28-ounce) can crushed tomatoes", 1, "28 oz"),
        ("2 (6-ounce) salmon fillets", 2, "6 oz"),
    ],
)
def test_the_size_of_a_can_is_kept_apart_from_the_count(text: str, count: int, each: str) -> None:
    line = one(text)
    assert line.amounts[0].low == count
    assert line.each is not None
    assert line.each.unit is not None
    assert f"{line.each.low} {line.each.unit.name}" == each


@pytest.mark.parametrize(
    ("text", "same"),
    [("1 cup (240 g) yogurt", "240 g"), ("200g/7oz pasta", "7 oz"), ("1 cup / 240 ml milk", "240 mL"),
     ("3 medium carrots, sliced (about 2 cups)", "2 cup"), ("½ cup (1 stick) butter", "1 stick"),
     ("1 whole chicken, about 4 lb", "4 lb")],
)  # fmt: skip
def test_the_same_amount_said_otherwise_is_no_second_amount(text: str, same: str) -> None:
    line = one(text)
    assert len(line.amounts) == 1
    assert [f"{q.low} {q.unit.name}" for q in line.same_as if q.unit] == [same]


def test_juice_and_zest_of_a_fruit_are_foods_of_their_own() -> None:
    lines = parse_line("Zest and juice of 2 limes", WORDS)
    assert [(line.part, line.amounts[0].low) for line in lines] == [("zest", 2), ("juice", 2)]
    assert [line.part for line in parse_line("1 lemon, zested and juiced", WORDS)] == ["juice", "zest"]
    half = one("Juice of half a lemon (about 1 1/2 tablespoons)")
    assert half.amounts[0].low == Fraction(1, 2)
    assert half.same_as[0].low == Fraction(3, 2)
    assert one("2 tablespoons lemon juice").part == ""


def test_to_taste_has_no_amount_and_says_so() -> None:
    salt, pepper = parse_line("Salt and freshly ground black pepper, to taste", WORDS)
    assert (salt.name, pepper.name) == ("Salt", "freshly ground black pepper")
    assert salt.amounts == pepper.amounts == ()
    assert salt.undecided == "to taste"
    kept = one("1/4 teaspoon salt, or to taste")
    assert said(kept) == ["1/4 tsp"]
    assert one("a few sprigs of thyme").amounts == ()


def test_remarks_about_the_line() -> None:
    assert one("1/2 cup walnuts (optional)").optional
    assert one("1 cup flour, divided").divided
    assert one("fresh parsley, for garnish").garnish
    assert one("2 tbsp olive oil, plus more for greasing").extra == "plus more for greasing"
    assert one("2 tbsp olive oil, plus more for greasing").name == "olive oil"


def test_alternatives_and_what_they_borrow() -> None:
    assert one("1 cup butter or margarine").names == ("butter", "margarine")
    oil = one("1 cup vegetable or canola oil")
    assert (oil.names, oil.longer) == (("vegetable", "canola oil"), ("vegetable oil", ""))
    assert one("1 cup milk (whole or 2%)").doubts
    assert one("1 onion, sliced or diced").doubts == ()


def test_each_gives_every_food_the_amount() -> None:
    lines = parse_line("1 tsp each cumin, coriander and paprika", WORDS)
    assert [line.name for line in lines] == ["cumin", "coriander", "paprika"]
    assert all(said(line) == ["1 tsp"] for line in lines)


def test_a_second_amount_in_the_food_words_is_doubted() -> None:
    assert "another amount stands in the line" in one("1 cup flour mixed with 2 tbsp sugar").doubts
    assert one("1 lb 93% lean ground beef").doubts == ()


def test_an_empty_line_gives_nothing() -> None:
    assert parse_line("", WORDS) == ()
    assert parse_line(" -- ", WORDS) == ()


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=80))
def test_any_line_is_read_without_an_error_and_never_as_a_negative_amount(text: str) -> None:
    for line in parse_line(text, WORDS):
        assert all(q.low >= 0 and (q.high is None or q.high >= q.low) for q in line.amounts)


_NUMBERS = st.sampled_from(["1", "2", "1/2", "1 1/2", "½", "1½", "0.5", "1-2", "two", "half a"])
_UNITS = st.sampled_from(["cup", "cups", "tbsp", "Tbsp.", "teaspoons", "oz", "lb.", "g", "ml"])
_FOODS = st.sampled_from(["rolled oats", "olive oil", "kale", "black beans", "plain yogurt"])


@settings(deadline=None)
@given(_NUMBERS, _UNITS, _FOODS, st.sampled_from(["", ", chopped", " (optional)", ", divided"]))
def test_number_unit_food_are_found_whatever_follows(number: str, unit: str, food: str, tail: str) -> None:
    line = one(f"{number} {unit} {food}{tail}")
    assert line.name == food
    assert len(line.amounts) == 1
    assert line.amounts[0].unit is not None
    assert line.amounts[0].unit.factor > 0
