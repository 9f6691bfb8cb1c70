"""One line: retention, yields, drained meat, liquids, unknown values."""

from __future__ import annotations

import pytest

from workbookgen.model.analysis import LineResult, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.lines import work_out_line

SETTINGS = Settings(water_boiled_off_pct=10)


def line(kitchen: Kitchen, food: str, amount: float = 100, unit: str = "g", **more: object) -> LineResult:
    return work_out_line(kitchen, IngredientLine(food, amount, unit, **more), SETTINGS, "here")  # type: ignore[arg-type]


def test_raw_food_brings_its_row_times_weight(kitchen: Kitchen) -> None:
    food = kitchen.food_by_name["kale, raw"]
    found = line(kitchen, "Kale, raw", 250)
    assert found.values["K"] == pytest.approx(2.5 * food.values["K"])
    assert found.cooked == 250


def test_boiling_keeps_what_the_retention_row_says(kitchen: Kitchen) -> None:
    """USDA Table of Nutrient Retention Factors R6, code 3006: greens boiled, water used: vitamin C 70 %."""
    food = kitchen.food_by_name["kale, raw"]
    found = line(kitchen, "Kale, raw", treatment="boiled, water used")
    assert found.keep_code == "3006"
    assert found.values["VITC"] == pytest.approx(food.values["VITC"] * 0.70)
    assert found.values["PROCNT"] == pytest.approx(food.values["PROCNT"])


def test_poured_off_drippings_use_the_cooked_row_times_yield(kitchen: Kitchen) -> None:
    raw = next(f for f in kitchen.fixed_foods if f.keep_group == "beef_ground" and f.state == "raw" and f.counterpart_id)
    treatment = next(t for t in kitchen.offers(raw.keep_group, raw.state) if t.drippings == "lost")
    cooked = kitchen.counterpart(raw)
    assert cooked is not None
    found = line(kitchen, raw.name, treatment=treatment.name)
    assert found.source_food is cooked
    assert found.source_grams == pytest.approx(100 * found.yield_factor)
    assert found.values["FAT"] == pytest.approx(found.source_grams / 100 * cooked.values["FAT"])
    assert not found.at_most


def test_drained_meat_without_cooked_row_reads_at_most(kitchen: Kitchen) -> None:
    raw = next(
        f for f in kitchen.fixed_foods
        if not f.counterpart_id and any(t.drippings == "lost" for t in kitchen.offers(f.keep_group, f.state))
    )
    treatment = next(t for t in kitchen.offers(raw.keep_group, raw.state) if t.drippings == "lost")
    assert line(kitchen, raw.name, treatment=treatment.name).at_most


@pytest.mark.parametrize(("fate", "in_dish", "edible"), [("", 100, 100), ("stays", 90, 100), ("absorbed", 0, 100), ("poured off", 0, 0)])
def test_water_follows_its_fate(kitchen: Kitchen, fate: str, in_dish: float, edible: float) -> None:
    found = line(kitchen, "Water, tap", water=fate)
    assert found.cooked == pytest.approx(in_dish)
    assert found.edible == pytest.approx(edible)
    assert found.weight_without_water == 0


def test_unknown_is_not_zero(kitchen: Kitchen) -> None:
    food = next(f for f in kitchen.fixed_foods if "LYS" not in f.values)
    assert line(kitchen, food.name).values["LYS"] is None


def test_alcohol_lost_takes_its_energy_along(kitchen: Kitchen) -> None:
    food = next(f for f in kitchen.fixed_foods if f.keep_group == "alcohol" and f.values.get("ALC", 0) > 5)
    treatment = next(t for t in kitchen.offers("alcohol", food.state) if "2 hour" in t.name)
    kept = kitchen.retention_by_code[treatment.code].pct["ALC"] / 100
    found = line(kitchen, food.name, treatment=treatment.name)
    lost_kcal = food.values["ALC"] * (1 - kept) * kitchen.constants["alcohol_kcal"]
    assert found.values["ENERC_KCAL"] == pytest.approx(food.values["ENERC_KCAL"] - lost_kcal)
    assert found.values["ALC"] == pytest.approx(food.values["ALC"] * kept)


def test_folate_equivalents_weigh_folic_acid(kitchen: Kitchen) -> None:
    """DFE = food folate + 1.7 x folic acid (21 CFR 101.9(c)(8)(iv); the factor 1.7 is the customary reciprocal of 0.6)."""
    food = next(f for f in kitchen.fixed_foods if f.values.get("FOLAC", 0) > 50)
    found = line(kitchen, food.name)
    assert found.values["FOLDFE"] == pytest.approx(food.values["FOLFD"] + 1.7 * food.values["FOLAC"])


@pytest.mark.parametrize(("food", "unit", "treatment", "says"), [
    ("Unicorn, raw", "g", "none", "not in the food table"),
    ("Kale, raw", "barrel", "none", "unit 'barrel' is not known"),
    ("Kale, raw", "g", "melted", "is not offered"),
])
def test_what_is_not_known_is_said_in_one_sentence(kitchen: Kitchen, food: str, unit: str, treatment: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        line(kitchen, food, unit=unit, treatment=treatment)
