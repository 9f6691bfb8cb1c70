"""Inputs that no file holds, back into the cells of a newly laid out book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.model.recipe import IngredientLine
from workbookgen.roundtrip.extract import Extracted, unplaced
from workbookgen.roundtrip.foods_map import FoodMap
from workbookgen.roundtrip.record import Block, Plain, Record, plain, read_record
from workbookgen.roundtrip.words import shown
from workbookgen.verify import read as files
from workbookgen.verify.values import split_cell_name
from workbookgen.workbook.book import LOOKUP, Book, Sheet
from workbookgen.workbook.record_fields import LINE
from workbookgen.workbook.record_sheet import CARD, RECIPE, SHEET


@dataclass(frozen=True, slots=True)
class Aside:
    """A line that the food table does not understand: its row on the old sheet (from 0), the line, the reason."""

    row: int
    line: IngredientLine
    why: str


def record_of(book: Book) -> Record:
    """The build record of a book that is laid out."""
    sheets = {}
    for sheet in book.sheets:
        data = files.Sheet(sheet.name)
        if sheet.name == SHEET:
            for (row, col), cell in sheet.cells.items():
                if cell.formula:
                    data.formulas[row + 1, col + 1] = cell.formula.removeprefix("=")
                elif cell.value not in ("", LOOKUP):
                    value = cell.value
                    data.values[row + 1, col + 1] = value if isinstance(value, str | bool) else float(value)  # type: ignore[arg-type]
        sheets[sheet.name] = data
    return read_record(files.Book(Path(SHEET), sheets, ()))


def put_back(book: Book, found: Extracted, foods: FoodMap, aside: Mapping[str, Sequence[Aside]],
             rows: Mapping[str, Sequence[int]]) -> tuple[list[str], bool]:
    """Put every input back that is not in the files, foods under the name they have now; returns what found no place,
    and whether any cell was changed."""
    writer = _Writer(book, found, record_of(book))
    for kept in found.kept:
        writer.other(kept.sheet, kept.cell, foods.name(kept.value) if isinstance(kept.value, str) else kept.value)
    writer.wrong(rows)
    for name, lines in aside.items():
        for each in lines:
            writer.line(name, each, rows)
    return list(dict.fromkeys(writer.lost)), writer.touched


class _Writer:
    """Finds the cell of the new book that stands for a cell of the old one."""

    def __init__(self, book: Book, found: Extracted, record: Record) -> None:
        self.found, self.record, self.old = found, record, found.edited.record
        self.sheets: dict[str, Sheet] = {s.name: s for s in book.sheets}
        self.lost: list[str] = []
        self.touched = False
        self.by_file = {t.parts[0]: t.name for t in record.tabs.values() if t.kind == RECIPE and t.parts}
        self.used: dict[str, int] = {}

    def new_tab(self, tab: str) -> str:
        """Tab of the new book for one of the old (its name when built), "" when there is none."""
        told = self.old.tabs.get(tab)
        if told is None:
            return ""
        if told.kind == CARD and told.parts:
            recipe = self.new_tab(told.parts[0])
            return next((t.name for t in self.record.tabs.values() if t.kind == CARD and t.parts == (recipe,)), "")
        name = self.found.tabs.get(told.now)
        if name is not None:
            return self.by_file.get(name, "")
        return tab if tab in self.record.tabs and self.record.tabs[tab].kind == told.kind else ""

    def put(self, tab: str, place: tuple[int, int], value: Plain) -> None:
        cell = self.sheets[tab].cells[place[0] - 1, place[1] - 1]
        cell.value = "" if value is None else value
        self.touched = True

    def other(self, tab: str, cell: str, value: Plain) -> None:
        """An input without a field: the same cell of the same sheet, when that is such an input there, too."""
        new, place = self.new_tab(tab), split_cell_name(cell)
        free = any(not b.field and place in b.places for b in self.record.blocks_of(new)) if new else False
        if free:
            self.put(new, place, value)
        else:
            self.lost.append(f"{tab}!{cell}: {shown(value)} finds no such input in the new book")

    def wrong(self, rows: Mapping[str, Sequence[int]]) -> None:
        """What was typed into fields and fits no file, as it was typed."""
        edited = self.found.edited
        like = {t.now: t.name for t in self.old.tabs.values() if t.now} | {now: tab for tab, now in self.found.origin.values()}
        for sheet, cell in sorted({(x.sheet, x.cell) for x in unplaced(self.found) if x.value}):
            tab = like.get(sheet)
            if tab is None:
                self.lost.append(f"{sheet}: a sheet the build did not make is not carried over; extract lists its contents")
                continue
            place = split_cell_name(cell)
            block = next((b for b in self.old.blocks_of(tab) if place in b.places and b.field), None)
            if block is not None:
                value = edited.values(block, edited.book.sheets.get(sheet))[block.places.index(place)]
                self._field(sheet, block, self._index(tab, block.field, place), value, rows)

    def _index(self, tab: str, name: str, place: tuple[int, int]) -> int:
        return [p for b in self.old.blocks_of(tab) if b.field == name for p in b.places].index(place)

    def _field(self, sheet: str, block: Block, index: int, value: Plain, rows: Mapping[str, Sequence[int]]) -> None:
        name = self.found.tabs.get(sheet, "")
        new = self.by_file.get(name, "") if name else self.new_tab(block.tab)
        if block.field.startswith(LINE) and name in rows:
            if index not in rows[name]:
                return  # the whole line stands aside and comes back with it, or its row was emptied
            index = list(rows[name]).index(index)
        places = [p for b in self.record.blocks_of(new) if b.field == block.field for p in b.places] if new else []
        if index < len(places):
            self.put(new, places[index], value)
        else:
            self.lost.append(f"{sheet}: {block.field} {shown(value)} finds no such input in the new book")

    def line(self, name: str, aside: Aside, rows: Mapping[str, Sequence[int]]) -> None:
        """A line that is not understood, after the others, as it was typed but for a new name of its food."""
        new = self.by_file.get(name, "")
        at = self.used.get(name, len(rows[name]))
        there = _lines(self.record, new) if new else {}
        if not there or at >= len(there["food"]):
            self.lost.append(f"{name}: the line '{aside.line.food}' finds no free row ({aside.why})")
            return
        self.used[name] = at + 1
        tab, now = self.found.origin[name]
        sheet = self.found.edited.book.sheets[now]
        for key, places in _lines(self.old, tab).items():
            value = plain(sheet, places[aside.row])
            if key in there:
                self.put(new, there[key][at], aside.line.food if key == "food" and aside.line.food else value)
        self.lost.append(f"{new}: the line '{aside.line.food}' needs mending and stands last now ({aside.why})")


def _lines(record: Record, tab: str) -> dict[str, list[tuple[int, int]]]:
    """Places of the ingredient columns of a tab."""
    found: dict[str, list[tuple[int, int]]] = {}
    for block in record.blocks_of(tab):
        if block.field.startswith(LINE):
            found.setdefault(block.field.removeprefix(LINE), []).extend(block.places)
    return found
