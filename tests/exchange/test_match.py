"""Which foods the words of a line mean."""

from __future__ import annotations

import pytest

from workbookgen.exchange.draft import draft_line
from workbookgen.exchange.draft_line import DraftedLine, LineDrafter
from workbookgen.exchange.food_words import flat, singular
from workbookgen.model.food import Food


def one(text: str, drafter: LineDrafter) -> DraftedLine:
    return draft_line(text, drafter)[0]


@pytest.mark.parametrize(
    ("text", "food"),
    [
        ("1 cup dry black beans", "Black beans, dry"),
        ("1 cup cooked black beans", "Black beans, boiled"),
        ("1 (15 oz) can chickpeas", "Chickpeas, canned, with liquid"),
        ("1 (15 oz) can chickpeas, drained", "Chickpeas, canned, drained"),
        ("1 (15 oz) can chickpeas, drained and rinsed", "Chickpeas, canned, rinsed"),
        ("1 cup frozen peas, thawed and drained", "Green peas, frozen"),
        ("1 cup quinoa, rinsed", "Quinoa, dry"),
        ("2 cups cooked quinoa", "Quinoa, cooked"),
        ("1 cup spinach, patted dry", "Spinach, raw"),
    ],
)
def test_state_words_weigh_heavily(text: str, food: str, drafter: LineDrafter) -> None:
    assert one(text, drafter).line.food == food


@pytest.mark.parametrize(
    ("text", "food"),
    [("1 cup 2% milk", "Milk, reduced fat 2%"), ("1 cup skim milk", "Milk, fat free"),
     ("1 cup whole milk", "Milk, whole"), ("2 tbsp lower-sodium soy sauce", "Soy sauce, reduced sodium"),
     ("1 stick unsalted butter", "Butter, unsalted"),
     ("1 lb 93% lean ground beef", "Ground beef, 93% lean, raw")],
)  # fmt: skip
def test_words_of_degree_choose_the_row(text: str, food: str, drafter: LineDrafter) -> None:
    drafted = one(text, drafter)
    assert drafted.line.food == food
    assert not drafted.line.review


def test_a_degree_the_table_lacks_goes_to_review(drafter: LineDrafter) -> None:
    assert one("4 cups low-sodium vegetable broth", drafter).line.review


def test_a_bare_word_that_leaves_much_open_goes_to_review(drafter: LineDrafter) -> None:
    for text in (
        "1 cup milk",
        "1 cup yogurt",
        "2 tbsp butter",
        "1 lb ground beef",
        "1 cup rice",
        "1 cup cheese",
    ):
        drafted = one(text, drafter)
        assert drafted.line.review, text
        assert len(drafted.line.candidates) > 1, text


def test_two_foods_nearly_alike_need_no_question(drafter: LineDrafter) -> None:
    drafted = one("2 cups cooked brown rice", drafter)
    assert drafted.found[1].score > drafted.found[0].score - drafter.sure["ahead"]
    assert not drafted.line.review


@pytest.mark.parametrize(
    "text", ["1 cup almond flour", "1 tsp lemon pepper", "2 tbsp nutritional yeast", "1 tsp xanthan gum"]
)
def test_a_food_the_table_lacks_is_never_taken_silently(text: str, drafter: LineDrafter) -> None:
    assert one(text, drafter).line.review


def test_mistyped_names_are_found(drafter: LineDrafter) -> None:
    assert one("2 cups brocolli florets", drafter).line.food == "Broccoli, raw"


def test_one_spelling_for_accents_plurals_and_hyphens() -> None:
    assert flat("Jalapeños, whole-wheat & crème") == "jalapeno whole wheat and creme"
    assert [singular(w) for w in ("tomatoes", "berries", "molasses", "leaves", "peas")] == [
        "tomato", "berry", "molasses", "leaf", "pea",
    ]  # fmt: skip


def test_every_default_names_a_food_of_the_table(drafter: LineDrafter) -> None:
    from workbookgen.catalogue.csvread import read_rows
    from workbookgen.catalogue.paths import data_path

    rows = read_rows(
        data_path("exchange", "defaults.csv"), ("words", "state", "units", "food", "sure", "why")
    )
    unknown = [row.text("food") for row in rows if row.text("food") not in drafter.matcher.by_name]
    assert unknown == []


def test_every_food_finds_itself_by_its_own_name(drafter: LineDrafter) -> None:
    """Its own name brings a food among the first three, states and degrees told as the name tells them."""
    missing: list[str] = []
    foods: list[Food] = list(drafter.kitchen.table.foods)
    for food in foods:
        head, _, rest = food.name.partition(", ")
        query = drafter.matcher.query(head, rest)
        if food.name not in [f.food.name for f in drafter.matcher.find(query, 3)]:
            missing.append(food.name)
    assert len(missing) <= len(foods) * 0.02, missing
