"""Texts and figures on their way out: what a program that opens the file must not take for code."""

from __future__ import annotations

import re
from collections.abc import Sequence

from workbookgen.model.analysis import NutrientResult
from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

NOT_KNOWN, EXACT = "not known", "exact"
#: A cell that begins so is a formula for spreadsheets, the wide forms included.
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
_MARKS = re.compile(r"([\\`*_\[\]<>|#~&])")
_STARTS = re.compile(r"^(?:(?=[-+=])|(\d+)(?=[.)](?:\s|$)))")  # a list, a rule, an underlined heading


def csv_text(text: str) -> str:
    """``text`` as a CSV cell that no spreadsheet calculates: an apostrophe goes before = + - @ in front.

    Blanks before the sign do not hide it; tabs and line ends become blanks. OWASP, CSV Injection (from memory).

    >>> csv_text("=1+1"), csv_text("  @home"), csv_text("Kale, raw")
    ("'=1+1", "'  @home", 'Kale, raw')
    """
    flat = _CONTROLS.sub(" ", text)
    return f"'{flat}" if flat.lstrip().startswith(_FORMULA) else flat


def md_text(text: str) -> str:
    """``text`` as Markdown that shows the same characters: no heading, list, table, link or HTML arises.

    >>> print(md_text("1. <b>Beans</b> | a*b"))
    1\\. \\<b\\>Beans\\</b\\> \\| a\\*b
    """
    flat = _MARKS.sub(r"\\\1", " ".join(text.split()))
    return _STARTS.sub(lambda start: f"{start[1] or ''}\\", flat)


def reading(result: NutrientResult) -> str:
    """How an amount of this nutrient must be read: "exact", "at least", "at most" or "not known"."""
    if half_up(result.coverage, 9) <= 0:
        return NOT_KNOWN
    return result.reads or EXACT


def amount_words(results: Sequence[NutrientResult], nutrient: Nutrient) -> str:
    """The sum of amounts in one serving with its reading, "at least 0.5 g".

    ``nutrient`` gives unit and decimals. A sum of bounds from both sides bounds nothing, and an "at least 0"
    tells nothing: both read "not known".
    """
    readings = {reading(result) for result in results} - {EXACT}
    figure = shown(sum(result.serving for result in results), nutrient.decimals)
    if not readings:
        return f"{figure} {nutrient.unit}"
    if readings == {AT_MOST}:
        return f"{AT_MOST} {figure} {nutrient.unit}"
    return NOT_KNOWN if AT_MOST in readings or float(figure) == 0 else f"{AT_LEAST} {figure} {nutrient.unit}"
