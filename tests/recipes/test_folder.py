"""What stands beside the recipes of a folder: read strictly, every fault in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.folder import load_programme
from workbookgen.session import load_checked, open_folders, with_programme

RECIPE = 'title = "Toast"\nservings = 2\n[[ingredient]]\nfood = "{food}"\namount = "{amount}"\n'


def write(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text, encoding="utf-8")


def test_an_empty_folder_brings_nothing(kitchen: Kitchen, tmp_path: Path) -> None:
    programme = load_programme(tmp_path, kitchen)
    assert (programme.own_foods, programme.packs, programme.prices, dict(programme.settings)) == ((), (), (), {})


def test_a_label_is_a_food_with_its_serving_as_a_unit(kitchen: Kitchen, tmp_path: Path) -> None:
    write(tmp_path, "labels.csv", "name,serving_amount,serving_unit,serving_g,NA,FIBTG,contains,checked\nBrand A toast,2,slice,40,200,<1,wheat,yes\n")
    write(tmp_path, "toast.toml", RECIPE.format(food="brand a toast", amount="3 slices"))
    joined, _ = open_folders(kitchen, [tmp_path])
    food = joined.food_by_name["brand a toast"]
    assert dict(food.values) == {"NA": 500.0, "FIBTG": 0.75 / 40 * 100}
    assert food.allergens == "+wheat;-;"
    line = load_checked(joined, [tmp_path])[0].lines[0]
    assert (line.food, line.unit) == ("Brand A toast", "slice")


def test_own_foods_and_measures_serve_recipes(kitchen: Kitchen, tmp_path: Path) -> None:
    write(tmp_path, "own_foods.csv", "name,role,ENERC_KCAL,NA,g_per_ml\nOat spread,fat,500,,0.9\n")
    write(tmp_path, "own_measures.csv", "food,unit,grams\nOat spread,knifeful,8\n")
    write(tmp_path, "toast.toml", RECIPE.format(food="Oat spread", amount="2 knifefuls"))
    joined, _ = open_folders(kitchen, [tmp_path])
    assert dict(joined.food_by_name["oat spread"].values) == {"ENERC_KCAL": 500.0}  # an empty cell is unknown
    assert load_checked(joined, [tmp_path])[0].lines[0].unit == "knifeful"


@pytest.mark.parametrize(("typed", "marks"), [("", ""), ("none", "-"), ("Liver, raw egg", "raw_egg;liver")])
def test_cautions_of_own_foods_are_words_of_the_list(kitchen: Kitchen, tmp_path: Path, typed: str, marks: str) -> None:
    write(tmp_path, "own_foods.csv", f'name,role,cautions\nOat spread,fat,"{typed}"\n')
    assert open_folders(kitchen, [tmp_path])[0].food_by_name["oat spread"].cautions == marks


def test_settings_overrule_the_built_in_ones(kitchen: Kitchen, tmp_path: Path) -> None:
    write(tmp_path, "settings.toml", 'reference_set = "us_1_3"\nhigh_practice = 15\n')
    _, settings = open_folders(kitchen, [tmp_path])
    assert (settings.reference_set, settings.high_practice, settings.low_practice) == ("us_1_3", 15.0, 5.0)


def test_prices_are_passed_on(kitchen: Kitchen, tmp_path: Path) -> None:
    write(tmp_path, "prices.csv", "food,price,amount,unit,note\n\"Kale, raw\",2.50,1,lb,market\n")
    joined, _ = open_folders(kitchen, [tmp_path])
    assert [(p.food, p.price, p.unit) for p in joined.prices] == [("Kale, raw", 2.5, "lb")]


@pytest.mark.parametrize(("file", "text", "place", "what"), [
    ("labels.csv", "name\nx\n", "labels.csv", "lacks 'serving_g'"),
    ("labels.csv", "name,serving_g,SALT\nx,30,1\n", "labels.csv", "'SALT' is not known"),
    ("labels.csv", "name,serving_g\n\"Kale, raw\",30\n", "labels.csv", "already a name in the food table"),
    ("labels.csv", "name,serving_g\nx,30\nX,40\n", "labels.csv", "already a name in labels.csv"),
    ("labels.csv", "name,serving_g\nx,0\n", "row 2", "between 0.001 and 2000"),
    ("labels.csv", "name,serving_g,NA\nx,30,-5\n", "row 2", "'NA' is -5"),
    ("labels.csv", "name,serving_g,NA\nx,30,<5\n", "row 2", "write the number"),
    ("labels.csv", "name,serving_g,contains\nx,30,mlik\n", "row 2", "'mlik', which is no allergen"),
    ("labels.csv", "name,serving_g,words\nx,30,low salt\n", "row 2", "no definition here; nearest: "),
    ("labels.csv", "name,serving_g,reference\nx,30,Crackers\n", "row 2", "is no category"),
    ("labels.csv", "name,serving_g\nwhat?,30\n", "row 2", "look-ups misread"),
    ("own_foods.csv", "name,cautions\nx,raw eg\n", "row 2", "'raw_eg', which is no caution of the list"),
    ("own_foods.csv", "name,FAT\nx,120\n", "row 2", "between 0 and 100"),
    ("own_foods.csv", "name,group\nx,Sweets\n", "row 2", "'Sweets', which is not known"),
    ("own_foods.csv", "name\n" + "\n".join(f"food {i}" for i in range(21)) + "\n", "row 22", "room for 20 rows"),
    ("own_measures.csv", "food,unit,grams\nx,cup,0\n", "row 2", "more than 0"),
    ("settings.toml", "high_practise = 10\n", "settings.toml", "nearest: high_practice"),
    ("settings.toml", "high_practice = 101\n", "settings.toml", "from 0 to 100"),
    ("settings.toml", 'reference_set = "eu"\n', "settings.toml", "is not known"),
])  # fmt: skip
def test_faults_are_told_in_one_sentence(kitchen: Kitchen, tmp_path: Path, file: str, text: str, place: str, what: str) -> None:
    write(tmp_path, file, text)
    with pytest.raises(BadInput) as error:
        load_programme(tmp_path, kitchen)
    assert place in error.value.place
    assert what in error.value.what
    assert "\n" not in str(error.value)


def test_an_own_measure_of_an_unknown_food_is_refused(kitchen: Kitchen, tmp_path: Path) -> None:
    write(tmp_path, "own_measures.csv", "food,unit,grams\nMoon dust,cup,10\n")
    with pytest.raises(BadInput, match="no food 'Moon dust'"):
        with_programme(kitchen, load_programme(tmp_path, kitchen))
