"""Label rounding: every 0.01 from 0 to 300 against the PyPI library round-nutrition 1.1.1, a second opinion.

Where both differ the text of 21 CFR 101.9(c) decides. ``python -m tests.outside.label_sweep`` prints the table
kept in tests/outside/results/label_rounding.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import round_nutrition as second

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared, declared_text, says_less_than
from workbookgen.session import load_kitchen

SWEEP = 30001
PLAIN: dict[str, Callable[..., str]] = {
    "ENERC_KCAL": second.calories, "FAT": second.total_fat, "FASAT": second.sat_fat, "FATRN": second.trans_fat, "NA": second.sodium,
    "CA": second.calcium, "FE": second.iron, "K": second.mineral.potassium, "MG": second.magnesium, "P": second.phosphorus,
    "ZN": second.zinc, "CU": second.copper, "MN": second.manganese, "SE": second.selenium, "VITC": second.vitamin_c,
    "TOCPHA": second.vitamin_e, "THIA": second.thiamine, "RIBF": second.riboflavin, "NIAEQ": second.niacin, "VITB6A": second.vitamin_b6,
    "PANTAC": second.pantothenic_acid, "VITA_RAE": second.vitamin_a, "FOLDFE": second.folate, "VITK1": second.vitamin_k,
    "VITD": second.vitamin_d, "VITB12": second.vitamin_b12, "CHOLN": second.choline,
}
LESS_THAN: dict[str, Callable[..., str]] = {
    "CHOLE": second.cholesterol, "CHOCDF": second.total_carb, "FIBTG": second.dietary_fiber, "SUGAR": second.total_sugars,
    "SUGAD": second.added_sugars, "PROCNT": second.protein,
}


@dataclass(frozen=True)
class Difference:
    """Amounts from ``first`` to ``last`` that both declare differently, with one example."""

    tag: str
    count: int
    first: float
    last: float
    ours: str
    theirs: str


def sweep(kitchen: Kitchen) -> Iterator[Difference]:
    """Differences per nutrient over the sweep."""
    for tag, function in (PLAIN | LESS_THAN).items():
        rule, unit = kitchen.tables.rounding[tag], kitchen.nutrient_by_tag[tag].unit
        differing = []
        for hundredths in range(SWEEP):
            value = hundredths / 100
            theirs = function(value, minimal=False) if tag in LESS_THAN else function(value)
            number = _number(theirs)
            if says_less_than(value, rule):
                same = number is None or "less" in theirs.lower() or "<" in theirs
            else:
                same = number is not None and "<" not in theirs and abs(number - declared(value, rule)) < 1e-9
            if not same:
                differing.append((value, declared_text(value, rule, unit, 2), theirs))
        if differing:
            yield Difference(tag, len(differing), differing[0][0], differing[-1][0], *differing[0][1:])


def _number(text: str) -> float | None:
    digits = "".join(ch for ch in text if ch.isdigit() or ch == ".")
    return float(digits) if digits else None


def table() -> Iterator[str]:
    yield "| nutrient | differing of 30,001 | from | to | declared here | round-nutrition |\n|---|---|---|---|---|---|"
    for d in sweep(load_kitchen()):
        yield f"| {d.tag} | {d.count} | {d.first:g} | {d.last:g} | {d.ours} | {d.theirs} |"


if __name__ == "__main__":
    print("\n".join(table()))
