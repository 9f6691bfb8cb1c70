"""Words on packs at their limits (21 CFR part 101 subpart D)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from workbookgen.model.food import Food
from workbookgen.model.pack import Pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack_words import amounts, judge_words


def judge(kitchen: Kitchen, word: str, values: dict[str, float], other: dict[str, float] | None = None, **more: object) -> str:
    pack = Pack("Product", serving_g=100.0, amounts=values, words=(word,), **more)  # type: ignore[arg-type]
    food = None if other is None else Food("x", "Other", "", "ready", "", other)
    return judge_words(kitchen, kitchen.pack_rules, pack, food)[0].verdict


@pytest.mark.parametrize(("word", "tag", "at", "beyond"), [
    ("low_sodium", "NA", 140, 140.001), ("very_low_sodium", "NA", 35, 35.001), ("low_fat", "FAT", 3, 3.001),
    ("low_calorie", "ENERC_KCAL", 40, 40.001), ("calorie_free", "ENERC_KCAL", 4.999, 5),
])  # fmt: skip
def test_a_word_holds_at_its_limit_and_fails_beyond(kitchen: Kitchen, word: str, tag: str, at: float, beyond: float) -> None:
    assert judge(kitchen, word, {tag: at}) == "holds"
    assert judge(kitchen, word, {tag: beyond}) == "fails"
    assert judge(kitchen, word, {}) == "cannot be judged"


def test_sodium_free_needs_less_than_5_mg_and_no_salt_among_the_ingredients(kitchen: Kitchen) -> None:
    assert judge(kitchen, "sodium_free", {"NA": 4.9}, salt="no") == "holds"
    assert judge(kitchen, "sodium_free", {"NA": 5.0}, salt="no") == "fails"
    assert judge(kitchen, "sodium_free", {"NA": 4.9}, salt="yes") == "fails"
    assert judge(kitchen, "sodium_free", {"NA": 4.9}) == "cannot be judged"


@pytest.mark.parametrize("word", ["no_salt_added", "unsalted"])
def test_no_salt_added_follows_the_ingredient_list(kitchen: Kitchen, word: str) -> None:
    assert [judge(kitchen, word, {"NA": 300.0}, salt=s) for s in ("no", "yes", "unknown")] == ["holds", "fails", "cannot be judged"]


def test_small_reference_amounts_are_judged_on_50_g_too(kitchen: Kitchen) -> None:
    cracker = Pack("Cracker", 15.0, amounts={"NA": 45.0}, words=("low_sodium",), reference="cracker")
    assert amounts(kitchen, cracker).small == 50  # 30 g is small
    verdict = judge_words(kitchen, kitchen.pack_rules, cracker, None)[0]
    assert (verdict.verdict, verdict.states, verdict.picked) == ("fails", ("holds", "fails"), 2)  # 90 mg, but 150 mg in 50 g
    bread = replace(cracker, reference="bread", serving_g=50.0)
    assert amounts(kitchen, bread).small == 0


@pytest.mark.parametrize(("word", "tag", "enough", "short"), [
    ("reduced_sodium", "NA", 75.0, 75.1), ("light_sodium", "NA", 50.0, 50.1), ("lightly_salted", "NA", 50.0, 50.1),
    ("reduced_calorie", "ENERC_KCAL", 75.0, 75.1), ("reduced_fat", "FAT", 75.0, 75.1), ("reduced_sugar", "SUGAR", 75.0, 75.1),
])  # fmt: skip
def test_reductions_at_their_limit(kitchen: Kitchen, word: str, tag: str, enough: float, short: float) -> None:
    other = {tag: 200.0}
    assert judge(kitchen, word, {tag: enough * 2}, other) == "holds"
    assert judge(kitchen, word, {tag: short * 2}, other) == "fails"
    assert judge(kitchen, word, {tag: enough * 2}, None) == "cannot be judged"


def test_a_product_that_is_itself_low_cannot_be_compared_with(kitchen: Kitchen) -> None:
    """21 CFR 101.13(j)(3)."""
    assert judge(kitchen, "reduced_sodium", {"NA": 50.0}, {"NA": 140.0}) == "fails"
    assert judge(kitchen, "reduced_sodium", {"NA": 50.0}, {"NA": 140.001}) == "holds"


@pytest.mark.parametrize(("values", "other", "verdict"), [
    # half or more of the energy from fat: the fat itself must be halved
    ({"FAT": 10.0, "ENERC_KCAL": 100.0}, {"FAT": 20.0, "ENERC_KCAL": 300.0}, "holds"),
    ({"FAT": 10.1, "ENERC_KCAL": 100.0}, {"FAT": 20.0, "ENERC_KCAL": 300.0}, "fails"),
    # less than half: a third fewer calories is enough
    ({"FAT": 9.0, "ENERC_KCAL": 200.0}, {"FAT": 10.0, "ENERC_KCAL": 300.0}, "holds"),
    ({"FAT": 9.0, "ENERC_KCAL": 200.1}, {"FAT": 10.0, "ENERC_KCAL": 300.0}, "fails"),
    # low in both: the sodium must be halved
    ({"FAT": 1.0, "ENERC_KCAL": 30.0, "NA": 200.0}, {"FAT": 3.0, "ENERC_KCAL": 40.0, "NA": 400.0}, "holds"),
    ({"FAT": 1.0, "ENERC_KCAL": 30.0, "NA": 200.1}, {"FAT": 3.0, "ENERC_KCAL": 40.0, "NA": 400.0}, "fails"),
    ({"ENERC_KCAL": 250.0}, {"FAT": 10.0, "ENERC_KCAL": 300.0}, "cannot be judged"),
])  # fmt: skip
def test_light(kitchen: Kitchen, values: dict[str, float], other: dict[str, float], verdict: str) -> None:
    """21 CFR 101.56(b)(1), (b)(2), (c)(1)."""
    assert judge(kitchen, "light", values, other) == verdict


def test_light_on_a_main_dish_is_not_defined_here(kitchen: Kitchen) -> None:
    assert judge(kitchen, "light", {"FAT": 1.0}, kind="main dish") == "not defined for this kind of product"


def test_main_dishes_are_judged_on_100_g(kitchen: Kitchen) -> None:
    pack = Pack("Stew", 300.0, amounts={"NA": 420.0}, words=("low_sodium",), kind="main dish")
    assert judge_words(kitchen, kitchen.pack_rules, pack, None)[0].verdict == "holds"


def test_healthy_can_fail_but_never_hold_from_a_label(kitchen: Kitchen) -> None:
    low = {"SUGAD": 0.0, "NA": 100.0, "FASAT": 0.5}
    assert judge(kitchen, "healthy", low) == "cannot be judged"
    assert judge(kitchen, "healthy", low | {"NA": 346.0}) == "fails"


def test_good_source_stops_at_20_per_cent(kitchen: Kitchen) -> None:
    assert [judge(kitchen, "source_fiber", {"FIBTG": x}) for x in (2.79, 2.8, 5.59, 5.6)] == ["fails", "holds", "holds", "fails"]


def test_every_limit_of_a_word_stands_in_the_rules_it_points_to(kitchen: Kitchen) -> None:
    for word in kitchen.pack_rules.words:
        for conditions in word.conditions.values():
            assert all(c.proof.source_id in kitchen.tables.sources for c in conditions), word.id
