"""What every sheet shares: title band, line of purpose, way back to Start, the look file."""

from __future__ import annotations

from workbookgen.workbook.book import Sheet

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
