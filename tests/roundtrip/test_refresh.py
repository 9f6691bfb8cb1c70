"""Refresh keeps every edit; with nothing new it changes nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.roundtrip.conftest import Edit, Small
from workbookgen.model.food import FoodTable
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.roundtrip.extract import extract
from workbookgen.roundtrip.figures import CODE, Difference, Figures, alike, differences, read_figures, table
from workbookgen.roundtrip.foods_map import FoodKey, foods_of, map_foods, renamed_recipe, renamed_table
from workbookgen.roundtrip.record import read_edited
from workbookgen.roundtrip.refresh import rebuild
from workbookgen.roundtrip.safe import read_safely
from workbookgen.verify import verify

POT = "Bean pot"


def renamed(kitchen: Kitchen, old: str, new: str) -> Kitchen:
    """The kitchen after the food table gave a food another name."""
    foods = tuple(replace(f, name=new) if f.name == old else f for f in kitchen.table.foods)
    return replace(kitchen, table=FoodTable(kitchen.table.name, foods, kitchen.table.measures, kitchen.table.details))


@pytest.mark.long
def test_refresh_with_nothing_new_gives_the_same_bytes(small_book: Small, tmp_path: Path) -> None:
    found = extract(small_book.path, small_book.kitchen)
    mapped = map_foods(foods_of(found.edited.book), small_book.kitchen)
    assert rebuild(found, small_book.kitchen, mapped, tmp_path / "new.xlsx", None) == []
    assert (tmp_path / "new.xlsx").read_bytes() == small_book.path.read_bytes()


@pytest.mark.long
def test_refresh_keeps_every_edit_and_follows_a_renamed_food(small_book: Small, edited: Edit, tmp_path: Path) -> None:
    path = edited({
        (POT, "line.amount 1"): 5, (POT, "line.food 2"): "Olive oil, cold", (POT, "servings"): "six", ("Find", "B5"): "kale",
        ("Card Bean pot", "A7"): "=a line of ours",
    })  # fmt: skip
    kitchen = renamed(small_book.kitchen, "Kale, raw", "Curly kale, raw")
    found = extract(path, kitchen)
    mapped = map_foods(foods_of(found.edited.book), kitchen)
    assert mapped.name("Kale, raw") == "Curly kale, raw"
    out = tmp_path / "new.xlsx"
    lost = rebuild(found, kitchen, mapped, out, None)
    assert any("Olive oil, cold" in line and "stands last" in line for line in lost)
    assert verify(out, ["formualizer"]).ok
    again = extract(out, kitchen)
    assert {(c.sheet, c.field, c.new) for c in again.changes if not c.field.startswith("line.")} == {
        (POT, "servings", "six"), ("Find", "", "kale"), ("Card Bean pot", "", "=a line of ours")}  # fmt: skip
    lines = again.recipes["a-pot.toml"].lines
    assert [line.food for line in lines] == ["Onions, raw", "Water, tap", "Curly kale, raw", "Olive oil, cold"]
    assert lines[0].amount == 5
    assert lines[3].amount == 1.5
    told = differences(read_figures(found.edited.book), read_figures(read_safely(out), proven=True))
    assert not [d for d in told if d.recipe == POT and d.what.startswith("Sodium")]


def test_a_food_is_found_by_id_then_by_number_never_by_likeness(kitchen: Kitchen) -> None:
    food = kitchen.fixed_foods[0]
    mapped = map_foods([FoodKey("Old name", food.id, ""), FoodKey("Other", "?", food.source_number), FoodKey(food.name, "?", "")], kitchen)
    assert (mapped.name("old NAME"), mapped.name("Other")) == (food.name, food.name)
    assert food.name.casefold() in mapped.gone
    recipe = Recipe("T", 1, (IngredientLine("Old name", 1, "g"),), settings=(("plate_mend_1", "Other"), ("mood", "Other")))
    assert renamed_recipe(recipe, mapped).lines[0].food == food.name
    assert dict(renamed_recipe(recipe, mapped).settings) == {"plate_mend_1": food.name, "mood": "Other"}
    assert renamed_table("food,unit\nOther,cup\n", "food", mapped).splitlines()[1].endswith(",cup")


def test_every_fixed_food_of_a_book_is_known_by_its_id(small_book: Small) -> None:
    keys = foods_of(read_edited(small_book.path).book)
    assert {(k.name, k.id) for k in keys} == {(f.name, f.id) for f in small_book.kitchen.fixed_foods}


def test_differences_tell_flips_first_and_recipes_that_came_or_went() -> None:
    old = Figures({"A": {"Iron, mg": ("figure", 2.0), "Statement: Low fat": (CODE, "holds")}, "Gone": {}}, True)
    new = Figures({"a": {"Iron, mg": ("figure", 3.0), "Statement: Low fat": (CODE, "does not hold")}, "New": {}}, True)
    found = differences(old, new)
    assert [(d.recipe, d.what) for d in found] == [
        ("a", "Iron, mg"), ("a", "Statement: Low fat"), ("Gone", "the recipe"), ("New", "the recipe")]  # fmt: skip
    lines = table(found)
    assert lines[2:4] == ["  Statement: Low fat: holds -> does not hold", "  Iron, mg: 2 -> 3 (+50.0 %)"]
    assert table([]) == ["No figure and no verdict differs."]


@pytest.mark.parametrize(("one", "other", "same"), [(1.0, 1.0 + 1e-12, True), (1.0, 1.001, False), (None, "", True), ("a", "b", False)])
def test_engine_noise_is_no_difference(one: float, other: float, same: bool) -> None:
    assert alike(one, other) is same
    assert isinstance(Difference("r", "w", "k", one, other), Difference)
