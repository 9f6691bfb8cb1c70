"""Methods: coefficients, patterns, readings and word lists behind plate, iron, protein and ranges; Ranges: spreads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from workbookgen.model.science import AMINO, AMINO_NAMES
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import BY_UNITS
from workbookgen.nutrition.ranges import RANGE_TAGS, deviations
from workbookgen.workbook.book import Book, Sheet, Value, a1, column_name
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.texts import read_sections

HEAD = 5
FIRST = 6
#: Columns under the texts (the first block is that wide) and letters of one text line there.
TEXT_LAST_COL, TEXT_LETTERS = 6, 160


@dataclass
class _Blocks:
    """Tables side by side below the texts; ``col`` is the next free column."""

    book: Book
    sheet: Sheet
    head: int
    col: int = 0
    starts: list[int] = field(default_factory=list)

    @property
    def first(self) -> int:
        return self.head + 1

    def put(self, title: str, columns: Sequence[tuple[str, float, str, Sequence[Value]]]) -> int:
        """Columns (heading, width, range name, values) under a title; returns the first column."""
        start = self.col
        self.starts.append(start)
        self.sheet.put(self.head - 1, start, title, "label")
        for head, width, name, values in columns:
            self.sheet.put(self.head, self.col, head, "head")
            self.sheet.widths[self.col] = width
            for i, value in enumerate(values):
                style = "fixed small" if isinstance(value, str) else "fixed general small"
                self.sheet.put(self.first + i, self.col, value, style)
            if name:
                last = self.first + max(len(values), 1) - 1
                self.book.name_range(name, self.sheet, self.first, self.col, last, self.col)
            self.col += 1
        self.col += 1
        return start


def put_methods(book: Book, kitchen: Kitchen) -> Sheet:
    """Lay out the sheet and name its columns; every coefficient stands here with source and status."""
    science = kitchen.tables.science
    sheet = book.add("Methods")
    put_frame(sheet, "Methods", "What the plate, iron, protein, readings and ranges of the recipe sheets rest on, each figure "
              "with its source. Status seen: read in a published text; memory: known from the cited text, not read again; "
              "derived: worked out.", TEXT_LAST_COL)
    blocks = _Blocks(book, sheet, _put_texts(sheet) + 2)
    _put_iron(blocks, kitchen)
    _put_stores(blocks, kitchen)
    _put_patterns(blocks, kitchen)
    _put_readings(blocks, kitchen)
    blocks.put("Likely range: divisor by number of samples", (
        ("Samples from", 9, "", [d.samples for d in science.divisors]),
        ("Divisor", 9, "", [d.divisor for d in science.divisors]),
        ("Source", 16, "", [d.source_id for d in science.divisors]),
        ("Status", 9, "", [d.status for d in science.divisors])))
    blocks.put("Compare the plate by", (
        ("By", 10, "list_plate_by", list(BY_UNITS)), ("Unit", 8, "plate_unit", list(BY_UNITS.values()))))
    sheet.heights[blocks.head] = 54
    sheet.landscape = True
    sheet.print_scale, sheet.column_breaks = 60, blocks.starts[1:]
    sheet.first_input = (HEAD, 0)
    return sheet


def _put_texts(sheet: Sheet) -> int:
    """How each block works, in words; returns the row after the last text."""
    sheet.put(HEAD - 1, 0, "How it is worked out", "section")
    sheet.band(HEAD - 1, 0, TEXT_LAST_COL, "section")
    row = HEAD
    for topic, lines in read_sections("methods.md"):
        sheet.put(row, 0, topic, "label wrap")
        text = " ".join(lines)
        sheet.put(row, 1, text, "wrap small")
        sheet.merges.append((row, 1, row, TEXT_LAST_COL))
        sheet.heights[row] = 13 * max(1, -(-len(text) // TEXT_LETTERS)) + 6
        row += 1
    return row


def _put_iron(blocks: _Blocks, kitchen: Kitchen) -> None:
    figures = list(kitchen.tables.science.iron.values())
    start = blocks.put("Iron: coefficients", (
        ("Name in formulas", 22, "", ["iron_" + f.id for f in figures]), ("Meaning", 44, "", [f.name for f in figures]),
        ("Value", 10, "", [f.value for f in figures]), ("Unit", 12, "", [f.unit for f in figures]),
        ("Source", 22, "", [f.source_id for f in figures]), ("Status", 9, "", [f.status for f in figures]),
        ("Note", 70, "", [f.note for f in figures])))
    for i, figure in enumerate(figures):
        row = blocks.first + i
        blocks.book.name_range("iron_" + figure.id, blocks.sheet, row, start + 2, row, start + 2)


def _put_stores(blocks: _Blocks, kitchen: Kitchen) -> None:
    """Levels of stores, life stages, foods with vitamin C (their values looked up by id)."""
    science = kitchen.tables.science
    stores, needs = science.stores, science.needs
    blocks.put("Iron by stores: nonheme % = base + slope x ln((EF + 100) / 100)", (
        ("Stores, mg", 9, "stores_mg", [s.stores_mg for s in stores]),
        ("Base, %", 9, "stores_base", [s.base_pct for s in stores]),
        ("Slope, %", 9, "stores_slope", [s.slope_pct for s in stores]),
        ("At the cap, %", 9, "stores_cap", [s.cap_pct for s in stores]),
        ("Heme, %", 9, "stores_heme", [s.heme_pct for s in stores]), ("Source", 22, "", [s.source_id for s in stores]),
        ("Status", 9, "", [s.status for s in stores]), ("Note", 40, "", [s.note for s in stores])))
    blocks.put("Iron: recommended for a day", (
        ("Life stage", 24, "need_name", [n.name for n in needs]), ("Iron, mg", 9, "need_iron", [n.iron_mg for n in needs]),
        ("Taken up as supposed, %", 10, "need_absorbed", [n.absorbed_pct for n in needs]),
        ("Source", 14, "", [n.source_id for n in needs]), ("Status", 9, "", [n.status for n in needs]),
        ("Note", 60, "", [n.note for n in needs])))
    listed = [(h, kitchen.food_by_id[h.food_id]) for h in science.iron_help if h.food_id in kitchen.food_by_id]
    start = blocks.put("Vitamin C to add", (
        ("Food id", 10, "", [h.food_id for h, _ in listed]), ("Food", 28, "help_name", [f.name for _, f in listed]),
        ("Vitamin C, mg per 100 g", 10, "help_vitc", ["" for _ in listed]),
        ("How", 44, "help_note", [h.note for h, _ in listed])))
    for i, (_, food) in enumerate(listed):
        row = blocks.first + i
        blocks.sheet.formula(row, start + 2, f"=IFERROR(INDEX(food_VITC,MATCH({a1(row, start, fix_col=True)},food_id,0)),0)",
                             food.values.get("VITC", 0.0), "calc n1 small")


def _put_patterns(blocks: _Blocks, kitchen: Kitchen) -> None:
    patterns = kitchen.tables.science.patterns
    columns: list[tuple[str, float, str, Sequence[Value]]] = [
        ("Pattern", 30, "pattern_name", [p.name for p in patterns]),
        ("Use", 11, "pattern_use", [p.use for p in patterns])]
    columns += [(f"{AMINO_NAMES[a]}, mg per g protein", 11, f"pattern_{a}", [p.mg_per_g[a] for p in patterns]) for a in AMINO]
    columns += [("Source", 18, "", [p.source_id for p in patterns]), ("Status", 9, "", [p.status for p in patterns]),
                ("Note", 40, "", [p.note for p in patterns])]
    blocks.put("Protein: reference patterns", columns)
    blocks.put("Amino acids in the order of the patterns", (("Amino acid", 26, "amino_name", [AMINO_NAMES[a] for a in AMINO]),))


def _put_readings(blocks: _Blocks, kitchen: Kitchen) -> None:
    readings = kitchen.tables.science.readings.values()
    steps = [(r, s) for r in readings for s in r.steps]
    start = blocks.put("Readings of figures per serving", (
        ("Reading", 22, "", [r.id for r, _ in steps]), ("Decimals", 9, "", [r.decimals for r, _ in steps]),
        ("From", 9, "", [s.start for _, s in steps]), ("Reads", 44, "", [s.words for _, s in steps]),
        ("Source", 16, "", [s.source_id for _, s in steps]), ("Status", 9, "", [s.status for _, s in steps]),
        ("Note", 60, "", [s.note for _, s in steps])))
    at = blocks.first
    for reading in readings:
        last = at + len(reading.steps) - 1
        blocks.book.name_range(f"read_{reading.id}", blocks.sheet, at, start + 2, last, start + 2)
        blocks.book.name_range(f"read_{reading.id}_words", blocks.sheet, at, start + 3, last, start + 3)
        at = last + 1


def put_ranges(book: Book, kitchen: Kitchen) -> Sheet:
    """Spread between samples per 100 g of each food of Foods, in the same order; blank where none is printed."""
    sheet = book.add("Ranges")
    put_frame(sheet, "Ranges", "Standard deviation between samples per 100 g, from USDA's number of samples with standard error or with "
              "smallest and largest value (see Methods). Empty: no range published. Energy and carbohydrate never have one.", 9)
    foods = kitchen.fixed_foods
    last = FIRST + len(foods) - 1
    sheet.put(HEAD, 0, "Row", "head")
    sheet.put(HEAD, 1, "Food", "head")
    sheet.widths[0], sheet.widths[1] = 7, 40
    row_of = {food.id: FIRST + i for i, food in enumerate(foods)}
    for i in range(len(foods)):
        sheet.put(FIRST + i, 0, i + 1, "fixed small")
        sheet.put(FIRST + i, 1, foods[i].name, "fixed small")
    for k, tag in enumerate(RANGE_TAGS):
        nutrient = kitchen.nutrient_by_tag[tag]
        sheet.put(HEAD, 2 + k, f"{nutrient.name}, {nutrient.unit}", "head")
        sheet.widths[2 + k] = 11
        for food_id, deviation in deviations(kitchen, tag).items():
            sheet.put(row_of[food_id], 2 + k, deviation, "fixed n3 small")
        book.name_range(f"spread_{column_name(tag)}", sheet, FIRST, 2 + k, last, 2 + k)
    sheet.heights[HEAD] = 40
    sheet.freeze = (FIRST, 2)
    sheet.landscape = True
    sheet.print_scale = 70
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return sheet
