"""Shopping, Costs and Prices follow what is typed and agree with the core."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import formualizer
import pytest

from tests.dishes import line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.programme import TRIMMED, Price
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import Pick, recipe_costs, shopping_list
from workbookgen.session import default_settings
from workbookgen.workbook import shopping_costs as costs_sheet
from workbookgen.workbook import shopping_prices as prices_sheet
from workbookgen.workbook import shopping_sheet as shopping
from workbookgen.workbook.book import Book, Cell, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.shopping_book import TABS
from workbookgen.workbook.stored import _load_values, _runs, _speller, fill

KALE, BEANS, OIL, FETA, CABBAGE = "Kale, raw", "Black beans, boiled", "Olive oil", "Feta", "Cabbage, green, raw"
PRICES = (Price(KALE, 2.5, 300, "g"), Price(OIL, 8, 500, "g", pantry_g=30), Price(BEANS, 1, 400, "g"),
          Price(CABBAGE, 2, 1, "kg", sold_as=TRIMMED))
RECIPES = (
    Recipe("Stew", 2, (line("Sauce", 250), line("Stock", 100), line(BEANS, 300), line(FETA, 40))),
    Recipe("Slaw", 3, (line(CABBAGE, 300), line(OIL, 20), line(KALE, 50, basis="as purchased"))),
    Recipe("Plain", 1, (line(FETA, 40),)),
    Recipe("Stock", 4, (line(KALE, 200), line("Water, tap", 800, water="stays"))),
    Recipe("Sauce", 4, (line("Stock", 400), line(OIL, 100))),
)
COSTS_FIRST = costs_sheet.HEAD + 2


class Live:
    """The four sheets in another engine, where one types and reads again; all other sheets stand still."""

    def __init__(self, book: Book) -> None:
        self.engine = formualizer.Workbook()
        self.engine.set_changelog_enabled(False)
        self.typed: dict[tuple[str, int, int], object] = {}
        self.sheets = {s.name: s for s in book.sheets}
        spell = _speller(book.names)
        for sheet in book.sheets:
            self.engine.add_sheet(sheet.name)
        for sheet in book.sheets:
            still = Sheet(sheet.name, {at: Cell(c.value) for at, c in sheet.cells.items() if sheet.name not in TABS or not c.formula})
            _load_values(self.engine, still)
        for name in TABS:
            for row, col, formulas in _runs(self.sheets[name], formulas=True):
                self.engine.set_formulas_batch(name, row + 1, col + 1, [[spell(f) for f in formulas]])
        self.engine.evaluate_all()

    def put(self, sheet: str, cells: dict[tuple[int, int], object]) -> None:
        for (row, col), value in cells.items():
            self.typed.setdefault((sheet, row, col), self.sheets[sheet].cells[row, col].value)
            self.engine.set_value(sheet, row + 1, col + 1, value)
        self.engine.evaluate_all()

    def back(self) -> None:
        """As it was built."""
        for (sheet, row, col), value in self.typed.items():
            self.engine.set_value(sheet, row + 1, col + 1, None if value == "" else value)
        self.typed.clear()
        self.engine.evaluate_all()

    def at(self, sheet: str, row: int, col: int) -> Any:
        found = self.engine.evaluate_cell(sheet, row + 1, col + 1)
        return "" if found is None else found


@pytest.fixture(scope="module")
def shop(kitchen: Kitchen) -> tuple[Book, Kitchen, list[Analysis]]:
    small = replace(small_kitchen(kitchen, KALE, BEANS, OIL, FETA, CABBAGE, "Water, tap"), prices=PRICES)
    book, analyses = lay_out(small, constant_rows(), list(RECIPES), default_settings(), load_look(), Spares(0, 1))
    assert fill(book) == []
    made, _ = with_dishes(small, in_order(RECIPES)[0], default_settings())
    return book, made, analyses


@pytest.fixture(scope="module")
def engine(shop: tuple[Book, Kitchen, list[Analysis]]) -> Live:
    return Live(shop[0])


@pytest.fixture
def live(engine: Live) -> Iterator[Live]:
    yield engine
    engine.back()


def picked(picks: list[Pick]) -> dict[tuple[int, int], object]:
    """Cells that choose exactly these."""
    cells: dict[tuple[int, int], object] = {}
    for i in range(shopping.PICKS):
        row = shopping.PICK_FIRST + i
        cells[row, shopping.RECIPE] = picks[i].title if i < len(picks) else None
        cells[row, shopping.SERVINGS] = picks[i].servings if i < len(picks) else None
        cells[row, shopping.PEOPLE] = cells[row, shopping.PORTIONS] = None
    return cells


def test_costs_are_those_of_the_core_dishes_within_dishes_too(shop: tuple[Book, Kitchen, list[Analysis]]) -> None:
    book, kitchen, analyses = shop
    sheet = next(s for s in book.sheets if s.name == "Costs")
    core = recipe_costs(kitchen, analyses)
    told = {sheet.cells[COSTS_FIRST + i, costs_sheet.TITLE].value: i for i in range(5)}
    for title, i in told.items():
        row, cost = COSTS_FIRST + i, core[str(title).lower()]
        assert sheet.cells[row, costs_sheet.TOTAL].value == ("?" if cost.total is None else cost.total)
        assert sheet.cells[row, costs_sheet.MISSING].value == "; ".join(cost.unpriced)
    assert core["stew"].total == pytest.approx(sheet.cells[COSTS_FIRST + told["Stew"], costs_sheet.SERVING].value * 2)
    assert sheet.cells[COSTS_FIRST + told["Stew"], costs_sheet.READS].value == "at least"
    assert sheet.cells[COSTS_FIRST + told["Plain"], costs_sheet.TOTAL].value == "?"
    assert sheet.cells[COSTS_FIRST + told["Slaw"], costs_sheet.READS].value == ""


def test_another_choice_of_recipes_gives_the_list_of_the_core(shop: tuple[Book, Kitchen, list[Analysis]], live: Live) -> None:
    _, kitchen, analyses = shop
    picks = [Pick("Stew", 7), Pick("Slaw", 4), Pick("Stock", 2)]
    live.put("Shopping", picked(picks))
    items = shopping_list(kitchen, analyses, picks)
    assert len(items) == 5
    for k, item in enumerate(items):
        row = shopping.LIST_FIRST + k
        assert live.at("Shopping", row, shopping.FOOD) == item.food
        assert live.at("Shopping", row, shopping.BUY) == pytest.approx(item.buy)
        assert live.at("Shopping", row, shopping.HAVE) == pytest.approx(item.pantry)
        assert live.at("Shopping", row, shopping.COST) == ("no price" if item.cost is None else pytest.approx(item.cost))
    assert live.at("Shopping", shopping.LIST_FIRST + 5, shopping.FOOD) == ""
    said = live.at("Shopping", shopping.SUM_ROW, 0)
    known = sum(i.cost or 0 for i in items)
    assert f"at least {known:.2f} USD" in said
    assert f"No price: {FETA}." in said


def test_dishes_inside_are_named_to_be_made_first(shop: tuple[Book, Kitchen, list[Analysis]], live: Live) -> None:
    _, kitchen, analyses = shop
    core = recipe_costs(kitchen, analyses)["stew"]
    live.put("Shopping", picked([Pick("Stew", 6), Pick("Stock", 4)]))
    stock, sauce = (int(core.dishes[title] * 3 + 0.5) for title in ("Stock", "Sauce"))
    assert live.at("Shopping", shopping.FIRST_MADE, 0) == f"Make first, from foods on this list: Stock, {stock} g; Sauce, {sauce} g."
    live.put("Shopping", picked([Pick("Slaw", 6)]))
    assert live.at("Shopping", shopping.FIRST_MADE, 0) == ""


def test_people_times_portions_stand_for_servings(live: Live) -> None:
    live.put("Shopping", picked([]))
    assert live.at("Shopping", shopping.SUM_ROW, 0).startswith("Nothing to buy yet")
    row = shopping.PICK_FIRST
    live.put("Shopping", {(row, shopping.RECIPE): "slaw", (row, shopping.PEOPLE): 12, (row, shopping.PORTIONS): 0.5})
    assert live.at("Shopping", row, shopping.COUNTED) == 6
    assert live.at("Shopping", row, shopping.BATCHES) == 2
    live.put("Shopping", {(row, shopping.SERVINGS): 3})
    assert live.at("Shopping", row, shopping.COUNTED) == 3
    assert live.at("Shopping", shopping.SUM_ROW, 0).startswith("Packages cost ")
    assert "at least" not in live.at("Shopping", shopping.SUM_ROW, 0)


@pytest.mark.parametrize(("cells", "message"), [
    ({"RECIPE": "Nowhere stew", "SERVINGS": 2}, "choose a recipe of this book"),
    ({"RECIPE": "*", "SERVINGS": 2}, "choose a recipe of this book"),
    ({"SERVINGS": 2}, "choose a recipe of this book"),
    ({"RECIPE": "Slaw"}, "type servings, or people"),
    ({"RECIPE": "Slaw", "SERVINGS": "many"}, "servings: a number above 0"),
    ({"RECIPE": "Slaw", "SERVINGS": -2}, "servings: a number above 0"),
    ({"RECIPE": "Slaw", "SERVINGS": True}, "servings: a number above 0"),
    ({"RECIPE": "Slaw", "PEOPLE": 1e9}, "people: a number above 0"),
    ({"RECIPE": "Slaw", "PEOPLE": 2, "PORTIONS": "half"}, "portions: a number above 0"),
    ({"RECIPE": "Slaw", "SERVINGS": 2}, ""),
])  # fmt: skip
def test_what_cannot_be_read_is_named_and_buys_nothing(live: Live, cells: dict[str, object], message: str) -> None:
    live.put("Shopping", picked([]))
    row = shopping.PICK_FIRST + 3
    live.put("Shopping", {(row, getattr(shopping, key)): value for key, value in cells.items()})
    assert live.at("Shopping", row, shopping.MESSAGE) == message
    assert live.at("Shopping", shopping.LIST_FIRST, shopping.FOOD) == ("" if message else OIL)


PRICE_ROW = prices_sheet.FIRST + len(PRICES)


@pytest.mark.parametrize(("cells", "message"), [
    ({"FOOD": "Moonbeans"}, "food not in the list: choose one from it"),
    ({"PACKAGE": 100}, "choose a food"),
    ({"FOOD": KALE, "PACKAGE": 1, "PRICE": 1}, "this food stands above: that row counts"),
    ({"FOOD": FETA, "PRICE": 1}, "type the grams of a package"),
    ({"FOOD": FETA, "PACKAGE": 0, "PRICE": 1}, "package: grams above 0"),
    ({"FOOD": FETA, "PACKAGE": "box", "PRICE": 1}, "package: grams above 0"),
    ({"FOOD": FETA, "PACKAGE": 200, "PRICE": -1}, "price: a number, 0 or more"),
    ({"FOOD": FETA, "PACKAGE": 200, "PRICE": 5, "PANTRY": "some"}, "pantry: grams, 0 or more"),
    ({"FOOD": FETA, "PACKAGE": 200, "PRICE": 5, "SOLD": "peeled"}, "sold as: whole or trimmed"),
    ({"FOOD": FETA, "PACKAGE": 200, "PRICE": 5}, ""),
    ({"FOOD": FETA, "PACKAGE": 200, "PRICE": 0}, ""),
    ({"FOOD": FETA, "PANTRY": 100}, ""),
])  # fmt: skip
def test_prices_are_judged_as_typed(live: Live, cells: dict[str, object], message: str) -> None:
    live.put("Prices", {(PRICE_ROW, getattr(prices_sheet, key)): value for key, value in cells.items()})
    assert live.at("Prices", PRICE_ROW, prices_sheet.MESSAGE) == message
    priced = "PACKAGE" in cells and cells.get("FOOD") == FETA and not message.startswith(("package", "price"))
    plain = next(i for i in range(5) if live.at("Costs", COSTS_FIRST + i, costs_sheet.TITLE) == "Plain")
    assert live.at("Costs", COSTS_FIRST + plain, costs_sheet.TOTAL) == (pytest.approx(40 / 200 * float(str(cells["PRICE"]))) if priced else "?")


def test_shares_of_a_recipe_add_up_to_the_whole(live: Live) -> None:
    live.put("Prices", {(PRICE_ROW, prices_sheet.FOOD): FETA, (PRICE_ROW, prices_sheet.PACKAGE): 200, (PRICE_ROW, prices_sheet.PRICE): 5})
    live.put("Costs", {(4, costs_sheet.TITLE): "Stew"})
    top = next(r for r in range(10, 60) if str(live.at("Costs", r, 0)).startswith("Ingredient by ingredient: Stew"))
    shares = [live.at("Costs", top + 2 + i, costs_sheet.READS) for i in range(4)]
    assert sum(shares) == pytest.approx(100)
    assert live.at("Costs", top + 2, costs_sheet.TITLE) == "Sauce"


def test_another_word_for_the_currency_stands_everywhere(live: Live) -> None:
    live.put("Prices", {(prices_sheet.CURRENCY_ROW, prices_sheet.FOOD): "crowns"})
    assert live.at("Shopping", shopping.LIST_HEAD, shopping.COST).endswith("crowns")
    assert " crowns in all" in live.at("Shopping", shopping.SUM_ROW, 0)
