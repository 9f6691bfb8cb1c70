"""Engines that are missing or hang, through the command itself."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from tests.faults.conftest import Run, environment
from tests.faults.small_build import small_book
from workbookgen.catalogue.paths import data_path
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book


@pytest.fixture(scope="module")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("engines") / "book.xlsx"
    book = small_book()
    fill(book)
    write_book(book, path, load_look())
    return path


def test_verify_without_libreoffice_says_what_to_install(workbook: Path, tmp_path: Path, run: Run) -> None:
    before = workbook.read_bytes()
    result = run("workbookgen.cli", "verify", workbook, "--engine", "libreoffice", env=environment(PATH=str(tmp_path)))
    assert result.returncode != 0
    assert "Traceback" not in result.stderr
    assert "install LibreOffice" in result.stdout + result.stderr
    assert "all agree" not in result.stdout
    assert workbook.read_bytes() == before


def test_export_of_a_card_without_libreoffice_says_so_before_long_work(tmp_path: Path, run: Run) -> None:
    began = time.monotonic()
    result = run("workbookgen.cli", "export", data_path("demo", "fruit-walnut-slaw.toml"), "--format", "pdf",
                 "--out", tmp_path / "cards.pdf", env=environment(PATH=str(tmp_path)))
    assert result.returncode == 2
    assert "LibreOffice" in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert time.monotonic() - began < 60
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="the stand-in is a shell script")
def test_a_libreoffice_that_hangs_is_ended_and_told(workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from workbookgen.verify import libreoffice_engine, verify
    from workbookgen.verify.rules import load_rules

    stuck = tmp_path / "soffice"
    stuck.write_text(f"#!/bin/sh\necho $$ > {tmp_path}/pid\nsleep 600\n", encoding="utf-8")
    stuck.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    rules = load_rules("verify_rules")
    quick = {**rules, "libreoffice": {**rules["libreoffice"], "timeout_seconds": 1, "version_seconds": 1}}
    monkeypatch.setattr(libreoffice_engine, "load_rules", lambda _: quick)
    began = time.monotonic()
    report = verify(workbook, ["libreoffice"])
    assert time.monotonic() - began < 60
    assert not report.ok
    assert "did not finish within" in report.results[0].failure
    number = int((tmp_path / "pid").read_text())
    time.sleep(0.2)
    status = Path(f"/proc/{number}/stat")
    assert not status.exists() or status.read_text().rpartition(")")[2].split()[0] == "Z"
