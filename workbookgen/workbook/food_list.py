"""The list of foods an input offers: all of them, or in a large table those that start as typed."""

from __future__ import annotations

from workbookgen.workbook.book import Book, a1

ALL_FOODS = "=food_name"
#: Above this many foods a list is too long to scroll (common practice, no source).
MOST_LISTED = 2000
MESSAGE = (
    "Type how the name starts, press Enter, then open the list: it shows the names that start so. "
    "An empty cell lists every food. Names stand on sheet Foods."
)


def narrow_food_lists(book: Book, foods: int) -> None:
    """In a table of more than `MOST_LISTED` foods, let every list of foods start with what was typed."""
    if foods <= MOST_LISTED:
        return
    for sheet in book.sheets:
        for i, (row, col, last_row, last_col, options) in enumerate(sheet.validations):
            if options.get("source") == ALL_FOODS:
                changed = options | {"source": narrowed(a1(row, col)), "input_message": MESSAGE}
                sheet.validations[i] = (row, col, last_row, last_col, changed)


def narrowed(cell: str) -> str:
    """Validation source: the foods whose names start with the text of ``cell``, which moves with the input.

    The names are sorted, so those that start alike stand together: from the first match, as many as there
    are. Where none starts so, the whole list. Two INDEX with a colon belong in validations only.
    """
    start = f'MATCH({cell}&"*",food_name,0)'
    return (
        f"=INDEX(food_name,IFERROR({start},1))"
        f':INDEX(food_name,IFERROR({start}+COUNTIF(food_name,{cell}&"*")-1,ROWS(food_name)))'
    )
