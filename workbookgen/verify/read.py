"""Reads a workbook: formulas, constants, stored results, names. Nothing is calculated here.

Cell notation: ECMA-376 part 1, 18.3.1.4 (c), 18.3.1.40 (f), 18.3.1.96 (v), 18.4.8 (shared strings).
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree import ElementTree

from openpyxl.formula.translate import Translator

from workbookgen.model.errors import BadInput
from workbookgen.verify.package import DAMAGED, MAIN, DefinedName, SheetPart, open_package, read_layout
from workbookgen.verify.values import ErrorValue, Scalar, cell_name, split_cell_name

Stored = Scalar | ErrorValue
Place = tuple[int, int]


@dataclass
class Sheet:
    """One worksheet as it stands in the file; places are (row, column) counted from 1.

    ``formulas`` hold the text without the leading ``=``; ``values`` hold constants and stored results
    alike; ``unstored`` are formulas without a stored result; ``arrays`` map the first cell of an array
    formula to its range; ``spills`` are further cells that an array formula fills; ``odd`` are
    formulas of kinds that are not understood (data tables), with a phrase; ``dynamic`` are cells that
    point to cell metadata (dynamic arrays).
    """

    name: str
    state: str = "visible"
    formulas: dict[Place, str] = field(default_factory=dict)
    values: dict[Place, Stored] = field(default_factory=dict)
    unstored: set[Place] = field(default_factory=set)
    arrays: dict[Place, str] = field(default_factory=dict)
    spills: set[Place] = field(default_factory=set)
    odd: dict[Place, str] = field(default_factory=dict)
    dynamic: list[Place] = field(default_factory=list)


@dataclass
class Book:
    """A workbook as it stands in the file."""

    path: Path
    sheets: dict[str, Sheet]
    names: tuple[DefinedName, ...]

    @property
    def formula_count(self) -> int:
        """Number of formula cells in all sheets."""
        return sum(len(sheet.formulas) for sheet in self.sheets.values())


_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


def unescape_text(text: str) -> str:
    """Undo the ``_xHHHH_`` notation for characters XML cannot hold (ECMA-376 part 1, 22.9.2.19).

    >>> unescape_text("a_x000A_b")
    'a\\nb'
    """
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda match: chr(int(match.group(1), 16)), text)


def _shared_strings(package: zipfile.ZipFile, part: str | None) -> list[str]:
    if part is None or part not in package.namelist():
        return []
    found = []
    with package.open(part) as stream:
        for _, node in ElementTree.iterparse(stream):
            if node.tag == f"{MAIN}si":
                found.append(unescape_text(_rich_text(node)))
                node.clear()
    return found


def _rich_text(node: ElementTree.Element) -> str:
    """Text of a string item: its own and that of its runs, without phonetic hints."""
    parts = []
    for child in node:
        if child.tag == f"{MAIN}t":
            parts.append(child.text or "")
        elif child.tag == f"{MAIN}r":
            parts.extend(run.text or "" for run in child.iter(f"{MAIN}t"))
    return "".join(parts)


def _value(kind: str, text: str, strings: list[str]) -> Stored:
    if kind == "n":
        return float(text) if text else None
    if kind == "s":
        return strings[int(text)]
    if kind == "b":
        return text.strip() in ("1", "true")
    if kind == "e":
        return ErrorValue(text.strip())
    return unescape_text(text)


class _SheetReader:
    """Fills one ``Sheet`` from the cells of its part."""

    def __init__(self, sheet: Sheet, strings: list[str], label: str) -> None:
        self.sheet, self.strings, self.label = sheet, strings, label
        self.shared: dict[str, tuple[str, str]] = {}

    def read(self, stream: zipfile.ZipExtFile | object) -> None:
        row = column = 0
        row_tag, cell_tag = f"{MAIN}row", f"{MAIN}c"
        holder: ElementTree.Element | None = None
        for event, node in ElementTree.iterparse(stream, events=("start", "end")):  # type: ignore[arg-type]
            tag = node.tag
            if tag == cell_tag:
                if event == "end":
                    reference = node.get("r")
                    row, column = split_cell_name(reference) if reference else (row, column + 1)
                    if len(node):
                        self._cell(node, (row, column))
            elif tag == row_tag:
                if event == "start":
                    row, column = int(node.get("r", row + 1)), 0
                else:
                    node.clear()
            elif tag == f"{MAIN}sheetData":
                if event == "start":
                    holder = node
                elif holder is not None:
                    holder.clear()

    def _cell(self, node: ElementTree.Element, place: Place) -> None:
        kind = node.get("t", "n")
        formula = stored = inline = None
        for child in node:
            if child.tag == f"{MAIN}v":
                stored = child.text or ""
            elif child.tag == f"{MAIN}f":
                formula = child
            elif child.tag == f"{MAIN}is":
                inline = child
        if formula is not None:
            self._formula(formula, place)
            if stored is None:
                self.sheet.unstored.add(place)
        if node.get("cm"):
            self.sheet.dynamic.append(place)
        try:
            if inline is not None:
                self.sheet.values[place] = unescape_text(_rich_text(inline))
            elif stored is not None:
                value = _value(kind, stored, self.strings)
                if value is not None:
                    self.sheet.values[place] = value
        except (ValueError, IndexError) as error:
            where = f"{self.label}, sheet '{self.sheet.name}', cell {cell_name(*place)}"
            raise BadInput(where, f"the value '{stored}' cannot be read; build it again") from error

    def _formula(self, node: ElementTree.Element, place: Place) -> None:
        sheet, kind, text = self.sheet, node.get("t", "normal"), node.text or ""
        if kind == "shared":
            group = node.get("si", "")
            if text:
                self.shared[group] = (text, cell_name(*place))
            else:
                text = self._follow(group, place)
        elif kind == "array":
            area = node.get("ref", cell_name(*place))
            sheet.arrays[place] = area
            sheet.spills.update(_other_places(area, place))
        elif kind != "normal":
            sheet.odd[place] = f"formula of kind '{kind}'"
        sheet.formulas[place] = unescape_text(text)

    def _follow(self, group: str, place: Place) -> str:
        """Formula of a cell that shares another cell's formula, its references shifted."""
        if group not in self.shared:
            self.sheet.odd[place] = "shared formula without its first cell"
            return ""
        text, origin = self.shared[group]
        moved: str = Translator("=" + text, origin=origin).translate_formula(cell_name(*place))
        return moved[1:]


def _other_places(area: str, first: Place) -> set[Place]:
    start, _, end = area.replace("$", "").partition(":")
    (top, left), (bottom, right) = split_cell_name(start), split_cell_name(end or start)
    every = {(row, column) for row in range(top, bottom + 1) for column in range(left, right + 1)}
    return every - {first}


def read_book(path: Path | str) -> Book:
    """Read a workbook; ``BadInput`` when it is missing, is no .xlsx or holds XML that cannot be parsed."""
    path = Path(path)
    with open_package(path) as package:
        try:
            layout = read_layout(package)
            strings = _shared_strings(package, layout.strings)
            sheets = {part.name: _read_sheet(package, part, strings) for part in layout.sheets}
        except DAMAGED as error:
            raise BadInput(path.name, f"the file is damaged ({error}); build or save it again") from error
    return Book(path, sheets, layout.names)


def _read_sheet(package: zipfile.ZipFile, part: SheetPart, strings: list[str]) -> Sheet:
    sheet = Sheet(part.name, part.state)
    with package.open(part.part) as stream:
        _SheetReader(sheet, strings, Path(package.filename or "workbook").name).read(stream)
    return sheet
