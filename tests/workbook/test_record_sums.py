"""Check sums of locked cells: blind to another program's spelling, not to a change."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.workbook.record_sums import Sums, as_text, from_text, plain_formula, plain_value, sums_of


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("='Foods'!$A$1&\"\"", "Foods!$A$1&\"\""),
        ("=IF(A1=FALSE,0.000000001,1)", "=IF( A1=FALSE(), 1E-09, 1)"),
        ("=SUM(a1:a3)", "=SUM(A1:A3)"),
    ],
)
def test_spellings_of_one_formula_count_as_the_same(one: str, other: str) -> None:
    assert plain_formula(one) == plain_formula(other)


def test_formulas_that_differ_in_a_constant_differ() -> None:
    assert plain_formula("=A1*0.1") != plain_formula("=A1*0.11")
    assert plain_formula("=A1") != plain_formula("=A2")


@given(st.floats(allow_nan=False, allow_infinity=False, width=64).filter(lambda x: x == 0 or 1e-300 < abs(x) < 1e300))
def test_numbers_kept_to_fifteen_or_sixteen_digits_count_as_the_same(x: float) -> None:
    assert plain_value(x) == plain_value(float(f"{x:.15g}"))


def test_kinds_of_values_differ() -> None:
    assert len({plain_value(v) for v in (1.0, "1", True)}) == 3


cells = st.dictionaries(st.tuples(st.integers(0, 40), st.integers(0, 9)), st.text(max_size=4), max_size=60)


@given(cells, st.tuples(st.integers(0, 40), st.integers(0, 9)))
def test_one_changed_cell_is_named(before: dict[tuple[int, int], str], at: tuple[int, int]) -> None:
    after = {**before, at: before.get(at, "") + "x"}
    assert sums_of(after.items()).changed_from(sums_of(before.items())) == ([at], [], [])


@given(cells)
def test_sums_read_back_from_their_text(found: dict[tuple[int, int], str]) -> None:
    sums = sums_of(found.items())
    assert from_text(*as_text(sums.rows)) == {r: s for r, s in sums.rows.items() if s}
    assert sums.changed_from(Sums(from_text(*as_text(sums.rows)), from_text(*as_text(sums.columns)))) == ([], [], [])


def test_cut_off_sums_are_refused() -> None:
    with pytest.raises(ValueError, match="cut off"):
        from_text(0, "0123456")
