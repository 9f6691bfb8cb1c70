"""The reviewed selection: which USDA rows the kitchen catalogue holds and what a cook calls them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.csvread import Row, read_rows
from workbookgen.catalogue.sr_ascii import SrTable
from workbookgen.model.errors import BadInput, BadInputs

SELECTION_FOLDER = "selection"
COLUMNS = (
    "ndb", "name", "synonyms", "group", "state", "counterpart_ndb", "keep_group", "role", "density_seq",
    "cup_eq_g", "oz_eq_g", "whole_grain_pct", "mfp", "heme", "allergens", "diet", "salt_ingredient",
    "sugar_ingredient", "colour", "aisle", "cautions", "digest_key", "racc_hint", "remark",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Choice:
    """One selected food: the cells of its row, and where the row stands."""

    number: str
    cells: Mapping[str, str]
    place: str


def load_selection(data: Path, sr: SrTable) -> tuple[Choice, ...]:
    """Read every CSV file of ``data/selection`` in order of food number.

    Raises `BadInputs` when a number is unknown to the release, chosen twice or points to a counterpart
    that is not selected, or a kitchen name is used twice.
    """
    folder = data / SELECTION_FOLDER
    files = sorted(folder.glob("*.csv"))
    if not files:
        raise BadInput(SELECTION_FOLDER, "holds no CSV file; the reviewed selection is missing")
    rows = [row for file in files for row in read_rows(file, COLUMNS)]
    errors = _faults(rows, sr)
    if errors:
        raise BadInputs(errors)
    choices = (Choice(row.cells["ndb"], row.cells, row.place) for row in rows)
    return tuple(sorted(choices, key=lambda choice: choice.number))


def _faults(rows: list[Row], sr: SrTable) -> list[BadInput]:
    numbers: dict[str, Row] = {}
    names: dict[str, Row] = {}
    errors: list[BadInput] = []
    for row in rows:
        number, name = row.cells["ndb"], row.cells["name"].casefold()
        if number not in sr.foods:
            errors.append(row.bad(f"there is no food number {number}; write the five digits USDA uses"))
        for key, seen, what in ((number, numbers, "food number"), (name, names, "name")):
            if key in seen:
                errors.append(row.bad(f'{what} "{key}" stands in {seen[key].place} too; keep one row'))
            seen.setdefault(key, row)
    for row in rows:
        partner = row.cells["counterpart_ndb"]
        if partner and partner not in numbers:
            errors.append(
                row.bad(f"counterpart {partner} is not selected; select it or leave the cell blank")
            )
        seq = row.cells["density_seq"]
        known = {weight.seq for weight in sr.weights.get(row.cells["ndb"], ())}
        if seq and seq not in known:
            errors.append(row.bad(f"there is no measure number {seq}; USDA lists {sorted(known)}"))
    return errors
