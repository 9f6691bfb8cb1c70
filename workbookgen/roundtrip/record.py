"""The build record of a workbook as data, and what the input cells hold now.

``read_edited`` opens a file safely, finds the sheet "Build record" and pairs every recorded block of inputs with
the cells of the file. Tabs that were renamed are found by the formulas on that sheet, which followed the rename.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput
from workbookgen.roundtrip.safe import read_safely
from workbookgen.verify.read import Book, Sheet, Stored
from workbookgen.verify.tokens import split_sheet
from workbookgen.verify.values import ErrorValue, cell_name, split_cell_name
from workbookgen.workbook.record_sheet import (
    BOOK,
    COLUMNS,
    FILE,
    FIRST,
    FORMAT,
    HEAD,
    HEADS,
    INPUT,
    ROWS,
    SHEET,
    TAB,
)
from workbookgen.workbook.record_sums import Sums, from_text

Plain = float | str | bool | None
_FORMULA = re.compile(r"^(?P<sheet>.+)!\$?A\$?1&\"\"$")
_FORMAT_WORDS = FORMAT.rsplit(" ", 1)[0]


@dataclass(frozen=True, slots=True)
class Block:
    """A recorded run of input cells: field ("" for inputs that no file holds), places (row, column from 1), values
    when built, names of its parts."""

    tab: str
    field: str
    places: tuple[tuple[int, int], ...]
    built: tuple[Plain, ...]
    keys: tuple[str, ...] = ()


@dataclass
class Tab:
    """A sheet of the build: its tab then and now ("" when it is gone), its kind and what belongs to it."""

    name: str
    kind: str
    parts: tuple[str, ...] = ()
    now: str = ""


@dataclass
class Record:
    """Everything the sheet "Build record" tells; ``unsummed`` are tabs whose check sums cannot be read."""

    facts: dict[str, str] = field(default_factory=dict)
    tabs: dict[str, Tab] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    sums: dict[str, Sums] = field(default_factory=dict)
    unsummed: list[str] = field(default_factory=list)

    def blocks_of(self, tab: str) -> list[Block]:
        """Blocks of one tab (its name when built)."""
        return [b for b in self.blocks if b.tab == tab]


@dataclass(frozen=True, slots=True)
class Edited:
    """A workbook with its build record."""

    path: Path
    book: Book
    record: Record

    def sheet(self, tab: str) -> Sheet | None:
        """The sheet that bore this tab when built, wherever it is now."""
        return self.book.sheets.get(self.record.tabs[tab].now)

    def values(self, block: Block, sheet: Sheet | None = None) -> list[Plain]:
        """What the cells of a block hold now; None for empty ones. ``sheet`` reads them on a copy of the sheet."""
        there = sheet or self.sheet(block.tab)
        if there is None:
            return list(block.built)
        return [plain(there, place) for place in block.places]


def plain(sheet: Sheet, place: tuple[int, int]) -> Plain:
    """Content of an input cell; a formula typed there counts as its result, or as its text where it has none."""
    value: Stored = sheet.values.get(place)
    if isinstance(value, ErrorValue) or (value is None and place in sheet.formulas):
        return "=" + sheet.formulas[place] if place in sheet.formulas else str(value)
    return None if value == "" else value


def read_edited(path: Path) -> Edited:
    """Open a workbook of ours. Raises ``BadInput`` for a file that cannot be read safely, that this program did
    not build, or whose build record is damaged."""
    book = read_safely(path)
    if not is_ours(book):
        raise BadInput(path.name, f"this workbook has no sheet '{SHEET}' of ours, so it was not built by this program "
                                  "or the sheet was deleted; give a workbook that still has it")
    try:
        record = read_record(book)
    except (ValueError, KeyError, TypeError, IndexError) as error:
        raise BadInput(path.name, f"the sheet '{SHEET}' was changed and cannot be read ({error}); "
                                  "take that sheet from the workbook as it was built") from error
    return Edited(path, book, record)


def is_ours(book: Book) -> bool:
    """Whether the workbook has a build record of a format that is known."""
    sheet = book.sheets.get(SHEET)
    if sheet is None:
        return False
    heads = [sheet.values.get((HEAD + 1, c)) for c in range(1, len(HEADS) + 1)]
    told = sheet.values.get((FIRST + 1, 5))
    return heads == [h for h, _ in HEADS] and isinstance(told, str) and told.startswith(_FORMAT_WORDS)


def _rows(sheet: Sheet) -> Iterator[tuple[int, list[str]]]:
    by_row: dict[int, dict[int, str]] = {}
    for (row, column), value in sheet.values.items():
        if row > FIRST and column <= len(HEADS):
            text = value if isinstance(value, str) else f"{value:.15g}" if isinstance(value, float) else str(value)
            by_row.setdefault(row, {})[column] = text
    for row in sorted(by_row):
        yield row, [by_row[row].get(c, "") for c in range(1, len(HEADS) + 1)]


def read_record(book: Book) -> Record:
    """The record of a workbook that has one; raises ValueError or KeyError where it is damaged."""
    sheet, record = book.sheets[SHEET], Record()
    lines: dict[str, dict[int, str]] = {}
    for row, (what, tab, name, cells, value, parts) in _rows(sheet):
        if what == BOOK:
            record.facts[name] = value
        elif what == TAB:
            now = _tab_now(sheet.formulas.get((row, 4), ""), tab, book)
            record.tabs[tab] = Tab(tab, name, tuple(json.loads(parts)) if parts else (), now)
        elif what == INPUT:
            record.blocks.append(_block(tab, name, cells, value, parts))
        elif what == FILE:
            number = int(cells)
            lines.setdefault(name, {})[number] = lines.get(name, {}).get(number, "") + value
        elif what in (ROWS, COLUMNS):
            sums = record.sums.setdefault(tab, Sums())
            try:
                (sums.rows if what == ROWS else sums.columns).update(from_text(int(cells), value))
            except ValueError:  # the inputs can still be read back
                record.unsummed.append(tab)
    if not record.tabs:
        raise ValueError("it lists no sheets")
    record.sums = {tab: sums for tab, sums in record.sums.items() if tab not in record.unsummed}
    record.files = {name: "\n".join(text.get(i, "") for i in range(1, max(text) + 1)) + "\n" for name, text in lines.items()}
    return record


def _block(tab: str, name: str, cells: str, value: str, parts: str) -> Block:
    start, _, end = cells.partition(":")
    (top, col), (bottom, _) = split_cell_name(start), split_cell_name(end or start)
    places = tuple((row, col) for row in range(top, bottom + 1))
    built: list[Any] = json.loads(value) if value else []
    built = [float(v) if isinstance(v, int) and not isinstance(v, bool) else v for v in built]
    if len(built) > len(places):
        raise ValueError(f"more values than cells for {tab} {cells}")
    built += [None] * (len(places) - len(built))
    return Block(tab, name, places, tuple(built), tuple(json.loads(parts)) if parts else ())


def _tab_now(formula: str, tab: str, book: Book) -> str:
    """Where the sheet is now: as the formula says, else under its old name; "" when it is gone."""
    found = _FORMULA.match(formula.replace("$", ""))
    if found:
        name, _ = split_sheet(found["sheet"] + "!A1")
        if name in book.sheets:
            return name
    return tab if tab in book.sheets and "#REF" not in formula else ""


def cell_of(place: tuple[int, int]) -> str:
    """Address such as C12."""
    return cell_name(*place)
