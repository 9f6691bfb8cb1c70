"""Rules for what stands round the cells: tabs, names, validations, headers, conditional formats, parts."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from typing import Any, NamedTuple
from xml.etree import ElementTree

from workbookgen.verify.package import DefinedName, Layout, SheetPart
from workbookgen.verify.read import unescape_text
from workbookgen.verify.tokens import as_area


class PackageFault(NamedTuple):
    """A broken rule, the sheet and the cells it concerns (empty for the workbook), and what breaks it."""

    rule: str
    sheet: str
    cell: str
    detail: str


class OtherFormula(NamedTuple):
    """A formula outside the cells: the sheet and range it serves and its text without ``=``."""

    sheet: str
    cells: str
    formula: str


def tab_faults(layout: Layout, rules: dict[str, Any]) -> Iterator[PackageFault]:
    """Tabs that are too long, hold unsafe characters, are reserved, twice there or hidden."""
    seen: set[str] = set()
    for sheet in layout.sheets:
        name = sheet.name
        if len(name) > rules["limits"]["tab"]["max"]:
            yield PackageFault("tab too long", name, "", f"{len(name)} characters")
        unsafe = [character for character in rules["tabs"]["forbidden"] if character in name]
        if unsafe:
            yield PackageFault("unsafe character in a tab", name, "", " ".join(unsafe))
        if name.lower() in rules["tabs"]["reserved"]:
            yield PackageFault("reserved tab name", name, "", name)
        if name.lower() in seen:
            yield PackageFault("tab name used twice", name, "", name)
        seen.add(name.lower())
        if sheet.state != "visible":
            yield PackageFault("hidden sheet", name, "", sheet.state)


_LIKE_A_CELL = re.compile(r"[A-Za-z]{1,3}[0-9]+|[Rr][0-9]*([Cc][0-9]*)?|[Cc][0-9]*|true|false", re.IGNORECASE)


def name_faults(names: tuple[DefinedName, ...], rules: dict[str, Any]) -> Iterator[PackageFault]:
    """Defined names that are twice there, look like a cell, hold odd characters or are no plain range."""
    seen: set[tuple[str, str | None]] = set()
    everywhere = {name.name.lower() for name in names if name.sheet is None}
    for name in names:
        if name.name in rules["names"]["built_in"]:
            continue
        sheet, key = name.sheet or "", (name.name.lower(), name.sheet)
        if key in seen or (name.sheet is not None and name.name.lower() in everywhere):
            yield PackageFault("name defined twice", sheet, "", name.name)
        seen.add(key)
        odd = not re.fullmatch(rules["names"]["pattern"], name.name) or _LIKE_A_CELL.fullmatch(name.name)
        if odd:
            yield PackageFault("unsafe defined name", sheet, "", name.name)
        if as_area(name.text) is None:
            yield PackageFault("name that is no plain range", sheet, "", f"{name.name} = {name.text}")


def part_faults(package: zipfile.ZipFile, rules: dict[str, Any]) -> Iterator[PackageFault]:
    """Parts that a plain workbook does not have: macros, links to other workbooks, tables and the like."""
    parts = package.namelist()
    for pattern, what in rules["package"].items():
        found = [part for part in parts if pattern in part]
        if found:
            yield PackageFault("part that must not be there", "", "", f"{what} ({found[0]})")
    if b"macroEnabled" in package.read("[Content_Types].xml"):
        yield PackageFault("part that must not be there", "", "", "macros (the file says it holds macros)")


def _local(node: ElementTree.Element) -> str:
    return str(node.tag).rpartition("}")[2]


def after_cells(package: zipfile.ZipFile, sheet: SheetPart) -> ElementTree.Element:
    """What follows the cells in a sheet part, parsed without reading the cells again."""
    xml = package.read(sheet.part).decode("utf-8")
    start = xml.index("<", xml.index("<worksheet") if "<worksheet" in xml else 0)
    head = xml[start : xml.index(">", start) + 1]
    end = xml.rfind("</sheetData>")
    if end >= 0:
        tail = xml[end + len("</sheetData>") :]
    else:
        mark = xml.find("<sheetData/>")
        if mark < 0:
            return ElementTree.fromstring(xml)
        tail = xml[mark + len("<sheetData/>") :]
    return ElementTree.fromstring(head + tail)


_HEADERS = ("oddHeader", "oddFooter", "evenHeader", "evenFooter", "firstHeader", "firstFooter")


def sheet_faults(root: ElementTree.Element, sheet: str, rules: dict[str, Any]) -> Iterator[PackageFault]:
    """Headers, footers, validation messages and titles that are too long for Excel."""
    limits = rules["limits"]
    for node in root.iter():
        kind = _local(node)
        if kind in _HEADERS:
            length = len(unescape_text(node.text or ""))
            if length > limits["header_footer"]["max"]:
                yield PackageFault("header or footer too long", sheet, "", f"{kind}: {length} characters")
        elif kind == "dataValidation":
            yield from _validation_faults(node, sheet, limits)


_MESSAGES = {
    "prompt": "validation_prompt",
    "error": "validation_error",
    "promptTitle": "validation_title",
    "errorTitle": "validation_title",
}


def _cells(node: ElementTree.Element) -> str:
    """Cells that a validation or a conditional format serves."""
    inside = next((child.text or "" for child in node.iter() if _local(child) == "sqref"), "")
    return node.get("sqref", inside)


def _validation_faults(
    node: ElementTree.Element, sheet: str, limits: dict[str, Any]
) -> Iterator[PackageFault]:
    for attribute, limit in _MESSAGES.items():
        length = len(unescape_text(node.get(attribute, "")))
        if length > limits[limit]["max"]:
            detail = f"{attribute}: {length} characters"
            yield PackageFault("validation message too long", sheet, _cells(node), detail)
    for formula in _formulas(node):
        length = len(formula)
        if length > limits["validation_formula"]["max"]:
            yield PackageFault("validation formula too long", sheet, _cells(node), f"{length} characters")


def _formulas(node: ElementTree.Element) -> Iterator[str]:
    for child in node.iter():
        if _local(child) in ("formula1", "formula2", "formula", "f") and (child.text or "").strip():
            yield unescape_text(child.text or "").strip()


def other_formulas(root: ElementTree.Element, sheet: str) -> Iterator[OtherFormula]:
    """Formulas of validations and conditional formats."""
    for node in root.iter():
        if _local(node) in ("dataValidation", "conditionalFormatting"):
            for formula in dict.fromkeys(_formulas(node)):
                yield OtherFormula(sheet, _cells(node), formula)
