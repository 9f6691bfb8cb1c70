"""What Results carries for sheets that set recipes side by side: allergens by number, iron taken up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.compare import ALLERGEN_CODES
from workbookgen.nutrition.iron import IronResult, iron_of_serving
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value
from workbookgen.workbook.handout_layout import Handout
from workbookgen.workbook.recipe_iron_help import ABSORBED, HEME
from workbookgen.workbook.science_inputs import choices_of
from workbookgen.workbook.science_layout import TABLE_FIRST
from workbookgen.workbook.tables_sheet import PLATE_GROUPS

if TYPE_CHECKING:
    from workbookgen.workbook.recipe_sheet import RecipeSheet

Head = tuple[str, str, float]


def compare_heads(kitchen: Kitchen) -> list[Head]:
    """Columns of Results: key, heading, width."""
    heads: list[Head] = []
    if kitchen.safety.allergens:
        heads.append(("alg_codes", "Allergens in the order of Safety: c contains, u not known, n no", 18))
    if kitchen.tables.science.iron:
        heads += [("iron_low", "Iron taken up, from, mg per serving", 9), ("iron_high", "Iron taken up, to, mg per serving", 9)]
    return heads


def put_compare_row(sheet: Sheet, col: dict[str, int], row: int, kitchen: Kitchen, recipe: RecipeSheet) -> None:
    """One recipe's cells in these columns."""
    lay, source, analysis = recipe.lay, recipe.sheet, recipe.analysis
    if "alg_codes" in col:
        h = Handout(lay, kitchen.safety)
        cells = [source.ref(h.allergen_first + i, lay.col["unit"]) for i in range(len(kitchen.safety.allergens))]
        codes = "&".join(f'IF({c}="contains","c",IF({c}="no","n","u"))' for c in cells)
        value = "".join(ALLERGEN_CODES[s.state] for s in allergen_report(kitchen.safety, analysis).states) if analysis else None
        sheet.formula(row, col["alg_codes"], f"={codes}", LOOKUP if value is None else value, "calc small")
    if "iron_low" in col:
        at = lay.section["iron"] + TABLE_FIRST + 2 + len(kitchen.tables.science.stores)
        result = iron_as_chosen(kitchen, recipe.recipe, analysis)
        for key, column, found in (("iron_low", HEME, result.low_mg if result else None), ("iron_high", ABSORBED, result.high_mg if result else None)):
            stored: Value | None = found
            sheet.formula(row, col[key], f"={source.ref(at, lay.col[column])}", LOOKUP if stored is None else stored, "calc small n2")


def iron_as_chosen(kitchen: Kitchen, recipe: Recipe | None, analysis: Analysis | None) -> IronResult | None:
    """Iron of a serving with the stores and life stage that the recipe file chooses."""
    if analysis is None:
        return None
    chosen, science = choices_of(recipe), kitchen.tables.science
    stores = chosen.get("iron_stores", "")
    known = [f"{row.stores_mg:g}" for row in science.stores]
    return iron_of_serving(kitchen, analysis, float(stores) if stores in known else None, None)


def name_compare_ranges(book: Book, sheet: Sheet, col: dict[str, int], first: int, last: int) -> None:
    """Names for the columns that Compare and Programme read."""
    keys = ["serving_words", "met", "not_met", "unsure", "alg_codes", "iron_low", "iron_high"]
    keys += [f"{key}_{g}" for g in range(1, PLATE_GROUPS + 1) for key in ("group", "share", "verdict")]
    for key in keys:
        if key in col and f"res_{key}" not in book.names:
            book.name_range(f"res_{key}", sheet, first, col[key], last, col[key])
