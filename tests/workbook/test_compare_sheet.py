"""Compare shows what the core says of any two or three recipes, and nothing of what it cannot find."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

import pytest

from tests.workbook.side_by_side import TITLES, Live, disagreements, laid_out, live, sheet_of
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.allergens import allergen_report, place
from workbookgen.nutrition.compare import (
    ALLERGEN_CODES,
    allergen_changes,
    amount_in_words,
    difference,
    per_cent_in_words,
)
from workbookgen.nutrition.iron import iron_of_serving
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.compare_picks import (
    CHANGES,
    CHART_PCT,
    INPUT,
    MESSAGES,
    NAME,
    NO,
    PERCENTS,
    PICKED,
    TAB,
)
from workbookgen.workbook.recipe_statements import judged_recipe


@pytest.fixture(scope="module")
def book(kitchen: Kitchen) -> Live:
    return live(kitchen)


@pytest.fixture
def pick(book: Live) -> Iterator[object]:
    """Type titles into the pickers; they are put back afterwards."""

    def choose(*titles: object) -> None:
        for col, title in zip(PICKED, titles, strict=True):
            book.type(TAB, INPUT, col, title)
        book.work_out()

    yield choose
    choose(*TITLES)


def rows(kitchen: Kitchen) -> dict[str, int]:
    """Row of each label or nutrient on Compare, first one wins."""
    sheet = sheet_of(laid_out(kitchen)[0], TAB)
    found: dict[str, int] = {}
    for (row, col), cell in sorted(sheet.cells.items()):
        if col == NAME and isinstance(cell.value, str) and cell.value:
            found.setdefault(cell.value, row)
    return found


def test_stored_values_are_those_of_the_core(kitchen: Kitchen) -> None:
    assert disagreements(kitchen, TAB) == []
    assert disagreements(kitchen, "Results") == []


def test_a_recipe_its_variant_and_another_are_picked_at_first(kitchen: Kitchen, book: Live) -> None:
    sheet = sheet_of(laid_out(kitchen)[0], TAB)
    assert tuple(sheet.cells[INPUT, col].value for col in PICKED) == TITLES
    assert all(book.at(TAB, MESSAGES, col) == "" for col in PICKED)


def test_variants_stand_after_their_recipe_with_a_card_each(kitchen: Kitchen) -> None:
    names = [s.name for s in laid_out(kitchen)[0].sheets]
    at = names.index("Bean pot")
    assert names[at : at + 5] == ["Bean pot", "Card Bean pot", "Mild, Bean pot", "Card Mild, Bean pot", "Slaw"]


def check(book: Live, kitchen: Kitchen, picked: tuple[Analysis | None, ...]) -> None:
    """Every nutrient and the facts against the core."""
    small, at = laid_out(kitchen)[2], rows(kitchen)
    for n in small.tables.nutrients:
        row = at[n.name]
        results = [a.nutrients[n.tag] if a else None for a in picked]
        for k, found in enumerate(results):
            told = book.at(TAB, row, PICKED[k])
            pct = book.at(TAB, row, PERCENTS[k])
            assert str(told) == ("" if found is None else f"{found.reads} {shown(found.serving, n.decimals)}".lstrip()), (n.tag, k)
            assert pct == ("" if found is None or found.dv_pct is None else pytest.approx(found.dv_pct)), (n.tag, k)
        for k, (amount, per_cent) in enumerate(CHANGES, 1):
            first, other = results[0], results[k]
            words = ("", "")
            if first and other:
                gap = difference(first, other)
                words = (amount_in_words(gap, n.decimals), per_cent_in_words(gap))
            assert (str(book.at(TAB, row, amount)), str(book.at(TAB, row, per_cent))) == words, (n.tag, k)
    iron = [iron_of_serving(small, a) if a else None for a in picked]
    assert [book.at(TAB, at["Iron taken up, an estimate"], c) for c in PICKED] == [
        f"{shown(i.low_mg, 2)} to {shown(i.high_mg, 2)} mg" if i else "" for i in iron
    ]
    _check_words(book, small, picked, at)


def _check_words(book: Live, small: Kitchen, picked: tuple[Analysis | None, ...], at: dict[str, int]) -> None:
    reports = [allergen_report(small.safety, a) if a else None for a in picked]
    judged = [judged_recipe(small, a) if a else None for a in picked]
    shown_ids = [s.id for s in small.tables.claims.statements if s.shown and s.words["us"]]
    for k in (1, 2):
        first, other = reports[0], reports[k]
        changes, counts = "", ""
        if first and other:
            names = [a.name_us if place(a, "us") != "no" else "" for a in small.safety.allergens]
            letters = ["".join(ALLERGEN_CODES[s.state] for s in r.states) for r in (first, other)]
            changes = allergen_changes(names, letters[0], letters[1])
            holds = [{i for i in shown_ids if j.verdicts.by_id[i].code == 1} for j in (judged[0], judged[k]) if j]
            counts = f"{len(holds[1] - holds[0])} won, {len(holds[0] - holds[1])} lost"
        assert book.at(TAB, at["Allergens against the first"], PICKED[k]) == changes
        assert book.at(TAB, at["Against the first"], PICKED[k]) == counts


@pytest.mark.parametrize("order", list(permutations(range(3)))[1:3])
def test_any_order_agrees_with_the_core(kitchen: Kitchen, book: Live, pick: object, order: tuple[int, ...]) -> None:
    pick(*(TITLES[i].upper() for i in order))  # type: ignore[operator]
    analyses = laid_out(kitchen)[1]
    check(book, kitchen, tuple(analyses[i] for i in order))


def test_two_are_enough_and_what_is_not_found_shows_nothing(kitchen: Kitchen, book: Live, pick: object) -> None:
    pick(TITLES[2], "  ", "Goulash")  # type: ignore[operator]
    check(book, kitchen, (laid_out(kitchen)[1][2], None, None))
    assert book.at(TAB, MESSAGES, PICKED[1]) == ""
    assert "not a recipe of this book" in book.at(TAB, MESSAGES, PICKED[2])
    assert book.at(TAB, rows(kitchen)["Energy"], CHART_PCT[1]) in ("", 0)


@pytest.mark.parametrize("typed", ["*", "?", "x" * 4000, 12, True, None])
def test_nonsense_in_the_first_picker_empties_the_comparison(kitchen: Kitchen, book: Live, pick: object, typed: object) -> None:
    pick(typed, TITLES[0], None)  # type: ignore[operator]
    assert book.at(TAB, MESSAGES, PICKED[0]) != ""
    row = rows(kitchen)["Energy"]
    assert [book.at(TAB, row, c) for c in (PICKED[0], CHANGES[0][0], CHANGES[0][1])] == ["", "", ""]
    assert str(book.at(TAB, row, PICKED[1])) == shown(laid_out(kitchen)[1][0].nutrients["ENERC_KCAL"].serving, 0)


def test_differing_statements_are_listed_in_order(kitchen: Kitchen) -> None:
    book, analyses, small = laid_out(kitchen)
    sheet, judged = sheet_of(book, TAB), [judged_recipe(small, a) for a in analyses]
    head = next(row for (row, col), c in sorted(sheet.cells.items()) if col == NAME and c.value == "Statement")
    for row in range(head + 1, head + 15):
        words = sheet.cells[row, NAME].value
        if not words:
            continue
        statement = next(s for s in small.tables.claims.statements if s.words["us"] == words and s.shown)
        codes = [j.verdicts.by_id[statement.id].code for j in judged if j]
        told = [sheet.cells[row, c].value for c in PICKED]
        assert told == [{1: "holds", 0: "open", -1: "does not hold"}[c] for c in codes]
        assert len({c == 1 for c in codes}) == 2
        assert sheet.cells[row, NO].value == row - head
