"""Allergens: contains, not known, no; which lines count; the sentences; suitability."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line, with_food
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.allergens import AllergenReport, allergen_report
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.markers import allergen_markers, dish_marks, line_counts, marker_text

RICE, MILK, WALNUTS = "Brown rice, long grain, dry", "Milk, whole", "Walnuts, english, raw"
SOY_SAUCE, BARLEY = "Soy sauce", "Barley, pearled, dry"


def states(report: AllergenReport) -> dict[str, str]:
    return {s.allergen.id: s.state for s in report.states}


def test_plain_foods_bring_no_allergen_and_the_sentence_claims_no_more(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line(RICE)))
    assert set(states(report).values()) == {"no"}
    assert report.contains == "Contains: no listed allergen named in the ingredients."
    assert report.unchecked == ""
    assert "free" not in report.contains.lower()


def test_kind_of_nut_and_species_are_named_in_table_order(kitchen: Kitchen) -> None:
    lines = [
        line(n)
        for n in (
            "Walnuts, english, raw",
            "Salmon, Atlantic, farmed, raw",
            "Cod, Atlantic, raw",
            "Shrimp, raw",
        )
    ]
    report = allergen_report(kitchen.safety, dish(kitchen, *lines))
    assert (
        report.contains == "Contains: fish (cod, salmon), crustacean shellfish (shrimp), tree nuts (walnut)."
    )


def test_kind_that_the_food_does_not_tell_is_said_to_be_missing(kitchen: Kitchen) -> None:
    analysis = with_food(dish(kitchen, line(RICE), line("Cod, Atlantic, raw")), 0, allergens="+fish;?*;")
    report = allergen_report(kitchen.safety, analysis)
    assert report.contains == "Contains: fish (cod, kind not named)."


def test_kind_outside_the_table_is_said_to_be_missing(kitchen: Kitchen) -> None:
    report = allergen_report(
        kitchen.safety, with_food(dish(kitchen, line(RICE)), 0, allergens="+fish(barramundi);")
    )
    assert report.contains == "Contains: fish (kind not named)."


def test_processed_food_leaves_every_other_allergen_open_and_is_named(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line(SOY_SAUCE)))
    found = states(report)
    assert found["soy"] == found["wheat"] == "contains"
    assert found["milk"] == found["peanut"] == found["celery"] == "not known"
    assert report.unchecked.startswith(
        "Not checked: milk, eggs, fish, crustacean shellfish, tree nuts, peanuts, sesame"
    )
    assert SOY_SAUCE in report.unchecked


def test_contains_wins_over_not_known(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line(SOY_SAUCE), line(MILK)))
    assert states(report)["milk"] == "contains"
    assert "milk" not in report.unchecked


def test_food_that_says_nothing_at_all_is_not_known_in_the_workbook_text(kitchen: Kitchen) -> None:
    assert marker_text(kitchen.food_by_name[RICE.lower()], kitchen.safety) == "-;"


@pytest.mark.parametrize(
    ("marks", "counts"),
    [
        ({}, True),
        ({"include": False}, False),
        ({"include": False, "optional": True}, True),
        ({"include": False, "garnish": True}, True),
        ({"include": False, "held_back": True}, True),
        ({"optional": True}, True),
    ],
)
def test_lines_count_when_included_or_marked(kitchen: Kitchen, marks: dict[str, bool], counts: bool) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line(RICE), line(MILK, **marks)))
    assert line_counts(line(MILK, **marks)) is counts
    assert states(report)["milk"] == ("contains" if counts else "no")


def test_gluten_stands_apart_on_the_us_list_and_on_the_list_of_the_eu(kitchen: Kitchen) -> None:
    lines = (line(BARLEY), line("Celery, raw"))
    us = allergen_report(kitchen.safety, dish(kitchen, *lines))
    assert us.apart == "Gluten: contains gluten-containing grains (barley)."
    assert us.contains == "Contains: no listed allergen found so far."  # barley leaves wheat open
    eu = allergen_report(kitchen.safety, dish(kitchen, *lines, reference_set="eu_nrv"))
    assert eu.apart == ""
    assert eu.contains == "Contains: cereals containing gluten (barley), celery."


def test_gluten_line_without_any_grain_makes_no_claim(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line(RICE)))
    assert report.apart == "Gluten: no gluten-containing grain named; not tested, so no gluten-free claim."


def test_wheat_is_named_among_the_cereals(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, line("Bulgur, dry"), line(BARLEY)))
    assert report.contains == "Contains: wheat."
    assert report.apart == "Gluten: contains gluten-containing grains (wheat, barley)."


def test_sets_that_are_not_american_use_the_longer_list(kitchen: Kitchen) -> None:
    assert [kitchen.safety.allergen_list(s.id) for s in kitchen.tables.reference_sets] == [
        "us",
        "us",
        "us",
        "eu",
        "eu",
        "eu",
    ]
    assert kitchen.safety.allergen_list("somewhere else") == "eu"


@given(
    st.lists(st.sampled_from(("+milk;", "?milk;", "?*;", "", "-;", "+egg;?milk;")), min_size=1, max_size=6)
)
def test_state_is_the_worst_of_the_lines(kitchen: Kitchen, markers: list[str]) -> None:
    analysis = dish(kitchen, *(line(RICE) for _ in markers))
    for i, text in enumerate(markers):
        analysis = with_food(analysis, i, allergens=text)
    found = states(allergen_report(kitchen.safety, analysis))["milk"]
    sure, open_ = any("+milk" in m for m in markers), any("?milk" in m or "?*" in m for m in markers)
    assert found == ("contains" if sure else "not known" if open_ else "no")


def test_kinds_with_commas_become_several_markers(kitchen: Kitchen) -> None:
    food = with_food(dish(kitchen, line(RICE)), 0, allergens="+tree_nut(almond, pecan);").lines[0].food
    assert allergen_markers(food, kitchen.safety) == ("+tree_nut(almond)", "+tree_nut(pecan)")


@pytest.mark.parametrize(
    ("foods", "expected"),
    [
        ((RICE,), ("yes", "yes", "yes", "yes")),
        ((MILK,), ("yes", "no", "yes", "yes")),
        (("Honey",), ("yes", "no", "yes", "yes")),
        (("Egg, whole, raw",), ("yes", "no", "yes", "yes")),
        (("Cod, Atlantic, raw",), ("no", "no", "yes", "yes")),
        (("Pork tenderloin, lean, raw",), ("no", "no", "no", "yes")),
        (("Ground beef, 95% lean, raw",), ("no", "no", "yes", "yes")),
        (("Rum, 80 proof",), ("yes", "yes", "yes", "no")),
        (("Wine, red",), ("not known", "not known", "not known", "no")),
        ((RICE, "Whole wheat bread"), ("not known", "not known", "not known", "not known")),
    ],
)
def test_suitability_has_three_answers(
    kitchen: Kitchen, foods: tuple[str, ...], expected: tuple[str, ...]
) -> None:
    report = allergen_report(kitchen.safety, dish(kitchen, *(line(n) for n in foods)))
    assert tuple(s.state for s in report.suitability) == expected


def test_gelatin_leaves_pork_open_and_is_not_vegetarian(kitchen: Kitchen) -> None:
    report = allergen_report(kitchen.safety, with_food(dish(kitchen, line(RICE)), 0, diet="gelatin"))
    assert [s.state for s in report.suitability] == ["no", "no", "not known", "yes"]


@pytest.mark.parametrize("diet", ["", "?", "plant;?", "beef", "plant;something new"])
def test_diet_words_nobody_knows_never_answer_yes(kitchen: Kitchen, diet: str) -> None:
    report = allergen_report(kitchen.safety, with_food(dish(kitchen, line(RICE)), 0, diet=diet))
    assert {s.state for s in report.suitability} == {"not known"}


def test_every_kind_in_the_food_tables_is_known(kitchen: Kitchen) -> None:
    known = {(k.allergen, k.kind) for k in kitchen.safety.kinds}
    for food in kitchen.table.foods:
        for marker in allergen_markers(food, kitchen.safety):
            head, bar, rest = marker.partition("(")
            if bar:
                assert (head[1:], rest.rstrip(")")) in known, food.name


def test_diet_words_of_the_food_tables_are_all_in_the_rules(kitchen: Kitchen) -> None:
    known = {*kitchen.safety.diet_words, "?"}
    assert {w for f in kitchen.table.foods for w in f.diet.split(";") if w} <= known


def test_line_without_food_row_is_left_to_the_sheet() -> None:
    assert line_counts(IngredientLine(food="no such food", amount=1, unit="g"))


def test_finished_dish_tells_what_it_contains_leaves_open_and_of_which_kind(kitchen: Kitchen) -> None:
    lines = (
        line(WALNUTS),
        line(BARLEY),
        line("Cod, Atlantic, raw", include=False, garnish=True),
        line(MILK, include=False),
    )
    allergens, diet, cautions = dish_marks(dish(kitchen, *lines).lines, kitchen.safety)
    assert allergens == "?wheat;+fish(cod);+tree_nut(walnut);+gluten(barley);-;"
    assert diet == "plant;fish"
    assert "<choking_whole_nut>" in cautions
    assert "<raw_fish!>" in cautions


def test_kind_that_a_dish_cannot_tell_stays_untold(kitchen: Kitchen) -> None:
    analysis = with_food(dish(kitchen, line(RICE), line("Cod, Atlantic, raw")), 0, allergens="+fish;")
    assert dish_marks(analysis.lines, kitchen.safety)[0] == "+fish;+fish(cod);-;"
