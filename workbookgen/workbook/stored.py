"""Stored values: evaluate the laid-out book with the fast engine, fill plumbing, compare with the core."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from workbookgen.workbook.book import LOOKUP, Book, Cell, Sheet, a1, block, quoted

TOLERANCE = 2e-9
_TOKEN = re.compile(r'"(?:[^"]|"")*"|\'(?:[^\']|\'\')+\'!|[A-Za-z_][A-Za-z0-9_]*(?![A-Za-z0-9_(!])')


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A cell where the engine's result differs from the core's."""

    sheet: str
    cell: str
    formula: str
    core: object
    engine: object


def agree(stored: object, found: object) -> bool:
    """Numbers within 2e-9 relative or absolute, text and booleans exact, empty text equals nothing."""
    if isinstance(stored, bool) or isinstance(found, bool):
        return stored is found
    if isinstance(stored, int | float) and isinstance(found, int | float):
        return math.isclose(stored, found, rel_tol=TOLERANCE, abs_tol=TOLERANCE)
    return (stored if stored is not None else "") == (found if found is not None else "")


def fill(book: Book) -> list[Disagreement]:
    """Evaluate every formula; give plumbing its stored value; list disagreements with the core.

    Raises ValueError when a formula yields an error value or nothing at all.
    """
    import formualizer

    engine = formualizer.Workbook()
    for sheet in book.sheets:
        engine.add_sheet(sheet.name)
    spelled = {n.lower(): f"{quoted(s)}!{block(*where)}" for n, (s, *where) in book.names.items()}
    for sheet in book.sheets:
        _load(engine, sheet, spelled)
    engine.evaluate_all()
    differing: list[Disagreement] = []
    for sheet in book.sheets:
        for (row, col), value in _results(engine, sheet, formualizer.RangeAddress):
            cell = sheet.cells[row, col]
            found = _plain(value, sheet, row, col, cell)
            if cell.value is LOOKUP:
                cell.value = found
            elif not agree(cell.value, found):
                differing.append(Disagreement(sheet.name, a1(row, col), cell.formula, cell.value, found))
    return differing


def _plain(value: Any, sheet: Sheet, row: int, col: int, cell: Cell) -> float | str | bool:
    if value is None:
        return ""
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int | float) and math.isfinite(value):
        return float(value)
    raise ValueError(f"{sheet.name} {a1(row, col)}: {cell.formula} gives {value!r}")


def _spell_out(formula: str, spelled: dict[str, str]) -> str:
    """Replace range names by their addresses, outside quotes."""
    return _TOKEN.sub(lambda m: spelled.get(m.group(0).lower(), m.group(0)), formula)


def _runs(sheet: Sheet, formulas: bool) -> dict[int, list[tuple[int, list[Any]]]]:
    """Cells of one kind as runs of neighbours per row: {row: [(first column, contents)]}."""
    runs: dict[int, list[tuple[int, list[Any]]]] = {}
    for (row, col), cell in sorted(sheet.cells.items()):
        if bool(cell.formula) is not formulas or (not formulas and cell.value == ""):
            continue
        content = cell.formula if formulas else cell.value
        in_row = runs.setdefault(row, [])
        if in_row and in_row[-1][0] + len(in_row[-1][1]) == col:
            in_row[-1][1].append(content)
        else:
            in_row.append((col, [content]))
    return runs


def _load(engine: Any, sheet: Sheet, spelled: dict[str, str]) -> None:
    for row, runs in _runs(sheet, formulas=False).items():
        for col, contents in runs:
            engine.set_values_batch(sheet.name, row + 1, col + 1, [contents])
    for row, runs in _runs(sheet, formulas=True).items():
        for col, contents in runs:
            engine.set_formulas_batch(sheet.name, row + 1, col + 1, [[_spell_out(f, spelled) for f in contents]])


def _results(engine: Any, sheet: Sheet, address: Any) -> list[tuple[tuple[int, int], Any]]:
    found = []
    handle = engine.sheet(sheet.name)
    for row, runs in _runs(sheet, formulas=True).items():
        for col, contents in runs:
            last = col + len(contents) - 1
            values = handle.get_values(address(sheet.name, row + 1, col + 1, row + 1, last + 1))[0]
            found += [((row, col + i), v) for i, v in enumerate(values)]
    return found
