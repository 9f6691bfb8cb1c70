"""Engine: IronCalc (a Rust library), over the whole workbook in one pass."""

from __future__ import annotations

import importlib.metadata
import importlib.util
from pathlib import Path
from typing import Any

from workbookgen.verify.read import Book, read_book
from workbookgen.verify.values import EngineFailed, EngineMissing, ErrorValue, NotEvaluated, Results, Value
from workbookgen.verify.withheld import unless_stale, withheld_copy

NAME = "ironcalc"

_NO_RESULT = {
    "#N/IMPL!": "the engine does not know a function of this formula",
    "#ERROR!": "the engine cannot read this formula",
    "#CIRC!": "circular reference",
}


def version() -> str:
    """Version of the engine; ``EngineMissing`` when it is not installed."""
    if importlib.util.find_spec("ironcalc") is None:
        raise EngineMissing(NAME, "this engine is not installed; install the Python package 'ironcalc'")
    return importlib.metadata.version("ironcalc")


def recalculate(path: Path, book: Book | None = None) -> Results:
    """Values of all formulas of the workbook, computed by IronCalc."""
    version()
    import ironcalc

    book = book or read_book(path)
    results: Results = {}
    with withheld_copy(path) as copy:
        try:
            model = ironcalc.load_from_xlsx(str(copy), "en", "UTC", "en")
            model.evaluate()
            order = {each["name"]: number for number, each in enumerate(model.get_worksheets_properties())}
            for sheet in book.sheets.values():
                for row, column in sheet.formulas:
                    value = _value(ironcalc, model, order[sheet.name], row, column)
                    results[sheet.name, row, column] = unless_stale(value)
        except (ironcalc.WorkbookError, ValueError, RuntimeError, KeyError) as error:
            raise EngineFailed(NAME, f"the engine cannot calculate this workbook ({error})") from error
    return results


def _value(library: Any, model: Any, sheet: int, row: int, column: int) -> Value:
    raw = model.get_cell_value(sheet, row, column)
    if isinstance(raw, str) and raw.startswith("#"):
        if model.get_cell_type(sheet, row, column) == library.CellType.ErrorValue:
            return NotEvaluated(_NO_RESULT[raw]) if raw in _NO_RESULT else ErrorValue(raw)
        return raw
    if raw is None or isinstance(raw, (bool, str)):
        return raw
    return float(raw)
