"""Order of the aisles on a shopping list (data/shopping_aisles.csv)."""

from __future__ import annotations

from collections.abc import Container
from pathlib import Path

from workbookgen.catalogue.csvread import only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path

COLUMNS = ("aisle", "source_id", "status", "note")


def load_aisles(sources: Container[str], folder: Path | None = None) -> tuple[str, ...]:
    """Aisles in walking order, the last one for foods without any; raises BadInput naming file, row and mend."""
    rows = read_rows((folder or data_path()) / "shopping_aisles.csv", COLUMNS)
    only_once(rows, "aisle")
    for row in rows:
        proof(row, sources)
    return tuple(row.text("aisle") for row in rows)
