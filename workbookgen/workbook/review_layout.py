"""Working columns and the front block of a recipe sheet for the sign-off and for foods in another state."""

from __future__ import annotations

STATE_COLUMNS: tuple[tuple[str, str, float, str], ...] = (("help", "In another state", 34, ""),)
REVIEW_COLUMNS: tuple[tuple[str, str, float, str], ...] = (("sg", "Number of the line for the sign-off", 12, "n0"),)
#: Title, labels, inputs, hints, the number now with the status, what it covers.
REVIEW_ROWS = 6
REVIEW_SECTIONS: tuple[tuple[str, int, bool], ...] = (("review", REVIEW_ROWS, False),)
