"""The four functions of the package for programs: load, analyse, build, verify.

They are what ``from workbookgen import load, analyse, build, verify`` gives. Every function raises
``workbookgen.model.errors.BadInput`` (a sentence with place and mend) for what a user gave, and nothing else.

>>> from workbookgen import load, analyse
>>> book = load()
>>> len(book)
11
>>> dish = analyse(book, "Fruit and walnut slaw")
>>> fibre = dish.nutrients["FIBTG"]
>>> round(fibre.serving, 1), fibre.reads, fibre.coverage
(4.5, '', 1.0)

A figure whose ``reads`` is "at least" or "at most" must not be shown without these words:

>>> starch = dish.nutrients["STARCH"]
>>> f"{starch.reads} {starch.serving:.1f} g, {starch.coverage:.0%} of the weight known"
'at least 0.5 g, 94% of the weight known'
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.paths import data_path
from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import with_variants
from workbookgen.session import (
    DEMO_FOLDER,
    BuiltFile,
    build_recipes,
    load_kitchen,
    load_named,
    open_folders,
)

NAMED_AT_MOST = 12


@dataclass(frozen=True, slots=True)
class Cookbook:
    """Recipes that are read and checked, with everything they are worked out with.

    ``kitchen`` holds foods, tables and what stands beside the recipes (own foods, packaged products);
    ``settings`` are those of the folders. Recipes may use each other as foods.
    """

    kitchen: Kitchen
    recipes: tuple[Recipe, ...]
    settings: Settings
    beside: tuple[Recipe, ...] = ()
    """Recipes of the same folder that a named recipe file uses as foods."""

    @property
    def all(self) -> tuple[Recipe, ...]:
        """The recipes asked for, then those beside them."""
        return self.recipes + self.beside

    def __len__(self) -> int:
        return len(self.recipes)

    def __iter__(self) -> Iterator[Recipe]:
        return iter(self.recipes)

    def find(self, title: str = "") -> Recipe:
        """The recipe or variant ("parent: variant") of that title (capitals do not matter), or the only one.

        Raises ``BadInput`` naming the titles.

        >>> load().find("fruit and walnut slaw").servings
        6.0
        """
        found = [r for r in with_variants(self.all) if r.title.casefold() == title.casefold()] if title else self.recipes
        if len(found) == 1:
            return found[0]
        titles = "; ".join(r.title for r in self.recipes[:NAMED_AT_MOST])
        if title:
            raise BadInput(title, f"there is no recipe of that title; known: {titles}")
        raise BadInput("recipes", f"{len(self.recipes)} recipes are loaded; name one of: {titles}")


Source = Cookbook | Path | str


def load(*paths: Path | str, foods: str = "kitchen") -> Cookbook:
    """Read recipe files and folders with what stands beside them; without any path, the demo recipes.

    ``foods`` is the food table: "kitchen", "usda" for the whole national table, or the path of an imported
    one. Raises ``BadInputs`` with one sentence for each fault of any file, among them each drafted line that
    still waits for a decision.

    >>> [recipe.title for recipe in load()][0]
    'Bean and greens pot with barley'
    """
    meant = [Path(path) for path in paths] or [data_path(DEMO_FOLDER)]
    kitchen, settings = open_folders(load_kitchen(foods), meant)
    named, beside = load_named(kitchen, meant)
    return Cookbook(kitchen, tuple(named), settings, tuple(beside))


def analyse(source: Source, title: str = "") -> Analysis:
    """Work out one recipe: the same figures the workbook shows.

    ``source`` is what ``load`` gave, or a path; ``title`` chooses where there are several recipes. Dishes the
    recipe uses as foods are worked out first. Nutrient amounts stand by INFOODS tag in the units of
    data/nutrients.csv, ``serving`` for one serving, ``dish`` for all of it. Raises ``BadInput``.

    >>> dish = analyse(data_path("demo", "fruit-walnut-slaw.toml"))
    >>> dish.servings, round(dish.serving_g)
    (6.0, 212)
    """
    book = _book(source)
    recipe = book.find(title)
    dishes, _ = in_order(book.all)
    kitchen, worked_out = with_dishes(book.kitchen, dishes, book.settings)
    for dish, analysis in zip(dishes, worked_out, strict=True):
        if dish is recipe:
            return analysis
    return analyse_recipe(kitchen, recipe, book.settings)


def build(source: Source, out: Path | str, style: Path | str | None = None, spares: bool = True) -> BuiltFile:
    """Build the Excel workbook ``out`` from what ``load`` gave, or from a path.

    ``style`` is a look file (programme, palette, fonts, paper). Without ``spares`` the book holds no empty
    sheets for further recipes. Raises ``BadInput``; nothing half-written stays behind.

    >>> import tempfile
    >>> from workbookgen import verify
    >>> slaw = data_path("demo", "fruit-walnut-slaw.toml")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     built = build(slaw, Path(folder) / "slaw.xlsx", spares=False)
    ...     verified = verify(built.path, ["formualizer"])
    >>> built.path.name, built.recipes, verified.ok
    ('slaw.xlsx', 1, True)
    """
    book = _book(source)
    target = Path(out)
    look = Path(style) if style is not None else None
    return build_recipes(book.kitchen, book.all, book.settings, target, look, lambda _: None, spares)


def _book(source: Source) -> Cookbook:
    return source if isinstance(source, Cookbook) else load(source)
