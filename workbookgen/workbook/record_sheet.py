"""Build record: what the book was built from, so that edits can be read back.

The sheet is visible and locked, one plain row for each thing: the sheets with their kind (a formula follows a
tab that is renamed), every block of input cells with the field it stands for and its values when the book was
built, the recipe files and prices line by line, and check sums of the locked cells. Whoever reads a changed
workbook needs no copy of the files and no guess: what differs from this sheet was edited. A later version of
the program reads it too, since positions and fields are told here and not known from the layout.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from workbookgen.model.analysis import Settings
from workbookgen.model.programme import Price
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.folder import PRICES
from workbookgen.recipes.save import recipe_text
from workbookgen.workbook.audit_sheet import NOTHING
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, a1, quoted
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.record_fields import SETTING, Field, fields_by_sheet, is_input, other_inputs
from workbookgen.workbook.record_sums import Sums, as_text, plain_formula, plain_value

SHEET = "Build record"
FORMAT = "workbookgen build record 1"
HEAD, FIRST = 4, 5
HEADS = (("What", 10), ("Sheet", 28), ("Field", 24), ("Cells", 16), ("When built", 70), ("Parts", 40))
BOOK, TAB, INPUT, FILE, ROWS, COLUMNS = "book", "sheet", "input", "file", "rows", "columns"
LOOK = "look."
#: Sections of a look file that name other files.
FILES = ("logo", "texts")
RECIPE, VARIANT, SPARE, CARD, OTHER = "recipe", "variant", "spare", "card", "other"
PRICE_COLUMNS = ("food", "price", "amount", "unit", "note", "sold_as", "pantry_g")
#: Letters of one cell: a spreadsheet holds 32,767, and eight letters make one sum.
CHUNK = 24_000
MOST_LINE = 32_000
#: What, sheet, field, cells, value, parts.
Row = tuple[str, str, str, str, Value, str]


def file_names(recipes: Sequence[Recipe]) -> dict[str, str]:
    """A file name of its own for each recipe by title: that of its file, else its title in plain letters."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    derived = parents_of(recipes)
    for recipe in sorted(recipes, key=lambda r: r.title in derived):
        stem = Path(recipe.path).stem if recipe.path and recipe.title not in derived else plain_stem(recipe.title)
        name, number = f"{stem}.toml", 2
        while name.lower() in taken:
            name, number = f"{stem}-{number}.toml", number + 1
        taken.add(name.lower())
        found[recipe.title] = name
    return found


def plain_stem(title: str) -> str:
    """A title as the stem of a file: small plain letters and hyphens.

    >>> plain_stem("Kale & beans (v2)")
    'kale-beans-v2'
    """
    letters = "".join(c if c.isascii() and c.isalnum() else "-" for c in title.lower())
    return "-".join(part for part in letters.split("-") if part)[:60].rstrip("-") or "recipe"


@dataclass(frozen=True, slots=True)
class RecordNotes:
    """Rows of the record on one sheet, for a large book that does not hold it any more."""

    inputs: list[Row]
    sums: list[Row]


def record_notes(sheet: Sheet, known: Sequence[Field]) -> RecordNotes:
    """Rows on one sheet; ``known`` are its fields with a name."""
    inputs = [row for field in (*known, *other_inputs(sheet, known)) for row in _field_rows(sheet, field)]
    return RecordNotes(inputs, list(_sum_rows(sheet)))


def put_record(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], cards: Mapping[str, str],
               settings: Settings, look: Mapping[str, Any], noted: Mapping[str, RecordNotes] = NOTHING) -> Sheet:
    """Lay out the sheet; it comes last, when nothing else changes any more. ``cards`` maps recipe tabs to the tab
    of their card, ``look`` is what the look file says, ``noted`` stands for sheets that are not held any more."""
    others = list(book.sheets)
    sheet = book.add(SHEET)
    put_frame(sheet, SHEET, "What this book was built from: the recipe files, the value of every input cell and check sums of "
              "everything locked. The command extract reads edits back by it. Nothing to type here.", 4)
    for col, (head, width) in enumerate(HEADS):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    writer = _Writer(sheet)
    writer.put(BOOK, "", "format", "", FORMAT)
    writer.put(BOOK, "", "foods", "", f"{kitchen.table.name}, {len(kitchen.fixed_foods)} foods")
    for name, value in sorted(_stated(settings).items()):
        writer.put(BOOK, "", f"{SETTING}{name}", "", _json(value))
    for name, value in sorted(look.items()):
        writer.put(BOOK, "", LOOK + name, "", _json(_without_folders(name, value)))
    held = [s for s in others if s.name not in noted]
    tabs = {s.name for s in held}
    fields = fields_by_sheet(held, [r for r in recipes if r.sheet.name in tabs], [c for c in cards.values() if c in tabs], kitchen)
    notes = {s.name: record_notes(s, fields.get(s.name, [])) for s in held} | dict(noted)
    _put_tabs(writer, others, recipes, cards)
    for each in others:
        writer.put_all(notes[each.name].inputs)
    _put_files(writer, kitchen, [r.recipe for r in recipes if r.recipe])
    for each in others:
        writer.put_all(notes[each.name].sums)
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_area = (0, 0, HEAD + len(others), len(HEADS) - 2)
    sheet.first_input = (FIRST, 0)
    return sheet


class _Writer:
    """Rows of the record, one after the other."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet, self.row = sheet, FIRST

    def put(self, what: str, tab: str, field: str, cells: str, value: Value, parts: str = "") -> None:
        for col, text in enumerate((what, tab, field, cells, value, parts)):
            self.sheet.put(self.row, col, text, "fixed small")
        self.row += 1


    def put_all(self, rows: Iterable[Row]) -> None:
        for row in rows:
            self.put(*row)


def _stated(settings: Settings) -> dict[str, Value]:
    return {name: getattr(settings, name) for name in Settings.__dataclass_fields__}


def _without_folders(section: str, values: Mapping[str, Any]) -> Mapping[str, Any]:
    """A section of the look file; of the files it names only their own name is told, not where they lie."""
    return {k: Path(v).name if section in FILES and isinstance(v, str) else v for k, v in values.items()}


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def parents_of(recipes: Sequence[Recipe]) -> dict[str, tuple[str, str]]:
    """Title -> (parent's title, variant's name) for recipes that are a variant of another one of the book."""
    found = {f"{r.title}: {v.name}": (r.title, v.name) for r in recipes for v in r.variants}
    return {r.title: found[r.title] for r in recipes if r.title in found}


def _put_tabs(writer: _Writer, sheets: Sequence[Sheet], recipes: Sequence[RecipeSheet], cards: Mapping[str, str]) -> None:
    by_tab = {r.sheet.name: r for r in recipes}
    card_of = {card: tab for tab, card in cards.items()}
    written = [r.recipe for r in recipes if r.recipe]
    names, parents = file_names([r for r in written]), parents_of(written)
    for sheet in sheets:
        kind, parts = OTHER, ""
        recipe = by_tab.get(sheet.name)
        if recipe and recipe.recipe is None:
            kind = SPARE
        elif recipe and recipe.recipe:
            title = recipe.recipe.title
            kind, parts = RECIPE, _json([names[title]])
            if title in parents:
                parent, variant = parents[title]
                kind, parts = VARIANT, _json([names[title], names[parent], variant])
        elif sheet.name in card_of:
            kind, parts = CARD, _json([card_of[sheet.name]])
        writer.put(TAB, sheet.name, kind, "", "", parts)
        row = writer.row - 1
        writer.sheet.formula(row, 3, f'={quoted(sheet.name)}!$A$1&""', LOOKUP, "calc small")


def _field_rows(sheet: Sheet, field: Field) -> Iterator[Row]:
    """One row, or several when the values do not fit one cell."""
    for part in _parts(sheet, field):
        values = [_stored(sheet, at) for at in part.cells()]
        while values and values[-1] is None:
            values.pop()
        row, col = part.first
        where = a1(row, col) if part.count == 1 else f"{a1(row, col)}:{a1(row + part.count - 1, col)}"
        yield INPUT, sheet.name, part.name, where, _json(values) if values else "", _json(part.keys) if part.keys else ""


def _stored(sheet: Sheet, at: tuple[int, int]) -> Value | None:
    cell = sheet.cells.get(at)
    return None if cell is None or cell.value == "" or cell.value is LOOKUP else cell.value  # type: ignore[return-value]


def _parts(sheet: Sheet, field: Field) -> Iterator[Field]:
    letters = [len(_json(_stored(sheet, at))) + 2 for at in field.cells()]
    start = size = 0
    row, col = field.first
    for i, more in enumerate([*letters, MOST_LINE]):
        if size and (size + more > MOST_LINE or i == field.count):
            yield replace(field, first=(row + start, col), count=i - start, keys=field.keys[start:i])
            start, size = i, 0
        size += more


def _put_files(writer: _Writer, kitchen: Kitchen, recipes: Sequence[Recipe]) -> None:
    """Recipe files as they were understood, and prices; own foods, measures, labels and settings are input cells."""
    names, parents = file_names(recipes), parents_of(recipes)
    for recipe in recipes:
        if recipe.title in parents:
            continue
        _put_file(writer, names[recipe.title], recipe_text(recipe))
    for recipe in recipes:
        if recipe.title in parents:
            _put_file(writer, names[recipe.title], recipe_text(replace(recipe, variants=())))
    if kitchen.prices:
        _put_file(writer, PRICES, prices_text(kitchen.prices))


def prices_text(prices: Sequence[Price]) -> str:
    """Prices as the table of a recipe folder."""
    rows = [",".join(_cell(getattr(p, column)) for column in PRICE_COLUMNS) for p in prices]
    return "\n".join([",".join(PRICE_COLUMNS), *rows]) + "\n"


def _cell(value: str | float) -> str:
    text = value if isinstance(value, str) else repr(value).removesuffix(".0")
    return '"' + text.replace('"', '""') + '"' if any(c in text for c in ',"\n#') else text


def _put_file(writer: _Writer, name: str, text: str) -> None:
    for number, line in enumerate(text.splitlines(), 1):
        for part in [line[i : i + MOST_LINE] for i in range(0, len(line), MOST_LINE)]:
            writer.put(FILE, "", name, str(number), part)


def _sum_rows(sheet: Sheet) -> Iterator[Row]:
    sums = Sums()
    for (row, col), cell in sheet.cells.items():
        if cell.formula:
            sums.add(row, col, "f" + plain_formula(cell.formula))
        elif cell.value != "" and not is_input(cell.style):
            sums.add(row, col, plain_value(cell.value))
    for what, found in ((ROWS, sums.rows), (COLUMNS, sums.columns)):
        first, text = as_text(found)
        for start in range(0, len(text), CHUNK):
            yield what, sheet.name, "", str(first + start // 8), text[start : start + CHUNK], ""
