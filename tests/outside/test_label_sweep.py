"""Label rounding against round-nutrition 1.1.1: every disagreement is known and decided."""

from __future__ import annotations

from tests.outside.label_sweep import PLAIN, SWEEP, sweep
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared

#: Halves of a 0.1 step: the library divides binary floats (0.15 // 0.1 is 1.0 but leaves 0.05 below the half)
#: and rounds some of them down; halves go up here in exact decimal arithmetic.
HALVES = {"FE", "ZN", "CU", "MN", "TOCPHA", "THIA", "RIBF", "NIAEQ", "VITB6A", "PANTAC", "VITD"}
#: 21 CFR 101.9(c)(8)(iii) prints no step for amounts. FDA's guidance (December 2019), as quoted in public, asks
#: for the nearest tenth below an RDI of 25 (vitamin B12 is named): the library's step of 10 is a slip. For
#: magnesium and folate (RDI 250 and more) the library takes steps of 5; our row says 10 and is marked memory.
STEPS = {"MG", "FOLDFE", "VITB12"}
#: 101.9(c)(3): from 2 to 5 mg "less than 5 milligrams"; the library stops just below 5.
AT_FIVE = {"CHOLE"}


def test_differences_are_the_known_ones(kitchen: Kitchen) -> None:
    found = {d.tag: d for d in sweep(kitchen)}
    assert set(found) == HALVES | STEPS | AT_FIVE
    assert found["CHOLE"].count == 1


def test_tenths_differ_only_at_halves(kitchen: Kitchen) -> None:
    for tag in HALVES:
        rule = kitchen.tables.rounding[tag]
        for hundredths in range(SWEEP):
            theirs = float("".join(c for c in PLAIN[tag](hundredths / 100) if c.isdigit() or c == "."))
            if abs(theirs - declared(hundredths / 100, rule)) > 1e-9:
                assert hundredths % 10 == 5


def test_unsettled_steps_say_that_they_are_from_memory(kitchen: Kitchen) -> None:
    assert {kitchen.tables.rounding[tag].status for tag in ("MG", "FOLDFE")} == {"memory"}
