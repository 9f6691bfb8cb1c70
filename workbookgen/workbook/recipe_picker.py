"""Sheets about one chosen recipe: pick it by title, read its cells without knowing its sheet beforehand."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.workbook.book import LOOKUP, Book, Sheet, block
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import key_text, tidy

LABEL_ROW, INPUT_ROW, HINT_ROW, MESSAGE_ROW = 3, 4, 5, 6


def put_picker(sheet: Sheet, recipes: Sequence[RecipeSheet], col: int, work_col: int) -> str:
    """Input for a title of the book with its message below; returns the cell that holds the slot number."""
    first = next((r.recipe.title for r in recipes if r.recipe), "")
    sheet.put(LABEL_ROW, col, "Recipe", "label")
    sheet.put(INPUT_ROW, col, first, "input")
    sheet.put(HINT_ROW, col, "choose from the list", "hint")
    sheet.heights[INPUT_ROW] = 22
    sheet.choose_from(INPUT_ROW, col, INPUT_ROW, col, "=res_title", "Recipe", "A title of this book.")
    x = f"INDEX({block(LABEL_ROW, col, HINT_ROW, col)},2)"
    found = f"IFERROR(MATCH({key_text(x)},res_title,0),0)"
    sheet.put(LABEL_ROW, work_col, "Recipe no.", "workhead")
    at = sheet.formula(INPUT_ROW, work_col, f'=IF(ISTEXT({x}),IF(LEN({x})>const_title_letters,0,IF({tidy(x)}="",0,{found})),0)', 1.0, "work n0")
    sheet.formula(MESSAGE_ROW, col, f'=IF({at}=0,"not a recipe of this book: the first one is shown","")', LOOKUP, "message")
    slot = sheet.formula(HINT_ROW, work_col, f"=MAX(1,{at})", 1.0, "work n0")
    return slot


def chosen_cell(slot: str, cells: Sequence[str]) -> str:
    """Formula body: the chosen recipe's cell out of one per recipe."""
    return f"CHOOSE({slot},{','.join(cells)})"


def line_cell(recipe: RecipeSheet, key: str, index: int) -> str:
    """A cell of ingredient line ``index`` (from 0), or an empty text where the sheet has fewer lines."""
    from workbookgen.workbook.recipe_layout import FIRST_LINE

    if index >= recipe.lay.lines:
        return '""'
    return recipe.sheet.ref(FIRST_LINE + index, recipe.lay.col[key])


def before_hubs(book: Book) -> None:
    """Move the sheet added last to before the hubs, where readers look for it."""
    sheet = book.sheets.pop()
    at = next(i for i, other in enumerate(book.sheets) if other.name == "Results")
    book.sheets.insert(at, sheet)
