"""Cutting formula text into tokens."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.verify.lint_formulas import alike
from workbookgen.verify.tokens import Area, as_area, function_name, parse_area, tokens


@given(st.text(alphabet="AZa9$:!'\"(),;{}+-*/^&=<>% .#@[]_ö?", max_size=40))
def test_tokens_join_to_the_formula(formula: str) -> None:
    assert "".join(token.text for token in tokens(formula)) == formula


CASES = [
    ("A1", ["area"]),
    ("$AB$12:AC13", ["area"]),
    ("'Over view'!A1:B2", ["area"]),
    ("'Bob''s'!$A$1", ["area"]),
    ("Sheet1:Sheet3!A1", ["area"]),
    ("[1]S!A1", ["area"]),
    ("A:A", ["whole"]),
    ("3:4", ["whole"]),
    ("food_FE", ["name"]),
    ("FE12_x", ["name"]),
    ("AB12CD", ["name"]),
    ("LOG10(5)", ["function", "number", "close"]),
    ("TRUE()", ["function", "close"]),
    ("TRUE", ["truth"]),
    ("1.5E-9", ["number"]),
    (".5", ["number"]),
    ('"a""b, A1"', ["text"]),
    ("#N/A", ["error"]),
    ("T1[x]", ["table", "name", "other"]),
    ("A1<=B1", ["area", "operator", "area"]),
    ("{1,2}", ["brace", "number", "comma", "number", "brace"]),
]


@pytest.mark.parametrize(("formula", "kinds"), CASES, ids=[case[0] for case in CASES])
def test_kinds_of_tokens(formula: str, kinds: list[str]) -> None:
    assert [token.kind for token in tokens(formula)] == kinds


def test_areas_are_rectangles_whatever_the_order_of_corners() -> None:
    assert parse_area("'A b'!$C$9:B2") == Area("A b", 2, 2, 9, 3)


def test_prefix_of_newer_functions_is_dropped() -> None:
    assert function_name(next(tokens("_xlfn._xlws.SORT(1)"))) == "SORT"


@pytest.mark.parametrize("text", ["5", "Foods!$A:$A", "$A$1", "Jan:Mar!$A$1", "S!$A$1+1", '"x"'])
def test_names_for_anything_but_a_range_of_one_sheet_are_no_area(text: str) -> None:
    assert as_area(text) is None


def test_formulas_that_differ_in_cells_only_are_alike() -> None:
    assert alike("SUM(A$1:A9)+B2*food_FE") == alike("SUM(C$1:C77)+$Z12*food_FE")
    assert alike("SUM(A1:A9)") != alike("SUM(A1,A9)")
    assert alike("LOG10(A1)") == "LOG10(A1)"
