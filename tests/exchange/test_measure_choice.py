"""Units of the food table, cans, weights in brackets, weights as bought."""

from __future__ import annotations

import pytest

from workbookgen.exchange.draft import draft_line
from workbookgen.exchange.draft_line import DraftedLine, LineDrafter
from workbookgen.exchange.measured import amount_words
from workbookgen.nutrition.amounts import grams_per_unit
from workbookgen.recipes.amounts import parse_amount


def one(text: str, drafter: LineDrafter) -> DraftedLine:
    return draft_line(text, drafter)[0]


@pytest.mark.parametrize(
    ("text", "unit", "grams"),
    [
        # household measures of the USDA National Nutrient Database for Standard Reference, Release 28 (2015)
        ("2 large eggs", "large", 100),
        ("2 eggs", "large", 100),
        ("1 cup chopped onion", "cup, chopped", 160),
        ("1 cup sliced onion", "cup, sliced", 115),
        ("1 medium onion", "medium", 110),
        ("3 garlic cloves", "clove", 9),
        ("1 cup shredded cheddar", "cup, shredded", 113),
        ("juice of 1 lemon", "juice of 1 lemon", 48),
        ("1 cup cherry tomatoes", "cup, cherry tomatoes", 149),
        ("1 stick unsalted butter", "stick", 113),
        ("1 lb 4 oz potatoes", "lb", 566.99),
    ],
)
def test_the_measure_of_the_food_table_is_chosen(
    text: str, unit: str, grams: float, drafter: LineDrafter
) -> None:
    drafted = one(text, drafter)
    assert drafted.line.unit == unit
    assert drafted.grams == pytest.approx(grams, abs=0.01)


def test_a_spoon_of_a_cut_food_is_a_share_of_its_cup(drafter: LineDrafter) -> None:
    drafted = one("2 tbsp shredded cheddar cheese", drafter)
    assert (drafted.line.amount, drafted.line.unit) == (0.125, "cup, shredded")


def test_a_drained_can_weighs_less_than_its_label_says(drafter: LineDrafter) -> None:
    drafted = one("1 (15 oz) can chickpeas, drained", drafter)
    assert drafted.grams is not None
    assert 0.5 * 425 < drafted.grams < 0.65 * 425
    with_liquid = one("1 (15 oz) can chickpeas", drafter)
    assert with_liquid.grams == pytest.approx(425, abs=1)


def test_a_conflict_between_measure_and_weight_is_reported(drafter: LineDrafter) -> None:
    drafted = one("1 cup (500 g) rolled oats", drafter)
    assert drafted.line.review
    assert any("do not agree" in reason for reason in drafted.reasons)
    assert not one("3/4 cup (150 grams) sugar", drafter).line.review


def test_a_weight_in_brackets_serves_where_the_measure_is_not_known(drafter: LineDrafter) -> None:
    drafted = one("1 bunch kale (about 8 oz)", drafter)
    assert (drafted.line.amount, drafted.line.unit) == (8, "oz")


def test_an_amount_that_is_not_told_is_never_taken_as_zero_or_sure(drafter: LineDrafter) -> None:
    for text in (
        "salt to taste",
        "olive oil",
        "a handful of spinach",
        "parsley, for garnish",
        "1 bunch kale",
    ):
        drafted = one(text, drafter)
        assert drafted.grams is None, text
        assert drafted.line.review, text
        assert drafted.reasons, text


def test_more_for_greasing_is_a_line_of_its_own_without_amount(drafter: LineDrafter) -> None:
    first, more = draft_line("2 tbsp olive oil, plus more for greasing", drafter)
    assert first.grams == pytest.approx(27, abs=0.1)
    assert not first.line.review
    assert (more.line.food, more.line.review, more.grams) == ("Olive oil", True, None)


def test_a_weight_with_shell_or_peel_is_taken_as_bought(drafter: LineDrafter) -> None:
    bought = one("1 lb bananas", drafter)
    assert bought.line.basis == "as purchased"
    assert bought.grams is not None
    assert bought.grams < 453.6
    assert one("1 lb peeled bananas", drafter).line.basis == "edible"
    assert one("1 lb carrots", drafter).line.basis == "edible"


def test_a_range_keeps_both_ends_and_counts_the_lower(drafter: LineDrafter) -> None:
    line = one("1-2 cloves garlic", drafter).line
    assert (line.amount, line.amount_low, line.amount_high, line.amount_text) == (1, 1, 2, "1-2")


def test_large_weights_go_into_larger_units(drafter: LineDrafter) -> None:
    line = one("6000 g potatoes", drafter).line
    assert (line.amount, line.unit) == (6, "kg")


@pytest.mark.parametrize("text", ["1 1/2", "2-3", "1/3", "0.35", "1/2-3/4"])
def test_amounts_are_written_as_they_are_read(text: str) -> None:
    from fractions import Fraction

    amount = parse_amount(text)
    low = Fraction(amount.low if amount.low is not None else amount.value).limit_denominator(1000)
    high = Fraction(amount.high).limit_denominator(1000) if amount.high is not None else None
    assert amount_words(low, high) == text


def test_every_sure_unit_is_one_the_food_offers(drafter: LineDrafter) -> None:
    from workbookgen.catalogue.paths import data_path
    from workbookgen.exchange.accuracy import LINES, read_lines

    for expected in read_lines(data_path().parent.joinpath(*LINES)):
        for drafted in draft_line(expected.text, drafter):
            if not drafted.line.review:
                food = drafter.kitchen.food_by_name[drafted.line.food.lower()]
                assert grams_per_unit(drafter.kitchen, food, drafted.line.unit), drafted.text
