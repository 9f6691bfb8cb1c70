"""Remake the food tables of ``data/`` from the downloaded sources and the reviewed files.

``python -m workbookgen.catalogue.authoring SR28_FOLDER IFCT_FOLDER`` rewrites foods.csv, measures.csv,
food_values.csv, food_factors.csv and the compressed whole table byte for byte. ``--fetch FOLDER`` downloads
the pinned sources first; ``--check`` writes nothing and fails when a file would change.
"""

from __future__ import annotations

import argparse
import csv
import io
import lzma
import sys
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from workbookgen.catalogue.authoring_fetch import fetch
from workbookgen.catalogue.authoring_measures import load_extra_measures, load_word_steps
from workbookgen.catalogue.authoring_phytate import load_phytate
from workbookgen.catalogue.authoring_rows import Authored, Sources, author_food
from workbookgen.catalogue.authoring_rules import load_rules
from workbookgen.catalogue.authoring_selection import load_selection
from workbookgen.catalogue.authoring_whole import whole_table
from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.food_words import load_food_words
from workbookgen.catalogue.foods import (
    DETAIL_FIELDS,
    DETAILS_FILE,
    FILES,
    FOOD_FIELDS,
    MEASURE_FIELDS,
)
from workbookgen.catalogue.foods_gates import FACTOR_FIELDS, FACTORS_FILE
from workbookgen.catalogue.infer import RULES_FILE as INFER_RULES_FILE
from workbookgen.catalogue.infer import load_infer_rules
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.sr_ascii import SrTable, read_sr
from workbookgen.catalogue.tables import load_nutrients
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient

FOODS_FILE, MEASURES_FILE, _ = FILES["kitchen"]
WHOLE_FOODS_FILE, WHOLE_MEASURES_FILE, _ = FILES["usda"]
XZ_PRESET = 9
XZ_SUFFIX = ".xz"


def load_volumes(data: Path) -> dict[str, Fraction]:
    """Exact millilitres of each volume unit of ``units.csv``."""
    rows = read_rows(data / "units.csv", ("name", "kind", "factor", "synonyms", "source_id", "status"))
    return {row.text("name"): Fraction(row.text("factor")) for row in rows if row.text("kind") == "volume"}


def author(sr_folder: Path, ifct_folder: Path, data: Path) -> dict[str, bytes]:
    """Bytes of every file to write, by name below ``data``."""
    nutrients = load_nutrients(data)
    rules = load_rules(data)
    sr = read_sr(sr_folder, {n.usda_no for n in nutrients if n.usda_no} | {rules.folate_total})
    _check_units(nutrients, sr)
    sources = Sources(
        sr=sr,
        nutrients=nutrients,
        rules=rules,
        word_steps=load_word_steps(data),
        volumes=load_volumes(data),
        extra_measures=load_extra_measures(data),
        phytate_g=load_phytate(data, ifct_folder),
        digestibility_pct=_digestibility(data),
    )
    selection = load_selection(data, sr)
    kitchen = [author_food(choice, sources) for choice in selection]
    words = load_food_words(data, whole_table=True)
    infer_rules = load_infer_rules(data / INFER_RULES_FILE)
    whole = [author_food(c, sources) for c in whole_table(selection, sr, infer_rules, words.forbidden)]
    header = (*FOOD_FIELDS, *(n.tag for n in nutrients))
    return {
        FOODS_FILE: csv_bytes(header, (rows.food for rows in kitchen)),
        MEASURES_FILE: csv_bytes(MEASURE_FIELDS, numbered(kitchen)),
        DETAILS_FILE: csv_bytes(DETAIL_FIELDS, (d for rows in kitchen for d in rows.details)),
        FACTORS_FILE: csv_bytes(FACTOR_FIELDS, (rows.factors for rows in kitchen if rows.factors)),
        WHOLE_FOODS_FILE: packed(csv_bytes(header, (rows.food for rows in whole))),
        WHOLE_MEASURES_FILE: packed(csv_bytes(MEASURE_FIELDS, numbered(whole))),
    }


def _check_units(nutrients: Sequence[Nutrient], sr: SrTable) -> None:
    """Refuse a nutrient whose unit is not the one the release prints."""
    for nutrient in nutrients:
        printed = sr.nutrients.get(nutrient.usda_no)
        if nutrient.usda_no and (printed is None or printed.unit != nutrient.unit):
            unit = "nothing" if printed is None else printed.unit
            what = f"{nutrient.tag} is in {nutrient.unit}, number {nutrient.usda_no} of the release in {unit}"
            raise BadInput("nutrients.csv", what)


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


def packed(content: bytes) -> bytes:
    """The content in an xz container without any time stamp."""
    return lzma.compress(content, format=lzma.FORMAT_XZ, preset=XZ_PRESET)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit code."""
    parser = argparse.ArgumentParser(prog="workbookgen.catalogue.authoring", description=__doc__)
    parser.add_argument("sr_folder", type=Path, nargs="?", help="folder with USDA's SR28 ASCII files")
    parser.add_argument("ifct_folder", type=Path, nargs="?", help="folder with the IFCT 2017 index.csv")
    parser.add_argument("--fetch", type=Path, help="download and unpack the pinned sources into this folder")
    parser.add_argument("--data", type=Path, default=None, help="folder to write (default: the data folder)")
    parser.add_argument("--check", action="store_true", help="write nothing; fail when a file would change")
    options = parser.parse_args(arguments)
    data = options.data or data_path()
    if options.fetch is None and options.ifct_folder is None:
        parser.error("give both source folders, or --fetch FOLDER")
    try:
        folders = (options.sr_folder, options.ifct_folder)
        sr_folder, ifct_folder = folders if options.fetch is None else fetch(data, options.fetch)
        files = author(sr_folder, ifct_folder, data)
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
    """Say whether the file holds this content; packed files are compared unpacked."""
    if not path.is_file():
        return False
    old = path.read_bytes()
    if path.suffix == XZ_SUFFIX and old != content:
        try:
            return lzma.decompress(old) == lzma.decompress(content)
        except lzma.LZMAError:
            return False
    return old == content


if __name__ == "__main__":
    sys.exit(main())
