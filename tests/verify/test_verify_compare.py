"""When two values agree."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from verify_books import one_sheet, rewrite

from workbookgen.verify import verify
from workbookgen.verify.compare import book_faults, choose_engines, compare, disagreement
from workbookgen.verify.read import read_book
from workbookgen.verify.values import ErrorValue, NotEvaluated

AGREE: list[tuple[Any, Any]] = [
    (1.0, 1.0 + 1.9e-9),
    (1e12, 1e12 + 1000),
    (0.0, 1e-9),
    ("a", "a"),
    ("", None),
    (None, ""),
    (None, None),
    (True, True),
]
DIFFER: list[tuple[Any, Any]] = [
    (1.0, 1.0 + 3e-9),
    (0.0, 3e-9),
    (1e12, 1e12 + 3000),
    ("a", "A"),
    ("a", "a "),
    ("1", 1.0),
    (True, False),
    (True, 1.0),
    (0.0, False),
    (0.0, ""),
    (0.0, None),
    ("TRUE", True),
    (math.inf, math.inf),
    (math.nan, math.nan),
    (ErrorValue("#N/A"), ErrorValue("#N/A")),
    (1.0, ErrorValue("#N/A")),
    (ErrorValue("#N/A"), 1.0),
    ("", NotEvaluated("why")),
    (NotEvaluated("no value is stored"), ""),
    ("1.5 g", "1,5 g"),
]


@pytest.mark.parametrize(("stored", "recomputed"), AGREE)
def test_pairs_that_agree(stored: Any, recomputed: Any) -> None:
    assert disagreement(stored, recomputed) == ""


@pytest.mark.parametrize(("stored", "recomputed"), DIFFER)
def test_pairs_that_differ(stored: Any, recomputed: Any) -> None:
    assert disagreement(stored, recomputed)


scalars = st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=5)


@given(scalars, scalars)
def test_agreement_does_not_depend_on_the_order(one: Any, other: Any) -> None:
    assert bool(disagreement(one, other)) == bool(disagreement(other, one))


@given(scalars)
def test_every_plain_value_agrees_with_itself(value: Any) -> None:
    assert disagreement(value, value) == ""


def test_truth_values_may_be_numbers_only_where_that_is_asked_for() -> None:
    assert disagreement(True, 1.0, bool_is_number=True) == ""
    assert disagreement(0.0, False, bool_is_number=True) == ""
    assert disagreement(True, 0.0, bool_is_number=True)
    assert disagreement(True, "TRUE", bool_is_number=True)


def test_decimal_comma_counts_only_between_digits() -> None:
    assert disagreement("at least 1.5 g", "at least 1,5 g", decimal_comma=True) == ""
    assert disagreement("milk. egg", "milk, egg", decimal_comma=True)
    assert disagreement("1.5 g", "1,6 g", decimal_comma=True)


def test_cell_that_an_engine_leaves_out_fails(tmp_path: Path) -> None:
    book = read_book(one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2), "A2": ("=2+2", 4)}))
    compared, failing = compare(book, {("S", 1, 1): 2.0})
    assert compared == 2
    assert [(each.cell, each.formula) for each in failing] == [("A2", "=2+2")]
    assert "left the cell out" in failing[0].why


def test_workbook_without_formulas_is_not_verified(tmp_path: Path) -> None:
    report = verify(one_sheet(tmp_path / "a.xlsx", {}, {"A1": 5}), ["formualizer"])
    assert not report.ok
    assert "no formula" in report.faults[0]


def test_error_constant_is_a_fault_of_the_file(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2), "A2": ("=NA()", "#N/A")})
    rewrite(path, "xl/worksheets/sheet1.xml", "<f>NA()</f>", "")
    report = verify(path, ["formualizer"])
    assert report.results[0].ok
    assert not report.ok
    assert "cell A2 holds the error #N/A" in report.faults[0]


def test_array_formula_over_several_cells_is_a_fault(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(str(tmp_path / "a.xlsx"))
    book.add_worksheet("S").write_array_formula("A1:A2", "{=C1:C2*2}", None, 0)
    book.close()
    assert "fills A1:A2" in book_faults(read_book(tmp_path / "a.xlsx"))[0]


def test_usual_engines_depend_on_size() -> None:
    assert choose_engines(None, 60_000) == ["formulas", "formualizer"]
    assert choose_engines(None, 60_001) == ["formualizer"]
    assert choose_engines("default", 60_001) == ["formualizer"]
    assert choose_engines("all", 1) == ["formulas", "formualizer", "libreoffice", "ironcalc"]
