"""Workbooks shared by the tests of verify; each is written once."""

from __future__ import annotations

from pathlib import Path

import pytest
from verify_books import pattern_book


@pytest.fixture(scope="session")
def patterns(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The usual formula patterns, about five hundred formulas over eight sheets."""
    path = tmp_path_factory.mktemp("patterns") / "patterns.xlsx"
    pattern_book(path)
    return path
