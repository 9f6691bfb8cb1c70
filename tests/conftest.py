"""Shared fixtures: the kitchen is loaded once."""

from __future__ import annotations

import pytest

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import load_kitchen

#: Modules that build or print many workbooks: run by ``python -m pytest -m long`` and by .ci/run.
LONG = ("outside/test_published_recipes", "workbook/test_card_print", "workbook/test_card.py", "workbook/test_statements.py",
        "workbook/test_science_blocks", "workbook/test_handout_blocks", "behaviour/", "workbook/test_whole_table")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of long modules."""
    for item in items:
        if any(part in item.path.as_posix() for part in LONG):
            item.add_marker(pytest.mark.long)


@pytest.fixture(scope="session")
def kitchen() -> Kitchen:
    return load_kitchen()
