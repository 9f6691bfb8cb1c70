"""The check number of a sign-off notices what changes the figures, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.generate import random_recipe
from workbookgen.model.analysis import Settings
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.review import check_number, review_status

POT = Recipe("Pot", 4, (IngredientLine("Black beans, dry", 1, "cup", treatment="boiled, drained"), IngredientLine("Onions, raw", 2, "cup, chopped"),
                        IngredientLine("Beef flank steak, raw", 1, "lb", treatment="roasted")))  # fmt: skip


def number(kitchen: Kitchen, recipe: Recipe) -> int:
    return check_number(kitchen, analyse_recipe(kitchen, recipe, Settings()))


def changed(i: int, **changes: object) -> Recipe:
    lines = list(POT.lines)
    lines[i] = replace(lines[i], **changes)  # type: ignore[arg-type]
    return replace(POT, lines=tuple(lines))


@pytest.mark.parametrize("recipe", [
    changed(0, amount=1.25), changed(0, unit="g", amount=194.0), changed(1, food="Leeks, raw", unit="g", amount=320.0), changed(0, include=False),
    changed(1, share_eaten_pct=90.0), changed(1, basis="as purchased"), changed(2, treatment="baked"), changed(1, role="starchy vegetable"),
    changed(1, garnish=True), replace(POT, servings=5), replace(POT, cooked_weight_g=900.0), replace(POT, cup_weight_g=240.0),
    replace(POT, legumes_as="vegetable"), replace(POT, lines=(POT.lines[1], POT.lines[0], POT.lines[2])),
])  # fmt: skip
def test_every_change_of_an_input_changes_the_number(kitchen: Kitchen, recipe: Recipe) -> None:
    assert number(kitchen, recipe) != number(kitchen, POT)


def test_going_back_gives_the_same_number(kitchen: Kitchen) -> None:
    assert number(kitchen, changed(0, amount=1.0)) == number(kitchen, POT)


def test_texts_are_not_covered(kitchen: Kitchen) -> None:
    assert number(kitchen, replace(POT, title="Other", method=("Cook.",))) == number(kitchen, POT)


def test_a_table_sorted_anew_leaves_the_number(kitchen: Kitchen) -> None:
    turned = replace(kitchen, table=replace(kitchen.table, foods=tuple(reversed(kitchen.table.foods))))
    for i in range(4):
        recipe = random_recipe(kitchen, i)
        assert number(turned, recipe) == number(kitchen, recipe)


def test_new_data_change_the_number(kitchen: Kitchen) -> None:
    foods = tuple(replace(f, values=dict(f.values) | {"FE": 9.9}) if f.name == "Onions, raw" else f for f in kitchen.table.foods)
    assert number(replace(kitchen, table=replace(kitchen.table, foods=foods)), POT) != number(kitchen, POT)


@pytest.mark.parametrize(("reviewer", "typed", "status"), [
    ("", None, "not reviewed"), ("A. Rowan", None, "reviewed by name only: type the check number"), ("A. Rowan", 5.0, "as reviewed"),
    ("", 5.0, "as reviewed"), ("A. Rowan", 6.0, "changed since review"),
])  # fmt: skip
def test_status(reviewer: str, typed: float | None, status: str) -> None:
    assert review_status(reviewer, typed, 5) == status
