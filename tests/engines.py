"""Engines on many cells: ``python -m tests.engines [--books 20] [--recipes 10] [--engine all] [--foods kitchen]``.

Builds workbooks of generated recipes and lets independent engines recalculate each whole file; prints cells,
differences and seconds per engine. Exits 1 on any difference.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.generate import random_recipe
from workbookgen.catalogue.constants import constant_rows
from workbookgen.session import default_settings, load_kitchen
from workbookgen.verify import verify
from workbookgen.workbook.build import Spares, build_workbook
from workbookgen.workbook.look import load_look

ENGINES = ("formualizer", "ironcalc", "libreoffice", "formulas")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=5)
    parser.add_argument("--recipes", type=int, default=10)
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--engine", nargs="*", default=["formualizer"], choices=[*ENGINES, "all"])
    parser.add_argument("--foods", default="kitchen")
    options = parser.parse_args()
    engines = list(ENGINES) if "all" in options.engine else options.engine
    kitchen = load_kitchen(options.foods)
    compared: Counter[str] = Counter()
    differing: Counter[str] = Counter()
    seconds: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for book in range(options.books):
            first = options.first + book * options.recipes
            recipes = [random_recipe(kitchen, seed) for seed in range(first, first + options.recipes)]
            path = Path(folder) / f"book{book}.xlsx"
            built = build_workbook(kitchen, constant_rows(), recipes, default_settings(), load_look(), path, spares=Spares(1, 1))
            differing["core"] += len(built.disagreements)
            compared["core"] += sum(c.from_core for s in built.book.sheets for c in s.cells.values())
            for result in verify(path, engines).results:
                compared[result.engine] += result.compared
                differing[result.engine] += len(result.differing)
                seconds[result.engine] += result.seconds
    print("| engine | cells | differing | seconds |\n|---|---|---|---|")
    for engine in compared:
        print(f"| {engine} | {compared[engine]:,} | {differing[engine]} | {seconds[engine]:.1f} |")
    sys.exit(1 if any(differing.values()) else 0)


if __name__ == "__main__":
    main()
