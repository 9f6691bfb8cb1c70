"""Compare: up to three recipes or variants side by side, serving against serving."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.compare_facts import put_facts, put_statement_changes
from workbookgen.workbook.compare_nutrients import put_chart, put_nutrients
from workbookgen.workbook.compare_picks import ABOUT, INPUT, LAST, PICKED, TAB, WIDTHS, put_picks
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_sheet import RecipeSheet

FIRST_BLOCK = ABOUT + 1
CHART_SIZE = (515, 470)


def put_compare(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], costs: bool = True) -> Sheet:
    """Lay out the sheet before Results; it reads recipe sheets through Results and Costs only."""
    sheet = book.add(TAB)
    at = next(i for i, other in enumerate(book.sheets) if other.name == "Results")
    book.sheets.insert(at, book.sheets.pop())
    put_frame(sheet, "Compare", "Two or three recipes or variants side by side, one serving each. A difference with \"at least\" or \"at most\" has an unknown part; "
              "\"?\" means that unknown parts leave even its direction open. A difference is no judgement: ask what the eater needs.", LAST)
    for col, width in enumerate(WIDTHS):
        sheet.widths[col] = width
    picks = put_picks(sheet, recipes)
    main = [n for n in kitchen.tables.nutrients if n.main]
    row = put_nutrients(sheet, kitchen, picks, FIRST_BLOCK, main)
    sheet.page_breaks.append(row)
    row = _section(sheet, row, "Plate, allergens, suitability, iron")
    facts = row
    put_chart(sheet, kitchen, picks, facts, PICKED[-1] + 1, facts, CHART_SIZE)
    row = put_facts(sheet, kitchen, picks, row, costs)
    if kitchen.tables.claims.statements:
        row = _section(sheet, row, "Statements won and lost against the first: those that hold for one of the dishes and not for the other")
        row = put_statement_changes(sheet, kitchen, picks, row, facts)
    sheet.page_breaks.append(row)
    row = _section(sheet, row, "More nutrients")
    row = put_nutrients(sheet, kitchen, picks, row, [n for n in kitchen.tables.nutrients if not n.main])
    sheet.freeze = (FIRST_BLOCK, 0)
    sheet.landscape = True
    sheet.repeat_rows = (INPUT, INPUT)
    sheet.print_area = (0, 0, row - 1, LAST)
    sheet.first_input = (INPUT, PICKED[0])
    return sheet


def _section(sheet: Sheet, row: int, title: str) -> int:
    sheet.put(row, 0, title, "section")
    sheet.band(row, 1, LAST, "section")
    return row + 1
