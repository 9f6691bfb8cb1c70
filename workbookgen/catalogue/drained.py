"""Drained weight of canned foods (data/drained.csv)."""

from __future__ import annotations

from collections.abc import Container
from pathlib import Path

from workbookgen.catalogue.csvread import only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.states import Drained

COLUMNS = ("canned", "drained", "canned_g", "drained_g", "source_id", "status", "note")


def load_drained(sources: Container[str], folder: Path | None = None) -> dict[str, Drained]:
    """Drained shares by source number of the canned food; raises BadInput naming file, row and mend."""
    rows = read_rows((folder or data_path()) / "drained.csv", COLUMNS)
    only_once(rows, "canned")
    found = {}
    for row in rows:
        canned, drained = row.positive("canned_g"), row.positive("drained_g")
        if drained > canned:
            raise row.bad(f"'drained_g' is {drained:g}, more than the can holds; mend one of the two")
        number = row.text("canned")
        found[number] = Drained(number, row.cells["drained"], drained / canned, *proof(row, sources))
    return found
