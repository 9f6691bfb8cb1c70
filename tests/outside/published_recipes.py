"""Recipes that public bodies published with a nutrition table, worked out by the workbook.

Sources stand in published_nutrition.csv; the reading of every ingredient was settled in published_readings.csv
before the first run and is kept. ``python -m tests.outside.published_recipes`` builds a workbook of all recipes,
has it recalculated, reads sheet Results and prints the table kept in tests/outside/results/published_recipes.md.
"""

from __future__ import annotations

import csv
import statistics
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import openpyxl

from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, load_kitchen
from workbookgen.verify import verify
from workbookgen.workbook.build import Spares, build_workbook
from workbookgen.workbook.look import load_look

HERE = Path(__file__).parent
JUDGED = ("ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG", "NA", "K", "CA", "FE")


@dataclass(frozen=True)
class Figure:
    """One printed figure beside the computed one, per serving; ``reads`` says when it is a lower bound."""

    recipe: str
    tag: str
    printed: float
    computed: float
    reads: str

    @property
    def off_pct(self) -> float:
        return (self.computed - self.printed) / self.printed * 100


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(line for line in handle if not line.startswith("#")))


def recipes() -> list[Recipe]:
    """The published recipes as read."""
    lines: dict[str, list[IngredientLine]] = {}
    for row in rows("published_readings.csv"):
        if row["food"]:
            lines.setdefault(row["recipe"], []).append(
                IngredientLine(row["food"], float(row["grams"]), "g", treatment=row["treatment"])
            )
    servings = {row["recipe"]: float(row["servings"]) for row in rows("published_nutrition.csv")}
    return [Recipe(recipe, servings[recipe], tuple(found)) for recipe, found in lines.items()]


def figures(kitchen: Kitchen, folder: Path) -> list[Figure]:
    """Printed and computed figures; the computed ones are read from the built and recalculated workbook.

    Raises AssertionError when core and workbook, or workbook and the second engine, differ anywhere.
    """
    path = folder / "published.xlsx"
    built = build_workbook(kitchen, constant_rows(), recipes(), default_settings(), load_look(), path, spares=Spares(0, 0))
    assert not built.disagreements, built.disagreements[:3]
    assert verify(path, ["ironcalc"]).ok
    found = list(openpyxl.load_workbook(path, data_only=True, read_only=True)["Results"].iter_rows(values_only=True))
    head = next(row for row in found if row and "Recipe" in row)
    at = head.index("Recipe")
    results = {row[at]: dict(zip(head, row, strict=False)) for row in found[found.index(head) + 1 :] if row[at]}
    out = []
    for row in rows("published_nutrition.csv"):
        nutrient = kitchen.nutrient_by_tag[row["nutrient"]]
        result = results[row["recipe"]]
        out.append(Figure(row["recipe"], nutrient.tag, float(row["printed"]),
                          float(result[f"{nutrient.name}, {nutrient.unit} per serving"]), str(result[f"{nutrient.name} reads"] or "")))
    return out


def summary(found: list[Figure]) -> Iterator[str]:
    """Per nutrient: median absolute difference, shares within 10 % and 20 %."""
    yield "| nutrient | figures | median difference, % | within 10 % | within 20 % |\n|---|---|---|---|---|"
    for tag in JUDGED:
        off = [abs(f.off_pct) for f in found if f.tag == tag and f.printed > 0]
        if off:
            yield (f"| {tag} | {len(off)} | {statistics.median(off):.1f} | {sum(o <= 10 for o in off)} of {len(off)} "
                   f"| {sum(o <= 20 for o in off)} of {len(off)} |")


def table() -> Iterator[str]:
    kitchen = load_kitchen()
    with tempfile.TemporaryDirectory() as folder:
        found = figures(kitchen, Path(folder))
    yield from summary(found)
    yield "\n| recipe | nutrient | printed | computed | difference, % | reads |\n|---|---|---|---|---|---|"
    for f in found:
        off = f"{f.off_pct:+.0f}" if f.printed else "-"
        yield f"| {f.recipe} | {f.tag} | {f.printed:g} | {f.computed:.4g} | {off} | {f.reads} |"


if __name__ == "__main__":
    print("\n".join(table()))
