"""No addition and no swap brings an allergen, a caution, meat or a salt with potassium chloride unasked."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.dishes import dish, line
from workbookgen.adjust.least import least_change
from workbookgen.adjust.rules import load_rules
from workbookgen.adjust.safety import Dish, blocked_reasons, new_cautions
from workbookgen.adjust.task import Request, make_task
from workbookgen.model.food import Food
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.kitchen import Kitchen

BEANS = line("Black beans, boiled", 400, treatment="reheated")


def brings(kitchen: Kitchen, food: str, *lines: object, **more: object) -> str:
    analysis = dish(kitchen, *(lines or (BEANS,)), **more)  # type: ignore[arg-type]
    new = dish(kitchen, line(food)).lines[0]
    return "; ".join(Dish(kitchen, load_rules(), analysis).brings(new))


@pytest.mark.parametrize(("food", "says"), [
    ("Tofu, firm, calcium sulfate", "brings soybeans"), ("Bulgur, cooked", "brings wheat"), ("Walnuts, english, raw", "brings tree nuts"),
    ("Sesame seeds, whole, raw", "brings sesame"), ("Egg, whole, raw", "brings egg"), ("Milk, low fat 1%", "brings milk"),
    ("Salmon, sockeye, canned, no salt, drained", "brings fish"), ("Chicken breast, no skin, boneless, raw", "vegetarian"),
    ("Pork loin, whole, lean, roasted", "without pork"), ("Wine, white", "without alcohol"), ("Spinach, frozen", "stones"),
    ("Honey", "honey"), ("Brown rice, long grain, cooked", "cooked_rice"),
])  # fmt: skip
def test_what_a_food_would_bring_is_named(kitchen: Kitchen, food: str, says: str) -> None:
    assert says in brings(kitchen, food).lower()


@pytest.mark.parametrize("food", ["Kale, raw", "Carrots, raw", "Lentils, boiled", "Olive oil", "Broccoli, chopped, frozen"])
def test_plain_foods_bring_nothing(kitchen: Kitchen, food: str) -> None:
    assert brings(kitchen, food) == ""


def test_what_is_there_already_is_not_brought(kitchen: Kitchen) -> None:
    assert brings(kitchen, "Milk, low fat 1%", line("Feta")) == ""
    assert "another kind of tree nuts" in brings(kitchen, "Almonds, raw", line("Walnuts, english, raw"))
    assert "tree nuts" not in brings(kitchen, "Walnuts, english, raw", line("Walnuts, english, raw"))


def test_an_unknown_food_is_held_back_for_what_it_may_bring(kitchen: Kitchen) -> None:
    sauce = next(f for f in kitchen.fixed_foods if "?*" in f.allergens and f.group == "Condiments and sauces")
    assert "may bring" in brings(kitchen, sauce.name)


def with_salt(kitchen: Kitchen, **changes: object) -> tuple[Kitchen, Food]:
    salt = replace(kitchen.food_by_name["salt, table"], id="own1", name="House salt", own=True, counterpart_id="", **changes)  # type: ignore[arg-type]
    return kitchen.with_foods([salt]), salt


@pytest.mark.parametrize("changes", [
    {"source_description": "Salt substitute, potassium chloride"}, {"name_hint": "x", "synonyms": "lite salt"},
    {"cautions": "<salt_substitute>"}, {"values": {"K": 25000.0, "NA": 19000.0}},
])  # fmt: skip
def test_salts_with_potassium_chloride_are_never_used_unasked(kitchen: Kitchen, changes: dict[str, object]) -> None:
    changes = {k: v for k, v in changes.items() if k != "name_hint"}
    larger, salt = with_salt(kitchen, **changes)
    assert blocked_reasons(load_rules().blocked, salt, larger)
    analysis = dish(larger, BEANS, line("Kale, raw", 200), servings=4.0)
    asked = Request(targets=["K >= 700 mg"], additions=1, consider=["House salt"])
    closed = make_task(larger, analysis, asked)
    assert "potassium chloride" in closed.refused["House salt"][0]
    assert all(i.name != "House salt" for i in closed.space.items)
    opened = make_task(larger, analysis, replace(asked, allow=["House salt"]))
    assert any(i.name == "House salt" for i in opened.space.items)


def test_a_salt_with_potassium_chloride_in_the_dish_is_never_increased(kitchen: Kitchen) -> None:
    larger, _ = with_salt(kitchen, synonyms="salt substitute", group="Condiments and sauces")
    analysis = dish(larger, BEANS, line("House salt", 4), servings=4.0)
    task = make_task(larger, analysis, Request(targets=["NA >= 900 mg"]))
    assert task.held == ("House salt",)
    item = next(i for i in task.space.items if i.name == "House salt")
    assert max(float(m.step * m.high) for m in item.modes if m.kind == "steps") < 4


def test_plain_salt_and_seasonings_are_not_blocked(kitchen: Kitchen) -> None:
    blocked = [f.name for f in kitchen.fixed_foods if blocked_reasons(load_rules().blocked, f, kitchen)]
    assert blocked == ["Baking powder, low sodium"]


def test_named_foods_may_come_in(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, BEANS, servings=4.0)
    rules = replace(load_rules(), additions=tuple(a for a in load_rules().additions if a.food.startswith("Tofu")))
    asked = Request(targets=["CA >= 150 mg"], additions=1)
    closed, opened = (make_task(kitchen, analysis, replace(asked, allow=a), rules) for a in ((), ("Tofu, firm, calcium sulfate",)))
    assert "brings soybeans" in closed.refused["Tofu, firm, calcium sulfate"]
    assert least_change(closed) is None
    result = least_change(opened)
    assert result is not None
    assert any(x.food.startswith("Tofu") for x in result.recipe.lines)


def test_a_caution_by_figure_stays_quiet_unless_allowed(kitchen: Kitchen) -> None:
    """More kale would bring a serving past a fifth of the Daily Value of vitamin K."""
    analysis = dish(kitchen, BEANS, line("Kale, raw", 10), servings=4.0)
    asked = Request(targets=["VITK1 >= 24 mcg", "NA <= 9 mg"], keep=["Black beans, boiled"])
    told = make_task(kitchen, analysis, asked)
    assert "warfarin" not in [row.wish for row in told.cautions.rows]  # the target itself asks for it
    now = analysis.nutrients["LUT+ZEA"].serving
    asked = replace(asked, targets=[f"LUT+ZEA >= {now * 1.6:.1f} mcg"])
    for allow in ((), ("warfarin",)):
        task = make_task(kitchen, analysis, replace(asked, allow=allow))
        result = least_change(task)
        assert (result is None) == (not allow)
        if result is not None:
            assert list(new_cautions(kitchen, analysis, result.analysis)) == ["warfarin"]


def test_a_target_that_asks_for_a_caution_says_so_instead(kitchen: Kitchen) -> None:
    """20 % of the Daily Value of iron is the target, and is what the caution on iron warns of: it is told, not barred."""
    analysis = dish(kitchen, BEANS, line("Kale, raw", 100), servings=4.0)
    ids = [row.wish for row in make_task(kitchen, analysis, Request(targets=["FE >= 20 %DV"])).cautions.rows]
    assert "iron" not in ids
    ids = [row.wish for row in make_task(kitchen, analysis, Request(targets=["FE >= 15 %DV"])).cautions.rows]
    assert "iron" in ids


@pytest.mark.parametrize("seed", range(6))
def test_answers_with_foods_to_add_bring_nothing(kitchen: Kitchen, seed: int) -> None:
    import random

    from tests.adjust.generate import small_dish, small_targets

    rng = random.Random(1000 + seed)
    analysis = dish(kitchen, *small_dish(kitchen, rng).lines, servings=4.0)
    task = make_task(kitchen, analysis, Request(targets=small_targets(analysis, rng), additions=2, swaps=True))
    result = least_change(task)
    if result is None:
        return
    before, after = (allergen_report(kitchen.safety, a) for a in (analysis, result.analysis))
    rank = {"no": 0, "-": 0, "not known": 1, "contains": 2}
    for old, new in zip(before.states, after.states, strict=True):
        assert rank[new.state] <= rank[old.state]
    worse = {"yes": 2, "not known": 1, "no": 0}
    for was, now in zip(before.suitability, after.suitability, strict=True):
        assert worse[now.state] >= worse[was.state]
    held = {row.wish for row in task.cautions.rows}
    fired = {c.caution.id for c in caution_report(kitchen, result.analysis).cautions if c.fires}
    assert not held & fired
