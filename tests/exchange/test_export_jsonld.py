"""schema.org Recipe: only terms of the vocabulary, values of the expected types, no figure without its reading."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.dishes import dish, line, with_serving
from workbookgen.api import Cookbook, analyse, load
from workbookgen.catalogue.csvread import Row, read_rows
from workbookgen.exchange.export_jsonld import as_json_ld, duration, recipe_object
from workbookgen.exchange.structured import recipes_in
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen

TERMS = Path(__file__).with_name("schema_org.csv")
#: The form of a value for each data type; Mass and Energy are "<Number> <unit of measure>".
FORMS = {
    "Text": re.compile(r"(?s).*\S.*"),
    "Number": re.compile(r"\d+(\.\d+)?"),
    "Mass": re.compile(r"\d+(\.\d+)? (g|mg|mcg|kg)"),
    "Energy": re.compile(r"\d+(\.\d+)? (kcal|kJ|calories)"),
    "Duration": re.compile(r"PT(\d+H)?(\d+M)?(\d+S)?"),
}


@pytest.fixture(scope="module")
def book() -> Cookbook:
    return load()


@pytest.fixture(scope="module")
def kitchen(book: Cookbook) -> Kitchen:
    """With safety rules, which drafting does without."""
    return book.kitchen


@pytest.fixture(scope="module")
def terms() -> list[Row]:
    return read_rows(TERMS, ("kind", "term", "belongs_to", "expects", "status"))


def faults(value: dict[str, Any], terms: list[Row]) -> Iterator[str]:
    """What in an object does not fit the vocabulary, nested objects included."""
    above = {r.text("term"): r.text("belongs_to") for r in terms if r.text("kind") == "type"}
    known = {r.text("term"): r for r in terms if r.text("kind") == "property"}
    kinds = [value["@type"]]
    if kinds[0] not in above:
        yield f"no type {kinds[0]}"
        return
    while kinds[-1] in above:
        kinds.append(above[kinds[-1]])
    for key, held in value.items():
        if key.startswith("@"):
            continue
        row = known.get(key)
        if row is None or row.text("belongs_to") not in kinds:
            yield f"no property {key} of {kinds[0]}"
            continue
        for one in held if isinstance(held, list) else [held]:
            yield from _value_faults(key, one, row.items("expects"), terms, above)


def _value_faults(
    key: str, one: Any, expects: tuple[str, ...] | list[str], terms: list[Row], above: dict[str, str]
) -> Iterator[str]:
    if isinstance(one, dict):
        kind = one.get("@type", "")
        chain = [kind]
        while chain[-1] in above:
            chain.append(above[chain[-1]])
        if not set(chain) & set(expects):
            yield f"{key} expects {expects}, not {kind}"
        yield from faults(one, terms)
    elif not any(form in FORMS and FORMS[form].fullmatch(one) for form in expects):
        yield f"{key} = {one!r} is none of {expects}"


def test_the_validator_itself_finds_faults(terms: list[Row]) -> None:
    wrong = {
        "@type": "Recipe",
        "fatContent": "1 g",
        "cookTime": "10 min",
        "nutrition": {"@type": "HowToStep"},
    }
    assert list(faults(wrong, terms)) == [
        "no property fatContent of Recipe",
        "cookTime = '10 min' is none of ('Duration',)",
        "nutrition expects ('NutritionInformation',), not HowToStep",
    ]
    bounded = {"@type": "NutritionInformation", "fatContent": "at least 1 g"}
    assert list(faults(bounded, terms)) == ["fatContent = 'at least 1 g' is none of ('Mass',)"]


def test_every_demo_recipe_fits_the_published_vocabulary(book: Cookbook, terms: list[Row]) -> None:
    for recipe in book:
        told = recipe_object(book.kitchen, analyse(book, recipe.title))
        assert list(faults(told, terms)) == [], recipe.title
        assert told["@context"] == "https://schema.org"


@pytest.fixture
def kale(kitchen: Kitchen) -> Analysis:
    return dish(kitchen, line("Kale, raw"), line("Walnuts, english, raw", 10), servings=2.0)


def test_a_figure_that_reads_at_least_or_at_most_never_stands_bare(kitchen: Kitchen, kale: Analysis) -> None:
    part = with_serving(kale, "FE", 3.0)
    for reads, coverage in (("at least", 0.9), ("at most", 1.0)):
        result = replace(part.nutrients["FAT"], serving=7.25, reads=reads, coverage=coverage)
        told = recipe_object(kitchen, replace(part, nutrients={**part.nutrients, "FAT": result}))["nutrition"]
        assert "fatContent" not in told
        assert f"Total fat {reads} 7.3 g" in told["description"]


def test_what_is_not_known_is_said_and_is_not_zero(kitchen: Kitchen, kale: Analysis) -> None:
    result = replace(kale.nutrients["FATRN"], serving=0.0, reads="at least", coverage=0.0)
    told = recipe_object(kitchen, replace(kale, nutrients={**kale.nutrients, "FATRN": result}))["nutrition"]
    assert "transFatContent" not in told
    assert "Trans fat not known" in told["description"]


def test_unsaturated_fat_is_the_sum_and_needs_both_parts(kitchen: Kitchen, kale: Analysis) -> None:
    exact = {
        tag: replace(kale.nutrients[tag], reads="", coverage=1.0, serving=s)
        for tag, s in (("FAMS", 1.04), ("FAPU", 2.0))
    }
    told = recipe_object(kitchen, replace(kale, nutrients={**kale.nutrients, **exact}))["nutrition"]
    assert told["unsaturatedFatContent"] == "3 g"
    exact["FAMS"] = replace(exact["FAMS"], reads="at least", coverage=0.5)
    told = recipe_object(kitchen, replace(kale, nutrients={**kale.nutrients, **exact}))["nutrition"]
    assert "unsaturatedFatContent" not in told
    assert "Unsaturated fat at least 3 g" in told["description"]


def test_allergens_cautions_and_limits_come_first(kitchen: Kitchen, kale: Analysis) -> None:
    told = recipe_object(kitchen, kale)["description"]
    assert told.startswith("Contains: tree nuts (walnut).")
    assert "Warfarin: one serving gives vitamin K" in told
    assert "licensed clinician" in told


def test_the_text_is_safe_inside_a_page(kitchen: Kitchen) -> None:
    evil = dish(kitchen, line("Kale, raw"), method=("</script><script>alert(1)</script>",))
    text = as_json_ld(kitchen, evil)
    assert "<" not in text
    assert json.loads(text)["recipeInstructions"][0]["text"] == "</script><script>alert(1)</script>"


def test_the_draft_reader_understands_the_export(book: Cookbook) -> None:
    told = json.loads(as_json_ld(book.kitchen, analyse(book, "Fruit and walnut slaw")))
    raw = next(iter(recipes_in(told)))
    assert (raw.title, raw.gives.servings, raw.prep_minutes) == ("Fruit and walnut slaw", 6, 25)
    assert len(raw.lines) == len(told["recipeIngredient"])


def test_times_are_iso_8601_durations() -> None:
    assert [duration(m) for m in (0, 1, 90, 0.25, 1.5, None)] == [
        "PT0M",
        "PT1M",
        "PT90M",
        "PT15S",
        "PT1M30S",
        "",
    ]


def test_same_recipe_same_text(book: Cookbook) -> None:
    texts = {as_json_ld(book.kitchen, analyse(book, "Tofu and broccoli noodles")) for _ in range(2)}
    assert len(texts) == 1
