"""Stored values: evaluate the laid-out book with the fast engine, fill plumbing, compare with the core."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from workbookgen.workbook.book import LOOKUP, At, Book, Cell, Sheet, a1, block, quoted

TOLERANCE = 2e-9
#: Rows of constants handed over at once: more gains nothing, fewer cost a call each.
BLOCK_ROWS = 500
_NAME = re.compile(r"[a-z][a-z0-9]*_\w*")
_TOKEN = re.compile(r'"[^"]*"|\'[^\']*\'!|' + _NAME.pattern)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A cell where the engine's result differs from the core's."""

    sheet: str
    cell: str
    formula: str
    core: object
    engine: object


Result = tuple[Sheet, At, Any]


@dataclass(frozen=True, slots=True)
class Known:
    """Constants of a sheet that is not evaluated itself: blocks of row, column and rows of values."""

    tab: str
    blocks: list[tuple[int, int, list[list[Any]]]]


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
    return keep(work_out(book.names, book.sheets))


def keep(results: Iterable[Result]) -> list[Disagreement]:
    """Give plumbing the values that were worked out; list disagreements with the core. Raises ValueError as `fill`."""
    differing: list[Disagreement] = []
    for sheet, (row, col), value in results:
        cell = sheet.cells[row, col]
        found = _plain(value, sheet, row, col, cell)
        if cell.value is LOOKUP:
            cell.value = found
        elif not agree(cell.value, found):
            differing.append(Disagreement(sheet.name, a1(row, col), cell.formula, cell.value, found))
    return differing


def work_out(names: Mapping[str, tuple[str, int, int, int, int]], sheets: Sequence[Sheet],
             beside: Sequence[Known] = (), read: set[str] | None = None) -> Iterator[Result]:
    """Evaluate the formulas of ``sheets``; what they read elsewhere stands in ``beside`` as constants.

    Yields the engine's own results. ``read`` is told which names of ranges (small letters) and which tabs
    (``'Foods'!``) the formulas read.
    """
    import formualizer

    engine = formualizer.Workbook()
    engine.set_changelog_enabled(False)  # nothing is undone here; the log costs half the time
    for tab in dict.fromkeys([*(s.name for s in sheets), *(known.tab for known in beside)]):
        engine.add_sheet(tab)
    spell_out = _speller(names, read)
    for sheet in sheets:  # all constants first: one that formulas read already costs ten times more
        _load_values(engine, sheet)
    for known in beside:
        for row, col, rows in known.blocks:
            engine.set_values_batch(known.tab, row + 1, col + 1, rows)
    for sheet in sheets:
        for row, col, formulas in _runs(sheet, formulas=True):
            engine.set_formulas_batch(sheet.name, row + 1, col + 1, [[spell_out(f) for f in formulas]])
    engine.evaluate_all()
    for sheet in sheets:
        for at, value in _results(engine, sheet, formualizer.RangeAddress):
            yield sheet, at, value


def known_sheet(sheet: Sheet, values: Mapping[At, object]) -> Known:
    """A sheet as constants only: ``values`` of its formulas (an empty text stays a text), and its own constants."""
    contents = {at: cell.value or None if isinstance(cell.value, str) else cell.value
                for at, cell in sheet.cells.items() if not cell.formula}
    return known_cells(sheet.name, contents | dict(values))


def known_cells(tab: str, values: Mapping[At, object]) -> Known:
    """Single cells of a sheet as constants."""
    runs: list[tuple[int, int, list[Any]]] = []
    for row, col in sorted(values):
        if runs and runs[-1][0] == row and runs[-1][1] + len(runs[-1][2]) == col:
            runs[-1][2].append(values[row, col])
        else:
            runs.append((row, col, [values[row, col]]))
    return Known(tab, list(_rectangles(runs)))


def _plain(value: Any, sheet: Sheet, row: int, col: int, cell: Cell) -> float | str | bool:
    if value is None:
        return ""
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int | float) and math.isfinite(value):
        return float(value)
    raise ValueError(f"{sheet.name} {a1(row, col)}: {cell.formula} gives {value!r}")


def _speller(names: Mapping[str, tuple[str, int, int, int, int]], read: set[str] | None = None) -> Callable[[str], str]:
    """Replaces the book's range names by their addresses, outside quotes; names and tabs it meets are added to ``read``.

    Raises ValueError for a name not shaped like ``food_FE``, which the search would miss.
    """
    spelled = {name.lower(): f"{quoted(sheet)}!{block(*where)}" for name, (sheet, *where) in names.items()}
    odd = [name for name in names if not _NAME.fullmatch(name)]
    if odd:
        raise ValueError(f"range names are a lower-case word, an underscore and more: {odd}")

    def replaced(found: re.Match[str]) -> str:
        return spelled.get(found[0].lower(), found[0])

    def noted(found: re.Match[str]) -> str:
        assert read is not None
        read.add(found[0].lower() if found[0][0] != "'" else found[0])
        return replaced(found)

    into = replaced if read is None else noted
    return lambda formula: _TOKEN.sub(into, formula)


def _load_values(engine: Any, sheet: Sheet) -> None:
    """Hand over the constants in rectangles as large as they come: a call costs far more than a cell."""
    for row, col, rows in _rectangles(_runs(sheet, formulas=False)):
        engine.set_values_batch(sheet.name, row + 1, col + 1, rows)


def _runs(sheet: Sheet, formulas: bool) -> list[tuple[int, int, list[Any]]]:
    """Formulas, or constants, as runs of neighbours: (row, first column, contents); an empty cell is None."""
    runs: list[tuple[int, int, list[Any]]] = []
    for row, col in sorted(at for at, cell in sheet.cells.items() if bool(cell.formula) is formulas):
        cell = sheet.cells[row, col]
        content = cell.formula if formulas else None if cell.value == "" else cell.value
        if runs and runs[-1][0] == row and runs[-1][1] + len(runs[-1][2]) == col:
            runs[-1][2].append(content)
        else:
            runs.append((row, col, [content]))
    return runs


def _rectangles(runs: Sequence[tuple[int, int, list[Any]]]) -> Iterator[tuple[int, int, list[list[Any]]]]:
    """Runs that lie under each other and are equally long, joined; those of empty cells only left out."""
    growing: dict[tuple[int, int], tuple[int, list[list[Any]]]] = {}
    for row, col, contents in runs:
        key = (col, len(contents))
        first, rows = growing.get(key, (row, []))
        if rows and (first + len(rows) != row or len(rows) == BLOCK_ROWS):
            yield from _not_empty(first, col, rows)
            first, rows = row, []
        rows.append(contents)
        growing[key] = (first, rows)
    for (col, _), (first, rows) in growing.items():
        yield from _not_empty(first, col, rows)


def _not_empty(row: int, col: int, rows: list[list[Any]]) -> Iterator[tuple[int, int, list[list[Any]]]]:
    if any(content is not None for contents in rows for content in contents):
        yield row, col, rows


def _results(engine: Any, sheet: Sheet, address: Any) -> list[tuple[tuple[int, int], Any]]:
    found = []
    handle = engine.sheet(sheet.name)
    for row, col, formulas in _runs(sheet, formulas=True):
        values = handle.get_values(address(sheet.name, row + 1, col + 1, row + 1, col + len(formulas)))[0]
        found += [((row, col + i), v) for i, v in enumerate(values)]
    return found
