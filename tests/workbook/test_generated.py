"""Generated recipes: the core and independent engines agree on every cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbookgen.verify import verify
from workbookgen.verify.lint import lint
from workbookgen.workbook.build import Built


def test_core_and_build_engine_agree_on_generated_recipes(generated: tuple[Built, Path]) -> None:
    built, _ = generated
    assert built.disagreements == ()


def test_most_nutrition_cells_carry_values_of_the_core(generated: tuple[Built, Path]) -> None:
    built, _ = generated
    cells = [c for s in built.book.sheets for c in s.cells.values() if c.formula]
    assert sum(c.from_core for c in cells) > len(cells) / 3


@pytest.mark.parametrize("engine", ["formualizer", "ironcalc", pytest.param("libreoffice", marks=pytest.mark.libreoffice)])
def test_engines_agree_on_the_written_file(generated: tuple[Built, Path], engine: str) -> None:
    built, path = generated
    result = verify(path, [engine]).results[0]
    assert result.compared == built.book.formula_count()
    assert not result.differing


def test_lint_finds_nothing(generated: tuple[Built, Path]) -> None:
    _, path = generated
    assert lint(path) == []
