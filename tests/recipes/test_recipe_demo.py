"""The demo recipes, the blank recipe and the examples in the code."""

from __future__ import annotations

import doctest
import importlib
import re

import pytest
from recipe_texts import sentences

from workbookgen.catalogue.foods import load_foods
from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.errors import BadInput
from workbookgen.recipes import load, parts
from workbookgen.recipes.check import check_recipe, resolve_recipes
from workbookgen.recipes.load import load_recipes, recipe_from_text
from workbookgen.recipes.save import recipe_text

FILES = sorted(path.name for path in data_path("demo").glob("*.toml") if path.name != load.SETTINGS_FILE)


@pytest.fixture(scope="module")
def recipes() -> dict[str, load.Recipe]:
    return dict(zip(FILES, load_recipes([data_path("demo")]), strict=True))


def test_every_demo_recipe_fits_the_catalogue(recipes: dict[str, load.Recipe]) -> None:
    foods, tables = load_foods("kitchen"), load_tables()
    assert [
        str(e) for r in recipes.values() for e in check_recipe(r, foods, tables, list(recipes.values()))
    ] == []
    assert len(resolve_recipes(list(recipes.values()), foods, tables)) == len(FILES) >= 10


@pytest.mark.parametrize("name", FILES)
def test_a_demo_recipe_is_complete(name: str, recipes: dict[str, load.Recipe]) -> None:
    recipe = recipes[name]
    assert recipe.method
    assert recipe.storage
    assert recipe.targets or recipe.component
    assert recipe.serving_text
    assert recipe.prep_minutes is not None
    assert any(note.source for note in recipe.notes)
    assert any(line.section for line in recipe.lines)


@pytest.mark.parametrize("name", FILES)
def test_a_demo_recipe_survives_saving(name: str, recipes: dict[str, load.Recipe]) -> None:
    assert recipe_from_text(recipe_text(recipes[name]), name, recipes[name].path) == recipes[name]


def test_the_demo_shows_every_part_of_a_recipe_file(recipes: dict[str, load.Recipe]) -> None:
    lines = [line for recipe in recipes.values() for line in recipe.lines]
    assert {line.water for line in lines} == {"", "absorbed", "stays", "poured off"}
    for mark in ("optional", "held_back", "garnish"):
        assert any(getattr(line, mark) for line in lines), mark
    assert any(line.amount_low is not None for line in lines)
    assert any(line.share_eaten_pct < 100 for line in lines)
    assert any(line.basis == "as purchased" for line in lines)
    assert any(recipe.makes_cups for recipe in recipes.values())


def _with_every_key() -> str:
    """The blank recipe filled in, all keys uncommented but the two that exclude each other."""
    text = template_path("recipe.toml").read_text(encoding="utf-8")
    text = re.sub(r"^# serving_g.*\n", "", text, flags=re.M)
    text = re.sub(r"^# ?(?=\S|    )", "", text, flags=re.M)
    return re.sub(r"^# .*\n", "", text, flags=re.M)


def test_the_blank_recipe_asks_for_what_is_missing() -> None:
    text = template_path("recipe.toml").read_text(encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        recipe_from_text(text, "recipe.toml")
    said = [sentence.partition(": ")[2].split(";")[0] for sentence in sentences(caught.value)]
    assert said == ["the title is missing", "the food is missing", "the amount is blank"]


def test_the_blank_recipe_documents_every_key_and_reads_once_filled_in() -> None:
    text = _with_every_key()
    filled = text.replace('title = ""', 'title = "X"').replace('food = ""', 'food = "Onions, raw"')
    recipe = recipe_from_text(filled.replace('amount = ""', 'amount = "2-3"'), "recipe.toml")
    assert recipe.lines[0].amount == 3.0
    shown = template_path("recipe.toml").read_text(encoding="utf-8")
    known = (*load.KEYS, *parts.INGREDIENT_KEYS, *parts.CHANGE_KEYS, *parts.REVIEW_KEYS)
    missing = [key for key in known if not re.search(rf"\b{key}( =|\])", shown)]
    assert missing == []


@pytest.mark.parametrize("name", ["amounts", "units", "positions", "load"])
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(f"workbookgen.recipes.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
