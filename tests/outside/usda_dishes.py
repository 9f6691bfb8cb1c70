"""USDA's own composite dishes, recomputed from the compositions it printed.

Source: USDA National Nutrient Database for Standard Reference, Release 28 (2015), FOOTNOTE file (whole per
cents) and the dishes' own rows in the same table. A printed per cent p stands for anything from p - 0.5 to
p + 0.5, so each nutrient has an interval; the published value, give or take half a unit of its last printed
digit (NUTR_DEF, number of decimals), should lie in it.

``python -m tests.outside.usda_dishes`` prints the table kept in tests/outside/results/usda_dishes.md.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, load_kitchen

HALF = 0.5
DECIMALS = {  # NUTR_DEF of Release 28
    "ENERC_KCAL": 0, "WATER": 2, "PROCNT": 2, "FAT": 2, "CHOCDF": 2, "FIBTG": 1, "SUGAR": 2, "STARCH": 2, "ASH": 2, "ALC": 1, "CAFFN": 0,
    "FASAT": 3, "FATRN": 3, "FAMS": 3, "FAPU": 3, "F18D2CN6": 3, "F18D3CN3": 3, "F20D5N3": 3, "F22D6N3": 3, "CHOLE": 0, "CA": 0, "FE": 2,
    "MG": 0, "P": 0, "K": 0, "NA": 0, "ZN": 2, "CU": 3, "MN": 3, "SE": 1, "VITC": 1, "THIA": 3, "RIBF": 3, "NIA": 3, "PANTAC": 3,
    "VITB6A": 3, "FOLFD": 0, "FOLAC": 0, "FOLDFE": 0, "VITB12": 2, "CHOLN": 1, "VITA_RAE": 0, "RETOL": 0, "CARTB": 0, "CARTA": 0,
    "CRYPXB": 0, "LYCPN": 0, "LUT+ZEA": 0, "TOCPHA": 2, "VITD": 1, "VITK1": 1, "HIS": 3, "ILE": 3, "LEU": 3, "LYS": 3, "MET": 3, "CYS": 3,
    "PHE": 3, "TYR": 3, "THR": 3, "TRP": 3, "VAL": 3,
}


@dataclass(frozen=True)
class Compared:
    """One nutrient of one dish per 100 g: the published value and the interval that the per cents allow."""

    tag: str
    published: float
    low: float
    high: float

    @property
    def inside(self) -> bool:
        slack = HALF * 10.0 ** -DECIMALS[self.tag] + 1e-9
        return self.low - slack <= self.published <= self.high + slack


def compositions() -> dict[str, list[tuple[str, float]]]:
    """Dish number -> (ingredient number, per cent) as printed."""
    found: dict[str, list[tuple[str, float]]] = {}
    with (Path(__file__).parent / "usda_dishes.csv").open(encoding="utf-8", newline="") as handle:
        for row in csv.DictReader(line for line in handle if not line.startswith("#")):
            found.setdefault(row["dish_no"], []).append((row["ingredient_no"], float(row["percent"])))
    return found


def edge_recipe(kitchen: Kitchen, dish: str, sign: int) -> Recipe:
    """100 g of a dish with every per cent half a point down (-1) or up (+1)."""
    lines = tuple(
        IngredientLine(kitchen.food_by_id["sr" + number].name, max(0.0, percent + sign * HALF), "g")
        for number, percent in compositions()[dish]
    )
    return Recipe(f"Dish {dish} {'low' if sign < 0 else 'high'}", 1, lines, cooked_weight_g=100)


def compare(kitchen: Kitchen, published: Kitchen, dish: str) -> list[Compared]:
    """Every nutrient that the workbook carries, the dish's row prints and every ingredient knows."""
    settings = default_settings()
    low, high = (analyse_recipe(kitchen, edge_recipe(kitchen, dish, sign), settings).nutrients for sign in (-1, 1))
    row = published.food_by_id["sr" + dish].values
    return [
        Compared(tag, row[tag], low[tag].per_100g, high[tag].per_100g)
        for tag in DECIMALS
        if tag in row and high[tag].coverage == 1
    ]


def table() -> Iterator[str]:
    """Markdown: a line per dish, then every nutrient that falls outside."""
    kitchen, published = load_kitchen(), load_kitchen("usda")
    yield "| dish | inside | compared | share |\n|---|---|---|---|"
    misses = []
    for dish in compositions():
        found = compare(kitchen, published, dish)
        inside = sum(c.inside for c in found)
        yield f"| {published.food_by_id['sr' + dish].source_description} | {inside} | {len(found)} | {inside / len(found):.0%} |"
        misses += [(dish, c) for c in found if not c.inside]
    yield "\n| dish | nutrient | published | interval |\n|---|---|---|---|"
    for dish, c in misses:
        yield f"| {dish} | {c.tag} | {c.published:g} | {c.low:.4g} to {c.high:.4g} |"


if __name__ == "__main__":
    print("\n".join(table()))
