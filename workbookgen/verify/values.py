"""What a cell can hold, and how an engine says that it holds nothing."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.errors import BadInput


@dataclass(frozen=True, slots=True)
class ErrorValue:
    """An error shown in a cell, such as ``#N/A`` (ECMA-376 part 1, 18.18.11, cell type ``e``)."""

    code: str

    def __str__(self) -> str:
        return self.code


@dataclass(frozen=True, slots=True)
class NotEvaluated:
    """No result: an engine could not (or did not) evaluate the formula; ``reason`` is a short phrase."""

    reason: str

    def __str__(self) -> str:
        return f"not evaluated: {self.reason}"


Scalar = float | str | bool | None
Value = Scalar | ErrorValue | NotEvaluated
"""A number, a text, a truth value, nothing, an error, or no result."""

Address = tuple[str, int, int]
"""Sheet name, row and column, both counted from 1."""

Results = dict[Address, Value]
"""What an engine computed, by address."""


class EngineMissing(BadInput):
    """An engine was asked for that is not installed here."""


class EngineFailed(BadInput):
    """An engine is installed but gave no result for the workbook as a whole."""


def column_letters(column: int) -> str:
    """Letters of a column counted from 1.

    >>> column_letters(1), column_letters(28), column_letters(16384)
    ('A', 'AB', 'XFD')
    """
    letters = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Column counted from 1 for its letters.

    >>> column_number("A"), column_number("ab"), column_number("XFD")
    (1, 28, 16384)
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def cell_name(row: int, column: int) -> str:
    """Name of a cell as a spreadsheet shows it.

    >>> cell_name(12, 3)
    'C12'
    """
    return f"{column_letters(column)}{row}"


def split_cell_name(name: str) -> tuple[int, int]:
    """Row and column of a plain cell name without ``$``.

    >>> split_cell_name("C12")
    (12, 3)
    """
    letters = name.rstrip("0123456789")
    return int(name[len(letters) :]), column_number(letters)
