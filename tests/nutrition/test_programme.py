"""Programme targets: what is unknown never counts as met, limits at, just under and just over."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.model.analysis import Settings
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.programme import (
    FAIL,
    NEAR,
    OPEN,
    PASS,
    UNUSED,
    judge,
    judge_recipe,
    limits_in_use,
    stated_limits,
)
from workbookgen.recipes.folder import load_settings

HAIR = 1e-6


@pytest.mark.parametrize(
    ("sign", "value", "reads", "code"),
    [
        ("<=", 600, "", PASS), ("<=", 600 + HAIR, "", NEAR), ("<=", 660, "", NEAR), ("<=", 660 + HAIR, "", FAIL),
        ("<=", 600 + 1e-11, "", PASS), ("<=", 100, "at least", OPEN), ("<=", 660, "at least", OPEN),
        ("<=", 660 + HAIR, "at least", FAIL), ("<=", 600, "at most", PASS), ("<=", 700, "at most", OPEN),
        (">=", 600, "", PASS), (">=", 600 - HAIR, "", NEAR), (">=", 540, "", NEAR), (">=", 540 - HAIR, "", FAIL),
        (">=", 600 - 1e-11, "", PASS), (">=", 600, "at least", PASS), (">=", 0, "at least", OPEN),
        (">=", 600, "at most", OPEN), (">=", 540, "at most", OPEN), (">=", 540 - HAIR, "at most", FAIL),
    ],
)  # fmt: skip
def test_limits_and_margins(sign: str, value: float, reads: str, code: int) -> None:
    assert judge(sign, value, reads, 600, 10) == code


def test_without_limit_or_figure() -> None:
    assert judge("<=", 5, "", None, 10) == UNUSED
    assert judge("<=", None, "", 5, 10) == OPEN


@given(st.sampled_from(["<=", ">="]), st.floats(0, 1000), st.sampled_from(["", "at least", "at most"]), st.floats(0, 1000),
       st.floats(0, 1000), st.floats(0, 50))  # fmt: skip
def test_a_verdict_holds_whatever_the_unknown_part_is(sign: str, value: float, reads: str, other: float, limit: float, near: float) -> None:
    """PASS: the true figure meets the limit (to 9 decimals). FAIL: it misses it by more than the margin."""
    true = {"": value, "at least": value + other, "at most": max(0.0, value - other)}[reads]
    code = judge(sign, value, reads, limit, near)
    if code == PASS:
        assert true <= limit + HAIR if sign == "<=" else true >= limit - HAIR
    if code == FAIL:
        edge = limit * (1 + near / 100) if sign == "<=" else limit * (1 - near / 100)
        assert true > edge - HAIR if sign == "<=" else true < edge + HAIR
    if code == NEAR:
        assert reads == ""


def test_limits_stated_by_a_programme() -> None:
    rules = load_programme_rules()
    assert stated_limits("sodium = 500; added_sugars = none;", rules, "settings.toml") == {"sodium": 500.0, "added_sugars": None}
    used = limits_in_use(rules, Settings(programme_targets="sodium = 500; fibre = none"))
    assert (used["sodium"], used["fibre"], used["energy_to"]) == (500.0, None, 600.0)


@pytest.mark.parametrize("text", ["salt = 5", "sodium", "sodium = lots", "sodium = -3", "sodium = 1; sodium = 2", "sodium = 1e9"])
def test_a_limit_that_is_not_understood_gets_a_sentence(text: str) -> None:
    with pytest.raises(BadInput, match=r"settings\.toml: programme target"):
        stated_limits(text, load_programme_rules(), "settings.toml")


def test_a_recipe_is_judged_on_every_target_in_order(kitchen: Kitchen) -> None:
    rules = load_programme_rules()
    salty = dish(kitchen, line("Kale, raw", 300), line("Salt, table", 10))
    limits = dict.fromkeys((t.id for t in rules.targets), None) | {"sodium": 600.0, "fibre": 1.0}
    codes = dict(zip((t.id for t in rules.targets), judge_recipe(rules, salty, limits), strict=True))
    assert codes.pop("sodium") == FAIL
    assert codes.pop("fibre") == PASS
    assert set(codes.values()) == {UNUSED}


def test_a_folder_may_state_limits(kitchen: Kitchen, tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text('programme_targets = "sodium = 500"\n')
    assert load_settings(path, kitchen.tables) == {"programme_targets": "sodium = 500"}
    for bad in ("500", '"salt = 3"', '["sodium"]'):
        path.write_text(f"programme_targets = {bad}\n")
        with pytest.raises(BadInput, match=r"settings\.toml: programme"):
            load_settings(path, kitchen.tables)
