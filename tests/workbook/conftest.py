"""Books for the workbook tests: laid out and filled once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.build import Built, Spares, build_workbook
from workbookgen.workbook.look import load_look

NO_SPARES = Spares(0, 0)


def build(kitchen: Kitchen, recipes: Sequence[Recipe], path: Path, spares: Spares = NO_SPARES) -> Built:
    return build_workbook(kitchen, constant_rows(), recipes, default_settings(), load_look(), path, spares=spares)


@pytest.fixture(scope="session")
def generated(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> tuple[Built, Path]:
    """Six generated recipes with one spare sheet and one spare dish."""
    from tests.generate import random_recipe

    path = tmp_path_factory.mktemp("book") / "generated.xlsx"
    return build(kitchen, [random_recipe(kitchen, seed) for seed in range(6)], path, Spares(1, 1)), path
