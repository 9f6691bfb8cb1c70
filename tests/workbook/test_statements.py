"""Statements in a workbook: what is ticked, printed and struck out; the sheet Statements; bad input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.statement_probe import EGG, GRAIN, PROBE_KITCHEN_VALUES, probe_kitchen, probe_name, recipe
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.claims import EU, REFERENCE_SET, US
from workbookgen.model.pack import Pack
from workbookgen.model.programme import Programme
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, with_programme
from workbookgen.verify import verify
from workbookgen.workbook import statements_pack
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_layout import RecipeLayout, recipe_layout, strip_lengths
from workbookgen.workbook.statements_layout import Places
from workbookgen.workbook.stored import Disagreement, fill
from workbookgen.workbook.write import write_book


def laid_out(kitchen: Kitchen, recipes: Sequence[Recipe], rule_set: str = US) -> tuple[Book, list[Disagreement]]:
    settings = replace(default_settings(), reference_set=REFERENCE_SET[rule_set])
    book, _ = lay_out(kitchen, constant_rows(), recipes, settings, load_look(), Spares(1, 0))
    return book, fill(book)


def layout(kitchen: Kitchen) -> tuple[RecipeLayout, Places]:
    lay = recipe_layout(kitchen, 1, strip_lengths(kitchen), 0, False)
    return lay, Places(lay, ClaimPlan(kitchen.tables.claims))


def sheet_of(book: Book, name: str) -> Sheet:
    return next(s for s in book.sheets if s.name == name)


def card(book: Book, kitchen: Kitchen, title: str) -> tuple[list[Any], list[Any]]:
    """What the card prints and what it strikes out."""
    lay, places = layout(kitchen)
    sheet = sheet_of(book, title)
    rows = range(places.card_first, places.card_first + 8)
    printed, struck = ([sheet.cells[r, lay.col[key]].value for r in rows] for key in ("food", "message"))
    return [x for x in printed if x], [x for x in struck if x]


TICKS = ("low_sodium", "Low fat", "calorie_free", "high_FIBTG", "no_salt_added")


@pytest.fixture(scope="module")
def ticked(kitchen: Kitchen) -> tuple[Book, Kitchen]:
    probe = probe_kitchen(kitchen, {"NA": 60, "FAT": 14, "ENERC_KCAL": 400, "FIBTG": 7})
    made = [replace(recipe(d), statements=TICKS) for d in ("food", "main dish")]
    book, differing = laid_out(probe, made)
    assert differing == []
    return book, probe


def test_only_ticked_statements_that_hold_are_printed_with_their_words(ticked: tuple[Book, Kitchen]) -> None:
    printed, struck = card(*ticked, "Probe food")
    assert printed == [
        "Low sodium. See nutrition information for fat content.",
        "No salt added. Not a sodium free food. See nutrition information for fat content.",
        "High in fiber. Total fat: 14 g per serving. See nutrition information for fat content.",
    ]
    assert [s.split(":")[0] for s in struck] == ["Calorie free", "Low fat"]
    assert struck == ["Calorie free: fails, 400 (needed: below 5 kcal)", "Low fat: fails, 14 (needed: at most 3 g)"]


def test_a_ticked_statement_that_fails_is_struck_out_on_the_printed_card(ticked: tuple[Book, Kitchen]) -> None:
    book, probe = ticked
    _, struck = card(book, probe, "Probe food")
    assert struck
    words = [struck_text.split(":")[0] for struck_text in struck]
    pages = [s for s in book.sheets if s.conditions and s.name != "Probe food"]
    footers = [c.value for s in pages for c in s.cells.values() if isinstance(c.value, str) and all(f"{w}:" in c.value for w in words)]
    assert "; ".join(struck) in footers


def test_a_main_dish_names_the_ingredient(ticked: tuple[Book, Kitchen]) -> None:
    printed, _ = card(*ticked, "Probe main dish")
    assert "High in fiber: the probe for main dish in it. Total fat: 14 g per serving." in [p.split(" See")[0] for p in printed]


def test_the_same_ticks_are_judged_by_eu_rules_when_eu_values_are_chosen(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen, {"NA": 130, "SUGAR": 4})
    book, differing = laid_out(probe, [replace(recipe("solid"), statements=("low_sodium", "low_sugars", "low_chol"))], EU)
    assert differing == []
    printed, struck = card(book, probe, "Probe solid")
    assert printed == ["Low in sugars."]
    assert struck == ["Low in cholesterol: not in this rule set", "Low sodium: fails, 130 (needed: at most 120 mg)"]


def test_no_added_sugars_says_what_is_natural(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen, {"SUGAR": 9})
    book, _ = laid_out(probe, [replace(recipe("solid"), statements=("no_added_sugars",))], EU)
    assert card(book, probe, "Probe solid")[0] == ["With no added sugars. Contains naturally occurring sugars."]


def test_statements_sheet_agrees_with_the_core_for_both_rule_sets(kitchen: Kitchen) -> None:
    probe = probe_kitchen(kitchen, {"NA": 100, "FAT": 2, "ENERC_KCAL": 90, "FE": 4, "VITC": 20, "SUGAR": 3})
    lines = (IngredientLine(probe_name("small"), 60, "g"), IngredientLine(GRAIN, 150, "g"), IngredientLine(EGG, 60, "g"))
    other = replace(recipe("small"), title="Other dish", lines=lines, kind="main dish")
    for rule_set in (US, EU):
        book, differing = laid_out(probe, [replace(recipe("food"), compare_with="Other dish"), other], rule_set)
        assert differing == []
        assert sheet_of(book, "Statements").cells


def test_the_comparison_with_a_label_agrees_with_the_core(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every dish of the rules against a product that leaves some words sure, some open, some undeclared."""
    probe = probe_kitchen(kitchen, {"NA": 100, "FAT": 2, "ENERC_KCAL": 90, "FE": 4, "FIBTG": 6, "SUGAR": 3, "FASAT": 0.5})
    amounts = {"NA": 400.0, "FAT": 8.0, "ENERC_KCAL": 180.0, "FIBTG": 2.0, "FASAT": 3.0, "CHOLE": 0.0, "CA": 30.0}
    monkeypatch.setattr(statements_pack, "like", lambda pack, judged: True)
    joined = with_programme(probe, Programme(packs=(Pack("Brand A dish", 120.0, amounts=amounts),)))
    for rule_set, dishes in ((US, ("food", "small", "main dish", "meal")), (EU, ("solid",))):
        for dish in dishes:
            book, differing = laid_out(joined, [recipe(dish)], rule_set)
            assert differing == [], dish
            words = {cell.value for (_, col), cell in sheet_of(book, "Statements").cells.items() if col == 6}
            assert {"holds", "not on this label"} <= words, dish


NONSENSE: tuple[Any, ...] = ("", "   ", "x" * 300, "*", "?", -5, 1e300, True, "=1", "Food", 0, 1.5, "main dish ")


def test_nonsense_in_the_inputs_gives_no_error_value(kitchen: Kitchen) -> None:
    """One recipe for each odd value, which stands in every input of its statement blocks at once."""
    probe = probe_kitchen(kitchen, PROBE_KITCHEN_VALUES)
    made = [replace(recipe("food"), title=f"Probe {i}") for i in range(len(NONSENSE))]
    book, _ = lay_out(probe, constant_rows(), made, default_settings(), load_look(), Spares(0, 0))
    lay, places = layout(probe)
    for i, value in enumerate(NONSENSE):
        sheet = sheet_of(book, f"Probe {i}")
        for at in ((places.input, lay.col["food"]), (places.input, lay.col["treat"]), (places.input, lay.col["grams"]),
                   (places.input, lay.col["message"]), (places.first, lay.col["count"])):
            sheet.cells[at].value = value
    for col, value in zip((1, 6, 9), ("*", 1e300, "x" * 300), strict=True):
        sheet_of(book, "Statements").cells[4, col].value = value
    fill(book)  # raises on any error value


@pytest.fixture(scope="module")
def written(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> Path:
    probe = probe_kitchen(kitchen, PROBE_KITCHEN_VALUES)
    book, _ = lay_out(probe, constant_rows(), [replace(recipe("food"), statements=TICKS)], default_settings(), load_look(), Spares(0, 0))
    assert fill(book) == []
    path = tmp_path_factory.mktemp("probe") / "probe.xlsx"
    write_book(book, path, load_look())
    return path


@pytest.mark.parametrize("engine", ["formualizer", "ironcalc", pytest.param("libreoffice", marks=pytest.mark.libreoffice)])
def test_every_quick_engine_agrees_on_one_book(written: Path, engine: str) -> None:
    """The slow engine goes over whole books: python -m tests.engines --engine formulas."""
    result = verify(written, [engine]).results[0]
    assert result.compared > 20000
    assert not result.differing
