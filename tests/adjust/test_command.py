"""The command: answers in words, bad input in one sentence, nothing half-written."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from workbookgen.catalogue.paths import data_path
from workbookgen.cli import main
from workbookgen.recipes.load import load_recipe

CHILI = data_path("demo", "black-bean-sweet-potato-chili.toml")
STOCK_FILE = data_path("demo", "vegetable-stock.toml")
NOODLES = data_path("demo", "tofu-broccoli-noodles.toml")
SMOOTHIE = data_path("demo", "berry-spinach-smoothie.toml")
STOCK = 'title = "House stock"\nservings = 4\n[[ingredient]]\nfood = "Carrots, raw"\namount = 200\nunit = "g"\n[[ingredient]]\nfood = "Salt, table"\namount = 2\nunit = "tsp"\n'
SOUP = (
    'title = "Stock soup"\nservings = 4\ntargets = ["NA <= 400 mg"]\n[[ingredient]]\nfood = "House stock"\namount = 2\nunit = "serving"\n'
    '[[ingredient]]\nfood = "Kale, raw"\namount = 200\nunit = "g"\n[[ingredient]]\nfood = "Salt, table"\namount = 1\nunit = "tsp"\n'
)


def run(*args: str) -> Result:
    return CliRunner().invoke(main, ["adjust", *args])


def test_an_answer_tells_changes_prices_and_safety() -> None:
    told = run(str(CHILI), "--target", "NA <= 300 mg", "--target", "plate within 5", "--swap")
    assert told.exit_code == 0, told.output
    for words in ("Least change", "in place of Tomatoes, canned, in juice", "What each target costs", "each 10 mg less sodium costs",
                  "What binds", "no caution that the dish did not have", "Stayed out unless --allow names them", "licensed practice"):  # fmt: skip
        assert words in told.output, words
    assert told.output == run(str(CHILI), "--target", "NA <= 300 mg", "--target", "plate within 5", "--swap").output


def test_what_cannot_be_is_explained(tmp_path: Path) -> None:
    out = tmp_path / "v.toml"
    told = run(str(CHILI), "--target", "NA <= 350 mg", "--to", str(out))
    assert told.exit_code == 0
    for words in ("No change does it", "NA <= 350 mg: at best", "It would do if", "--swap", "Nothing was written"):
        assert words in told.output, words
    assert not out.exists()


def test_variants_are_written_and_read_back(tmp_path: Path) -> None:
    out, copy = tmp_path / "v.toml", tmp_path / "c.toml"
    shutil.copy(STOCK_FILE, tmp_path)
    args = [str(CHILI), "--swap", "--to", str(out), "--variant-in", str(copy)]
    told = run(*args)
    assert told.exit_code == 0, told.output
    variant = load_recipe(out)
    assert variant.compare_with == "Black bean and sweet potato chili"
    assert load_recipe(copy).variants[-1].name == "adjusted"
    assert "exists already" in run(*args).output
    assert run(*args, "--overwrite").exit_code == 0
    assert "the recipe itself" in run(str(CHILI), "--to", str(CHILI), "--overwrite").output
    analysed = CliRunner().invoke(main, ["analyse", str(out)])
    assert "NA <= 600 mg: met" in analysed.output


def test_foods_are_added_when_asked(tmp_path: Path) -> None:
    told = run(str(SMOOTHIE), "--target", "CA >= 35 %DV", "--target", "FE >= 15 %DV", "--add", "1")
    assert told.exit_code == 0
    assert "add " in told.output
    assert "Foods to add that would help most" in told.output
    lone = run(str(SMOOTHIE), "--target", "FE >= 12 %DV", "--add", "1", "--variant-in", str(tmp_path / "x.toml"))
    assert lone.exit_code in (0, 2)
    assert "Traceback" not in lone.output


def test_a_statement_may_be_a_target() -> None:
    told = run(str(NOODLES), "--target", "NA <= 450 mg", "--statement", "good source of fibre")
    assert told.exit_code == 0, told.output
    assert "Good source of fiber" in told.output


def test_a_recipe_that_uses_another_one(tmp_path: Path) -> None:
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    (tmp_path / "soup.toml").write_text(SOUP, encoding="utf-8")
    told = run(str(tmp_path / "soup.toml"), "--using", str(tmp_path))
    assert told.exit_code == 0, told.output
    assert "Salt, table" in told.output


@pytest.mark.parametrize(("args", "says"), [
    (("--target", "FE = 20"), "--target"), (("--target", "FE >= 20 %DV", "--max-change", "lots"), "--max-change"),
    (("--target", "FE >= 20 %DV", "--keep", "Kail"), "--keep"), (("--target", "FE >= 20 %DV", "--allow", "nothing"), "--allow"),
    (("--target", "FE >= 20 %DV", "--add", "99"), "--add"), (("--statement", "superfood"), "--statement"),
    (("--target", "FE >= 20 %DV", "--max-change", "0%"), "--max-change"),
])  # fmt: skip
def test_bad_input_is_one_sentence(args: tuple[str, ...], says: str) -> None:
    told = run(str(CHILI), *args)
    assert told.exit_code == 2, told.output
    assert says in told.output
    assert "Traceback" not in told.output
    assert len(told.output.strip().splitlines()) == 1


def test_a_folder_or_a_missing_file_is_refused(tmp_path: Path) -> None:
    assert "folder" in run(str(tmp_path)).output
    assert run(str(tmp_path / "none.toml")).exit_code == 2


def test_a_recipe_without_targets_asks_for_one(tmp_path: Path) -> None:
    path = tmp_path / "stock.toml"
    path.write_text(STOCK, encoding="utf-8")
    assert "no targets of its own" in run(str(path)).output
