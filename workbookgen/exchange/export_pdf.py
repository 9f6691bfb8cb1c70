"""The cards of a workbook as one PDF, through LibreOffice: its own recalculation, only the card sheets.

LibreOffice prints every sheet of a workbook, hidden ones too. So it is given a copy in which each other sheet
has an empty cell as its print area; the card sheets keep theirs. A PDF holds the time it was made, so its bytes
differ from run to run.
"""

from __future__ import annotations

import re
import tempfile
import zipfile
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from xml.etree import ElementTree

from workbookgen.model.errors import BadInput
from workbookgen.model.place import put_bytes
from workbookgen.verify.libreoffice_engine import check_locale, convert, program
from workbookgen.verify.package import MAIN, Layout, open_package, read_layout
from workbookgen.verify.values import EngineMissing

#: How cell A1 of a card begins, and what it says while its recipe sheet is empty.
FORMULA, CARD, WAITING = '"Card: "&', "Card: ", "empty recipe"
PRINT_AREA, PRINT_TITLES = "_xlnm.Print_Area", "_xlnm.Print_Titles"
NOTHING = "$XFD$1048576"  # the last cell of a sheet, which is empty
HEAD = 200_000  # characters of a sheet in which its first row is found
MISSING = (
    "cards become a PDF through LibreOffice, and it is not installed here (no 'soffice' on the search path); "
    "install LibreOffice Calc, or open the workbook and print its card sheets"
)
_FIRST = re.compile(
    r'<c r="A1"[^>]*>\s*<f[^>]*>(?P<formula>[^<]*)</f>\s*(?:<v[^>]*>(?P<value>[^<]*)</v>)?', re.S
)
_COMPATIBILITY = "{http://schemas.openxmlformats.org/markup-compatibility/2006}"


@dataclass(frozen=True, slots=True)
class Cards:
    """Title of the recipe by tab of its card, and how many cards wait for a recipe."""

    titles: Mapping[str, str]
    waiting: int


def cards_to_pdf(workbook: Path, out: Path, title: str = "") -> int:
    """Print the cards of ``workbook``, or only that of ``title``, into the PDF ``out``; returns how many.

    Raises ``BadInput`` when the file is no workbook or holds no card with a recipe, when a card has lost its
    print area, when LibreOffice is missing, fails or takes too long, and when ``out`` cannot be written.
    """
    with open_package(workbook) as package:
        layout = read_layout(package)
        cards = find_cards(package, layout)
    tabs = [tab for tab, found in cards.titles.items() if not title or found == title]
    if not tabs:
        waits = " (its cards still wait for a recipe)" if cards.waiting else ""
        raise BadInput(workbook.name, f"no card with a recipe is found{waits}; build a workbook with recipes")
    areas = {name.sheet for name in layout.names if name.name == PRINT_AREA}
    for tab in tabs:
        if tab not in areas:
            what = "the card has lost its print area; mark its page and set the print area again"
            raise BadInput(f"{workbook.name}, sheet '{tab}'", what)
    soffice = printer()
    with tempfile.TemporaryDirectory(prefix="workbookgen-cards-") as folder:
        copy = Path(folder) / "cards.xlsx"
        copy_with_only(workbook, copy, tabs)
        put_bytes(out, convert(soffice, copy, check_locale(None), "pdf").read_bytes())
    return len(tabs)


def printer() -> str:
    """LibreOffice; raises ``BadInput`` where it is not installed."""
    try:
        return program()
    except EngineMissing as error:
        raise BadInput("pdf", MISSING) from error


def find_cards(package: zipfile.ZipFile, layout: Layout) -> Cards:
    """The card sheets of an open workbook, known by the formula in their first cell, without hidden ones."""
    titles: dict[str, str] = {}
    waiting = 0
    for sheet in layout.sheets:
        with package.open(sheet.part) as part:
            first = _FIRST.search(part.read(HEAD).decode("utf-8", "replace"))
        if first is None or sheet.state != "visible" or not unescape(first["formula"]).startswith(FORMULA):
            continue
        title = unescape(first["value"] or "").removeprefix(CARD)
        if title == WAITING:
            waiting += 1
        else:
            titles[sheet.name] = title
    return Cards(titles, waiting)


def copy_with_only(source: Path, target: Path, tabs: Collection[str]) -> None:
    """Copy a workbook so that only the sheets ``tabs`` print; for LibreOffice, not for people."""
    with open_package(source) as package, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as copy:
        for item in package.infolist():
            content = package.read(item)
            if item.filename.endswith("workbook.xml"):
                content = _only(content, tabs)
            copy.writestr(item, content)


def _only(xml: bytes, tabs: Collection[str]) -> bytes:
    """The workbook part with empty print areas for all sheets but ``tabs``."""
    root = ElementTree.fromstring(xml)
    for child in list(root):
        if child.tag.startswith(_COMPATIBILITY):
            root.remove(child)
    for key in [key for key in root.attrib if key.startswith(_COMPATIBILITY)]:
        del root.attrib[key]
    sheets = root.find(f"{MAIN}sheets")
    names = root.find(f"{MAIN}definedNames")
    if sheets is None:
        return xml
    if names is None:
        names = ElementTree.Element(f"{MAIN}definedNames")
        root.insert(list(root).index(sheets) + 1, names)
    others = {str(i): s.get("name", "") for i, s in enumerate(sheets) if s.get("name") not in tabs}
    for name in list(names):
        if name.get("name") in (PRINT_AREA, PRINT_TITLES) and name.get("localSheetId") in others:
            names.remove(name)
    for number, tab in others.items():
        area = ElementTree.SubElement(names, f"{MAIN}definedName", name=PRINT_AREA, localSheetId=number)
        area.text = f"{quoted(tab)}!{NOTHING}"
    written: bytes = ElementTree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return written


def quoted(tab: str) -> str:
    """A sheet name as formulas write it."""
    return "'" + tab.replace("'", "''") + "'"
