"""Remake the food tables of ``data/`` from the downloaded sources and the reviewed files.

``python -m workbookgen.catalogue.authoring SR28_FOLDER IFCT_FOLDER`` rewrites foods.csv, measures.csv,
food_values.csv and the compressed whole table byte for byte; with ``--check`` it writes nothing and fails
when a file would change.
"""

from __future__ import annotations

import argparse
import csv
import io
import lzma
import sys
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from workbookgen.catalogue.authoring_measures import MeasureRow, load_extra_measures, load_word_steps
from workbookgen.catalogue.authoring_phytate import load_phytate
from workbookgen.catalogue.authoring_rows import (
    DETAIL_FIELDS,
    FOOD_FIELDS,
    MEASURE_FIELDS,
    Authored,
    Sources,
    author_food,
)
from workbookgen.catalogue.authoring_rules import load_rules
from workbookgen.catalogue.authoring_selection import load_selection
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.sr_ascii import read_sr
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient

FOODS_FILE = "foods.csv"
MEASURES_FILE = "measures.csv"
DETAILS_FILE = "food_values.csv"
FOLATE_TOTAL = "417"


def load_nutrients(data: Path) -> tuple[Nutrient, ...]:
    """Read ``nutrients.csv``."""
    columns = ("tag", "name", "unit", "decimals", "block", "usda_no", "keep", "main", "note")
    return tuple(
        Nutrient(
            row.text("tag"),
            row.text("name"),
            row.text("unit"),
            int(row.number_in("decimals")),
            row.text("block"),
            row.text("usda_no", blank=True),
            row.text("keep", blank=True),
            row.yes("main"),
            row.text("note", blank=True),
        )
        for row in read_rows(data / "nutrients.csv", columns)
    )


VOLUMES = {
    "cup": Fraction("236.5882365"),
    "tbsp": Fraction("14.78676478125"),
    "tsp": Fraction("4.92892159375"),
    "fl oz": Fraction("29.5735295625"),
    "pint": Fraction("473.176473"),
    "quart": Fraction("946.352946"),
    "mL": Fraction(1),
}


def author(sr_folder: Path, ifct_folder: Path, data: Path) -> dict[str, bytes]:
    """Bytes of every file to write, by name below ``data``."""
    nutrients = load_nutrients(data)
    numbers = {n.usda_no for n in nutrients if n.usda_no} | {FOLATE_TOTAL}
    sr = read_sr(sr_folder, numbers)
    sources = Sources(
        sr=sr,
        nutrients=nutrients,
        rules=load_rules(data),
        word_steps=load_word_steps(data),
        volumes=VOLUMES,
        extra_measures=load_extra_measures(data),
        phytate_g=load_phytate(data, ifct_folder),
        digestibility_pct=_digestibility(data),
    )
    kitchen = [author_food(choice, sources) for choice in load_selection(data, sr)]
    header = (*FOOD_FIELDS, *(n.tag for n in nutrients))
    return {
        FOODS_FILE: csv_bytes(header, (rows.food for rows in kitchen)),
        MEASURES_FILE: csv_bytes(MEASURE_FIELDS, numbered(kitchen)),
        DETAILS_FILE: csv_bytes(DETAIL_FIELDS, (d for rows in kitchen for d in rows.details)),
    }


def _digestibility(data: Path) -> dict[str, Decimal]:
    columns = ("key", "pct", "description", "source_id", "status", "note")
    rows = read_rows(data / "protein_digestibility.csv", columns)
    return {row.text("key"): Decimal(row.text("pct")) for row in rows}


def numbered(foods: Iterable[Authored]) -> Iterable[tuple[str, ...]]:
    """Measure rows with their running number per food."""
    for rows in foods:
        for number, m in enumerate(rows.measures, start=1):
            yield (m.food_id, m.unit, m.grams, str(number), m.source_id, m.note)


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """UTF-8 CSV with line feeds, the same bytes for the same rows."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return stream.getvalue().encode("utf-8")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit code."""
    parser = argparse.ArgumentParser(prog="workbookgen.catalogue.authoring", description=__doc__)
    parser.add_argument("sr_folder", type=Path, help="folder with USDA's SR28 ASCII files")
    parser.add_argument("ifct_folder", type=Path, help="folder with the IFCT 2017 index.csv")
    parser.add_argument("--data", type=Path, default=None, help="folder to write (default: the data folder)")
    parser.add_argument("--check", action="store_true", help="write nothing; fail when a file would change")
    options = parser.parse_args(arguments)
    data = options.data or data_path()
    try:
        files = author(options.sr_folder, options.ifct_folder, data)
    except BadInput as error:
        print(error, file=sys.stderr)
        return 1
    changed = [n for n, content in files.items() if not _same(data / n, content)]
    if options.check:
        for name in changed:
            print(f"{name} differs from what the sources give", file=sys.stderr)
        return 1 if changed else 0
    for name in changed:
        (data / name).write_bytes(files[name])
        print(f"{name}: {len(files[name]):,} bytes written")
    return 0


def _same(path: Path, content: bytes) -> bool:
    return path.is_file() and path.read_bytes() == content


if __name__ == "__main__":
    sys.exit(main())
