"""Extract gives the edits and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.roundtrip.conftest import Edit, Small
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Note, Recipe, Target
from workbookgen.recipes.load import load_recipes
from workbookgen.roundtrip.extract import Extracted, extract, unplaced
from workbookgen.roundtrip.write_folder import write_folder
from workbookgen.verify.read import read_book
from workbookgen.verify.values import cell_name
from workbookgen.workbook.record_sheet import SHEET

POT, PLAIN, WITHOUT = "Bean pot", "=Plain kale", "Without oil, Bean pot"


def same(one: Recipe, other: Recipe) -> bool:
    return replace(one, path="") == replace(other, path="")


def pot(found: Extracted) -> Recipe:
    return found.recipes["a-pot.toml"]


def test_an_untouched_book_gives_the_same_recipes_and_nothing_else(small_book: Small) -> None:
    found = extract(small_book.path, small_book.kitchen)
    assert list(found.recipes) == ["a-pot.toml", "b-plain.toml"]
    assert all(same(a, b) for a, b in zip(small_book.recipes, found.recipes.values(), strict=True))
    assert (found.changes, found.locked, found.left, found.kept, found.said) == ([], [], [], [], [])
    assert found.tables == {}


def test_edits_of_every_kind_come_back_and_the_rest_stays(small_book: Small, edited: Edit) -> None:
    old = small_book.recipes[0]
    path = edited({
        (POT, "servings"): 6, (POT, "line.amount 2"): 0.5, (POT, "line.food 3"): "Salt, table", (POT, "line.amount 3"): 1,
        (POT, "line.unit 3"): "tsp", (POT, "line.water 3"): None, (POT, "line.food 5"): "Onions, raw", (POT, "line.amount 5"): "1/2",
        (POT, "line.unit 5"): "cup, chopped", (POT, "line.count 5"): "no", (POT, "line.mark 5"): "hold back",
        (POT, "method 2"): "=SUM(stirring)", (POT, "target.nutrient 3"): "Sodium", (POT, "target.sign 3"): "at most",
        (POT, "target.value 3"): 20, (POT, "target.basis 3"): "%DV", (POT, "iron_stores"): None, (POT, "keeps_like"): None,
        (POT, "note.text 2"): "A second note.", (POT, "cooked_weight_g"): 2000, (POT, "review.comment"): "looked at",
    })  # fmt: skip
    found = extract(path, small_book.kitchen)
    recipe = pot(found)
    one, two, three, four, five = recipe.lines
    assert (one, four) == (old.lines[0], old.lines[3])
    assert (two.amount, two.amount_text, two.food) == (0.5, "", "Olive oil")
    assert (three.food, three.amount, three.unit, three.water) == ("Salt, table", 1.0, "tsp", "")
    assert (five.amount, five.amount_text, five.include, five.held_back) == (0.5, "1/2", False, True)
    assert (recipe.servings, recipe.makes_cups, recipe.cooked_weight_g) == (6, None, 2000)
    assert recipe.method == ("Warm the oil.", "=SUM(stirring)")
    assert recipe.targets == (*old.targets, Target("NA", "<=", 20.0, "%DV"))
    assert dict(recipe.settings) == {"plate_by": "cups", "mood": "kept though no sheet shows it"}
    assert recipe.soup is False
    assert recipe.notes == (*old.notes, Note("A second note."))
    assert recipe.review == replace(old.review, comment="looked at")
    assert (recipe.statements, recipe.switches, recipe.variants) == (old.statements, old.switches, old.variants)
    assert found.left == []
    assert len(found.changes) == 21
    assert same(found.recipes["b-plain.toml"], small_book.recipes[1])


def test_a_spare_sheet_becomes_a_file_and_an_emptied_one_is_told(small_book: Small, edited: Edit) -> None:
    path = edited({
        ("Spare 1", "title"): "New soup", ("Spare 1", "servings"): 3, ("Spare 1", "line.food 1"): "Kale, raw",
        ("Spare 1", "line.amount 1"): 100, ("Spare 1", "line.unit 1"): "g", (PLAIN, "title"): None, (PLAIN, "servings"): None,
        (PLAIN, "line.food 1"): None, (PLAIN, "line.amount 1"): None, (PLAIN, "line.unit 1"): None,
    })  # fmt: skip
    found = extract(path, small_book.kitchen)
    assert list(found.recipes) == ["a-pot.toml", "new-soup.toml"]
    assert found.recipes["new-soup.toml"].servings == 3
    assert any("was emptied" in s and "b-plain.toml" in s for s in found.said)


def test_a_changed_variant_becomes_a_recipe_of_its_own(small_book: Small, edited: Edit) -> None:
    found = extract(edited({(WITHOUT, "line.amount 1"): 4}), small_book.kitchen)
    own = next(r for f, r in found.recipes.items() if f not in ("a-pot.toml", "b-plain.toml"))
    assert own.title == "Bean pot: without oil"
    assert own.lines[0].amount == 4
    assert pot(found).variants == ()
    assert any("recipe of its own" in s for s in found.said)


WRONG = {
    "line.amount 1": ("lots", "does not start with a number"),
    "line.amount 2": (45000, "above 5,000"),
    "line.share 1": (130, "0 to 100"),
    "line.basis 1": ("as found", "words of its list"),
    "servings": ("six", "0.5 to 1000"),
    "plate_model": ("pyramid", "words of its list"),
    "target.value 1": ("many", "not complete"),
    "review.date": ("soon", "not a date"),
    "keeps_like": ("cheesecake", "soups"),
}


def test_what_no_file_takes_is_left_over_with_the_reason(small_book: Small, edited: Edit) -> None:
    cells: dict[tuple[str, str], object] = {(POT, where): value for where, (value, _) in WRONG.items()}
    found = extract(edited({**cells, (POT, "line.amount 4"): "to taste"}), small_book.kitchen)
    left = {x.value: x.why for x in unplaced(found)}
    for value, why in WRONG.values():
        assert why in left[str(value)], value
    assert len(found.changes) == len(WRONG) + 1
    recipe = pot(found)
    assert [line.review for line in recipe.lines] == [True, True, False, True]
    assert (recipe.lines[3].amount, recipe.lines[3].amount_text) == (0.0, "to taste")
    assert (recipe.servings, recipe.soup, recipe.review.date) == (4, True, "2026-01-31")


def test_tables_of_the_folder_are_read_and_judged(small_book: Small, edited: Edit) -> None:
    path = edited({
        ("Own foods", "own_food.name 1"): "House mix", ("Own foods", "own_food.FAT 1"): 12.5, ("Own foods", "own_food.state 1"): "molten",
        ("Own measures", "own_measure.food 1"): "Kale, raw", ("Own measures", "own_measure.unit 1"): "armful",
        ("Own measures", "own_measure.grams 1"): 95, ("Own measures", "own_measure.food 2"): "Kale, raw",
        ("Labels", "label.name 1"): "Brand A", ("Labels", "label.s_g 1"): 30, ("Labels", "label.i_NA 1"): 140,
        ("Prices", "price.food 1"): "Kale, raw", ("Prices", "price.package 1"): 250, ("Prices", "price.price 1"): 2.5,
        ("Start", "setting.plate_tolerance"): 7, ("Start", "setting.programme.sodium"): 500, ("Start", "setting.reference_set"): "nobody",
    })  # fmt: skip
    found = extract(path, small_book.kitchen)
    assert found.tables["own_foods.csv"] == "name,FAT\nHouse mix,12.5\n"
    assert found.tables["own_measures.csv"] == "food,unit,grams\nKale, raw,armful,95\n".replace("Kale, raw", '"Kale, raw"')
    assert found.tables["labels.csv"] == "name,serving_g,NA\nBrand A,30,140\n"
    assert found.tables["prices.csv"].splitlines()[1].startswith('"Kale, raw",2.5,250,g')
    assert found.tables["settings.toml"] == 'plate_tolerance = 7\nprogramme_targets = "sodium = 500"\n'
    assert {x.cell for x in found.left} == {c.cell for c in found.changes if c.new in ("molten", "nobody")} | {
        next(c.cell for c in found.changes if c.field == "own_measure.food" and c.cell.endswith("8"))}  # fmt: skip


def test_other_inputs_are_kept_by_sheet_and_cell_and_a_persons_only_when_asked(small_book: Small, edited: Edit) -> None:
    age = next(cell_name(*b.places[0]) for b in small_book.record.blocks_of("Person") if b.built[0] == 45.0)
    path = edited({("Find", "B5"): "kale", ("Person", age): 71})
    found = extract(path, small_book.kitchen)
    assert [(k.sheet, k.value) for k in found.kept] == [("Find", "kale")]
    assert [c.sheet for c in found.changes] == ["Find"]
    assert any("--personal" in s for s in found.said)
    found = extract(path, small_book.kitchen, personal=True)
    assert [(k.sheet, k.value) for k in found.kept] == [("Person", 71.0), ("Find", "kale")]


def test_every_input_of_a_recipe_sheet_stands_for_a_field(small_book: Small) -> None:
    kinds = {t.name: t.kind for t in small_book.record.tabs.values()}
    assert [b for b in small_book.record.blocks if not b.field and kinds[b.tab] in ("recipe", "variant", "spare")] == []


def test_a_changed_locked_cell_is_told(small_book: Small, edited: Edit) -> None:
    found = extract(edited({("Foods", "B10"): "Tampered", (POT, "J12"): "formula:1+5"}), small_book.kitchen)
    assert [(c.sheet, c.cell, c.now) for c in found.locked] == [(POT, "J12", "=1+5"), ("Foods", "B10", "Tampered")]
    assert all(same(a, b) for a, b in zip(small_book.recipes, found.recipes.values(), strict=True))


@pytest.mark.long
def test_damaged_check_sums_do_not_stop_reading(small_book: Small, edited: Edit) -> None:
    values = read_book(small_book.path).sheets[SHEET].values
    row = next(r for (r, c), v in values.items() if c == 1 and v == "rows" and values[r, 2] == "Foods")
    found = extract(edited({(SHEET, f"E{row}"): "zz", ("Foods", "B10"): "Tampered"}), small_book.kitchen)
    assert found.locked == []
    assert any(s.startswith("Foods: its check sums") for s in found.said)
    assert same(pot(found), small_book.recipes[0])


@pytest.mark.long
def test_a_folder_written_reads_again_and_is_not_overwritten(small_book: Small, edited: Edit, tmp_path) -> None:  # type: ignore[no-untyped-def]
    found = extract(edited({(POT, "line.amount 2"): 2}), small_book.kitchen)
    write_folder(found, tmp_path / "back")
    assert [r.lines[1].amount for r in load_recipes([tmp_path / "back"])[:1]] == [2]
    with pytest.raises(BadInput, match="not empty"):
        write_folder(found, tmp_path / "back")
    write_folder(found, tmp_path / "back", overwrite=True)
