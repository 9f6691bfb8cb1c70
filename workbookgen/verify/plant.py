"""Plants faults in a copy of a workbook, to prove that an engine or a check finds them.

The copy is a valid workbook; only the chosen formula cells differ from the original.
"""

from __future__ import annotations

import random
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from workbookgen.model.errors import BadInput
from workbookgen.verify.package import FormulaCell, NewCell, copy_with_changes
from workbookgen.verify.read import read_book
from workbookgen.verify.values import cell_name


class Planted(NamedTuple):
    """A cell that was changed, with its formula or stored value before and after."""

    sheet: str
    cell: str
    before: str
    after: str


def _wrong_formula(cell: FormulaCell) -> NewCell:
    """A formula whose result certainly differs from the one stored."""
    if cell.kind == "b":
        text = f"NOT({cell.formula})"
    elif cell.kind == "str":
        text = f'({cell.formula})&"x"'
    else:
        text = f"({cell.formula})*1.001+1"
    return NewCell(cell.kind, text, cell.stored)


def _wrong_value(cell: FormulaCell) -> NewCell:
    """A stored value that is off by little: a thousandth and a bit, one letter, or the opposite truth."""
    stored = cell.stored or ""
    if cell.kind == "b":
        return NewCell("b", cell.formula, "0" if stored == "1" else "1")
    if cell.kind == "str":
        return NewCell("str", cell.formula, stored + "x")
    return NewCell(cell.kind, cell.formula, repr(float(stored or 0) * 1.001 + 0.000001))


def _error_formula(cell: FormulaCell) -> NewCell:
    """A formula that gives ``#N/A``, with that error stored too, so that file and engine agree."""
    return NewCell("e", "NA()", "#N/A")


def _error_value(cell: FormulaCell) -> NewCell:
    """The error ``#N/A`` stored for a sound formula."""
    return NewCell("e", cell.formula, "#N/A")


def _no_value(cell: FormulaCell) -> NewCell:
    """A sound formula without a stored value."""
    return NewCell("n", cell.formula, None)


def _unknown_function(cell: FormulaCell) -> NewCell:
    """A formula that no engine can evaluate, with the old value stored."""
    return NewCell(cell.kind, f"NOSUCHFUNCTION({cell.formula})", cell.stored)


KINDS: dict[str, Callable[[FormulaCell], NewCell]] = {
    "formula": _wrong_formula,
    "value": _wrong_value,
    "error formula": _error_formula,
    "error value": _error_value,
    "no value": _no_value,
    "unknown function": _unknown_function,
}


def plant(source: Path, target: Path, kind: str, count: int, seed: int = 0) -> tuple[Planted, ...]:
    """Copy ``source`` to ``target`` with ``count`` seeded formula cells corrupted; say which.

    ``kind`` is one of ``KINDS``. The same arguments give the same cells. ``BadInput`` when the workbook
    has fewer formulas than asked for.
    """
    book = read_book(source)
    cells = [
        (sheet.name, cell_name(*place)) for sheet in book.sheets.values() for place in sorted(sheet.formulas)
    ]
    if count > len(cells):
        raise BadInput(
            source.name, f"{count} faults were asked for but there are {len(cells)} formulas; ask for less"
        )
    chosen = set(random.Random(seed).sample(cells, count))
    make, planted = KINDS[kind], []

    def change(cell: FormulaCell) -> NewCell | None:
        if (cell.sheet, cell.name) not in chosen:
            return None
        new = make(cell)
        planted.append(
            Planted(
                cell.sheet, cell.name, f"={cell.formula} [{cell.stored}]", f"={new.formula} [{new.stored}]"
            )
        )
        return new

    copy_with_changes(source, target, change, zipfile.ZIP_DEFLATED)
    return tuple(planted)
