"""The sheet Day adds up what is typed, agrees with the core over generated days, and tells what to mend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.workbook.person_books import STOCK, sheet_of, small_book, typed
from tests.workbook.test_person_sheet import START, entries
from workbookgen.nutrition.amounts import grams_per_unit, units_offered
from workbookgen.nutrition.day import DayItem, against, day_plate, day_total, of_meal, upper_words
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.person import Reference, assess, held_against
from workbookgen.session import default_settings
from workbookgen.workbook.day_layout import (
    AGAINST,
    AMOUNT,
    FIRST,
    FOOD,
    MEAL,
    MEALS_FIRST,
    MESSAGE,
    PLATE_FIRST,
    RECIPE,
    ROWS,
    SERVINGS,
    SIDE,
    TABLE_FIRST,
    UNIT,
    WEIGHT,
)
from workbookgen.workbook.day_rows import start_rows
from workbookgen.workbook.day_totals import NOT_FOOD, PERCENT, READS, REFERENCE, TOTAL, UPPER, WORDS
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.stored import agree

_, ANALYSES, KITCHEN, _ = small_book()
TABLES = KITCHEN.person
TITLES = [a.recipe.title for a in ANALYSES]
FOODS = ["Apples, with skin, raw", "Whole wheat bread", "Kale, raw", "Olive oil", "Walnuts, english, raw", "Beef liver, raw"]
INPUTS = (MEAL, SERVINGS, RECIPE, AMOUNT, UNIT, FOOD)


@dataclass(frozen=True)
class Row:
    """What is typed in a row: servings of recipe ``dish``, or ``amount`` of food ``food`` in its unit ``unit``."""

    meal: int
    dish: int | None = None
    servings: float = 1.0
    food: str = ""
    amount: float = 1.0
    unit: int = 0

    @property
    def unit_name(self) -> str:
        units = units_offered(KITCHEN, KITCHEN.food_by_name[self.food.lower()])
        return units[self.unit % len(units)][0]

    def item(self) -> DayItem:
        if self.dish is not None:
            return DayItem(self.meal, ANALYSES[self.dish], servings=self.servings)
        food = KITCHEN.food_by_name[self.food.lower()]
        return DayItem(self.meal, food=food, grams=self.amount * (grams_per_unit(KITCHEN, food, self.unit_name) or 0.0))

    def cells(self) -> dict[int, object]:
        meal = TABLES.meals[self.meal - 1] if self.meal else None
        if self.dish is not None:
            return {MEAL: meal, SERVINGS: self.servings, RECIPE: TITLES[self.dish], AMOUNT: None, UNIT: None, FOOD: None}
        return {MEAL: meal, SERVINGS: None, RECIPE: None, AMOUNT: self.amount, UNIT: self.unit_name, FOOD: self.food}


def write(rows: Sequence[Row | dict[int, object]], person: dict[tuple[int, int], object] | None = None) -> None:
    """Empty the sheet and type these rows."""
    live = typed()
    live.engine.set_value("Day", AGAINST + 1, MEAL + 1, "the person of sheet Person")
    live.type("Person", person or entries(START))
    told: dict[tuple[int, int], object] = {}
    for i in range(ROWS):
        cells = (rows[i].cells() if isinstance(rows[i], Row) else rows[i]) if i < len(rows) else {}  # type: ignore[union-attr]
        told |= {(FIRST + i, col): cells.get(col) for col in INPUTS}  # type: ignore[union-attr]
    live.type("Day", told)


def differences(rows: Sequence[Row]) -> list[tuple[object, object, object]]:
    """Every figure of the sheet against the core."""
    write(rows)
    live, items = typed(), [row.item() for row in rows]
    references = assess(TABLES, START).references
    wanted: list[tuple[int, int, object]] = [(FIRST + i, WEIGHT, item.weight) for i, item in enumerate(items)]
    for k, nutrient in enumerate(TABLES.nutrients):
        told = KITCHEN.nutrient_by_tag[nutrient.tag]
        decimals = min(told.decimals, 2)
        one = references.get(nutrient.tag, Reference())
        held, total = held_against(TABLES, nutrient.tag, one), day_total(items, nutrient.tag)
        row = TABLE_FIRST + k
        wanted += [(row, TOTAL, total.amount), (row, READS, total.reads), (row, REFERENCE, "" if held is None else held),
                   (row, PERCENT, total.amount / held * 100 if held else ""),
                   (row, WORDS, against(total, held, nutrient.kind, told.unit, decimals))]  # fmt: skip
        counted = TABLES.uppers.get(nutrient.tag)
        if counted and counted.compared:
            wanted.append((row, UPPER, upper_words(day_total(items, counted.compared), one.upper, told.unit, decimals)))
        elif counted:
            wanted.append((row, UPPER, NOT_FOOD))
    signs = {"": "", "at least": "+", "at most": "-", "not certain": "?"}
    for m in range(1, len(TABLES.meals) + 1):
        part, so_far = of_meal(items, m), [i for i in items if 1 <= i.meal <= m]
        for k, (tag, some, decimals) in enumerate((("ENERC_KCAL", part, 0), ("NA", part, 0), ("NA", so_far, 0), ("FE", part, 1)), 1):
            total = day_total(some, tag)
            wanted.append((MEALS_FIRST + m - 1, SIDE + k, shown(total.amount, decimals) + signs[total.reads]))
    grams, left = day_plate(KITCHEN.plate_model_by_id[default_settings().plate_model], items)
    wanted += [(PLATE_FIRST + g, SIDE + 1, amount) for g, amount in enumerate(grams)]
    checked = [((row, col), want, live.at("Day", row, col)) for row, col, want in wanted]
    assert shown(left, 0) + " g in no group" in str(live.at("Day", PLATE_FIRST + 5, SIDE))
    return [(at, want, got) for at, want, got in checked if not agree(want, got) and not _as_number(want, got)]


def _as_number(want: object, got: object) -> bool:
    """A figure that a meal shows as text may come back as a number where no sign follows."""
    return isinstance(want, str) and isinstance(got, int | float) and want == f"{got:g}"


def a_row() -> st.SearchStrategy[Row]:
    meal = st.integers(0, len(TABLES.meals))
    amount = st.sampled_from([0.25, 0.5, 1.0, 1.5, 2.0, 7.0])
    recipe = st.builds(Row, meal=meal, dish=st.integers(0, len(ANALYSES) - 1), servings=amount)
    return recipe | st.builds(Row, meal=meal, food=st.sampled_from(FOODS), amount=amount, unit=st.integers(0, 12))


def test_the_day_as_built_is_on_the_sheet() -> None:
    day = sheet_of("Day")
    assert day.cells[FIRST, FOOD].value == "Apples, with skin, raw"
    assert day.cells[FIRST + 1, RECIPE].value == TITLES[0]
    assert day.fit_pages == (1, 1)
    assert day.charts[0][3]["description"].startswith("Bar chart")


@settings(max_examples=30, deadline=None)
@given(st.lists(a_row(), max_size=ROWS))
def test_generated_days_agree_with_the_core(rows: list[Row]) -> None:
    assert differences(rows) == []


def test_a_full_day_agrees() -> None:
    assert differences([Row(1 + i % 5, dish=i % 2) if i % 3 else Row(i % 6, food=FOODS[i % 6], unit=i) for i in range(ROWS)]) == []


def test_the_comparison_notices_another_day() -> None:
    rows = [Row(1, dish=0)]
    write([Row(1, dish=0, servings=2)])
    assert typed().at("Day", TABLE_FIRST, TOTAL) != day_total([rows[0].item()], "ENERC_KCAL").amount


@pytest.mark.parametrize(("more", "words"), [(0.0, "as planned"), (1e-6, "a trace short"), (-1e-6, "a trace above"), (1.0, "12 kcal short")])
def test_energy_at_just_under_and_just_over(more: float, words: str) -> None:
    """The person's weight is chosen so that the equation of 2023 gives the energy of the day, then a hair more or less."""
    rows = [Row(1, dish=0, servings=round(2200 / ANALYSES[0].nutrients["ENERC_KCAL"].serving, 2))]
    equation = next(e for e in TABLES.equations if e.key == "eer_2023|female|low_active")
    kcal = day_total([rows[0].item()], "ENERC_KCAL").amount
    height = (kcal - equation.constant - equation.per_year * START.age - equation.per_kg * 68) / equation.per_cm
    write(rows, entries(START, height=height, weight=68 + more))
    assert 100 < height < 230
    assert typed().at("Day", TABLE_FIRST, WORDS) == words


def test_retinol_alone_counts_towards_the_upper_level() -> None:
    """Liver is above the limit by retinol; kale has carotenes only."""
    place = next(k for k, n in enumerate(TABLES.nutrients) if n.tag == "VITA_RAE")
    write([{MEAL: TABLES.meals[0], FOOD: "Kale, raw", AMOUNT: 1000, UNIT: "g"}])
    live = typed()
    assert live.at("Day", TABLE_FIRST + place, TOTAL) > 3000
    assert live.at("Day", TABLE_FIRST + place, UPPER) == "below"
    write([{MEAL: TABLES.meals[0], FOOD: "Beef liver, raw", AMOUNT: 100, UNIT: "g"}])
    assert live.at("Day", TABLE_FIRST + place, UPPER).startswith("above by 1")


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({RECIPE: TITLES[0], SERVINGS: 1, FOOD: FOODS[0], AMOUNT: 1, UNIT: "g"}, "choose a recipe or a food, not both"),
        ({RECIPE: TITLES[0]}, "type the servings"),
        ({RECIPE: TITLES[0], SERVINGS: 20.1}, "type a number above 0, at most 20"),
        ({RECIPE: TITLES[0], SERVINGS: -1}, "type a number above 0, at most 20"),
        ({RECIPE: "Nothing*?", SERVINGS: 1}, "not a recipe of this book"),
        ({FOOD: "Nothing", AMOUNT: 1, UNIT: "g"}, "food not in the list: choose one from it"),
        ({FOOD: FOODS[0], UNIT: "g"}, "type an amount"),
        ({FOOD: FOODS[0], AMOUNT: 1}, "choose a unit"),
        ({FOOD: FOODS[0], AMOUNT: 1, UNIT: "bucket"}, "unit not known for this food"),
        ({FOOD: FOODS[0], AMOUNT: 46000, UNIT: "g"}, "looks like a date: type 0 3/4"),
        ({FOOD: FOODS[0], AMOUNT: True, UNIT: "g"}, "type a number"),
        ({FOOD: FOODS[0], AMOUNT: 5000, UNIT: "lb"}, "too heavy: check amount and unit"),
        ({FOOD: STOCK, AMOUNT: 100, UNIT: "g"}, "a dish of this book: choose it as a recipe"),
        ({AMOUNT: 3}, "choose a recipe or a food"),
        ({MEAL: "Supper", FOOD: FOODS[0], AMOUNT: 1, UNIT: "g"}, "choose a meal: left out of the meals"),
        ({FOOD: "x" * 300, AMOUNT: 1, UNIT: "g"}, "food not in the list: choose one from it"),
    ],
)
def test_every_slip_is_told(cells: dict[int, object], words: str) -> None:
    write([cells, Row(2, dish=0)])
    live = typed()
    assert live.at("Day", FIRST, MESSAGE) == words
    assert live.at("Day", FIRST + 1, MESSAGE) == ""
    if not words.startswith("choose a meal"):
        assert live.at("Day", FIRST, WEIGHT) == ""
        assert "at least" in live.at("Day", TABLE_FIRST, READS)  # what was not understood is missing from the sum


def test_twenty_servings_are_the_most() -> None:
    write([Row(1, dish=0, servings=20)])
    assert typed().at("Day", FIRST, MESSAGE) == ""


def test_a_person_without_figures_gives_no_reference() -> None:
    write([Row(1, dish=0)], entries(START, kidney="yes"))
    live = typed()
    cells = {live.at("Day", TABLE_FIRST + k, col) for k in range(len(TABLES.nutrients)) for col in (REFERENCE, WORDS, UPPER, PERCENT)}
    assert cells == {""}
    assert live.at("Day", AGAINST, SERVINGS).startswith("sheet Person shows no reference")


def test_label_values_are_held_against_on_request() -> None:
    write([Row(1, dish=0)])
    live = typed()
    live.type("Day", {(AGAINST, MEAL): "label values chosen on Start"})
    daily = KITCHEN.reference_set_by_id[default_settings().reference_set].values
    place = {n.tag: TABLE_FIRST + k for k, n in enumerate(TABLES.nutrients)}
    for tag in ("CA", "FIBTG", "NA", "CHOCDF"):
        assert live.at("Day", place[tag], REFERENCE) == daily[tag].value
        total = day_total([Row(1, dish=0).item()], tag)
        kind = next(n.label_kind for n in TABLES.nutrients if n.tag == tag)
        told = KITCHEN.nutrient_by_tag[tag]
        assert live.at("Day", place[tag], WORDS) == against(total, daily[tag].value, kind, told.unit, told.decimals)
    assert live.at("Day", place["CA"], UPPER) == ""
    live.type("Day", {(AGAINST, MEAL): "nonsense"})
    assert live.at("Day", AGAINST, SERVINGS) == "not in the list: the person is taken"


def test_a_book_without_the_start_recipes_starts_with_its_first_one() -> None:
    recipe = replace(ANALYSES[0].recipe, title="Another pot")
    own = RecipeSheet(sheet_of("Day"), None, recipe, ANALYSES[0])  # type: ignore[arg-type]
    spare = RecipeSheet(sheet_of("Day"), None, None, None)  # type: ignore[arg-type]
    rows = start_rows(KITCHEN, [own, spare])
    assert [(row.meal, row.recipe) for row, item in rows if item.analysis] == [(TABLES.meals[-1], "Another pot")]
    assert not any(item.analysis for _, item in start_rows(KITCHEN, [spare]))
