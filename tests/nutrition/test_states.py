"""Dry to cooked, raw to cooked, can to drained."""

from __future__ import annotations

import pytest

from workbookgen.model.analysis import Settings
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.lines import work_out_line
from workbookgen.nutrition.states import state_help


@pytest.mark.parametrize(("food", "amount", "unit", "treatment", "said"), [
    ("Black beans, dry", 0.75, "cup", "boiled, drained", "cooked about 378 g, 2 1/4 cups"),
    ("Black beans, dry", 0.75, "cup", "none", "cooked about 378 g, 2 1/4 cups"),
    ("Beef flank steak, raw", 1, "lb", "broiled", "cooked about 349 g"),
    ("Beef flank steak, raw", 1, "lb", "none", "cooked about 349 g (roasted)"),
    ("Chickpeas, canned, with liquid", 1, "can (15 oz)", "none", "drained about 240 g: Chickpeas, canned, drained"),
    ("Black beans, canned, with liquid", 1, "can (15 oz)", "none", "drained about 255 g"),
    ("Kale, raw", 1, "cup, 1 in pieces", "none", ""), ("All-purpose flour, enriched, bleached", 1, "cup", "none", ""),
])  # fmt: skip
def test_help_beside_a_line(kitchen: Kitchen, food: str, amount: float, unit: str, treatment: str, said: str) -> None:
    line = work_out_line(kitchen, IngredientLine(food, amount, unit, treatment=treatment), Settings(), "test")
    assert state_help(kitchen, line) == said


def test_a_line_that_does_not_count_says_nothing(kitchen: Kitchen) -> None:
    line = work_out_line(kitchen, IngredientLine("Black beans, dry", 1, "cup", include=False), Settings(), "test")
    assert state_help(kitchen, line) == ""
