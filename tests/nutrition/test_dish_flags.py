"""A dish inside a dish tells whether it holds added salt or sugar, and says "unknown" rather than "no" in doubt."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.dishes import dish, line, with_food
from workbookgen.nutrition.dish import dish_food
from workbookgen.nutrition.kitchen import Kitchen


@pytest.mark.parametrize(
    ("flags", "told"),
    [(("no", "no"), "no"), (("no", "yes"), "yes"), (("no", "unknown"), "unknown"), (("yes", "unknown"), "yes"), (("no", ""), "unknown")],
)
def test_salt_and_sugar_travel_with_the_dish(kitchen: Kitchen, flags: tuple[str, str], told: str) -> None:
    analysis = dish(kitchen, line("Kale, raw"), line("Onions, raw"), line("Salt, table", 5, include=False))
    for number, flag in enumerate(flags):
        analysis = with_food(analysis, number, salt_ingredient=flag, sugar_ingredient=flag)
    food, _ = dish_food(kitchen, replace(analysis, recipe=replace(analysis.recipe, title="Stock")), 1)
    assert (food.salt_ingredient, food.sugar_ingredient) == (told, told)
