"""What more or less of one ingredient does, against working the dish out anew."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.model.analysis import Analysis, TargetResult
from workbookgen.model.recipe import Target
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import plate_balance
from workbookgen.nutrition.sensitivity import LineMoves, alone, line_moves, share_moves
from workbookgen.nutrition.targets import MET, NOT_MET

TARGETS = (Target("FE", ">=", 20, "%DV"), Target("NA", "<=", 100, "amount", "mg"), Target("PHYTAC", "<=", 1, "amount", "mg"))
LINES = (
    line("Black beans, boiled", 300, treatment="reheated"), line("Kale, raw", 200, treatment="boiled, water used"),
    line("Brown rice, long grain, cooked", 250), line("Salt, table", 3), line("Feta", 40, include=False), line("Olive oil", 10),
)  # fmt: skip


def pot(kitchen: Kitchen, factor: float = 1.0, which: int = -1) -> Analysis:
    lines = [replace(x, amount=x.amount * (factor if i == which else 1.0)) for i, x in enumerate(LINES)]
    return dish(kitchen, *lines, servings=3.0, targets=TARGETS)


def moves(kitchen: Kitchen, percent: float) -> tuple[LineMoves, ...]:
    analysis = pot(kitchen)
    return line_moves(kitchen, analysis, plate_balance(kitchen, analysis), percent)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.5, 90), st.integers(0, len(LINES) - 1))
def test_moves_equal_the_dish_worked_out_anew(kitchen: Kitchen, percent: float, which: int) -> None:
    before, told = pot(kitchen), moves(kitchen, percent)[which]
    for sign, shares in ((1, told.more), (-1, told.less)):
        after = pot(kitchen, 1 + sign * percent / 100, which)
        for t, move in enumerate(told.moves[:2]):
            old, new = before.targets[t].value, after.targets[t].value
            assert move is not None
            assert old is not None
            assert new is not None
            assert new - old == pytest.approx(sign * move, rel=1e-9, abs=1e-9)
        for old_group, new_group, share in zip(before.plate, after.plate, shares, strict=True):
            assert new_group.share_pct - old_group.share_pct == pytest.approx(share, rel=1e-9, abs=1e-9)
        assert after.serving_g - before.serving_g == pytest.approx(sign * told.weight, rel=1e-9, abs=1e-9)


def test_one_ingredient_alone_reaches_the_target(kitchen: Kitchen) -> None:
    told = moves(kitchen, 10)
    change = told[1].alone[0]
    assert isinstance(change, float)
    reached = pot(kitchen, 1 + change / 100, 1).targets[0]
    assert reached.value == pytest.approx(20)
    salt = told[3].alone[1]
    assert isinstance(salt, float)
    assert pot(kitchen, 1 + salt / 100, 3).targets[1].value == pytest.approx(100)


def test_unknown_and_uncounted_lines_say_so(kitchen: Kitchen) -> None:
    told = moves(kitchen, 10)
    assert told[4].moves == (0.0, 0.0, 0.0)  # not counted
    assert told[0].moves[2] is None  # no figure


@pytest.mark.parametrize(("value", "limit", "brings", "says"), [
    (10.0, 20.0, 5.0, 200.0), (10.0, 20.0, None, "?"), (10.0, 20.0, 0.0, "-"), (20.0, 10.0, 10.0, -100.0),
    (20.0, 10.0, 9.999, "not alone"), (20.0, 10.0, 10.0 - 1e-11, pytest.approx(-100.0)),
])  # fmt: skip
def test_alone_at_its_limits(value: float, limit: float, brings: float | None, says: object) -> None:
    assert alone(limit, TargetResult("x", value, NOT_MET), brings) == says
    assert alone(limit, TargetResult("x", value, MET), brings) == MET


def test_an_empty_plate_does_not_move() -> None:
    assert share_moves([0.0], [1], [0.0, 0.0], 0, 0.1) == (0.0, 0.0)
    assert share_moves([10.0], [1], [10.0, 0.0], 0, -1.0) == (-100.0, 0.0)
    assert share_moves([10.0], [0], [5.0, 5.0], 0, 0.5) == (0.0, 0.0)
