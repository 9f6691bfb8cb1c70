"""Ratios and shares of one serving and how they read at their limits."""

from __future__ import annotations

import pytest

from tests.dishes import dish, line
from workbookgen.catalogue.tables import load_tables
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.serving_facts import colour_grams, energy_parts, read_step, serving_facts

READINGS = load_tables().science.readings


@pytest.mark.parametrize(
    ("reading", "value", "words"),
    [
        ("energy_density", 0.549, "very low"), ("energy_density", 0.55, "low"), ("energy_density", 1.549, "low"),
        ("energy_density", 1.55, "medium"), ("energy_density", 3.95, "high"),
        ("fibre_1000", 13.94, "below 14 g per 1000 kcal"), ("fibre_1000", 13.95, "14 g per 1000 kcal or more"),
        ("protein_share", 9.9, "below 10 to 35 %"), ("protein_share", 10, "within 10 to 35 %"),
        ("protein_share", 35.04, "within 10 to 35 %"), ("protein_share", 35.05, "above 10 to 35 %"),
        ("saturated_share", 9.94, "below 10 %"), ("saturated_share", 9.95, "10 % or more"),
        ("sodium_potassium", 1.004, "1 or less"), ("sodium_potassium", 1.005, "above 1"),
        ("unsaturated_saturated", 1.24, "1.2 or less: no points"), ("unsaturated_saturated", 2.45, "2.5 or more: full points"),
        ("epa_dha", 249.4, "below the 250 mg of a day"), ("epa_dha", 249.5, "the 250 mg of a day or more"),
    ],
)
def test_a_figure_reads_by_its_rounded_value(reading: str, value: float, words: str) -> None:
    assert read_step(READINGS[reading], value) == words


def test_energy_shares_add_up_to_all(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Lentils, boiled", 200), line("Olive oil", 10), line("Wine, red", 50))
    parts = energy_parts(kitchen.constants, {t: r.serving for t, r in analysis.nutrients.items()})
    assert parts["alcohol"] > 0
    facts = {f.rule.key: f.value for f in serving_facts(kitchen, analysis)}
    shares = [facts[k] for k in ("protein_share", "fat_share", "carbohydrate_share", "alcohol_share")]
    assert sum(s for s in shares if s is not None) == pytest.approx(100)
    assert facts["fibre_share"] is not None
    assert facts["fibre_share"] < (facts["carbohydrate_share"] or 0)


def test_a_ratio_without_a_denominator_is_not_formed(kitchen: Kitchen) -> None:
    facts = {f.rule.key: f for f in serving_facts(kitchen, dish(kitchen, line("Water, tap", 200)))}
    assert facts["fibre_1000"].value is None
    assert facts["fibre_1000"].reads == ""
    assert facts["unsaturated_saturated"].value is None


def test_short_knowledge_gives_no_reading(kitchen: Kitchen) -> None:
    facts = {f.rule.key: f for f in serving_facts(kitchen, dish(kitchen, line("Teriyaki sauce", 50)))}
    short = [f for f in facts.values() if f.rule.reading and f.known < 0.9 and f.value is not None]
    assert short
    assert all(f.reads == "not enough data" for f in short)


def test_colours_count_the_weight_in_the_dish(kitchen: Kitchen) -> None:
    grams = colour_grams(dish(kitchen, line("Kale, raw", 90), line("Red bell pepper, raw", 60), line("Olive oil", 10), servings=2.0))
    assert grams["green"] == pytest.approx(45)
    assert grams["red"] == pytest.approx(30)
    assert grams["blue-purple"] == 0
