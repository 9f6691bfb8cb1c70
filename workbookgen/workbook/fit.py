"""How many printed lines a text takes: letter widths of Arial, words broken as a spreadsheet breaks them."""

from __future__ import annotations

import math
from functools import cache

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path

#: Programs set letters on whole device pixels, which widens a line a little; measured widths grow by this share.
SAFETY = 1.03
#: Width of one character in ems for texts typed later, wide enough for running English text.
GENEROUS_EM = 0.5
#: What a spreadsheet leaves free at both sides of a cell, points.
CELL_PADDING = 5.0
#: Height of one line of wrapped text in type sizes; printers take 1.15 (Arial: ascent 0.905, descent 0.212, line gap 0.033).
PITCH = 1.22


@cache
def _widths() -> tuple[dict[str, tuple[int, int]], tuple[int, int]]:
    rows = read_rows(data_path("letter_widths.csv"), ("letter", "regular", "bold"))
    found = {chr(int(r.number_in("letter"))): (int(r.number_in("regular")), int(r.number_in("bold"))) for r in rows}
    return found, found["W"]


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text in points; unknown letters count as wide as a W."""
    widths, widest = _widths()
    return sum(widths.get(ch, widest)[bold] for ch in text) * size / 1000 * SAFETY


def wrapped_lines(text: str, size: float, width: float, bold: bool = False) -> int:
    """Lines the text takes in a cell ``width`` points wide, line feeds included; 0 for no text."""
    if not text:
        return 0
    room = width - CELL_PADDING
    return sum(_paragraph(part, size, room, bold) for part in text.split("\n"))


def _paragraph(text: str, size: float, room: float, bold: bool) -> int:
    lines, used, space = 1, 0.0, text_width(" ", size, bold)
    for word in text.split(" "):
        wide = text_width(word, size, bold)
        if used and used + space + wide > room:
            lines, used = lines + 1, 0.0
        if wide > room:  # a word longer than the line is broken anywhere
            lines += math.ceil(wide / room) - 1
            wide = wide % room
        used += wide + (space if used else 0.0)
    return lines


def pitch(size: float) -> float:
    """Height of one line of wrapped text at this type size, points."""
    return size * PITCH


def per_line(size: float, width: float) -> int:
    """Characters that surely fit on a line, for texts typed later."""
    return int((width - CELL_PADDING) / (GENEROUS_EM * size))


def largest_fit(text: str, sizes: tuple[float, ...], width: float, bold: bool) -> float:
    """The first of ``sizes`` at which the text takes one line; the last when none does."""
    for size in sizes:
        if text_width(text, size, bold) <= width - CELL_PADDING:
            return size
    return sizes[-1]


def column_chars(points: float) -> float:
    """Column width in characters of the default font (7 pixels a digit, 5 of padding) for a width in points."""
    return (round(points / 0.75) - 5) / 7
