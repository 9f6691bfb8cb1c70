"""Audit finds what was planted, and works on any workbook."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import openpyxl
import pytest

from tests.roundtrip.conftest import Edit, Small
from workbookgen.roundtrip.audit import Audit, audit, load_checks
from workbookgen.roundtrip.audit_page import audit_json, audit_page
from workbookgen.verify.patterns import Patterns, blocks, breaks, r1c1
from workbookgen.verify.read import read_book
from workbookgen.workbook.record_sheet import SHEET

POT = "Bean pot"


def counts(found: Audit) -> dict[str, int | str]:
    return {f.check.id: f.unknown or f.count for f in found.findings}


@pytest.fixture(scope="module")
def clean(small_book: Small) -> Audit:
    return audit(small_book.path)


@pytest.mark.long
def test_a_book_as_built_has_no_faults_and_tells_what_rests_on_memory(clean: Audit) -> None:
    told = counts(clean)
    assert (clean.ours, clean.faults) == (True, 0)
    assert told.pop("memory") > 0  # type: ignore[operator]
    assert told.pop("statements") == 1  # ticked in the file, and the kale is too little for it
    assert set(told.values()) == {0}
    assert "No faults." in audit_page(clean)
    assert [f["id"] for f in json.loads(audit_json(clean))["findings"]] == list(load_checks())


@pytest.mark.long
def test_the_sheet_audit_counts_as_the_command_does(clean: Audit, small_book: Small) -> None:
    sheet = read_book(small_book.path).sheets["Audit"]
    rows = {sheet.values[r, 1]: sheet.values[r, 2] for r in range(6, 6 + len(load_checks()))}
    for finding in clean.findings:
        if finding.check.id not in ("memory", "inputs"):
            assert rows[finding.check.title] == finding.count, finding.check.title
    assert rows[load_checks()["memory"].title] > 0  # type: ignore[operator]


@pytest.mark.long
def test_planted_faults_are_found_where_they_are(small_book: Small, edited: Edit) -> None:
    path = edited({
        (POT, "J20"): "formula:1+5.5", ("Foods", "B10"): "Tampered", ("Find", "B5"): "kale", (POT, "line.amount 1"): "formula:3+3",
    })  # fmt: skip
    found = audit(path)
    told = counts(found)
    by_id = {f.check.id: f.places for f in found.findings}
    assert found.faults == 3  # a weight on an empty line reads row 0 of Foods, which is an error
    assert told["errors"]
    assert [p.split(" now")[0] for p in by_id["changed_tables"]] == [f"{POT}!J20", "Foods!B10"]
    assert any(p.startswith(f"{POT}!J20 holds") for p in by_id["constants"])
    assert [p for p in by_id["unlocked"]] == [f"{POT}!D12"]
    assert f"{POT}!J20" in by_id["breaks"]
    assert told["stored"]  # the tool that changed the file did not recalculate
    assert told["inputs"] == 2


def test_a_book_of_someone_else_is_audited_and_told_apart(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 8):
        sheet.cell(row, 1).value = row
        sheet.cell(row, 2).value = f"=A{row}*2.5" if row != 4 else "=A1"
    book.create_sheet("secret").sheet_state = "hidden"
    sheet["D1"] = "=[1]Other!A1"
    sheet.row_dimensions[3].hidden = True
    book.save(tmp_path / "other.xlsx")
    found = audit(tmp_path / "other.xlsx")
    told = counts(found)
    assert found.ours is False
    assert "not built by this program" in found.remark
    assert told["constants"] == 6
    assert [p for f in found.findings if f.check.id == "breaks" for p in f.places] == ["Sheet!B4"]
    assert told["hidden"] == 2
    assert told["unprotected"] == 2
    assert isinstance(told["changed_tables"], str)
    assert isinstance(told["stored"], str)  # the link cannot be followed


@pytest.mark.long
def test_a_damaged_record_is_said_and_the_rest_is_audited(small_book: Small, edited: Edit) -> None:
    place = next(p for p, v in read_book(small_book.path).sheets[SHEET].values.items() if v == "line.food")
    path = edited({(SHEET, f"D{place[0]}"): "nonsense"})
    found = audit(path)
    assert not found.ours
    assert "cannot be read" in found.remark
    assert counts(found)["errors"] == 0


def test_cells_read_as_patterns() -> None:
    assert r1c1('IF(A1="B12",$C$3,C4)', (1, 2)) == 'IF(R[0]C[-1]="B12",R3C3,R[3]C[1])'
    column = {(r, 1): f"B{r}*2" for r in range(1, 9)} | {(5, 1): "B1"}
    numbers = Patterns().of(column)
    assert (blocks(numbers), list(breaks(numbers))) == (3, [(5, 1)])
    assert list(breaks(Patterns().of({(r, 1): f"B{r}" for r in range(1, 4)}))) == []


def test_links_to_outside_are_found(small_book: Small, tmp_path: Path) -> None:
    path = tmp_path / "linked.xlsx"
    with zipfile.ZipFile(small_book.path) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as new:
        for name in old.namelist():
            new.writestr(name, old.read(name))
        new.writestr("xl/externalLinks/externalLink1.xml", "<externalLink/>")
    from workbookgen.roundtrip.audit_scan import scan

    assert scan(path).outside == ["xl/externalLinks/externalLink1.xml"]
