"""A workbook as plain data: sheets of cells, names, and the one door through which formulas enter.

Sheets are laid out first; every formula is put with the value the core computed, or marked ``LOOKUP``
when it is plumbing (look-ups, joins, texts). ``stored.fill`` then evaluates the whole book with the fast
engine, gives plumbing its stored value and reports where the engine and the core disagree; ``write``
hands everything to XlsxWriter, which never sees a formula without a value.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from xlsxwriter.utility import xl_col_to_name

Value = float | int | str | bool
At = tuple[int, int]


class _Lookup:
    """Marks a formula whose stored value the fast engine supplies."""

    def __repr__(self) -> str:
        return "LOOKUP"


LOOKUP = _Lookup()


@dataclass(slots=True)
class Cell:
    """A constant (``formula`` empty) or a formula with its stored value."""

    value: Value | _Lookup
    style: str = ""
    formula: str = ""
    from_core: bool = False


def a1(row: int, col: int, fix_row: bool = False, fix_col: bool = False) -> str:
    """Address of a zero-based cell, such as ``$C12``."""
    return f"{'$' if fix_col else ''}{xl_col_to_name(col)}{'$' if fix_row else ''}{row + 1}"


def block(first_row: int, first_col: int, last_row: int, last_col: int) -> str:
    """Fixed address of a zero-based block, such as ``$C$12:$C$41``."""
    return f"{a1(first_row, first_col, True, True)}:{a1(last_row, last_col, True, True)}"


def quoted(sheet: str) -> str:
    """Sheet name ready for a formula."""
    return "'" + sheet.replace("'", "''") + "'"


@dataclass
class Sheet:
    """One sheet: cells by zero-based (row, column) and everything around them."""

    name: str
    cells: dict[At, Cell] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)
    heights: dict[int, float] = field(default_factory=dict)
    merges: list[tuple[int, int, int, int]] = field(default_factory=list)
    links: dict[At, tuple[str, str]] = field(default_factory=dict)
    validations: list[tuple[int, int, int, int, dict[str, Any]]] = field(default_factory=list)
    conditions: list[tuple[int, int, int, int, dict[str, Any], str]] = field(default_factory=list)
    charts: list[tuple[int, int, Callable[[Any], Any], dict[str, Any]]] = field(default_factory=list)
    images: list[tuple[int, int, str, dict[str, Any]]] = field(default_factory=list)
    freeze: At | None = None
    repeat_rows: tuple[int, int] | None = None
    repeat_columns: tuple[int, int] | None = None
    print_area: tuple[int, int, int, int] | None = None
    landscape: bool = False
    fit_pages: tuple[int, int] = (1, 0)
    page_breaks: list[int] = field(default_factory=list)
    column_breaks: list[int] = field(default_factory=list)
    print_scale: int | None = None
    tab: str = ""
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    first_input: At = (0, 0)
    unlocked_settings: bool = True
    filters: tuple[int, int, int, int] | None = None
    footer: str = ""
    margins: tuple[float, float, float, float] | None = None
    centre: bool = False
    zoom: int = 100

    def put(self, row: int, col: int, value: Value, style: str = "") -> None:
        """Put a constant."""
        self.cells[row, col] = Cell(value, style)

    def formula(self, row: int, col: int, text: str, value: Value | _Lookup, style: str = "") -> str:
        """Put a formula with its stored value; returns the cell's fixed address.

        Raises ValueError for a formula without ``=`` or a value that a cell cannot hold.
        """
        if not text.startswith("="):
            raise ValueError(f"{self.name} {a1(row, col)}: a formula starts with =")
        if value is not LOOKUP and not isinstance(value, float | int | str | bool):
            raise ValueError(f"{self.name} {a1(row, col)}: {value!r} cannot be stored")
        self.cells[row, col] = Cell(value, style, text, value is not LOOKUP)
        return a1(row, col, True, True)

    def blank(self, row: int, col: int, style: str) -> None:
        """Put an empty formatted cell, unless the cell is taken."""
        self.cells.setdefault((row, col), Cell("", style))

    def band(self, row: int, first_col: int, last_col: int, style: str) -> None:
        """Give the empty cells of a row one style."""
        for col in range(first_col, last_col + 1):
            self.blank(row, col, style)

    def link(self, row: int, col: int, sheet: str, text: str, style: str = "link", cell: str = "A1") -> None:
        """Put a link to another sheet."""
        self.links[row, col] = (f"internal:{quoted(sheet)}!{cell}", text)
        self.cells[row, col] = Cell(text, style)

    def ref(self, row: int, col: int) -> str:
        """Fixed address of a cell with the sheet's name, for formulas elsewhere."""
        return f"{quoted(self.name)}!{a1(row, col, True, True)}"

    def choose_from(self, first_row: int, first_col: int, last_row: int, last_col: int, source: str | Sequence[str],
                    title: str = "", message: str = "") -> None:
        """Offer a list in a block of inputs; the messages beside the input judge, the list only helps."""
        options: dict[str, Any] = {
            "validate": "list",
            "source": source if isinstance(source, str) else list(source),
            "ignore_blank": False,
            "show_error": False,
        }
        if title:
            options |= {"input_title": title, "input_message": message}
        self.validations.append((first_row, first_col, last_row, last_col, options))

    def explain(self, first_row: int, first_col: int, last_row: int, last_col: int, title: str, message: str) -> None:
        """Show a short note when one of these inputs is selected; nothing is refused."""
        options = {"validate": "any", "input_title": title, "input_message": message}
        self.validations.append((first_row, first_col, last_row, last_col, options))


@dataclass
class Book:
    """Sheets in tab order and the workbook-scope names of ranges."""

    sheets: list[Sheet] = field(default_factory=list)
    names: dict[str, tuple[str, int, int, int, int]] = field(default_factory=dict)
    properties: dict[str, str] = field(default_factory=dict)
    paper: str = "letter"
    gone: frozenset[str] = frozenset()  # tabs a look file leaves out, and the names that went with them
    lost: frozenset[str] = frozenset()

    def add(self, name: str) -> Sheet:
        """Append an empty sheet; raises ValueError for a taken or impossible tab name."""
        if len(name) > 31 or any(ch in name for ch in "[]:*?/\\%'") or not name:
            raise ValueError(f"{name!r} cannot be a tab name")
        if name.lower() in {s.name.lower() for s in self.sheets}:
            raise ValueError(f"two sheets are named {name!r}")
        sheet = Sheet(name)
        self.sheets.append(sheet)
        return sheet

    def name_range(self, name: str, sheet: Sheet, first_row: int, first_col: int, last_row: int, last_col: int) -> None:
        """Name a block for the whole workbook; raises ValueError when the name is taken."""
        if name.lower() in {n.lower() for n in self.names}:
            raise ValueError(f"the name {name} is used twice")
        self.names[name] = (sheet.name, first_row, first_col, last_row, last_col)

    def formula_count(self) -> int:
        return sum(1 for s in self.sheets for c in s.cells.values() if c.formula)


def column_name(tag: str) -> str:
    """Part of a range name for a nutrient tag: names take no plus sign."""
    return tag.replace("+", "_")
