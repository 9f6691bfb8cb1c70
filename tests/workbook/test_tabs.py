"""Names of tabs, and rows tall enough for their texts."""

from __future__ import annotations

import pytest

from workbookgen.workbook.build import TAB_LENGTH, tab_names
from workbookgen.workbook.frame import row_points


@pytest.mark.parametrize(("title", "tab"), [
    ("Bean and greens pot with barley", "Bean and greens pot"),
    ("Eggs baked in tomato and peppers", "Eggs baked in tomato"),
    ("Short and with", "Short and with"),  # a title that fits stays as it is
    ("With and without the supercalifragilistic", "With"),  # one word always stays
])  # fmt: skip
def test_a_shortened_tab_does_not_end_in_a_joining_word(title: str, tab: str) -> None:
    assert tab_names([title]) == [tab]


def test_shortened_tabs_stay_unique_and_short() -> None:
    names = tab_names(["Bean and greens pot with barley", "Bean and greens pot without barley", "Bean and greens pot"])
    assert names == ["Bean and greens pot", "Bean and greens pot 2", "Bean and greens pot 3"]
    assert max(map(len, names)) <= TAB_LENGTH + 2


def test_a_row_grows_with_the_longest_text() -> None:
    short, long = ("ok", 20.0), ("one two three four five six seven eight nine ten " * 3, 20.0)
    assert row_points([short]) < row_points([short, long]) == row_points([long])
