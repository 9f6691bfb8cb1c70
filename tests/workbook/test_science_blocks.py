"""Plate, iron, protein, readings and ranges in a live workbook: they follow inputs and agree with the core at limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests.dishes import line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.claims import ClaimRules
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.iron import iron_of_serving
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import plate_balance
from workbookgen.nutrition.protein import partners, protein_of_serving
from workbookgen.session import default_settings
from workbookgen.verify import verify
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value
from workbookgen.workbook.card_tables import put_card_tables
from workbookgen.workbook.checks_sheet import put_checks_sheet
from workbookgen.workbook.cooking_sheet import put_cooking
from workbookgen.workbook.foods_sheet import put_foods, put_measures
from workbookgen.workbook.hub_sheets import put_results_hub
from workbookgen.workbook.look import load_look
from workbookgen.workbook.methods_sheet import put_methods, put_ranges
from workbookgen.workbook.own_sheets import put_own_measures
from workbookgen.workbook.partners_sheet import ALL_FIRST, FOOD, SCORE, TOP_FIRST, put_partners
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout, recipe_layout, strip_lengths
from workbookgen.workbook.recipe_picker import INPUT_ROW as PICK_ROW
from workbookgen.workbook.recipe_protein import (
    S_COMPLETE,
    S_CORRECTED,
    S_DV,
    S_SCORE,
    corrected_cell,
    protein_dv_cell,
)
from workbookgen.workbook.recipe_sheet import put_recipe
from workbookgen.workbook.safety_sheet import put_safety
from workbookgen.workbook.science_layout import INPUTS, TABLE_FIRST
from workbookgen.workbook.shares_sheet import CHART_FIRST, put_shares
from workbookgen.workbook.start_sheet import finish_start, put_start
from workbookgen.workbook.stored import fill
from workbookgen.workbook.tables_sheet import put_tables
from workbookgen.workbook.write import write_book

FOODS = ("Kale, raw", "Ground beef, 95% lean, raw", "White rice, long grain, enriched, cooked", "Brown rice, long grain, cooked",
         "Black beans, boiled", "Egg, whole, raw", "Tofu, firm, calcium sulfate", "Olive oil", "Red bell pepper, raw", "Water, tap",
         "Milk, fat free", "Lentils, brown or green, dry", "Broccoli, raw", "Navel oranges, raw", "Strawberries, raw")
DISH = Recipe("Test dish", 2.0, (line("Ground beef, 95% lean, raw", 150), line("White rice, long grain, enriched, cooked", 300),
                                 line("Red bell pepper, raw", 200), line("Black beans, boiled", 100), line("Olive oil", 10)))
SOUP = Recipe("Lentil soup", 4.0, (line("Lentils, brown or green, dry", 200), line("Water, tap", 900, water="stays"),
                                   line("Kale, raw", 150)))


@dataclass
class Live:
    """A filled book with the sheet of its first recipe."""

    book: Book
    kitchen: Kitchen
    sheet: Sheet
    lay: RecipeLayout
    analyses: list[Analysis]

    def set(self, key: str, row: int, value: Value) -> None:
        self.sheet.cells[row, self.lay.col[key]].value = value

    def work_out(self) -> None:
        for sheet in self.book.sheets:
            for cell in sheet.cells.values():
                if cell.formula:
                    cell.value = LOOKUP
        assert fill(self.book) == []

    def value(self, key: str, row: int) -> object:
        return self.sheet.cells[row, self.lay.col[key]].value

    def at(self, section: str, key: str, row: int) -> object:
        return self.value(key, self.lay.section[section] + row)

    def other(self, name: str) -> Sheet:
        return next(s for s in self.book.sheets if s.name == name)


def kitchen_of(kitchen: Kitchen) -> Kitchen:
    return small_kitchen(kitchen, *FOODS)


def lay_out_book(kitchen: Kitchen, *recipes: Recipe, spares: int = 0) -> Live:
    """The sheets these blocks read and write, without statements, cards and labels, so that a test is quick."""
    settings = default_settings()
    kitchen = replace(kitchen, tables=replace(kitchen.tables, claims=ClaimRules()))
    analyses = [analyse_recipe(kitchen, r, settings) for r in recipes]
    book = Book()
    start = put_start(book, kitchen, settings, load_look()["programme"])
    strips = strip_lengths(kitchen)
    empty: list[tuple[str, Recipe | None, Analysis | None]] = [(f"Spare {i + 1}", None, None) for i in range(spares)]
    made = [(r.title, r, a) for r, a in zip(recipes, analyses, strict=True)]
    sheets = [put_recipe(book, kitchen, tab, recipe_layout(kitchen, len(r.lines) if r else 0, strips, 0, False), r, a)
              for tab, r, a in [*made, *empty]]
    put_results_hub(book, kitchen, sheets)
    put_partners(book, kitchen, sheets)
    put_shares(book, kitchen, sheets)
    offers = put_cooking(book, kitchen)
    put_own_measures(book, kitchen.own_measures)
    foods = put_foods(book, kitchen, offers)
    put_measures(book, kitchen, [])
    put_tables(book, kitchen, constant_rows())
    put_methods(book, kitchen)
    put_ranges(book, kitchen)
    put_safety(book, kitchen)
    put_card_tables(book, kitchen)
    _, failing = put_checks_sheet(book, kitchen, sheets, foods)
    finish_start(book, start, kitchen, settings, recipes[0].title, failing)
    assert fill(book) == []
    return Live(book, kitchen, sheets[0].sheet, sheets[0].lay, analyses)


@pytest.fixture(scope="module")
def made(kitchen: Kitchen) -> Live:
    return lay_out_book(kitchen_of(kitchen), DISH, SOUP, spares=1)


@pytest.fixture
def live(made: Live) -> Iterator[Live]:
    """The book laid out once; cells that a test types into are put back."""
    before = {(sheet.name, at): cell.value for sheet in made.book.sheets for at, cell in sheet.cells.items() if not cell.formula}
    stored = {(sheet.name, at): cell.value for sheet in made.book.sheets for at, cell in sheet.cells.items()}
    yield made
    for sheet in made.book.sheets:
        for at, cell in sheet.cells.items():
            cell.value = before.get((sheet.name, at), stored[sheet.name, at])


def test_sheet_shows_what_the_core_finds(live: Live) -> None:
    iron = iron_of_serving(live.kitchen, live.analyses[0])
    assert live.at("iron", "grams", TABLE_FIRST) == pytest.approx(iron.classes.absorbed_mg)
    protein = protein_of_serving(live.kitchen, live.analyses[0])
    assert live.at("protein", "dish", TABLE_FIRST + S_SCORE) == pytest.approx(protein.chosen.score)
    assert live.at("protein", "message", TABLE_FIRST + S_COMPLETE) == protein.complete
    assert live.value("treat", live.lay.plate_first + 3) == "more than planned"


@pytest.mark.parametrize("by", ["cups", "energy"])
def test_the_plate_compares_by_what_is_chosen(live: Live, by: str) -> None:
    live.set("unit", live.lay.plate_by, by)
    live.work_out()
    expected = plate_balance(live.kitchen, live.analyses[0], by)
    for g, group in enumerate(expected.groups):
        row = live.lay.plate_first + g
        assert live.value("unit", row) == pytest.approx(group.share_pct)
        assert live.value("treat", row) == group.verdict
        assert live.value("grams", row) == pytest.approx(group.add_all)
        assert live.value("dish", row) == pytest.approx(group.take_all)


def test_a_chosen_ingredient_mends_its_group(live: Live) -> None:
    lay = live.lay
    live.set("food", lay.mend_first, "Black beans, boiled")
    live.work_out()
    assert live.value("amount", lay.mend_first) == 4
    assert live.value("water", lay.mend_first) == pytest.approx(live.value("water", lay.plate_first))
    live.set("food", lay.mend_first, "Olive oil")
    live.work_out()
    assert live.value("treat", lay.mend_first) == "this line counts elsewhere"
    live.set("food", lay.mend_first, "Marzipan")
    live.work_out()
    assert live.value("treat", lay.mend_first) == "not a food of this recipe"
    assert live.value("water", lay.mend_first) == ""


@pytest.mark.parametrize(("typed", "place"), [(0, 1), (1000, 4), (300, 3), ("0", 3), (True, 3)])
def test_iron_stores_as_typed(live: Live, typed: Value, place: int) -> None:
    live.set("food", live.lay.section["iron"] + INPUTS, typed)
    live.work_out()
    assert live.at("iron", "r_food", INPUTS) == place


def test_life_stage_sets_the_need(live: Live) -> None:
    live.set("treat", live.lay.section["iron"] + INPUTS, "Pregnancy")
    live.work_out()
    need_row = TABLE_FIRST + 1 + len(live.kitchen.tables.science.stores) + 2
    assert live.at("iron", "water", need_row) == 27
    assert live.at("iron", "grams", need_row) == pytest.approx(27 * 0.25)


@pytest.mark.parametrize("pattern", [0, 8])
def test_the_pattern_chosen_is_the_one_shown(live: Live, pattern: int) -> None:
    chosen = live.kitchen.tables.science.patterns[pattern]
    live.set("food", live.lay.section["protein"] + INPUTS, chosen.name)
    live.work_out()
    expected = protein_of_serving(live.kitchen, live.analyses[0], chosen.id)
    assert live.at("protein", "dish", TABLE_FIRST + S_SCORE) == pytest.approx(expected.chosen.score)
    for i, (without, _) in enumerate(expected.without):
        found = live.value("p_without", FIRST_LINE + i)
        assert found == ("" if without is None else pytest.approx(without))


def test_choices_of_a_recipe_file_reach_the_sheet(kitchen: Kitchen) -> None:
    choices = (("plate_by", "cups"), ("plate_mend_3", "Red bell pepper, raw"), ("iron_stores", "0"), ("iron_stage", "pregnancy"),
               ("protein_pattern", "fao_who_1991"))
    live = lay_out_book(kitchen_of(kitchen), replace(DISH, settings=choices))
    assert live.value("r_food", live.lay.plate_by) == 2
    assert live.value("amount", live.lay.mend_first + 2) == 3
    assert live.at("iron", "r_food", INPUTS) == 1
    assert live.at("iron", "r_amount", INPUTS) == 4
    assert live.at("protein", "r_food", INPUTS) == 1


def test_choices_that_make_no_sense_are_the_defaults(kitchen: Kitchen) -> None:
    choices = (("plate_by", "colour"), ("iron_stores", "9"), ("iron_stage", "dragons"), ("protein_pattern", "x"))
    live = lay_out_book(kitchen_of(kitchen), replace(DISH, settings=choices))
    assert live.value("r_food", live.lay.plate_by) == 1
    assert live.at("iron", "r_food", INPUTS) == 3
    assert live.at("protein", "r_food", INPUTS) == 11


EDGES = ((29.999, 0.0), (30.0, 0.0), (30.0, 25.0), (90.0, 0.0), (90.001, 24.999), (0.0, 25.0), (0.0, 75.0), (0.0, 75.001), (44.999, 30.0))


def test_iron_classes_and_cap_agree_at_their_edges(kitchen: Kitchen) -> None:
    """Sheet and core, two voices: grams of meat and mg of vitamin C aimed at every limit, through three servings."""
    base = kitchen_of(kitchen)
    foods = tuple(replace(f, values={**f.values, "VITC": 100.0}) if f.name == "Kale, raw"
                  else replace(f, values={**f.values, "VITC": 0.0}) if f.mfp else f for f in base.table.foods)
    exact = replace(base, table=replace(base.table, foods=foods))
    recipes = [Recipe(f"Edge {i}", 3.0, (line("Ground beef, 95% lean, raw", meat * 3), line("Kale, raw", vitc * 3 / 2), line("Kale, raw", vitc * 3 / 2)))
               for i, (meat, vitc) in enumerate(EDGES)]
    recipes = [replace(r, lines=tuple(x for x in r.lines if x.amount > 0)) for r in recipes]
    live = lay_out_book(exact, *recipes)
    classes = {iron_of_serving(exact, a).meal_class for a in live.analyses}
    assert classes == {"low", "medium", "high"}


def test_lean_test_agrees_at_its_edges(kitchen: Kitchen) -> None:
    base = kitchen_of(kitchen)
    for fat, saturated, cholesterol in ((10.0, 4.5, 94.9), (9.9, 4.5, 94.9), (9.9, 4.6, 94.9), (9.9, 4.5, 95.0), (4.9, 1.9, 94.0), (5.0, 2.0, 94.0)):
        values = {"FAT": fat, "FASAT": saturated, "CHOLE": cholesterol}
        foods = tuple(replace(f, values={**f.values, **values}) if f.name == "Ground beef, 95% lean, raw" else f for f in base.table.foods)
        exact = replace(base, table=replace(base.table, foods=foods))
        recipe = Recipe("Lean", 1.0, (line("Ground beef, 95% lean, raw", 33.3), line("Ground beef, 95% lean, raw", 66.7)))
        live = lay_out_book(exact, recipe)
        assert live.value("treat", live.lay.plate_fact + 2) == plate_balance(exact, live.analyses[0]).lean.verdict


def test_protein_coverage_agrees_at_ninety_per_cent(kitchen: Kitchen) -> None:
    base = kitchen_of(kitchen)
    for grams, words in ((10.0, "complete"), (10.0001, "not enough data")):
        foods = []
        for f in base.table.foods:
            values = dict(f.values)
            if f.name == "Kale, raw":  # the same protein as egg, without a known amino acid
                values = {**values, "PROCNT": base.food_by_name["egg, whole, raw"].values["PROCNT"]}
                values.pop("LYS", None)
            foods.append(replace(f, values=values, nitrogen_factor=6.25))
        exact = replace(base, table=replace(base.table, foods=tuple(foods)))
        live = lay_out_book(exact, Recipe("Cover", 1.0, (line("Egg, whole, raw", 90), line("Kale, raw", grams))))
        assert live.at("protein", "message", TABLE_FIRST + S_COMPLETE) == words
        corrected = live.at("protein", "dish", TABLE_FIRST + S_CORRECTED)
        assert isinstance(corrected, float) is (words == "complete")
        assert (live.at("protein", "dish", TABLE_FIRST + S_DV) == "-") is (words != "complete")


def test_cells_for_the_label_and_statements_hold_the_corrected_protein(live: Live) -> None:
    protein = protein_of_serving(live.kitchen, live.analyses[0])
    row = live.lay.section["protein"] + TABLE_FIRST
    assert corrected_cell(live.lay) == live.lay.at("dish", row + S_CORRECTED)
    assert protein_dv_cell(live.lay) == live.lay.at("dish", row + S_DV)
    assert live.value("dish", row + S_CORRECTED) == pytest.approx(protein.corrected_g)
    assert live.value("dish", row + S_DV) == pytest.approx(protein.dv_pct)


def test_a_spare_sheet_claims_nothing(live: Live) -> None:
    spare = live.other("Spare 1")
    lay = recipe_layout(live.kitchen, 0, strip_lengths(live.kitchen), 0, False)
    assert spare.cells[lay.section["protein"] + TABLE_FIRST + S_COMPLETE, lay.col["message"]].value == "-"
    assert spare.cells[lay.section["protein"] + TABLE_FIRST + S_CORRECTED, lay.col["dish"]].value == "-"
    assert spare.cells[lay.section["iron"] + TABLE_FIRST, lay.col["grams"]].value == 0
    assert spare.cells[lay.section["range"] + 2, lay.col["treat"]].value == "no range published"


def test_partners_follow_the_chosen_recipe(live: Live) -> None:
    sheet = live.other("Partners")
    pattern = live.kitchen.tables.science.patterns[live.kitchen.tables.science.pattern_no("default")]
    for title, analysis in (("Test dish", live.analyses[0]), ("Lentil soup", live.analyses[1])):
        sheet.cells[PICK_ROW, FOOD].value = title
        live.work_out()
        tried = partners(live.kitchen, analysis, pattern)
        assert [sheet.cells[ALL_FIRST + i, SCORE].value for i in range(len(tried))] == [pytest.approx(t.score) for t in tried]
        best = sorted(range(len(tried)), key=lambda i: (-tried[i].score, i))[:5]
        assert [sheet.cells[TOP_FIRST + m, FOOD].value for m in range(min(5, len(tried)))] == [tried[i].food.name for i in best]


@pytest.mark.parametrize("typed", ["", "No such dish", True])
def test_partners_of_an_unknown_title_are_those_of_the_first_recipe(live: Live, typed: Value) -> None:
    sheet = live.other("Partners")
    first = sheet.cells[ALL_FIRST, SCORE].value
    sheet.cells[PICK_ROW, FOOD].value = typed
    live.work_out()
    assert sheet.cells[ALL_FIRST, SCORE].value == pytest.approx(first)
    assert any(c.value == "not a recipe of this book: the first one is shown" for c in sheet.cells.values())


def test_shares_follow_recipe_and_nutrient(live: Live) -> None:
    sheet = live.other("Shares")
    sheet.cells[PICK_ROW, 1].value = "Lentil soup"
    sheet.cells[PICK_ROW, 4].value = "Vitamin K"
    live.work_out()
    assert sheet.cells[CHART_FIRST, 1].value == "Kale, raw"
    shares = [sheet.cells[CHART_FIRST + k, 2].value for k in range(3)]
    assert sum(s for s in shares if isinstance(s, float)) == pytest.approx(100)


def test_food_table_without_spreads_prints_no_range(kitchen: Kitchen) -> None:
    base = kitchen_of(kitchen)
    bare = replace(base, table=replace(base.table, details={}))
    live = lay_out_book(bare, DISH)
    assert {live.at("range", "treat", 2 + i) for i in range(19)} == {"no range published"}


def test_engines_agree_on_a_book_with_every_block(live: Live, tmp_path: Path) -> None:
    path = tmp_path / "science.xlsx"
    write_book(live.book, path, load_look())
    report = verify(path, ["ironcalc"])  # every other test here runs formualizer
    assert report.ok, [d for r in report.results for d in r.differing][:5]
