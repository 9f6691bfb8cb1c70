"""The commands draft, learn, accuracy and export: what they write, and one sentence for what they refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from workbookgen.catalogue.paths import data_path
from workbookgen.cli import main
from workbookgen.exchange.sources import LARGEST
from workbookgen.recipes.load import load_recipe

SLAW = data_path("demo", "fruit-walnut-slaw.toml")
TEXT = """Bean pot
Serves 6
Ingredients
1 cup pearl barley
1 cup milk
Salt to taste
Method
Simmer.
"""
TWO = json.dumps(
    [{"title": t, "servings": 2, "ingredients": ["1 cup kale"]} for t in ("Red pot", "Green pot")]
)


def run(*args: str | Path) -> Result:
    return CliRunner().invoke(main, [str(a) for a in args])


def refused(result: Result, *words: str) -> str:
    """The one sentence of a refusal: exit code 2, no traceback, one line."""
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert len(result.output.strip().splitlines()) == 1
    for word in words:
        assert word in result.output
    return result.output


@pytest.fixture
def pot(tmp_path: Path) -> Path:
    path = tmp_path / "pot.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_draft_writes_a_recipe_file_beside_the_source(pot: Path) -> None:
    result = run("draft", pot)
    assert result.exit_code == 0
    assert "3 ingredients, 2 to review" in result.output
    assert load_recipe(pot.with_suffix(".toml")).title == "Bean pot"


def test_build_analyse_and_export_refuse_undecided_lines_with_a_clear_list(pot: Path, tmp_path: Path) -> None:
    assert run("draft", pot, "--to", tmp_path / "mine.toml").exit_code == 0
    for command in (
        ("build", tmp_path / "mine.toml", "--out", tmp_path / "out.xlsx"),
        ("analyse", tmp_path / "mine.toml"),
        ("export", tmp_path / "mine.toml", "--format", "csv", "--out", tmp_path / "out.csv"),
    ):
        result = run(*command)
        assert result.exit_code == 2
        milk, salt = result.output.strip().splitlines()
        assert milk.startswith("mine.toml, line ")
        assert (
            "ingredient 2 (Milk, whole): this line still waits for a decision (the fat content is not told"
            in milk
        )
        assert "choose the food (Milk, whole; Milk, reduced fat 2%; " in milk
        assert 'write its amount in place of "to taste"' in salt
        assert "choose the food" not in salt
    assert not (tmp_path / "out.xlsx").exists()
    assert not (tmp_path / "out.csv").exists()


def test_a_decided_draft_builds_no_more_refusals_and_is_learned(pot: Path, tmp_path: Path) -> None:
    assert run("draft", pot).exit_code == 0
    path = pot.with_suffix(".toml")
    text = path.read_text(encoding="utf-8")
    lines = [x for x in text.splitlines() if "review = true" not in x]
    start = next(i for i, x in enumerate(lines) if x.startswith("candidates"))
    end = lines.index("]", start)
    decided = "\n".join(lines[:start] + lines[end + 1 :])
    decided = decided.replace('food = "Milk, whole"', 'food = "Milk, fat free"').replace(
        '"to taste"', '"1/2"'
    )
    decided = decided.replace('food = "Salt, table"', 'food = "Salt, table"\nunit = "tsp"')
    path.write_text(decided + "\n", encoding="utf-8")
    assert run("analyse", path).exit_code == 0
    learned = run("learn", path)
    assert "1 decisions learned" in learned.output
    assert "milk -> Milk, fat free" in (tmp_path / "choices.txt").read_text(encoding="utf-8")
    assert run("draft", pot, "--overwrite").exit_code == 0
    assert load_recipe(path).lines[1].food == "Milk, fat free"


def test_decisions_can_stand_in_another_file(pot: Path, tmp_path: Path) -> None:
    (tmp_path / "ours.txt").write_text("milk -> Milk, fat free\n", encoding="utf-8")
    assert run("draft", pot, "--choices", tmp_path / "ours.txt").exit_code == 0
    assert load_recipe(pot.with_suffix(".toml")).lines[1].food == "Milk, fat free"


def test_ask_in_a_pipe_asks_nothing(pot: Path) -> None:
    result = run("draft", pot, "--ask")
    assert result.exit_code == 0
    assert "Nothing was asked" in result.output


def test_which_chooses_one_of_several_recipes(tmp_path: Path) -> None:
    (tmp_path / "two.json").write_text(TWO, encoding="utf-8")
    told = refused(
        run("draft", tmp_path / "two.json"), "holds 2 recipes", '1 "Red pot", 2 "Green pot"', "--which"
    )
    assert told.startswith("two.json: ")
    for which, title in (("2", "Green pot"), ("red", "Red pot")):
        out = tmp_path / f"{which}.toml"
        assert run("draft", tmp_path / "two.json", "--which", which, "--to", out).exit_code == 0
        assert load_recipe(out).title == title


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("page.html", "<html><body><p>Hello</p></body></html>", "no recipe is found: the page holds no schema.org Recipe"),
        ("two.json", TWO, "choose one with --which and its number"),
        ("broken.json", '{"ingredients": [', "not proper JSON (line 1"),
        ("page.html", '<script type="application/ld+json">{"@type": "Recipe", </script>', "broken JSON"),
        ("large.html", "<html>" + " " * 10_000_000, "the file has 10 MB, more than 5 MB"),
        ("suppe.txt", "500 g Kartoffeln\n1 EL Butter\n2 Zwiebeln\nSalz und Pfeffer", "English only"),
        ("soupe.html", '<html lang="fr"><script type="application/ld+json">{"@type": "Recipe", "name": "Soupe", '
         '"recipeIngredient": ["200 g de farine", "2 oeufs"]}</script></html>', "English only"),
        ("empty.txt", "", "the file is empty"),
        ("steps.txt", "Method\nBoil it.\n", "no ingredient lines are found"),
    ],
)  # fmt: skip
def test_bad_sources_are_refused_in_one_sentence_and_nothing_is_written(
    tmp_path: Path, name: str, content: str, sentence: str
) -> None:
    (tmp_path / name).write_text(content, encoding="utf-8")
    assert len(content) > LARGEST or name != "large.html"
    told = refused(run("draft", tmp_path / name), sentence)
    assert told.startswith(f"{name}: ")
    assert [p.name for p in tmp_path.iterdir()] == [name]


def test_missing_sources_folders_and_existing_files_are_refused(pot: Path, tmp_path: Path) -> None:
    refused(run("draft", tmp_path / "none.txt"), "does not exist")
    refused(run("draft", pot, "--to", tmp_path / "no" / "a.toml"), "does not exist; create it")
    refused(run("draft", pot, "--to", pot), "choose another --to")
    pot.with_suffix(".toml").write_text("mine", encoding="utf-8")
    refused(run("draft", pot), "may hold decisions", "--overwrite")
    assert pot.with_suffix(".toml").read_text(encoding="utf-8") == "mine"
    refused(run("learn", tmp_path / "none.toml"), "there is no such file")


def test_accuracy_prints_the_figures_for_lines_of_ones_own(tmp_path: Path) -> None:
    lines = tmp_path / "lines.csv"
    lines.write_text('text,food,also_right,grams,why\n1 cup quinoa,"Quinoa, dry",,170,\n', encoding="utf-8")
    result = run("accuracy", "--lines", lines)
    assert result.exit_code == 0
    assert "right food first             1 = 100.0%" in result.output
    refused(run("accuracy", "--lines", tmp_path / "none.csv"), "none.csv")
    refused(run("accuracy", "--lines", lines, "--published", tmp_path / "none.json"), "none.json")


@pytest.mark.parametrize(
    ("form", "begins"), [("json-ld", "{"), ("csv", "recipe,basis"), ("md", "# Fruit and walnut")]
)
def test_text_formats_go_to_the_terminal_or_to_a_file(tmp_path: Path, form: str, begins: str) -> None:
    printed = run("export", SLAW, "--format", form)
    assert printed.exit_code == 0
    assert printed.output.startswith(begins)
    out = tmp_path / f"out.{form}"
    assert run("export", SLAW, "--format", form, "--out", out).output == f"{out}: Fruit and walnut slaw\n"
    assert out.read_text(encoding="utf-8-sig") == printed.output
    assert out.read_bytes().startswith(b"\xef\xbb\xbf") == (
        form == "csv"
    )  # spreadsheets read UTF-8 by this mark
    first = out.read_bytes()
    run("export", SLAW, "--format", form, "--out", out)
    assert out.read_bytes() == first


def test_a_recipe_made_of_another_one_is_exported_with_it(tmp_path: Path) -> None:
    """A dish in the same folder is found, one elsewhere is named with --using."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "stock.toml").write_text(
        'title = "Stock"\nservings = 4\n[[ingredient]]\nfood = "Kale, raw"\namount = "2 cups"\n',
        encoding="utf-8",
    )
    soup = tmp_path / "soup.toml"
    soup.write_text(
        'title = "Soup"\nservings = 2\n[[ingredient]]\nfood = "Stock"\namount = "1 serving"\n',
        encoding="utf-8",
    )
    refused(run("export", soup, "--format", "csv"), 'no food "Stock" is known')
    for using in (elsewhere / "stock.toml", elsewhere):
        result = run("export", soup, "--format", "csv", "--using", using)
        assert result.exit_code == 0, result.output
        assert "Soup,serving," in result.output
    (elsewhere / "stock.toml").rename(tmp_path / "stock.toml")
    assert "Soup,serving," in run("export", soup, "--format", "csv").output


def test_exports_that_cannot_be_made_are_refused_in_one_sentence(tmp_path: Path) -> None:
    refused(run("export", SLAW, "--format", "docx"), "json-ld, csv, md, pdf")
    refused(run("export", tmp_path, "--format", "md"), "this is a folder")
    refused(run("export", tmp_path / "none.toml", "--format", "md"), "there is no such file")
    refused(run("export", tmp_path / "none.xlsx", "--format", "pdf"), "there is no such file")
    refused(
        run("export", tmp_path / "book.xlsx", "--format", "csv"), "only the cards can be exported, as pdf"
    )
    refused(run("export", SLAW, "--format", "md", "--out", tmp_path / "no" / "a.md"), "does not exist")
    refused(run("export", SLAW, "--format", "md", "--out", SLAW), "its own source")
