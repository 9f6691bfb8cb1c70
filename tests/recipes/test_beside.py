"""A named recipe file finds the recipes of its folder that it uses as foods."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbookgen.api import analyse, load
from workbookgen.model.errors import BadInputs
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import analyse_all, load_named

STOCK = 'title = "Fern stock"\nservings = 4\ncup_weight_g = 240\n[[ingredient]]\nfood = "Carrots, raw"\namount = "200 g"\n'
SAUCE = 'title = "Fern sauce"\nservings = 2\n[[ingredient]]\nfood = "fern STOCK"\namount = "100 g"\n'
PAN = 'title = "Fern pan"\nservings = 1\n[[ingredient]]\nfood = "Fern sauce"\namount = "50 g"\n'
BROKEN = 'title = "Broken"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in (("stock", STOCK), ("sauce", SAUCE), ("pan", PAN), ("broken", BROKEN)):
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    return tmp_path


def test_dishes_of_dishes_come_along_and_nothing_else(kitchen: Kitchen, folder: Path) -> None:
    named, beside = load_named(kitchen, [folder / "pan.toml"])
    assert [r.title for r in named] == ["Fern pan"]
    assert sorted(r.title for r in beside) == ["Fern sauce", "Fern stock"]


def test_a_file_without_dishes_does_not_read_its_folder(kitchen: Kitchen, folder: Path) -> None:
    assert load_named(kitchen, [folder / "stock.toml"])[1] == []


def test_a_dish_counts_by_its_share(kitchen: Kitchen, folder: Path) -> None:
    stock, sauce, pan = (analyse_all(kitchen, folder / f"{name}.toml")[0] for name in ("stock", "sauce", "pan"))
    per_100 = stock.nutrients["CARTB"].per_100g
    assert per_100 > 0
    assert sauce.nutrients["CARTB"].dish == pytest.approx(per_100)
    assert pan.nutrients["CARTB"].dish == pytest.approx(per_100 / 2)


def test_the_api_counts_only_what_was_named_and_works_out_the_rest(folder: Path) -> None:
    book = load(folder / "pan.toml")
    assert len(book) == 1
    assert len(book.all) == 3
    assert analyse(book).recipe.title == "Fern pan"
    assert analyse(book, "fern stock").recipe.title == "Fern stock"


def test_a_dish_that_is_nowhere_is_refused_with_the_nearest_names(kitchen: Kitchen, folder: Path) -> None:
    (folder / "stock.toml").unlink()
    with pytest.raises(BadInputs, match=r"fern STOCK.*is known"):
        load_named(kitchen, [folder / "sauce.toml"])
