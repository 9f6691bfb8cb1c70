"""Least and most: the smallest and largest values the national table prints, for foods that have them."""

from __future__ import annotations

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.frame import put_frame

TAB = "Least and most"
HEAD, FIRST = 4, 5


def printed_ranges(kitchen: Kitchen) -> list[tuple[str, str, float, float]]:
    """(food id, tag, least, most) per 100 g of the fixed foods, for nutrients that statements rest on."""
    quantities = ClaimPlan(kitchen.tables.claims).quantities
    tags = {q.terms[0][0] for q in quantities if q.kind in ("sum", "part") and len(q.terms) == 1}
    details, found = kitchen.table.details, []
    for food in kitchen.fixed_foods:
        for nutrient in kitchen.tables.nutrients:
            detail = details.get((food.id, nutrient.tag))
            if nutrient.tag in tags and detail is not None and detail.minimum is not None and detail.maximum is not None:
                found.append((food.id, nutrient.tag, detail.minimum, detail.maximum))
    return found


def put_least_most(book: Book, kitchen: Kitchen) -> Sheet:
    """Lay out the sheet and name its columns."""
    sheet = book.add(TAB)
    put_frame(sheet, TAB, "Smallest and largest value per 100 g among the samples, where the national table prints both. A food without a row "
              "prints no range: its figure may be firm or not, nobody says.", 5)
    rows = printed_ranges(kitchen)
    names = {f.id: f.name for f in kitchen.fixed_foods}
    heads = (("Food", 40), ("Nutrient", 26), ("Key", 22), ("Least", 11), ("Most", 11), ("Unit", 7))
    for col, (head, width) in enumerate(heads):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    for i, (food, tag, least, most) in enumerate(rows or [("", kitchen.tables.nutrients[0].tag, 0.0, 0.0)]):
        nutrient = kitchen.nutrient_by_tag[tag]
        cells: tuple[float | str, ...] = (names.get(food, ""), nutrient.name, f"{food}|{tag}", least, most, nutrient.unit)
        for col, value in enumerate(cells):
            sheet.put(FIRST + i, col, value, "fixed general small" if col in (3, 4) else "fixed small")
    last = FIRST + max(len(rows), 1) - 1
    for name, col in (("least_key", 2), ("least_min", 3), ("least_max", 4)):
        book.name_range(name, sheet, FIRST, col, last, col)
    sheet.freeze = (FIRST, 1)
    sheet.filters = (HEAD, 0, last, len(heads) - 1)
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return sheet
