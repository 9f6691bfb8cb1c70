"""The food tables as everyone loads them, and what is refused."""

from __future__ import annotations

import csv
import shutil
import time
from pathlib import Path

import pytest

from workbookgen.catalogue.foods import load_details, load_foods
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.errors import BadInput
from workbookgen.model.food import FoodTable

DATA = data_path()


@pytest.fixture(scope="module")
def kitchen() -> FoodTable:
    return load_foods()


@pytest.fixture(scope="module")
def usda() -> FoodTable:
    return load_foods("usda")


# --- what is there -------------------------------------------------------------------------------


def test_the_catalogue_has_700_foods_and_60_nutrients(kitchen: FoodTable) -> None:
    assert len(kitchen.foods) >= 700
    assert len({tag for food in kitchen.foods for tag in food.values}) >= 60


def test_the_whole_table_has_every_food_of_the_release(usda: FoodTable) -> None:
    assert len(usda.foods) == 8789
    assert {food.id for food in load_foods().foods} <= {food.id for food in usda.foods}


def test_a_selected_food_is_the_same_row_in_both_tables(kitchen: FoodTable, usda: FoodTable) -> None:
    by_id = {food.id: food for food in usda.foods}
    assert all(food == by_id[food.id] for food in kitchen.foods)


def test_foods_of_the_whole_table_that_nobody_reviewed_rule_out_no_allergen(
    kitchen: FoodTable, usda: FoodTable
) -> None:
    reviewed = {food.id for food in kitchen.foods}
    assert all("?*;" in food.allergens for food in usda.foods if food.id not in reviewed)


def test_the_kitchen_table_loads_in_a_quarter_second() -> None:
    best = min(_seconds() for _ in range(3))
    assert best < 0.25


def _seconds() -> float:
    start = time.perf_counter()
    load_foods()
    return time.perf_counter() - start


def test_figures_of_black_beans_as_printed_by_usda(kitchen: FoodTable) -> None:
    """SR28, food 16014: protein 21.60 g, iron 5.02 mg, potassium 1483 mg, 341 kcal; N x 6.25."""
    beans = next(food for food in kitchen.foods if food.source_number == "16014")
    assert beans.name == "Black beans, dry"
    assert [beans.values[t] for t in ("PROCNT", "FE", "K", "ENERC_KCAL")] == [21.6, 5.02, 1483, 341]
    assert beans.nitrogen_factor == 6.25
    assert beans.counterpart_id == "sr16015"
    assert beans.digestibility == 78


def test_every_food_can_be_measured(kitchen: FoodTable) -> None:
    """By weight all can; these groups also by piece, pack or volume."""
    measured = {m.food_id for m in kitchen.measures} | {f.id for f in kitchen.foods if f.g_per_ml}
    spooned = {"Grains and flours", "Sweeteners", "Stocks and soups", "Cooking alcohol", "Dried fruit"}
    assert not [f.name for f in kitchen.foods if f.id not in measured and f.group in spooned]


def test_no_measure_is_a_plain_unit(kitchen: FoodTable) -> None:
    """Plain volumes come from the density alone, so that cup, tbsp and tsp agree exactly."""
    tables = load_tables()
    units = {name.casefold() for unit in tables.units for name in (unit.name, *unit.synonyms)}
    assert not [m for m in kitchen.measures if m.unit.casefold() in units]


def test_volumes_of_one_form_agree(kitchen: FoodTable) -> None:
    factors = {u.name: u.factor for u in load_tables().units if u.kind == "volume"}
    per_ml: dict[tuple[str, str], float] = {}
    for m in kitchen.measures:
        head, _, form = m.unit.partition(", ")
        if head in factors:
            density = m.grams / factors[head]
            assert density == pytest.approx(per_ml.setdefault((m.food_id, form), density), rel=1e-8), m


def test_measures_use_no_letters_that_look_ups_cannot_take(kitchen: FoodTable, usda: FoodTable) -> None:
    assert not [m for table in (kitchen, usda) for m in table.measures if set(m.unit) & set("*?~\"'|;")]


def test_every_source_is_listed(kitchen: FoodTable) -> None:
    known = load_tables().sources
    used = {m.source_id for m in kitchen.measures} | {f.source_id for f in kitchen.foods}
    assert used <= set(known)


def test_a_can_of_beans_is_known_drained_and_undrained(kitchen: FoodTable) -> None:
    """SR28 WEIGHT: kidney beans 436 g with liquid (16034), 266 g drained (16145)."""
    grams = {(m.food_id, m.unit): m.grams for m in kitchen.measures}
    assert grams["sr16034", "can, with liquid"] == 436
    assert grams["sr16145", "can, drained"] == 266
    assert grams["sr16145", "can (15 oz), drained"] == pytest.approx(425.24 * 266 / 436, abs=0.1)


def test_details_tell_points_and_range() -> None:
    """SR28 NUT_DATA: manganese of chickpeas 21.306 mg, 19 points, 2.949 to 329.201."""
    detail = load_details()["sr16056", "MN"]
    assert (detail.points, detail.minimum, detail.maximum) == (19, 2.949, 329.201)
    assert detail.source_code == "1 A"


def test_borrowed_phytate_is_of_a_food_of_like_water(kitchen: FoodTable) -> None:
    matched = {f.source_number: f for f in kitchen.foods if f.values.get("PHYTAC", 0) > 0}
    assert len(matched) > 80
    assert all("borrowed from ifct_2017" in f.provenance for f in matched.values())
    assert all(f.state != "cooked" for f in matched.values())


# --- what is refused -----------------------------------------------------------------------------


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A data folder with the first three foods and their measures."""
    for name in ("food_words.toml", "nutrients.csv"):
        shutil.copy(DATA / name, tmp_path / name)
    rows = list(csv.reader((DATA / "foods.csv").open(encoding="utf-8", newline="")))[:4]
    write(tmp_path / "foods.csv", rows)
    measures = list(csv.reader((DATA / "measures.csv").open(encoding="utf-8", newline="")))
    ids = {row[0] for row in rows[1:]}
    write(tmp_path / "measures.csv", [measures[0], *(m for m in measures[1:] if m[0] in ids)])
    return tmp_path


def write(path: Path, rows: list[list[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows(rows)


def change(path: Path, row: int, column: str, value: str) -> None:
    rows = list(csv.reader(path.open(encoding="utf-8", newline="")))
    rows[row][rows[0].index(column)] = value
    write(path, rows)


def test_the_copy_itself_is_fine(copy: Path) -> None:
    assert len(load_foods(data=copy).foods) == 3


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("FE", "a lot", 'foods.csv row 3: FE is "a lot" where a number'),
        ("FE", "nan", 'FE is "nan"'),
        ("FE", "-1", 'FE is "-1"'),
        ("FE", "1_0", 'FE is "1_0"'),
        ("FAT", "1000", "more than 100.5 cannot be"),
        ("ENERC_KCAL", "9020", "more than 902.5 cannot be"),
        ("group", "Vegtables", 'group "Vegtables" is not one of'),
        ("state", "", 'state "" is not one of'),
        ("role", "meat", 'role "meat" is not one of'),
        ("aisle", "Aisle 3", 'aisle "Aisle 3" is not one of'),
        ("name", "Beans*", r"holds \*, which look-ups cannot take"),
        ("name", "x" * 61, "more than 60 letters"),
        ("name", "", "name is blank"),
        ("allergens", "milk;", 'allergens holds "milk"'),
        ("allergens", "+mlik;", r'allergens holds "\+mlik"'),
        ("allergens", "+milk", "must end with a semicolon"),
        ("diet", "meat;vegan", 'diet holds "vegan"'),
        ("cautions", "hot", 'cautions holds "hot"'),
        ("mfp", "maybe", 'mfp "maybe" is not one of'),
        ("refuse_pct", "100", "must stay below 100"),
        ("g_per_ml", "heavy", 'g_per_ml is "heavy"'),
        ("counterpart_id", "sr99999", 'counterpart "sr99999"'),
        ("salt_ingredient", "", 'salt_ingredient "" is not one of'),
    ],
)
def test_a_bad_cell_is_refused_in_one_sentence(column: str, value: str, words: str, copy: Path) -> None:
    change(copy / "foods.csv", 2, column, value)
    with pytest.raises(BadInput, match=words) as caught:
        load_foods(data=copy)
    assert str(caught.value).count("\n") == 0


def test_two_foods_of_one_name_are_refused(copy: Path) -> None:
    names = [food.name for food in load_foods(data=copy).foods]
    change(copy / "foods.csv", 2, "name", names[0].upper())
    with pytest.raises(BadInput, match="names both"):
        load_foods(data=copy)


def test_every_bad_row_is_told_at_once(copy: Path) -> None:
    change(copy / "foods.csv", 1, "FE", "x")
    change(copy / "foods.csv", 3, "FE", "y")
    with pytest.raises(BadInput) as caught:
        load_foods(data=copy)
    assert str(caught.value).count("\n") == 1


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("grams", "0", "must be a number above 0"),
        ("grams", "many", "must be a number above 0"),
        ("food_id", "sr99999", "no food with the id"),
        ("number", "7", "should be 1"),
        ("unit", "", "blank or given twice"),
    ],
)
def test_a_bad_measure_is_refused(column: str, value: str, words: str, copy: Path) -> None:
    change(copy / "measures.csv", 1, column, value)
    with pytest.raises(BadInput, match=words):
        load_foods(data=copy)


def test_a_missing_column_is_named(copy: Path) -> None:
    change(copy / "foods.csv", 0, "FE", "iron")
    with pytest.raises(BadInput, match="lacks the columns FE"):
        load_foods(data=copy)


def test_a_short_row_is_refused(copy: Path) -> None:
    rows = list(csv.reader((copy / "foods.csv").open(encoding="utf-8", newline="")))
    write(copy / "foods.csv", [*rows[:2], rows[2][:-1]])
    with pytest.raises(BadInput, match="cells, the header"):
        load_foods(data=copy)


def test_a_missing_file_and_a_damaged_one_are_told(copy: Path) -> None:
    with pytest.raises(BadInput, match=r"usda_sr28\.csv\.xz: is missing"):
        load_foods("usda", copy)
    (copy / "usda_sr28.csv.xz").write_bytes(b"no xz")
    with pytest.raises(BadInput, match="is damaged"):
        load_foods("usda", copy)


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(BadInput, match="use kitchen or usda"):
        load_foods("world")  # type: ignore[arg-type]
