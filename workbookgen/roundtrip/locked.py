"""Changes of what is locked: formulas, tables, headings, against the check sums of the build record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.roundtrip.record import Edited, Record
from workbookgen.verify.read import Sheet
from workbookgen.verify.values import ErrorValue, cell_name
from workbookgen.workbook.record_sheet import SHEET
from workbookgen.workbook.record_sums import Sums, plain_formula, plain_value


@dataclass(frozen=True, slots=True)
class LockedChange:
    """A locked cell that was changed (``cell`` and what it holds now), or rows in which more than one was."""

    sheet: str
    cell: str
    now: str


def sheet_sums(sheet: Sheet, inputs: frozenset[tuple[int, int]]) -> Sums:
    """Sums over every filled cell but the inputs."""
    sums = Sums()
    for (row, column), formula in sheet.formulas.items():
        if (row, column) not in inputs:
            sums.add(row - 1, column - 1, "f" + plain_formula(formula))
    for place, value in sheet.values.items():
        if place not in sheet.formulas and place not in inputs and value != "":
            content = value.code if isinstance(value, ErrorValue) else value
            sums.add(place[0] - 1, place[1] - 1, plain_value(content))
    return sums


def input_places(record: Record) -> Mapping[str, frozenset[tuple[int, int]]]:
    """Recorded input cells by tab."""
    found: dict[str, set[tuple[int, int]]] = {}
    for block in record.blocks:
        found.setdefault(block.tab, set()).update(block.places)
    return {tab: frozenset(places) for tab, places in found.items()}


def locked_changes(edited: Edited) -> list[LockedChange]:
    """Every locked change, sheet by sheet. A renamed tab changes the formulas that name it; those are compared under
    its old name, so that a rename alone is no change."""
    renamed = {t.now: t.name for t in edited.record.tabs.values() if t.now and t.now != t.name}
    inputs = input_places(edited.record)
    found: list[LockedChange] = []
    for tab in edited.record.tabs.values():
        sheet, before = edited.book.sheets.get(tab.now), edited.record.sums.get(tab.name)
        if sheet is None or before is None or tab.name == SHEET:
            continue
        now = sheet_sums(_under_old_names(sheet, renamed), inputs.get(tab.name, frozenset()))
        found += _told(sheet, now, before)
    return found


def _told(sheet: Sheet, now: Sums, before: Sums) -> list[LockedChange]:
    cells, rows, _ = now.changed_from(before)
    told = [LockedChange(sheet.name, cell_name(r + 1, c + 1), _content(sheet, (r + 1, c + 1))) for r, c in cells]
    return told + [LockedChange(sheet.name, f"row {r + 1}", "several cells") for r in rows]


def _content(sheet: Sheet, place: tuple[int, int]) -> str:
    if place in sheet.formulas:
        return "=" + sheet.formulas[place]
    value = sheet.values.get(place)
    return "(empty)" if value in (None, "") else f"{value:.15g}" if isinstance(value, float) else str(value)


def _under_old_names(sheet: Sheet, renamed: Mapping[str, str]) -> Sheet:
    if not renamed:
        return sheet
    return Sheet(sheet.name, sheet.state, {p: _old(f, renamed) for p, f in sheet.formulas.items()}, sheet.values)


def _old(formula: str, renamed: Mapping[str, str]) -> str:
    for now, name in renamed.items():
        for spelled in (f"'{now}'!", f"{now}!"):
            if spelled in formula:
                formula = formula.replace(spelled, f"'{name}'!")
    return formula
