"""FoodData Central's CSV downloads: SR Legacy, Foundation and Survey (FNDDS) foods.

File and column names after USDA, FoodData Central, "Download Field Descriptions" (October 2020).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.fdc_foods import FOODS, read_foods, read_nitrogen_factors, read_refuse
from workbookgen.catalogue.importers.fdc_portions import read_portions
from workbookgen.catalogue.importers.files import FileSet
from workbookgen.catalogue.importers.raw import RawFood, RawTable
from workbookgen.catalogue.importers.rules import Candidate, ImportRules
from workbookgen.catalogue.importers.values import ValueReader
from workbookgen.catalogue.sr_ascii import SrValue
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient, Source

LAYOUT = "FoodData Central"
NUTRIENTS, VALUES = "nutrient.csv", "food_nutrient.csv"
DERIVATIONS = "food_nutrient_derivation.csv"
VALUE_COLUMNS = ("fdc_id", "nutrient_id", "amount", "data_points", "derivation_id", "min", "max")


@dataclass(frozen=True, slots=True)
class _Reading:
    """A nutrient of the file that is used: how it becomes a value of which tag."""

    candidate: Candidate
    factor: Decimal


def is_fdc(files: FileSet) -> bool:
    """Say whether the files look like a FoodData Central download."""
    return FOODS in files or VALUES in files


def read_fdc(
    files: FileSet,
    rules: ImportRules,
    nutrients: Collection[Nutrient],
    select: Collection[str] | None,
    reader: ValueReader,
    findings: Findings,
) -> RawTable:
    """Read a download. ``select`` limits to FoodData Central ids, NDB numbers or survey food codes.

    Raises `BadInput` for missing files and columns; faulty rows go to ``findings``.
    """
    lacking = [name for name in rules.fdc["needed"] if name not in files]
    if lacking:
        raise BadInput(files.label, f"lacks {', '.join(lacking)}; give the complete download")
    for name in rules.fdc["helpful"]:
        if name not in files:
            findings.remark(f"{name} is not in the download")
    foods, everything, dates = read_foods(files, rules, findings)
    chosen = _chosen(foods, select, findings)
    read_refuse(files, chosen, findings)
    read_nitrogen_factors(files, chosen)
    readings = _readings(files, rules, nutrients, findings)
    _values(files, chosen, everything, readings, reader, findings)
    read_portions(files, chosen, rules, findings)
    found = {food.source_id for food in chosen.values()}
    sources = [
        Source(kind.source_id, f"{kind.citation} (published {dates[kind.source_id]})", "", rules.licence)
        for kind in rules.types.values()
        if kind.source_id in found
    ]
    return RawTable(files.label, LAYOUT, list(chosen.values()), sources)


def _chosen(
    foods: dict[str, RawFood], select: Collection[str] | None, findings: Findings
) -> dict[str, RawFood]:
    if select is None:
        return foods
    chosen = {fdc_id: food for fdc_id, food in foods.items() if fdc_id in select or food.number in select}
    known = set(chosen) | {food.number for food in chosen.values()}
    for wanted in select:
        if wanted not in known:
            findings.bad("--select", f"there is no food {wanted} in the download")
    return chosen


def _readings(
    files: FileSet, rules: ImportRules, nutrients: Collection[Nutrient], findings: Findings
) -> dict[str, _Reading]:
    """Nutrient ids of the file that are used. Known by number; where the file tells none, by id."""
    units = {nutrient.tag: nutrient.unit for nutrient in nutrients}
    by_number = {candidate.number: candidate for candidate in rules.candidates}
    by_id = {candidate.fdc_id: candidate for candidate in rules.candidates}
    readings: dict[str, _Reading] = {}
    numbers: dict[str, str] = {}
    for row, cells in files.rows(NUTRIENTS, ("id", "name", "unit_name", "nutrient_nbr")):
        if not cells:
            findings.bad(f"{NUTRIENTS} row {row}", "has more or fewer cells than the header")
            continue
        nutrient_id, name, unit, number = (cell.strip() for cell in cells)
        candidate = by_number.get(number) if number else by_id.get(nutrient_id)
        if candidate is None:
            findings.remark("nutrients of the file that are not used", name)
            continue
        factor = rules.factor(unit, units[candidate.tag])
        if factor is None:
            what = f'{name} is in "{unit}", which is not known or does not convert to {units[candidate.tag]}'
            findings.bad(f"{NUTRIENTS} row {row}", what)
        elif nutrient_id in readings:
            findings.bad(f"{NUTRIENTS} row {row}", f"nutrient id {nutrient_id} is used twice")
        else:
            readings[nutrient_id] = _Reading(candidate, factor)
            numbers[number] = nutrient_id
    # Some survey downloads carry the nutrient's number where its id belongs; the two never overlap.
    return {number: readings[found] for number, found in numbers.items() if number} | readings


def _values(
    files: FileSet,
    foods: dict[str, RawFood],
    everything: Collection[str],
    readings: dict[str, _Reading],
    reader: ValueReader,
    findings: Findings,
) -> None:
    codes = _derivations(files)
    best: dict[tuple[str, str], int] = {}
    instead: Counter[str] = Counter()
    for number, cells in files.rows(VALUES, VALUE_COLUMNS):
        if not cells:
            findings.bad(f"{VALUES} row {number}", "has more or fewer cells than the header")
            continue
        fdc_id, nutrient_id, text, points, derivation, low, high = cells
        food, reading = foods.get(fdc_id), readings.get(nutrient_id)
        if food is None:
            if fdc_id not in everything:
                findings.remark(f"values of foods that {FOODS} does not list", fdc_id)
            continue
        if reading is None or not text:
            continue
        tag, order = reading.candidate.tag, reading.candidate.order
        held = best.get((fdc_id, tag))
        place = f"{VALUES} row {number}"
        if held == order:
            findings.bad(place, f"food {fdc_id} has nutrient {reading.candidate.number} twice")
        elif held is None or order < held:
            amount = reader.amount(tag, text, reading.factor, place)
            if amount is not None:
                best[fdc_id, tag] = order
                beside = (reader.beside(low, reading.factor), reader.beside(high, reading.factor))
                food.values[tag] = SrValue(amount, points, "", "", codes.get(derivation, ""), *beside)
    numbers = {(c.tag, c.order): c.number for c in (r.candidate for r in readings.values())}
    for (_, tag), order in best.items():
        if order > 1:
            instead[f"{tag} taken from nutrient {numbers[tag, order]}, the usual one is not printed"] += 1
    for what, count in sorted(instead.items()):
        findings.remark(what, count=count)


def _derivations(files: FileSet) -> dict[str, str]:
    if DERIVATIONS not in files:
        return {}
    return {
        cells[0].strip(): cells[1].strip() for _, cells in files.rows(DERIVATIONS, ("id", "code")) if cells
    }
