"""The Markdown page: everything a printed card must say, figures with their reading."""

from __future__ import annotations

from dataclasses import replace

import pytest
from markdown_it import MarkdownIt

from tests.dishes import dish, line
from workbookgen.api import Cookbook, analyse, load
from workbookgen.exchange.cells import md_text
from workbookgen.exchange.export_markdown import as_markdown
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.kitchen import Kitchen


@pytest.fixture(scope="module")
def book() -> Cookbook:
    return load()


@pytest.fixture(scope="module")
def kitchen(book: Cookbook) -> Kitchen:
    """With safety rules, which drafting does without."""
    return book.kitchen


def rows(page: str) -> dict[str, list[str]]:
    """Lines of the nutrition table: cells by name."""
    table = [
        r.removeprefix("| ").removesuffix(" |").split(" | ") for r in page.splitlines() if r.startswith("|")
    ]
    return {r[0].strip("*\u2003 "): [c.strip("* ") for c in r[1:]] for r in table[2:]}


def test_every_demo_page_says_what_a_card_must_say(book: Cookbook) -> None:
    for recipe in book:
        analysis = analyse(book, recipe.title)
        page = as_markdown(book.kitchen, analysis)
        report = allergen_report(book.kitchen.safety, analysis)
        musts = [
            report.contains,
            report.unchecked,
            report.apart,
            *caution_report(book.kitchen, analysis).card_lines,
        ]
        for must in [recipe.title, *recipe.method, *musts]:
            assert md_text(must) in page, (recipe.title, must)
        for heading in ("Ingredients", "Method", "Nutrition of one serving", "Allergens", "Who should ask first",
                        "Keeping", "Disclaimer"):  # fmt: skip
            assert page.count(f"\n## {heading}\n") == 1
        assert "licensed clinician or registered dietitian" in page
        assert page.count("\n- **") >= sum(line.include for line in recipe.lines)


def test_ingredients_show_household_measure_and_grams_under_their_heading(book: Cookbook) -> None:
    page = as_markdown(book.kitchen, analyse(book, "Fruit and walnut slaw"))
    assert "**Dressing**\n\n- **1/2 cup** (122 g) Yogurt, plain, low fat\n" in page
    assert "as a garnish" in page
    assert "hold back for freezing" in page


def test_readings_stay_beside_the_figures(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 200), line("Walnuts, english, raw", 30))
    for reads, coverage in (("at least", 0.5), ("at most", 1.0)):
        changed = {
            tag: replace(analysis.nutrients[tag], reads=reads, coverage=coverage)
            for tag in ("FAT", "CA", "ENERC_KCAL")
        }
        found = rows(as_markdown(kitchen, replace(analysis, nutrients={**analysis.nutrients, **changed})))
        assert found["Total Fat"][0].startswith(f"{reads} ")
        assert found["Calories"][0].startswith(f"{reads} ")
        assert found["Calcium"][0].startswith(f"{reads} ")
        assert found["Calcium"][1][0] == {"at least": "≥", "at most": "≤"}[reads]


def test_what_is_not_known_is_said(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw"))
    unknown = replace(analysis.nutrients["CA"], serving=0.0, coverage=0.0, reads="at least")
    page = as_markdown(kitchen, replace(analysis, nutrients={**analysis.nutrients, "CA": unknown}))
    assert rows(page)["Calcium"] == ["not known", ""]


def test_the_eu_declaration_goes_with_eu_reference_values(kitchen: Kitchen) -> None:
    page = as_markdown(kitchen, dish(kitchen, line("Kale, raw"), reference_set="eu_nrv"))
    assert "| 100 g | Portion |" in page
    assert "Calories" not in page


def test_an_estimated_weight_says_so(kitchen: Kitchen) -> None:
    assert "weight of the cooked dish estimated" in as_markdown(kitchen, dish(kitchen, line("Kale, raw")))
    weighed = as_markdown(kitchen, dish(kitchen, line("Kale, raw"), cooked_weight_g=90.0))
    assert "the pot was weighed" in weighed


def test_mark_up_in_texts_is_shown_and_does_nothing(kitchen: Kitchen) -> None:
    evil = "# <script>x</script> [a](b) | *c*"
    analysis = dish(kitchen, line("Kale, raw", note=evil), method=(evil,), storage=(evil,))
    analysis = replace(analysis, recipe=replace(analysis.recipe, title=evil))
    html = MarkdownIt().enable("table").render(as_markdown(kitchen, analysis))
    assert html.count("&lt;script&gt;x&lt;/script&gt; [a](b) | *c*") == 4
    assert html.count("<h1>") == 1
    assert "<script" not in html
    assert "<a " not in html
