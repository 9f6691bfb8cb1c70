"""Corrected scores of single foods, from USDA's amino acids, beside published ones.

``python -m tests.outside.protein_scores`` prints the table kept in tests/outside/results/protein_scores.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.csvread import read_rows
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.protein import amino_mg, corrected, reference_protein, score

CASES = Path(__file__).with_name("protein_scores.csv")
#: Scores within this of each other are called equal: samples, varieties and laboratories differ by as much.
NEAR = 0.10


@dataclass(frozen=True, slots=True)
class Compared:
    """One food: published and computed corrected score, limiting amino acid, digestibility used (0-1)."""

    food: str
    pattern: str
    published: float
    computed: float
    limiting: str
    digestibility: float
    source: str
    status: str

    @property
    def near(self) -> bool:
        return abs(self.computed - self.published) <= NEAR


def compare(kitchen: Kitchen) -> list[Compared]:
    """Every case, in the order of the file."""
    patterns = {p.id: p for p in kitchen.tables.science.patterns}
    found = []
    for row in read_rows(CASES, ("food", "pattern", "published", "source", "status")):
        food = kitchen.food_by_name[row.text("food").lower()]
        mg = amino_mg(food.values)
        assert mg is not None
        protein = reference_protein(food, food.values["PROCNT"], kitchen.constants["protein_factor"])
        pct = food.digestibility or kitchen.constants["protein_digestibility_floor"]
        pattern = patterns[row.text("pattern")]
        _, value = corrected(mg, protein, protein * pct / 100, pattern)
        assert value is not None
        found.append(Compared(food.name, pattern.id, row.number_in("published"), value, score(mg, protein, pattern).limiting,
                              pct / 100, row.text("source"), row.text("status")))
    return found


def table(cases: list[Compared]) -> str:
    """The cases as a Markdown table."""
    lines = ["| food | pattern | published | computed | limiting | digestibility | within 0.10 | source | status |",
             "|---|---|---|---|---|---|---|---|---|"]
    lines += [f"| {c.food} | {c.pattern} | {c.published:.2f} | {c.computed:.2f} | {c.limiting} | {c.digestibility:.2f} | "
              f"{'yes' if c.near else 'no'} | {c.source} | {c.status} |" for c in cases]
    return "\n".join([*lines, "", f"{sum(c.near for c in cases)} of {len(cases)} within {NEAR:.2f}."])


if __name__ == "__main__":
    from workbookgen.session import load_kitchen

    print(table(compare(load_kitchen())))
