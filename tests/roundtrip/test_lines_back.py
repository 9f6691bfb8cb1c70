"""Lines read back from cells say what the cells said."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from workbookgen.model.recipe import BASES, WATER_FATES, IngredientLine
from workbookgen.recipes.text import clean
from workbookgen.roundtrip.lines_back import Cells, Row, lines_back, mark_of
from workbookgen.roundtrip.words import Taken, same
from workbookgen.workbook.record_fields import LINE_KEYS

letters = st.characters(exclude_categories=("C", "Z"), exclude_characters="\ufffe\uffff")
texts = st.lists(st.text(letters, min_size=1, max_size=8), max_size=3).map(" ".join).map(clean)
named = st.text(letters, min_size=1, max_size=12).map(clean)
lines = st.builds(
    IngredientLine,
    food=named, amount=st.floats(0.001, 5000), unit=named, basis=st.sampled_from(BASES),
    treatment=texts.map(lambda t: t or "none"), share_eaten_pct=st.floats(0, 100), include=st.booleans(),
    role=texts.map(str.casefold).map(clean), water=st.sampled_from(("", *WATER_FATES)), note=texts, section=texts,
    optional=st.booleans(), held_back=st.booleans(), garnish=st.booleans(),
)  # fmt: skip


def shown(line: IngredientLine) -> Cells:
    """Cells of a line as the sheet writes them."""
    cells = {
        "count": "yes" if line.include else "no", "food": line.food, "amount": line.amount, "unit": line.unit, "basis": line.basis,
        "treat": line.treatment, "share": line.share_eaten_pct, "water": line.water or None, "role": line.role or None,
        "mark": mark_of(line) or None, "heading": line.section or None, "note": line.note or None,
    }  # fmt: skip
    assert set(cells) == set(LINE_KEYS)
    return cells  # type: ignore[return-value]


EMPTY: Cells = dict.fromkeys(LINE_KEYS)
AT = {key: "A1" for key in LINE_KEYS}


@given(st.lists(lines, max_size=6))
def test_untouched_rows_give_the_very_same_lines(written: list[IngredientLine]) -> None:
    taken = Taken("x")
    rows = [Row(shown(line), shown(line), AT) for line in written] + [Row(EMPTY, EMPTY, AT)]
    assert lines_back(rows, written, taken) == list(enumerate(written))
    assert taken.left == []


@given(lines, st.integers(0, 3))
def test_a_line_typed_on_an_empty_sheet_reads_as_written(line: IngredientLine, before: int) -> None:
    taken = Taken("x")
    rows = [Row(EMPTY, EMPTY, AT)] * before + [Row(shown(line), EMPTY, AT)]
    ((at, found),) = lines_back(rows, (), taken)
    assert at == before
    assert shown(found) == shown(line)
    assert taken.left == []


@given(lines, lines)
def test_a_row_over_another_takes_everything_that_shows_and_nothing_hidden(old: IngredientLine, new: IngredientLine) -> None:
    taken = Taken("x")
    ((_, found),) = lines_back([Row(shown(new), shown(old), AT)], (old,), taken)
    assert shown(found) == shown(new)
    assert taken.left == []


def test_rows_that_were_moved_keep_the_words_of_their_amounts() -> None:
    one = IngredientLine("Kale, raw", 2.0, "cup", amount_text="2-3", amount_low=2.0, amount_high=3.0)
    two = IngredientLine("Olive oil", 1.5, "tbsp", amount_text="1 1/2")
    rows = [Row(shown(two), shown(one), AT), Row(shown(one), shown(two), AT)]
    assert [line for _, line in lines_back(rows, (one, two), Taken("x"))] == [two, one]


def test_numbers_that_lost_their_last_digits_are_the_same() -> None:
    assert same(1 / 3, 0.333333333333333)
    assert not same(1 / 3, 0.3333)
    assert not same(True, 1.0)
    assert same("two  words\n", "two words")
