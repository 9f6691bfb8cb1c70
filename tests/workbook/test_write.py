"""Writing: same bytes, no half-written files, texts never become formulas, the fast formula path."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book
from workbookgen.workbook.build import Built
from workbookgen.workbook.look import load_look
from workbookgen.workbook.plain_sheet import PlainFormulaSheet
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book


def small_book() -> Book:
    book = Book()
    sheet = book.add("One")
    sheet.put(0, 0, 2.0)
    sheet.put(1, 0, '=HYPERLINK("http://x","y")')
    sheet.formula(0, 1, "=A1*2", 4.0)
    return book


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    book = small_book()
    fill(book)
    write_book(book, tmp_path / "a.xlsx", load_look())
    with zipfile.ZipFile(tmp_path / "a.xlsx") as archive:
        assert archive.read("xl/worksheets/sheet1.xml").count(b"<f>") == 1


def test_no_formula_of_a_generated_book_comes_from_input_text(generated: tuple[Built, Path]) -> None:
    _, path = generated
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            if name.startswith("xl/worksheets/sheet"):
                text = archive.read(name).decode()
                assert not re.search(r"<f>(HYPERLINK|2\+2|1\+1)", text), name
                assert "externalLink" not in text


def test_a_formula_without_a_value_is_refused(tmp_path: Path) -> None:
    from workbookgen.workbook.book import LOOKUP

    book = small_book()
    book.sheets[0].formula(5, 5, "=A1+1", LOOKUP)
    with pytest.raises(ValueError, match="no stored value"):
        write_book(book, tmp_path / "a.xlsx", load_look())
    assert list(tmp_path.iterdir()) == []


def test_core_and_formula_that_differ_are_reported() -> None:
    book = small_book()
    book.sheets[0].formula(2, 2, "=A1*3", 7.0)
    assert [(d.cell, d.core, d.engine) for d in fill(book)] == [("C3", 7.0, 6.0)]


def test_an_error_value_is_refused() -> None:
    book = small_book()
    book.sheets[0].formula(2, 2, "=1/0", 7.0)
    with pytest.raises(ValueError, match="C3"):
        fill(book)


def test_missing_folder_is_one_sentence(tmp_path: Path) -> None:
    book = small_book()
    with pytest.raises(BadInput, match="does not exist"):
        write_book(book, tmp_path / "no" / "a.xlsx", load_look())


def test_same_input_same_bytes_whatever_hash_seed_and_time_zone(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path\n"
        "from workbookgen.session import load_kitchen, default_settings\n"
        "from workbookgen.catalogue.constants import constant_rows\n"
        "from workbookgen.workbook.build import build_workbook, Spares\n"
        "from workbookgen.workbook.look import load_look\n"
        "from tests.generate import random_recipe\n"
        "k = load_kitchen()\n"
        "build_workbook(k, constant_rows(), [random_recipe(k, 3)], default_settings(), load_look(), Path(sys.argv[1]), spares=Spares(0, 0))\n"
    )
    root = Path(__file__).resolve().parents[2]
    made = []
    for seed, zone in (("1", "UTC"), ("77", "Asia/Tokyo")):
        out = tmp_path / f"{seed}.xlsx"
        env = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(root)}
        subprocess.run([sys.executable, "-c", script, str(out)], check=True, env=env, cwd=root)
        made.append(out.read_bytes())
    assert made[0] == made[1]


def test_plain_formula_sheet_writes_what_a_standard_one_writes(tmp_path: Path, generated: tuple[Built, Path]) -> None:
    """Guards the overrides of private XlsxWriter methods: the XML of both is the same for this book's cells."""
    built, _ = generated
    cells = [c for s in built.book.sheets for c in s.cells.values() if c.formula][::97]
    odd: list[object] = [0, -1, 0.1, 1e-7, 123456789012345678, 1 / 3, 1e300, True, False, "", " a ", "<b>&\"'", "=1+1", "é\n"]
    texts = []
    for kind in (None, PlainFormulaSheet):
        path = tmp_path / f"{kind}.xlsx"
        workbook = xlsxwriter.Workbook(path, {"strings_to_formulas": False})
        look = workbook.add_format({"bold": True})
        sheet = workbook.add_worksheet("x", kind)
        for row, cell in enumerate(cells):
            sheet.write_formula(row, 0, cell.formula, None, cell.value)
            sheet.write_formula(row, 1, cell.formula, look, cell.value)
        for row, value in enumerate(odd):
            sheet.write(row, 2, value, look)
            sheet.write(row, 3, value)
            sheet.write_formula(row, 4, '=IF(A1<2,"a&b",">")', look, value)
            sheet.write_blank(row, 5, None, look)
            sheet.write_boolean(row, 6, True, look)
            sheet.write_url(row, 7, "internal:'x'!A1", look, "there")
        sheet.write_formula(5, 2_000_000, "=1", look, 1)  # outside the sheet: neither writes it
        workbook.close()
        with zipfile.ZipFile(path) as archive:
            texts.append([archive.read(f"xl/{name}.xml") for name in ("worksheets/sheet1", "sharedStrings")])
    assert texts[0] == texts[1]


def test_only_inputs_are_unlocked_and_every_sheet_is_protected(generated: tuple[Built, Path], kitchen: Kitchen) -> None:
    import openpyxl

    _, path = generated
    workbook = openpyxl.load_workbook(path)
    for sheet in workbook.worksheets:
        assert sheet.protection.sheet, sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert cell.protection.locked, f"{sheet.title}!{cell.coordinate}"
    assert all(c.protection.locked for row in workbook["Disclaimer"].iter_rows() for c in row)


def test_the_collector_runs_again_after_a_build_that_failed() -> None:
    import gc

    from workbookgen.model.collector import collector_paused

    def failing() -> None:
        with collector_paused():
            assert not gc.isenabled()
            raise BadInput("a", "b")

    with pytest.raises(BadInput):
        failing()
    assert gc.isenabled()
