"""Programme follows the limits typed on Start and says what the core says."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.workbook.side_by_side import TITLES, Live, disagreements, laid_out, live, sheet_of
from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.programme import FAIL, NEAR, OPEN, PASS, judge, target_value
from workbookgen.workbook.programme_inputs import CHOICE, MESSAGE, limit_name
from workbookgen.workbook.programme_sheet import LIMITS, TAB, TOP, Plan
from workbookgen.workbook.recipe_layout import FIRST_LINE, recipe_layout, strip_lengths

RULES = load_programme_rules()
PLAN = Plan(RULES, 4)
IDS = [t.id for t in RULES.targets]


@pytest.fixture(scope="module")
def book(kitchen: Kitchen) -> Live:
    return live(kitchen)


@pytest.fixture
def typed(kitchen: Kitchen, book: Live) -> Iterator[object]:
    """Type limits on Start; they are put back afterwards."""
    names = laid_out(kitchen)[0].names
    rows = {t.id: names[limit_name(t)][1] for t in RULES.targets}

    def limit(target: str, value: object) -> int:
        book.type("Start", rows[target], CHOICE, value)
        book.work_out()
        return rows[target]

    yield limit
    for target in RULES.targets:
        book.type("Start", rows[target.id], CHOICE, target.value)
    book.work_out()


def test_stored_values_are_those_of_the_core(kitchen: Kitchen) -> None:
    assert disagreements(kitchen, TAB) == []
    assert disagreements(kitchen, "Start") == []


@pytest.mark.parametrize("target", RULES.targets, ids=IDS)
def test_verdicts_turn_at_the_limit_and_at_the_margin(kitchen: Kitchen, book: Live, typed: object, target: object) -> None:
    """Every target with limits at, just under and just over the figure of a recipe, and at its margin."""
    analyses, j = laid_out(kitchen)[1], RULES.targets.index(target)  # type: ignore[arg-type]
    t = RULES.targets[j]
    value = target_value(t, analyses[0])
    assert value is not None
    edge = value / (1 + t.near_pct / 100) if t.sign == "<=" else value / (1 - t.near_pct / 100)
    seen = set()
    for limit in (value, value * (1 + 1e-7), value * (1 - 1e-7), edge * (1 + 1e-7), edge * (1 - 1e-7)):
        typed(t.id, limit)  # type: ignore[operator]
        for i, analysis in enumerate(analyses):
            reads = analysis.nutrients[t.tag].reads
            wanted = judge(t.sign, target_value(t, analysis), reads, limit, t.near_pct)
            assert book.at(TAB, TOP + i, PLAN.code(j)) == wanted, (t.id, limit, TITLES[i])
            seen.add((i, wanted))
    if value > 0 and not analyses[0].nutrients[t.tag].reads:
        assert {code for i, code in seen if i == 0} == {PASS, NEAR, FAIL}


def test_counts_words_and_totals_follow(kitchen: Kitchen, book: Live, typed: object) -> None:
    typed("sodium", 1)  # type: ignore[operator]
    j = IDS.index("sodium")
    assert book.at(TAB, TOP, PLAN.target(j)).startswith("✗ fail\n")
    codes = [book.at(TAB, TOP, PLAN.code(k)) for k in range(len(IDS))]
    assert [book.at(TAB, TOP, PLAN.counts + k) for k in range(4)] == [codes.count(c) for c in (PASS, NEAR, FAIL, OPEN)]
    met = sum(book.at(TAB, TOP + i, PLAN.code(j)) == PASS for i in range(3))
    assert book.at(TAB, TOP + 4, PLAN.target(j)) == f"{met} of 3"
    assert book.at(TAB, TOP + 3, PLAN.target(j)) == ""  # an empty sheet is not judged


@pytest.mark.parametrize(("value", "words"), [(None, "not used"), ("  ", "not used"), ("lots", "type a number"), (-1, "type a number"),
                                              (True, "type a number"), (1e9, "type a number")])  # fmt: skip
def test_a_limit_that_cannot_be_read_is_not_used(book: Live, typed: object, value: object, words: str) -> None:
    row = typed("iron", value)  # type: ignore[operator]
    j = IDS.index("iron")
    assert words in book.at("Start", row, MESSAGE)
    assert book.at(TAB, LIMITS, PLAN.target(j)) == ""
    assert [book.at(TAB, TOP + i, PLAN.code(j)) for i in range(4)] == [0, 0, 0, 0]


def test_a_line_to_mend_leaves_ceilings_open_and_floors_unmet(kitchen: Kitchen, book: Live, typed: object) -> None:
    """With an ingredient that nobody can read no ceiling is met any more, and no floor that was not reached fails."""
    small = laid_out(kitchen)[2]
    lay = recipe_layout(small, 4, strip_lengths(small), 0, False)
    sheet = sheet_of(laid_out(kitchen)[0], TITLES[0])
    unit = sheet.cells[FIRST_LINE, lay.col["unit"]].value
    book.type(TITLES[0], FIRST_LINE, lay.col["unit"], "handful")
    book.work_out()
    try:
        for j, target in enumerate(RULES.targets):
            if target.value is None:
                continue
            code = book.at(TAB, TOP, PLAN.code(j))
            assert code in ((OPEN, FAIL) if target.sign == "<=" else (OPEN, PASS)), target.id
    finally:
        book.type(TITLES[0], FIRST_LINE, lay.col["unit"], unit)
        book.work_out()
