"""Keeping: the kind of dish is found in order, and own lines take the place of the published ones."""

from __future__ import annotations

import pytest

from tests.dishes import dish, line
from workbookgen.nutrition.keeping import keeping_kind, keeping_lines
from workbookgen.nutrition.kitchen import Kitchen

RICE = line("Brown rice, long grain, dry", treatment="boiled, water used")
COD = line("Cod, Atlantic, raw", treatment="baked, juices kept")
EGG = line("Egg, whole, raw", treatment="hard-boiled")
BEEF = line("Ground beef, 95% lean, raw", treatment="broiled")
CHICKEN = line("Chicken thigh, no skin, raw", treatment="baked")
CARROT = line("Carrots, raw", treatment="boiled, drained")


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        ((CARROT,), "plant"), ((CHICKEN,), "poultry"), ((BEEF, CHICKEN), "meat"), ((EGG, BEEF), "egg"),
        ((COD, EGG), "fish"), ((RICE, COD), "rice"), ((line("Carrots, raw"),), "cold"),
    ],
)  # fmt: skip
def test_first_kind_whose_mark_is_found_counts(kitchen: Kitchen, lines: tuple, kind: str) -> None:  # type: ignore[type-arg]
    assert keeping_kind(kitchen.safety, dish(kitchen, *lines)).id == kind


def test_recipe_marked_as_soup_keeps_like_soup(kitchen: Kitchen) -> None:
    assert keeping_kind(kitchen.safety, dish(kitchen, RICE, COD, soup=True)).id == "soup"


def test_own_lines_take_the_place_of_the_published_ones(kitchen: Kitchen) -> None:
    assert (
        keeping_lines(kitchen.safety, dish(kitchen, CARROT))
        == keeping_kind(kitchen.safety, dish(kitchen, CARROT)).lines
    )
    assert keeping_lines(kitchen.safety, dish(kitchen, CARROT, storage=("Eat today.",))) == ("Eat today.",)


def test_dish_that_does_not_freeze_well_says_so(kitchen: Kitchen) -> None:
    cool, fridge, freeze, reheat = keeping_kind(kitchen.safety, dish(kitchen, line("Carrots, raw"))).lines
    assert freeze.startswith("Do not freeze")
    assert "3 to 4 days" in fridge
    assert "cold" in reheat
    assert "2 hours" in cool
