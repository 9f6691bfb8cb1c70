"""A copy of a workbook without its stored results, in a folder that is gone afterwards."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from workbookgen.verify.package import STALE, copy_without_results
from workbookgen.verify.values import NotEvaluated, Value


@contextmanager
def withheld_copy(path: Path) -> Iterator[Path]:
    """Path of the copy, named ``book.xlsx`` in a private folder; see ``copy_without_results``."""
    with tempfile.TemporaryDirectory(prefix="workbookgen-verify-") as folder:
        copy = Path(folder) / "book.xlsx"
        copy_without_results(path, copy)
        yield copy


def unless_stale(value: Value) -> Value:
    """The value, or ``NotEvaluated`` when it is the text that stands where a result was withheld."""
    if value == STALE:
        return NotEvaluated("the engine kept the stored value")
    return value
