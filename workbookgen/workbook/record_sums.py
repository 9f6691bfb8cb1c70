"""Check sums of locked cells that survive another program: per row and per column of a sheet.

Spreadsheet programs write formulas and numbers back in their own spelling, so both are brought to a common
form first: formulas without quotes and blanks in capitals, numbers to ten digits. Each cell has the CRC-32
of its address and content; a row's sum is the exclusive-or of its cells, a column's likewise, so that a
single changed cell shows the same difference in its row and its column. The sums notice slips; they prove
nothing about a forger.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field

Place = tuple[int, int]
HEX = 8
_DROPPED = str.maketrans("", "", "' \n\r\t")
_PREFIX = re.compile(r"_XLFN\.|_XLWS\.|(?<=!)\+|^\+")
_NUMBER = re.compile(r"(?<![\w.$])(\d+\.\d+|\d+(?:\.\d*)?E[+-]?\d+|\.\d+)(?![\w.])")


def plain_formula(text: str) -> str:
    """A formula without its ``=``, quotes, blanks and small letters; decimals as ten digits."""
    plain = text.removeprefix("=").translate(_DROPPED).upper().replace("FALSE()", "FALSE").replace("TRUE()", "TRUE")
    if "_XL" in plain or "+" in plain[:1] or "!+" in plain:
        plain = _PREFIX.sub("", plain)
    if "." in plain or "E-" in plain:
        plain = _NUMBER.sub(lambda found: plain_number(float(found[0])), plain)
    return plain


def plain_number(value: float) -> str:
    """Ten digits, by way of the fifteen that every program keeps, so that all round the same way."""
    return f"{float(f'{value:.15g}'):.10g}"


def plain_value(value: object) -> str:
    """A constant as text with its kind: numbers to ten digits, texts without outer and doubled blanks."""
    if isinstance(value, bool):
        return "b1" if value else "b0"
    if isinstance(value, int | float):
        return "n" + plain_number(value)
    return "s" + " ".join(str(value).split())


@dataclass
class Sums:
    """Sums of one sheet; rows and columns (from 0) without locked content have none."""

    rows: dict[int, int] = field(default_factory=dict)
    columns: dict[int, int] = field(default_factory=dict)

    def add(self, row: int, col: int, content: str) -> None:
        """Count one cell."""
        crc = zlib.crc32(f"{row},{col},{content}".encode("utf-8", "surrogatepass"))
        rows, columns = self.rows, self.columns
        rows[row] = rows.get(row, 0) ^ crc
        columns[col] = columns.get(col, 0) ^ crc

    def changed_from(self, before: Sums) -> tuple[list[Place], list[int], list[int]]:
        """Cells that were certainly changed, and rows and columns in which more was.

        A row and a column with the same difference share one changed cell.
        """
        rows = _differences(self.rows, before.rows)
        columns = _differences(self.columns, before.columns)
        by_difference: dict[int, list[int]] = {}
        for col, difference in columns.items():
            by_difference.setdefault(difference, []).append(col)
        cells = []
        for row, difference in list(rows.items()):
            matching = by_difference.get(difference, [])
            if len(matching) == 1:
                cells.append((row, matching[0]))
                del rows[row], columns[matching[0]]
                by_difference[difference] = []
        return cells, sorted(rows), sorted(columns)


def _differences(now: dict[int, int], before: dict[int, int]) -> dict[int, int]:
    found = {at: now.get(at, 0) ^ before.get(at, 0) for at in now.keys() | before.keys()}
    return {at: difference for at, difference in sorted(found.items()) if difference}


def sums_of(cells: Iterable[tuple[Place, str]]) -> Sums:
    """Sums over cells with their plain content."""
    sums = Sums()
    for (row, col), content in cells:
        sums.add(row, col, content)
    return sums


def as_text(sums: dict[int, int]) -> tuple[int, str]:
    """First index and all sums up to the last as hexadecimal text."""
    if not sums:
        return 0, ""
    first, last = min(sums), max(sums)
    return first, "".join(f"{sums.get(at, 0):0{HEX}x}" for at in range(first, last + 1))


def from_text(first: int, text: str) -> dict[int, int]:
    """Sums back from their text; raises ValueError for text that is none."""
    if len(text) % HEX:
        raise ValueError("sums are cut off")
    found = {first + i // HEX: int(text[i : i + HEX], 16) for i in range(0, len(text), HEX)}
    return {at: value for at, value in found.items() if value}
