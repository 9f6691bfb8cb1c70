"""What the terminal shows."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from verify_books import one_sheet

from workbookgen.model.errors import BadInput
from workbookgen.verify import render_report, run, verify
from workbookgen.verify.plant import KINDS, plant
from workbookgen.verify.read import read_book


def test_agreement_ends_with_one_sentence_and_code_0(patterns: Path) -> None:
    said: list[str] = []
    code, text = run(patterns, "default", progress=said.append)
    assert code == 0
    assert text.splitlines()[-1] == "All 510 formulas agree with formulas and formualizer."
    assert [line.split(":")[0] for line in said[:1]] == ["formulas"]


def test_difference_is_shown_with_place_formula_and_both_values(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"B7": ("=A1*2", 6.5), "B8": ('="a"', "a")}, {"A1": 3})
    code, text = run(path, "formualizer")
    assert code == 1
    assert "2 compared, 1 agreeing, 1 differing" in text
    assert "S!B7  =A1*2" in text
    assert "stored 6.5, recomputed 6.0" in text
    assert text.splitlines()[-1] == "NOT verified: 1 of 2 formula cells differ."


def test_at_most_twenty_examples_for_each_engine(tmp_path: Path, patterns: Path) -> None:
    plant(patterns, tmp_path / "bad.xlsx", "value", 60)
    text = render_report(verify(tmp_path / "bad.xlsx", ["formualizer", "ironcalc"]))
    blocks = re.split(r"^  (?=\w+ [\d.]+:)", text, flags=re.MULTILINE)[1:]
    assert [block.count(" recomputed ") for block in blocks] == [20, 20]
    assert text.count("and 40 more") == 2


def test_engine_without_result_is_told_in_the_summary(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, patterns: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    code, text = run(patterns, "libreoffice")
    assert code == 1
    assert "FAILED" in text
    assert text.splitlines()[-1] == "NOT verified: no result from libreoffice."


def test_missing_file_raises_bad_input(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="there is no such file"):
        run(tmp_path / "none.xlsx")


@pytest.mark.parametrize("kind", KINDS)
def test_planting_is_seeded_and_changes_only_the_cells_it_names(
    tmp_path: Path, patterns: Path, kind: str
) -> None:
    first = plant(patterns, tmp_path / "a.xlsx", kind, 7, seed=5)
    assert plant(patterns, tmp_path / "b.xlsx", kind, 7, seed=5) == first
    assert plant(patterns, tmp_path / "c.xlsx", kind, 7, seed=6) != first
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
    before, after = read_book(patterns), read_book(tmp_path / "a.xlsx")
    changed = {
        (name, place)
        for name, sheet in before.sheets.items()
        for place in sheet.formulas
        if sheet.formulas[place] != after.sheets[name].formulas[place]
        or sheet.values.get(place) != after.sheets[name].values.get(place)
    }
    assert len(first) == 7
    assert len(changed) == 7


def test_more_faults_than_formulas_is_refused(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)})
    with pytest.raises(BadInput, match="there are 1 formulas"):
        plant(path, tmp_path / "b.xlsx", "value", 2)
