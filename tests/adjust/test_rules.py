"""The tables of kitchen sense fit the food table and each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.dishes import dish, line
from workbookgen.adjust import rules as rules_module
from workbookgen.adjust.items import step_modes, unit_kind
from workbookgen.adjust.rules import NOT_THERE, load_rules
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.amounts import grams_per_unit, units_offered
from workbookgen.nutrition.kitchen import Kitchen


def test_every_food_to_add_is_known_with_unit_and_treatments(kitchen: Kitchen) -> None:
    for row in load_rules().additions:
        food = kitchen.food_by_name[row.food.lower()]
        offered = {t.name for t in kitchen.offers(food.keep_group, food.state)}
        assert grams_per_unit(kitchen, food, row.unit), row.food
        assert {row.hot, row.cold} - {NOT_THERE} <= offered, row.food
        assert {row.hot, row.cold} != {NOT_THERE}, row.food


def test_at_least_forty_foods_may_be_added() -> None:
    assert len(load_rules().additions) >= 40


def test_every_sibling_is_known_and_another_food(kitchen: Kitchen) -> None:
    for name, siblings in load_rules().swaps.items():
        assert name in kitchen.food_by_name
        for sibling in siblings:
            assert sibling.lower() in kitchen.food_by_name, sibling
            assert sibling.lower() != name


def test_every_unit_of_every_food_has_kitchen_steps(kitchen: Kitchen) -> None:
    rules = load_rules()
    for food in kitchen.fixed_foods:
        for unit, _ in units_offered(kitchen, food):
            kind, head = unit_kind(kitchen, unit)
            assert rules.steps_of(food, kind, head), (food.name, unit)


@pytest.mark.parametrize(("food", "unit", "steps"), [
    ("Egg, whole, raw", "large", [1.0, 2.0, 3.0, 4.0]), ("Black beans, canned, with liquid", "can (15 oz)", [1.0, 2.0, 3.0, 4.0]),
    ("Onions, raw", "medium", [0.5, 1.0, 1.5, 2.5, 3.0, 3.5, 4.0]), ("Salt, table", "tsp", [0.125, 0.25, 0.375, 0.5, 0.75]),
    ("Milk, whole", "cup", [0.25, 0.5, 0.75]), ("Milk, whole", "tbsp", [0.5, 1.0, 1.5, 2.5, 3.0, 3.5, 4.0]),
])  # fmt: skip
def test_kitchens_measure_whole_eggs_whole_cans_and_quarter_cups(kitchen: Kitchen, food: str, unit: str, steps: list[float]) -> None:
    kind, head = unit_kind(kitchen, unit)
    found = load_rules().steps_of(kitchen.food_by_name[food.lower()], kind, head)
    base, most = (1.0, 0.99) if head in ("tsp", "cup") else (2.0, 4.0)
    if head in ("large", "can"):
        base = 10.0
    modes = step_modes(found, 0, base, 0.0, most, 0.0)
    assert sorted({float(m.step * n) for m in modes for n in range(m.low, m.high + 1)}) == steps


@pytest.mark.parametrize(("food", "more", "water", "bound"), [
    ("Salt, table", {}, "", "salt"), ("Butter, salted", {}, "", "fat"), ("Soy sauce", {}, "", "salty_seasoning"),
    ("Baking powder, double-acting, sulfate", {}, "", "setting"), ("Kale, raw", {}, "", "vegetable"), ("Water, tap", {}, "absorbed", "absorbed"),
    ("Water, tap", {}, "stays", "water"), ("Water, tap", {}, "poured off", "poured_off"), ("Thyme, dried", {}, "", "dried_spice"),
    ("Feta", {}, "", "cheese"), ("Cottage cheese, low fat 2%", {}, "", "dairy"), ("Coconut milk, canned", {}, "", "liquid"), ("Popcorn, air-popped", {}, "", "bread"),
])  # fmt: skip
def test_lines_fall_under_the_bound_that_is_meant(kitchen: Kitchen, food: str, more: dict[str, str], water: str, bound: str) -> None:
    result = dish(kitchen, line(food, water=water, **more)).lines[0]
    assert load_rules().bound_of(result).id == bound


def test_salt_and_sugar_are_never_increased() -> None:
    by_id = {b.id: b for b in load_rules().bounds}
    assert all(by_id[i].most == 1 for i in ("salt", "salty_seasoning", "bouillon", "sweetener", "alcohol"))


@pytest.mark.parametrize(("table", "old", "new", "says"), [
    ("adjust_bounds.csv", "any,,,,,,,0.5,1.5", "any,Fruit,,,,,,0.5,1.5", "every food"),
    ("adjust_bounds.csv", "any,,,,,,,0.5,1.5", "any,,,,,,,1.5,1.5", "least"),
    ("adjust_steps.csv", "volume,tbsp,,,1/2,1/2,4", "volume,tbsp,,,1/0,1/2,4", "fraction"),
    ("adjust_steps.csv", "volume,tbsp,,,1/2,1/2,4", "volume,tbsp,,,1/2,1/3,4", "multiple"),
    ("adjust_costs.csv", "swap_one,0.25", "swap_one,much", "number"),
])  # fmt: skip
def test_faults_in_tables_name_row_and_mend(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, table: str, old: str, new: str, says: str
) -> None:
    for name in data_path().glob("adjust_*.csv"):
        text = name.read_text(encoding="utf-8")
        if name.name == table:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / name.name).write_text(text, encoding="utf-8")
    monkeypatch.setattr(rules_module, "data_path", lambda: tmp_path)
    with pytest.raises(BadInput, match=table) as error:
        load_rules.__wrapped__()
    assert says in str(error.value)
