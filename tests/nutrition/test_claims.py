"""Statements: unknowns, signs, kinds of dish, disclosures and comparisons as the rules ask for them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.statement_probe import probe_kitchen, probe_name, recipe
from workbookgen.model.analysis import Analysis
from workbookgen.model.claims import EU, US
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.claims import (
    CANNOT,
    FAILS,
    HOLDS,
    NOT_DEFINED,
    NOT_KIND,
    UNCONFIRMED,
    combine,
    judge_condition,
    judge_statements,
    racc_category,
    racc_grams,
    within,
)
from workbookgen.nutrition.claims_compare import judge_comparison, judge_health, reading, turns
from workbookgen.nutrition.claims_measures import Basis, Dish, Measured, food_racc_g, group_most
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings

WHOLE = Basis(1.0, 1)


def analysed(kitchen: Kitchen, made: Recipe, reference: str = "us_4plus") -> Analysis:
    return analyse_recipe(kitchen, made, replace(default_settings(), reference_set=reference))


def verdict(kitchen: Kitchen, made: Recipe, statement: str, rule_set: str = US) -> str:
    return judge_statements(kitchen, analysed(kitchen, made), rule_set).by_id[statement].verdict


def without(kitchen: Kitchen, tag: str, dish: str = "food") -> Kitchen:
    """The probe kitchen whose probe does not know ``tag``."""
    foods = tuple(replace(f, values={k: v for k, v in f.values.items() if k != tag}) if f.name == probe_name(dish) else f
                  for f in kitchen.table.foods)
    return replace(kitchen, table=replace(kitchen.table, foods=foods))


@given(st.integers(1, 10**6), st.integers(2, 12), st.sampled_from(["<=", "<", ">=", ">"]))
def test_sums_that_meet_a_limit_exactly_are_read_as_meeting_it(parts: int, count: int, sign: str) -> None:
    limit = Fraction(parts, 1000)
    total = sum([float(limit) / count] * count)  # binary noise allowed
    assert within(sign, total, float(limit)) == (sign in ("<=", ">="))


@given(st.floats(0, 1000), st.floats(0, 1000), st.floats(0.001, 1000), st.booleans(), st.booleans())
def test_the_unknown_never_turns_into_a_pass(known: float, more: float, limit: float, loose: bool, open_: bool) -> None:
    m = Measured(known, known + more, short=more > 0, open=open_, loose=loose)
    ceiling, floor = judge_condition("<=", limit, m, WHOLE), judge_condition(">=", limit, m, WHOLE)
    if ceiling.code == 1:
        assert within("<=", m.most, limit)
        assert not open_
    if ceiling.code == -1:
        assert not within("<=", known, limit)
        assert not loose
    assert (floor.code == 1) == (within(">=", known, limit) and not loose)
    assert (floor.code == -1) == (not within(">=", known, limit) and more == 0)


@given(st.floats(0.01, 100), st.floats(0.01, 100), st.sampled_from(["<=", "<", ">=", ">"]))
def test_a_verdict_turns_at_the_per_cent_it_names(value: float, limit: float, sign: str) -> None:
    """The figure may be wrong by less than the named per cent and the code stays; by more and it turns."""
    judged = judge_condition(sign, limit, Measured(value, value), WHOLE)
    up = (judged.code == 1) == (sign in ("<=", "<"))
    direction = 1 if up else -1
    if 1e-3 < judged.flips < 1e6 and not (direction == -1 and judged.flips > 99.9):
        stays, goes = (value * (1 + direction * judged.flips * f / 100) for f in (0.999, 1.001))
        assert judge_condition(sign, limit, Measured(stays, stays), WHOLE).code == judged.code
        assert judge_condition(sign, limit, Measured(goes, goes), WHOLE).code == -judged.code


def test_unknown_sodium_gets_the_largest_of_its_food_group(kitchen: Kitchen) -> None:
    probe = without(probe_kitchen(kitchen, {"NA": 100}), "NA")
    others = [f for f in probe.table.foods if f.name.startswith("Probe") and "NA" in f.values]
    found = judge_statements(probe, analysed(probe, recipe("food"))).by_id["low_sodium"]
    assert max(f.values["NA"] for f in others) == 100  # the other probes of the group hold 100 mg
    assert found.verdict == HOLDS
    assert found.judged[0].value == 0
    assert found.judged[0].most == 100


@pytest.mark.parametrize(("group_holds", "expected"), [(140.0, HOLDS), (140.1, CANNOT)])
def test_low_sodium_with_an_unknown_food_holds_only_within_the_bound(kitchen: Kitchen, group_holds: float, expected: str) -> None:
    probe = without(probe_kitchen(kitchen, {"NA": group_holds}), "NA")
    found = judge_statements(probe, analysed(probe, recipe("food"))).by_id["low_sodium"]
    assert found.verdict == expected
    assert found.judged[0].decides == probe_name("food")


def test_low_sodium_fails_when_the_known_part_is_too_much(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen, {"NA": 400})
    unknown = without(probe, "NA", "small")
    lines = (IngredientLine(probe_name("food"), 100, "g"), IngredientLine(probe_name("small"), 10, "g"))
    assert verdict(unknown, replace(recipe("food"), lines=lines), "low_sodium") == FAILS


def test_high_in_iron_needs_only_the_known_part(kitchen: Kitchen) -> None:
    probe = without(probe_kitchen(kitchen, {"FE": 7.2}), "FE", "small")
    lines = (IngredientLine(probe_name("food"), 60, "g"), IngredientLine(probe_name("small"), 40, "g"))
    assert verdict(probe, replace(recipe("food"), lines=lines), "micro_high_FE") == HOLDS
    poorer = without(probe_kitchen(kitchen, {"FE": 3.0}), "FE", "small")
    found = judge_statements(poorer, analysed(poorer, replace(recipe("food"), lines=lines))).by_id["micro_high_FE"]
    assert found.verdict == CANNOT
    assert found.decisive is not None
    assert found.decisive.decides == probe_name("small")


def test_unknown_added_sugars_are_at_most_the_sugars_of_the_food(kitchen: Kitchen) -> None:
    probe = without(probe_kitchen(kitchen, {"SUGAR": 4}), "SUGAD")
    dish = Dish(probe, analysed(probe, recipe("food")), 100.0)
    assert dish.unknown_most("SUGAD") == 4
    assert group_most(probe)["Vegetables", "SUGAD"] == 4


@pytest.mark.parametrize(("mark", "expected"), [("no", HOLDS), ("yes", FAILS), ("unknown", CANNOT)])
def test_no_added_sugars_and_no_salt_added_follow_the_flags(kitchen: Kitchen, mark: str, expected: str) -> None:
    probe = probe_kitchen(kitchen, salt_ingredient=mark, sugar_ingredient=mark)
    assert verdict(probe, recipe("food"), "no_salt_added") == expected
    assert verdict(probe, recipe("food"), "no_added_sugars") == expected
    assert verdict(probe, recipe("solid"), "no_added_sugars", EU) == expected


def test_a_food_without_reference_amount_cannot_be_judged(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen)
    bare = replace(recipe("food"), racc_g=None)
    found = judge_statements(probe, analysed(probe, bare)).by_id["low_sodium"]
    assert found.verdict == CANNOT
    assert found.decisive is not None
    assert found.decisive.missing


def test_one_cup_as_reference_amount_needs_a_weighed_cup(kitchen: Kitchen) -> None:
    made = Recipe("Stew", 1.0, (), racc_text="mixed dishes measurable with a cup, 1 cup")
    assert racc_category(kitchen, made.racc_text).id == "mixed_cup"  # type: ignore[union-attr]
    assert racc_grams(kitchen, made) == 0
    cup = kitchen.unit_by_name["cup"].factor
    assert racc_grams(kitchen, replace(made, cup_weight_g=cup)) == pytest.approx(240)  # 1 g per mL, labelling cup


@pytest.mark.parametrize(("grams", "expected"), [(70.1, NOT_KIND), (70.2, HOLDS)])
def test_a_main_dish_weighs_six_ounces(kitchen: Kitchen, grams: float, expected: str) -> None:
    """21 CFR 101.13(m): 6 oz are 170.1 g; two groups with 40 g each."""
    probe = probe_kitchen(kitchen)
    lines = (IngredientLine(probe_name("main dish"), 100, "g"), IngredientLine("Grain without anything", grams - 0.1, "g"))
    assert verdict(probe, replace(recipe("main dish"), lines=lines), "low_sodium") == expected


@pytest.mark.parametrize(("grams", "expected"), [(39.9, NOT_KIND), (40.0, HOLDS)])
def test_a_main_dish_holds_forty_grams_of_two_groups(kitchen: Kitchen, grams: float, expected: str) -> None:
    probe = probe_kitchen(kitchen)
    lines = (IngredientLine(probe_name("main dish"), 200, "g"), IngredientLine("Grain without anything", grams, "g"))
    assert verdict(probe, replace(recipe("main dish"), lines=lines), "low_sodium") == expected


def test_garnish_does_not_make_a_main_dish(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen)
    lines = (IngredientLine(probe_name("main dish"), 200, "g"), IngredientLine("Grain without anything", 60, "g", garnish=True))
    assert verdict(probe, replace(recipe("main dish"), lines=lines), "low_sodium") == NOT_KIND


def test_low_sugars_is_no_us_statement_and_protein_is_no_statement_of_a_us_main_dish(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen)
    assert verdict(probe, recipe("food"), "low_sugars") == NOT_DEFINED
    assert verdict(probe, recipe("main dish"), "high_PROCNT") == NOT_KIND
    assert verdict(probe, recipe("solid"), "calorie_free", EU) == NOT_KIND


def test_figures_that_are_only_remembered_are_never_printed(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen)
    found = judge_statements(probe, analysed(probe, recipe("main dish"))).by_id["healthy"]
    assert found.verdict == UNCONFIRMED
    assert not found.may_be_printed


def test_every_rule_resting_on_memory_is_marked(kitchen: Kitchen) -> None:
    rules = kitchen.tables.claims
    assert {r.statement for r in rules.rules.values() if not r.confirmed} == {"healthy", "vitamin_d_20"}
    assert {r.statement for _, r in rules.health if not r.confirmed} == {"calcium_vitamin_d_osteoporosis", "sweetener_caries"}


def test_alternatives_need_one_whole_path(kitchen: Kitchen) -> None:
    """EU fibre: 3 g per 100 g or 1.5 g per 100 kcal."""
    rule = kitchen.tables.claims.rule(EU, "solid", "source_FIBTG")
    assert rule is not None
    good, bad, open_ = (judge_condition(">=", 1.0, m, WHOLE) for m in (Measured(2, 2), Measured(0, 0), Measured(0, 0, short=True)))
    assert combine(rule, (good, bad)) == (1, 0)
    assert combine(rule, (bad, good)) == (1, 1)
    assert combine(rule, (bad, bad))[0] == -1
    assert combine(rule, (bad, open_))[0] == 0


def test_component_statement_uses_the_ingredients_own_reference_amount(kitchen: Kitchen) -> None:
    by_name = kitchen.food_by_name
    assert food_racc_g(kitchen, by_name["kale, raw"]) == 85
    assert food_racc_g(kitchen, by_name["salt, table"]) is None  # no category of its own here


def test_beta_carotene_example_of_the_regulation(kitchen: Kitchen) -> None:
    """21 CFR 101.54(g)(3): for "good source of antioxidant beta-carotene" 10 per cent of the RDI for vitamin A must be
    present as beta-carotene: 90 mcg RAE, 1,080 mcg beta-carotene."""
    assert verdict(probe_kitchen(kitchen, {"CARTB": 1080}), recipe("food"), "antiox_source_CARTB") == HOLDS
    assert verdict(probe_kitchen(kitchen, {"CARTB": 1079, "VITA_RAE": 500}), recipe("food"), "antiox_source_CARTB") == FAILS


def compared(kitchen: Kitchen, mine: dict[str, float], theirs: dict[str, float], comparison: str, dish: str = "food") -> object:
    made = []
    for values in (mine, theirs):
        probe = probe_kitchen(kitchen, values)
        analysis = analysed(probe, recipe(dish))
        made.append((Dish(probe, analysis, 100.0), judge_statements(probe, analysis)))
    rule = next(c for c in kitchen.tables.claims.comparisons if c.id == comparison)
    return judge_comparison(rule, *made[0], *made[1])


@pytest.mark.parametrize(("amount", "expected"), [(450.0, HOLDS), (450.1, FAILS)])
def test_reduced_sodium_is_a_quarter_less(kitchen: Kitchen, amount: float, expected: str) -> None:
    assert compared(kitchen, {"NA": amount}, {"NA": 600}, "reduced_sodium").verdict == expected  # type: ignore[attr-defined]


def test_cholesterol_example_of_the_regulation(kitchen: Kitchen) -> None:
    """21 CFR 101.62(d)(4): "Cholesterol lowered from 55 mg to 30 mg per serving", 45 per cent."""
    found = compared(kitchen, {"CHOLE": 30}, {"CHOLE": 55}, "reduced_chol")
    assert found.verdict == HOLDS  # type: ignore[attr-defined]
    assert found.change == pytest.approx(25 / 55 * 100)  # type: ignore[attr-defined]


def test_a_low_reference_dish_bars_reduced(kitchen: Kitchen) -> None:
    """21 CFR 101.13(j)(3)."""
    assert compared(kitchen, {"NA": 50}, {"NA": 140}, "reduced_sodium").verdict == FAILS  # type: ignore[attr-defined]
    assert compared(kitchen, {"NA": 50}, {"NA": 141}, "reduced_sodium").verdict == HOLDS  # type: ignore[attr-defined]


@pytest.mark.parametrize(("saturated", "expected"), [(2.0, HOLDS), (2.1, FAILS)])
def test_reduced_cholesterol_needs_little_saturated_fat(kitchen: Kitchen, saturated: float, expected: str) -> None:
    found = compared(kitchen, {"CHOLE": 40, "FASAT": saturated}, {"CHOLE": 60, "FASAT": 5}, "reduced_chol")
    assert found.verdict == expected  # type: ignore[attr-defined]


@pytest.mark.parametrize(("iron", "expected"), [(2.8, HOLDS), (2.79, FAILS)])
def test_more_iron_is_ten_points_of_the_daily_value(kitchen: Kitchen, iron: float, expected: str) -> None:
    """21 CFR 101.54(e): 10 per cent of 18 mg more than the reference."""
    assert compared(kitchen, {"FE": iron}, {"FE": 1.0}, "more_FE").verdict == expected  # type: ignore[attr-defined]


def test_light_by_a_third_fewer_calories_only_where_fat_gives_less_than_half(kitchen: Kitchen) -> None:
    """21 CFR 101.56(b)."""
    lean = compared(kitchen, {"ENERC_KCAL": 200}, {"ENERC_KCAL": 300, "FAT": 16}, "light_third")
    fat = compared(kitchen, {"ENERC_KCAL": 200}, {"ENERC_KCAL": 300, "FAT": 17}, "light_third")
    assert (lean.verdict, fat.verdict) == (HOLDS, FAILS)  # type: ignore[attr-defined]


def test_health_claim_on_sodium_needs_low_sodium_and_ten_per_cent_of_something(kitchen: Kitchen) -> None:
    words, rule = next(x for x in kitchen.tables.claims.health if x[1].statement == "sodium_hypertension")
    for values, expected in (({"NA": 140, "VITC": 9}, "met"), ({"NA": 141, "VITC": 9}, "not met"), ({"NA": 140}, "not met"),
                             ({"NA": 140, "VITC": 9, "FAT": 14}, "not met")):
        probe = probe_kitchen(kitchen, values)
        verdicts = judge_statements(probe, analysed(probe, recipe("food")))
        assert judge_health(words, rule, verdicts, {}).verdict == expected, values


def test_soy_claim_waits_for_the_grams_of_soy_protein(kitchen: Kitchen) -> None:
    words, rule = next(x for x in kitchen.tables.claims.health if x[1].statement == "soy_chd")
    probe = probe_kitchen(kitchen, {"VITC": 9})
    verdicts = judge_statements(probe, analysed(probe, recipe("food")))
    found = [judge_health(words, rule, verdicts, inputs).verdict for inputs in ({}, {"soy_protein": 6.24}, {"soy_protein": 6.25})]
    assert found == [CANNOT, "not met", "met"]


def test_low_and_high_reading_include_their_thresholds() -> None:
    assert [reading(v, 5, 10) for v in (5.0, 5.01, 9.99, 10.0, None)] == ["low", "between", "between", "high", ""]
    assert [reading(v, 5, 20) for v in (5.0, 19.99, 20.0)] == ["low", "between", "high"]


@pytest.mark.parametrize(("code", "sign", "change", "expected"), [
    (1, "<=", 10.0, False), (1, "<=", 10.1, True), (1, "<", 10.0, True), (-1, "<=", 10.0, True), (-1, "<", 10.0, False),
    (1, ">=", 10.0, False), (0, "<=", 99.0, False),
])
def test_a_change_to_the_limit_itself_turns_only_what_leaves_the_limit_out(code: int, sign: str, change: float, expected: bool) -> None:
    assert turns(code, sign, 10.0, change) is expected
