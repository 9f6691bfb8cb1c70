"""Labels, Label view, Label ranks, Find, sign-off: core, build engine and independent engines agree."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.packs import random_packs
from tests.workbook.conftest import build
from workbookgen.model.recipe import IngredientLine, Recipe, Review
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import pack_foods
from workbookgen.nutrition.review import check_number
from workbookgen.session import default_settings
from workbookgen.verify import verify
from workbookgen.verify.lint import lint
from workbookgen.workbook.book import Cell, Sheet
from workbookgen.workbook.build import Built
from workbookgen.workbook.label_view import COL, FIRST
from workbookgen.workbook.labels_layout import FIRST as LABELS_FIRST
from workbookgen.workbook.labels_layout import labels_layout

MINE = ("Labels", "Label view", "Label ranks", "Find", "Pack rules", "Own foods", "Own measures", "Foods", "Checks", "Start")


def with_packs(kitchen: Kitchen, start: int, number: int = 12) -> Kitchen:
    packs = random_packs(kitchen, number, start)
    foods, measures = pack_foods(kitchen, packs)
    return replace(kitchen.with_foods(foods, measures), packs=packs)


def recipe_of(kitchen: Kitchen) -> Recipe:
    lines = [IngredientLine(pack.name, 2, "serving") for pack in kitchen.packs[:6]]
    lines.append(IngredientLine("Black beans, dry", 0.75, "cup", treatment="boiled, drained"))
    recipe = Recipe("Packs on a plate", 3, tuple(lines))
    number = check_number(kitchen, analyse_recipe(kitchen, recipe, default_settings()))
    return replace(recipe, review=Review("A. Rowan", "2026-01-02", "looked through", float(number)))


@pytest.fixture(scope="module")
def packed(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> tuple[Built, Path]:
    joined = with_packs(kitchen, 1)
    path = tmp_path_factory.mktemp("packs") / "packs.xlsx"
    return build(joined, [recipe_of(joined)], path), path


def sheet(built: Built, name: str) -> Sheet:
    return next(s for s in built.book.sheets if s.name == name)


def test_core_and_build_engine_agree(packed: tuple[Built, Path]) -> None:
    assert packed[0].disagreements == ()


@pytest.mark.parametrize("start", [2, 3])
def test_they_agree_on_other_packs(kitchen: Kitchen, tmp_path: Path, start: int) -> None:
    joined = with_packs(kitchen, start, 30)
    built = build(joined, [recipe_of(joined)], tmp_path / "more.xlsx")
    assert built.disagreements == ()


@pytest.mark.parametrize("engine", ["ironcalc", pytest.param("libreoffice", marks=pytest.mark.libreoffice)])
def test_engines_agree(packed: tuple[Built, Path], engine: str) -> None:
    result = verify(packed[1], [engine]).results[0]
    assert [d for d in result.differing if d.sheet in MINE] == []


def test_lint_finds_nothing_on_these_sheets(packed: tuple[Built, Path]) -> None:
    assert [f for g in lint(packed[1]) for f in g.findings if f.sheet in MINE] == []


def test_verdicts_and_readings_come_from_the_core(packed: tuple[Built, Path], kitchen: Kitchen) -> None:
    labels, lay = sheet(packed[0], "Labels"), labels_layout(kitchen)
    stated = [labels.cells[LABELS_FIRST + i, lay.col[f"verdict_{s}"]] for i in range(12) for s in range(1, 6)]
    assert all(cell.from_core for cell in stated)
    assert {cell.value for cell in stated} >= {"holds", "fails", "cannot be judged", ""}
    view = sheet(packed[0], "Label view")
    assert view.cells[FIRST, 0].value == "Sodium"
    assert view.cells[FIRST, COL["kitchen"]].from_core


def test_every_sheet_has_a_way_back_and_a_first_input(packed: tuple[Built, Path]) -> None:
    for one in packed[0].book.sheets:
        if one.name != "Start":
            assert any("Start" in target for target, _ in one.links.values()), one.name


def test_charts_have_words_for_screen_readers(packed: tuple[Built, Path]) -> None:
    charts = [options for one in packed[0].book.sheets for *_, options in one.charts]
    assert charts
    assert all(len(options.get("description", "")) > 20 for options in charts)


def test_start_links_only_to_sheets_of_the_book(packed: tuple[Built, Path]) -> None:
    start = sheet(packed[0], "Start")
    names = {s.name for s in packed[0].book.sheets}
    assert {target.split("'")[1] for target, _ in start.links.values()} <= names


def test_document_properties_are_set(packed: tuple[Built, Path]) -> None:
    assert {"title", "subject", "author", "company", "category", "keywords", "comments"} <= set(packed[0].book.properties)


def test_a_signed_recipe_reads_as_reviewed(packed: tuple[Built, Path]) -> None:
    recipe = sheet(packed[0], "Packs on a plate")
    assert any(isinstance(c, Cell) and c.value == "as reviewed" for c in recipe.cells.values())



def test_help_beside_the_line_shows_the_cooked_amount(packed: tuple[Built, Path]) -> None:
    recipe = sheet(packed[0], "Packs on a plate")
    assert any(c.value == "cooked about 378 g, 2 1/4 cups" for c in recipe.cells.values())
