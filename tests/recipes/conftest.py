"""A small kitchen for the recipe tests, and writing of recipe files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from recipe_texts import SOUP

from workbookgen.model.food import Food, FoodTable, Measure
from workbookgen.model.tables import (
    Nutrient,
    PlateGroup,
    PlateModel,
    ReferenceSet,
    ReferenceValue,
    Source,
    Tables,
    Treatment,
    Unit,
)

_FOODS = (
    Food("k1", "Kale, raw", "Vegetables", "raw", "vegetable", {}, keep_group="greens", g_per_ml=0.07),
    Food("k2", "Kale, boiled", "Vegetables", "cooked", "vegetable", {}, keep_group="greens", g_per_ml=0.5),
    Food("k3", "Kale, frozen", "Vegetables", "frozen", "vegetable", {}, keep_group="greens", g_per_ml=0.5),
    Food("g1", "Garlic, raw", "Vegetables", "raw", "seasoning", {}, synonyms="garlic clove"),
    Food("s1", "Scallions, raw", "Vegetables", "raw", "vegetable", {}, synonyms="green onion; spring onion"),
    Food("w1", "Water, tap", "Beverages", "ready", "liquid", {}, g_per_ml=1.0, aisle="Water"),
    Food("b1", "Chicken broth", "Stocks and soups", "ready", "liquid", {}, g_per_ml=1.0),
    Food("t1", "Salt, table", "Herbs and spices", "ready", "seasoning", {}, g_per_ml=1.2),
)
_MEASURES = (
    Measure("k1", "cup, chopped", 67.0, 1, "usda_sr28"),
    Measure("k1", "leaf", 20.0, 2, "usda_sr28"),
    Measure("g1", "clove", 3.0, 1, "usda_sr28"),
)
_UNITS = (
    Unit("g", "mass", 1.0, ("gram", "grams"), "bipm_si", "seen"),
    Unit("lb", "mass", 453.59237, ("pound", "pounds"), "nist_hb44", "seen"),
    Unit("cup", "volume", 236.5882365, ("cups", "c"), "nist_hb44", "seen"),
    Unit("tbsp", "volume", 14.78676478125, ("tablespoon", "tablespoons", "T"), "nist_hb44", "seen"),
    Unit("tsp", "volume", 4.92892159375, ("teaspoon", "teaspoons", "t"), "nist_hb44", "seen"),
    Unit("fl oz", "volume", 29.5735295625, ("fluid ounce", "fluid ounces"), "nist_hb44", "seen"),
)
_TREATMENTS = (
    Treatment("greens", "boiled, drained", ("raw",), "3005", ""),
    Treatment("greens", "steamed", ("raw", "frozen"), "3004", ""),
    Treatment("greens", "reheated", ("cooked", "canned", "drained", "rinsed"), "3018", ""),
)


def _nutrient(tag: str, name: str, unit: str) -> Nutrient:
    return Nutrient(tag, name, unit, 1, "Minerals", "", "", True)


@pytest.fixture
def foods() -> FoodTable:
    return FoodTable("small kitchen", _FOODS, _MEASURES)


@pytest.fixture
def tables() -> Tables:
    daily = {tag: ReferenceValue(tag, 18.0, "RDI", "cfr_101_9", "seen") for tag in ("FE", "NA")}
    plate = PlateModel(
        "practice", "Practice", (PlateGroup("All", 100, ("vegetable", "legume")),), "x", "seen"
    )
    return Tables(
        nutrients=(
            _nutrient("FE", "Iron", "mg"),
            _nutrient("NA", "Sodium", "mg"),
            _nutrient("ENERC_KCAL", "Energy", "kcal"),
            _nutrient("LYCPN", "Lycopene", "mcg"),
        ),
        units=_UNITS,
        retention=(),
        treatments=_TREATMENTS,
        yields=(),
        reference_sets=(ReferenceSet("us", "US", daily),),
        rounding={},
        plate_models=(plate,),
        sources={"usda_sr28": Source("usda_sr28", "USDA SR28")},
    )


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Writes a recipe file and gives its path."""

    def writer(text: str | bytes = SOUP, name: str = "soup.toml") -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return writer
