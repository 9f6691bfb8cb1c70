"""The package for programs: four names, quick to import, with examples that run."""

from __future__ import annotations

import doctest
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

import workbookgen
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.session import analyse_one, load_kitchen

SLAW = data_path("demo", "fruit-walnut-slaw.toml")
STOCK = """title = "Kale stock"
servings = 4
component = true
[[ingredient]]
food = "Kale, raw"
amount = "2 cups"
"""
SOUP = """title = "Soup"
servings = 2
[[ingredient]]
food = "Kale stock"
amount = "1"
unit = "serving"
"""
#: Modules whose docstrings show runnable examples.
DOCUMENTED = (
    "workbookgen.api",
    "workbookgen.exchange.cells",
    "workbookgen.exchange.export_csv",
    "workbookgen.exchange.export_jsonld",
    "workbookgen.exchange.export_markdown",
    "workbookgen.model.safety",
    "workbookgen.nutrition.card_words",
    "workbookgen.nutrition.fractions",
    "workbookgen.nutrition.label",
    "workbookgen.recipes.load",
    "workbookgen.verify.values",
)


@pytest.mark.parametrize("name", DOCUMENTED)
def test_the_examples_in_docstrings_run(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0


def test_no_module_with_examples_is_left_out() -> None:
    package = Path(workbookgen.__file__).parent
    found = {
        ".".join(("workbookgen", *path.relative_to(package).with_suffix("").parts))
        for path in package.rglob("*.py")
        if ">>> " in path.read_text(encoding="utf-8")
    }
    for name in sorted(found - set(DOCUMENTED)):
        assert doctest.testmod(importlib.import_module(name)).failed == 0, name
    assert set(DOCUMENTED) <= found


def test_importing_the_package_loads_nothing_else() -> None:
    code = "import sys, workbookgen; print([m for m in sys.modules if m.startswith('workbookgen.')])"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


@pytest.mark.parametrize("first", ["pass", "import workbookgen.verify.read"])
def test_the_four_names_can_be_called_whatever_was_imported_before(first: str) -> None:
    code = f"{first}; from workbookgen import load, analyse, build, verify; print(all(map(callable, "
    code += "(load, analyse, build, verify))))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "True"


def test_every_public_name_is_there_and_described() -> None:
    for name in workbookgen.__all__:
        assert inspect.getdoc(getattr(workbookgen, name)), name
    with pytest.raises(AttributeError, match="nothing"):
        workbookgen.nothing  # noqa: B018


def test_the_api_gives_the_figures_of_the_command_line() -> None:
    kitchen = load_kitchen()
    assert workbookgen.analyse(SLAW).nutrients == analyse_one(kitchen, SLAW).nutrients
    assert (
        workbookgen.analyse(workbookgen.load(), "Fruit and walnut slaw").nutrients
        == workbookgen.analyse(SLAW).nutrients
    )


def test_a_recipe_may_use_another_one_of_its_folder(tmp_path: Path) -> None:
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    (tmp_path / "soup.toml").write_text(SOUP, encoding="utf-8")
    book = workbookgen.load(tmp_path)
    stock, soup = (workbookgen.analyse(book, title) for title in ("Kale stock", "Soup"))
    for tag in ("ENERC_KCAL", "FE", "VITK1"):
        assert soup.nutrients[tag].dish == pytest.approx(stock.nutrients[tag].serving)


def test_one_of_several_recipes_must_be_named() -> None:
    book = workbookgen.load()
    with pytest.raises(BadInput, match=r"11 recipes are loaded; name one of: .*Fruit and walnut slaw"):
        workbookgen.analyse(book)
    with pytest.raises(BadInput, match=r"Pizza: there is no recipe of that title; known: "):
        workbookgen.analyse(book, "Pizza")
