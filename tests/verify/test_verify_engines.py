"""Each engine recomputes from formula text alone, and finds every fault that is planted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from verify_books import one_sheet

from workbookgen.model.errors import BadInput
from workbookgen.verify import formualizer_engine, formulas_engine, ironcalc_engine, verify
from workbookgen.verify.compare import EngineResult
from workbookgen.verify.formulas_plan import Planner, Sharing
from workbookgen.verify.plant import plant
from workbookgen.verify.read import read_book
from workbookgen.verify.values import Address, ErrorValue, NotEvaluated, Results

ENGINES = [
    "formulas",
    "formualizer",
    "ironcalc",
    pytest.param("libreoffice", marks=pytest.mark.libreoffice),
]
PYTHON_ENGINES = [formulas_engine, formualizer_engine, ironcalc_engine]


def run_one(path: Path, engine: str) -> EngineResult:
    return verify(path, [engine]).results[0]


@pytest.mark.parametrize("engine", ENGINES)
def test_engine_agrees_with_values_worked_out_in_python(patterns: Path, engine: str) -> None:
    result = run_one(patterns, engine)
    assert result.failure == ""
    assert result.differing == ()
    assert result.compared == result.agreeing > 500
    assert result.ok


@pytest.mark.parametrize("engine", ENGINES)
def test_engine_finds_every_corrupted_formula(tmp_path: Path, patterns: Path, engine: str) -> None:
    planted = plant(patterns, tmp_path / "bad.xlsx", "formula", 20, seed=1)
    found = {(each.sheet, each.cell) for each in run_one(tmp_path / "bad.xlsx", engine).differing}
    missed = {(each.sheet, each.cell) for each in planted} - found
    assert len(planted) == 20
    assert not missed


@pytest.mark.parametrize("engine", ENGINES)
def test_engine_finds_exactly_the_corrupted_stored_values(
    tmp_path: Path, patterns: Path, engine: str
) -> None:
    planted = plant(patterns, tmp_path / "bad.xlsx", "value", 40, seed=2)
    found = {(each.sheet, each.cell) for each in run_one(tmp_path / "bad.xlsx", engine).differing}
    assert len(planted) == 40
    assert found == {(each.sheet, each.cell) for each in planted}


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("kind", ["error formula", "error value", "no value", "unknown function"])
def test_errors_and_missing_results_fail(tmp_path: Path, patterns: Path, engine: str, kind: str) -> None:
    planted = plant(patterns, tmp_path / "bad.xlsx", kind, 5, seed=3)
    result = run_one(tmp_path / "bad.xlsx", engine)
    found = {(each.sheet, each.cell) for each in result.differing}
    assert {(each.sheet, each.cell) for each in planted} <= found
    assert not result.ok


def values(engine: Any, path: Path) -> dict[str, Any]:
    results: Results = engine.recalculate(path)
    return {f"{'ABCDEFGH'[column - 1]}{row}": value for (_, row, column), value in results.items()}


@pytest.mark.parametrize("engine", PYTHON_ENGINES)
def test_kinds_of_results(tmp_path: Path, engine: Any) -> None:
    formulas = {
        "A1": ("=1/0", 0),
        "A2": ("=NA()", 0),
        "A3": ('=""', 0),
        "A4": ("=1=1", 0),
        "A5": ("=H9", 5),
        "A6": ('="#N/A"', 0),
        "A7": ("=NOSUCHFUNCTION(1)", 0),
        "A8": ("=1E3+1e-3+1.5E+2", 0),
        "A9": ("=DATE(2020,1,2)", 0),
        "B1": ("=B2", 0),
        "B2": ("=B1+1", 0),
    }
    got = values(engine, one_sheet(tmp_path / "a.xlsx", formulas))
    assert got["A1"] == ErrorValue("#DIV/0!")
    assert got["A2"] == ErrorValue("#N/A")
    assert got["A3"] == ""
    assert got["A4"] is True
    assert got["A5"] == 0.0
    assert got["A6"] == "#N/A"
    assert isinstance(got["A7"], ErrorValue | NotEvaluated)
    assert got["A8"] == pytest.approx(1150.001)
    assert got["A9"] == 43832.0
    assert isinstance(got["B1"], ErrorValue | NotEvaluated)
    assert isinstance(got["B2"], ErrorValue | NotEvaluated)


@pytest.mark.parametrize("engine", PYTHON_ENGINES)
def test_chains_longer_than_the_recursion_limit(tmp_path: Path, engine: Any) -> None:
    formulas: dict[str, tuple[str, Any]] = {f"A{row}": (f"=A{row + 1}+1", 0) for row in range(1, 2001)}
    got = values(engine, one_sheet(tmp_path / "a.xlsx", formulas, {"A2001": 7}))
    assert got["A1"] == 2007.0


@pytest.mark.parametrize("engine", PYTHON_ENGINES)
def test_apostrophes_and_signs_in_sheet_names(tmp_path: Path, engine: Any) -> None:
    import xlsxwriter

    book = xlsxwriter.Workbook(str(tmp_path / "a.xlsx"))
    book.add_worksheet("Bob's list, v2").write_number("A1", 4)
    book.add_worksheet("S").write_formula("A1", "='Bob''s list, v2'!A1*2", None, 8)
    book.close()
    assert engine.recalculate(tmp_path / "a.xlsx") == {("S", 1, 1): 8.0}


def test_empty_text_and_empty_cell_differ_for_isblank(tmp_path: Path) -> None:
    formulas = {"A1": ('=""', ""), "A2": ("=ISBLANK(A1)", False), "A3": ("=ISBLANK(H1)", True)}
    result = run_one(one_sheet(tmp_path / "a.xlsx", formulas), "formulas")
    assert result.differing == ()


def test_computed_zero_false_and_empty_text_are_not_taken_for_empty_cells(tmp_path: Path) -> None:
    formulas = {
        "A1": ("=1-1", 0),
        "A2": ("=1=2", False),
        "A3": ("=ISBLANK(A1)", False),
        "A4": ("=ISBLANK(A2)", False),
    }
    result = run_one(one_sheet(tmp_path / "a.xlsx", formulas), "formulas")
    assert result.differing == ()


def test_shapes_are_not_confused_when_two_references_meet(tmp_path: Path) -> None:
    """A1+A1 and A1+B1 differ, though =A2+A$2 in row 2 reads both from one cell."""
    cells = {f"A{row}": float(row) for row in range(1, 6)}
    formulas = {f"B{row}": (f"=A{row}*10+A$2", row * 10 + 2) for row in range(1, 6)}
    result = run_one(one_sheet(tmp_path / "a.xlsx", formulas, cells), "formulas")
    assert result.differing == ()


@pytest.mark.parametrize(
    ("formula", "why"),
    [
        ("=ROW()", "without a reference"),
        ("=SUM(A:A)", "whole columns"),
        ("=OFFSET(A1,1,1)", "no function OFFSET"),
        ("=nobody+1", "name 'nobody'"),
        ("=IF(", "cannot read"),
        ("=Other!A1", "no sheet 'Other'"),
        ("=H1:H3", "3 values"),
    ],
)
def test_formulas_refuses_in_words_what_it_does_not_evaluate(tmp_path: Path, formula: str, why: str) -> None:
    got = values(formulas_engine, one_sheet(tmp_path / "a.xlsx", {"C1": (formula, 1)}))
    assert isinstance(got["C1"], NotEvaluated)
    assert why in got["C1"].reason


def test_circular_reference_is_refused_and_named(tmp_path: Path) -> None:
    formulas = {"A1": ("=B1+1", 0), "B1": ("=C1+1", 0), "C1": ("=A1+1", 0), "D1": ("=2+2", 4)}
    got = values(formulas_engine, one_sheet(tmp_path / "a.xlsx", formulas))
    assert NotEvaluated("circular reference") in got.values()
    assert got["D1"] == 4.0


def test_two_processes_give_what_one_gives(patterns: Path) -> None:
    one = formulas_engine.recalculate(patterns, processes=1)
    assert formulas_engine.recalculate(patterns, processes=2) == one
    assert len(one) > 500


def test_sharing_gives_each_cell_to_one_process_and_balances_them(patterns: Path) -> None:
    book = read_book(patterns)
    plan = Planner(book).plan(
        (name, *place) for name, sheet in book.sheets.items() for place in sheet.formulas
    )
    sharing, again = Sharing(plan, 2, compile_cost=16), Sharing(plan, 2, compile_cost=16)
    for cells in plan.levels:
        shares = sharing.share(cells)
        assert sorted(cell for share in shares for cell in share) == cells
        assert again.share(cells) == shares
        if len(cells) > 100:
            assert min(map(len, shares)) > len(cells) / 4


def test_a_level_never_refers_to_itself_or_a_later_one(patterns: Path) -> None:
    book = read_book(patterns)
    plan = Planner(book).plan(
        (name, *place) for name, sheet in book.sheets.items() for place in sheet.formulas
    )
    known: set[Address] = set()
    for cells in plan.levels:
        for cell in cells:
            for area in plan.readings[cell].areas:
                for sheet, row, column in set().union(*plan.levels) - known:
                    inside = area.top <= row <= area.bottom and area.left <= column <= area.right
                    assert not (sheet == area.sheet and inside)
        known |= set(cells)
    assert len(known) == book.formula_count


def test_sample_of_sheets_is_seeded_and_resolves_other_sheets(patterns: Path) -> None:
    drawn = formulas_engine.recalculate(patterns, sample=1, seed=4)
    every = formulas_engine.recalculate(patterns)
    assert drawn == formulas_engine.recalculate(patterns, sample=1, seed=4)
    assert len({sheet for sheet, _, _ in drawn}) == 1
    assert drawn.items() <= every.items()
    sheets = {
        frozenset(s for s, _, _ in formulas_engine.recalculate(patterns, sample=1, seed=n)) for n in range(6)
    }
    assert len(sheets) > 1


def test_sample_compares_only_the_drawn_sheets(patterns: Path) -> None:
    result = verify(patterns, ["formulas"], sample=2, seed=1).results[0]
    assert result.ok
    assert 0 < result.compared < 500


@pytest.mark.parametrize("name", ["formulas", "formualizer", "ironcalc"])
def test_missing_python_engine_fails_in_one_sentence(
    monkeypatch: pytest.MonkeyPatch, patterns: Path, name: str
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda module: None)
    report = verify(patterns, [name])
    assert not report.ok
    assert f"install the Python package '{name}'" in report.results[0].failure


def test_unknown_engine_is_refused(patterns: Path) -> None:
    with pytest.raises(BadInput, match="choose one of formulas, formualizer, libreoffice, ironcalc or all"):
        verify(patterns, ["abacus"])
