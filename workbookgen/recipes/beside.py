"""Recipes that a named recipe file uses as foods and that stand in the same folder: a stock, a sauce."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.recipe import Recipe
from workbookgen.recipes.load import SETTINGS_FILE, load_recipe


def dishes_beside(named: Sequence[Recipe], paths: Iterable[Path], is_food: Callable[[str], bool]) -> list[Recipe]:
    """Recipes of the folders of ``paths`` that ``named`` use as foods, and those that these use in turn.

    Only a name that is neither a food nor a named recipe makes the folder be read. A file there that cannot be
    read is passed over: nobody asked for it, and the line that needs it is refused by its own sentence.
    """
    have = {recipe.title.casefold() for recipe in named}
    files = {Path(recipe.path).resolve() for recipe in named if recipe.path}
    folders = dict.fromkeys(path.parent for path in paths if not path.is_dir())
    found: list[Recipe] = []
    pool: dict[str, Recipe] | None = None
    waiting = list(named)
    while waiting:
        for name in _used(waiting.pop()):
            if name in have or is_food(name):
                continue
            if pool is None:
                pool = {recipe.title.casefold(): recipe for recipe in _readable(folders, files)}
            if name in pool:
                have.add(name)
                found.append(pool[name])
                waiting.append(pool[name])
    return found


def _used(recipe: Recipe) -> list[str]:
    """Names of foods in the lines and variants of a recipe, small letters."""
    changes = (change for variant in recipe.variants for change in variant.changes)
    names = [*(line.food for line in recipe.lines), *(name for c in changes for name in (c.food, c.with_food))]
    return [name.casefold() for name in names if name]


def _readable(folders: Iterable[Path], but: set[Path]) -> list[Recipe]:
    recipes = []
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            if path.name == SETTINGS_FILE or path.resolve() in but:
                continue
            try:
                recipes.append(load_recipe(path))
            except (BadInput, BadInputs):
                continue
    return recipes
