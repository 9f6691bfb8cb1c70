"""Texts that leave the program: no formulas in CSV, no mark-up in Markdown; figures keep their reading."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from workbookgen.exchange.cells import amount_words, csv_text, md_text, reading
from workbookgen.model.analysis import NutrientResult
from workbookgen.model.errors import BadInput
from workbookgen.model.place import put_bytes
from workbookgen.model.tables import Nutrient

KNOWN = NutrientResult("NA", 10.0, 2.5, 1.0, 1.0, "", None, None, "", None)
AT_LEAST = replace(KNOWN, reads="at least", coverage=0.5)
AT_MOST = replace(KNOWN, reads="at most")
NEVER = replace(KNOWN, reads="at least", coverage=0.0, serving=0.0)
SALT = Nutrient("NA", "Sodium", "mg", 1, "Minerals", "307", "NA", True)
CONTROLS = {c: " " for c in (*range(32), *range(127, 160), 0x2028, 0x2029)}
TEXTS = st.text(alphabet=st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=40)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "＝1", "\u00a0=1", "-", "=cmd|' /C calc'!A0"]
)
def test_text_that_a_spreadsheet_would_calculate_gets_an_apostrophe(text: str) -> None:
    assert csv_text(text) == f"'{text}"


@pytest.mark.parametrize("text", ["\t=1", "\r=1", "\n=1", "\u2028=1", "\x00=1"])
def test_control_characters_do_not_hide_a_sign(text: str) -> None:
    assert csv_text(text) == "' =1"


@pytest.mark.parametrize("text", ["", "Kale, raw", "1-2 cups", "'=1", "a=b", "5 + 5"])
def test_other_text_stays_as_it_is_in_csv(text: str) -> None:
    assert csv_text(text) == text


@given(st.text(max_size=30))
def test_no_cell_read_back_begins_like_a_formula(text: str) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([csv_text(text), "end"])
    cell = next(csv.reader(io.StringIO(out.getvalue(), newline="")))[0]
    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@"))
    assert cell.removeprefix("'").split() == text.translate(CONTROLS).removeprefix("'").split()


@given(TEXTS)
@example("# Title")
@example("1. First")
@example("12) x")
@example("---")
@example("- - -")
@example("<script>alert(1)</script>")
@example("[a](http://b) ![c](d)")
@example("&lt; &amp; &#65;")
@example("a\\*b*c*")
@example("| a | b |")
@example("+")
def test_markdown_shows_the_same_characters_and_nothing_else(text: str) -> None:
    wanted = " ".join(text.split())
    shown = MarkdownIt().enable("table").parse(f"- x {md_text(text)}\n\n{md_text(text)}\n")
    kinds = [t.type for t in shown if t.level == 0]
    wrapped = ["bullet_list_open", "bullet_list_close"]
    assert kinds == wrapped + ["paragraph_open", "paragraph_close"] * bool(wanted)
    texts = [t for t in shown if t.type == "inline"]
    for token, full in zip(texts, (f"x {wanted}".strip(), wanted), strict=False):
        assert {c.type for c in token.children or ()} <= {"text", "text_special"}
        assert "".join(c.content for c in token.children or ()) == full


def test_a_reading_is_never_lost() -> None:
    assert [reading(r) for r in (KNOWN, AT_LEAST, AT_MOST, NEVER)] == [
        "exact",
        "at least",
        "at most",
        "not known",
    ]
    assert amount_words([KNOWN], SALT) == "2.5 mg"
    assert amount_words([AT_LEAST], SALT) == "at least 2.5 mg"
    assert amount_words([AT_MOST], SALT) == "at most 2.5 mg"
    assert amount_words([NEVER], SALT) == "not known"


def test_at_least_nothing_reads_not_known() -> None:
    assert amount_words([replace(AT_LEAST, serving=0.04)], SALT) == "not known"
    assert amount_words([replace(AT_LEAST, serving=0.05)], SALT) == "at least 0.1 mg"
    assert amount_words([replace(KNOWN, serving=0.0)], SALT) == "0 mg"


def test_a_sum_takes_the_weakest_reading() -> None:
    assert amount_words([KNOWN, KNOWN], SALT) == "5 mg"
    assert amount_words([KNOWN, AT_LEAST], SALT) == "at least 5 mg"
    assert amount_words([KNOWN, NEVER], SALT) == "at least 2.5 mg"
    assert amount_words([KNOWN, AT_MOST], SALT) == "at most 5 mg"
    assert amount_words([AT_MOST, AT_LEAST], SALT) == "not known"


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    put_bytes(tmp_path / "a.csv", b"one")
    put_bytes(tmp_path / "a.csv", b"two")
    assert (tmp_path / "a.csv").read_bytes() == b"two"
    with pytest.raises(BadInput, match="does not exist; create it"):
        put_bytes(tmp_path / "no" / "a.csv", b"x")
    (tmp_path / "folder").mkdir()
    with pytest.raises(BadInput, match="cannot be written"):
        put_bytes(tmp_path / "folder", b"x")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.csv", "folder"]
