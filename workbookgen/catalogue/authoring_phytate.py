"""Phytate borrowed from the Indian Food Composition Tables 2017 by a reviewed list of matching foods."""

from __future__ import annotations

import csv
from decimal import Decimal, InvalidOperation
from pathlib import Path

from workbookgen.catalogue.csvread import read_rows
from workbookgen.model.errors import BadInput

MATCHES_FILE = "phytate_matches.csv"
TABLE_FILE = "index.csv"
CODE_COLUMN = "Food Code; code"
PHYTATE_COLUMN = "Phytate; phytac"


def load_phytate(data: Path, ifct_folder: Path) -> dict[str, Decimal]:
    """Borrowed phytate in g per 100 g by USDA food number.

    A zero in that table mostly means "not determined" and is an error in the match list.
    """
    table = _phytate_table(ifct_folder / TABLE_FILE)
    borrowed: dict[str, Decimal] = {}
    for row in read_rows(data / MATCHES_FILE, ("ndb", "ifct_code", "ifct_name", "reason")):
        code = row.text("ifct_code")
        row.text("reason")
        name, value = table.get(code, ("", Decimal(0)))
        if value <= 0:
            raise row.bad(f"{code} has no phytate figure; remove the match")
        if name != row.text("ifct_name"):
            raise row.bad(f'{code} is "{name}" in the table; review the match')
        if row.text("ndb") in borrowed:
            raise row.bad(f"food {row.text('ndb')} is matched twice; keep one row")
        borrowed[row.text("ndb")] = value
    return borrowed


def _phytate_table(path: Path) -> dict[str, tuple[str, Decimal]]:
    """Name and phytate (g per 100 g) by code."""
    if not path.is_file():
        raise BadInput(TABLE_FILE, f"not found in the folder {path.parent.name}")
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream)
        if not reader.fieldnames or not {CODE_COLUMN, PHYTATE_COLUMN} <= set(reader.fieldnames):
            raise BadInput(TABLE_FILE, f'lacks the columns "{CODE_COLUMN}" and "{PHYTATE_COLUMN}"')
        table = {}
        for line, row in enumerate(reader, start=2):
            try:
                value = Decimal(row[PHYTATE_COLUMN] or "0")
            except InvalidOperation as error:
                raise BadInput(f"{TABLE_FILE} row {line}", f'"{row[PHYTATE_COLUMN]}" is no number') from error
            table[row[CODE_COLUMN]] = (row["Food Name; name"], value)
        return table
