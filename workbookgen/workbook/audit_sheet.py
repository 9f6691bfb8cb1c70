"""Audit: what a reviewer looks at first, sheet by sheet; some of it live, the rest counted when the book was built."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from workbookgen.catalogue.csvread import STATUSES, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.verify.patterns import Patterns, blocks, breaks
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block, quoted
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.record_fields import is_input
from workbookgen.workbook.statements_layout import SAYS, Places

SHEET = "Audit"
HEAD, FIRST = 4, 5
STATUS_HEAD, MEMORY = "Status", "memory"
CHECK_HEADS = (("Check", 46), ("Found", 11), ("Counted", 13), ("Says", 20), ("Why it matters", 52), ("Practice and source", 60))
SHEET_HEADS = ("Sheet", "Formulas", "Patterns", "Blocks of one pattern", "Formulas unlike all their neighbours (rows that cross columns)",
               "Rows marked memory")
STATEMENTS_HEAD = "Statements ticked that the numbers do not carry"
PURPOSE = ("What a reviewer looks at first. Live counts follow the book; the others were counted when it was built. The command audit counts "
           "everything again in a changed file.")
LIVE, BUILT = "live", "when built"
#: What a live count covers when that is less than the check.
COVERS = {"changed_tables": "live, Foods"}
NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class SheetCount:
    """What was counted on one sheet when the book was built."""

    formulas: int
    patterns: int
    blocks: int
    odd: int


def count_sheets(sheets: Sequence[Sheet]) -> dict[str, SheetCount]:
    """Formulas and their patterns by tab."""
    patterns = Patterns()
    found = {}
    for sheet in sheets:
        numbers = patterns.of({(r + 1, c + 1): cell.formula[1:] for (r, c), cell in sheet.cells.items() if cell.formula})
        found[sheet.name] = SheetCount(len(numbers), len(set(numbers.values())), blocks(numbers), sum(1 for _ in breaks(numbers)))
    return found


def status_columns(sheet: Sheet) -> list[tuple[int, int, int]]:
    """Columns of status words: column, first and last row (zero-based)."""
    found = []
    for (row, col), cell in sheet.cells.items():
        if cell.value == STATUS_HEAD and not cell.formula:
            last = row
            while (below := sheet.cells.get((last + 1, col))) is not None and not below.formula and below.value in STATUSES:
                last += 1
            if last > row:
                found.append((col, row + 1, last))
    return sorted(found)


@dataclass(frozen=True, slots=True)
class AuditNotes:
    """What the audit needs of a sheet, for a large book that does not hold it any more."""

    count: SheetCount
    memory: str
    built: dict[str, int]


def audit_notes(sheet: Sheet) -> AuditNotes:
    """Notes on one sheet."""
    return AuditNotes(count_sheets([sheet])[sheet.name], _memory(sheet), _built([sheet]))


def put_audit(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], noted: Mapping[str, AuditNotes] = NOTHING) -> Sheet:
    """Lay out the sheet from everything that is laid out already, or ``noted`` by tab."""
    others = list(book.sheets)
    sheet = book.add(SHEET)
    put_frame(sheet, SHEET, PURPOSE, len(SHEET_HEADS))
    for col, (head, width) in enumerate(CHECK_HEADS):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    checks = read_rows(data_path("audit_checks.csv"), ("id", "title", "weight", "why", "source"))
    table = FIRST + len(checks) + 2
    by_tab = {r.sheet.name: r for r in recipes}
    held = [s for s in others if s.name not in noted]
    counts = count_sheets(held) | {tab: notes.count for tab, notes in noted.items()}
    memories = {s.name: _memory(s) for s in held} | {tab: notes.memory for tab, notes in noted.items()}
    memory, statements = _put_sheets(sheet, kitchen, others, counts, memories, by_tab, table)
    live = {"memory": memory, "statements": statements}
    if "check_changed" in book.names:
        live["changed_tables"] = "check_changed"
    built = _built(held)
    for notes in noted.values():
        built = {name: count + notes.built[name] for name, count in built.items()}
    for i, row in enumerate(checks):
        at, name = FIRST + i, row.text("id")
        sheet.put(at, 0, row.text("title"), "calc flow")
        if name in live:
            sheet.formula(at, 1, f"={live[name]}", LOOKUP, "calc n0")
            sheet.formula(at, 3, f'=IF({live[name]}=0,"nothing found","look at the places")', LOOKUP, "calc small flow")
        else:
            sheet.put(at, 1, float(built.get(name, 0)), "calc n0")
            sheet.put(at, 3, "nothing found" if not built.get(name) else "look at the places", "calc small flow")
        sheet.put(at, 2, COVERS.get(name, LIVE) if name in live else BUILT, "calc small")
        sheet.put(at, 4, row.text("why"), "calc small flow")
        sheet.put(at, 5, row.text("source"), "calc small flow")
        sheet.heights[at] = 28
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.first_input = (FIRST, 0)
    return sheet


def _put_sheets(sheet: Sheet, kitchen: Kitchen, others: Sequence[Sheet], counts: Mapping[str, SheetCount],
                memories: Mapping[str, str], recipes: Mapping[str, RecipeSheet], head: int) -> tuple[str, str]:
    """One row per sheet; returns the sums of rows marked memory and of statements that are not carried."""
    sheet.put(head - 1, 0, "Sheet by sheet", "section")
    for col, text in enumerate(SHEET_HEADS):
        sheet.put(head, col, text, "head")
    sheet.put(head, len(SHEET_HEADS), STATEMENTS_HEAD, "head")
    sheet.widths[len(SHEET_HEADS)] = 24
    sheet.heights[head] = 30
    for i, other in enumerate(others):
        at, count = head + 1 + i, counts[other.name]
        sheet.link(at, 0, other.name, other.name)
        for col, number in enumerate((count.formulas, count.patterns, count.blocks, count.odd), 1):
            sheet.put(at, col, float(number), "calc n0 small")
        sheet.band(at, len(SHEET_HEADS) - 1, len(SHEET_HEADS), "calc small")
        if memories[other.name]:
            sheet.formula(at, 5, memories[other.name], LOOKUP, "calc n0 small")
        recipe = recipes.get(other.name)
        if recipe and SAYS in recipe.lay.section:
            sheet.formula(at, 6, not_carried(recipe, kitchen), LOOKUP, "calc n0 small")
    last = head + len(others)
    return f"SUM({block(head + 1, 5, last, 5)})", f"SUM({block(head + 1, 6, last, 6)})"


def _memory(sheet: Sheet) -> str:
    """Formula that counts the rows of a sheet marked memory; empty where no column tells a status."""
    parts = [f'COUNTIF({quoted(sheet.name)}!{block(first, col, last, col)},"{MEMORY}")' for col, first, last in status_columns(sheet)]
    return f"={'+'.join(parts)}" if parts else ""


def not_carried(recipe: RecipeSheet, kitchen: Kitchen) -> str:
    """Ticked statements of a recipe sheet whose code is not 1."""
    places = Places(recipe.lay, ClaimPlan(kitchen.tables.claims))
    tick, judged = (f"{quoted(recipe.sheet.name)}!{block(places.first, places.lead[key], places.last, places.lead[key])}"
                    for key in ("tick", "judged"))
    return f"=SUMPRODUCT(({tick}=1)*({judged}<>1))"


def _built(sheets: Sequence[Sheet]) -> dict[str, int]:
    """Counts that only another program can change; the build proves stored values itself."""
    return {
        "hidden": sum(len(s.hidden_columns) for s in sheets),
        "unlocked": sum(1 for s in sheets for c in s.cells.values() if c.formula and is_input(c.style)),
    }
