"""The commands in words: one sentence for bad input, a list of changes, a page."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from tests.roundtrip.conftest import Edit, Small
from workbookgen.cli import main
from workbookgen.recipes.load import load_recipes

POT = "Bean pot"


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.mark.long
def test_extract_tells_every_change_and_refuses_a_folder_in_use(edited: Edit, tmp_path: Path) -> None:
    path = edited({(POT, "line.amount 2"): 2, (POT, "servings"): "six"})
    said = run("extract", path, "--to", tmp_path / "back").output
    assert "2 input cells were changed" in said
    assert "(line.amount): 1.5 -> 2" in said
    assert "fit no file" in said
    assert [r.title for r in load_recipes([tmp_path / "back"])] == [POT, "=Plain kale"]
    again = run("extract", path, "--to", tmp_path / "back")
    assert again.exit_code == 2
    assert "--overwrite" in again.output


@pytest.mark.long
def test_an_untouched_workbook_differs_from_itself_in_nothing(small_book: Small) -> None:
    assert "No figure and no verdict differs." in run("diff", small_book.path, small_book.path).output


@pytest.mark.parametrize("command", [("extract", "--to", "x"), ("refresh", "--out", "x.xlsx")])
def test_a_workbook_of_someone_else_is_refused_in_one_sentence(command: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    openpyxl.Workbook().save(tmp_path / "other.xlsx")
    result = run(command[0], tmp_path / "other.xlsx", *command[1:])
    assert result.exit_code == 2
    assert "not built by this program" in result.output
    assert not (tmp_path / "x").exists()


def test_audit_writes_its_page_as_json_and_exits_1_on_faults(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "=1/0"  # type: ignore[index]
    book.save(tmp_path / "other.xlsx")
    result = run("audit", tmp_path / "other.xlsx", "--json", tmp_path / "page.json")
    assert result.exit_code == 1
    assert "[not known] Locked cells changed" in result.output
    page = json.loads((tmp_path / "page.json").read_text(encoding="utf-8"))
    assert page["built_by_this_program"] is False
    assert {f["id"]: f["count"] for f in page["findings"]}["stored"] == 1


def test_refresh_never_writes_over_the_changed_workbook(small_book: Small) -> None:
    result = run("refresh", small_book.path, "--out", small_book.path)
    assert result.exit_code == 2
    assert "choose another --out" in result.output
