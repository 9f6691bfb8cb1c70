"""The label panel: rounding at and around every step, the regulation's sample label, unknowns, both formats.

Rounding rules: 21 CFR 101.9(c)(1) to (c)(8), each case names its paragraph. EU: Regulation (EU) No 1169/2011,
Annexes I, XIII and XV; rounding by the Commission's guidance of December 2012.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.dishes import dish, line, with_serving
from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.model.analysis import Analysis, NutrientResult
from workbookgen.model.handout import EuPanelRow
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.panel import (
    NOT_KNOWN,
    Panel,
    eu_amount,
    make_panel,
    protein_dv,
    serving_words,
    servings_words,
    us_amount,
    us_line,
)
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

WORDS, RULES = load_kitchen_words(), load_panel_rules()
US = {row.tag: row for row in RULES.us}
EU = {(row.kind, row.tag): row for row in RULES.eu}


def result(
    kitchen: Kitchen, tag: str, amount: float, coverage: float = 1.0, reads: str = ""
) -> NutrientResult:
    """A nutrient of one serving, worked out as the analysis does."""
    from workbookgen.nutrition.label import declared, declared_text

    daily = kitchen.reference_set_by_id["us_4plus"].values.get(tag)
    rule, pct = kitchen.tables.rounding[tag], kitchen.tables.rounding.get("%" + tag)
    dv = amount / daily.value * 100 if daily else None
    unit = kitchen.nutrient_by_tag[tag].unit
    return NutrientResult(
        tag, amount, amount, amount, coverage, reads, dv, declared(amount, rule),
        declared_text(amount, rule, unit, 2), declared(dv, pct) if pct and dv is not None else None,
    )  # fmt: skip


ROUNDING = [
    # (c)(1) calories: below 5 zero, to 50 by 5, above by 10
    ("(c)(1)", "ENERC_KCAL", 4.999, "0"), ("(c)(1)", "ENERC_KCAL", 5, "5"), ("(c)(1)", "ENERC_KCAL", 7.499, "5"),
    ("(c)(1)", "ENERC_KCAL", 7.5, "10"), ("(c)(1)", "ENERC_KCAL", 47.499, "45"), ("(c)(1)", "ENERC_KCAL", 47.5, "50"),
    ("(c)(1)", "ENERC_KCAL", 50, "50"), ("(c)(1)", "ENERC_KCAL", 50.001, "50"), ("(c)(1)", "ENERC_KCAL", 54.999, "50"),
    ("(c)(1)", "ENERC_KCAL", 55, "60"), ("(c)(1)", "ENERC_KCAL", 96, "100"),
    # (c)(2) fats: below 0.5 zero, below 5 by 0.5, above by 1
    ("(c)(2)", "FAT", 0.499, "0 g"), ("(c)(2)", "FAT", 0.5, "0.5 g"), ("(c)(2)", "FAT", 0.749, "0.5 g"),
    ("(c)(2)", "FAT", 0.75, "1 g"), ("(c)(2)", "FAT", 4.749, "4.5 g"), ("(c)(2)", "FAT", 4.75, "5 g"),
    ("(c)(2)", "FAT", 5, "5 g"), ("(c)(2)", "FAT", 5.499, "5 g"), ("(c)(2)", "FAT", 5.5, "6 g"),
    ("(c)(2)(i)", "FASAT", 0.499, "0 g"), ("(c)(2)(i)", "FASAT", 2.25, "2.5 g"),
    ("(c)(2)(ii)", "FATRN", 0.499, "0 g"), ("(c)(2)(ii)", "FATRN", 0.5, "0.5 g"),
    # (c)(3) cholesterol: below 2 zero, 2 to 5 "less than 5 mg", above by 5
    ("(c)(3)", "CHOLE", 1.999, "0 mg"), ("(c)(3)", "CHOLE", 2, "less than 5 mg"),
    ("(c)(3)", "CHOLE", 5, "less than 5 mg"), ("(c)(3)", "CHOLE", 5.001, "5 mg"), ("(c)(3)", "CHOLE", 7.499, "5 mg"),
    ("(c)(3)", "CHOLE", 7.5, "10 mg"),
    # (c)(4) sodium: below 5 zero, to 140 by 5, above by 10
    ("(c)(4)", "NA", 4.999, "0 mg"), ("(c)(4)", "NA", 5, "5 mg"), ("(c)(4)", "NA", 137.499, "135 mg"),
    ("(c)(4)", "NA", 137.5, "140 mg"), ("(c)(4)", "NA", 140, "140 mg"), ("(c)(4)", "NA", 144.999, "140 mg"),
    ("(c)(4)", "NA", 145, "150 mg"),
    # (c)(6) carbohydrate, fibre, sugars, (c)(7) protein: below 0.5 zero, below 1 "less than 1 g", else by 1
    ("(c)(6)", "CHOCDF", 0.499, "0 g"), ("(c)(6)", "CHOCDF", 0.5, "less than 1 g"),
    ("(c)(6)", "CHOCDF", 0.999, "less than 1 g"), ("(c)(6)", "CHOCDF", 1, "1 g"), ("(c)(6)", "CHOCDF", 1.499, "1 g"),
    ("(c)(6)", "CHOCDF", 1.5, "2 g"), ("(c)(6)(i)", "FIBTG", 0.8, "less than 1 g"),
    ("(c)(6)(ii)", "SUGAR", 0.499, "0 g"), ("(c)(6)(iii)", "SUGAD", 10.4, "10 g"),
    ("(c)(7)", "PROCNT", 0.4, "0 g"), ("(c)(7)", "PROCNT", 0.75, "less than 1 g"), ("(c)(7)", "PROCNT", 12.5, "13 g"),
    # (c)(8)(iv) amounts at the levels of significance of the RDI
    ("(c)(8)", "VITD", 1.94, "1.9 mcg"), ("(c)(8)", "FE", 3.65, "3.7 mg"), ("(c)(8)", "CA", 264.9, "260 mg"),
    ("(c)(8)", "CA", 265, "270 mg"), ("(c)(8)", "K", 1234.9, "1230 mg"),
]  # fmt: skip


@pytest.mark.parametrize(("paragraph", "tag", "amount", "text"), ROUNDING)
def test_amounts_round_by_their_paragraph(
    kitchen: Kitchen, paragraph: str, tag: str, amount: float, text: str
) -> None:
    unit = "" if tag == "ENERC_KCAL" else kitchen.nutrient_by_tag[tag].unit
    assert us_amount(result(kitchen, tag, amount), kitchen.tables.rounding[tag], unit) == text


PERCENT = [
    # (c)(8)(iii) vitamins and minerals: below 2 % zero, to 10 by 2, to 50 by 5, above by 10
    ("(c)(8)(iii)", "FE", 1.99, "0%"), ("(c)(8)(iii)", "FE", 2, "2%"), ("(c)(8)(iii)", "FE", 2.99, "2%"),
    ("(c)(8)(iii)", "FE", 3, "4%"), ("(c)(8)(iii)", "FE", 10, "10%"), ("(c)(8)(iii)", "FE", 12.49, "10%"),
    ("(c)(8)(iii)", "FE", 12.5, "15%"), ("(c)(8)(iii)", "FE", 50, "50%"), ("(c)(8)(iii)", "FE", 54.99, "50%"),
    ("(c)(8)(iii)", "FE", 55, "60%"),
    # (d)(7)(ii) the others: nearest whole per cent, from the exact amount
    ("(d)(7)(ii)", "NA", 6.49, "6%"), ("(d)(7)(ii)", "NA", 6.5, "7%"), ("(d)(7)(ii)", "FAT", 0.4, "0%"),
]  # fmt: skip


@pytest.mark.parametrize(("paragraph", "tag", "exact", "text"), PERCENT)
def test_per_cent_daily_values_round_by_their_paragraph(
    kitchen: Kitchen, paragraph: str, tag: str, exact: float, text: str
) -> None:
    daily = kitchen.reference_set_by_id["us_4plus"].values[tag].value
    assert us_line(US[tag], result(kitchen, tag, exact / 100 * daily), kitchen, None).second == text


#: Sample label of 21 CFR 101.9(d)(12): vitamin D, calcium, iron, potassium and added sugars as published; the
#: others as remembered from the same sample. Potassium stands there as 235 mg, finer than the nearest 10 mg of
#: FDA's guidance for an RDI of 250 mg and more, which rounds it to 240 mg; its 6 % shows that ties go up.
SAMPLE = [
    ("ENERC_KCAL", 230, "230", ""), ("FAT", 8, "8 g", "10%"), ("FASAT", 1, "1 g", "5%"), ("FATRN", 0, "0 g", ""),
    ("CHOLE", 0, "0 mg", "0%"), ("NA", 160, "160 mg", "7%"), ("CHOCDF", 37, "37 g", "13%"), ("FIBTG", 4, "4 g", "14%"),
    ("SUGAR", 12, "12 g", ""), ("SUGAD", 10, "10 g", "20%"), ("PROCNT", 3, "3 g", ""), ("VITD", 2, "2 mcg", "10%"),
    ("CA", 260, "260 mg", "20%"), ("FE", 8, "8 mg", "45%"), ("K", 235, "240 mg", "6%"),
]  # fmt: skip


@pytest.mark.parametrize(("tag", "amount", "text", "pct"), SAMPLE)
def test_sample_label_of_the_regulation(
    kitchen: Kitchen, tag: str, amount: float, text: str, pct: str
) -> None:
    found = result(kitchen, tag, amount)
    unit = "" if tag == "ENERC_KCAL" else kitchen.nutrient_by_tag[tag].unit
    assert us_amount(found, kitchen.tables.rounding[tag], unit) == text
    if tag in US:
        assert us_line(US[tag], found, kitchen, None).second == pct


def test_lines_stand_in_the_order_of_the_regulation() -> None:
    assert [row.name for row in RULES.us] == [
        "Total Fat", "Saturated Fat", "Trans Fat", "Cholesterol", "Sodium", "Total Carbohydrate", "Dietary Fiber",
        "Total Sugars", "Includes {amount} Added Sugars", "Protein", "Vitamin D", "Calcium", "Iron", "Potassium",
    ]  # fmt: skip
    bold = {row.name for row in RULES.us if row.bold}
    assert bold == {"Total Fat", "Cholesterol", "Sodium", "Total Carbohydrate", "Protein"}  # (d)(1)(iv)


@pytest.mark.parametrize(
    ("amount", "text"), [(10, "Includes 10 g Added Sugars"), (0.7, "Includes <1 g Added Sugars"), (0, "Includes 0 g Added Sugars")]
)  # fmt: skip
def test_added_sugars_take_the_amount_into_their_name(kitchen: Kitchen, amount: float, text: str) -> None:
    """(c)(6)(iii); "<" in place of "less than", (d)(7)(i)."""
    assert us_line(US["SUGAD"], result(kitchen, "SUGAD", amount), kitchen, None).name.strip() == text


UNKNOWN = [
    (0.0, 0.0, "", NOT_KNOWN, ""),  # no value at all
    (0.0, 0.6, AT_LEAST, NOT_KNOWN, ""),  # zeros beside unknowns
    (0.3, 0.6, AT_LEAST, NOT_KNOWN, ""),  # what is known rounds to zero
    (0.7, 0.6, AT_LEAST, NOT_KNOWN, ""),  # "at least less than 1 g" says nothing
    (7.2, 0.6, AT_LEAST, "at least 7 g", "≥26%"),
    (7.2, 1.0, AT_MOST, "at most 7 g", "≤26%"),
    (0.0, 1.0, "", "0 g", "0%"),  # a known zero is a zero
]


@pytest.mark.parametrize(("amount", "coverage", "reads", "text", "pct"), UNKNOWN)
def test_unknown_is_never_shown_as_zero(
    kitchen: Kitchen, amount: float, coverage: float, reads: str, text: str, pct: str
) -> None:
    found = us_line(US["FIBTG"], result(kitchen, "FIBTG", amount, coverage, reads), kitchen, None)
    assert (found.first, found.second) == (text, pct)


def test_unknown_added_sugars_say_so_in_their_name(kitchen: Kitchen) -> None:
    found = us_line(US["SUGAD"], result(kitchen, "SUGAD", 0, 0.5, AT_LEAST), kitchen, None)
    assert (found.name.strip(), found.first, found.second) == ("Added Sugars: not known", "", "")


def test_protein_has_a_per_cent_only_from_corrected_protein(kitchen: Kitchen) -> None:
    """21 CFR 101.9(c)(7)(i) and (ii)."""
    plain = result(kitchen, "PROCNT", 20)
    assert us_line(US["PROCNT"], plain, kitchen, None).second == ""
    assert us_line(US["PROCNT"], plain, kitchen, 31.5).second == "32%"
    barley = dish(kitchen, line("Barley, pearled, dry", 200))
    corrected = protein_dv(kitchen, barley)
    plain_dv = barley.nutrients["PROCNT"].dv_pct
    assert corrected is not None
    assert plain_dv is not None
    assert corrected < plain_dv  # barley is short of lysine


@pytest.mark.parametrize(
    ("servings", "text"),
    [(6, "6 servings per recipe"), (1, "1 serving per recipe"), (5.4, "about 5 servings per recipe"),
     (2.2, "about 2 servings per recipe"), (2.5, "2.5 servings per recipe"), (3.3, "about 3.5 servings per recipe"),
     (1.4, "about 1 serving per recipe")],
)  # fmt: skip
def test_servings_round_by_101_9_b_8(servings: float, text: str) -> None:
    assert servings_words(servings, WORDS) == text


@pytest.mark.parametrize(
    ("household", "grams", "text"),
    [("1 1/2 cups", 345.4, "1 1/2 cups (345 g)"), ("", 345.5, "346 g"), ("1 tsp", 4.7, "1 tsp (4.5 g)"),
     ("a pinch", 1.26, "a pinch (1.3 g)")],
)  # fmt: skip
def test_serving_names_household_measure_and_grams(household: str, grams: float, text: str) -> None:
    """21 CFR 101.9(b)(7)(ii)."""
    assert serving_words(household, grams, WORDS) == text


def panel(kitchen: Kitchen, analysis: Analysis, reference_set: str) -> Panel:
    settings = replace(analysis.settings, reference_set=reference_set)
    return make_panel(kitchen, replace(analysis, settings=settings), RULES, WORDS)


def test_eu_set_prints_the_eu_declaration_in_its_order(kitchen: Kitchen) -> None:
    """Regulation (EU) No 1169/2011, Annex XV."""
    found = panel(kitchen, dish(kitchen, line("Whole wheat bread", 200)), "eu_nrv")
    assert found.format == "eu"
    assert [part.name.strip() for part in found.lines][:9] == [
        "Energy", "", "Fat", "of which saturates", "Carbohydrate", "of which sugars", "Fibre", "Protein", "Salt",
    ]  # fmt: skip
    assert panel(kitchen, dish(kitchen, line("Whole wheat bread", 200)), "us_4plus").format == "us"


def test_eu_figures_are_those_of_100_g_and_of_a_portion(kitchen: Kitchen) -> None:
    """kJ = kcal x 4.184, salt = sodium x 2.5, available carbohydrate = carbohydrate less fibre."""
    analysis = dish(kitchen, line("Whole wheat bread", 200), servings=2)
    lines = {part.name.strip(): part for part in panel(kitchen, analysis, "eu_nrv").lines}
    per_100g = {tag: r.per_100g for tag, r in analysis.nutrients.items()}
    assert lines["Energy"].first == f"{per_100g['ENERC_KCAL'] * 4.184:.0f} kJ"
    assert lines["Energy"].second == f"{analysis.nutrients['ENERC_KCAL'].serving * 4.184:.0f} kJ"
    assert lines["Salt"].first == f"{per_100g['NA'] * 2.5 / 1000:.2g} g".replace("1.0 g", "1 g")
    available = per_100g["CHOCDF"] - per_100g["FIBTG"]
    assert lines["Carbohydrate"].first == f"{available:.0f} g"


EU_ROUNDING = [
    # Commission guidance of December 2012
    ("plain", "FAT", 0.5, "<0.5 g"), ("plain", "FAT", 0.51, "0.5 g"), ("plain", "FAT", 9.94, "9.9 g"),
    ("plain", "FAT", 9.95, "10 g"), ("plain", "FAT", 10.5, "11 g"), ("plain", "FAT", 0.0, "0 g"),
    ("plain", "FASAT", 0.1, "<0.1 g"), ("plain", "FASAT", 0.14, "0.1 g"),
    ("salt", "NA", 0.0125, "<0.01 g"), ("salt", "NA", 0.0126, "0.01 g"), ("salt", "NA", 0.994, "0.99 g"),
    ("salt", "NA", 1.04, "1 g"), ("salt", "NA", 1.05, "1.1 g"), ("kj", "ENERC_KCAL", 1234.5, "1235 kJ"),
    ("vitamin", "CA", 123.4, "123 mg"), ("vitamin", "CA", 12.34, "12.3 mg"), ("vitamin", "FE", 2.14, "2.1 mg"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "tag", "amount", "text"), EU_ROUNDING)
def test_eu_amounts_round_by_the_guidance(kind: str, tag: str, amount: float, text: str) -> None:
    row: EuPanelRow = EU[kind, tag]
    assert eu_amount(row, amount, "", True) == text


def test_eu_unknowns_are_never_zero() -> None:
    fat = EU["plain", "FAT"]
    assert eu_amount(fat, 0.0, "", False) == NOT_KNOWN
    assert eu_amount(fat, 0.4, AT_LEAST, True) == NOT_KNOWN
    assert eu_amount(fat, 3.0, AT_LEAST, True) == "at least 3 g"


def test_available_carbohydrate_reads_at_most_where_fibre_is_short(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Whole wheat bread", 200))
    short = with_serving(analysis, "FIBTG", analysis.nutrients["FIBTG"].serving, 0.5)
    fibre = replace(short.nutrients["FIBTG"], reads=AT_LEAST)
    short = replace(short, nutrients={**short.nutrients, "FIBTG": fibre})
    lines = {part.name.strip(): part for part in panel(kitchen, short, "eu_nrv").lines}
    assert lines["Carbohydrate"].first.startswith("at most ")
    both = replace(short.nutrients["CHOCDF"], reads=AT_LEAST)
    lines = {p.name.strip(): p for p in panel(
        kitchen, replace(short, nutrients={**short.nutrients, "CHOCDF": both}), "eu_nrv").lines}  # fmt: skip
    assert lines["Carbohydrate"].first == NOT_KNOWN


@pytest.mark.parametrize(("share", "printed"), [(14.999, False), (15.0, True)])
def test_eu_vitamins_stand_only_from_a_significant_share(
    kitchen: Kitchen, share: float, printed: bool
) -> None:
    """Annex XIII, Part A, point 2: 15 % of the reference value in 100 g."""
    analysis = dish(kitchen, line("Whole wheat bread", 100))
    daily = kitchen.reference_set_by_id["eu_nrv"].values["FE"].value
    iron = replace(analysis.nutrients["FE"], per_100g=share / 100 * daily)
    found = panel(kitchen, replace(analysis, nutrients={**analysis.nutrients, "FE": iron}), "eu_nrv")
    assert ("Iron" in {p.name for p in found.lines}) is printed


def test_every_reference_set_has_a_note_under_its_panel(kitchen: Kitchen) -> None:
    for reference in kitchen.tables.reference_sets:
        assert reference.id in RULES.sets
        assert RULES.note_of(reference.id)
