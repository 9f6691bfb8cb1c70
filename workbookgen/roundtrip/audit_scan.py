"""What cells do not tell: locks, protection, hidden rows and columns, links; read from the parts of the file."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from workbookgen.verify.package import read_layout

_XF = re.compile(rb"<(?:\w+:)?xf\b[^>]*?(?:/>|>.*?</(?:\w+:)?xf>)", re.S)
_CELL_FORMATS = re.compile(rb"<(?:\w+:)?cellXfs\b.*?</(?:\w+:)?cellXfs>", re.S)
_FORMULA_CELL = re.compile(rb"<(?:\w+:)?c ([^<>]*)><(?:\w+:)?f\b")
_STYLE = re.compile(rb'(?<![a-z])s="(\d+)"')
_ADDRESS = re.compile(rb'(?<![a-z])r="([A-Z]+[0-9]+)"')
_HIDDEN_ROW = re.compile(rb'<(?:\w+:)?row (?=[^<>]*hidden="(?:1|true)")[^<>]*(?<![a-z])r="(\d+)"')
_HIDDEN_COLUMN = re.compile(rb'<(?:\w+:)?col (?=[^<>]*hidden="(?:1|true)")[^<>]*(?<![a-z])min="(\d+)"')
_PROTECTED = re.compile(rb'<(?:\w+:)?sheetProtection\b[^<>]*\bsheet="(?:1|true)"')
_OUTSIDE = re.compile(rb'<Relationship\b[^<>]*TargetMode="External"[^<>]*>')
_TARGET = re.compile(rb'Target="([^"]*)"')
_LINK_PARTS = ("xl/externallinks/", "xl/connections", "xl/querytables/")


@dataclass
class Scan:
    """Places by sheet: formulas in unlocked cells, hidden rows ("row 3") and columns; sheets without protection;
    targets outside the file."""

    unlocked: list[tuple[str, str]] = field(default_factory=list)
    hidden: list[tuple[str, str]] = field(default_factory=list)
    unprotected: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)


def scan(path: Path) -> Scan:
    """Scan a file that was looked over before."""
    found = Scan()
    with zipfile.ZipFile(path) as package:
        names = package.namelist()
        layout = read_layout(package)
        styles = next((n for n in names if n.lower().endswith("xl/styles.xml")), "")
        free = _unlocked_formats(package.read(styles)) if styles else frozenset()
        for part in layout.sheets:
            data = package.read(part.part)
            found.unlocked += [(part.name, cell) for cell in _unlocked_formulas(data, free)]
            if part.state != "visible":
                found.hidden.append((part.name, f"the whole sheet ({part.state})"))
            found.hidden += [(part.name, f"row {r.decode()}") for r in _HIDDEN_ROW.findall(data)]
            found.hidden += [(part.name, f"from column {c.decode()}") for c in _HIDDEN_COLUMN.findall(data)]
            if not _PROTECTED.search(data):
                found.unprotected.append(part.name)
        found.outside += [n for n in names if n.lower().startswith(_LINK_PARTS)]
        for name in names:
            if name.endswith(".rels"):
                for relation in _OUTSIDE.findall(package.read(name)):
                    target = _TARGET.search(relation)
                    found.outside.append(target[1].decode("utf-8", "replace") if target else name)
    found.outside = sorted(dict.fromkeys(found.outside))
    return found


def _unlocked_formats(styles: bytes) -> frozenset[bytes]:
    """Numbers of cell formats whose cells stay open on a protected sheet (ECMA-376 part 1, 18.8.33)."""
    formats = _CELL_FORMATS.search(styles)
    if not formats:
        return frozenset()
    return frozenset(str(i).encode() for i, xf in enumerate(_XF.findall(formats[0])) if re.search(rb'\blocked="(?:0|false)"', xf))


def _unlocked_formulas(data: bytes, free: frozenset[bytes]) -> Iterator[str]:
    for attributes in _FORMULA_CELL.findall(data):
        style = _STYLE.search(attributes)
        if style and style[1] in free:
            address = _ADDRESS.search(attributes)
            yield address[1].decode() if address else "?"
