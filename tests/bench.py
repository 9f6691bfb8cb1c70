"""Benchmark: ``python -m tests.bench [--recipes 50 200] [--foods kitchen usda] [--alone 1000] [--out FILE.md]``.

Each row is a process of its own: seconds, peak memory and file size of a whole build (load, analysis, stored values,
writing), beside bare XlsxWriter writing the same cells, formulas and values in the same run, without any look. A book
above 60 recipes is written in batches; bare XlsxWriter then gets every sheet as it comes, in its way that holds one row
(``constant_memory``). ``--alone`` names sizes that are built without the comparison.
"""

from __future__ import annotations

import argparse
import itertools
import math
import platform
import resource
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import xlsxwriter

from tests.generate import random_recipe
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.collector import collector_paused
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import with_variants
from workbookgen.session import default_settings, load_checked, load_kitchen, open_folders
from workbookgen.workbook import write
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.build import SPARES, Spares, build_workbook, lay_out
from workbookgen.workbook.hub_sheets import MOST_SLOTS
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

MEBI = 2**20
HEADS = ("book", "recipes", "formulas", "load s", "lay out s", "values s", "write s", "whole s", "bare XlsxWriter s", "write / bare",
         "whole / bare", "peak MiB", "MB", "differing")


@dataclass(frozen=True)
class Row:
    """One build. Seconds of steps are not known apart when a book is written in batches."""

    name: str
    recipes: int
    formulas: int
    load: float
    steps: tuple[float, float, float] | None
    whole: float
    bare: float | None
    peak: float
    size: int
    differing: int

    def line(self) -> str:
        steps = [f"{s:.2f}" for s in self.steps] if self.steps else ["in batches"] * 3
        bare, all_ratio = (f"{self.bare:.2f}", f"{self.whole / self.bare:.2f}") if self.bare else ("-", "-")
        ratio = f"{self.steps[2] / self.bare:.2f}" if self.steps and self.bare else "-"
        cells = (self.name, self.recipes, f"{self.formulas:,}", f"{self.load:.2f}", *steps, f"{self.whole:.2f}", bare, ratio, all_ratio,
                 f"{self.peak:.0f}", f"{self.size / 1e6:.2f}", self.differing)
        return "| " + " | ".join(map(str, cells)) + " |"


def put_bare(workbook: Any, sheet: Sheet) -> None:
    """One sheet's cells without any look, rows in order."""
    handle = workbook.add_worksheet(sheet.name)
    for (row, col), cell in sorted(sheet.cells.items(), key=lambda item: item[0]):
        if cell.formula:
            handle.write_formula(row, col, cell.formula, None, cell.value)
        elif isinstance(cell.value, bool):
            handle.write_boolean(row, col, cell.value)
        elif isinstance(cell.value, int | float):
            handle.write_number(row, col, cell.value)
        elif cell.value:
            handle.write_string(row, col, cell.value)


class Bare:
    """Bare XlsxWriter beside a book that is written in batches, with the seconds it took."""

    def __init__(self, path: Path) -> None:
        self.seconds = 0.0
        self._workbook = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False, "constant_memory": True})

    def put(self, sheet: Sheet) -> None:
        began = time.perf_counter()
        put_bare(self._workbook, sheet)
        self.seconds += time.perf_counter() - began

    def close(self) -> None:
        began = time.perf_counter()
        self._workbook.close()
        self.seconds += time.perf_counter() - began


def bare_seconds(book: Book, path: Path) -> float:
    """Seconds for standard XlsxWriter to write the same cells, formulas and values."""
    began = time.perf_counter()
    workbook = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    for sheet in book.sheets:
        put_bare(workbook, sheet)
    workbook.close()
    return time.perf_counter() - began


def peak_mib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / MEBI


def given(kitchen: Kitchen, count: int) -> list[Recipe]:
    return [random_recipe(kitchen, seed) for seed in range(count)]


def measure(foods: str, count: int, compare: bool) -> Row:
    """One row: the demo (``count`` 0) or generated recipes, held whole or in batches as the build itself decides."""
    with tempfile.TemporaryDirectory() as folder, collector_paused():
        began = time.perf_counter()
        kitchen, settings = load_kitchen(foods), default_settings()
        if count:
            recipes = given(kitchen, count)
        else:
            kitchen, settings = open_folders(kitchen, [data_path("demo")])
            recipes = load_checked(kitchen, [data_path("demo")])
        load = time.perf_counter() - began
        name, spares = f"generated, {foods}" if count else f"demo, {foods}", Spares(0, 0) if count else SPARES
        out, look = Path(folder) / "book.xlsx", load_look()
        if len(with_variants(recipes)) > MOST_SLOTS:
            return in_batches(name, kitchen, recipes, out, load, compare)
        started = time.perf_counter()
        book, _ = lay_out(kitchen, constant_rows(), recipes, settings, look, spares)
        laid = time.perf_counter()
        differing = fill(book)
        filled = time.perf_counter()
        write_book(book, out, look)
        written = time.perf_counter()
        peak, steps = peak_mib(), (laid - started, filled - laid, written - filled)
        bare = bare_seconds(book, Path(folder) / "bare.xlsx") if compare else None
        return Row(name, len(with_variants(recipes)), book.formula_count(), load, steps, load + sum(steps), bare, peak, out.stat().st_size,
                   len(differing))


def in_batches(name: str, kitchen: Kitchen, recipes: Sequence[Recipe], out: Path, load: float, compare: bool) -> Row:
    """A row for a book above the largest that is held whole."""
    bare = Bare(out.with_name("bare.xlsx")) if compare else None
    put = write.BookWriter.put

    def both(self: write.BookWriter, sheet: Sheet, settle: bool = False) -> None:
        if bare is not None:
            bare.put(sheet)
        put(self, sheet, settle)

    if bare is not None:
        write.BookWriter.put = both  # type: ignore[method-assign]
    began = time.perf_counter()
    built = build_workbook(kitchen, constant_rows(), recipes, default_settings(), load_look(), out, spares=Spares(0, 0))
    whole = time.perf_counter() - began
    peak = peak_mib()
    if bare is not None:
        whole -= bare.seconds
        bare.close()
    return Row(name, built.recipes, built.formulas, load, None, load + whole, bare.seconds if bare else None, peak, out.stat().st_size,
               len(built.disagreements))


def growth(rows: Sequence[Row]) -> list[str]:
    """How seconds, memory and bytes grow with the recipes: the exponent between two sizes (1 = in step)."""
    found = []
    kept = [r for r in rows if r.name == "generated, kitchen"]
    for one, other in itertools.pairwise(kept):
        more = math.log(other.recipes / one.recipes)
        powers = (math.log(other.whole / one.whole), math.log(other.peak / one.peak), math.log(other.size / one.size))
        found.append(f"| {one.recipes} to {other.recipes} | " + " | ".join(f"{p / more:.2f}" for p in powers) + " |")
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--recipes", type=int, nargs="*", default=[50])
    parser.add_argument("--foods", nargs="*", default=["kitchen"])
    parser.add_argument("--alone", type=int, nargs="*", default=[], help="sizes built on the kitchen table, nothing beside")
    parser.add_argument("--out", type=Path, help="file for the tables, beside printing them")
    options = parser.parse_args()
    wanted = [("kitchen", 0, True)] if "kitchen" in options.foods else []
    wanted += [(foods, count, True) for foods in options.foods for count in options.recipes if foods == "kitchen" or count <= MOST_SLOTS]
    wanted += [("kitchen", count, False) for count in options.alone]
    lines = [f"| {' | '.join(HEADS)} |", "|---" * len(HEADS) + "|"]
    print("\n".join(lines), flush=True)
    rows = []
    for each in wanted:
        with ProcessPoolExecutor(1, get_context("spawn")) as pool:
            rows.append(pool.submit(measure, *each).result())
        print(rows[-1].line(), flush=True)
    lines += [row.line() for row in rows]
    more = growth(rows)
    if more:
        lines += ["", "| recipes | seconds | peak memory | bytes |", "|---|---|---|---|", *more]
        print("\n".join(lines[-len(more) - 3:]))
    if options.out:
        command = " ".join(["python -m tests.bench", *(a for a in sys.argv[1:] if a not in ("--out", str(options.out)))])
        head = f"# Size and speed\n\nCommand: `{command}`, Python {platform.python_version()}, XlsxWriter {xlsxwriter.__version__}.\n\n"
        options.out.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
