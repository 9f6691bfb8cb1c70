"""The measure of yields and retention factors: enough pairs of every kind, and the kept table is current."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.outside.raw_to_cooked import HEAD, Error, errors, pairs, table
from workbookgen.nutrition.kitchen import Kitchen

KEPT = Path(__file__).parent / "results" / "raw_to_cooked.md"


@pytest.fixture(scope="module")
def found(kitchen: Kitchen) -> list[Error]:
    return list(errors(kitchen))


def test_pairs_cover_pulses_grains_vegetables_meats_and_fish(found: list[Error]) -> None:
    """At least 30 pairs, three or more of each way of cooking that has a row."""
    assert len(pairs()) >= 30
    kinds = {e.kind: {x.raw.id for x in found if x.kind == e.kind} for e in found}
    assert {kind for kind, foods in kinds.items() if len(foods) >= 3} == {
        "fish and seafood",
        "grains and pasta, boiled",
        "meat and poultry, braised or simmered",
        "meat and poultry, broiled",
        "meat and poultry, pan-cooked, drained",
        "meat and poultry, roasted",
        "pulses, boiled",
        "vegetables, boiled or baked",
    }


def test_no_drained_meat_borrows_its_cooked_row(found: list[Error]) -> None:
    """With the link cut, raw bacon keeps its fat on paper: three times USDA's 35.09 g of the fried row."""
    bacon = next(e for e in found if e.raw.name == "Bacon, raw" and e.tag == "FAT")
    assert bacon.published == 35.09
    assert bacon.predicted > 100


def test_boiled_black_beans_by_hand(found: list[Error]) -> None:
    """Iron: 5.02 mg in 100 g dry, 80 % kept (USDA R6, row 521), 2.6 g cooked for 1 g dry; USDA prints 2.10."""
    iron = next(e for e in found if e.raw.name == "Black beans, dry" and e.tag == "FE")
    assert iron.predicted == pytest.approx(5.02 * 0.80 / 2.6)
    assert iron.published == 2.1


def test_the_kept_table_is_what_the_command_prints() -> None:
    """Remake with: python -m tests.outside.raw_to_cooked."""
    assert KEPT.read_text(encoding="utf-8") == HEAD + "\n" + "\n".join(table()) + "\n"
