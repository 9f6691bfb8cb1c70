"""Commands: bad input is one clear sentence, exit code 2, nothing half-written."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from workbookgen.catalogue.paths import data_path
from workbookgen.cli import main
from workbookgen.recipes.load import SETTINGS_FILE

RECIPE = """title = "Test"
servings = 2
[[ingredient]]
food = "Kale, raw"
amount = "1"
unit = "cup"
"""


def run(*args: str) -> Result:
    return CliRunner().invoke(main, list(args))


def write(folder: Path, text: str, name: str = "test.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("old", "new", "says"), [
    ('food = "Kale, raw"', 'food = "Kail, raw"', "Kale, raw"),
    ('unit = "cup"', 'unit = "barrel"', "g"),
    ("servings = 2", "servings = 0", "serving"),
    ("servings = 2", "servings = -1", "serving"),
    ('amount = "1"', 'amount = "-1"', "amount"),
    ('amount = "1"', 'amount = ""', "amount"),
    ('amount = "1"', 'amount = "1e9"', "amount"),
    ('title = "Test"', 'title = ""', "title"),
    ('title = "Test"', 'title = "A"\ntitle = "B"', "test.toml"),
    ("[[ingredient]]", "[[ingredient", "test.toml"),
    ('unit = "cup"', 'unit = "g"\ntreatment = "melted"', "treatment"),
])
def test_bad_recipes_are_refused_in_words(tmp_path: Path, old: str, new: str, says: str) -> None:
    path = write(tmp_path, RECIPE.replace(old, new))
    out = tmp_path / "out.xlsx"
    result = run("build", str(path), "--out", str(out))
    assert result.exit_code == 2, result.output
    assert "test.toml" in result.output
    assert says in result.output
    assert "Traceback" not in result.output
    assert not out.exists()
    assert [p.name for p in tmp_path.iterdir()] == ["test.toml"]


def test_wrong_encoding_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "test.toml"
    path.write_bytes(RECIPE.replace("Test", "Crème").encode("latin-1"))
    result = run("build", str(path), "--out", str(tmp_path / "o.xlsx"))
    assert result.exit_code == 2
    assert "UTF-8" in result.output


def test_two_recipes_with_one_title_are_refused(tmp_path: Path) -> None:
    write(tmp_path, RECIPE, "a.toml")
    write(tmp_path, RECIPE, "b.toml")
    result = run("build", str(tmp_path), "--out", str(tmp_path / "o.xlsx"))
    assert result.exit_code == 2
    assert "Test" in result.output


def test_missing_folder_for_the_output_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path, RECIPE)
    result = run("build", str(path), "--out", str(tmp_path / "no" / "o.xlsx"))
    assert result.exit_code == 2
    assert "does not exist" in result.output


def test_analyse_prints_json_keyed_by_infoods_tags(tmp_path: Path) -> None:
    result = run("analyse", str(write(tmp_path, RECIPE)), "--json")
    found = json.loads(result.output)
    assert result.exit_code == 0
    assert {"ENERC_KCAL", "FE", "FIBTG", "NA"} <= set(found["nutrients"])
    assert found["nutrients"]["FE"]["unit"] == "mg"


def test_analyse_prints_a_table_of_the_same_numbers(tmp_path: Path) -> None:
    result = run("analyse", str(write(tmp_path, RECIPE)))
    assert result.exit_code == 0
    assert "Iron" in result.output


@pytest.mark.parametrize("path", sorted(set(data_path("demo").glob("*.toml")) - {data_path("demo", SETTINGS_FILE)}), ids=lambda p: p.stem)
def test_every_demo_recipe_can_be_analysed(path: Path) -> None:
    assert run("analyse", str(path)).exit_code == 0


def test_help_names_every_command() -> None:
    result = run("--help")
    assert {"build", "analyse", "verify", "draft", "learn", "accuracy", "export"} <= set(result.output.split())


@pytest.mark.parametrize("args", [["--help"], ["export", "--help"]])
def test_help_waits_for_no_heavy_import(args: list[str]) -> None:
    code = (
        "import sys; from workbookgen.cli import main\n"
        f"try: main({args!r})\n"
        "finally: print([m for m in sys.modules if m.startswith('workbookgen.')], "
        "[m for m in ('pandas', 'numpy', 'openpyxl', 'xlsxwriter', 'formualizer', 'rich') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    ours, heavy = told.stdout.strip().splitlines()[-1].removesuffix("]").split("] [")
    assert heavy == ""
    assert ours.count("workbookgen.") <= 4
