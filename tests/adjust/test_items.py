"""What may change, how far, in which steps."""

from __future__ import annotations

import pytest

from tests.dishes import dish, line
from workbookgen.adjust.items import FIXED, OUT, STEPS, Item
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen


def task_for(kitchen: Kitchen, *lines: object, servings: float = 2.0, **more: object) -> Task:
    return make_task(kitchen, dish(kitchen, *lines, servings=servings), Request(targets=["NA <= 1"], **more))  # type: ignore[arg-type]


def item(task: Task, name: str) -> Item:
    return next(i for i in task.space.items if i.name == name)


def amounts(found: Item, slot: int = 0) -> list[float]:
    return sorted(float(m.step * n) for m in found.modes if m.kind == STEPS and m.slot == slot for n in range(m.low, m.high + 1))


def test_kitchen_sense_limits_each_amount(kitchen: Kitchen) -> None:
    task = task_for(kitchen, line("Milk, whole", 1, "cup"), line("Salt, table", 1, "tsp"), line("Egg, whole, raw", 2, "large"))
    assert amounts(item(task, "Milk, whole")) == [0.5, 0.75, 1.25, 1.5, 1.75]
    salt = item(task, "Salt, table")
    assert amounts(salt) == [0.125, 0.25, 0.375, 0.5, 0.75]
    assert any(m.kind == OUT for m in salt.modes)
    assert amounts(item(task, "Egg, whole, raw")) == [1.0, 3.0, 4.0]


def test_a_ceiling_in_grams_of_a_serving_holds_increases_back(kitchen: Kitchen) -> None:
    task = task_for(kitchen, line("Kale, raw", 250), line("Carrots, raw", 700), servings=1)
    assert max(amounts(item(task, "Kale, raw"))) == 300
    assert max(amounts(item(task, "Carrots, raw"))) < 700  # beyond the ceiling as written: it may only fall


def test_max_change_narrows_and_forbids_leaving_out(kitchen: Kitchen) -> None:
    task = task_for(kitchen, line("Salt, table", 2, "tsp"), line("Kale, raw", 100), max_change=0.25)
    assert amounts(item(task, "Salt, table")) == [1.5, 1.75]
    assert not any(m.kind == OUT for m in item(task, "Salt, table").modes)
    assert (min(amounts(item(task, "Kale, raw"))), max(amounts(item(task, "Kale, raw")))) == (75, 125)


def test_kept_uncounted_and_setting_foods_stand_still(kitchen: Kitchen) -> None:
    lines = [line("Kale, raw"), line("Yeast, active dry", 7), line("Feta", 50, include=False)]
    task = task_for(kitchen, *lines, keep=["kale, RAW"])
    assert item(task, "Kale, raw").start == FIXED
    assert item(task, "Yeast, active dry").start == FIXED
    assert all(i.name != "Feta" for i in task.space.items)


def test_an_offered_ingredient_may_be_counted(kitchen: Kitchen) -> None:
    task = task_for(kitchen, line("Kale, raw"), line("Avocado, raw", 50, include=False, optional=True))
    assert item(task, "Avocado, raw").start == "absent"


def test_siblings_come_only_when_asked(kitchen: Kitchen) -> None:
    lines = [line("Tomatoes, canned, in juice", 1, "can (28 oz)", treatment="reheated")]
    assert len(item(task_for(kitchen, *lines), lines[0].food).slots) == 1
    slots = item(task_for(kitchen, *lines, swaps=True), lines[0].food).slots
    assert [s.food.name for s in slots[1:]] == ["Tomatoes, canned, in juice, no salt added"]
    assert (slots[1].line.unit, slots[1].base, slots[1].line.treatment) == ("can (28 oz)", 1, "reheated")


def test_a_sibling_without_the_unit_is_weighed(kitchen: Kitchen) -> None:
    task = task_for(kitchen, line("Butter, unsalted", 1, "stick"), swaps=True)
    oil = item(task, "Butter, unsalted").slots[1]
    assert (oil.food.name, oil.line.unit, oil.base) == ("Canola oil", "g", pytest.approx(113))


@pytest.mark.parametrize(("option", "value"), [("keep", ["Kail"]), ("allow", ["Spinnach"]), ("consider", ["Nothing known"])])
def test_unknown_foods_are_refused_with_the_nearest(kitchen: Kitchen, option: str, value: list[str]) -> None:
    with pytest.raises(BadInput, match="nearest"):
        task_for(kitchen, line("Kale, raw"), **{option: value})


def test_foods_to_add_suit_the_dish(kitchen: Kitchen) -> None:
    hot = task_for(kitchen, line("Carrots, raw", 500, treatment="boiled, water used"))
    sweet = task_for(kitchen, line("Bananas, raw", 500))
    assert item(hot, "Kale, raw").slots[0].line.treatment == "boiled, water used"
    names = {i.name for i in sweet.space.items}
    assert "Strawberries, frozen" in names
    assert not names & {"Kale, raw", "Chickpeas, canned, rinsed", "Olive oil"}
    assert all(i.name != "Bananas, raw" or i.kind == "line" for i in sweet.space.items)
