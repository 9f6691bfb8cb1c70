"""The printed card in a live workbook: it follows the recipe sheet and its own few inputs."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from tests.dishes import line
from tests.workbook.cards import LONG, SHORT, STEPS, LiveCard, live_card
from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.card_words import line_words
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.card_read import CHOICES, INPUT, INTRO, SERVINGS, SOURCE, TEXT_INPUT, UNITS
from workbookgen.workbook.card_sheet import card_tab
from workbookgen.workbook.recipe_layout import EXTRA_SECTIONS, FIRST_LINE
from workbookgen.workbook.recipe_panel import LINES

_made: dict[str, LiveCard] = {}


def card(kitchen: Kitchen, recipe: Recipe = SHORT) -> LiveCard:
    """A filled book of a recipe, laid out once and copied."""
    if recipe.title not in _made:
        _made[recipe.title] = live_card(kitchen, recipe)
    return _made[recipe.title].fresh()


def test_card_and_recipe_sheet_agree_with_the_core(kitchen: Kitchen) -> None:
    assert card(kitchen).differing == []
    assert card(kitchen, LONG).differing == []


def test_excluded_lines_leave_no_gap_and_marks_stand_in_words(kitchen: Kitchen) -> None:
    assert card(kitchen).entries() == [
        ("", "Pan", ""),
        ("2 tbsp", "Olive oil", "27 g"),
        ("1 cup", "Onions, raw (chopped)", "160 g"),
        (
            "1 can",
            "Red kidney beans, canned, drained (15.5 oz, drained); optional; not in the figures",
            "268 g",
        ),
        ("", "To finish", ""),
        (
            "1/4 cup",
            "Parmesan, grated; hold back for freezing; add when reheating; not in the figures",
            "25 g",
        ),
        ("1 tbsp", "Lemon juice, fresh; as a garnish", "15 g"),
        ("30 g", "Walnuts, english, raw; toasted", ""),
    ]


def test_leaving_a_line_out_closes_the_gap_at_once(kitchen: Kitchen) -> None:
    found = card(kitchen)
    found.type_on_recipe("count", FIRST_LINE, "no")
    found.work_out()
    assert found.entries()[:2] == [("", "Pan", ""), ("1 cup", "Onions, raw (chopped)", "160 g")]
    found.type_on_recipe("count", FIRST_LINE + 2, "yes")
    found.work_out()
    assert ("4 cups", "Kale, raw (1 in pieces)", "64 g") in found.entries()


def test_a_heading_passes_on_when_its_own_line_is_left_out(kitchen: Kitchen) -> None:
    found = card(kitchen)
    found.type_on_recipe("mark", FIRST_LINE + 4, "")
    found.work_out()
    rows = found.entries()
    assert rows[rows.index(("", "To finish", "")) + 1][0] == "1 tbsp"


def test_a_line_that_needs_mending_is_printed_and_says_so(kitchen: Kitchen) -> None:
    found = card(kitchen)
    found.type_on_recipe("unit", FIRST_LINE + 1, "handful")
    found.work_out()
    assert "mend this line" in " ".join(text for _, text, _ in found.entries())


@pytest.mark.parametrize(
    ("servings", "oil", "onions", "beans"),
    [(8, "1/4 cup", "2 cups", "2 cans"), (1, "1 1/2 tsp", "1/4 cup", "1/4 can"), (6, "3 tbsp", "1 1/2 cups", "1 1/2 cans")],
)  # fmt: skip
def test_make_for_scales_into_kitchen_fractions(
    kitchen: Kitchen, servings: float, oil: str, onions: str, beans: str
) -> None:
    found = card(kitchen)
    found.type_in(INPUT, SERVINGS, servings)
    found.work_out()
    assert [found.line(i, "household") for i in (0, 1, 3)] == [oil, onions, beans]
    assert found.line(1, "weight") == f"{160 * servings / 4:.0f} g"


def test_formulas_scale_as_the_core_does(kitchen: Kitchen) -> None:
    """Amounts of every kind, scaled to odd numbers of servings, cell by cell against nutrition/card_words."""
    units = [
        ("Milk, whole", u)
        for u in ("cup", "tbsp", "tsp", "fl oz", "mL", "L", "pint", "quart", "g", "kg", "oz", "lb")
    ]
    units += [
        ("Egg, whole, raw", "large"),
        ("Garlic, raw", "clove"),
        ("Paprika", "tsp"),
        ("Paprika", "pinch"),
    ]
    amounts = (0.013, 0.25, 1 / 3, 0.4167, 0.708, 1.0, 1.125, 1.77, 2.9, 4.0, 7.3)
    lines = tuple(
        line(food, amounts[(3 * i + k) % len(amounts)], unit)
        for i, (food, unit) in enumerate(units)
        for k in (0, 5)
    )
    recipe = Recipe(title="Sweep", servings=4, lines=lines)
    found = live_card(kitchen, recipe)
    assert found.differing == []
    words = load_kitchen_words()
    from tests.workbook.cards import FOODS, small_kitchen
    from workbookgen.nutrition.analyse import analyse_recipe
    from workbookgen.session import default_settings

    small = small_kitchen(kitchen, *FOODS)
    analysis = analyse_recipe(small, recipe, default_settings())
    for servings in (1, 3, 7, 10.5, 29):
        found.type_in(INPUT, SERVINGS, servings)
        found.work_out()
        for i, worked_out in enumerate(analysis.lines):
            core = line_words(small, words, worked_out, servings / 4)
            said = [found.line(i, key) for key in ("household", "weight", "metric")]
            assert said == [core.household, core.weight, core.metric], (lines[i], servings)


def test_ties_and_limits_of_every_unit_fall_as_in_the_core(kitchen: Kitchen) -> None:
    """Exactly half-way between two fractions, and exactly where a larger unit begins."""
    words = load_kitchen_words()
    lines = []
    for unit in ("tsp", "tbsp", "cup", "oz", "lb"):
        step = next(s for s in words.steps if s.one == unit)
        stops = [0.0, *(value for value, _ in step.fractions), 1.0]
        lines += [line("Milk, whole", 1 + (a + b) / 2, unit) for a, b in pairwise(stops)]
        lines.append(line("Milk, whole", step.from_size / step.size, unit))
    recipe = Recipe(title="Ties", servings=1, lines=tuple(lines))
    found = live_card(kitchen, recipe)
    assert found.differing == []
    assert found.line(0, "household") == "1 1/8 tsp"  # 1 1/16 tsp: halves go up


def test_metric_measures_pour_liquids_and_weigh_the_rest(kitchen: Kitchen) -> None:
    found = card(kitchen)
    found.type_in(INPUT, UNITS, "metric")
    found.work_out()
    rows = {text: (amount, beside) for amount, text, beside in found.entries()}
    assert rows["Olive oil"] == ("30 mL", "27 g")
    assert rows["Onions, raw (chopped)"] == ("160 g", "")
    assert ("for 4 servings, metric") in found.printed()


@pytest.mark.parametrize(("servings", "noted"), [(16, False), (16.1, True)])
def test_scaling_beyond_four_times_carries_a_note(kitchen: Kitchen, servings: float, noted: bool) -> None:
    found = card(kitchen)
    found.type_in(INPUT, SERVINGS, servings)
    found.work_out()
    assert any(text.startswith("More than 4 times the recipe") for text in found.printed()) is noted


def test_page_shows_what_the_recipe_file_says(kitchen: Kitchen) -> None:
    page = "\n".join(card(kitchen, LONG).printed())
    assert "8 servings" in page
    assert "1 1/2 cups (" in page
    assert "35 min" in page
    assert "1 h 15 min" in page
    assert "Version 2. Reviewed by Mara Lindqvist, RD, 2026-03-04." in page
    assert (
        "• Beans bring iron; the vitamin C of lemon and kale helps the body take it up. (Hallberg and Hulthen, 2000)"
        in page
    )
    for number, step in enumerate(STEPS, 1):
        assert f"{number}. {step}" in page
    assert "Contains: milk, tree nuts (walnut)." in page
    assert "May contain (the cook's note): traces of peanut" in page
    assert "Warfarin" in page
    assert "Vegan: no." in page
    assert "Calculated from food tables, not analysed." in page
    assert "carbohydrate choices of 15 g" in page


def test_carbohydrate_choices_are_a_switch(kitchen: Kitchen) -> None:
    found = card(kitchen)
    assert not any("carbohydrate choices of" in text for text in found.printed())
    found.type_in(INPUT, CHOICES, "yes")
    found.work_out()
    assert any("carbohydrate choices of 15 g" in text for text in found.printed())


def test_texts_of_the_card_are_inputs(kitchen: Kitchen) -> None:
    found = card(kitchen)
    found.type_in(TEXT_INPUT, INTRO, "A pan for weekday evenings.")
    found.type_in(TEXT_INPUT, SOURCE, "Tuesday Table, spring")
    found.work_out()
    assert "A pan for weekday evenings." in found.printed()
    assert any(text.endswith("Tuesday Table, spring") for text in found.printed())


def test_only_the_few_inputs_are_unlocked(kitchen: Kitchen) -> None:
    found = card(kitchen)
    unlocked = {at for at, cell in found.card.cells.items() if "input" in cell.style.split()}
    places = {(INPUT, SERVINGS), (INPUT, UNITS), (INPUT, CHOICES)}
    places |= {(TEXT_INPUT, col) for col in (*range(INTRO, 4), *range(SOURCE, 8))}
    assert unlocked == places


@pytest.mark.parametrize("nonsense", ["metres", "", 7, True, "METRIC "])
def test_nonsense_in_an_input_is_read_as_the_usual(kitchen: Kitchen, nonsense: str | int | bool) -> None:
    found = card(kitchen)
    for col in (SERVINGS, UNITS, CHOICES):
        found.type_in(INPUT, col, nonsense)
    found.work_out()
    metric = nonsense == "METRIC "
    made = "7 servings (1.75 times the recipe)" if nonsense == 7 and nonsense is not True else "4 servings"
    assert made in found.printed()
    assert any("metric" in text for text in found.printed()) is metric


def test_a_text_longer_than_its_box_says_so_on_the_page_and_beside_the_inputs(kitchen: Kitchen) -> None:
    found = card(kitchen)
    assert found.says() == "All texts fit."
    found.type_on_recipe("food", found.lay.method_first, "Stir and taste, then stir again. " * 60)
    found.work_out()
    assert "method" in found.says()
    assert any(text.startswith("(Longer than this box: read the recipe sheet.)") for text in found.printed())


def test_more_lines_than_rows_say_so_on_the_page(kitchen: Kitchen) -> None:
    found = card(kitchen)
    for i in range(len(SHORT.lines), found.lay.lines):
        for key, value in (("food", "Paprika"), ("amount", 1), ("unit", "tsp")):
            found.type_on_recipe(key, FIRST_LINE + i, value)
    found.work_out()
    assert "ingredients" in found.says()
    assert found.ingredients()[-1] == ("", "... and more lines: print the recipe sheet", "")


def test_eu_set_turns_the_panel_and_the_contains_line(kitchen: Kitchen) -> None:
    found = live_card(kitchen, LONG, "eu_nrv")
    assert found.differing == []
    page = found.printed()
    assert "Nutrition declaration" in page
    assert "of which saturates" in [text.strip() for text in page]
    assert "Nutrition Facts" not in page
    assert any(text.startswith("Contains: ") and "celery" in text for text in page)
    assert found.says() == "All texts fit."


def test_an_empty_sheet_has_a_card_that_waits(kitchen: Kitchen) -> None:
    from tests.workbook.cards import FOODS, small_kitchen
    from workbookgen.catalogue.constants import constant_rows
    from workbookgen.session import default_settings
    from workbookgen.workbook.build import Spares, lay_out
    from workbookgen.workbook.look import load_look
    from workbookgen.workbook.stored import fill

    small = small_kitchen(kitchen, *FOODS)
    book, _ = lay_out(small, constant_rows(), [SHORT], default_settings(), load_look(), Spares(1, 0))
    fill(book)
    assert "Card Spare 1" in [sheet.name for sheet in book.sheets]


def test_a_recipe_may_go_without_a_card(kitchen: Kitchen) -> None:
    with pytest.raises(StopIteration):
        live_card(kitchen, replace(SHORT, switches=("no card",)))


@pytest.mark.parametrize(
    ("tab", "taken", "name"),
    [("Soup", [], "Card Soup"), ("A" * 28, [], "Card " + "A" * 26), ("Soup", ["card soup"], "Card Soup 2"),
     ("B" * 30, ["Card " + "B" * 26], "Card " + "B" * 24 + " 2")],
)  # fmt: skip
def test_tabs_of_cards_are_short_and_unique(tab: str, taken: list[str], name: str) -> None:
    assert card_tab(tab, taken) == name
    assert len(name) <= 31


def test_recipe_sheets_and_overview_lead_to_the_card(kitchen: Kitchen) -> None:
    found = card(kitchen)
    target = f"internal:'{found.card.name}'!A1"
    overview = next(s for s in found.book.sheets if s.name == "Overview")
    assert target in [link for link, _ in found.sheet.links.values()]
    assert target in [link for link, _ in overview.links.values()]


def test_blocks_of_the_recipe_sheet_have_the_rows_they_need() -> None:
    from workbookgen.catalogue.panel_rules import load_panel_rules
    from workbookgen.workbook.recipe_about import ABOUT_ROWS
    from workbookgen.workbook.recipe_hold_back import HOLD_BACK_ROWS
    from workbookgen.workbook.recipe_panel import PANEL_ROWS

    rows = {key: count for key, count, _ in EXTRA_SECTIONS}
    assert (rows["panel"], rows["hold_back"], rows["about"]) == (PANEL_ROWS, HOLD_BACK_ROWS, ABOUT_ROWS)
    rules = load_panel_rules()
    assert len(rules.us) == len(rules.eu) == LINES
