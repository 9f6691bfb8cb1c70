"""Formulas by their pattern: what stays the same when a formula is copied down or across (R1C1 notation).

A block of cells that all hold one pattern is one rule; a cell that breaks the pattern of its neighbours is where
slips hide ("one formula per block": ICAEW, Twenty principles for good spreadsheet practice; FAST standard).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from workbookgen.verify.values import column_number

Place = tuple[int, int]

_PIECE = re.compile(r'"[^"]*"|\'[^\']*\'!|(?<![\w.])(\$?)([A-Z]{1,3})(\$?)([1-9][0-9]{0,6})(?![\w(.!])')
_COLUMNS: dict[str, int] = {}


def r1c1(formula: str, place: Place) -> str:
    """The formula of the cell at ``place`` (row, column, counted from 1) with its references relative to it.

    >>> r1c1("SUM(A1:A3)+$B$1", (4, 1))
    'SUM(R[-3]C[0]:R[-1]C[0])+R1C2'
    """
    row, column = place

    def relative(found: re.Match[str]) -> str:
        fixed_column, letters, fixed_row, number = found.groups()
        if letters is None:
            return found[0]
        at = _COLUMNS.get(letters)
        if at is None:
            at = _COLUMNS[letters] = column_number(letters)
        down = f"R{number}" if fixed_row else f"R[{int(number) - row}]"
        return f"{down}C{at}" if fixed_column else f"{down}C[{at - column}]"

    return _PIECE.sub(relative, formula)


class Patterns:
    """Numbers patterns; sheets laid out alike are read once, since a formula at the same place has the same one."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._numbers: dict[str, int] = {}
        self._seen: dict[tuple[int, int, str], int] = {}

    def of(self, formulas: Mapping[Place, str]) -> dict[Place, int]:
        """Number of the pattern of each formula of a sheet."""
        found = {}
        for (row, column), text in formulas.items():
            key = (row, column, text)
            number = self._seen.get(key)
            if number is None:
                pattern = r1c1(text, (row, column))
                number = self._numbers.get(pattern)
                if number is None:
                    number = self._numbers[pattern] = len(self.texts)
                    self.texts.append(pattern)
                self._seen[key] = number
            found[row, column] = number
        return found


def blocks(patterns: Mapping[Place, int]) -> int:
    """How many runs of one pattern under each other there are."""
    return sum(1 for (row, column), number in patterns.items() if patterns.get((row - 1, column)) != number)


def breaks(patterns: Mapping[Place, int]) -> Iterator[Place]:
    """Cells that differ from equal neighbours on both sides, two deep, down or across, and from all four around.

    A cell that shares its pattern with any neighbour belongs to a rule of its own.
    """
    for (row, column), number in patterns.items():
        around = [patterns.get((row + down, column + across)) for down, across in ((-1, 0), (1, 0), (0, -1), (0, 1))]
        if number in around:
            continue
        for down, across in ((1, 0), (0, 1)):
            near = [patterns.get((row + down * step, column + across * step)) for step in (-2, -1, 1, 2)]
            if near[0] is not None and len(set(near)) == 1:
                yield row, column
                break
