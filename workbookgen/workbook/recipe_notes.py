"""Short notes that appear when an input of a recipe sheet is selected."""

from __future__ import annotations

from workbookgen.workbook.book import Sheet
from workbookgen.workbook.recipe_layout import FIRST_LINE, INPUT_ROW, RecipeLayout

HEAD_NOTES = {
    "food": ("Title", "Shown on every sheet and on the card. A sheet with a title joins Overview and Results."),
    "amount": ("Servings", "How many servings the dish gives: 0 1/2 to 1000."),
    "unit": ("One serving is", "In kitchen words, such as: about 2 cups."),
    "share": ("Pot, g", "Weight of the finished dish, weighed without the pot. Empty: it is estimated from yields."),
    "water": ("Cup, g", "Weight of one cup of the finished dish. Empty: unknown."),
}
LINE_NOTES = {
    "amount": ("Amount", "A number, or a fraction as 0 3/4 or 1 1/2. To taste: weigh what you use once."),
    "share": ("Eaten, %", "Share that is eaten: less than 100 for a marinade or a bone. Empty means 100."),
    "heading": ("Heading", "A heading that the card prints above this line."),
    "note": ("Note", "A remark for the cook, printed on the card."),
}


def put_input_notes(sheet: Sheet, lay: RecipeLayout) -> None:
    """Notes on inputs that have no list; lists bring their own."""
    for key, (title, text) in HEAD_NOTES.items():
        sheet.explain(INPUT_ROW, lay.col[key], INPUT_ROW, lay.col[key], title, text)
    for key, (title, text) in LINE_NOTES.items():
        sheet.explain(FIRST_LINE, lay.col[key], lay.last_line, lay.col[key], title, text)
    col = lay.col["food"]
    sheet.explain(lay.method_first, col, lay.method_last, col, "Method", "One step in each row. Write the safe temperature into the step.")
