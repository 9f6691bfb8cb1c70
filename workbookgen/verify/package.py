"""An .xlsx file as a package of XML parts: where the sheets are, and how to copy it with changed cells.

The parts and their names follow ECMA-376 (Office Open XML): part 2 for the package and its
relationships, part 1 section 18 for workbook, sheet and shared-string parts.
"""

from __future__ import annotations

import lzma
import posixpath
import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from html import escape, unescape
from pathlib import Path
from xml.etree import ElementTree

from workbookgen.model.errors import BadInput

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_OFFICE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_PACKAGE = "{http://schemas.openxmlformats.org/package/2006/relationships}"
_OFFICE_TYPE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"


#: What the readers of zip and XML raise for a damaged package, beside ``BadInput``.
DAMAGED = (
    ElementTree.ParseError, zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, OSError,
    NotImplementedError, RuntimeError, LookupError, ValueError, OverflowError,
)  # fmt: skip


@dataclass(frozen=True)
class SheetPart:
    """One worksheet: its tab, the part that holds it, and its state (visible, hidden, veryHidden)."""

    name: str
    part: str
    state: str


@dataclass(frozen=True)
class DefinedName:
    """A defined name: what it stands for, and the sheet it is confined to (None for the whole workbook)."""

    name: str
    text: str
    sheet: str | None


@dataclass(frozen=True)
class Layout:
    """Sheets and names of a workbook, in file order."""

    sheets: tuple[SheetPart, ...]
    names: tuple[DefinedName, ...]
    strings: str | None


def open_package(path: Path) -> zipfile.ZipFile:
    """Open a workbook for reading; ``BadInput`` when there is no such file or it is no .xlsx."""
    if not path.is_file():
        raise BadInput(path.name, f"there is no such file: {path}; give the path of an .xlsx workbook")
    try:
        package = zipfile.ZipFile(path)
    except DAMAGED as error:
        raise BadInput(path.name, "this is not an .xlsx workbook; save it as .xlsx and try again") from error
    if "[Content_Types].xml" not in package.namelist():
        package.close()
        raise BadInput(path.name, "this is not an .xlsx workbook; save it as .xlsx and try again")
    return package


def _relations(package: zipfile.ZipFile, part: str) -> dict[str, tuple[str, str]]:
    """Relationship id -> (kind, target part) of one part."""
    folder, leaf = posixpath.split(part)
    source = posixpath.join(folder, "_rels", leaf + ".rels")
    if source not in package.namelist():
        return {}
    found = {}
    for node in ElementTree.fromstring(package.read(source)).iter(f"{_PACKAGE}Relationship"):
        target = node.get("Target", "")
        absolute = target.lstrip("/") if target.startswith("/") else posixpath.join(folder, target)
        kind = node.get("Type", "").removeprefix(_OFFICE_TYPE)
        found[node.get("Id", "")] = (kind, posixpath.normpath(absolute))
    return found


def read_layout(package: zipfile.ZipFile) -> Layout:
    """Sheets, defined names and the shared-strings part of an open workbook."""
    label = Path(package.filename or "workbook").name
    book = next((target for kind, target in _relations(package, "").values() if kind == "officeDocument"), "")
    if book not in package.namelist():
        raise BadInput(label, "no workbook part that can be read; save it as a normal .xlsx")
    relations = _relations(package, book)
    root = ElementTree.fromstring(package.read(book))
    sheets = []
    for node in root.iter(f"{MAIN}sheet"):
        kind, part = relations.get(node.get(f"{_OFFICE}id", ""), ("", ""))
        if kind == "worksheet":
            sheets.append(SheetPart(node.get("name", ""), part, node.get("state", "visible")))
    if not sheets:
        raise BadInput(label, "the workbook has no worksheet that can be read; save it as a normal .xlsx")
    tabs = [node.get("name", "") for node in root.iter(f"{MAIN}sheet")]
    names = []
    for node in root.iter(f"{MAIN}definedName"):
        scope = node.get("localSheetId")
        sheet = tabs[int(scope)] if scope is not None else None
        names.append(DefinedName(node.get("name", ""), (node.text or "").strip(), sheet))
    strings = next((part for kind, part in relations.values() if kind == "sharedStrings"), None)
    return Layout(tuple(sheets), tuple(names), strings)


@dataclass(frozen=True)
class FormulaCell:
    """A formula cell as it stands in the file: unescaped formula and stored text (None: nothing stored)."""

    sheet: str
    name: str
    kind: str
    formula: str
    stored: str | None


@dataclass(frozen=True)
class NewCell:
    """What to write in its place; ``stored`` None writes no stored value at all."""

    kind: str
    formula: str
    stored: str | None


_CELL = re.compile(
    r"<c\b(?P<attributes>[^>]*?)>"
    r"(?P<f><f\b[^>]*?/>|<f\b[^>]*?>[^<]*</f>)"
    r"(?P<v><v\b[^>]*?/>|<v\b[^>]*?>[^<]*</v>)?"
    r"</c>"
)
_NAME = re.compile(r'\br="([A-Z]+[0-9]+)"')
_TYPE = re.compile(r'\s+t="([a-zA-Z]+)"')
_INNER = re.compile(r"^<[^>]*>([^<]*)<")


def _inner(element: str) -> str:
    match = _INNER.match(element)
    return unescape(match.group(1)) if match else ""


def copy_with_changes(
    source: Path,
    target: Path,
    change: Callable[[FormulaCell], NewCell | None],
    compression: int = zipfile.ZIP_STORED,
) -> None:
    """Copy a workbook, letting ``change`` replace formula cells (None keeps the cell as it is).

    Cells are found in the plain notation that XlsxWriter, Excel and LibreOffice write; whatever else
    is in the package is copied byte for byte, with the same file times, so equal input gives equal output.
    """
    with open_package(source) as package, zipfile.ZipFile(target, "w", compression) as copy:
        by_part = {sheet.part: sheet.name for sheet in read_layout(package).sheets}
        for item in package.infolist():
            content = package.read(item)
            if item.filename in by_part:
                sheet = by_part[item.filename]
                content = _changed(content.decode("utf-8"), sheet, change).encode("utf-8")
            entry = zipfile.ZipInfo(item.filename, item.date_time)
            copy.writestr(entry, content, compress_type=compression)


def _changed(xml: str, sheet: str, change: Callable[[FormulaCell], NewCell | None]) -> str:
    def replace(match: re.Match[str]) -> str:
        attributes, element, stored = match.group("attributes", "f", "v")
        name, kind = _NAME.search(attributes), _TYPE.search(attributes)
        old = FormulaCell(
            sheet,
            name.group(1) if name else "",
            kind.group(1) if kind else "n",
            _inner(element),
            None if stored is None else _inner(stored),
        )
        new = change(old)
        if new is None:
            return match.group(0)
        text = escape(new.formula, quote=False)
        if new.formula == old.formula:
            formula = element
        elif element.endswith("/>"):
            formula = f"<f>{text}</f>"
        else:
            formula = element[: element.index(">") + 1] + text + "</f>"
        value = "" if new.stored is None else f"<v>{escape(new.stored, quote=False)}</v>"
        mark = "" if new.kind == "n" else f' t="{new.kind}"'
        return f"<c{_TYPE.sub('', attributes)}{mark}>{formula}{value}</c>"

    return _CELL.sub(replace, xml)


STALE = "stored value withheld from the engine"
"""Put in place of every stored result before an engine sees the file."""


def copy_without_results(source: Path, target: Path) -> None:
    """Copy a workbook with every stored result replaced by the text ``STALE``.

    Engines are given this copy: one that answers from the file instead of calculating cannot agree.
    """
    copy_with_changes(source, target, lambda cell: NewCell("str", cell.formula, STALE))
