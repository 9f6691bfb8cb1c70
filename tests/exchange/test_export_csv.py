"""The tidy table: one row for each nutrient and basis, each with reading, coverage and sources."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from tests.dishes import dish, line
from workbookgen.api import Cookbook, analyse, load
from workbookgen.exchange.export_csv import COLUMNS, as_csv, sources_of
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

BASES = ("serving", "100 g", "recipe")


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture(scope="module")
def book() -> Cookbook:
    return load()


@pytest.fixture(scope="module")
def kitchen(book: Cookbook) -> Kitchen:
    """With safety rules, which drafting does without."""
    return book.kitchen


@pytest.fixture(scope="module")
def eggs(book: Cookbook) -> Analysis:
    return analyse(book, "Eggs baked in tomato and peppers")


def test_each_nutrient_stands_once_for_each_basis(book: Cookbook, eggs: Analysis) -> None:
    found = rows(as_csv(book.kitchen, eggs))
    assert tuple(found[0]) == COLUMNS
    wanted = [(n.tag, basis) for n in book.kitchen.tables.nutrients for basis in BASES]
    assert [(r["tag"], r["basis"]) for r in found] == wanted


def test_figures_are_those_of_the_analysis(book: Cookbook, eggs: Analysis) -> None:
    for row in rows(as_csv(book.kitchen, eggs)):
        result = eggs.nutrients[row["tag"]]
        amount = {"serving": result.serving, "100 g": result.per_100g, "recipe": result.dish}[row["basis"]]
        if row["amount"]:
            assert float(row["amount"]) == half_up(half_up(amount * 1e6, 9)) / 1e6
        assert float(row["coverage"]) == pytest.approx(result.coverage, abs=1e-6)
        assert row["unit"] == book.kitchen.nutrient_by_tag[row["tag"]].unit


def test_no_amount_stands_without_its_reading(book: Cookbook) -> None:
    for recipe in book:
        analysis = analyse(book, recipe.title)
        for row in rows(as_csv(book.kitchen, analysis)):
            result = analysis.nutrients[row["tag"]]
            assert row["reads"] in ("exact", "at least", "at most", "not known")
            assert bool(row["amount"]) == (row["reads"] != "not known")
            if result.reads:
                assert row["reads"] in (result.reads, "not known")
            else:
                assert row["reads"] == "exact"
            assert row["sources"] or row["reads"] == "not known"


def test_unknown_is_blank_and_known_zero_is_zero(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"))
    unknown = replace(
        analysis.nutrients["STARCH"], serving=0.0, dish=0.0, per_100g=0.0, reads="at least", coverage=0.0
    )
    analysis = replace(analysis, nutrients={**analysis.nutrients, "STARCH": unknown})
    by_tag = {r["tag"]: r for r in rows(as_csv(kitchen, analysis)) if r["basis"] == "serving"}
    assert (by_tag["STARCH"]["amount"], by_tag["STARCH"]["reads"]) == ("", "not known")
    assert (by_tag["CHOLE"]["amount"], by_tag["CHOLE"]["reads"]) == ("0", "exact")


def test_the_weight_says_whether_the_pot_was_weighed(kitchen: Kitchen) -> None:
    for weighed, word in ((None, "estimated"), (250.0, "weighed")):
        found = rows(as_csv(kitchen, dish(kitchen, line("Kale, raw"), cooked_weight_g=weighed)))
        assert {r["weight"] for r in found} == {word}


def test_sources_name_food_table_and_retention_only_where_cooking_loses(kitchen: Kitchen) -> None:
    raw, boiled = (dish(kitchen, line("Kale, raw", treatment=t)) for t in ("none", "boiled, drained"))
    vitamin, fat = kitchen.nutrient_by_tag["VITC"], kitchen.nutrient_by_tag["FAT"]
    retention = "Retention Factors"
    assert [retention in " ".join(sources_of(kitchen, a, n)) for a in (raw, boiled) for n in (vitamin, fat)] == [
        False, False, True, False,
    ]  # fmt: skip
    assert all("Standard Reference" in s for s in sources_of(kitchen, raw, vitamin))


def test_a_borrowed_value_names_the_table_it_was_borrowed_from(kitchen: Kitchen) -> None:
    food = next(
        f for f in kitchen.table.foods if "borrowed from ifct_2017" in f.provenance and f.state == "raw"
    )
    analysis = dish(kitchen, line(food.name))
    phytate, iron = kitchen.nutrient_by_tag["PHYTAC"], kitchen.nutrient_by_tag["FE"]
    assert "Indian Food Composition Tables" in sources_of(kitchen, analysis, phytate)[0]
    assert "Standard Reference" in sources_of(kitchen, analysis, iron)[0]


def test_texts_that_begin_like_a_formula_are_neutralised(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"))
    for title in ("=HYPERLINK(1)", "+1", "-1", "@SUM(A1)"):
        named = replace(analysis, recipe=replace(analysis.recipe, title=title))
        assert {r["recipe"] for r in rows(as_csv(kitchen, named))} == {f"'{title}"}
