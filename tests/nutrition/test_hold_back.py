"""As served and as frozen: what is held back when freezing."""

from __future__ import annotations

import pytest

from tests.dishes import dish, line
from workbookgen.nutrition.hold_back import as_frozen, serving_as_frozen
from workbookgen.nutrition.kitchen import Kitchen

BEANS, CHEESE = "Red kidney beans, boiled", "Parmesan, grated"


def test_held_back_lines_are_missing_from_what_is_frozen(kitchen: Kitchen) -> None:
    whole = dish(kitchen, line(BEANS, 300), line(CHEESE, 40, held_back=True), servings=2)
    rest = dish(kitchen, line(BEANS, 300), servings=2)
    for tag in ("ENERC_KCAL", "PROCNT", "CA", "NA"):
        found = as_frozen(whole, tag)
        assert found.served == whole.nutrients[tag].serving
        assert found.frozen == pytest.approx(rest.nutrients[tag].serving)
        assert found.coverage == pytest.approx(rest.nutrients[tag].coverage)
    assert serving_as_frozen(whole) == pytest.approx(150)


def test_without_held_back_lines_both_sets_of_numbers_are_the_same(kitchen: Kitchen) -> None:
    found = as_frozen(dish(kitchen, line(BEANS, 300), line(CHEESE, 40)), "CA")
    assert found.served == found.frozen
    assert found.held_pct == 0


def test_a_garnish_is_not_held_back(kitchen: Kitchen) -> None:
    """The sheet's mark says garnish then; a line has one mark."""
    found = as_frozen(dish(kitchen, line(BEANS, 300), line(CHEESE, 40, held_back=True, garnish=True)), "CA")
    assert found.served == found.frozen


def test_an_unknown_that_is_held_back_no_longer_makes_the_rest_at_least(kitchen: Kitchen) -> None:
    known, unknown = "Butter, salted", "Walnuts, english, raw"  # walnuts have no value for trans fat
    whole = dish(kitchen, line(known, 50), line(unknown, 50, held_back=True))
    assert whole.nutrients["FATRN"].reads == "at least"
    assert as_frozen(whole, "FATRN").reads == ""
    kept = dish(kitchen, line(known, 50, held_back=True), line(unknown, 50))
    assert as_frozen(kept, "FATRN").reads == "at least"
    assert as_frozen(kept, "FATRN").coverage == 0


def test_everything_held_back_leaves_nothing(kitchen: Kitchen) -> None:
    found = as_frozen(dish(kitchen, line(CHEESE, 40, held_back=True)), "CA")
    assert found.frozen == 0
    assert found.coverage == 0
    assert found.held_pct == 100
