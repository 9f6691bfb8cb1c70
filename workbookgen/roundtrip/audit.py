"""Audit: one page on what in a workbook a reviewer must know before she believes a figure.

Works on any workbook: one that was edited beyond repair gets the findings that can still be worked out, one that
this program did not build gets those that need no build record, and both say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.roundtrip.audit_scan import scan
from workbookgen.roundtrip.figures import CODE, read_figures
from workbookgen.roundtrip.locked import locked_changes
from workbookgen.roundtrip.record import Edited, is_ours, read_record
from workbookgen.roundtrip.safe import read_safely
from workbookgen.roundtrip.tables_audit import memory_rows, rows_without_source
from workbookgen.roundtrip.words import same, shown
from workbookgen.verify.compare import compare
from workbookgen.verify.formualizer_engine import recalculate
from workbookgen.verify.lint_formulas import FormulaLint
from workbookgen.verify.package import DAMAGED
from workbookgen.verify.patterns import Patterns, blocks, breaks
from workbookgen.verify.read import Book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.tokens import as_area
from workbookgen.verify.values import ErrorValue, cell_name, split_cell_name
from workbookgen.workbook.record_sheet import SHEET

FAULT, LOOK, FACT = "fault", "look", "fact"
CONSTANT = "constant in formula"


@dataclass(frozen=True, slots=True)
class Check:
    """One thing an audit looks at, as ``data/audit_checks.csv`` words it."""

    id: str
    title: str
    weight: str
    why: str
    source: str


@dataclass
class Finding:
    """What was found: a count and places in words; ``unknown`` says why it could not be looked at."""

    check: Check
    count: int = 0
    places: list[str] = field(default_factory=list)
    unknown: str = ""


@dataclass
class SheetFacts:
    """A sheet in figures."""

    name: str
    formulas: int
    patterns: int
    blocks: int


@dataclass
class Audit:
    """The whole page."""

    path: Path
    ours: bool
    remark: str
    sheets: list[SheetFacts]
    findings: list[Finding]

    @property
    def faults(self) -> int:
        """Findings of weight fault that have a place or could not be looked at."""
        return sum(1 for f in self.findings if f.check.weight == FAULT and (f.count or f.unknown))


def load_checks() -> dict[str, Check]:
    """Checks by id, in the order of the page."""
    rows = read_rows(data_path("audit_checks.csv"), ("id", "title", "weight", "why", "source"))
    checks = [Check(r.text("id"), r.text("title"), r.choice("weight", (FAULT, LOOK, FACT)), r.text("why"), r.text("source")) for r in rows]
    return {c.id: c for c in checks}


def audit(path: Path) -> Audit:
    """Look at a workbook. Raises ``BadInput`` only for a file that cannot be read safely."""
    book = read_safely(path)
    edited, remark = _edited(book)
    patterns = Patterns()
    by_sheet = {name: patterns.of(sheet.formulas) for name, sheet in book.sheets.items()}
    sheets = [SheetFacts(name, len(p), len(set(p.values())), blocks(p)) for name, p in by_sheet.items()]
    found = _Findings(load_checks())
    changed = _locked(found, edited)
    found.add("errors", (f"{s.name}!{cell_name(*p)} {v}" for s in book.sheets.values() for p, v in s.values.items() if isinstance(v, ErrorValue)))
    _stored(found, book)
    _scanned(found, path)
    _constants(found, book, patterns, by_sheet)
    _breaks(found, by_sheet, edited, changed)
    found.add("sources", rows_without_source(book))
    _statements(found, book, edited)
    found.add("memory", memory_rows(book))
    _inputs(found, edited)
    return Audit(path, edited is not None, remark, sheets, found.in_order())


class _Findings:
    """Findings by check."""

    def __init__(self, checks: Mapping[str, Check]) -> None:
        self.found = {name: Finding(check) for name, check in checks.items()}

    def add(self, name: str, places: Iterator[str] | list[str]) -> None:
        finding = self.found[name]
        finding.places = list(places)
        finding.count = len(finding.places)

    def cannot(self, name: str, why: str) -> None:
        self.found[name].unknown = why

    def in_order(self) -> list[Finding]:
        return list(self.found.values())


NOT_OURS = "needs the sheet 'Build record', which is missing or cannot be read"


def _edited(book: Book) -> tuple[Edited | None, str]:
    if not is_ours(book):
        return None, (f"This workbook has no readable sheet '{SHEET}': it was not built by this program, or the sheet was taken out. "
                      "What was changed cannot be told.")
    try:
        return Edited(book.path, book, read_record(book)), ""
    except (ValueError, KeyError, TypeError, IndexError) as error:
        return None, f"The sheet '{SHEET}' was changed and cannot be read ({error}). What else was changed cannot be told."


def _locked(found: _Findings, edited: Edited | None) -> set[tuple[str, str]]:
    if edited is None:
        found.cannot("changed_tables", NOT_OURS)
        return set()
    changes = locked_changes(edited)
    gone = [t.name for t in edited.record.tabs.values() if not t.now]
    unread = [f"{tab}: its check sums were changed" for tab in dict.fromkeys(edited.record.unsummed)]
    found.add("changed_tables", [*unread, *(f"{c.sheet}!{c.cell} now {c.now[:60]}" for c in changes), *(f"the sheet {name} is gone" for name in gone)])
    return {(c.sheet, c.cell) for c in changes}


def _stored(found: _Findings, book: Book) -> None:
    if not book.formula_count:
        return
    try:
        _, differing = compare(book, recalculate(book.path, book))
    except BadInput as error:
        found.cannot("stored", error.what)
        return
    except Exception as error:  # the engine has errors of its own for books that no one here built
        found.cannot("stored", f"the engine cannot calculate this workbook ({error})")
        return
    found.add("stored", [f"{d.sheet}!{d.cell} shows {_told(d.stored)}, recalculated {_told(d.recomputed)}" for d in differing])
    errors = found.found["errors"]
    wrong = [f"{d.sheet}!{d.cell} {d.recomputed} when recalculated" for d in differing if isinstance(d.recomputed, ErrorValue)
             and not isinstance(d.stored, ErrorValue)]
    found.add("errors", [*errors.places, *wrong])


def _told(value: object) -> str:
    return "nothing" if value in (None, "") else str(value)


def _scanned(found: _Findings, path: Path) -> None:
    try:
        seen = scan(path)
    except DAMAGED as error:
        for name in ("hidden", "unprotected", "unlocked", "external"):
            found.cannot(name, f"the file is damaged ({error})")
        return
    found.add("hidden", [f"{sheet}: {what}" for sheet, what in seen.hidden])
    found.add("unprotected", seen.unprotected)
    found.add("unlocked", [f"{sheet}!{cell}" for sheet, cell in seen.unlocked])
    found.add("external", seen.outside)


def _constants(found: _Findings, book: Book, patterns: Patterns, by_sheet: Mapping[str, Mapping[tuple[int, int], int]]) -> None:
    """One formula of each pattern is looked at; all that share it count."""
    rules = load_rules("lint_rules")
    shared = [n for n in book.names if n.sheet is None]
    areas = {n.name.upper(): as_area(n.text) for n in shared}
    checker = FormulaLint(rules, set(areas), {n for n, a in areas.items() if a is not None and not a.single}, set())
    told: dict[int, str] = {}
    places = []
    for name, numbers in by_sheet.items():
        for place, number in numbers.items():
            if number not in told:
                told[number] = _constant(checker, book.sheets[name].formulas[place])
            if told[number]:
                places.append(f"{name}!{cell_name(*place)} holds {told[number]}")
    found.add("constants", places)


def _constant(checker: FormulaLint, formula: str) -> str:
    try:
        return next((f.detail for f in checker.check(formula) if f.rule == CONSTANT), "")
    except (ValueError, IndexError):
        return "something that cannot be read"


def _breaks(found: _Findings, by_sheet: Mapping[str, Mapping[tuple[int, int], int]], edited: Edited | None,
            changed: set[tuple[str, str]]) -> None:
    """Odd cells; in a workbook of ours those that the build made itself (rows that cross columns) do not count."""
    odd = [(name, cell_name(*place)) for name, numbers in by_sheet.items() for place in breaks(numbers)]
    if edited is not None:
        whole = {(sheet, cell.removeprefix("row ")) for sheet, cell in changed if cell.startswith("row ")}
        known = {t.now for t in edited.record.tabs.values()} | {SHEET}
        odd = [(s, c) for s, c in odd if (s, c) in changed or s not in known or (s, str(split_cell_name(c)[0])) in whole]
    found.add("breaks", [f"{sheet}!{cell}" for sheet, cell in odd])


def _statements(found: _Findings, book: Book, edited: Edited | None) -> None:
    if edited is None:
        found.cannot("statements", NOT_OURS)
        return
    try:
        figures = read_figures(book, proven=not found.found["stored"].count and not found.found["stored"].unknown)
    except BadInput as error:
        found.cannot("statements", error.what)
        return
    places = []
    for tab in edited.record.tabs.values():
        sheet = edited.sheet(tab.name)
        if sheet is None:
            continue
        for block in edited.record.blocks_of(tab.name):
            if block.field == "statement":
                title = _title(edited, tab.name)
                verdicts = {w: v for w, (k, v) in figures.recipes.get(title, {}).items() if k == CODE}
                places += [f"{tab.now}: {words} ({verdict})" for words, verdict in _not_carried(edited, block, verdicts)]
    found.add("statements", places)


def _title(edited: Edited, tab: str) -> str:
    value = next((edited.values(b)[0] for b in edited.record.blocks_of(tab) if b.field == "title"), None)
    return " ".join(shown(value).split())


def _not_carried(edited: Edited, block: Any, verdicts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Ticked statements that do not hold; the codes on Results stand in the order of the ticks."""
    for i, now in enumerate(edited.values(block)):
        if isinstance(now, str) and now.strip().lower() == "yes" and i < len(verdicts):
            words, verdict = list(verdicts.items())[i]
            if verdict != "holds":
                yield words.removeprefix("Statement: "), str(verdict)


def _inputs(found: _Findings, edited: Edited | None) -> None:
    if edited is None:
        found.cannot("inputs", NOT_OURS)
        return
    found.add("inputs", [f"{edited.record.tabs[b.tab].now}!{cell_name(*place)}" for b in edited.record.blocks if b.tab in edited.record.tabs
                         for place, now, built in zip(b.places, edited.values(b), b.built, strict=True) if not same(now, built)])
