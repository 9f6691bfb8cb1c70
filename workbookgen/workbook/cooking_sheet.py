"""Cooking: which treatments a food offers, what they keep (retention) and what they weigh (yield)."""

from __future__ import annotations

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.review import treatment_number
from workbookgen.workbook.book import Book, Sheet, column_name
from workbookgen.workbook.frame import put_frame

HEAD = 4
FIRST = 5
OFFER_COL = 0
YIELD_COL = 12
KEEP_COL = 20
KEEP_FIRST_FACTOR = KEEP_COL + 3


def retention_columns(kitchen: Kitchen) -> list[str]:
    """Retention columns in use, in the order of the nutrients."""
    return list(dict.fromkeys(n.keep for n in kitchen.tables.nutrients if n.keep))


def put_cooking(book: Book, kitchen: Kitchen) -> dict[tuple[str, str], tuple[int, int]]:
    """Lay out the sheet; returns first row (1-based within the block) and number of the treatments offered
    per (retention group, state)."""
    sheet = book.add("Cooking")
    put_frame(sheet, "Cooking", "Left: treatments each kind of food offers. Middle: cooked grams per raw gram of single "
              "foods. Right: per cent of each nutrient kept (USDA Table of Nutrient Retention Factors, Release 6).", 8)
    offers = _put_offers(book, sheet, kitchen)
    _put_yields(book, sheet, kitchen)
    _put_retention(book, sheet, kitchen)
    sheet.heights[HEAD] = 40
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.print_scale, sheet.column_breaks = 60, [YIELD_COL, KEEP_COL]
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return offers


def _heads(sheet: Sheet, col: int, heads: tuple[tuple[str, float], ...]) -> None:
    for offset, (head, width) in enumerate(heads):
        sheet.put(HEAD, col + offset, head, "head")
        sheet.widths[col + offset] = width


def _put_offers(book: Book, sheet: Sheet, kitchen: Kitchen) -> dict[tuple[str, str], tuple[int, int]]:
    sheet.put(HEAD - 1, OFFER_COL, "Treatments offered", "label")
    _heads(sheet, OFFER_COL, (("Kind of food", 18), ("State", 9), ("Treatment", 32), ("Retention code", 9),
                              ("Row of retention", 9), ("Juices", 8), ("Cooked g per raw g", 9),
                              ("Yield source", 16), ("Yield status", 10), ("Key", 20), ("Number for the sign-off", 9)))
    groups = sorted({(f.keep_group, f.state) for f in kitchen.table.foods} | {("none", "ready")})
    row_of_code = {r.code: i for i, r in enumerate(kitchen.tables.retention, 1)}
    group_yields = {(y.key, y.treatment): y for y in kitchen.tables.yields if y.kind == "group"}
    found: dict[tuple[str, str], tuple[int, int]] = {}
    row = FIRST
    for group, state in groups:
        offered = kitchen.offers(group, state)
        found[group, state] = (row - FIRST + 1, len(offered))
        for treatment in offered:
            group_yield = group_yields.get((group, treatment.name))
            sheet.put(row, OFFER_COL, group, "fixed small")
            sheet.put(row, OFFER_COL + 1, state, "fixed small")
            sheet.put(row, OFFER_COL + 2, treatment.name, "fixed")
            sheet.put(row, OFFER_COL + 3, treatment.code, "fixed small")
            code = f"$D{row + 1}"
            sheet.formula(row, OFFER_COL + 4, f"=MATCH({code},keep_code,0)", float(row_of_code[treatment.code]),
                          "calc n0")
            sheet.put(row, OFFER_COL + 5, treatment.drippings, "fixed small")
            sheet.put(row, OFFER_COL + 6, group_yield.factor if group_yield else 1.0, "fixed n2")
            sheet.put(row, OFFER_COL + 7, group_yield.source_id if group_yield else "weight unchanged", "fixed small")
            sheet.put(row, OFFER_COL + 8, group_yield.status if group_yield else "", "fixed small")
            sheet.put(row, OFFER_COL + 9, f"{group}|{state}", "fixed small")
            sheet.put(row, OFFER_COL + 10, treatment_number(treatment.name), "fixed n0")
            row += 1
    for name, offset in (("offer_name", 2), ("offer_keep", 4), ("offer_drip", 5), ("offer_yield", 6), ("offer_key", 9),
                         ("offer_sign", 10)):
        book.name_range(name, sheet, FIRST, OFFER_COL + offset, row - 1, OFFER_COL + offset)
    return found


def _put_yields(book: Book, sheet: Sheet, kitchen: Kitchen) -> None:
    sheet.put(HEAD - 1, YIELD_COL, "Cooked weight of single foods", "label")
    _heads(sheet, YIELD_COL, (("Food", 34), ("Treatment", 26), ("Key", 28), ("Cooked g per raw g", 9),
                              ("Source", 16), ("Status", 9), ("Note", 40)))
    named = {f.source_number: f.name for f in kitchen.table.foods}
    row = FIRST
    for y in kitchen.tables.yields:
        if y.kind != "food" or y.key not in named:
            continue
        key = f"{y.key}|{y.treatment}"
        cells: tuple[tuple[float | str, str], ...] = ((named[y.key], "fixed"), (y.treatment, "fixed small"),
                                                 (key, "fixed small"), (y.factor, "fixed n2"),
                                                 (y.source_id, "fixed small"), (y.status, "fixed small"),
                                                 (y.note, "fixed small"))
        for offset, (value, style) in enumerate(cells):
            sheet.put(row, YIELD_COL + offset, value, style)
        row += 1
    last = max(row - 1, FIRST)
    book.name_range("yield_key", sheet, FIRST, YIELD_COL + 2, last, YIELD_COL + 2)
    book.name_range("yield_factor", sheet, FIRST, YIELD_COL + 3, last, YIELD_COL + 3)


def _put_retention(book: Book, sheet: Sheet, kitchen: Kitchen) -> None:
    columns = retention_columns(kitchen)
    sheet.put(HEAD - 1, KEEP_COL, "Per cent kept", "label")
    _heads(sheet, KEEP_COL, (("Code", 8), ("Food kind", 20), ("Treatment as published", 38)))
    for offset, column in enumerate(columns):
        sheet.put(HEAD, KEEP_FIRST_FACTOR + offset, column, "head")
        sheet.widths[KEEP_FIRST_FACTOR + offset] = 8
    end = KEEP_FIRST_FACTOR + len(columns)
    _heads(sheet, end, (("Source", 16), ("Status", 9)))
    for i, retention in enumerate(kitchen.tables.retention):
        row = FIRST + i
        sheet.put(row, KEEP_COL, retention.code, "fixed small")
        sheet.put(row, KEEP_COL + 1, retention.group, "fixed small")
        sheet.put(row, KEEP_COL + 2, retention.description, "fixed small")
        for offset, column in enumerate(columns):
            value = retention.pct.get(column)
            sheet.put(row, KEEP_FIRST_FACTOR + offset, "" if value is None else value, "fixed n0")
        sheet.put(row, end, retention.source_id, "fixed small")
        sheet.put(row, end + 1, retention.status, "fixed small")
    last = FIRST + len(kitchen.tables.retention) - 1
    book.name_range("keep_code", sheet, FIRST, KEEP_COL, last, KEEP_COL)
    for offset, column in enumerate(columns):
        book.name_range("keep_" + column_name(column), sheet, FIRST, KEEP_FIRST_FACTOR + offset, last,
                        KEEP_FIRST_FACTOR + offset)


