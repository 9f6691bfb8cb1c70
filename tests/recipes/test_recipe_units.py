"""Unit words and what a food knows."""

from __future__ import annotations

import pytest

from workbookgen.catalogue.tables import load_tables
from workbookgen.model.food import FoodTable
from workbookgen.model.tables import Tables, Unit
from workbookgen.recipes.units import UnitWords, convert, make_lookup, units_that_differ_from_pint


@pytest.mark.parametrize(
    ("text", "unit", "grams"),
    [
        ("cup, chopped", "cup, chopped", 67.0), ("Cups chopped", "cup, chopped", 67.0),
        ("c, chopped", "cup, chopped", 67.0), ("leaves", "leaf", 20.0), ("Leaf", "leaf", 20.0),
        ("grams", "g", 1.0), ("Pounds", "lb", 453.59237), ("cups", "cup", 236.5882365 * 0.07),
        ("tablespoons", "tbsp", 14.78676478125 * 0.07), ("T", "tbsp", 14.78676478125 * 0.07),
        ("t", "tsp", 4.92892159375 * 0.07), ("Fluid Ounces", "fl oz", 29.5735295625 * 0.07),
        ("Tbsp.", "tbsp", 14.78676478125 * 0.07),
    ],
)  # fmt: skip
def test_a_unit_is_found_in_many_spellings(
    text: str, unit: str, grams: float, foods: FoodTable, tables: Tables
) -> None:
    lookup = make_lookup(foods, tables)
    kale = lookup.food("kale, raw")
    assert kale is not None
    assert lookup.unit(kale, text) == (unit, pytest.approx(grams, rel=1e-12))


def test_a_volume_is_unknown_without_a_density(foods: FoodTable, tables: Tables) -> None:
    lookup = make_lookup(foods, tables)
    garlic = lookup.food("Garlic, raw")
    assert garlic is not None
    assert lookup.unit(garlic, "cup") is None
    assert lookup.known_units(garlic) == ["clove", "g", "lb"]
    assert lookup.unit(garlic, "cloves") == ("clove", 3.0)


def test_a_spelling_that_only_case_tells_apart_is_never_guessed() -> None:
    units = (Unit("tbsp", "volume", 14.8, ("T",), "", ""), Unit("tsp", "volume", 4.9, ("t",), "", ""))
    words = UnitWords(units)
    assert [unit.name if (unit := words.find(text)) else None for text in ("T", "t")] == ["tbsp", "tsp"]
    shared = UnitWords((Unit("a", "mass", 1, ("Xx",), "", ""), Unit("b", "mass", 2, ("xX",), "", "")))
    assert shared.find("xx") is None


def test_the_nearest_foods_come_from_names_and_synonyms(foods: FoodTable, tables: Tables) -> None:
    lookup = make_lookup(foods, tables)
    assert lookup.nearest_foods("kale") == ["Kale, raw", "Kale, boiled", "Kale, frozen"]
    assert lookup.nearest_foods("green onions")[0] == "Scallions, raw"
    assert len(set(lookup.nearest_foods("zzz"))) == 3


def test_cooked_foods_offer_only_what_their_state_allows(foods: FoodTable, tables: Tables) -> None:
    lookup = make_lookup(foods, tables)
    offered = {food.name: lookup.allowed_treatments(food) for food in foods.foods}
    assert offered["Kale, raw"] == ["none", "boiled, drained", "steamed"]
    assert offered["Kale, boiled"] == ["none", "reheated"]
    assert offered["Salt, table"] == ["none"]


def test_mass_and_volume_units_of_the_catalogue_are_those_of_pint() -> None:
    # pint's default registry follows NIST Handbook 44, Appendix C, and the SI
    assert units_that_differ_from_pint(load_tables().units) == []


def test_a_unit_that_is_not_pints_is_named() -> None:
    wrong = (Unit("cup", "volume", 240.0, (), "cfr_101_9", "seen"),)
    assert units_that_differ_from_pint(wrong) == ["cup is 240, pint says 236.5882365"]


@pytest.mark.parametrize(
    ("value", "old", "new", "expected"),
    [(1.5, "g", "mg", 1500.0), (100, "mcg", "mg", 0.1), (2, "kcal", "kJ", 8.368), (1, "µg", "mcg", 1.0),
     (1, "g", "kcal", None), (1, "cloves", "g", None), (7, "mg", "mg", 7)],
)  # fmt: skip
def test_units_convert_within_their_kind_only(
    value: float, old: str, new: str, expected: float | None
) -> None:
    assert convert(value, old, new) == expected
