"""Hand a filled book to XlsxWriter. The file is written beside its place and then moved there."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO, Literal, cast

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell_fast
from xlsxwriter.worksheet import CellFormulaTuple, Worksheet

from workbookgen.model.place import written_beside
from workbookgen.workbook.book import LOOKUP, Book, Cell, Sheet, block, quoted
from workbookgen.workbook.styles import Styles

PAPERS = {"letter": 1, "a4": 9}
#: Cells that need no more than an address, a style and a value; a formula's value is never an error here.
PLAIN_KINDS = frozenset({"Blank", "Number", "String", "Formula"})
#: Protection guards against slips; widths, heights, filters and the selection of locked cells stay free.
PROTECTION = {
    "select_locked_cells": True,
    "select_unlocked_cells": True,
    "format_columns": True,
    "format_rows": True,
    "autofilter": True,
    "sort": True,
}


def created() -> datetime:
    """Creation time in the file: SOURCE_DATE_EPOCH, else a fixed day, so same input gives same bytes."""
    return datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH", "1767225600")), UTC).replace(tzinfo=None)


def write_book(book: Book, path: Path, look: Mapping[str, Any]) -> None:
    """Write ``book`` to ``path``; raises BadInput when the place cannot be written.

    Nothing half-written stays behind: the file grows under a temporary name in the same folder and takes
    the place of the old one at the end.
    """
    with written_beside(path, ".xlsx", "another --out") as beside, readable_faults(), beside.open("wb") as file:
        _write(book, Disk(file), look)


class Disk:
    """The file as XlsxWriter's zip sees it: after the first fault it keeps quiet.

    A zip file that fails is closed again and again, by itself and when it is thrown away, each time with the same
    fault on the terminal. The first one is raised and tells all.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._file, self._failed = file, False

    def _try(self, name: str, *given: Any) -> int:
        if self._failed:
            return 0
        try:
            return int(getattr(self._file, name)(*given) or 0)
        except OSError:
            self._failed = True
            raise

    def write(self, data: bytes) -> int:
        return self._try("write", data)

    def seek(self, where: int, whence: int = 0) -> int:
        return self._try("seek", where, whence)

    def tell(self) -> int:
        return self._try("tell")

    def flush(self) -> None:
        self._try("flush")


@contextmanager
def readable_faults() -> Iterator[None]:
    """Turn what XlsxWriter raises when it cannot write into the OSError it stands for."""
    try:
        yield
    except xlsxwriter.exceptions.XlsxFileError as error:
        raise next((a for a in error.args if isinstance(a, OSError)), OSError(str(error))) from None


class PlainFormulaSheet(Worksheet):
    """A worksheet that takes formulas as they are and writes plain cells the short way.

    XlsxWriter spends nine tenths of ``write_formula`` on looking for dynamic arrays and on spelling out
    functions newer than Excel 2010; this book bans those functions (see the lint), so the work is skipped. A
    large food table has a million cells, for which building and escaping lists of attributes takes most of
    the writing. The overrides are of private methods: where a later XlsxWriter has none of that name they are
    simply never called, and a test compares the written XML with that of a standard worksheet.
    """

    def _write_formula(
        self, row: int, col: int, formula: str, cell_format: Any = None, value: Any = 0
    ) -> Literal[0, -1, -2]:
        if self._check_dimensions(row, col):
            return -1
        self.table[row][col] = CellFormulaTuple(formula.removeprefix("="), cell_format, value)
        return 0

    def _write_cell(self, row: int, col: int, cell: Any) -> None:
        kind = type(cell).__name__
        if cell.format is None or kind not in PLAIN_KINDS:
            super()._write_cell(row, col, cell)
            return
        head = f'<c r="{xl_rowcol_to_cell_fast(row, col)}" s="{cell.format._get_xf_index()}"'
        if kind == "Blank":
            text = f"{head}/>"
        elif kind == "Number":
            text = f"{head}><v>{cell.number:.16G}</v></c>"
        elif kind == "String":
            text = f'{head} t="s"><v>{cell.string}</v></c>'
        else:
            value, marked = _formula_value(cell.value)
            formula, value = escaped(cell.formula), escaped(value) if isinstance(value, str) else value
            text = f"{head}{marked}><f>{formula}</f><v>{value}</v></c>"
        self.fh.write(text)  # type: ignore[attr-defined]  # open while a sheet is written


def escaped(text: str) -> str:
    """Text between tags, as XlsxWriter escapes it."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _formula_value(value: Any) -> tuple[Any, str]:
    """A formula's stored value and the attribute that tells its type."""
    if isinstance(value, bool):
        return int(value), ' t="b"'
    return value, ' t="str"' if isinstance(value, str) and value else ""


def _write(book: Book, file: Disk, look: Mapping[str, Any]) -> None:
    workbook = xlsxwriter.Workbook(
        cast(Any, file), {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    )
    workbook.set_properties({**book.properties, "created": created()})
    workbook.set_calc_mode("auto")
    styles = Styles(workbook, look["palette"], look["fonts"])
    workbook.formats[0].set_font_name(look["fonts"]["body"])
    workbook.formats[0].set_font_size(look["fonts"]["size"])
    handles = [workbook.add_worksheet(sheet.name, PlainFormulaSheet) for sheet in book.sheets]
    for name, (sheet_name, *where) in sorted(book.names.items()):
        workbook.define_name(name, f"={quoted(sheet_name)}!{block(*where)}")
    for sheet, handle in zip(book.sheets, handles, strict=True):
        _write_sheet(workbook, handle, sheet, styles, book)
    workbook.close()


def _write_sheet(workbook: Any, handle: Any, sheet: Sheet, styles: Styles, book: Book) -> None:
    for col, width in sorted(sheet.widths.items()):
        handle.set_column(col, col, width)
    for row, height in sorted(sheet.heights.items()):
        handle.set_row(row, height)
    for first_row, first_col, last_row, last_col in sheet.merges:
        cell = sheet.cells.get((first_row, first_col))
        handle.merge_range(first_row, first_col, last_row, last_col, "", styles(cell.style if cell else ""))
    for (row, col), cell in sheet.cells.items():
        _write_cell(handle, row, col, cell, styles(cell.style), sheet)
    for first_row, first_col, last_row, last_col, options in sheet.validations:
        handle.data_validation(first_row, first_col, last_row, last_col, options)
    for first_row, first_col, last_row, last_col, options, style in sheet.conditions:
        look = {k: v for k, v in styles.properties(style).items() if k not in ("font_name", "font_size")}
        handle.conditional_format(
            first_row, first_col, last_row, last_col, options | {"format": workbook.add_format(look)}
        )
    for row, col, make, options in sheet.charts:
        handle.insert_chart(row, col, make(workbook), options)
    for row, col, image, options in sheet.images:
        handle.insert_image(row, col, image, options)
    _page(handle, sheet, book)
    handle.protect("", PROTECTION)


def _write_cell(handle: Any, row: int, col: int, cell: Cell, look: Any, sheet: Sheet) -> None:
    if cell.formula:
        if cell.value is LOOKUP:
            raise ValueError(f"{sheet.name}: {cell.formula} has no stored value")
        handle.write_formula(row, col, cell.formula, look, cell.value)
    elif (row, col) in sheet.links:
        target, text = sheet.links[row, col]
        handle.write_url(row, col, target, look, text)
    elif isinstance(cell.value, bool):
        handle.write_boolean(row, col, cell.value, look)
    elif isinstance(cell.value, int | float):
        handle.write_number(row, col, cell.value, look)
    elif cell.value == "":
        handle.write_blank(row, col, None, look)
    else:
        handle.write_string(row, col, cell.value, look)


def _page(handle: Any, sheet: Sheet, book: Book) -> None:
    handle.hide_gridlines(2)
    handle.set_paper(PAPERS[book.paper])
    if sheet.landscape:
        handle.set_landscape()
    if sheet.print_scale is None:
        handle.fit_to_pages(*sheet.fit_pages)
    else:  # wide tables: a readable size over several pages, broken between blocks
        handle.set_print_scale(sheet.print_scale)
        handle.set_v_pagebreaks(sheet.column_breaks)
    margins = sheet.margins or (0.5, 0.5, 0.6, 0.6)
    handle.set_margins(*margins)
    if sheet.centre:
        handle.center_horizontally()
    handle.set_footer(sheet.footer or "&L&8&F&C&8&A&R&8Page &P of &N")
    if sheet.freeze:
        handle.freeze_panes(*sheet.freeze)
    if sheet.repeat_rows:
        handle.repeat_rows(*sheet.repeat_rows)
    if sheet.repeat_columns:
        handle.repeat_columns(*sheet.repeat_columns)
    if sheet.print_area:
        handle.print_area(*sheet.print_area)
    if sheet.page_breaks:
        handle.set_h_pagebreaks(sheet.page_breaks)
    if sheet.tab:
        handle.set_tab_color(sheet.tab)
    if sheet.filters:
        handle.autofilter(*sheet.filters)
    if sheet.zoom != 100:
        handle.set_zoom(sheet.zoom)
    handle.set_selection(*sheet.first_input, *sheet.first_input)
