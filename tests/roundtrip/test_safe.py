"""What must not be read is refused in one sentence."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from workbookgen.model.errors import BadInput
from workbookgen.roundtrip.record import read_edited
from workbookgen.roundtrip.safe import look_over, read_safely


def plain(path: Path, **parts: bytes) -> Path:
    """A small workbook with further parts; dots in names are written as double underscores, folders as x."""
    book = openpyxl.Workbook()
    book.save(path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr("xl/" + name.replace("__", "."), data)
    return path


def ole(path: Path) -> None:
    path.write_bytes(bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600)


CASES: dict[str, tuple[Callable[[Path], object], str]] = {
    "no file": (lambda p: None, "no such file"),
    "a folder": (lambda p: p.mkdir(), "this is a folder"),
    "an encrypted or old file": (ole, "protected by a password or of an old format"),
    "a text": (lambda p: p.write_text("hello"), "not an .xlsx"),
    "macros": (lambda p: plain(p, vbaProject__bin=b"x"), "holds macros"),
    "an entity bomb": (lambda p: plain(p, bomb__xml=b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'), "declares a document type"),
    "a late document type": (lambda p: plain(p, late__xml=b"<!--" + b"x" * 3_000_000 + b"--><!DOCTYPE a []><a/>"), "declares a document type"),
    "UTF-16 parts": (lambda p: plain(p, wide__xml="<a/>".encode("utf-16")), "not UTF-8"),
    "a zip bomb": (lambda p: plain(p, zeros__bin=b"\0" * 30_000_000), "out of all proportion"),
    "a cut-off file": (lambda p: plain(p).write_bytes(plain(p).read_bytes()[:2000]), "book.xlsx"),
}


@pytest.mark.parametrize("case", CASES)
def test_what_must_not_be_read_is_refused(case: str, tmp_path: Path) -> None:
    make, words = CASES[case]
    path = tmp_path / "book.xlsx"
    make(path)
    with pytest.raises(BadInput, match=words) as caught:
        read_safely(path)
    assert "\n" not in str(caught.value)


def test_too_many_cells_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = openpyxl.Workbook()
    for row in range(40):
        book.active.append([row] * 5)  # type: ignore[union-attr]
    book.save(tmp_path / "many.xlsx")
    look_over(tmp_path / "many.xlsx")
    from workbookgen.roundtrip import safe

    rules = safe.load_rules("audit_rules")
    monkeypatch.setitem(rules, "reading", {**rules["reading"], "most_cells": 100})
    with pytest.raises(BadInput, match="more than 100 cells"):
        look_over(tmp_path / "many.xlsx")


def test_a_workbook_of_someone_else_cannot_be_extracted(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="not built by this program"):
        read_edited(plain(tmp_path / "other.xlsx"))
