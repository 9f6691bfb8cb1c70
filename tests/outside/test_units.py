"""Units against NIST Handbook 44 and against pint's own definitions."""

from __future__ import annotations

import pint
import pytest

from workbookgen.catalogue.tables import load_tables

# NIST Handbook 44, Appendix C, tables of exact equivalents: 1 gallon = 231 cubic inches of 16.387064 mL,
# 1 avoirdupois pound = 453.59237 g, 16 ounces to the pound; cup, tablespoon and teaspoon by their parts.
GALLON_ML = 231 * 16.387064
NIST = {
    "oz": 453.59237 / 16,
    "lb": 453.59237,
    "quart": GALLON_ML / 4,
    "pint": GALLON_ML / 8,
    "cup": GALLON_ML / 16,
    "fl oz": GALLON_ML / 128,
    "tbsp": GALLON_ML / 256,
    "tsp": GALLON_ML / 768,
}
# SI Brochure, 9th edition: prefixes and the litre (table 8).
SI = {"g": 1, "kg": 1000, "mL": 1, "L": 1000}
# Common practice, no source: a dash is 1/8 and a pinch 1/16 of a teaspoon.
KITCHEN = {"dash": GALLON_ML / 768 / 8, "pinch": GALLON_ML / 768 / 16}
# NIST SP 430, Metric household: rounded figures for the kitchen (mL).
NIST_ROUNDED = {"cup": 237, "pint": 473, "quart": 946, "tsp": 4.9, "tbsp": 15, "fl oz": 30}

PINT_NAMES = {
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "cup": "cup",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "fl oz": "fluid_ounce",
    "mL": "milliliter",
    "L": "liter",
    "pint": "pint",
    "quart": "quart",
}

UNITS = {unit.name: unit for unit in load_tables().units}


def test_the_drop_down_offers_these_units_in_this_order() -> None:
    assert list(UNITS) == (
        ["g", "kg", "oz", "lb", "cup", "tbsp", "tsp", "fl oz", "mL", "L", "pint", "quart", "pinch", "dash"]
    )


@pytest.mark.parametrize(("name", "factor"), (NIST | SI | KITCHEN).items())
def test_factors_are_exact(name: str, factor: float) -> None:
    assert UNITS[name].factor == pytest.approx(factor, rel=1e-14)


@pytest.mark.parametrize(("name", "rounded"), NIST_ROUNDED.items())
def test_factors_agree_with_nists_rounded_kitchen_table(name: str, rounded: float) -> None:
    assert UNITS[name].factor == pytest.approx(rounded, rel=0.02)


@pytest.mark.parametrize(("name", "spelled"), PINT_NAMES.items())
def test_factors_agree_with_pint(name: str, spelled: str) -> None:
    base = "gram" if UNITS[name].kind == "mass" else "milliliter"
    assert UNITS[name].factor == pytest.approx(
        pint.UnitRegistry().Quantity(1, spelled).to(base).magnitude, rel=1e-9
    )


@pytest.mark.parametrize(
    ("word", "name"),
    [("tablespoons", "tbsp"), ("teaspoon", "tsp"), ("pounds", "lb"), ("fluid ounce", "fl oz"), ("c", "cup")],
)
def test_words_of_cooks_find_their_unit(word: str, name: str) -> None:
    assert word in UNITS[name].synonyms


def test_single_letters_that_differ_by_capitals_only_are_no_synonyms() -> None:
    words = {word for unit in UNITS.values() for word in unit.synonyms}
    assert {"t", "T"}.isdisjoint(words)
