"""One small book of the demo, and one LibreOffice, for all behaviour tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from xlsxwriter.utility import xl_cell_to_rowcol

from tests.behaviour.office import Office, Typed
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import load_checked, open_folders
from workbookgen.workbook.build import Built, Spares, build_workbook
from workbookgen.workbook.look import load_look

RECIPES = ("bean-greens-barley-pot.toml", "overnight-oats-berries.toml")


@pytest.fixture(scope="session")
def small_demo(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> tuple[Built, Path]:
    """Two recipes of the demo with its labels and own rows, one spare recipe and one spare dish."""
    folder = data_path("demo")
    joined, settings = open_folders(kitchen, [folder])
    recipes = load_checked(joined, [folder / name for name in RECIPES])
    path = tmp_path_factory.mktemp("behaviour") / "small.xlsx"
    return build_workbook(joined, constant_rows(), recipes, settings, load_look(), path, spares=Spares(1, 1)), path


@pytest.fixture(scope="session")
def office_program(small_demo: tuple[Built, Path], tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """LibreOffice with the small book open, for all tests: loading takes longer than any edit."""
    office = Office(tmp_path_factory.mktemp("office"))
    office.open(small_demo[1])
    yield office
    office.stop()


@pytest.fixture
def office(office_program: Office, small_demo: tuple[Built, Path]) -> Iterator[Office]:
    """The small book as it was built; what a test typed or cut is put back afterwards."""
    sheets = {s.name: s for s in small_demo[0].book.sheets}

    def original(sheet: str, cell: str) -> Typed:
        found = sheets[sheet].cells.get(xl_cell_to_rowcol(cell))
        value = found.value if found else ""
        assert found is None or not found.formula, f"{sheet}!{cell} holds a formula"
        return None if value == "" else value  # type: ignore[return-value]

    yield office_program
    office_program.restore(original)
    assert office_program.errors() == {}


@pytest.fixture
def reopened(office_program: Office, small_demo: tuple[Built, Path]) -> Iterator[Office]:
    """For edits in thousands of cells: the book is opened again afterwards."""
    yield office_program
    office_program.forget()
    office_program.open(small_demo[1])
