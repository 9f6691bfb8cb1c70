"""Type sizes and boxes of a card: worked out from the lengths of its texts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workbookgen.workbook.card_boxes import letters_per_line
from workbookgen.workbook.card_plan import (
    COLUMNS,
    LEFT,
    RIGHT,
    CardPlan,
    CardTexts,
    card_look,
    fact_height,
    grid_units,
    plan_card,
    row_capacity,
    side_width,
    split_rows,
    units_for,
    width_of,
)
from workbookgen.workbook.fit import PITCH, per_line, pitch, text_width, wrapped_lines

LETTER, A4 = (612.0, 792.0), (595.28, 841.89)
SMALLEST = 8.0
SENTENCE = "Stir the pot now and then so that nothing catches at the bottom."
texts = st.text(alphabet="abcdefghijklmnop ,.", min_size=1, max_size=160).map(str.strip).filter(bool)


def page_height(plan: CardPlan) -> float:
    """Height of the laid-out page, points."""
    page = card_look()["page"]
    head = (
        page["title"] + page["intro_line"] + page["fact_label"] + fact_height(plan.fact_lines) + page["gap"]
    )
    return float(head + plan.units * page["unit"] + page["footer_line"] * page["footer_lines"])


def card(
    lines: int = 12, steps: int = 6, notes: int = 2, cautions: int = 4, serving: str = "1 cup (240 g)"
) -> CardTexts:
    return CardTexts(
        [f"Ingredient number {i}, chopped" for i in range(lines)], 2,
        {"method": [[SENTENCE] * steps], "under": [[SENTENCE] * 2], "contains": [["Contains: milk, wheat."]],
         "rest": [[SENTENCE] * 3], "ask": [[SENTENCE] * cautions], "keeping": [[SENTENCE * 3]],
         "notes": [[SENTENCE] * notes]},
        serving,
    )  # fmt: skip


@pytest.mark.parametrize("paper", [LETTER, A4])
def test_the_page_fits_both_papers_without_shrinking(paper: tuple[float, float]) -> None:
    margin = card_look()["page"]["margin"]
    plan = plan_card(card())
    assert plan.fits
    assert width_of(*COLUMNS) <= paper[0] - 2 * margin
    assert page_height(plan) <= paper[1] - 2 * margin


def test_no_type_is_smaller_than_8_point() -> None:
    look = card_look()
    sizes = [t[k] for t in look["try"] for k in ("text", "small")]
    sizes += [
        look["panel"][k] for k in ("title_size", "servings_size", "energy_label_size", "energy_size", "size")
    ]
    sizes += [look["blocks"]["heading_size"], look["blocks"]["contains_size"], look["page"]["fact_size"]]
    assert min([*sizes, look["page"]["fact_small"]]) >= SMALLEST


def test_short_texts_are_printed_larger_than_long_ones() -> None:
    assert plan_card(card(6, 3)).text > plan_card(card(16, 10)).text >= SMALLEST


@settings(deadline=None, max_examples=40)
@given(
    st.integers(1, 18), st.lists(texts, min_size=1, max_size=10), st.lists(texts, max_size=8),
    st.lists(texts, max_size=4), st.text(alphabet="abc 12", max_size=60),
)  # fmt: skip
def test_boxes_hold_their_texts_and_never_overlap(
    lines: int, steps: list[str], cautions: list[str], notes: list[str], serving: str
) -> None:
    given_texts = CardTexts(
        [f"Ingredient {i}" for i in range(lines)], 1,
        {"method": [steps], "ask": [cautions], "notes": [notes], "under": [[SENTENCE]]}, serving,
    )  # fmt: skip
    plan = plan_card(given_texts)
    for side in (LEFT, RIGHT):
        ends = 0
        for place in sorted((p for p in plan.places.values() if p.side == side), key=lambda p: p.first):
            assert place.first >= ends
            ends = place.first + place.units
        assert ends <= plan.units
    for key, lists in given_texts.boxes.items():
        place = plan.places[key]
        assert units_for(place.lines, place.size) <= place.units + 1
        for parts in lists:
            needed = sum(wrapped_lines(t, place.size, side_width(place.side)) for t in parts)
            assert needed <= place.lines
            assert sum(math.ceil(len(t) / letters_per_line(place, lists)) for t in parts) <= place.lines


def test_a_card_that_cannot_fit_says_so_and_still_is_laid_out() -> None:
    plan = plan_card(card(lines=60, steps=60))
    assert not plan.fits
    assert plan.units > grid_units(plan.fact_lines)


def test_every_list_a_box_may_hold_has_room() -> None:
    few, many = ["Contains: milk."], ["Contains: milk, " + "cereals containing gluten (barley), celery, " * 3]
    base = card()
    plan = plan_card(
        CardTexts(base.lines, base.headings, {**base.boxes, "contains": [few, many]}, base.serving)
    )
    place = plan.places["contains"]
    assert wrapped_lines(many[0], place.size, side_width(RIGHT), True) <= place.lines


@given(st.text(alphabet="abcd e", max_size=200).map(str.strip), st.integers(20, 50))
def test_rows_of_a_long_ingredient_lose_no_word(text: str, capacity: int) -> None:
    text = " ".join(text.split())
    rows = split_rows(text, capacity)
    assert "".join(rows).replace(" ", "") == text.replace(" ", "")
    assert all(len(row) <= capacity for row in rows[:5])


def test_wider_letters_leave_fewer_to_a_row() -> None:
    assert row_capacity(["MMMMMMMMMMMMMMMMMM"], 10) < row_capacity(["lllllllllllllllll"], 10)


def test_text_widths_are_those_of_arial() -> None:
    """Advance widths of Arial: a = 556, i = 222, M = 833 thousandths of the type size (data/letter_widths.csv)."""
    assert text_width("aiM", 1000) == pytest.approx((556 + 222 + 833) * 1.03)
    assert text_width("W", 10) == text_width("\u4e2d", 10)  # a letter nobody measured counts as the widest


def test_words_wrap_and_line_feeds_break() -> None:
    assert wrapped_lines("", 10, 100) == 0
    assert wrapped_lines("one\ntwo", 10, 500) == 2
    assert wrapped_lines("word " * 20, 10, 100) > 5
    assert wrapped_lines("x" * 100, 10, 100) >= 5


@given(st.sampled_from([8.0, 8.5, 9.0, 10.0, 11.5]), st.floats(60, 500))
def test_letters_per_line_err_on_the_safe_side(size: float, width: float) -> None:
    running = SENTENCE * 3
    assert wrapped_lines(running[: per_line(size, width)], size, width) <= 2
    assert pitch(size) == size * PITCH
