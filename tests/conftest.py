"""Shared fixtures: the kitchen is loaded once."""

from __future__ import annotations

import pytest

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import load_kitchen


@pytest.fixture(scope="session")
def kitchen() -> Kitchen:
    return load_kitchen()
