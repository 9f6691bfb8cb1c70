"""Opening a workbook that came from elsewhere: what is dangerous or no workbook is refused in one sentence.

Nothing of a workbook is ever run or followed: macros, links and external data are only noticed. Refused before
any XML is parsed: encrypted files and old formats (OLE compound files, [MS-OFFCRYPTO] 2.2 and [MS-CFB] 2.2 for
their first eight bytes), macro workbooks, parts that unpack out of all proportion, document type definitions
(where entity bombs live; ECMA-376 part 2, 8.1.4 forbids them in a package).
"""

from __future__ import annotations

import zipfile
from pathlib import Path

from workbookgen.model.collector import collector_paused
from workbookgen.model.errors import BadInput
from workbookgen.verify.package import DAMAGED, open_package
from workbookgen.verify.read import Book, read_book
from workbookgen.verify.rules import load_rules

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_UTF16 = (b"\xff\xfe", b"\xfe\xff", b"<\x00", b"\x00<")
_DTD = (b"<!DOCTYPE", b"<!ENTITY")
_STEP = 1 << 20
_CELL = b"<c "


def read_safely(path: Path) -> Book:
    """Read a workbook after looking it over. Raises ``BadInput`` with one sentence."""
    look_over(path)
    try:
        with collector_paused():
            return read_book(path)
    except DAMAGED as error:
        raise BadInput(path.name, f"the file is damaged ({error}); open it in a spreadsheet program and save it again") from error


def look_over(path: Path) -> None:
    """Refuse what must not be read. Raises ``BadInput`` with one sentence."""
    rules = load_rules("audit_rules")["reading"]
    if path.is_dir():
        raise BadInput(path.name, "this is a folder; give a workbook (.xlsx)")
    if path.is_file():
        with path.open("rb") as file:
            start = file.read(8)
        if start == _OLE:
            raise BadInput(path.name, "the file is protected by a password or of an old format; open it in a spreadsheet program "
                                      "and save it as .xlsx without a password")
        if path.stat().st_size > rules["most_bytes"]:
            raise BadInput(path.name, f"the file is above {rules['most_bytes']:,} bytes, far larger than any workbook of ours")
    with open_package(path) as package:
        _look_over_parts(package, path.name, rules)


def _look_over_parts(package: zipfile.ZipFile, name: str, rules: dict[str, int]) -> None:
    parts = package.infolist()
    if len(parts) > rules["most_parts"]:
        raise BadInput(name, f"the file has {len(parts):,} parts, far more than any workbook of ours")
    if any(p.flag_bits & 0x1 for p in parts):
        raise BadInput(name, "parts of the file are protected by a password; save it again without one")
    if any(p.filename.lower().endswith("vbaproject.bin") for p in parts):
        raise BadInput(name, "the file holds macros, which are never read; save it as .xlsx, which drops them")
    whole = sum(p.file_size for p in parts)
    if whole > rules["most_unpacked_bytes"]:
        raise BadInput(name, f"the file unpacks to {whole:,} bytes, far more than any workbook of ours")
    for part in parts:
        if part.file_size > rules["ratio_above_bytes"] and part.file_size > rules["most_ratio"] * max(part.compress_size, 1):
            raise BadInput(name, f"a part of the file ({part.filename}) unpacks out of all proportion; it is not opened")
    cells = 0
    for part in parts:
        if part.filename.lower().endswith((".xml", ".rels", ".vml")):
            cells += _look_over_xml(package, part, name)
            if cells > rules["most_cells"]:
                raise BadInput(name, f"the file has more than {rules['most_cells']:,} cells, far more than any workbook of ours")


def _look_over_xml(package: zipfile.ZipFile, part: zipfile.ZipInfo, name: str) -> int:
    """Refuse document types and odd encodings; returns how many cells the part seems to hold."""
    cells, tail = 0, b""
    try:
        with package.open(part) as stream:
            while piece := stream.read(_STEP):
                if not tail and piece.startswith(_UTF16):
                    raise BadInput(name, f"a part of the file ({part.filename}) is not UTF-8 text; save the file again")
                piece = tail + piece
                if any(word in piece for word in _DTD):
                    raise BadInput(name, f"a part of the file ({part.filename}) declares a document type, which no workbook needs; "
                                         "it is not opened")
                cells += piece.count(_CELL) - tail.count(_CELL)
                tail = piece[-16:]
    except DAMAGED as error:
        raise BadInput(name, f"the file is damaged ({error}); open it in a spreadsheet program and save it again") from error
    return cells
