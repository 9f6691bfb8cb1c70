"""All nutrients of a recipe as a tidy table: one row for each nutrient and basis.

>>> from workbookgen import analyse, load
>>> book = load()
>>> text = as_csv(book.kitchen, analyse(book, "Fruit and walnut slaw"))
>>> print(text.splitlines()[0])
recipe,basis,basis_g,weight,tag,nutrient,unit,reads,amount,coverage,dv_pct,reference_set,sources
>>> [row.split(",")[3:8] for row in text.splitlines() if ",serving," in row and ",STARCH," in row]
[['estimated', 'STARCH', 'Starch', 'g', 'at least']]
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

from workbookgen.exchange.cells import NOT_KNOWN, csv_text, reading
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.food import Food
from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.kitchen import NOTHING_LOST, Kitchen
from workbookgen.nutrition.label import shown

COLUMNS = (
    "recipe", "basis", "basis_g", "weight", "tag", "nutrient", "unit", "reads", "amount", "coverage",
    "dv_pct", "reference_set", "sources",
)  # fmt: skip
DECIMALS = 6
WORKED_OUT_BY = {"FOL": ("FOLFD", "FOLAC"), "FOLDFE": ("FOLFD", "FOLAC"), "NIAEQ": ("NIA", "TRP")}
JOIN = " | "
_BORROWED = re.compile(r"borrowed from (\w+)")


def as_csv(kitchen: Kitchen, analysis: Analysis) -> str:
    """The table as text, lines ending in ``\\n``.

    Columns: ``basis`` is serving, 100 g or recipe and ``basis_g`` its weight (g), which is "weighed" or
    "estimated"; ``reads`` tells how ``amount`` (in ``unit``) must be read: exact, at least, at most, or not
    known, where the amount is empty; ``coverage`` is the share (0 to 1) of the ingredient weight, water left
    out, whose value is known; ``dv_pct`` the per cent of the daily value in ``reference_set``, with the same
    reading; ``sources`` cites the tables the amount comes from. Figures carry up to 6 decimals.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    weight = "weighed" if analysis.cooked_weight_weighed else "estimated"
    for nutrient in kitchen.tables.nutrients:
        result = analysis.nutrients[nutrient.tag]
        reads, cited = reading(result), JOIN.join(sources_of(kitchen, analysis, nutrient))
        for basis, grams, amount in (
            ("serving", analysis.serving_g, result.serving),
            ("100 g", 100.0, result.per_100g),
            ("recipe", analysis.cooked_weight, result.dish),
        ):
            known = reads != NOT_KNOWN
            dv_pct = result.dv_pct if basis == "serving" and known else None
            writer.writerow([
                csv_text(analysis.recipe.title), basis, shown(grams, DECIMALS), weight, nutrient.tag,
                csv_text(nutrient.name), nutrient.unit, reads, shown(amount, DECIMALS) if known else "",
                shown(result.coverage, DECIMALS), "" if dv_pct is None else shown(dv_pct, DECIMALS),
                analysis.settings.reference_set if dv_pct is not None else "", csv_text(cited),
            ])  # fmt: skip
    return out.getvalue()


def sources_of(kitchen: Kitchen, analysis: Analysis, nutrient: Nutrient) -> list[str]:
    """Citations behind one nutrient: the food tables of the lines that bring a value, in order of the lines,
    the tables of what cooking keeps, and how a nutrient that no food table prints comes about."""
    ids: dict[str, None] = {}
    bringing = [line for line in analysis.lines if line.values[nutrient.tag] is not None and line.edible > 0]
    for line in bringing:
        ids.setdefault(_food_source(line.source_food, nutrient))
    for line in bringing:
        if _loses(kitchen, line, nutrient):
            ids.setdefault(kitchen.retention_by_code[line.keep_code].source_id)
    worked_out = [f"note: {nutrient.note}"] if ids and nutrient.note and not nutrient.usda_no else []
    return [*(citation(kitchen, found) for found in ids if found), *worked_out]


def every_source(kitchen: Kitchen, analysis: Analysis) -> list[str]:
    """Citations behind all figures of a recipe, without the notes on single nutrients."""
    found = [s for n in kitchen.tables.nutrients for s in sources_of(kitchen, analysis, replace(n, note=""))]
    return list(dict.fromkeys(found))


def _food_source(food: Food, nutrient: Nutrient) -> str:
    """Source id of a food's value: the food's own, unless its provenance names another for this block."""
    block = next((p for p in food.provenance.split("; ") if p.startswith(f"{nutrient.block}: ")), "")
    other = _BORROWED.search(block)
    if other:
        return other[1]
    return food.source_id or food.source_description or f"the programme's own food: {food.name}"


def _loses(kitchen: Kitchen, line: LineResult, nutrient: Nutrient) -> bool:
    """True when a retention factor was applied to this nutrient, or to what it is worked out from."""
    parts = WORKED_OUT_BY.get(nutrient.tag, (nutrient.tag,))
    kept = any(kitchen.nutrient_by_tag[tag].keep for tag in parts)
    return kept and line.keep_code != NOTHING_LOST


def citation(kitchen: Kitchen, source: str) -> str:
    """The full citation of a source id; other words stay as they are."""
    found = kitchen.tables.sources.get(source)
    return found.citation if found else source
