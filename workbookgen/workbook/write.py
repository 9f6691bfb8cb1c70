"""Hand a filled book to XlsxWriter. The file is written beside its place and then moved there."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO, cast

import xlsxwriter

from workbookgen.model.place import written_beside
from workbookgen.workbook.book import LOOKUP, Book, Cell, Sheet, block, quoted
from workbookgen.workbook.plain_sheet import PlainFormulaSheet
from workbookgen.workbook.styles import Styles

PAPERS = {"letter": 1, "a4": 9}
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


class BookWriter:
    """One workbook on its way to XlsxWriter, sheet by sheet in tab order.

    A large book cannot be held whole: a sheet that is put with ``settle`` is turned into XML at once, packed away in a
    file without a name, and its cells are freed. The bytes of the workbook are the same either way.
    """

    def __init__(self, file: Disk, store: BinaryIO, book: Book, look: Mapping[str, Any]) -> None:
        options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
        self._workbook = xlsxwriter.Workbook(cast(Any, file), options)
        self._workbook.set_properties({**book.properties, "created": created()})
        self._workbook.set_calc_mode("auto")
        self._styles = Styles(self._workbook, look["palette"], look["fonts"])
        self._workbook.formats[0].set_font_name(look["fonts"]["body"])
        self._workbook.formats[0].set_font_size(look["fonts"]["size"])
        self._changing: dict[str, Any] = {}
        self._book = book
        self._handles: dict[str, PlainFormulaSheet] = {}
        self._store = store

    def add_tabs(self) -> None:
        """Make the tabs of the book's sheets that have none yet."""
        for sheet in self._book.sheets:
            if sheet.name not in self._handles:
                handle = self._workbook.add_worksheet(sheet.name, PlainFormulaSheet)
                self._handles[sheet.name] = cast(PlainFormulaSheet, handle)

    def put(self, sheet: Sheet, settle: bool = False) -> None:
        """Write a sheet; all its formulas have stored values."""
        handle = self._handles[sheet.name]
        _write_sheet(self._workbook, handle, sheet, self._styles, self._changing_format, self._book)
        if settle:
            handle.settle(self._store)

    def begin(self, sheet: Sheet) -> None:
        """Write a sheet whose formulas have no values yet; `finish` gives them. Strings and formats take their numbers
        now, as they would if the sheet were written here."""
        self.put(replace(sheet, cells={at: replace(cell, value="") if cell.formula else cell for at, cell in sheet.cells.items()}))
        self._handles[sheet.name].number_formats()

    def finish(self, sheet: Sheet) -> None:
        """Write the formulas of a sheet that was begun once more, with their values."""
        for (row, col), cell in sheet.cells.items():
            if cell.formula:
                _write_cell(self._handles[sheet.name], row, col, cell, self._styles(cell.style), sheet)

    def close(self) -> None:
        """Write the file."""
        for name, (sheet_name, *where) in sorted(self._book.names.items()):
            self._workbook.define_name(name, f"={quoted(sheet_name)}!{block(*where)}")
        self._workbook.close()

    def _changing_format(self, style: str) -> Any:
        """The format a condition gives to cells, made once per style."""
        if style not in self._changing:
            look = {k: v for k, v in self._styles.properties(style).items() if k not in ("font_name", "font_size")}
            self._changing[style] = self._workbook.add_format(look)
        return self._changing[style]


@contextmanager
def book_writer(file: Disk, book: Book, look: Mapping[str, Any]) -> Iterator[BookWriter]:
    """A writer for ``book``, with a file without a name for the rows that are settled; closed when all went well."""
    with tempfile.TemporaryFile() as store:
        writer = BookWriter(file, store, book, look)
        yield writer
        writer.close()


def _write(book: Book, file: Disk, look: Mapping[str, Any]) -> None:
    with book_writer(file, book, look) as writer:
        writer.add_tabs()
        for sheet in book.sheets:
            writer.put(sheet)


def _write_sheet(workbook: Any, handle: Any, sheet: Sheet, styles: Styles, changing: Callable[[str], Any], book: Book) -> None:
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
        handle.conditional_format(first_row, first_col, last_row, last_col, options | {"format": changing(style)})
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
