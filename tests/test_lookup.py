"""Finding and showing foods on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from workbookgen.cli import main
from workbookgen.lookup import find_text, show_text
from workbookgen.model.errors import BadInput

SAMPLES = Path(__file__).parent / "catalogue" / "samples"


def test_a_slip_of_the_finger_finds_the_food_in_both_tables() -> None:
    lines = find_text("brocoli raw").splitlines()
    assert lines[1].split("kitchen")[0].strip() == "Broccoli, raw"
    assert any(" usda " in line for line in lines)


def test_a_food_of_both_tables_is_listed_once() -> None:
    names = [line.split("  ")[0] for line in find_text("black beans dry").splitlines()[1:]]
    assert names.count("Black beans, dry") == 1


def test_nothing_found_says_what_to_try() -> None:
    with pytest.raises(BadInput, match="type fewer letters"):
        find_text("qqqq")


@pytest.mark.parametrize("name", ["Black beans, dry", "BLACK BEANS, DRY", "16014", "sr16014"])
def test_a_food_is_shown_by_name_number_or_id(name: str) -> None:
    text = show_text(name)
    assert text.startswith("Black beans, dry\n")
    for part in ("usda_sr28 16014: Beans, black, mature seeds, raw", "Iron", "5.02 mg", "n 28, se 0.566"):
        assert part in text


def test_unknown_figures_show_a_question_mark_and_known_zeros_a_zero() -> None:
    lines = {line[:34].strip(): line[34:].split() for line in show_text("Black beans, dry").splitlines()}
    assert lines["Starch"] == ["?"]
    assert lines["Cholesterol"][:2] == ["0", "mg"]


def test_an_unknown_name_is_answered_with_near_ones() -> None:
    with pytest.raises(BadInput, match="nearest: Kale"):
        show_text("Kale, row")


def test_import_find_show_and_faults_as_commands(tmp_path: Path) -> None:
    run, to = CliRunner().invoke, str(tmp_path / "fdc")
    made = run(main, ["foods", "import", str(SAMPLES / "sr_legacy"), "--to", to])
    assert made.exit_code == 0
    assert "kept: 4 foods" in made.output
    assert f"build with --foods {to}" in made.output
    assert "Fernbroccoli, raw" in run(main, ["foods", "find", "fernbrocoli", "--foods", to]).output
    assert "2.5 g" in run(main, ["foods", "show", "99990", "--foods", to]).output
    wrong = run(main, ["foods", "import", str(tmp_path / "nothing"), "--to", to])
    assert wrong.exit_code == 2
    assert "no such file" in wrong.output
    assert "Traceback" not in wrong.output
