"""Differences between two servings say how sure they are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.model.analysis import NutrientResult
from workbookgen.nutrition.compare import difference

READS = st.sampled_from(["", "at least", "at most"])


def result(serving: float, reads: str = "") -> NutrientResult:
    return NutrientResult("FE", serving, serving, 0.0, 1.0, reads, None, None, "", None)


@pytest.mark.parametrize(
    ("first", "other", "reads"),
    [
        ("", "", ""), ("", "at least", "at least"), ("", "at most", "at most"), ("at least", "", "at most"),
        ("at most", "", "at least"), ("at least", "at most", "at most"), ("at most", "at least", "at least"),
    ],
)  # fmt: skip
def test_one_bound_bounds_the_difference(first: str, other: str, reads: str) -> None:
    found = difference(result(2.0, first), result(3.0, other))
    assert (found.amount, found.pct, found.reads) == (1.0, 50.0, reads)


@pytest.mark.parametrize("reads", ["at least", "at most"])
def test_bounds_on_both_sides_leave_the_difference_unknown(reads: str) -> None:
    found = difference(result(2.0, reads), result(3.0, reads))
    assert (found.amount, found.pct) == (None, None)


def test_there_is_no_per_cent_of_nothing() -> None:
    assert difference(result(0.0), result(3.0)).pct is None
    assert difference(result(1e-10), result(3.0)).pct is None


@given(st.floats(0.1, 100), READS, st.floats(0, 50), st.floats(0, 100), READS, st.floats(0, 50))
def test_the_true_difference_lies_where_the_words_say(a: float, a_reads: str, a_more: float, b: float, b_reads: str, b_more: float) -> None:
    """Whatever the true figures are within their words, the difference and its per cent agree with theirs."""
    def true(shown: float, reads: str, more: float) -> float:
        return shown + more if reads == "at least" else max(shown - more, 0.05) if reads == "at most" else shown

    found = difference(result(a, a_reads), result(b, b_reads))
    if found.amount is None or found.pct is None:
        return
    real_a, real_b = true(a, a_reads, a_more), max(true(b, b_reads, b_more), 0.0) if b_reads != "at most" else max(b - b_more, 0.0)
    for told, real in ((found.amount, real_b - real_a), (found.pct, (real_b / real_a - 1) * 100)):
        if found.reads == "at least":
            assert real >= told - 1e-6
        elif found.reads == "at most":
            assert real <= told + 1e-6
        else:
            assert real == pytest.approx(told, abs=1e-6)
