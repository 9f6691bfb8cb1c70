"""Targets as people write them."""

from __future__ import annotations

import pytest

from tests.dishes import dish, line
from workbookgen.adjust.rules import load_rules
from workbookgen.adjust.targets import Reading, Wish, parse_statement, parse_wish, targets_of, wish_of
from workbookgen.adjust.task import reading_for
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Target
from workbookgen.nutrition.kitchen import Kitchen


@pytest.fixture(scope="module")
def reading(kitchen: Kitchen) -> Reading:
    return reading_for(kitchen, dish(kitchen, line("Kale, raw")), load_rules())


@pytest.mark.parametrize(("text", "kind", "low", "high", "unit", "tag", "basis"), [
    ("FE >= 20 %DV", "nutrient", 20, None, "%DV", "FE", "%DV"),
    ("fe>=20%dv", "nutrient", 20, None, "%DV", "FE", "%DV"),
    ("iron ≥ 20 % DV", "nutrient", 20, None, "%DV", "FE", "%DV"),
    ("NA <= 480 mg", "nutrient", None, 480, "mg", "NA", "serving"),
    ("sodium <= 0.48 g", "nutrient", None, 480, "mg", "NA", "serving"),
    ("NA <= 120 mg per 100 g", "nutrient", None, 120, "mg", "NA", "100 g"),
    ("fibre >= 8 g per serving", "nutrient", 8, None, "g", "FIBTG", "serving"),
    ("dietary fiber >= 8", "nutrient", 8, None, "g", "FIBTG", "serving"),
    ("ENERC_KCAL 400..550", "nutrient", 400, 550, "kcal", "ENERC_KCAL", "serving"),
    ("energy 400 to 550 kcal", "nutrient", 400, 550, "kcal", "ENERC_KCAL", "serving"),
    ("ENERC_KCAL <= 2000 kJ", "nutrient", None, pytest.approx(478.01147), "kcal", "ENERC_KCAL", "serving"),
    ("VITB12 1..2 mcg", "nutrient", 1, 2, "mcg", "VITB12", "serving"),
    ("serving weight >= 350 g", "serving weight", 350, None, "g", "", ""),
    ("serving weight 0.3..0.4 kg", "serving weight", 300, 400, "g", "", ""),
    ("cost <= 2.50", "cost", None, 2.5, "", "", ""),
    ("protein score >= 0.9", "protein score", 0.9, None, "", "", ""),
    ("corrected protein >= 10 g", "corrected protein", 10, None, "g", "", ""),
    ("plate vegetables >= 45 %", "plate", 45, None, "%", "", ""),
])  # fmt: skip
def test_targets_are_read(
    reading: Reading, text: str, kind: str, low: float, high: float, unit: str, tag: str, basis: str
) -> None:
    wish = parse_wish(text, reading)
    assert (wish.kind, wish.low, wish.high, wish.unit, wish.tag, wish.basis) == (kind, low, high, unit, tag, basis)


def test_plate_targets_name_groups_or_a_tolerance(reading: Reading) -> None:
    assert parse_wish("plate within 5", reading) == Wish("plate within 5", "plate", unit="%", tolerance=5)
    assert parse_wish("plate within 7.5 points", reading).tolerance == 7.5
    assert parse_wish("plate whole grain 20..30 %", reading).group == "Whole grain and starchy vegetable"


@pytest.mark.parametrize(("text", "says"), [
    ("FE = 20 %DV", ">="), ("FE", "plate within 5"), ("", "plate within 5"), ("unobtainium >= 3 mg", "nearest"),
    (">= 20 %DV", "names no nutrient"), ("FE >= 20 kcal", "mg"), ("FE >= 20 %DV per 100 g", "per 100 g"),
    ("WATER >= 20 %DV", "Daily Value"), ("ENERC_KCAL 550..400", "smaller number first"), ("plate meat >= 10 %", "its groups are"),
    ("plate vegetables >= 10 g", "%"), ("plate within 0", "above 0"), ("protein score <= 1", ">="), ("cost <= 2.50 g", "number alone"),
    ("corrected protein <= 10 g", ">="), ("serving weight >= 1 kcal", "g"),
])  # fmt: skip
def test_faults_say_how_to_mend_them(reading: Reading, text: str, says: str) -> None:
    with pytest.raises(BadInput, match="--target") as error:
        parse_wish(text, reading)
    assert says in error.value.what


@pytest.mark.parametrize(("text", "found"), [
    ("good source of fiber", "source_FIBTG"), ("Good source of fibre", "source_FIBTG"), ("low sodium", "low_sodium"),
    ("source_FIBTG", "source_FIBTG"), ("Good source of vitamin C", "micro_source_VITC"),
])  # fmt: skip
def test_statements_are_found_by_words_or_id(reading: Reading, text: str, found: str) -> None:
    assert parse_statement(text, reading).statement == found


def test_an_unknown_statement_names_the_nearest(reading: Reading) -> None:
    with pytest.raises(BadInput, match="low sodium"):
        parse_statement("lowish sodium", reading)


def test_targets_of_a_file_and_back(kitchen: Kitchen) -> None:
    recipe = dish(kitchen, line("Kale, raw"), targets=(Target("FE", ">=", 20, "%DV"), Target("NA", "<=", 600, "amount", "mg"))).recipe
    assert [wish_of(t, kitchen).text for t in recipe.targets] == ["FE >= 20 %DV", "NA <= 600 mg"]
    wishes = [Wish("x", "nutrient", None, 480, "mg", "NA", "serving"), Wish("y", "nutrient", 9, None, "g", "FIBTG", "100 g")]
    assert targets_of(wishes, recipe, 8) == (Target("NA", "<=", 480, "amount", "mg"), Target("FE", ">=", 20, "%DV"))
    assert targets_of(wishes, recipe, 1) == (Target("NA", "<=", 480, "amount", "mg"),)
