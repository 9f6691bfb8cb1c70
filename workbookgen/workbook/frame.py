"""What every sheet shares: title band, line of purpose, way back to Start, the look file."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.workbook.book import Sheet
from workbookgen.workbook.fit import PITCH, wrapped_lines

TITLE_ROW = 0
PURPOSE_ROW = 1
START = "Start"


def put_frame(sheet: Sheet, title: str, purpose: str, last_col: int, first_col: int = 0) -> None:
    """Title band over the sheet's width with the way back, and one line that says what the sheet is for."""
    sheet.heights[TITLE_ROW] = 30
    sheet.heights[PURPOSE_ROW] = 30
    sheet.put(TITLE_ROW, first_col, title, "title")
    sheet.band(TITLE_ROW, first_col, last_col, "title")
    sheet.put(PURPOSE_ROW, first_col, purpose, "purpose")
    sheet.merges.append((PURPOSE_ROW, first_col, PURPOSE_ROW, last_col))
    if sheet.name != START:
        sheet.link(PURPOSE_ROW + 1, first_col, START, "Back to Start", "link")


#: Points of one unit of column width and of the padding beside it (Arial 10: a digit is 7 pixels wide, 5 stay free).
WIDTH_POINTS, WIDTH_PADDING = 5.25, 3.75
#: Indent of the styles "fixed", "calc" and "input", points.
INDENT_POINTS = 7.0
#: Room above and below the text of a row, points.
ROW_ROOM = 3.0


def row_points(texts: Sequence[tuple[str, float]], size: float = 9.0, least: float = 13.5) -> float:
    """Height of a row (points) in which every text, wrapped in a column of the width beside it, can be read."""
    lines = max((wrapped_lines(text, size, width * WIDTH_POINTS + WIDTH_PADDING - INDENT_POINTS) for text, width in texts), default=1)
    return max(least, lines * size * PITCH + ROW_ROOM)
