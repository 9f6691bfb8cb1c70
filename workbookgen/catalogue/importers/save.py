"""Write an imported table: complete, read back, then put in place; nothing half-written stays."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from workbookgen.catalogue.authoring import csv_bytes, numbered
from workbookgen.catalogue.authoring_rows import Authored
from workbookgen.catalogue.folders import SOURCE_FIELDS, load_folder, place_of
from workbookgen.catalogue.foods import DETAIL_FIELDS, FOOD_FIELDS, MEASURE_FIELDS
from workbookgen.model.errors import BadInput
from workbookgen.model.food import FoodTable
from workbookgen.model.place import PREFIX, sweep
from workbookgen.model.tables import Nutrient, Source


def save(
    rows: Sequence[Authored],
    sources: Sequence[Source],
    nutrients: Sequence[Nutrient],
    report: Callable[[FoodTable], str],
    to: Path,
) -> str:
    """Write the table to the folder or CSV file ``to``; returns the report on the table as it reads back.

    Raises `BadInput` when the place cannot be written; files of an earlier import are replaced.
    """
    parent = to.parent
    if not parent.is_dir():
        raise BadInput(str(to), f"the folder {parent} does not exist; create it or choose another --to")
    if to.exists() and to.is_dir() == (to.suffix.lower() == ".csv"):
        raise BadInput(str(to), "is a folder with the name of a file, or a file; choose another --to")
    try:
        sweep(parent)
        beside = Path(tempfile.mkdtemp(prefix=PREFIX, dir=parent))
    except OSError as error:
        raise BadInput(
            str(to), f"the folder cannot be written ({error.strerror}); choose another --to"
        ) from None
    try:
        draft = place_of(beside / to.name if to.suffix else beside)
        header = (*FOOD_FIELDS, *(n.tag for n in nutrients))
        draft.foods.write_bytes(csv_bytes(header, (row.food for row in rows)))
        draft.measures.write_bytes(csv_bytes(MEASURE_FIELDS, numbered(rows)))
        draft.details.write_bytes(csv_bytes(DETAIL_FIELDS, (d for row in rows for d in row.details)))
        draft.sources.write_bytes(
            csv_bytes(SOURCE_FIELDS, ((s.id, s.citation, s.url, s.licence) for s in sources))
        )
        table, _ = load_folder(draft.foods if to.suffix else beside)
        text = report(table)
        draft.report.write_text(text, encoding="utf-8")
        if not to.suffix:
            to.mkdir(exist_ok=True)
        for new, old in zip(draft.files(), place_of(to).files(), strict=True):
            os.replace(new, old)
    except OSError as error:
        what = f"cannot be written ({error.strerror or error}); free some space or choose another --to"
        raise BadInput(str(to), what) from None
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return text
