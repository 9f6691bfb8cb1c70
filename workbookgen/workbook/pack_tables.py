"""Pack rules: words on packs, their conditions, the quantities they use, reference amounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.pack import KINDS, PACK_BASES, PackCondition
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.frame import put_frame

SHEET = "Pack rules"
HEAD = 4
FIRST = 5
ORDER = ("lowest first", "highest first")


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """One row of the table of conditions."""

    word: str
    kind: str
    condition: PackCondition


def condition_rows(kitchen: Kitchen) -> list[ConditionRow]:
    """All conditions, those of one word and kind of product together."""
    return [
        ConditionRow(word.words, kind, condition)
        for word in kitchen.pack_rules.words
        for kind in KINDS
        for condition in word.conditions.get(kind, ())
    ]


def first_and_count(kitchen: Kitchen, word_id: str, kind: str) -> tuple[int, int]:
    """First row (from 1) and number of a word's conditions for a kind of product; (0, 0) when not defined."""
    first = 1
    for word in kitchen.pack_rules.words:
        for known in KINDS:
            count = len(word.conditions.get(known, ()))
            if (word.id, known) == (word_id, kind):
                return (first, count) if count else (0, 0)
            first += count
    raise KeyError(word_id)


def put_pack_rules(book: Book, kitchen: Kitchen) -> Sheet:
    """Lay out the sheet and name its columns."""
    sheet = book.add(SHEET)
    put_frame(
        sheet,
        SHEET,
        "What words on a pack mean: each condition with its section of the US rules (21 CFR part 101). Labels "
        "reads its limits here.",
        8,
    )
    starts = [_put_words(book, sheet, kitchen, 0)]
    starts.append(_put_conditions(book, sheet, kitchen, starts[-1] + 1))
    starts.append(_put_quantities(book, sheet, kitchen, starts[-1] + 1))
    end = _put_raccs(book, sheet, kitchen, starts[-1] + 1)
    _column(book, sheet, end + 1, "Kind of product", 14, KINDS, "fixed small", "pack_kind")
    _column(book, sheet, end + 2, "Order", 14, ORDER, "fixed small", "pack_order")
    sheet.heights[HEAD] = 40
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = 60, [s + 1 for s in starts]
    sheet.first_input = (FIRST, 0)
    return sheet


def _column(
    book: Book,
    sheet: Sheet,
    col: int,
    head: str,
    width: float,
    values: Sequence[float | int | str],
    style: str,
    name: str = "",
) -> int:
    sheet.put(HEAD, col, head, "head")
    sheet.widths[col] = width
    for i, value in enumerate(values):
        sheet.put(FIRST + i, col, value, style)
    if name:
        book.name_range(name, sheet, FIRST, col, FIRST + max(len(values), 1) - 1, col)
    return col + 1


def _put_words(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    words = kitchen.pack_rules.words
    sheet.put(HEAD - 1, col, "Words", "label")
    col = _column(book, sheet, col, "Word on the pack", 24, [w.words for w in words], "fixed", "pack_word")
    for number, kind in enumerate(KINDS, 1):
        rows = [first_and_count(kitchen, w.id, kind) for w in words]
        col = _column(
            book,
            sheet,
            col,
            f"{kind}: from row",
            8,
            [r[0] for r in rows],
            "fixed n0 small",
            f"pack_from_{number}",
        )
        col = _column(
            book,
            sheet,
            col,
            f"{kind}: rows",
            7,
            [r[1] for r in rows],
            "fixed n0 small",
            f"pack_rows_{number}",
        )
    return _column(
        book, sheet, col, "Good to know", 132, [w.note for w in words], "fixed small wrap", "pack_note"
    )


def _put_conditions(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    rows = condition_rows(kitchen)
    places = {q: i for i, (q, _, _) in enumerate(kitchen.pack_rules.quantities, 1)}
    found = [r.condition for r in rows]
    sheet.put(HEAD - 1, col, "Conditions: all rows of one word and kind must hold", "label")
    col = _column(book, sheet, col, "Word", 22, [r.word for r in rows], "fixed small")
    col = _column(book, sheet, col, "Kind of product", 11, [r.kind for r in rows], "fixed small")
    col = _column(
        book,
        sheet,
        col,
        "Quantity, number",
        8,
        [places[c.quantity] for c in found],
        "fixed n0 small",
        "pack_q",
    )
    col = _column(book, sheet, col, "Judged on", 14, [c.basis for c in found], "fixed small")
    bases = [PACK_BASES.index(c.basis) for c in found]
    col = _column(book, sheet, col, "Amount, number", 8, bases, "fixed n0 small", "pack_basis")
    col = _column(book, sheet, col, "Sign", 6, [c.sign for c in found], "fixed small", "pack_sign")
    col = _column(book, sheet, col, "Limit", 9, [c.limit for c in found], "fixed general small", "pack_limit")
    col = _column(book, sheet, col, "In words", 52, [c.asked for c in found], "fixed small", "pack_asked")
    sections = [f"21 CFR {c.proof.section}" if c.proof.section.startswith("101") else c.proof.section for c in found]
    col = _column(book, sheet, col, "Section", 30, sections, "fixed small", "pack_source")
    col = _column(book, sheet, col, "Source", 14, [c.proof.source_id for c in found], "fixed small")
    col = _column(
        book, sheet, col, "Status", 9, [c.proof.status for c in found], "fixed small", "pack_status"
    )
    return _column(book, sheet, col, "Note", 60, [c.proof.note for c in found], "fixed small")


def _put_quantities(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    quantities = kitchen.pack_rules.quantities
    sheet.put(HEAD - 1, col, "Quantities", "label")
    numbers = list(range(1, len(quantities) + 1))
    col = _column(book, sheet, col, "Number", 8, numbers, "fixed n0 small")
    col = _column(book, sheet, col, "Quantity", 44, [q[1] for q in quantities], "fixed small", "pack_qname")
    return _column(book, sheet, col, "Unit", 8, [q[2] for q in quantities], "fixed small", "pack_qunit")


def _put_raccs(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    raccs = kitchen.tables.claims.raccs
    sheet.put(HEAD - 1, col, "Reference amounts (21 CFR 101.12)", "label")
    grams: list[float | str] = ["" if r.grams is None else r.grams for r in raccs]
    ml: list[float | str] = ["" if r.ml is None else r.ml for r in raccs]
    col = _column(book, sheet, col, "Category", 50, [r.category for r in raccs], "fixed small", "pack_racc")
    col = _column(book, sheet, col, "g", 8, grams, "fixed general small", "pack_racc_g")
    col = _column(book, sheet, col, "mL", 8, ml, "fixed general small", "pack_racc_ml")
    col = _column(book, sheet, col, "Source", 14, [r.proof.source_id for r in raccs], "fixed small")
    return _column(book, sheet, col, "Status", 9, [r.proof.status for r in raccs], "fixed small")
