"""Searching foods as a cook types."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.catalogue.foods import load_foods
from workbookgen.catalogue.search import find_foods, words_of

FOODS = load_foods().foods
USDA = load_foods("usda").foods


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("black beans", "Black beans, dry"),
        ("kale", "Kale, raw"),
        ("onion", "Onions, raw"),
        ("brown rice", "Brown rice, long grain, dry"),
        ("egg", "Egg, whole, raw"),
        ("scallion", "Scallions, raw"),
        ("olive oil", "Olive oil"),
        ("soy sauce", "Soy sauce"),
        ("garbanzo", "Chickpeas, dry"),
        ("aubergine", "Eggplant, raw"),
        ("skim milk", "Milk, fat free"),
    ],
)
def test_a_cooks_words_find_the_food(text: str, first: str) -> None:
    assert find_foods(FOODS, text)[0].food.name == first


@pytest.mark.parametrize(
    ("slip", "first"),
    [("brocoli", "Broccoli, raw"), ("quinao", "Quinoa, dry"), ("zuchini", "Zucchini, with skin, raw"),
     ("oilve oil", "Olive oil"), ("chikpeas", "Chickpeas, dry")],
)  # fmt: skip
def test_slips_of_the_finger_are_forgiven(slip: str, first: str) -> None:
    assert find_foods(FOODS, slip)[0].food.name == first


def test_a_word_typed_right_brings_no_lookalikes() -> None:
    assert not [hit for hit in find_foods(FOODS, "scallion") if "Scallop" in hit.food.name]


def test_every_typed_word_must_be_there() -> None:
    assert all("dry" in words_of(hit.food.name) for hit in find_foods(FOODS, "black beans dry"))


@pytest.mark.parametrize("text", ["", "  ", "***", "xyzzy"])
def test_nothing_is_found_for_nothing(text: str) -> None:
    assert find_foods(FOODS, text) == []


def test_the_whole_table_is_searched_by_description() -> None:
    hits = find_foods(USDA, "caribou")
    assert hits
    assert all("caribou" in (hit.food.name + hit.food.source_description).lower() for hit in hits)


@given(st.text(max_size=30))
def test_any_text_gives_an_ordered_answer(text: str) -> None:
    hits = find_foods(FOODS[:60], text, limit=5)
    assert len(hits) <= 5
    assert [hit.score for hit in hits] == sorted((hit.score for hit in hits), reverse=True)
