"""Allergens, cautions and keeping in a live workbook: what a colleague changes changes them at once."""

from __future__ import annotations

import copy
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests.dishes import line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food
from workbookgen.model.recipe import Recipe
from workbookgen.model.safety import Safety
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.verify import verify
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.handout_layout import Handout, card_cells
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout, recipe_layout, strip_lengths
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

FOODS = (
    "Brown rice, long grain, dry",
    "Milk, whole",
    "Walnuts, english, raw",
    "Salmon, Atlantic, farmed, raw",
    "Honey",
    "Kale, raw",
    "Soy sauce",
    "Egg, whole, raw",
    "Ground beef, 95% lean, raw",
    "Barley, pearled, dry",
    "Wine, red",
    "Ham, deli slices, lean",
    "Celery, raw",
    "Peanuts, raw",
    "Mussels, blue, raw",
)


@dataclass
class Live:
    """A small book that can be changed and worked out again by the fast engine."""

    book: Book
    sheet: Sheet
    lay: RecipeLayout
    safety: Safety

    @property
    def h(self) -> Handout:
        return Handout(self.lay, self.safety)

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

    def state(self, allergen: str) -> object:
        ids = [a.id for a in self.safety.allergens]
        return self.value("unit", self.h.allergen_first + ids.index(allergen))

    def says(self, caution: str) -> object:
        ids = [c.id for c in self.safety.cautions]
        return self.value("count", self.h.caution_first + ids.index(caution))

    def card(self, what: str) -> list[object]:
        cells = card_cells(self.lay, self.safety)[what]
        return [self.sheet.cells[at].value for at in cells if self.sheet.cells[at].value != ""]


RECIPE = Recipe(
    title="Test dish", servings=2.0, may_contain="traces of peanuts", soup=False,
    lines=(line(FOODS[0], treatment="boiled, water used"), line(FOODS[3], treatment="baked, juices kept"),
           line(FOODS[2], include=False, optional=True), line(FOODS[5])),
)  # fmt: skip


_laid_out: list[Live] = []


def live(kitchen: Kitchen, recipe: Recipe = RECIPE, reference_set: str = "us_4plus") -> Live:
    """A filled book of this recipe; the usual one is laid out once and copied."""
    usual = recipe is RECIPE and reference_set == "us_4plus"
    if usual and _laid_out:
        return copy.deepcopy(_laid_out[0])
    found = _lay_out(kitchen, recipe, reference_set)
    if usual:
        _laid_out.append(copy.deepcopy(found))
    return found


def _lay_out(kitchen: Kitchen, recipe: Recipe, reference_set: str) -> Live:
    kitchen = small_kitchen(kitchen, *FOODS)
    settings = replace(default_settings(), reference_set=reference_set)
    book, analyses = lay_out(kitchen, constant_rows(), [recipe], settings, load_look(), Spares(0, 0))
    differing = fill(book)
    sheet = next(s for s in book.sheets if s.name == "Test dish")
    assert [d for d in differing if d.sheet == sheet.name] == []
    lay = recipe_layout(kitchen, len(recipe.lines), strip_lengths(kitchen), 0, False)
    assert analyses[0].recipe == recipe
    return Live(book, sheet, lay, kitchen.safety)


def test_sheet_agrees_with_the_core_and_shows_its_sentences(kitchen: Kitchen) -> None:
    found = live(kitchen)
    assert found.card("contains")[0] == "Contains: fish (salmon), tree nuts (walnut)."
    assert found.card("contains")[-1] == "May contain (the cook's note): traces of peanuts"
    assert found.says("warfarin") == "ask first"
    assert found.says("raw_fish") == "-"
    assert found.card("temperatures") == [
        "Fish: 145 °F (63 °C), or until the flesh is opaque and flakes with a fork"
    ]
    assert found.card("raw_handling")[0].startswith("Keep raw meat")  # type: ignore[attr-defined]
    assert found.card("keeping")[1] == "Refrigerate at 40 °F (4 °C) or colder and use within 3 to 4 days."


def test_swapping_a_food_changes_everything_at_once(kitchen: Kitchen) -> None:
    found = live(kitchen)
    found.set("food", FIRST_LINE + 1, "Egg, whole, raw")
    found.set("treat", FIRST_LINE + 1, "none")
    found.work_out()
    assert found.state("fish") == "no"
    assert found.state("egg") == "contains"
    assert found.says("raw_egg") == "ask first"
    assert found.card("temperatures")[0].startswith("Eggs")  # type: ignore[attr-defined]


def test_line_counts_when_included_marked_or_not_understood(kitchen: Kitchen) -> None:
    cases = (
        ("Milk, whole", "milk", "yes", "", "contains"),
        ("Walnuts, english, raw", "tree_nut", "no", "", "no"),
        ("Salmon, Atlantic, farmed, raw", "fish", "no", "optional", "contains"),
        ("Egg, whole, raw", "egg", "no", "garnish", "contains"),
        ("Barley, pearled, dry", "gluten", "no", "hold back", "contains"),
        ("Celery, raw", "celery", "no", "nonsense", "contains"),
        ("Peanuts, raw", "peanut", "perhaps", "", "contains"),
        ("Mussels, blue, raw", "mollusc", "", "", "contains"),
    )
    found = live(kitchen, replace(RECIPE, lines=tuple(line(food) for food, *_ in cases)))
    for i, (_, _, counted, mark, _) in enumerate(cases):
        found.set("count", FIRST_LINE + i, counted)
        found.set("mark", FIRST_LINE + i, mark)
    found.work_out()
    assert {a: found.state(a) for _, a, *_ in cases} == {a: state for _, a, _, _, state in cases}


def test_food_that_is_not_found_leaves_every_allergen_open_and_is_named(kitchen: Kitchen) -> None:
    found = live(kitchen)
    found.set("food", FIRST_LINE + 5, "grandmother's dumplings")
    found.work_out()
    assert {found.state(a.id) for a in found.safety.allergens} == {"contains", "not known"}
    assert found.state("milk") == "not known"
    assert "grandmother's dumplings" in str(found.card("contains")[1])
    assert found.value("unit", found.h.suit_first) == "no"  # fish
    assert found.value("unit", found.h.suit_first + 2) == "not known"
    assert "grandmother's dumplings" in str(found.value("food", found.h.not_looked_at))


def test_line_with_an_amount_but_no_food_leaves_everything_open(kitchen: Kitchen) -> None:
    found = live(kitchen)
    found.set("amount", FIRST_LINE + 5, 2.0)
    found.work_out()
    assert found.state("milk") == "not known"
    assert "(no food chosen)" in str(found.card("contains")[1])


def test_emptied_food_text_on_foods_is_never_a_silent_no(kitchen: Kitchen) -> None:
    found = live(kitchen)
    foods = next(s for s in found.book.sheets if s.name == "Foods")
    where = found.book.names["food_alg"]
    for row in range(where[1], where[3] + 1):
        foods.cells[row, where[2]].value = ""
    found.work_out()
    assert {found.state(a.id) for a in found.safety.allergens} == {"not known"}


def test_list_of_the_eu_comes_with_its_reference_values(kitchen: Kitchen) -> None:
    recipe = replace(RECIPE, lines=(*RECIPE.lines, line("Barley, pearled, dry"), line("Celery, raw")))
    found = live(kitchen, recipe, "eu_nrv")
    assert (
        found.card("contains")[0]
        == "Contains: fish (salmon), nuts (walnut), cereals containing gluten (barley), celery."
    )
    start = next(s for s in found.book.sheets if s.name == "Start")
    at = next(at for at, cell in start.cells.items() if cell.value == "EU nutrient reference values (adults)")
    start.cells[at].value = "US, 4 years and over"
    found.work_out()
    assert found.card("contains")[0] == "Contains: fish (salmon), tree nuts (walnut)."
    assert "Gluten: contains gluten-containing grains (barley)." in found.card("contains")


@pytest.mark.parametrize("step", [-1e-6, 0.0, 1e-6])
def test_limits_on_safety_decide_to_the_last_digit(kitchen: Kitchen, step: float) -> None:
    found = live(kitchen, replace(RECIPE, lines=(*RECIPE.lines, line("Wine, red"))))
    sheet = next(s for s in found.book.sheets if s.name == "Safety")
    where = found.book.names["trig_limit"]
    values = {}
    for k, trigger in enumerate(found.safety.triggers):
        if trigger.of_nutrient:
            values[k] = float(found.value("a_diet", found.h.trigger_first + k))  # type: ignore[arg-type]
            sheet.cells[where[1] + k, where[2]].value = values[k] - step
    found.work_out()
    for k in values:
        trigger = found.safety.triggers[k]
        fires = {">": step > 0, ">=": step >= 0, "<=": step <= 0}[trigger.sign]
        shown = found.value("a_ask", found.h.trigger_first + k)
        assert shown == (1 if fires else 0) or (shown == "?" and fires is (trigger.sign == "<=")), (
            trigger.caution
        )


def test_line_that_needs_mending_never_reads_as_below_a_limit(kitchen: Kitchen) -> None:
    found = live(kitchen, replace(RECIPE, lines=(line(FOODS[0], amount=5.0),)))
    assert found.says("warfarin") == "-"
    found.set("food", FIRST_LINE + 1, "nobody knows this")
    found.work_out()
    assert found.says("warfarin") == "not known"
    assert found.value(
        "amount", found.h.caution_first + [c.id for c in found.safety.cautions].index("warfarin")
    ) == ("part of the weight has no value")


def test_own_keeping_lines_replace_the_published_ones_without_gaps(kitchen: Kitchen) -> None:
    found = live(kitchen)
    found.set("food", found.h.own_first + 2, "Eat today.")
    found.set("food", found.h.own_first + 5, "  Do not   freeze. ")
    found.work_out()
    assert found.card("keeping") == ["Eat today.", "Do not freeze."]


def test_recipe_with_too_many_lines_is_refused_in_one_sentence(kitchen: Kitchen) -> None:
    recipe = replace(RECIPE, lines=tuple(line("Milk, whole") for _ in range(260)))
    with pytest.raises(BadInput, match="too long for the lists of names; split it into two recipes"):
        lay_out(
            small_kitchen(kitchen, *FOODS),
            constant_rows(),
            [recipe],
            default_settings(),
            load_look(),
            Spares(0, 0),
        )


def test_recipe_with_more_keeping_lines_than_the_sheet_holds_is_refused(kitchen: Kitchen) -> None:
    recipe = replace(RECIPE, storage=("Keep cold.",) * 9)
    with pytest.raises(BadInput, match="has 9 keeping lines, a sheet holds 8"):
        lay_out(
            small_kitchen(kitchen, *FOODS),
            constant_rows(),
            [recipe],
            default_settings(),
            load_look(),
            Spares(0, 0),
        )


def test_each_keeping_line_cites_the_source_of_its_own_figures(kitchen: Kitchen) -> None:
    found = live(kitchen)
    cited = [str(found.value("message", row)) for row in range(found.h.keep_first, found.h.service + 1)]
    assert cited[0] == "nal_leftovers (seen); illinois_leftovers (seen)"
    assert cited[1] == cited[2] == "illinois_leftovers (derived)"  # the dish has rice in it
    assert cited[3].startswith("foodsafety_temperatures (seen)")
    assert cited[4] == "fda_food_code_2022 (memory)"


def test_kind_of_dish_can_be_chosen(kitchen: Kitchen) -> None:
    found = live(kitchen)
    assert found.value("unit", found.h.keep_kind) == "Dish with rice"
    found.set("unit", found.h.keep_input, "soup or STEW")
    found.work_out()
    assert found.value("unit", found.h.keep_kind) == "Soup or stew"


NONSENSE: tuple[Value, ...] = (
    5.0,
    "=1/0",
    "x" * 3000,
    True,
    " \u00a0 ",
    "line\nfeed",
    1e300,
    "*?~",
    -1.0,
    '"quoted"',
)


@pytest.mark.parametrize("turn", range(5))
def test_nonsense_in_the_inputs_yields_words_and_no_errors(kitchen: Kitchen, turn: int) -> None:
    found = live(kitchen)
    h = found.h
    inputs = (("unit", h.may_input), ("unit", h.keep_input), ("food", h.own_first), ("food", FIRST_LINE + 1),
              ("mark", FIRST_LINE + 2), ("count", FIRST_LINE + 3), ("treat", FIRST_LINE))  # fmt: skip
    for place, (key, row) in enumerate(inputs):
        found.set(key, row, NONSENSE[(place + 2 * turn) % len(NONSENSE)])
    found.work_out()  # raises for an error value
    assert found.state("milk") in ("no", "not known")


def test_empty_sheet_stays_silent(kitchen: Kitchen) -> None:
    book, _ = lay_out(
        small_kitchen(kitchen, *FOODS),
        constant_rows(),
        [RECIPE],
        default_settings(),
        load_look(),
        Spares(1, 0),
    )
    assert fill(book) == []
    small = small_kitchen(kitchen, *FOODS)
    sheet = next(s for s in book.sheets if s.name.startswith("Spare"))
    lay = recipe_layout(small, 0, strip_lengths(small), 0, False)
    for cells in card_cells(lay, small.safety).values():
        assert all(sheet.cells[at].value in ("", "-") for at in cells)


def test_allergens_and_cautions_travel_with_a_dish_used_as_an_ingredient(kitchen: Kitchen) -> None:
    sauce = Recipe(
        title="Test sauce",
        servings=2.0,
        lines=(line("Walnuts, english, raw"), line("Egg, whole, raw"), line("Soy sauce")),
    )
    main = Recipe(title="Test dish", servings=2.0, lines=(line(FOODS[0]), line("Test sauce", 1.0, "serving")))
    small = small_kitchen(kitchen, *FOODS)
    book, _ = lay_out(small, constant_rows(), [main, sauce], default_settings(), load_look(), Spares(0, 0))
    assert fill(book) == []
    sheet = next(s for s in book.sheets if s.name == "Test dish")
    lay = recipe_layout(small, 2, strip_lengths(small), 1, False)
    h = Handout(lay, small.safety)
    assert (
        sheet.cells[h.contains, lay.col["unit"]].value
        == "Contains: eggs, tree nuts (walnut), wheat, soybeans."
    )
    assert "Test sauce" in str(sheet.cells[h.unchecked, lay.col["unit"]].value)
    assert sheet.cells[h.caution_first, lay.col["count"]].value == "ask first"  # the egg in the sauce is raw


@pytest.mark.parametrize(
    ("markers", "states"),
    [
        ("-;", ("no", "no")),
        ("?*;", ("not known", "not known")),
        ("+milk;-;", ("contains", "no")),
        ("+milk;?*;", ("contains", "not known")),
    ],
)
def test_own_foods_answer_only_when_checked(kitchen: Kitchen, markers: str, states: tuple[str, str]) -> None:
    own = Food(
        id="own1",
        name="Own porridge",
        group="Grains and flours",
        state="ready",
        role="whole grain",
        values={"ENERC_KCAL": 100.0},
        allergens=markers,
        diet="plant",
        own=True,
    )
    small = small_kitchen(kitchen, *FOODS).with_foods([own])
    recipe = replace(RECIPE, lines=(line("Own porridge"),))
    book, _ = lay_out(small, constant_rows(), [recipe], default_settings(), load_look(), Spares(0, 0))
    assert fill(book) == []
    sheet = next(s for s in book.sheets if s.name == "Test dish")
    found = Live(book, sheet, recipe_layout(small, 1, strip_lengths(small), 0, False), small.safety)
    assert (found.state("milk"), found.state("peanut")) == states
    assert "Own porridge" in str(found.value("food", found.h.not_looked_at))


@pytest.mark.libreoffice
def test_libreoffice_agrees_on_a_small_book(kitchen: Kitchen, tmp_path: Path) -> None:
    found = live(kitchen)
    path = tmp_path / "small.xlsx"
    write_book(found.book, path, load_look())
    result = verify(path, ["libreoffice"]).results[0]
    assert result.compared == found.book.formula_count()
    assert not result.differing
