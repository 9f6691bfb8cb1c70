"""Household portions of a FoodData Central download as USDA's own WEIGHT lines: amount, words, grams."""

from __future__ import annotations

import re
from collections.abc import Mapping

from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.files import FileSet
from workbookgen.catalogue.importers.raw import RawFood, is_amount
from workbookgen.catalogue.importers.rules import ImportRules
from workbookgen.catalogue.sr_ascii import SrWeight

PORTIONS, UNITS = "food_portion.csv", "measure_unit.csv"
COLUMNS = ("fdc_id", "seq_num", "amount", "measure_unit_id", "portion_description", "modifier", "gram_weight")
#: Survey foods put the amount into the words: "1 cup, cooked", "1/2 large".
LEADING_AMOUNT = re.compile(r"(?:(\d+)/(\d+)|(\d+(?:\.\d+)?))\s+(.+)")
FULL_UNITS = {
    "tablespoon": "tbsp",
    "teaspoon": "tsp",
    "fluid ounce": "fl oz",
    "milliliter": "mL",
    "liter": "L",
}


def read_portions(
    files: FileSet, foods: Mapping[str, RawFood], rules: ImportRules, findings: Findings
) -> None:
    """Add the portions of the chosen foods; without the file there are none."""
    if PORTIONS not in files:
        return
    units: dict[str, str] = {}
    if UNITS in files:
        units = {
            cells[0].strip(): cells[1].strip() for _, cells in files.rows(UNITS, ("id", "name")) if cells
        }
    for number, cells in files.rows(PORTIONS, COLUMNS):
        place = f"{PORTIONS} row {number}"
        if not cells:
            findings.bad(place, "has more or fewer cells than the header")
            continue
        fdc_id, seq, amount, unit_id, description, modifier, grams = (cell.strip() for cell in cells)
        food = foods.get(fdc_id)
        if food is None:
            continue
        if not is_amount(grams) or float(grams) <= 0:
            findings.bad(place, f'gram_weight is "{grams}"; a portion weighs more than 0 g')
            continue
        if unit_id not in units and units:
            findings.bad(place, f"measure unit {unit_id} is not in {UNITS}")
            continue
        amount, words = portion_words(amount, units.get(unit_id, ""), description, modifier, rules)
        if words and is_amount(amount) and float(amount) > 0:
            food.weights.append(SrWeight(seq or str(len(food.weights) + 1), amount, words, grams))
        else:
            findings.remark("portions without usable words", description or modifier)


def portion_words(
    amount: str, unit: str, description: str, modifier: str, rules: ImportRules
) -> tuple[str, str]:
    """Amount and words of one portion; empty words when they say nothing.

    SR Legacy puts the words into ``modifier``, Foundation names the unit and modifies it, survey foods
    write everything into ``description`` and a code number into ``modifier``.
    """
    named = unit.casefold() not in rules.fdc["no_unit"]
    telling = modifier if not modifier.isdecimal() else ""
    if named:
        unit = FULL_UNITS.get(unit.casefold(), unit)
        return amount or "1", f"{unit}, {telling}" if telling else unit
    if telling:
        return amount or "1", telling
    if description.casefold() in rules.fdc["no_portion"]:
        return "", ""
    match = LEADING_AMOUNT.fullmatch(description)
    if match is None:
        return amount or "1", description
    over, under, whole, words = match.groups()
    return (whole or str(round(int(over) / int(under), 6)) if int(under or 1) else ""), words
