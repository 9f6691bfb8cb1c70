"""Checks, Sources and Disclaimer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.review import CHANGED
from workbookgen.workbook.book import LOOKUP, Book, Sheet, a1, block, quoted
from workbookgen.workbook.foods_sheet import FoodsLayout
from workbookgen.workbook.frame import put_frame, row_points
from workbookgen.workbook.recipe_review import review_cells
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.texts import read_sections

HEAD = 4
FIRST = 5
RECIPE_CHECKS = ("lines to mend", "servings", "weight", "water for grains")
CARD_CHECK, REVIEW_CHECK, TYPED_CHECK = "texts of the card", "sign-off", "typed rows"


def put_checks_sheet(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], foods: FoodsLayout,
                     cards: Mapping[str, tuple[str, str]] | None = None,
                     typed: Mapping[str, str] | None = None) -> tuple[Sheet, str]:
    """Every check with a link; returns the sheet and the cell that counts those that need a look.

    ``cards`` maps recipe tabs to the tab of their card and the cell that says whether its texts fit; ``typed`` maps
    tabs on which rows are typed (labels, own foods) to their column of messages."""
    sheet = book.add("Checks")
    put_frame(sheet, "Checks", "Every check of the book. Left: the recipes. Right: whether figures of Foods were changed, "
              "swapped or blanked since the book was built (no more is claimed).", 10)
    for col, (head, width) in enumerate((("Recipe", 34), ("Check", 22), ("Says", 44), ("Counts (1 = needs a look)", 10))):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    row = FIRST
    for recipe in recipes:
        for i, name in enumerate(RECIPE_CHECKS):
            says = recipe.sheet.ref(recipe.lay.check_first + i, recipe.lay.col["treat"])
            title = recipe.sheet.ref(3, recipe.lay.col["r_food"])
            sheet.link(row, 0, recipe.sheet.name, recipe.sheet.name)
            sheet.put(row, 1, name, "calc small")
            sheet.formula(row, 2, f'=IF({title}="","empty recipe",{says})', LOOKUP, "calc small")
            sheet.formula(row, 3, f'=IF(OR({title}="",{says}="ok"),0,1)', LOOKUP, "calc small n0")
            row += 1
        if card := (cards or {}).get(recipe.sheet.name):
            _put_card_row(sheet, row, recipe, *card)
            row += 1
        _put_review_row(sheet, row, recipe)
        row += 1
    for tab, messages in (typed or {}).items():
        sheet.link(row, 0, tab, tab)
        sheet.put(row, 1, TYPED_CHECK, "calc small")
        wrong = f'SUMPRODUCT(({messages}<>"")*1)'
        sheet.formula(row, 2, f'=IF({wrong}=0,"ok",{wrong}&" rows to mend")', LOOKUP, "calc small")
        sheet.formula(row, 3, f"=IF({wrong}=0,0,1)", LOOKUP, "calc small n0")
        row += 1
    last_recipe = row - 1
    last = _put_tamper(sheet, kitchen, foods)
    changed = f'COUNTIF({block(FIRST, 6, last, 8)},"CHANGED")'
    counted = f"SUM({block(FIRST, 3, max(last_recipe, FIRST), 3)})+{changed}"
    sheet.put(HEAD - 1, 5, "Figures of Foods changed", "label")
    sheet.formula(HEAD - 1, 6, f"={changed}", LOOKUP, "total n0")
    book.name_range("check_changed", sheet, HEAD - 1, 6, HEAD - 1, 6)
    book.name_range("check_kind", sheet, FIRST, 1, max(last_recipe, FIRST), 1)
    book.name_range("check_counts", sheet, FIRST, 3, max(last_recipe, FIRST), 3)
    sheet.put(HEAD - 1, 0, "Checks that need a look", "label")
    sheet.formula(HEAD - 1, 2, f"={counted}", LOOKUP, "total n0")
    sheet.heights[HEAD] = 40
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return sheet, sheet.ref(HEAD - 1, 2)


def _put_review_row(sheet: Sheet, row: int, recipe: RecipeSheet) -> None:
    """Whether the recipe changed since it was signed off; one never signed off needs no look here."""
    status = f"{quoted(recipe.sheet.name)}!{review_cells(recipe.lay)['status']}"
    sheet.link(row, 0, recipe.sheet.name, recipe.sheet.name)
    sheet.put(row, 1, REVIEW_CHECK, "calc small")
    sheet.formula(row, 2, f'=IF({status}="","empty recipe",{status})', LOOKUP, "calc small")
    sheet.formula(row, 3, f'=IF({status}="{CHANGED}",1,0)', LOOKUP, "calc small n0")


def _put_card_row(sheet: Sheet, row: int, recipe: RecipeSheet, tab: str, says: str) -> None:
    """Whether all texts of the card fit their boxes."""
    title = recipe.sheet.ref(3, recipe.lay.col["r_food"])
    sheet.link(row, 0, tab, tab)
    sheet.put(row, 1, CARD_CHECK, "calc small")
    sheet.formula(row, 2, f'=IF({title}="","empty recipe",{quoted(tab)}!{says})', LOOKUP, "calc small")
    sheet.formula(row, 3, f'=IF(OR({title}="",{quoted(tab)}!{says}="All texts fit."),0,1)', LOOKUP, "calc small n0")


def _put_tamper(sheet: Sheet, kitchen: Kitchen, foods: FoodsLayout) -> int:
    """Per nutrient column of Foods: sum, row-weighted sum and count against the figures at build."""
    heads = (("Column of Foods", 28), ("Values", 12), ("Places", 12), ("Count", 12), ("Sum at build", 16),
             ("Weighted sum at build", 18), ("Count at build", 10))
    for offset, (head, width) in enumerate(heads):
        sheet.put(HEAD, 5 + offset, head, "head")
        sheet.widths[5 + offset] = width
    sheet.widths[4] = 3
    numbers = f"{quoted(foods.sheet.name)}!"
    rank = numbers + block(foods.first, 0, foods.last_fixed, 0)
    for i, nutrient in enumerate(kitchen.tables.nutrients):
        row = FIRST + i
        values = [f.values.get(nutrient.tag) for f in kitchen.fixed_foods]
        known = [v for v in values if v is not None]
        column = numbers + block(foods.first, foods.nutrient_col + i, foods.last_fixed, foods.nutrient_col + i)
        sheet.put(row, 5, nutrient.name, "calc small")
        sheet.put(row, 9, float(sum(known)), "fixed n3 small")
        sheet.put(row, 10, float(sum(v * k for k, v in enumerate(values, 1) if v is not None)), "fixed n3 small")
        sheet.put(row, 11, len(known), "fixed n0 small")
        for col, found, stored in ((6, f"SUM({column})", 9), (7, f"SUMPRODUCT({column},{rank})", 10), (8, f"COUNT({column})", 11)):
            at_build = a1(row, stored, fix_col=True)
            sheet.formula(row, col, f'=IF(ABS({found}-{at_build})<=0.000000001*MAX(1,ABS({at_build})),"unchanged","CHANGED")',
                          "unchanged", "calc small")
    return FIRST + len(kitchen.tables.nutrients) - 1


def put_sources(book: Book, kitchen: Kitchen) -> None:
    """Every source cited anywhere."""
    sheet = book.add("Sources")
    put_frame(sheet, "Sources", "Every source cited in this book. Status words: seen = the figure was read in a published text; "
              "memory = known, not confirmed yet; derived = computed here from seen figures.", 3)
    heads = (("Id", 24), ("Source", 90), ("Where", 50), ("Licence", 30))
    for col, (head, width) in enumerate(heads):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    for i, source in enumerate(kitchen.tables.sources.values()):
        texts = (source.id, source.citation, source.url, source.licence)
        for col, value in enumerate(texts):
            sheet.put(FIRST + i, col, value, "fixed small wrap")
        sheet.heights[FIRST + i] = row_points([(text, width) for text, (_, width) in zip(texts, heads, strict=True)])
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)


def put_disclaimer(book: Book, added: Sequence[tuple[str, list[str]]] = ()) -> None:
    """The locked text, then what a programme adds; nothing on it is unlocked."""
    sheet = book.add("Disclaimer")
    sheet.widths |= {0: 3, 1: 96, 2: 18}
    put_frame(sheet, "Disclaimer", "Read this before you print or hand on anything.", 2)
    row = 3
    for heading, lines in [*read_sections("disclaimer.md"), *added]:
        sheet.put(row, 1, heading, "section")
        row += 1
        for line in lines:
            sheet.put(row, 1, line, "wrap")
            sheet.heights[row] = row_points([(line, 96)], 10) + 3
            row += 1
        row += 1
    sheet.first_input = (3, 1)
