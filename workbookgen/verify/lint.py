"""Reads a finished workbook for what no engine here can show: limits and habits of Excel and others.

The rules, each with its source, stand in ``data/lint_rules.toml``. Nothing is calculated.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from workbookgen.verify.lint_formulas import FormulaLint
from workbookgen.verify.lint_package import (
    after_cells,
    name_faults,
    other_formulas,
    part_faults,
    sheet_faults,
    tab_faults,
)
from workbookgen.verify.package import DefinedName, open_package, read_layout
from workbookgen.verify.read import Book, Sheet, read_book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.tokens import as_area
from workbookgen.verify.values import ErrorValue, cell_name


class Finding(NamedTuple):
    """One place where a rule is broken; sheet and cell are empty when it concerns the whole workbook."""

    sheet: str
    cell: str
    detail: str


@dataclass(frozen=True)
class Group:
    """All findings of one rule, in file order."""

    rule: str
    findings: tuple[Finding, ...]


def lint(path: Path | str) -> list[Group]:
    """Findings grouped by rule, rules in alphabetical order; an empty list is a clean workbook.

    ``BadInput`` when the file is missing or is no .xlsx.
    """
    rules, book = load_rules("lint_rules"), read_book(path)
    grouped: dict[str, list[Finding]] = {}
    for rule, finding in _all_findings(book, rules):
        grouped.setdefault(rule, []).append(finding)
    return [Group(rule, tuple(dict.fromkeys(grouped[rule]))) for rule in sorted(grouped)]


def render_findings(groups: list[Group], examples: int | None = None) -> str:
    """Groups as text: rule and count, then some places each (as many as ``verify_rules.toml`` says)."""
    shown = int(load_rules("verify_rules")["report"]["examples"]) if examples is None else examples
    lines = []
    for group in groups:
        lines.append(f"{group.rule}: {len(group.findings):,}")
        for finding in group.findings[:shown]:
            place = "!".join(part for part in (finding.sheet, finding.cell) if part) or "workbook"
            lines.append(f"  {place}: {finding.detail}")
        if len(group.findings) > shown:
            lines.append(f"  and {len(group.findings) - shown:,} more")
    total = sum(len(group.findings) for group in groups)
    lines.append(f"{total:,} findings" if total else "No findings.")
    return "\n".join(lines)


def _formula_lint(names: tuple[DefinedName, ...], rules: dict[str, Any]) -> FormulaLint:
    shared = [name for name in names if name.sheet is None]
    areas = {name.name.upper(): as_area(name.text) for name in shared}
    ranges = {name for name, area in areas.items() if area is not None and not area.single}
    local = {name.name.upper() for name in names if name.sheet is not None} - set(areas)
    return FormulaLint(rules, set(areas), ranges, local)


def _all_findings(book: Book, rules: dict[str, Any]) -> Iterator[tuple[str, Finding]]:
    checker = _formula_lint(book.names, rules)
    with open_package(book.path) as package:
        layout = read_layout(package)
        for fault in (
            *tab_faults(layout, rules),
            *name_faults(layout.names, rules),
            *part_faults(package, rules),
        ):
            yield fault.rule, Finding(fault.sheet, fault.cell, fault.detail)
        for part in layout.sheets:
            root = after_cells(package, part)
            for fault in sheet_faults(root, part.name, rules):
                yield fault.rule, Finding(fault.sheet, fault.cell, fault.detail)
            for other in other_formulas(root, part.name):
                for rule, detail in checker.check_elsewhere(other.formula):
                    yield rule, Finding(other.sheet, other.cells, detail)
    for sheet in book.sheets.values():
        yield from _cell_findings(sheet, checker, rules)


def _cell_findings(
    sheet: Sheet, checker: FormulaLint, rules: dict[str, Any]
) -> Iterator[tuple[str, Finding]]:
    name, longest = sheet.name, rules["limits"]["text_in_cell"]["max"]
    for place, formula in sheet.formulas.items():
        for rule, detail in checker.check(formula):
            yield rule, Finding(name, cell_name(*place), detail)
    for place in sorted(sheet.unstored):
        yield "formula without a stored value", Finding(name, cell_name(*place), "=" + sheet.formulas[place])
    for place, area in sorted(sheet.arrays.items()):
        yield "array formula", Finding(name, cell_name(*place), f"over {area}")
    for place in sheet.dynamic:
        yield "dynamic array metadata", Finding(name, cell_name(*place), "the cell points to array metadata")
    for place, reason in sorted(sheet.odd.items()):
        yield "formula of an unknown kind", Finding(name, cell_name(*place), reason)
    for place, value in sheet.values.items():
        if isinstance(value, ErrorValue):
            yield "error value", Finding(name, cell_name(*place), str(value))
        elif isinstance(value, str) and len(value) > longest:
            yield "text in a cell too long", Finding(name, cell_name(*place), f"{len(value)} characters")
