"""Cuts formula text into tokens, and finds the cells it refers to.

Notation: ECMA-376 part 1, 18.17 (formulas). Only the A1 notation is read, as stored in files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from workbookgen.verify.values import column_number

_SHEET = r"(?:'(?:[^']|'')+'|[\w.\[\]]+(?::[\w.]+)?)!"
_CELL = r"\$?[A-Za-z]{1,3}\$?[1-9][0-9]{0,6}"
_AFTER = r"(?![\w.(!\[])"

_TOKEN = re.compile(
    rf"""
    (?P<text>"(?:[^"]|"")*")
  | (?P<area>(?:{_SHEET})?{_CELL}(?::{_CELL})?{_AFTER})
  | (?P<whole>(?:{_SHEET})?(?:\$?[A-Za-z]{{1,3}}:\$?[A-Za-z]{{1,3}}|\$?[0-9]+:\$?[0-9]+){_AFTER})
  | (?P<error>\#(?:N/A|NAME\?|DIV/0!|VALUE!|REF!|NUM!|NULL!|SPILL!|CALC!|GETTING_DATA))
  | (?P<function>[A-Za-z_][\w.]*\()
  | (?P<table>[A-Za-z_\\][\w.\\]*\[)
  | (?P<truth>(?:TRUE|FALSE){_AFTER})
  | (?P<name>(?:{_SHEET})?(?:[A-Za-z_\\]|[^\W\d])[\w.\\?]*)
  | (?P<number>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[Ee][+-]?[0-9]+)?)
  | (?P<operator><=|>=|<>|[-+*/^&=<>%:@\#])
  | (?P<open>\()
  | (?P<close>\))
  | (?P<comma>[,;])
  | (?P<brace>[{{}}])
  | (?P<space>\s+)
  | (?P<other>.)
    """,
    re.VERBOSE | re.DOTALL | re.IGNORECASE,
)


class Token(NamedTuple):
    """A piece of a formula; ``kind`` is one of the names in the pattern (text, area, whole, function ...)."""

    kind: str
    text: str


class Area(NamedTuple):
    """A rectangle of cells on a sheet (None: the sheet of the formula); rows and columns from 1."""

    sheet: str | None
    top: int
    left: int
    bottom: int
    right: int

    @property
    def single(self) -> bool:
        """Whether this is one cell only."""
        return self.top == self.bottom and self.left == self.right


def tokens(formula: str) -> Iterator[Token]:
    """Tokens of a formula without its leading ``=``.

    >>> [token.text for token in tokens('SUM(A$1:B2,food_FE)&" g"')]
    ['SUM(', 'A$1:B2', ',', 'food_FE', ')', '&', '" g"']
    """
    for match in _TOKEN.finditer(formula):
        kind = match.lastgroup
        if kind is not None:
            yield Token(kind, match.group())


def function_name(token: Token) -> str:
    """Name of a function token in capitals, without the prefixes of newer functions.

    >>> function_name(Token("function", "_xlfn.XLOOKUP("))
    'XLOOKUP'
    """
    name = token.text[:-1].upper()
    for prefix in ("_XLFN.", "_XLWS.", "_XLUDF."):
        name = name.removeprefix(prefix)
    return name


def split_sheet(text: str) -> tuple[str | None, str]:
    """Sheet name (None when not given) and the rest of a reference.

    >>> split_sheet("'Bob''s list'!$A$1")
    ("Bob's list", '$A$1')
    """
    sheet, mark, rest = text.rpartition("!")
    if not mark:
        return None, text
    if sheet.startswith("'"):
        sheet = sheet[1:-1].replace("''", "'")
    return sheet, rest


_CORNER = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]+)")


def parse_area(text: str) -> Area:
    """Rectangle named by an ``area`` token.

    >>> parse_area("Foods!B$2:A$9")
    Area(sheet='Foods', top=2, left=1, bottom=9, right=2)
    """
    sheet, rest = split_sheet(text)
    corners = _CORNER.findall(rest)
    rows = [int(row) for _, row in corners]
    columns = [column_number(letters) for letters, _ in corners]
    return Area(sheet, min(rows), min(columns), max(rows), max(columns))


def as_area(text: str) -> Area | None:
    """The rectangle that a defined name stands for, or None when it stands for anything else."""
    parts = list(tokens(text.strip().removeprefix("=")))
    if len(parts) != 1 or parts[0].kind != "area":
        return None
    area = parse_area(parts[0].text)
    return area if area.sheet is not None and not has_span(area.sheet) else None


def has_span(sheet: str) -> bool:
    """Whether a sheet prefix names several sheets (``Jan:Mar``) or another workbook (``[1]Sheet``)."""
    return ":" in sheet or "[" in sheet
