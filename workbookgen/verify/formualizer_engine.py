"""Engine: formualizer (a Rust library), over the whole workbook in one pass."""

from __future__ import annotations

import importlib.metadata
import importlib.util
from pathlib import Path
from typing import Any

from workbookgen.verify.read import Book, Sheet, read_book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.values import EngineFailed, EngineMissing, ErrorValue, NotEvaluated, Results, Value
from workbookgen.verify.withheld import unless_stale, withheld_copy

NAME = "formualizer"

_ERRORS = {
    "Null": "#NULL!",
    "Div": "#DIV/0!",
    "Value": "#VALUE!",
    "Ref": "#REF!",
    "Name": "#NAME?",
    "Num": "#NUM!",
    "Na": "#N/A",
    "Spill": "#SPILL!",
    "Calc": "#CALC!",
}
_NO_RESULT = {
    "Circ": "circular reference",
    "Cancelled": "cancelled",
    "Error": "the engine cannot read this formula",
    "NImpl": "the engine does not know a function of this formula",
}


def version() -> str:
    """Version of the engine; ``EngineMissing`` when it is not installed."""
    if importlib.util.find_spec("formualizer") is None:
        raise EngineMissing(NAME, "this engine is not installed; install the Python package 'formualizer'")
    return importlib.metadata.version("formualizer")


def recalculate(path: Path, book: Book | None = None) -> Results:
    """Values of all formulas of the workbook, computed by formualizer."""
    version()
    import formualizer

    book = book or read_book(path)
    most = load_rules("verify_rules")["formualizer"]["most_input_bytes"]
    results: Results = {}
    with withheld_copy(path) as copy:
        try:
            loaded = formualizer.load_workbook(str(copy), load_limits={"max_input_bytes": most})
            loaded.set_temporal_egress("serial")  # dates as the numbers they are in the file
            loaded.evaluate_all()
            for sheet in book.sheets.values():
                if sheet.formulas:
                    _collect(formualizer, loaded, sheet, results)
        except (ValueError, RuntimeError, OSError, KeyError) as error:
            raise EngineFailed(NAME, f"the engine cannot calculate this workbook ({error})") from error
    return results


def _collect(library: Any, loaded: Any, sheet: Sheet, results: Results) -> None:
    """Add the values of one sheet's formula cells."""
    top, left = (min(place[axis] for place in sheet.formulas) for axis in (0, 1))
    bottom, right = (max(place[axis] for place in sheet.formulas) for axis in (0, 1))
    area = library.RangeAddress(sheet.name, top, left, bottom, right)
    block = loaded.sheet(sheet.name).get_values(area)
    for row, column in sheet.formulas:
        raw = block[row - top][column - left]
        results[sheet.name, row, column] = unless_stale(_plain(raw))


def _plain(raw: Any) -> Value:
    """Plain value of what the engine returns."""
    if raw is None or isinstance(raw, (bool, str)):
        return raw
    if isinstance(raw, (int, float)):
        return float(raw)
    if isinstance(raw, dict) and raw.get("type") == "Error":
        kind = str(raw.get("kind"))
        return ErrorValue(_ERRORS[kind]) if kind in _ERRORS else NotEvaluated(_NO_RESULT.get(kind, kind))
    return NotEvaluated(f"a result of kind {type(raw).__name__}")
