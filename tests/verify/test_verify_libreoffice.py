"""LibreOffice: really recalculates, under other locales too, and never hangs the caller."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from verify_books import one_sheet

from workbookgen.model.errors import BadInput
from workbookgen.verify import libreoffice_engine, verify
from workbookgen.verify.package import STALE, copy_without_results
from workbookgen.verify.read import read_book
from workbookgen.verify.values import EngineFailed, EngineMissing, NotEvaluated

TEXTS = {
    "A1": ('=ROUND(ROUND(1.26*10,9),0)/10&" g"', "1.3 g"),
    "A2": ("=1.5+1", 2.5),
    "A3": ("=1=1", True),
    "A4": ('="1,000 of them"', "1,000 of them"),
    "A5": ('=IF(1=2,"x","")', ""),
}


@pytest.mark.libreoffice
def test_decimal_comma_of_a_german_profile_is_no_difference(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", TEXTS)
    raw = libreoffice_engine.recalculate(path, locale="de-DE")
    assert raw["S", 1, 1] == "1,3 g"
    report = verify(path, ["libreoffice"], locale="de-DE")
    assert report.results[0].differing == ()
    assert report.ok


@pytest.mark.libreoffice
def test_stored_values_withheld_from_libreoffice_do_not_come_back(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", TEXTS)
    copy_without_results(path, tmp_path / "copy.xlsx")
    assert set(read_book(tmp_path / "copy.xlsx").sheets["S"].values.values()) == {STALE}
    results = libreoffice_engine.recalculate(tmp_path / "copy.xlsx")
    assert not any(isinstance(value, NotEvaluated) for value in results.values())


@pytest.mark.libreoffice
def test_a_profile_that_keeps_stored_values_would_be_noticed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """With recalculation set to "never" every cell must fail: the check does not rest on the setting."""
    written = libreoffice_engine._write_profile

    def never(folder: Path, locale: str) -> None:
        written(folder, locale)
        settings = folder / "user" / "registrymodifications.xcu"
        text = settings.read_text(encoding="utf-8")
        assert '"OOXMLRecalcMode" oor:op="fuse"><value>0<' in text
        changed = text.replace(
            '"OOXMLRecalcMode" oor:op="fuse"><value>0<', '"OOXMLRecalcMode" oor:op="fuse"><value>1<'
        )
        settings.write_text(changed, encoding="utf-8")

    monkeypatch.setattr(libreoffice_engine, "_write_profile", never)
    report = verify(one_sheet(tmp_path / "a.xlsx", TEXTS), ["libreoffice"])
    assert len(report.results[0].differing) == len(TEXTS)
    assert all("kept the stored value" in each.why for each in report.results[0].differing)


@pytest.mark.libreoffice
def test_libreoffice_tells_its_version() -> None:
    assert libreoffice_engine.version()[0].isdigit()


def test_missing_libreoffice_fails_in_one_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, patterns: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(EngineMissing, match="'soffice' is not on the search path"):
        libreoffice_engine.recalculate(patterns)
    report = verify(patterns, ["libreoffice"])
    assert not report.ok
    assert report.results[0].compared == 0
    assert "install LibreOffice Calc" in report.results[0].failure


def test_locale_must_be_written_in_full(patterns: Path) -> None:
    with pytest.raises(BadInput, match="for example de-DE"):
        verify(patterns, ["libreoffice"], locale="german")


@pytest.mark.skipif(os.name != "posix", reason="process groups exist on POSIX systems only")
def test_time_limit_ends_the_program_and_what_it_started(tmp_path: Path) -> None:
    marker = tmp_path / "child"
    script = f"(sleep 30; touch {marker}) & echo $! > {tmp_path}/pid; wait"
    start = time.monotonic()
    with pytest.raises(EngineFailed, match="did not finish within"):
        libreoffice_engine._run(["sh", "-c", script], dict(os.environ), 0.5)
    assert time.monotonic() - start < 5
    child = int((tmp_path / "pid").read_text())
    for _ in range(50):
        try:
            state = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()[0]
        except FileNotFoundError:
            break
        if state == "Z":
            break
        time.sleep(0.05)
    else:
        pytest.fail("the child outlived its parent")
    assert not marker.exists()


def test_failing_conversion_says_what_was_said(tmp_path: Path) -> None:
    fake = tmp_path / "soffice"
    fake.write_text("#!/bin/sh\necho no filter found\n", encoding="utf-8")
    fake.chmod(0o755)
    with pytest.raises(EngineFailed, match="no filter found"):
        libreoffice_engine.convert(str(fake), tmp_path / "book.xlsx", "en-US")
