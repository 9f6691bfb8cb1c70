"""Benchmark: ``python -m tests.bench [--recipes 50] [--foods kitchen]``.

Prints seconds, peak memory and file size of whole builds (load, analysis, stored values, writing) and of the
writing alone, each beside bare standard XlsxWriter writing the same cells in the same run.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter

from tests.generate import random_recipe
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.recipe import Recipe
from workbookgen.session import default_settings, load_checked, load_kitchen
from workbookgen.workbook.book import Book
from workbookgen.workbook.build import SPARES, Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book


def bare_seconds(book: Book, path: Path) -> float:
    """Seconds for standard XlsxWriter to write the same cells, formulas and values, without any look."""
    began = time.perf_counter()
    workbook = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    for sheet in book.sheets:
        handle = workbook.add_worksheet(sheet.name)
        for (row, col), cell in sheet.cells.items():
            if cell.formula:
                handle.write_formula(row, col, cell.formula, None, cell.value)
            elif isinstance(cell.value, bool):
                handle.write_boolean(row, col, cell.value)
            elif isinstance(cell.value, int | float):
                handle.write_number(row, col, cell.value)
            elif cell.value:
                handle.write_string(row, col, cell.value)
    workbook.close()
    return time.perf_counter() - began


def measure(name: str, recipes: Sequence[Recipe] | None, foods: str, spares: Spares, folder: Path) -> str:
    """One row of the table."""
    began = time.perf_counter()
    kitchen = load_kitchen(foods)
    given = list(recipes) if recipes is not None else load_checked(kitchen, [data_path("demo")])
    loaded = time.perf_counter()
    look = load_look()
    book, _ = lay_out(kitchen, constant_rows(), given, default_settings(), look, spares)
    laid = time.perf_counter()
    differing = fill(book)
    filled = time.perf_counter()
    path = folder / "book.xlsx"
    write_book(book, path, look)
    written = time.perf_counter()
    bare = bare_seconds(book, folder / "bare.xlsx")
    whole, writing = written - began, written - filled
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return (f"| {name} | {len(given)} | {book.formula_count():,} | {loaded - began:.2f} | {laid - loaded:.2f} | {filled - laid:.2f} "
            f"| {writing:.2f} | {whole:.2f} | {bare:.2f} | {writing / bare:.2f} | {whole / bare:.2f} | {peak:.0f} "
            f"| {path.stat().st_size / 1e6:.2f} | {len(differing)} |")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--recipes", type=int, nargs="*", default=[50])
    parser.add_argument("--foods", nargs="*", default=["kitchen"])
    options = parser.parse_args()
    print("| book | recipes | formulas | load s | lay out s | values s | write s | whole s | bare XlsxWriter s | write / bare "
          "| whole / bare | peak MiB so far | MB | differing |")
    print("|---|---|---|---|---|---|---|---|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for foods in options.foods:
            print(measure(f"demo, {foods}", None, foods, SPARES, Path(folder)), flush=True)
            for count in options.recipes:
                kitchen = load_kitchen(foods)
                recipes = [random_recipe(kitchen, seed) for seed in range(count)]
                print(measure(f"generated, {foods}", recipes, foods, Spares(0, 0), Path(folder)), flush=True)


if __name__ == "__main__":
    main()
