"""Tables of a workbook with a status and a source in every row: which rows lack one or rest on memory."""

from __future__ import annotations

from collections.abc import Iterator

from workbookgen.verify.read import Book, Sheet
from workbookgen.verify.values import cell_name

STATUS, SOURCE, SOURCES, MEMORY = "status", "source", "Sources", "memory"
_WORDS = ("seen", MEMORY, "derived")
_ID = "Id"


def _columns(sheet: Sheet, head: str) -> Iterator[tuple[int, int]]:
    """Headings of that name: row and column."""
    for (row, column), value in sheet.values.items():
        if isinstance(value, str) and value.strip().lower() == head and (row, column) not in sheet.formulas:
            yield row, column


def _status_cells(sheet: Sheet) -> Iterator[tuple[int, int, str]]:
    for head, column in _columns(sheet, STATUS):
        rows = sorted(r for r, c in sheet.values if c == column and r > head)
        for row in rows:
            word = sheet.values[row, column]
            if not isinstance(word, str) or word not in _WORDS:
                break
            yield row, column, word


def memory_rows(book: Book) -> list[str]:
    """Rows that are still marked memory, in a column of their own or in brackets behind their source."""
    found = [f"{s.name}!{cell_name(r, c)}" for s in book.sheets.values() for r, c, word in _status_cells(s) if word == MEMORY]
    return found + [f"{s.name}!{cell_name(*p)}" for s in book.sheets.values() for p, v in s.values.items()
                    if isinstance(v, str) and f"({MEMORY})" in v and p not in s.formulas]


def rows_without_source(book: Book) -> list[str]:
    """Rows with a status whose source, in the column headed so beside it, is empty or not on sheet Sources."""
    known = _known_sources(book)
    found = []
    for sheet in book.sheets.values():
        heads = list(_columns(sheet, SOURCE))
        for row, column, _ in dict.fromkeys(_status_cells(sheet)):
            at = min((c for r, c in heads if r < row and abs(c - column) <= 3), key=lambda c: abs(c - column), default=None)
            if at is None:
                continue
            ids = str(sheet.values.get((row, at)) or "")
            if not ids or any(part.strip() not in known for part in ids.split(";")):
                found.append(f"{sheet.name}!{cell_name(row, at)}" + ("" if ids else " (empty)"))
    return found


def _known_sources(book: Book) -> set[str]:
    sheet = book.sheets.get(SOURCES)
    if sheet is None:
        return set()
    heads = [(r, c) for (r, c), v in sheet.values.items() if v == _ID]
    return {str(v) for (r, c), v in sheet.values.items() for row, column in heads if c == column and r > row}
