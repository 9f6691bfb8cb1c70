"""The sheets about buying, put into a book together: Shopping, Costs, Prices and their working sheet Buying."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import batches, recipe_costs, shopping_list
from workbookgen.workbook import shopping_prices, shopping_sheet
from workbookgen.workbook.book import Book
from workbookgen.workbook.recipe_picker import before_hubs
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.shopping_costs import put_costs
from workbookgen.workbook.shopping_lines import put_buying

TABS = (shopping_sheet.SHEET, "Costs", shopping_prices.SHEET, "Buying")


def put_shopping_sheets(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], dishes: Sequence[RecipeSheet],
                        analyses: Sequence[Analysis], currency: str) -> dict[str, str]:
    """Lay out all four; returns where they say what to mend, by tab. ``dishes`` may be used by others, in this order."""
    picks = shopping_sheet.default_picks(kitchen, recipes)
    costs = recipe_costs(kitchen, analyses)
    times = batches(kitchen, analyses, picks)
    items = shopping_list(kitchen, analyses, picks)
    places = [next(i for i, r in enumerate(recipes) if r.sheet is dish.sheet) for dish in dishes]
    shopping_sheet.put_shopping(book, kitchen, picks, [p.servings / costs[p.title.lower()].servings for p in picks], items, places)
    before_hubs(book)
    put_costs(book, kitchen, recipes, places, costs, times)
    before_hubs(book)
    shopping_prices.put_prices(book, kitchen, currency)
    before_hubs(book)
    put_buying(book, kitchen, recipes)
    return {shopping_sheet.SHEET: shopping_sheet.messages(), shopping_prices.SHEET: shopping_prices.messages(kitchen.prices)}
