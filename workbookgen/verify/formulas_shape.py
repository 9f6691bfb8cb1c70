"""The library `formulas`, compiled once per formula shape.

Two formulas have one shape when they differ only in the cells they refer to. The library parses and
compiles the shape with stand-in references; each cell then calls it with the ranges it really names.
That is what makes a whole workbook affordable: parsing costs milliseconds, calling a fraction of one.
"""

from __future__ import annotations

import importlib
import logging
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np

from workbookgen.verify.tokens import Area, has_span, parse_area, tokens
from workbookgen.verify.values import ErrorValue, NotEvaluated, Value, column_letters

# Untyped libraries, held as Any.
_formulas: Any = importlib.import_module("formulas")
_library: Any = importlib.import_module("formulas.functions")
_look: Any = importlib.import_module("formulas.functions.look")
_operand: Any = importlib.import_module("formulas.tokens.operand")
_Ranges: Any = importlib.import_module("formulas.ranges").Ranges
_EMPTY: Any = importlib.import_module("schedula").EMPTY
logging.getLogger("schedula").setLevel(logging.CRITICAL)  # it logs a traceback for each formula it refuses

_PARSER = _formulas.Parser()
_FUNCTIONS = _formulas.get_functions()
_UNSIGNED = re.compile(r"(.)[Ee]([0-9]+)$")
_ASKS_OWN_PLACE = re.compile(r"\b(?:ROW|COLUMN)\(\s*\)", re.IGNORECASE)


class Unsupported(Exception):
    """A formula that this engine does not evaluate; the text says why."""


class Reading(NamedTuple):
    """A formula taken apart: its shape as text for the library, and the areas that fill it, in order."""

    shape: str
    areas: tuple[Area, ...]


def read_shape(formula: str, sheet: str, place: tuple[int, int], names: Mapping[str, Area | None]) -> Reading:
    """Shape and areas of a formula that stands on ``sheet`` at ``place``.

    ``names`` maps defined names in capitals to their areas (None: a name that is no plain range).
    Raises ``Unsupported`` for what the library is known not to evaluate.
    """
    parts: list[str] = []
    slots: dict[Area, str] = {}
    for kind, text in tokens(formula):
        if kind == "area":
            area = parse_area(text)
        elif kind == "name":
            found = names.get(text.upper())
            if found is None:
                raise Unsupported(f"name '{text}' is not a plain range of the whole workbook")
            area = found
        elif kind in ("whole", "table"):
            raise Unsupported(f"reference '{text}' to whole columns, rows or a table")
        elif kind == "function" and text[:-1].upper() not in _FUNCTIONS:
            raise Unsupported(f"the library has no function {text[:-1].upper()}")
        else:
            # the library reads an exponent only with its sign
            parts.append(_UNSIGNED.sub(r"\1E+\2", text) if kind == "number" else text)
            continue
        if area.sheet is None:
            area = area._replace(sheet=sheet)
        elif has_span(area.sheet):
            raise Unsupported(f"reference '{text}' to several sheets or another workbook")
        parts.append(slots.setdefault(area, _stand_in(len(slots), area.single)))
    shape = "".join(parts)
    if _ASKS_OWN_PLACE.search(shape):
        raise Unsupported("ROW() or COLUMN() without a reference")
    return Reading(shape, tuple(slots))


_BLOCK_ROW = 5000  # stand-in blocks begin below stand-in cells, so that no two stand-ins meet


def _stand_in(number: int, single: bool) -> str:
    """A reference that no other slot of the shape has: cells in column A, blocks in columns B and C."""
    if single:
        return f"A{number + 1}"
    top = _BLOCK_ROW + 2 * number
    return f"B{top}:C{top + 1}"


class Shape:
    """One compiled shape, ready to be called with ranges in the order of ``Reading.areas``."""

    def __init__(self, shape: str, areas: Iterable[Area]) -> None:
        stand_ins = {_stand_in(number, area.single): number for number, area in enumerate(areas)}
        try:
            builder = _PARSER.ast("=" + shape)[1]
            self._pipe = builder.compile()
        except Exception as error:  # the library raises many kinds for a formula it cannot read
            raise Unsupported(f"the library cannot read this formula ({type(error).__name__})") from error
        unknown = [key for key in self._pipe.inputs if key not in stand_ins]
        if unknown:
            raise Unsupported(f"'{unknown[0]}' is not a reference the library knows")
        self._order = [stand_ins[key] for key in self._pipe.inputs]
        self._direct = _direct_call(self._pipe)
        self._proved = False

    def __call__(self, ranges: list[Any]) -> Value:
        """Value for the given ranges; ``NotEvaluated`` when the library fails."""
        arguments = [ranges[number] for number in self._order]
        try:
            if self._direct is not None and self._proved:
                return to_value(self._direct(arguments))
            result = to_value(self._pipe(*arguments))
            if self._direct is not None:
                self._proved = _same(result, to_value(self._direct(arguments)))
                if not self._proved:
                    self._direct = None
            return result
        except Exception as error:  # any failure of the library is a formula without a result
            return NotEvaluated(f"the library stopped with {type(error).__name__}")


def _same(one: Value, other: Value) -> bool:
    return type(one) is type(other) and one == other


def _direct_call(pipe: Any) -> Callable[[list[Any]], Any] | None:
    """The same functions of the library in the same order, called without its scheduler.

    The scheduler records every step for plotting, which takes most of the time. The first cell of
    each shape is computed both ways and must agree, otherwise the scheduler is kept. None when the
    graph holds anything but plain functions over inputs and constants.
    """
    dsp = pipe.dsp
    known: dict[Any, int] = {key: number for number, key in enumerate(pipe.inputs)}
    start: list[Any] = [None] * len(known)
    for key, node in dsp.default_values.items():
        if key not in known:
            known[key] = len(start)
            start.append(node["value"])
    waiting = {key: node for key, node in dsp.nodes.items() if node["type"] == "function"}
    steps: list[tuple[Any, list[int]]] = []
    while waiting:
        ready = [key for key, node in waiting.items() if all(each in known for each in node["inputs"])]
        if not ready:
            return None
        for key in ready:
            node = waiting.pop(key)
            if len(node["outputs"]) != 1 or node.get("filters") or node.get("input_domain"):
                return None
            steps.append((node["function"], [known[each] for each in node["inputs"]]))
            known[node["outputs"][0]] = len(start) + len(steps) - 1
    target, given = known.get(pipe.outputs[0]), len(pipe.inputs)
    if target is None:
        return None

    def call(arguments: list[Any]) -> Any:
        values = arguments + start[given:]
        for function, inputs in steps:
            values.append(function(*[values[number] for number in inputs]))
        return values[target]

    return call


def to_value(result: Any) -> Value:
    """Plain value of what the library returns; an empty result shows as 0, as in a cell."""
    if isinstance(result, _Ranges):
        result = result.value
    array = np.asarray(result, object)
    if array.size != 1:
        return NotEvaluated(f"{array.size} values where a cell holds one")
    single = array.ravel()[0]
    if single is _EMPTY:
        return 0.0
    if isinstance(single, _operand.XlError):
        return ErrorValue(str(single))
    if isinstance(single, (bool, np.bool_)):
        return bool(single)
    if isinstance(single, (int, float, np.integer, np.floating)):
        return float(single)
    if isinstance(single, str):
        return str(single)
    return NotEvaluated(f"a result of kind {type(single).__name__}")


def from_value(value: Value) -> Any:
    """What the library wants for a plain value; a cell without result counts as ``#VALUE!``."""
    if value is None:
        return _EMPTY
    if isinstance(value, ErrorValue):
        return _operand.Error.errors.get(value.code, _operand.Error.errors["#VALUE!"])
    if isinstance(value, NotEvaluated):
        return _operand.Error.errors["#VALUE!"]
    return value


def make_range(area: Area, sheet_id: str, array: Any) -> Any:
    """A range of the library that holds ``array``; ``sheet_id`` is any word unique to the sheet."""
    first, last = column_letters(area.left), column_letters(area.right)
    reference = f"{first}{area.top}" if area.single else f"{first}{area.top}:{last}{area.bottom}"
    parts = {
        "r1": str(area.top), "r2": str(area.bottom), "c1": first, "c2": last,
        "n1": area.left, "n2": area.right,
        "ref": reference, "name": f"{sheet_id}!{reference}", "sheet_id": sheet_id,
    }  # fmt: skip
    made = _Ranges((parts,), {parts["name"]: (parts, array)})
    made._value = array
    return made


_library_index = _look.xindex


def _quick_index(array: Any, row_num: Any, col_num: Any = None, area_num: Any = 1) -> Any:
    """INDEX that hands the library's own INDEX one row of the range instead of all of them.

    The library builds an object for every cell of the range at each call. Row 0 stands only in a
    branch that IF does not take (the library evaluates both): it is answered with row 1.
    """
    narrowed = _one_row(array, row_num, col_num) if area_num == 1 else None
    if narrowed is None:
        return _library_index(array, row_num, col_num, area_num)
    return _library_index(narrowed, 1, 1 if col_num is None else col_num)


def _one_row(array: Any, row_num: Any, col_num: Any) -> Any:
    if not isinstance(array, _Ranges) or array.is_set or len(array.values) != 1:
        return None
    parts, held = next(iter(array.values.values()))
    area = Area(None, int(parts["r1"]), parts["n1"], int(parts["r2"]), parts["n2"])
    wanted = np.asarray(row_num.value if isinstance(row_num, _Ranges) else row_num, object)
    if array.ranges[0]["name"] != parts["name"] or wanted.size != 1 or area.top == area.bottom:
        return None
    row = wanted.ravel()[0]
    if isinstance(row, (_operand.XlError, str, bool)) or row is _EMPTY:
        return None
    if (col_num is None and area.left != area.right) or not 0 <= int(row) <= area.bottom - area.top + 1:
        return None
    top = area.top + max(1, int(row)) - 1
    line = held[top - area.top : top - area.top + 1, :]
    return make_range(area._replace(top=top, bottom=top), parts["sheet_id"], line)


def install_quick_index() -> None:
    """Put the narrowing INDEX in the library's table of functions (once; calling again changes nothing)."""
    function = _library.wrap_impure_func(_library.wrap_func(_quick_index, ranges=True))
    _look.FUNCTIONS["INDEX"]["function"] = function
    _FUNCTIONS["INDEX"]["function"] = function
