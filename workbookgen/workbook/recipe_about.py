"""More about the recipe, printed on its card: times, version, good-to-know notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_review import review_cells
from workbookgen.workbook.words import in_words, tidy

SECTION = "about"
NOTES = 6
#: Title, labels, inputs, hints, heading of the notes, notes, edge.
ABOUT_ROWS = 6 + NOTES
LONGEST = 120
LONGEST_NOTE = 600
SOURCE_KEY = "share"
#: The end of a sentence, not of an initial.
_SENTENCE_END = re.compile(r"(?<=[^\W\d_][^\W\d_])\. |(?<=\))\. ")


@dataclass(frozen=True, slots=True)
class AboutBlock:
    """Fixed addresses of the texts as read, for the card."""

    prep: str
    cook: str
    version: str
    reviewer: str
    date: str
    notes: str


def about_block(lay: RecipeLayout) -> AboutBlock:
    """Where the texts as read stand: beside the inputs, in the working columns."""
    row, first = lay.section[SECTION] + 2, lay.section[SECTION] + 5
    keys = ("r_food", "r_amount", "r_unit")
    notes = block(first, lay.col["r_food"], first + NOTES - 1, lay.col["r_food"])
    prep, cook, version = (lay.at(key, row) for key in keys)
    review = review_cells(lay)
    return AboutBlock(prep, cook, version, review["reviewer"], review["date"], notes)


def put_about(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None) -> None:
    """Lay out the inputs and how they are read."""
    top = lay.section[SECTION]
    sheet.put(top, 0, "More for the card", "section")
    sheet.band(top, 0, lay.front_last, "section")
    inputs: tuple[tuple[str, str, Value, str, str], ...] = (
        ("amount", "Hands-on", recipe.prep_minutes or "" if recipe else "", "input n0", "minutes"),
        ("unit", "Cooking", recipe.cook_minutes or "" if recipe else "", "input n0", "minutes"),
        ("basis", "Version", recipe.version if recipe else "", "input small text", ""),
    )
    for key, label, value, style, hint in inputs:
        sheet.put(top + 1, lay.col[key], label, "label")
        sheet.put(top + 2, lay.col[key], value, style)
        sheet.put(top + 3, lay.col[key], hint, "hint")
    sheet.heights |= {top + 2: 20, top + 3: 26}
    for (key, label, *_), at in zip(inputs, ("r_food", "r_amount", "r_unit"), strict=True):
        sheet.put(top + 1, lay.col[at], label, "workhead")
        x = f"INDEX({block(top + 1, lay.col[key], top + 3, lay.col[key])},2)"
        formula = _minutes(x) if key in ("amount", "unit") else _short(x, 1)
        sheet.formula(top + 2, lay.col[at], formula, LOOKUP, "work")
    _put_notes(sheet, lay, kitchen, recipe)


def cited(kitchen: Kitchen, source: str) -> str:
    """How a note names its source: who and when; the sheet Sources has the rest. Own words stay as they are."""
    found = kitchen.tables.sources.get(source)
    if found is None:
        return source
    rule = re.match(r"\d+ CFR (?:part )?[\d.]*\d(?: subpart \w)?|(?:Commission )?Regulation \([A-Z]+\) No [\d/]+", found.citation)
    if rule:
        return rule.group()
    who = _SENTENCE_END.split(found.citation)[0].rstrip(".").split(" (")[0]
    who += "." if who.endswith(" al") else ""
    year = re.search(r"\((?:[^()]*\b)?((?:19|20)\d\d)\)", found.citation)
    return f"{who}, {year.group(1)}" if year else who


def _minutes(x: str) -> str:
    """Minutes in words, such as "1 h 20 min"; nothing for anything but a positive number."""
    hours = f"INT(ROUND({x}/const_minutes_per_hour,9))"
    rest = f"{in_words(f'{x}-{hours}*const_minutes_per_hour', 0)}"
    words = (f'IF({x}<const_minutes_per_hour,"",{hours}&" h")&IF(AND({x}>=const_minutes_per_hour,{rest}>0)," ","")'
             f'&IF(OR({x}<const_minutes_per_hour,{rest}>0),{rest}&" min","")')
    return (f'=IF(ISLOGICAL({x}),"",IF(ISNUMBER({x}),IF(AND({x}>0,{x}<=const_minutes_max),{words},""),""))')


def _short(x: str, lines: int) -> str:
    """A short text or a plain number as text."""
    return (f'=IF(ISTEXT({x}),LEFT({tidy(x)},{LONGEST * lines}),IF(ISLOGICAL({x}),"",IF(ISNUMBER({x}),'
            f'{in_words(x, 2)}&"","")))')


def _put_notes(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None) -> None:
    head = lay.section[SECTION] + 4
    first, edge = head + 1, head + 1 + NOTES
    sheet.put(head, 0, "No.", "head")
    sheet.put(head, lay.col["food"], "Good to know: one note in each row", "head")
    sheet.band(head, 1, lay.front_last, "head")
    sheet.put(head, lay.col[SOURCE_KEY], "Source, printed behind the note", "head")
    sheet.merges += [(head, lay.col["food"], head, lay.col[SOURCE_KEY] - 1), (head, lay.col[SOURCE_KEY], head, lay.front_last)]
    sheet.put(edge, lay.col["food"], "end of the notes", "edge")
    sheet.put(edge, lay.col[SOURCE_KEY], "", "edge")
    written = recipe.notes if recipe else ()
    for i in range(NOTES):
        row = first + i
        note = written[i] if i < len(written) else None
        source = cited(kitchen, note.source) if note else ""
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.put(row, lay.col["food"], note.text if note else "", "input small wrap")
        sheet.band(row, lay.col["amount"], lay.col[SOURCE_KEY] - 1, "input small wrap")
        sheet.merges.append((row, lay.col["food"], row, lay.col[SOURCE_KEY] - 1))
        sheet.put(row, lay.col[SOURCE_KEY], source, "input small wrap")
        sheet.band(row, lay.col[SOURCE_KEY] + 1, lay.front_last, "input small wrap")
        sheet.merges.append((row, lay.col[SOURCE_KEY], row, lay.front_last))
        sheet.heights[row] = 13 * max(1, -(-len(note.text if note else "") // 110), -(-len(source) // 75)) + 6
        x, s = (f"INDEX({block(head, lay.col[key], edge, lay.col[key])},{a1(row, 0, fix_col=True)}+1)"
                for key in ("food", SOURCE_KEY))
        text, from_whom = (f'IF(ISTEXT({y}),LEFT({tidy(y)},{LONGEST_NOTE}),"")' for y in (x, s))
        sheet.formula(row, lay.col["r_food"], f'=IF({text}="","",{text}&IF({from_whom}="",""," ("&{from_whom}&")"))', LOOKUP, "work")
