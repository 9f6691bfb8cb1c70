"""Protein quality: scores of mixtures, coverage, corrected protein, the dish without a line."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.analysis import Analysis
from workbookgen.model.science import AMINO
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.protein import (
    completeness,
    corrected,
    partner_foods,
    partners,
    protein_of_serving,
    reference_protein,
    score,
)

SCIENCE = load_tables().science
ADULT = SCIENCE.patterns[SCIENCE.pattern_no("default")]
RULE = SCIENCE.patterns[SCIENCE.pattern_no("regulation")]


@pytest.mark.parametrize("pattern", SCIENCE.patterns, ids=lambda p: p.id)
def test_a_protein_equal_to_the_pattern_scores_exactly_one(pattern: object) -> None:
    p = next(x for x in SCIENCE.patterns if x is pattern)
    found = score({a: v * 7.3 for a, v in p.mg_per_g.items()}, 7.3, p)
    assert found.reached
    assert found.score == pytest.approx(1)


@pytest.mark.parametrize("amino", AMINO)
def test_one_short_amino_acid_is_enough_to_miss_the_pattern(amino: str) -> None:
    mg = {**ADULT.mg_per_g, amino: ADULT.mg_per_g[amino] * 0.999999}
    found = score(mg, 1.0, ADULT)
    assert not found.reached
    assert found.limiting == amino


@given(st.lists(st.floats(1, 100), min_size=9, max_size=9), st.floats(0.1, 100))
def test_a_score_does_not_depend_on_the_amount(values: list[float], factor: float) -> None:
    mg = dict(zip(AMINO, values, strict=True))
    one, many = score(mg, 1.0, ADULT), score({a: v * factor for a, v in mg.items()}, factor, ADULT)
    assert many.score == pytest.approx(one.score)


def test_corrected_score_is_cut_at_one_after_digestibility() -> None:
    mg = {a: v * 1.2 for a, v in RULE.mg_per_g.items()}
    digestibility, cut = corrected(mg, 1.0, 0.9, RULE)
    assert digestibility == pytest.approx(0.9)
    assert cut == 1.0  # 1.2 x 0.9 = 1.08; cutting the score first would give 0.9


@pytest.mark.parametrize(("covered", "words"), [(0.9, "complete"), (0.8999999, "not enough data"), (0.0, "not enough data")])
def test_complete_needs_ninety_per_cent_of_the_protein_covered(covered: float, words: str) -> None:
    assert completeness(score(dict(ADULT.mg_per_g), 1.0, ADULT), covered, 90) == words


def test_protein_is_turned_from_the_foods_own_factor_to_625(kitchen: Kitchen) -> None:
    wheat = kitchen.food_by_name["whole wheat flour"]
    assert reference_protein(wheat, 5.83, 6.25) == pytest.approx(6.25)
    assert reference_protein(replace(wheat, nitrogen_factor=None), 5.83, 6.25) == 5.83
    assert reference_protein(replace(wheat, nitrogen_factor=0.0), 5.83, 6.25) == 5.83


def test_amino_acids_are_summed_before_they_are_compared(kitchen: Kitchen) -> None:
    """Lentils lack sulphur amino acids, rice lacks lysine: together they score above both."""
    def found(*lines: object) -> float:
        value = protein_of_serving(kitchen, dish(kitchen, *lines)).chosen.score
        assert value is not None
        return value

    lentils, rice = line("Lentils, brown or green, dry"), line("White rice, long grain, enriched, dry", 200)
    assert found(lentils, rice) > max(found(lentils), found(rice))


def _unknown(analysis: Analysis, number: int, tag: str) -> Analysis:
    lines = list(analysis.lines)
    lines[number] = replace(lines[number], values={**lines[number].values, tag: None})
    return replace(analysis, lines=tuple(lines))


def test_protein_with_an_unknown_amino_acid_is_not_covered(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Egg, whole, raw"), line("Lentils, brown or green, dry"))
    known = protein_of_serving(kitchen, analysis)
    short = protein_of_serving(kitchen, _unknown(analysis, 1, "TRP"))
    assert known.covered == pytest.approx(1)
    assert short.covered == pytest.approx(12.56 / (12.56 + 24.63), abs=0.001)
    assert short.corrected_g is None
    assert short.dv_pct is None
    assert short.complete == "not enough data"
    assert short.chosen.score == pytest.approx(protein_of_serving(kitchen, dish(kitchen, line("Egg, whole, raw"))).chosen.score)


def test_unpublished_digestibility_takes_the_lowest_of_the_table(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Quinoa, dry"))
    assert analysis.lines[0].food.digestibility is None
    found = protein_of_serving(kitchen, analysis)
    assert found.digestibility == pytest.approx(0.78)
    assert found.published == 0


def test_corrected_protein_per_cent_uses_the_daily_value(kitchen: Kitchen) -> None:
    found = protein_of_serving(kitchen, dish(kitchen, line("Egg, whole, raw", 200)))
    assert found.corrected_g == pytest.approx(25.12)
    assert found.dv_pct == pytest.approx(25.12 / 50 * 100)


def test_the_dish_without_its_only_protein_has_no_score(kitchen: Kitchen) -> None:
    found = protein_of_serving(kitchen, dish(kitchen, line("Egg, whole, raw"), line("Olive oil", 10)))
    assert found.without == ((None, ""), (None, ""))


def test_the_score_without_a_line_is_that_of_the_rest(kitchen: Kitchen) -> None:
    rest = line("Red kidney beans, dry")
    both = protein_of_serving(kitchen, dish(kitchen, line("White rice, long grain, enriched, dry", 300), rest))
    alone = protein_of_serving(kitchen, dish(kitchen, rest))
    assert both.without[0][0] == pytest.approx(alone.chosen.score)
    assert both.without[0][1] == alone.chosen.limiting


def test_nothing_but_oil_has_no_score(kitchen: Kitchen) -> None:
    found = protein_of_serving(kitchen, dish(kitchen, line("Olive oil", 10)))
    assert (found.chosen.score, found.corrected_score, found.corrected_g, found.complete) == (None, None, None, "-")


def test_every_partner_is_in_the_catalogue_with_its_amino_acids(kitchen: Kitchen) -> None:
    assert [f.id for f in partner_foods(kitchen)] == [p.food_id for p in SCIENCE.partners]


def test_a_partner_scores_as_the_dish_with_it(kitchen: Kitchen) -> None:
    base = dish(kitchen, line("White rice, long grain, enriched, dry", 100))
    for tried in partners(kitchen, base, ADULT)[:8]:
        whole = dish(kitchen, line("White rice, long grain, enriched, dry", 100), line(tried.food.name, tried.grams))
        assert protein_of_serving(kitchen, whole).chosen.score == pytest.approx(tried.score)
