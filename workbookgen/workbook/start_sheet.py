"""Start: what the book is, six steps, settings, legend, status."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from workbookgen.model.analysis import Settings
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block
from workbookgen.workbook.checks_sheet import CARD_CHECK, REVIEW_CHECK, TYPED_CHECK
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.programme_inputs import put_programme_inputs
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.words import key_text

LAST_COL = 6
#: Letters that fit one line over the whole width, and beside a link.
WIDE_LETTERS, STEP_LETTERS = 165, 118
SETTINGS = (
    ("set_tolerance", "Plate: tolerance of a share, percentage points", "plate_tolerance", "const_tolerance_max"),
    ("set_low_practice", "Low reading, kitchen rule: at or below, % DV", "low_practice", "const_percent_max"),
    ("set_high_practice", "High reading, kitchen rule: at or above, % DV", "high_practice", "const_percent_max"),
    ("set_low_regulator", "Low reading, regulator's guide: at or below, % DV", "low_regulator", "const_percent_max"),
    ("set_high_regulator", "High reading, regulator's guide: at or above, % DV", "high_regulator", "const_percent_max"),
    ("set_boil_off", "Water that stays in the pot: share that boils off, %", "water_boiled_off_pct", "const_percent_max"),
)


def put_start(book: Book, kitchen: Kitchen, settings: Settings, programme: Mapping[str, Any]) -> Sheet:
    """Lay out the sheet with its settings; links and status follow once the other sheets exist."""
    sheet = book.add("Start")
    for col, width in enumerate((4, 46, 54, 10, 34, 3, 8)):
        sheet.widths[col] = width
    put_frame(sheet, str(programme["name"]), f"{programme['place']}. {programme['note']}", LAST_COL)
    row = _section(sheet, 3, "What this is")
    sections = dict(read_sections("start.md"))
    for line in sections["what"]:
        row = _wide(sheet, row, line)
    return sheet


def _section(sheet: Sheet, row: int, title: str) -> int:
    sheet.put(row, 1, title, "section")
    sheet.band(row, 2, LAST_COL, "section")
    return row + 1


def _wide(sheet: Sheet, row: int, text: str) -> int:
    sheet.put(row, 1, text, "wrap")
    sheet.merges.append((row, 1, row, LAST_COL))
    sheet.heights[row] = 15 * max(1, -(-len(text) // WIDE_LETTERS)) + 2
    return row + 1


def finish_start(book: Book, sheet: Sheet, kitchen: Kitchen, settings: Settings, first_recipe: str,
                 failing: str, first_spare: str = "") -> None:
    """Tour and steps with links, checks at a glance, settings, legend, protection, help and tips.

    ``failing`` is the cell that counts failed checks; without a spare sheet the tour leaves that step out.
    """
    sections = dict(read_sections("start.md"))
    row = max(r for r, _ in sheet.cells) + 2
    tabs = {"{first recipe}": first_recipe, "{first spare}": first_spare}
    row = _steps(book, sheet, row, "Two-minute tour", sections["tour"], tabs)
    row = _steps(book, sheet, row + 1, "Six steps for every recipe", sections["steps"], tabs)
    row = _put_glance(sheet, row + 1, failing)
    sheet.page_breaks.append(row + 1)
    row = _section(sheet, row + 1, "Settings for the whole workbook")
    row = _put_settings(book, sheet, row, kitchen, settings)
    row = _section(sheet, row + 1, "Programme targets for one serving, judged on Programme; an empty cell is not used")
    row = put_programme_inputs(book, sheet, row, settings)
    row = _section(sheet, row + 1, "What the looks mean")
    looks = {"input": "input", "fixed": "fixed", "calc": "calc", "work": "work", "message": "message"}
    for line in sections["legend"]:
        style, text = (part.strip() for part in line.split("|"))
        sheet.put(row, 1, {"message": "type an amount"}.get(style, "example"), looks[style] + " locked")
        sheet.put(row, 2, text, "wrap left")
        sheet.merges.append((row, 2, row, LAST_COL))
        row += 1
    for key, title in (("protected", "What is protected, and why"), ("help", "How to get help"), ("keyboard", "By keyboard"),
                       ("tips", "Good to know")):
        row = _section(sheet, row + 1, title)
        for line in sections[key]:
            row = _wide(sheet, row, line)
    sheet.print_area = (0, 0, row, LAST_COL)


def _steps(book: Book, sheet: Sheet, row: int, title: str, lines: Sequence[str], tabs: Mapping[str, str]) -> int:
    """Numbered lines, each with a link to its sheet; lines whose sheet the book lacks are left out."""
    row = _section(sheet, row, title)
    known = {s.name for s in book.sheets}
    number = 1
    for line in lines:
        target, text = (part.strip() for part in line.split("|"))
        tab = tabs.get(target, target)
        if tab not in known:
            continue
        sheet.put(row, 0, number, "label wrap centre")
        sheet.link(row, 1, tab, tab, "link wrap")
        sheet.put(row, 2, text, "wrap")
        sheet.merges.append((row, 2, row, LAST_COL))
        sheet.heights[row] = 15 * max(1, -(-len(text) // STEP_LETTERS)) + 3
        number += 1
        row += 1
    return row


def _put_glance(sheet: Sheet, row: int, failing: str) -> int:
    """How many checks of each kind need a look."""
    row = _section(sheet, row, "All checks at a glance")
    sheet.formula(row, 1, f'=IF({failing}=0,"all checks say ok",{failing}&" checks need a look: open Checks")', LOOKUP, "bold")
    sheet.link(row, 2, "Checks", "Checks")
    row += 1
    kinds = (
        ("Lines with something to mend", "lines to mend"), ("Servings missing or impossible", "servings"),
        ("Weight of the dish", "weight"), ("Water for grains", "water for grains"), ("Texts that do not fit their card", CARD_CHECK),
        ("Recipes changed since their sign-off", REVIEW_CHECK), ("Labels, own foods, own measures", TYPED_CHECK),
    )  # fmt: skip
    for i, (words, kind) in enumerate(kinds):
        sheet.put(row + i, 1, words, "calc")
        sheet.formula(row + i, 2, _glance(f'SUMIF(check_kind,"{kind}",check_counts)'), LOOKUP, "calc small")
    sheet.put(row + len(kinds), 1, "Figures of Foods changed since the build", "calc")
    sheet.formula(row + len(kinds), 2, _glance("check_changed"), LOOKUP, "calc small")
    return row + len(kinds) + 1


def _glance(count: str) -> str:
    return f'=IF({count}=0,"ok",{count}&" to look at")'


def _put_settings(book: Book, sheet: Sheet, row: int, kitchen: Kitchen, settings: Settings) -> int:
    """Each setting: label, input, as read, message. Locked rows stand between the inputs."""
    for col, head in ((1, "Setting"), (2, "Your choice"), (3, "As read"), (4, "Message")):
        sheet.put(row, col, head, "head")
    row += 1
    sets, models = kitchen.tables.reference_sets, kitchen.tables.plate_models
    names = {s.id: s.name for s in sets} | {m.id: m.name for m in models}
    ids = [s.id for s in sets]
    for name, label, chosen, source, number in (
        ("set_reference", "Reference values for % DV", names[settings.reference_set], "ref_name",
         ids.index(settings.reference_set) + 1),
        ("set_plate", "Plate model", names[settings.plate_model], "plate_model",
         [m.id for m in models].index(settings.plate_model) + 1),
    ):
        x = f"INDEX({block(row - 1, 2, row + 1, 2)},2)"
        sheet.put(row, 1, label, "label")
        sheet.put(row, 2, chosen, "input small")
        sheet.choose_from(row, 2, row, 2, f"={source}", label, "Choose from the list.")
        sheet.formula(row, 3, f"=IF(ISTEXT({x}),IF(LEN({x})>100,1,IFERROR(MATCH({key_text(x)},{source},0),1)),1)",
                      float(number), "calc n0")
        sheet.formula(row, 4, f'=IF(ISTEXT({x}),IF(LEN({x})>100,"not in the list: the first one is used",IF(ISNUMBER(MATCH('
                              f'{key_text(x)},{source},0)),"","not in the list: the first one is used")),"empty: the first one is used")',
                      "", "message")
        book.name_range(name, sheet, row, 3, row, 3)
        row = _spacer(sheet, row + 1)
    for name, label, field, high in SETTINGS:
        value = float(getattr(settings, field))
        x = f"INDEX({block(row - 1, 2, row + 1, 2)},2)"
        fits = f"IF(ISLOGICAL({x}),FALSE,IF(ISNUMBER({x}),AND({x}>=0,{x}<={high}),FALSE))"
        sheet.put(row, 1, label, "label")
        sheet.put(row, 2, value, "input general")
        sheet.explain(row, 2, row, 2, "Setting", "A number. Whatever cannot be read is told on the right; the built-in value is used then.")
        sheet.formula(row, 3, f"=IF({fits},{x},default_{field})", value, "calc general")
        sheet.formula(row, 4, f'=IF({fits},"","type a number from 0 to "&{high}&"; the built-in value is used")', "", "message")
        book.name_range(name, sheet, row, 3, row, 3)
        row = _spacer(sheet, row + 1)
    return row


def _spacer(sheet: Sheet, row: int) -> int:
    sheet.put(row, 2, "", "hint")
    sheet.heights[row] = 5
    return row + 1
