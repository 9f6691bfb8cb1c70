"""One workbook per recipe: safe names, whole files, one sentence per failure."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line, small_kitchen
from workbookgen import each
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.cli import main
from workbookgen.each import build_each, file_stem, recipe_files
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.build import SPARES, Spares, fitting
from workbookgen.workbook.hub_sheets import MOST_SLOTS

DEMO = data_path("demo")
GOOD = 'title = "{title}"\nservings = 2\n\n[[ingredient]]\nfood = "Kale, raw"\namount = 100\nunit = "g"\n'


def recipe_file(folder: Path, name: str, text: str) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@given(st.lists(st.text(max_size=80), min_size=1, max_size=6))
def test_any_title_gives_a_plain_new_name(titles: list[str]) -> None:
    taken: set[str] = set()
    stems = [file_stem(title, taken) for title in titles]
    assert len(set(stems)) == len(stems)
    for stem in stems:
        assert stem
        assert all(c in "abcdefghijklmnopqrstuvwxyz0123456789-" for c in stem)
        assert stem not in each.DEVICES
        assert len(stem) <= each.LONGEST_STEM + 6


@pytest.mark.parametrize(("title", "stem"), [
    ("../../etc/passwd", "etc-passwd"), ("C:\\Windows\\x", "c-windows-x"), ("NUL", "recipe-nul"), ("com1", "recipe-com1"),
    ("\u7ca5", "recipe"), ("Cr\u00e8me br\u00fbl\u00e9e", "creme-brulee"), ("...", "recipe"), ("a\0b", "a-b"), ("\u3380", "pa"),
])  # fmt: skip
def test_no_title_leads_out_of_the_folder(title: str, stem: str) -> None:
    assert file_stem(title, set()) == stem


def test_files_of_folders_are_taken_once_and_settings_are_no_recipe(tmp_path: Path) -> None:
    one = recipe_file(tmp_path, "a.toml", GOOD.format(title="A"))
    recipe_file(tmp_path, "settings.toml", "")
    assert recipe_files([tmp_path, one]) == [one]
    with pytest.raises(BadInput, match="neither"):
        recipe_files([tmp_path / "absent"])
    with pytest.raises(BadInput, match="no recipe file"):
        recipe_files([recipe_file(tmp_path / "empty", "note.txt", "").parent])


def test_a_recipe_that_cannot_be_read_leaves_one_sentence_and_no_file(tmp_path: Path) -> None:
    recipe_file(tmp_path / "in", "bad.toml", "title = ")
    heard: list[tuple[int, int]] = []
    result = build_each([tmp_path / "in"], tmp_path / "out", None, "kitchen", lambda done, of: heard.append((done, of)))
    assert result.built == []
    assert len(result.failures) == 1
    assert "bad.toml" in result.failures[0]
    assert list((tmp_path / "out").iterdir()) == []
    assert heard == [(1, 1)]


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    recipe_file(tmp_path / "in", "a.toml", GOOD.format(title="A"))
    with pytest.raises(BadInput, match="choose another --each"):
        build_each([tmp_path / "in"], recipe_file(tmp_path, "file", ""), None, "kitchen")
    told = CliRunner().invoke(main, ["build", str(DEMO), "--each", str(tmp_path / "o"), "--out", "x.xlsx"])
    assert told.exit_code == 2
    assert "one of the two" in told.output


def test_one_recipe_is_built_or_told_in_its_process(kitchen: Kitchen, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(each, "_kitchen", small_kitchen(kitchen, "Kale, raw", "Water, tap"))
    good = recipe_file(tmp_path, "good.toml", GOOD.format(title="Kale"))
    built = each._build(good, tmp_path / "good.xlsx", None)
    assert not isinstance(built, str), built
    assert built.path.read_bytes()[:2] == b"PK"
    bad = recipe_file(tmp_path / "other", "bad.toml", GOOD.format(title="Moon").replace("Kale, raw", "Moonbeans"))
    told = each._build(bad, tmp_path / "bad.xlsx", None)
    assert isinstance(told, str)
    assert "Moonbeans" in told
    assert not (tmp_path / "bad.xlsx").exists()


@pytest.mark.long
def test_recipes_are_built_side_by_side_and_failures_do_not_stop_them(tmp_path: Path) -> None:
    folder = tmp_path / "in"
    recipe_file(folder, "bad.toml", GOOD.format(title="Moon").replace("Kale, raw", "Moonbeans"))
    for name in ("black-bean-sweet-potato-chili.toml", "vegetable-stock.toml"):
        shutil.copy(DEMO / name, folder)
    recipe_file(folder, "up.toml", GOOD.format(title="../up"))
    result = CliRunner().invoke(main, ["build", str(folder), "--each", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert "3 workbooks, 1 recipes failed" in result.output
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == [
        "black-bean-and-sweet-potato-chili.xlsx", "blended-vegetable-stock.xlsx", "up.xlsx"]  # fmt: skip
    assert not (tmp_path / "up.xlsx").exists()


def test_spare_sheets_give_way_to_the_lists_of_all_recipes() -> None:
    assert fitting(SPARES, 10) == SPARES
    assert fitting(SPARES, MOST_SLOTS - 7) == Spares(6, 1)
    assert fitting(SPARES, MOST_SLOTS - 2) == Spares(2, 0)
    assert fitting(SPARES, MOST_SLOTS) == Spares(0, 0)
    assert fitting(SPARES, MOST_SLOTS + 1) == SPARES


@pytest.mark.long
@pytest.mark.parametrize(("count", "lists"), [(MOST_SLOTS, True), (MOST_SLOTS + 1, False)])
def test_sixty_recipes_have_lists_and_one_more_says_what_is_left_out(kitchen: Kitchen, count: int, lists: bool) -> None:
    from dataclasses import replace

    from workbookgen.workbook.build import lay_out
    from workbookgen.workbook.look import load_look
    from workbookgen.workbook.stored import fill

    small = small_kitchen(kitchen, "Kale, raw", "Water, tap")
    plain = dish(small, line("Kale, raw", 100.0)).recipe
    recipes = [replace(plain, title=f"Recipe {i}") for i in range(count)]
    book, _ = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), SPARES)
    assert fill(book) == []
    tabs = {s.name for s in book.sheets}
    assert ({"Results", "Lines", "Overview", "Shopping", "Costs"} <= tabs) is lists
    said = [str(c.value) for c in book.sheets[0].cells.values()]
    assert any("more than the 60" in text for text in said) is not lists
    assert ("Spare 1" in tabs) is not lists
