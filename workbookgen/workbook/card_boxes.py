"""The working of a card's text boxes: parts, how many lines they take, the joined text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.workbook.book import LOOKUP, Sheet, a1, block
from workbookgen.workbook.card_plan import Place, side_width
from workbookgen.workbook.fit import per_line, wrapped_lines

HEADS = ("Box", "Part", "Lines", "Joined so far")
TEXT, LINES, JOINED = 1, 2, 3


@dataclass(frozen=True, slots=True)
class BoxCells:
    """Fixed addresses: the text to print, and a figure above 0 when it is longer than its box."""

    text: str
    too_long: str


def put_box_heads(sheet: Sheet, row: int) -> int:
    """Heading of the table of boxes; returns the next row."""
    sheet.put(row, 0, "Text boxes of the page", "label")
    for i, head in enumerate(HEADS):
        sheet.put(row + 1, i, head, "workhead")
    return row + 2


def letters_per_line(place: Place, known: Sequence[Sequence[str]]) -> int:
    """Letters that a line of the box surely holds: those of wide text, more where the texts are known.

    Texts known at build were measured letter by letter; the count is raised until it finds no more lines for
    them than were measured, so that the check beside the page starts from the truth.
    """
    width = side_width(place.side)
    per = per_line(place.size, width)
    for parts in known:
        texts = [t for t in parts if t]
        measured = sum(wrapped_lines(t, place.size, width, place.bold) for t in texts)
        while sum(math.ceil(len(t) / per) for t in texts) > measured:
            per += 1
    return per


def put_box(sheet: Sheet, row: int, name: str, parts: Sequence[str], place: Place, longer: str, known: Sequence[Sequence[str]] = (),
            separator: str = "CHAR(10)", airy: bool = False) -> tuple[int, BoxCells]:
    """One box: ``parts`` are formulas without "=". Empty parts leave no gap; ``airy`` puts an empty line between
    parts while there is room. A text longer than the box begins with ``longer``.

    Returns the next free row and the cells the page reads.
    """
    per = letters_per_line(place, known)
    capacity = a1(row, LINES, True, True)
    width = a1(row, JOINED, True, True)
    sheet.put(row, 0, name, "work bold")
    sheet.put(row, TEXT, "lines of the box, letters on a line", "work")
    sheet.put(row, LINES, place.lines, "work n0")
    sheet.put(row, JOINED, per, "work n0")
    first, last = row + 1, row + len(parts)
    gap = separator
    if airy:
        total, count = (block(first, LINES, last, LINES), block(first, LINES, last, LINES))
        gap = f'IF(SUM({total})+COUNTIF({count},">0")-1<={capacity},CHAR(10)&CHAR(10),{separator})'
    for i, part in enumerate(parts):
        at = first + i
        text = a1(at, TEXT, fix_col=True)
        before = a1(at - 1, JOINED, fix_col=True) if i else '""'
        sheet.put(at, 0, i + 1, "work n0")
        sheet.formula(at, TEXT, f"={part}", LOOKUP, "work")
        sheet.formula(at, LINES, f'=IF({text}="",0,ROUNDUP(ROUND(LEN({text})/{width},9),0))', LOOKUP, "work n0")
        sheet.formula(at, JOINED, f'={before}&IF({text}="","",IF({before}="","",{gap})&{text})', LOOKUP, "work")
    end = last + 1
    over = a1(end, LINES, True, True)
    sheet.put(end, 0, "printed", "work bold")
    lines = f"SUM({block(first, LINES, last, LINES)})"
    if separator != "CHAR(10)":
        lines = f"ROUNDUP(ROUND(LEN({a1(last, JOINED)})/{width},9),0)"
    sheet.formula(end, LINES, f"=MAX(0,{lines}-{capacity})", LOOKUP, "work n0")
    sheet.formula(end, TEXT, f'=IF({over}>0,{longer}&" ","")&{a1(last, JOINED)}', LOOKUP, "work")
    return end + 2, BoxCells(a1(end, TEXT, True, True), over)
