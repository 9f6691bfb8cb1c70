"""Reading the CSV tables strictly: every fault names the file and the row and says how to mend it.

A table is UTF-8 (a byte-order mark is accepted), comma separated, with one header row. Lines that start
with ``#`` before the header are remarks. Rows are numbered as a spreadsheet shows the file, remarks and
header included.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.model.errors import BadInput

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_NAMED_AT_MOST = 12
#: How sure a figure is: read in a published text, remembered, or worked out from figures that were read.
STATUSES = ("seen", "memory", "derived")
#: Columns of every table that say where a figure comes from.
PROVEN = ("source_id", "status", "note")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: ``number`` as a spreadsheet counts it, ``cells`` by column name."""

    file: str
    number: int
    cells: Mapping[str, str]

    @property
    def place(self) -> str:
        """Where the row stands, as error sentences name it ("units.csv row 14")."""
        return f"{self.file} row {self.number}"

    def bad(self, what: str) -> BadInput:
        """The error to raise for a fault of this row."""
        return BadInput(self.place, what)

    def text(self, column: str, *, blank: bool = False) -> str:
        """The words in ``column``; an empty cell is an error unless ``blank`` is allowed."""
        words = self.cells[column]
        if not words and not blank:
            raise self.bad(f"'{column}' is empty; fill it in")
        return words

    def number_in(self, column: str, low: float = -math.inf, high: float = math.inf) -> float:
        """The number in ``column``, which must lie between ``low`` and ``high`` (both included)."""
        value = self.number_or_none(column, low, high)
        if value is None:
            raise self.bad(f"'{column}' is empty; write a number")
        return value

    def number_or_none(self, column: str, low: float = -math.inf, high: float = math.inf) -> float | None:
        """As ``number_in``, but an empty cell means "not known" and gives None."""
        words = self.cells[column]
        if not words:
            return None
        if not _NUMBER.fullmatch(words):
            raise self.bad(f"'{column}' is '{words}', which is no number; write digits with a decimal point")
        value = float(words)
        if not low <= value <= high:
            raise self.bad(f"'{column}' is {words}; it must lie between {low:g} and {high:g}")
        return value

    def positive(self, column: str) -> float:
        """The number in ``column``, which must be more than 0."""
        value = self.number_in(column)
        if value <= 0:
            raise self.bad(f"'{column}' is {value:g}; it must be more than 0")
        return value

    def choice(self, column: str, allowed: Sequence[str]) -> str:
        """The word in ``column``, which must be one of ``allowed`` (which may hold the empty word)."""
        words = self.cells[column]
        if words not in allowed:
            raise self.bad(f"'{column}' is '{words}', which is not known; use {name_some(allowed)}")
        return words

    def yes(self, column: str) -> bool:
        """True for "yes", False for "no"."""
        return self.choice(column, ("yes", "no")) == "yes"

    def items(self, column: str, allowed: Sequence[str] | None = None) -> tuple[str, ...]:
        """The parts of a semicolon list, without repeats, each one of ``allowed`` when that is given."""
        parts = tuple(part.strip() for part in self.cells[column].split(";") if part.strip())
        if len(set(parts)) != len(parts):
            raise self.bad(f"'{column}' names something twice; name it once")
        for part in parts:
            if allowed is not None and part not in allowed:
                raise self.bad(f"'{column}' holds '{part}', which is not known; use {name_some(allowed)}")
        return parts


def proof(row: Row, sources: Container[str]) -> tuple[str, str]:
    """Source id and status of a row; the source must stand in sources.csv."""
    source_id = row.text("source_id")
    if source_id not in sources:
        raise row.bad(f"source '{source_id}' is not in sources.csv; add it there or correct the id")
    return source_id, row.choice("status", STATUSES)


def name_some(words: Sequence[str]) -> str:
    """The first few of ``words`` as an error sentence lists them."""
    shown = ", ".join(f"'{word}'" if word else "nothing" for word in words[:_NAMED_AT_MOST])
    return shown + (f" (and {len(words) - _NAMED_AT_MOST} more)" if len(words) > _NAMED_AT_MOST else "")


def csv_records(lines: Iterable[str], name: str) -> Iterator[list[str]]:
    """Records of CSV text as they stand. Raises ``BadInput`` for a cell longer than any table holds."""
    records = csv.reader(lines)
    try:
        yield from records
    except csv.Error as error:
        raise BadInput(f"{name} row {records.line_num}", f"not a proper CSV row ({error}); shorten its cells") from error


def read_rows(path: Path, columns: Sequence[str]) -> list[Row]:
    """All rows of the table at ``path``, whose header must name exactly ``columns`` in any order.

    Cells lose outer spaces (no-break spaces too); wholly empty rows are passed over. Raises ``BadInput``
    for a missing or unreadable file, a header that differs, and rows of the wrong length.
    """
    remarks, lines = _split_remarks(path)
    records = csv.reader(lines, strict=True)
    name, rows, number = path.name, [], remarks
    header: list[str] = []
    try:
        for number, record in enumerate(records, remarks + 1):
            cells = [cell.replace("\u00a0", " ").strip() for cell in record]
            if not header:
                header = cells
                _check_header(name, number, header, columns)
            elif any(cells):
                if len(cells) != len(header):
                    what = f'{len(cells)} cells where the header has {len(header)}; put commas in "quotes"'
                    raise BadInput(f"{name} row {number}", what)
                rows.append(Row(name, number, dict(zip(header, cells, strict=True))))
    except csv.Error as error:
        what = f"not a proper CSV row ({error}); check the quotes"
        raise BadInput(f"{name} row {number + 1}", what) from error
    if not header:
        raise BadInput(name, f"the table is empty; its first row must name {name_some(columns)}")
    return rows


def _split_remarks(path: Path) -> tuple[int, list[str]]:
    """How many remark lines come before the header, and the lines from the header on."""
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines(keepends=True)
    except FileNotFoundError as error:
        raise BadInput(path.name, "the file is missing; put it back or install the package again") from error
    except UnicodeDecodeError as error:
        raise BadInput(path.name, "the file is not UTF-8 text; save it as CSV UTF-8") from error
    remarks = 0
    while remarks < len(lines) and lines[remarks].lstrip('"').startswith("#"):
        remarks += 1
    return remarks, lines[remarks:]


def _check_header(name: str, number: int, header: Sequence[str], columns: Sequence[str]) -> None:
    place = f"{name} row {number}"
    if len(set(header)) != len(header):
        raise BadInput(place, "the header names a column twice; keep one of them")
    missing = [column for column in columns if column not in header]
    if missing:
        raise BadInput(place, f"the header lacks {name_some(missing)}; add the column")
    unknown = [column for column in header if column not in columns]
    if unknown:
        raise BadInput(place, f"the header has {name_some(unknown)}, which is not known; remove the column")


def only_once(rows: Sequence[Row], *columns: str) -> None:
    """Raise ``BadInput`` when two rows agree in all of ``columns``."""
    first: dict[tuple[str, ...], int] = {}
    for row in rows:
        key = tuple(row.cells[column] for column in columns)
        if key in first:
            raise row.bad(f"'{' | '.join(key)}' stands already in row {first[key]}; keep one of the two")
        first[key] = row.number
