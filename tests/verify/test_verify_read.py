"""Reading a workbook: what stands in the file, nothing calculated."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from verify_books import one_sheet, pattern_book, rewrite

from workbookgen.model.errors import BadInput
from workbookgen.verify.package import STALE, copy_with_changes, copy_without_results
from workbookgen.verify.read import read_book, unescape_text
from workbookgen.verify.values import ErrorValue, cell_name, split_cell_name

SHEET = "xl/worksheets/sheet1.xml"


def test_every_formula_written_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    written = pattern_book(path, recipes=2, lines=9, foods=20)
    assert read_book(path).formula_count == written


def test_a_damaged_package_is_refused_in_a_sentence(tmp_path: Path) -> None:
    """Both found by fuzzing: bytes that no longer unpack, and an encoding that no one knows."""
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)}, {"B1": "text"})
    whole = path.read_bytes()
    with zipfile.ZipFile(path) as package:
        info = package.getinfo(SHEET)
    at = info.header_offset + 30 + len(SHEET) + 12
    (tmp_path / "b.xlsx").write_bytes(whole[:at] + bytes(200) + whole[at + 200:])
    rewrite(path, SHEET, "UTF-8", "UTF-6")
    for damaged in (tmp_path / "b.xlsx", path):
        with pytest.raises(BadInput, match="the file is damaged"):
            read_book(damaged)


def test_values_keep_their_kinds(tmp_path: Path) -> None:
    formulas = {
        "A1": ("=1+1", 2),
        "A2": ('="a"&"b"', "ab"),
        "A3": ("=1=1", True),
        "A4": ("=NA()", "#N/A"),
        "A5": ('=""', ""),
        "A6": ("=2>3", False),
    }
    path = one_sheet(tmp_path / "a.xlsx", formulas, {"B1": 1.5, "B2": "text  ", "B3": True})
    sheet = read_book(path).sheets["S"]
    assert [sheet.values.get((row, 1)) for row in range(1, 7)] == [
        2.0,
        "ab",
        True,
        ErrorValue("#N/A"),
        None,  # XlsxWriter stores an empty text as an empty number
        False,
    ]
    assert [sheet.values[row, 2] for row in (1, 2, 3)] == [1.5, "text  ", True]
    assert sheet.formulas[2, 1] == '"a"&"b"'
    assert sheet.unstored == set()


def test_formula_without_stored_value_is_noticed(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)})
    rewrite(path, SHEET, "<v>2</v>", "")
    assert read_book(path).sheets["S"].unstored == {(1, 1)}


def test_shared_formula_is_shifted_to_each_cell(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {f"B{row}": (f"=A{row}*$C$1", 0) for row in (1, 2, 3)})
    rewrite(path, SHEET, "<f>A1*$C$1</f>", '<f t="shared" ref="B1:B3" si="0">A1*$C$1</f>')
    rewrite(path, SHEET, "<f>A2*$C$1</f>", '<f t="shared" si="0"/>')
    rewrite(path, SHEET, "<f>A3*$C$1</f>", '<f t="shared" si="0"></f>')
    formulas = read_book(path).sheets["S"].formulas
    assert [formulas[row, 2] for row in (1, 2, 3)] == ["A1*$C$1", "A2*$C$1", "A3*$C$1"]


def test_array_formula_and_the_cells_it_fills_are_known(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("S")
    sheet.write_array_formula("A1:A3", "{=C1:C3*2}", None, 0)
    sheet.write_array_formula("B1", "{=SUM(C1:C3*2)}", None, 0)
    book.close()
    read = read_book(path).sheets["S"]
    assert read.arrays == {(1, 1): "A1:A3", (1, 2): "B1"}
    assert read.spills == {(2, 1), (3, 1)}


def test_names_keep_their_scope(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(str(path))
    book.add_worksheet("My S")
    book.define_name("wide", "='My S'!$A$1:$A$9")
    book.define_name("'My S'!own", "='My S'!$B$1")
    book.close()
    assert {(each.name, each.sheet) for each in read_book(path).names} == {("wide", None), ("own", "My S")}


def test_hidden_sheet_is_read_as_hidden(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(str(path))
    book.add_worksheet("A")
    book.add_worksheet("B").hide()
    book.close()
    assert [sheet.state for sheet in read_book(path).sheets.values()] == ["visible", "hidden"]


@pytest.mark.parametrize("content", [None, b"no zip", b""])
def test_what_is_no_workbook_is_refused_in_one_sentence(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "a.xlsx"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        read_book(path)
    assert "\n" not in str(caught.value)
    assert "xlsx" in str(caught.value)


def test_damaged_sheet_is_refused_in_one_sentence(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)})
    rewrite(path, SHEET, "</sheetData>", "")
    with pytest.raises(BadInput, match="damaged"):
        read_book(path)


def test_value_that_cannot_be_read_names_its_cell(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"C7": ("=1+1", 2)})
    rewrite(path, SHEET, "<v>2</v>", "<v>two</v>")
    with pytest.raises(BadInput, match="sheet 'S', cell C7"):
        read_book(path)


def test_copy_without_results_withholds_every_stored_value(tmp_path: Path, patterns: Path) -> None:
    before = read_book(patterns)
    copy_without_results(patterns, tmp_path / "copy.xlsx")
    after = read_book(tmp_path / "copy.xlsx")
    for name, sheet in before.sheets.items():
        assert after.sheets[name].formulas == sheet.formulas
        assert {after.sheets[name].values[place] for place in sheet.formulas} <= {STALE}
        constants = {place: value for place, value in sheet.values.items() if place not in sheet.formulas}
        assert constants.items() <= after.sheets[name].values.items()


def test_copy_without_changes_reads_the_same(tmp_path: Path, patterns: Path) -> None:
    copy_with_changes(patterns, tmp_path / "copy.xlsx", lambda cell: None)
    assert read_book(tmp_path / "copy.xlsx").sheets == read_book(patterns).sheets


@given(st.integers(1, 1048576), st.integers(1, 16384))
def test_cell_names_can_be_split_again(row: int, column: int) -> None:
    assert split_cell_name(cell_name(row, column)) == (row, column)


def test_escaped_characters_are_restored() -> None:
    assert unescape_text("a_x000D__x000A_b _x not") == "a\r\nb _x not"
