"""Each layout gives the rows it should: figures, units, portions, details, sources."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.catalogue.importers.conftest import SAMPLES, Import, zipped
from workbookgen.catalogue.importers.fdc_portions import portion_words
from workbookgen.catalogue.importers.rules import load_import_rules
from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.session import load_kitchen

RULES = load_import_rules(data_path())


# --- FoodData Central, SR Legacy ------------------------------------------------------------------


def test_figures_of_a_download_arrive_unchanged(imported: Import) -> None:
    """SR28 prints for black beans: protein 21.60 g (36 data points), iron 5.02 mg, 341 kcal."""
    beans = imported("sr_legacy").by_number["16014"]
    assert [beans.values[t] for t in ("PROCNT", "FE", "ENERC_KCAL", "FIBTG")] == [21.6, 5.02, 341, 15.5]
    assert "STARCH" not in beans.values


def test_data_points_range_and_source_code_are_kept(imported: Import) -> None:
    made = imported("sr_legacy")
    fat = made.table.details[made.by_number["01001"].id, "FAT"]
    assert (fat.points, fat.minimum, fat.maximum, fat.source_code) == (580, 79.5, 82.9, "A")


def test_a_reviewed_ndb_number_brings_its_kitchen_words(imported: Import) -> None:
    made = imported("sr_legacy")
    beans = made.by_number["16014"]
    assert (beans.name, beans.state, beans.allergens) == ("Black beans, dry", "dry", "")
    assert "group by reviewed: 2" in made.report


def test_other_foods_are_inferred_and_rule_out_no_allergen(imported: Import) -> None:
    made = imported("sr_legacy")
    raw, boiled = made.by_number["99990"], made.by_number["99991"]
    assert (raw.group, raw.state, raw.role, raw.salt_ingredient) == ("Vegetables", "raw", "vegetable", "no")
    assert (boiled.state, boiled.salt_ingredient) == ("cooked", "no")
    assert all("?*;" in food.allergens for food in (raw, boiled))


def test_volumes_become_density_and_part_amounts_whole_units(imported: Import) -> None:
    made = imported("sr_legacy")
    assert made.by_number["01001"].g_per_ml == pytest.approx(227 / 236.5882365)
    assert made.measures("99990") == {"cup, chopped": 90.0}


def test_the_report_names_what_could_not_be_used(imported: Import) -> None:
    report = imported("sr_legacy").report
    for part in (
        "foods of the type branded_food are not read: 1",
        "nutrients of the file that are not used: 1\n    Vitamin A, IU",
        "values of foods that food.csv does not list: 1\n    999999",
        "refuse is not told: as purchased counts as edible: 4",
    ):
        assert part in report


def test_a_value_without_a_source_code_reads_not_told(imported: Import) -> None:
    assert "1 not told" in imported("sr_legacy").by_number["99991"].provenance


def test_a_zip_with_a_folder_inside_gives_the_same_table(imported: Import, tmp_path: Path) -> None:
    plain = imported("sr_legacy")
    foods = (plain.to / "foods.csv").read_bytes()
    archive = zipped(SAMPLES / "sr_legacy", tmp_path / "download.zip", "FoodData_Central_csv/")
    packed = imported(archive)
    assert (packed.to / "foods.csv").read_bytes() == foods


def test_select_takes_listed_numbers_only(imported: Import, tmp_path: Path) -> None:
    chosen = tmp_path / "mine.txt"
    chosen.write_text("# my foods\n16014, black beans\n901001\n", encoding="utf-8")
    assert set(imported("sr_legacy", select=chosen).by_number) == {"16014", "01001"}


# --- Foundation -----------------------------------------------------------------------------------


def test_energy_takes_specific_before_general_factors_where_208_is_missing(imported: Import) -> None:
    made = imported("foundation")
    pork, flour = made.table.foods
    assert (pork.values["ENERC_KCAL"], flour.values["ENERC_KCAL"]) == (510, 350)
    assert "ENERC_KCAL taken from nutrient 958, the usual one is not printed: 1" in made.report


def test_fibre_291_goes_before_293_and_sugars_fall_back_to_their_sum(imported: Import) -> None:
    flour = imported("foundation").table.foods[1]
    assert (flour.values["FIBTG"], flour.values["SUGAR"]) == (10.1, 1.4)


def test_units_are_converted_exactly(imported: Import) -> None:
    made = imported("foundation")
    pork = made.table.foods[0]
    assert pork.values["SE"] == 21.5  # printed as 0.0215 mg
    detail = made.table.details[pork.id, "SE"]
    assert (detail.minimum, detail.maximum) == (18, 25)


def test_a_nutrient_without_number_is_known_by_its_id(imported: Import) -> None:
    assert imported("foundation").table.foods[0].values["NA"] == 52


def test_carbohydrate_by_difference_slightly_below_zero_is_zero_and_reported(imported: Import) -> None:
    made = imported("foundation")
    assert made.table.foods[0].values["CHOCDF"] == 0
    assert "CHOCDF by difference slightly below 0, read as 0: 1" in made.report


def test_refuse_and_nitrogen_factor_come_from_their_files(imported: Import) -> None:
    pork, flour = imported("foundation").table.foods
    assert (pork.refuse_pct, pork.refuse_what, flour.nitrogen_factor) == (10, "Skin, Bone", 5.83)


def test_foundation_portions_name_unit_and_modifier(imported: Import) -> None:
    made = imported("foundation")
    units = {m.unit: m.grams for m in made.table.measures}
    assert units == {"piece, thick": 90.0, "tbsp, heaped": 10.0}
    assert made.table.foods[1].g_per_ml == pytest.approx(125 / 236.5882365)


# --- survey foods ---------------------------------------------------------------------------------


def test_survey_foods_warn_that_salt_is_in_them(imported: Import) -> None:
    made = imported("fndds")
    assert "CAUTION" in made.report
    assert "salt" in made.report
    cooked = [food for food in made.table.foods if food.state != "raw"]
    assert {food.salt_ingredient for food in cooked} == {"unknown"}
    assert all("plant" not in food.diet or "?" in food.diet for food in cooked)


def test_a_survey_food_from_dried_beans_is_cooked(imported: Import) -> None:
    states = {food.name: food.state for food in imported("fndds").table.foods}
    assert states == {
        "Fernbeans, from dried, no added fat": "cooked",
        "Fernapple, raw": "raw",
        "Fern stew, beef": "ready",
        "Fernrice, NFS": "cooked",
    }


def test_survey_categories_give_the_group_and_numbers_may_stand_for_ids(imported: Import) -> None:
    beans = imported("fndds").by_number["41101010"]
    assert (beans.group, beans.values["NA"], beans.values["FOLDFE"]) == ("Pulses", 238, 148)


def test_survey_portions_carry_the_amount_in_their_words(imported: Import) -> None:
    made = imported("fndds")
    assert made.measures("63101000") == {"large": 240.0, "cup, sliced": 110.0}
    assert made.by_number["41101010"].g_per_ml == pytest.approx(180 / 236.5882365)
    assert "portions without usable words: 1" in made.report


@pytest.mark.parametrize(
    ("cells", "found"),
    [
        (("1.0", "undetermined", "", "cup, chopped"), ("1.0", "cup, chopped")),
        (("2.0", "tablespoon", "", ""), ("2.0", "tbsp")),
        (("1.0", "cup", "", "sliced"), ("1.0", "cup, sliced")),
        (("", "undetermined", "1 cup", "10205"), ("1", "cup")),
        (("", "undetermined", "1/4 cup", "10205"), ("0.25", "cup")),
        (("", "undetermined", "Quantity not specified", "90000"), ("", "")),
        (("", "undetermined", "1/0 cup", "1"), ("", "cup")),
    ],
)
def test_portion_words_of_the_three_data_types(cells: tuple[str, ...], found: tuple[str, str]) -> None:
    assert portion_words(*cells, RULES) == found


# --- SR ASCII -------------------------------------------------------------------------------------


def test_sr_ascii_reads_figures_refuse_and_errors(imported: Import) -> None:
    made = imported("sr_ascii")
    milk, peas = made.table.foods
    assert (milk.values["PROCNT"], milk.values["SE"], milk.nitrogen_factor) == (3.15, 3.7, 6.38)
    assert (peas.refuse_pct, peas.refuse_what) == (62, "Pods")
    detail = made.table.details[milk.id, "PROCNT"]
    assert (detail.points, detail.standard_error, detail.minimum, detail.source_code) == (12, 0.1, 3, "1 A")


def test_kilojoules_count_where_kilocalories_are_missing(imported: Import) -> None:
    milk, peas = imported("sr_ascii").table.foods
    assert (milk.values["ENERC_KCAL"], peas.values["ENERC_KCAL"]) == (61, 81.0229)  # 339 kJ / 4.184


# --- CSV template ---------------------------------------------------------------------------------


def test_the_template_itself_imports(imported: Import) -> None:
    made = imported(template_path("food_table.csv"))
    raw, boiled = made.table.foods
    assert raw.counterpart_id == boiled.id
    assert (raw.allergens, boiled.allergens) == ("", "?*;")
    assert raw.values["ENERC_KCAL"] == 35.8509  # 150 kJ / 4.184
    assert raw.values["CHOCDF"] == 6.2  # 3.4 g available carbohydrate and 2.8 g fibre
    assert made.measures("example2026 A1") == {"cup, chopped": 67.0, "leaf": 12.0}
    detail = made.table.details[raw.id, "FE"]
    assert (detail.points, detail.standard_error, detail.minimum, detail.maximum) == (6, 0.1, 1.1, 1.8)


def test_numbers_of_another_table_never_meet_usda_yields(imported: Import) -> None:
    assert all(" " in food.source_number for food in imported(template_path("food_table.csv")).table.foods)


# --- saving and using -----------------------------------------------------------------------------


def test_same_input_gives_same_bytes(imported: Import) -> None:
    first = {file.name: file.read_bytes() for file in imported("sr_legacy").to.iterdir()}
    again = {file.name: file.read_bytes() for file in imported("sr_legacy").to.iterdir()}
    assert first == again


def test_a_csv_target_has_its_companions_beside_it(tmp_path: Path) -> None:
    from workbookgen.catalogue.importers.run import import_foods

    import_foods(SAMPLES / "sr_legacy", tmp_path / "mine.csv")
    names = sorted(file.name for file in tmp_path.iterdir())
    assert names == [
        "mine.csv",
        "mine_measures.csv",
        "mine_report.txt",
        "mine_sources.csv",
        "mine_values.csv",
    ]
    assert len(load_kitchen(str(tmp_path / "mine.csv")).table.foods) == 4


def test_a_kitchen_on_an_import_knows_its_sources(imported: Import) -> None:
    kitchen = load_kitchen(str(imported("foundation").to))
    assert {food.source_id for food in kitchen.table.foods} <= set(kitchen.tables.sources)
    assert "2023-10-26 to 2024-04-18" in kitchen.tables.sources["fdc_foundation"].citation


def test_own_rules_go_before_the_built_in_ones(imported: Import, tmp_path: Path) -> None:
    rules = tmp_path / "rules.csv"
    rules.write_text(
        "field,source_groups,own_groups,words,but,value,why\n"
        "group,,,fernbroccoli,,Starchy vegetables,we serve it as a starch\n"
        "allergens,,,black,,?soy,\n",
        encoding="utf-8",
    )
    made = imported("sr_legacy", own_rules=rules)
    assert made.by_number["99990"].group == "Starchy vegetables"
    assert made.by_number["99990"].role == "starchy vegetable"
    assert made.by_number["16014"].allergens == "?soy;"
    assert made.by_number["01001"].allergens == "+milk;"


@given(st.decimals(min_value=0, max_value=100, places=4, allow_nan=False))
def test_conversion_by_powers_of_ten_loses_nothing(value: object) -> None:
    from decimal import Decimal

    from workbookgen.catalogue.importers.raw import times

    there = times(str(value), Decimal(1000), 6)
    assert Decimal(times(there, Decimal("0.001"), 6)) == Decimal(str(value))


def test_a_sample_imports_in_a_moment(imported: Import) -> None:
    start = time.process_time()
    imported("sr_legacy")
    assert time.process_time() - start < 2
