"""A small book with every kind of input, and ways to change it as colleagues do."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

import pytest

from tests.dishes import small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.check import resolve_recipes
from workbookgen.recipes.load import load_recipes
from workbookgen.roundtrip.record import Record, read_edited
from workbookgen.session import default_settings
from workbookgen.verify.package import read_layout
from workbookgen.verify.values import cell_name
from workbookgen.workbook.build import Spares, build_workbook
from workbookgen.workbook.look import load_look

FOODS = ("Onions, raw", "Olive oil", "Water, tap", "Salt, table", "Kale, raw")
POT = '''
title = "Bean pot"
makes_cups = 8
serving_cups = 2
serving = "2 cups"
soup = true
targets = ["FE >= 20 %DV", "NA <= 600 mg"]
method = ["Warm the oil.", "Add the rest."]
storage = ["Keep it cold."]
statements = ["good source of fiber"]
switches = ["carbohydrate choices"]
may_contain = "=no nuts"

[settings]
plate_by = "cups"
iron_stores = "250"
mood = "kept though no sheet shows it"

[[ingredient]]
food = "Onions, raw"
amount = "2-3"
use = "high"
unit = "cup, chopped"
section = "Base"
note = "+1 if small"

[[ingredient]]
food = "Olive oil"
amount = "1 1/2 tbsp"

[[ingredient]]
food = "Water, tap"
amount = "1/3 cup"
water = "stays"

[[ingredient]]
food = "Kale, raw"
amount = 150
unit = "g"
basis = "as purchased"
share_eaten = 90
optional = true
garnish = true

[[note]]
text = "Salt to taste is salt."

[[variant]]
name = "without oil"
[[variant.change]]
do = "leave out"
food = "Olive oil"

[review]
reviewer = "A. Reviewer, RD"
date = "2026-01-31"
comment = "-"
'''
PLAIN = '''
title = "=Plain kale"
servings = 2

[[ingredient]]
food = "Kale, raw"
amount = 3
unit = "oz"
'''


def small(kitchen: Kitchen) -> Kitchen:
    """A kitchen with the foods of the small book."""
    names = [n for n in FOODS if n.lower() in kitchen.food_by_name]
    return small_kitchen(kitchen, *names)


@dataclass(frozen=True)
class Small:
    """The small book, its kitchen, its recipes as they were built."""

    path: Path
    kitchen: Kitchen
    recipes: tuple[Recipe, ...]
    record: Record


def build_small(kitchen: Kitchen, recipes: list[Recipe], path: Path) -> None:
    built = build_workbook(kitchen, constant_rows(), recipes, default_settings(), load_look(), path, spares=Spares(1, 0))
    assert built.disagreements == ()


@pytest.fixture(scope="session")
def small_book(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> Small:
    folder = tmp_path_factory.mktemp("small")
    (folder / "a-pot.toml").write_text(POT, encoding="utf-8")
    (folder / "b-plain.toml").write_text(PLAIN, encoding="utf-8")
    few = small(kitchen)
    recipes = resolve_recipes(load_recipes([folder]), few.table, few.tables)
    build_small(few, recipes, folder / "book.xlsx")
    return Small(folder / "book.xlsx", few, tuple(recipes), read_edited(folder / "book.xlsx").record)


Edit = Callable[[Mapping[tuple[str, str], object]], Path]


def cell_xml(address: str, style: str, value: object) -> str:
    """A cell as a spreadsheet program writes it; a text starting with "formula:" becomes a formula."""
    if value is None:
        return f'<c r="{address}"{style}/>'
    if isinstance(value, bool):
        return f'<c r="{address}"{style} t="b"><v>{int(value)}</v></c>'
    if isinstance(value, int | float):
        return f'<c r="{address}"{style}><v>{value!r}</v></c>'
    text = str(value)
    if text.startswith("formula:"):
        return f'<c r="{address}"{style}><f>{escape(text.removeprefix("formula:"))}</f><v>6</v></c>'
    return f'<c r="{address}"{style} t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def change_cells(source: Path, target: Path, cells: Mapping[tuple[str, str], object]) -> None:
    """Copy a workbook with cells replaced, by (tab, address); the cells must exist."""
    with zipfile.ZipFile(source) as package, zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as copy:
        parts = {part.name: part.part for part in read_layout(package).sheets}
        wanted: dict[str, dict[str, object]] = {}
        for (tab, address), value in cells.items():
            wanted.setdefault(parts[tab], {})[address] = value
        for name in package.namelist():
            data = package.read(name)
            for address, value in wanted.get(name, {}).items():
                pattern = re.compile(rf'<c r="{address}"( s="\d+")?[^>]*?(?:/>|>.*?</c>)')
                text, count = pattern.subn(lambda m, a=address, v=value: cell_xml(a, m[1] or "", v), data.decode(), count=1)
                assert count == 1, (name, address)
                data = text.encode()
            copy.writestr(name, data)


@pytest.fixture
def edited(small_book: Small, tmp_path: Path) -> Edit:
    """Saves a copy with some cells changed, by (tab, field with place such as "line.amount 2" or an address)."""
    record = small_book.record

    def edit(cells: Mapping[tuple[str, str], object]) -> Path:
        places = {}
        for (tab, where), value in cells.items():
            name, _, number = where.partition(" ")
            found = [p for b in record.blocks_of(tab) if b.field == name for p in b.places]
            places[tab, cell_name(*found[int(number or 1) - 1]) if found else where] = value
        change_cells(small_book.path, tmp_path / "edited.xlsx", places)
        return tmp_path / "edited.xlsx"

    return edit
