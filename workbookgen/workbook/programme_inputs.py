"""Inputs of the programme's targets on Start: limit, as read, message."""

from __future__ import annotations

from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.model.analysis import Settings
from workbookgen.model.programme_targets import ProgrammeTarget
from workbookgen.nutrition.programme import limits_in_use
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block
from workbookgen.workbook.words import tidy

LABEL, CHOICE, READ, MESSAGE = 1, 2, 3, 4


def limit_name(target: ProgrammeTarget) -> str:
    """Workbook name of the limit as read, "" where the target is not used."""
    return f"prog_{target.id}"


def put_programme_inputs(book: Book, sheet: Sheet, row: int, settings: Settings) -> int:
    """One input per target, locked rows between them; returns the row after the last."""
    rules = load_programme_rules()
    limits = limits_in_use(rules, settings)
    for col, head in ((LABEL, "Target for one serving"), (CHOICE, "Your limit"), (READ, "As read"), (MESSAGE, "Message")):
        sheet.put(row, col, head, "head")
    row += 1
    for target in rules.targets:
        limit = limits[target.id]
        x = f"INDEX({block(row - 1, CHOICE, row + 1, CHOICE)},2)"
        fits = f"IF(ISLOGICAL({x}),FALSE,IF(ISNUMBER({x}),AND({x}>=0,{x}<=const_programme_target_max),FALSE))"
        empty = f'IF(ISTEXT({x}),{tidy(x)}="",ISBLANK({x}))'
        sheet.put(row, LABEL, f"{target.name}, {target.unit}", "label")
        sheet.put(row, CHOICE, "" if limit is None else limit, "input general")
        sheet.explain(row, CHOICE, row, CHOICE, "Target", "A number; empty: the target is not used. Read on the right how it is understood.")
        sheet.formula(row, READ, f'=IF({fits},{x},"")', "" if limit is None else limit, "calc general")
        sheet.formula(row, MESSAGE, f'=IF({fits},"",IF({empty},"not used","type a number, or empty the cell; not used now"))', LOOKUP, "message")
        book.name_range(limit_name(target), sheet, row, READ, row, READ)
        sheet.put(row + 1, CHOICE, "", "hint")
        sheet.heights[row + 1] = 5
        row += 2
    return row
