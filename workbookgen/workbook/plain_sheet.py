"""The worksheet this book is written with: plain cells the short way, rows packed away early where a book is large."""

from __future__ import annotations

import io
import os
import zlib
from collections import defaultdict
from typing import Any, BinaryIO, Literal

from xlsxwriter.utility import xl_cell_to_rowcol, xl_rowcol_to_cell_fast
from xlsxwriter.worksheet import CellFormulaTuple, Worksheet

#: Cells that need no more than an address, a style and a value; a formula's value is never an error here.
PLAIN_KINDS = frozenset({"Blank", "Number", "String", "Formula"})
#: How hard settled rows are packed: they lie on the disk for minutes only.
PACKING = 1


class PlainFormulaSheet(Worksheet):
    """A worksheet that takes formulas as they are and writes plain cells the short way.

    XlsxWriter spends nine tenths of ``write_formula`` on looking for dynamic arrays and on spelling out
    functions newer than Excel 2010; this book bans those functions (see the lint), so the work is skipped. A
    large food table has a million cells, for which building and escaping lists of attributes takes most of
    the writing. The overrides are of private methods: where a later XlsxWriter has none of that name they are
    simply never called, and a test compares the written XML with that of a standard worksheet.
    """

    #: Where the rows lie in the store when they are settled: the store, the first byte, how many.
    _settled: tuple[BinaryIO, int, int] | None = None

    def settle(self, store: BinaryIO) -> None:
        """Turn all rows into XML, pack them into ``store`` and free the cells; nothing may be written after it."""
        if self.dim_rowmin is None:
            return
        rows = io.StringIO()
        self.fh = rows
        self._write_rows()
        packed = zlib.compress(rows.getvalue().encode(), PACKING)
        self.fh = None
        self._settled = (store, store.seek(0, os.SEEK_END), len(packed))
        store.write(packed)
        self.merged_cells.clear()  # kept by XlsxWriter only to refuse what overlaps
        charted = self._charted_rows()
        self.table = defaultdict(dict, {row: cells for row, cells in self.table.items() if row in charted})

    def number_formats(self) -> None:
        """Give the formats of all cells their numbers in the order in which the cells are written."""
        for row in sorted(self.table):
            for col in sorted(self.table[row]):
                if self.table[row][col].format is not None:
                    self.table[row][col].format._get_xf_index()

    def _charted_rows(self) -> set[int]:
        """Rows that charts on this sheet draw: XlsxWriter reads them once more when it closes."""
        found: set[int] = set()
        for _, _, chart, *_ in self.charts:
            for text in chart.formula_ids:
                ends = [xl_cell_to_rowcol(cell)[0] for cell in text.rpartition("!")[2].split(":")]
                found.update(range(min(ends), max(ends) + 1))
        return found

    def _write_sheet_data(self) -> None:
        if self._settled is None:
            super()._write_sheet_data()
            return
        store, first, length = self._settled
        store.seek(first)
        self._xml_start_tag("sheetData")
        self.fh.write(zlib.decompress(store.read(length)).decode())  # type: ignore[attr-defined]
        self._xml_end_tag("sheetData")

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
