"""Constants, limits and default settings, each with its source (data/constants.csv)."""

from __future__ import annotations

import csv

from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput


def constant_rows() -> list[dict[str, str]]:
    """Rows of data/constants.csv as text; raises BadInput where a value is not a number or an id is taken."""
    with data_path("constants.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    seen: set[str] = set()
    for number, row in enumerate(rows, 2):
        place = f"constants.csv row {number}"
        if row["id"] in seen:
            raise BadInput(place, f"the id {row['id']} stands twice; keep one")
        seen.add(row["id"])
        try:
            float(row["value"])
        except ValueError:
            raise BadInput(place, f"value {row['value']!r} is not a number") from None
    return rows


def load_constants() -> dict[str, float]:
    """Values by id."""
    return {row["id"]: float(row["value"]) for row in constant_rows()}
