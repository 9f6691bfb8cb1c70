"""Cautions: every trigger at its limit, raw and cooked lines, unknown values, temperatures."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line, with_food, with_serving
from workbookgen.model.safety import Trigger
from workbookgen.nutrition.cautions import CautionReport, CautionResult, caution_report, meets
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import load_kitchen

RICE = "White rice, long grain, enriched, dry"
PLAIN = "Apples, with skin, raw"
SAFETY = load_kitchen().safety
FIGURES = [t for t in SAFETY.triggers if t.of_nutrient]
MARKS = [t for t in SAFETY.triggers if not t.of_nutrient]


def of(report: CautionReport, name: str) -> CautionResult:
    return next(c for c in report.cautions if c.caution.id == name)


def plain(kitchen: Kitchen) -> str:
    return next(f.name for f in kitchen.table.foods if f.name.startswith("Apple") and f.state == "raw")


@pytest.mark.parametrize("trigger", FIGURES, ids=lambda t: f"{t.caution}-{t.key}")
@pytest.mark.parametrize("step", [-1, 0, 1])
def test_figures_fire_exactly_at_their_limit(kitchen: Kitchen, trigger: Trigger, step: int) -> None:
    limit = trigger.limit * trigger.per / 100 if trigger.kind == "share" else trigger.limit
    analysis = with_serving(dish(kitchen, line(plain(kitchen))), trigger.key, limit + step * 0.001)
    result = next(
        r for r in of(caution_report(kitchen, analysis), trigger.caution).triggers if r.trigger == trigger
    )
    expected = {">": step > 0, ">=": step >= 0, "<=": step <= 0}[trigger.sign]
    assert result.fires is expected


@pytest.mark.parametrize("trigger", FIGURES, ids=lambda t: f"{t.caution}-{t.key}")
def test_unknown_values_never_read_as_below_the_limit(kitchen: Kitchen, trigger: Trigger) -> None:
    limit = trigger.limit * trigger.per / 100 if trigger.kind == "share" else trigger.limit
    analysis = dish(kitchen, line(plain(kitchen)))
    for amount in (limit / 2, limit * 2 + 1):
        result = next(
            r
            for r in of(
                caution_report(kitchen, with_serving(analysis, trigger.key, amount, 0.5)), trigger.caution
            ).triggers
            if r.trigger == trigger
        )
        quiet = amount > limit if trigger.sign == "<=" else amount <= limit
        if trigger.sign == "<=":
            assert result.fires is (False if quiet else None)
        else:
            assert result.fires is (None if quiet else True)
            assert "at least" in result.words


@pytest.mark.parametrize("trigger", MARKS, ids=lambda t: f"{t.caution}-{t.key}")
def test_marks_fire_from_a_line_and_only_uncooked_when_they_say_so(
    kitchen: Kitchen, trigger: Trigger
) -> None:
    raw = with_food(dish(kitchen, line(plain(kitchen))), 0, cautions=trigger.key)
    assert of(caution_report(kitchen, raw), trigger.caution).fires
    cooked = with_food(dish(kitchen, line(plain(kitchen), treatment="baked")), 0, cautions=trigger.key)
    assert of(caution_report(kitchen, cooked), trigger.caution).fires is (trigger.kind == "ingredient")
    other = dish(kitchen, line(plain(kitchen)))
    result = next(
        r for r in of(caution_report(kitchen, other), trigger.caution).triggers if r.trigger == trigger
    )
    assert result.fires is False


@pytest.mark.parametrize(
    ("food", "caution"),
    [
        ("Egg, whole, raw", "raw_egg"),
        ("Ground beef, 95% lean, raw", "raw_meat"),
        ("Cod, Atlantic, raw", "raw_fish"),
        ("Alfalfa sprouts, raw", "sprouts"),
        ("Brie", "listeria"),
        ("Ham, deli slices, lean", "listeria"),
        ("Orange juice, fresh", "listeria"),
        ("Swordfish, raw", "mercury_avoid"),
        ("Halibut, raw", "mercury_choice"),
        ("Beef liver, raw", "retinol"),
        ("Beer", "alcohol"),
        ("Coffee, brewed", "caffeine"),
        ("Honey", "honey"),
        ("Grapes, red or green, raw", "choking"),
        ("Almonds, raw", "choking"),
        ("Spinach, raw", "stones"),
        ("Kale, raw", "warfarin"),
        ("Pink or red grapefruit, raw", "grapefruit"),
        ("Star fruit, raw", "star_fruit"),
        ("Baking powder, low sodium", "salt_substitute"),
        ("Soy sauce", "sodium"),
        ("Potatoes, with skin, raw", "kidney"),
        ("Red kidney beans, dry", "kidney_beans"),
        ("White beans, dry", "kidney_beans"),
        (RICE, "cooked_rice"),
        ("Beef liver, braised", "retinol"),
        (plain(load_kitchen()), "low_energy"),
        ("Red lentils, dry", "iron"),
    ],
)
def test_foods_of_the_table_fire_the_caution_one_expects(kitchen: Kitchen, food: str, caution: str) -> None:
    found = next(f.name for f in kitchen.table.foods if f.name == food or f.name.startswith(food))
    assert of(caution_report(kitchen, dish(kitchen, line(found))), caution).fires


def test_canned_kidney_beans_and_cooked_egg_are_quiet(kitchen: Kitchen) -> None:
    beans = next(
        f.name for f in kitchen.table.foods if f.name.startswith("Red kidney beans") and f.state != "dry"
    )
    egg = dish(kitchen, line("Egg, whole, raw", treatment="hard-boiled"), line(beans))
    report = caution_report(kitchen, egg)
    assert not of(report, "raw_egg").fires
    assert not of(report, "kidney_beans").fires


def test_every_caution_has_a_trigger_that_something_in_the_table_or_a_figure_can_reach(
    kitchen: Kitchen,
) -> None:
    from workbookgen.nutrition.markers import caution_marks

    marks = {m for f in kitchen.table.foods for m in caution_marks(f, kitchen.safety)}
    unreachable = {t.caution for t in MARKS if t.key not in marks} - {
        "licorice"
    }  # no licorice in the kitchen table
    assert unreachable == set()
    used = {t.key for t in MARKS} | {t.id for t in kitchen.safety.temperatures}
    assert (
        marks - used == {"raw_meat", "green_leafy_vitk"} - used
    )  # leafy greens: the amount of vitamin K decides


def test_optional_line_left_out_of_the_sums_still_cautions(kitchen: Kitchen) -> None:
    report = caution_report(kitchen, dish(kitchen, line(RICE), line("Honey", include=False, optional=True)))
    assert of(report, "honey").fires
    report = caution_report(kitchen, dish(kitchen, line(RICE), line("Honey", include=False)))
    assert not of(report, "honey").fires


def test_card_lines_have_no_gaps_and_follow_the_order_of_the_sheet(kitchen: Kitchen) -> None:
    report = caution_report(
        kitchen, dish(kitchen, line("Kale, raw"), line("Honey"), line("Grapes, red or green, raw"))
    )
    fired = [c for c in report.cautions if c.fires]
    assert report.card_lines == tuple(c.card for c in fired if c.card)
    assert "" not in report.card_lines
    assert len(report.card_lines) >= 3


def test_texts_print_what_set_them_off(kitchen: Kitchen) -> None:
    result = of(caution_report(kitchen, dish(kitchen, line("Kale, raw"))), "warfarin")
    assert result.why.startswith("vitamin K ")
    assert result.why.endswith("% of 120 mcg)")
    assert result.why in result.sheet
    assert "{why}" not in result.card + result.sheet


def test_nothing_fires_in_a_dish_without_weight(kitchen: Kitchen) -> None:
    report = caution_report(kitchen, dish(kitchen, line("Kale, raw", include=False)))
    assert not any(c.fires for c in report.cautions)


def test_own_foods_without_marks_are_named(kitchen: Kitchen) -> None:
    analysis = with_food(
        dish(kitchen, line(plain(kitchen))), 0, own=True, name="Grandmother's jam", cautions=""
    )
    assert caution_report(kitchen, analysis).not_looked_at == ("Grandmother's jam",)


@pytest.mark.parametrize(("typed", "treatment", "fires"), [
    ("raw_fish", "none", True), ("raw_fish", "baked", False), ("liver", "baked", True), ("-", "none", False)])  # fmt: skip
def test_marks_typed_for_an_own_food_work_as_those_of_the_table(kitchen: Kitchen, typed: str, treatment: str, fires: bool) -> None:
    analysis = with_food(dish(kitchen, line(plain(kitchen))), 0, own=True, name="Fern paste", cautions=typed)
    first = analysis.lines[0]
    treated = replace(first, line=replace(first.line, treatment=treatment))
    report = caution_report(kitchen, replace(analysis, lines=(treated, *analysis.lines[1:])))
    assert report.not_looked_at == ()
    key = typed if typed != "-" else "raw_fish"
    assert any(t.fires for c in report.cautions for t in c.triggers if t.trigger.key == key) is fires


@given(st.floats(0, 1e6), st.sampled_from((">", ">=", "<=")), st.floats(0, 1e6))
def test_comparison_ignores_binary_noise(value: float, sign: str, limit: float) -> None:
    noisy = math.nextafter(value, math.inf)
    assert meets(value, sign, limit) == meets(noisy, sign, limit) or abs(value - limit) < 1e-8
    assert meets(limit, sign, limit) is (sign != ">")


@pytest.mark.parametrize(
    ("food", "line_start"),
    [
        ("Chicken thigh, no skin, raw", "Poultry, whole, parts or ground: 165 °F (74 °C)"),
        ("Ground turkey, 85% lean, raw", "Poultry, whole, parts or ground: 165 °F (74 °C)"),
        ("Turkey sausage, fresh, raw", "Poultry, whole, parts or ground: 165 °F (74 °C)"),
        ("Ground beef, 95% lean, raw", "Ground meat and sausage: 160 °F (71 °C)"),
        ("Ground lamb, raw", "Ground meat and sausage: 160 °F (71 °C)"),
        ("Italian sausage, pork, raw", "Ground meat and sausage: 160 °F (71 °C)"),
        (
            "Pork tenderloin, lean, raw",
            "Beef, pork, lamb and veal in pieces: 145 °F (63 °C), then let rest 3 minutes",
        ),
        ("Cod, Atlantic, raw", "Fish: 145 °F (63 °C), or until the flesh is opaque and flakes with a fork"),
        ("Shrimp, raw", "Shrimp, crab and lobster: until the flesh is pearly or white and opaque"),
        ("Mussels, blue, raw", "Clams, oysters and mussels: until the shells open"),
        ("Scallops, raw", "Scallops and squid: until the flesh is opaque and firm"),
        (
            "Egg, whole, raw",
            "Eggs: 160 °F (71 °C), for egg dishes; single eggs until yolk and white are firm",
        ),
        ("Beef liver, raw", "Liver and other organ meat: 160 °F (71 °C)"),
    ],
)
def test_raw_animal_foods_bring_their_temperature_however_they_are_cooked(
    kitchen: Kitchen, food: str, line_start: str
) -> None:
    known = next(f for f in kitchen.table.foods if f.name == food)
    for treatment in kitchen.offers(known.keep_group, known.state)[:3]:
        report = caution_report(kitchen, dish(kitchen, line(food, treatment=treatment.name)))
        assert [f"{t.name}: {t.words}" for t, foods in report.temperatures if foods] == [line_start]


def test_every_raw_animal_food_of_the_table_has_a_temperature(kitchen: Kitchen) -> None:
    for food in kitchen.table.foods:
        if {"raw_meat", "raw_fish", "raw_egg"} & set(food.cautions.split(";")) and food.state in (
            "raw",
            "frozen",
        ):
            report = caution_report(kitchen, dish(kitchen, line(food.name)))
            assert sum(bool(foods) for _, foods in report.temperatures) == 1, food.name


def test_cooked_animal_foods_bring_no_temperature(kitchen: Kitchen) -> None:
    for food in kitchen.table.foods:
        if food.state in ("cooked", "canned", "drained"):
            report = caution_report(kitchen, dish(kitchen, line(food.name)))
            assert not any(foods for _, foods in report.temperatures), food.name
