"""Tables of the printed card: kitchen ladders, plurals, metric steps, the panel's rows and notes."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.model.handout import KitchenStep, KitchenWords, PanelRules
from workbookgen.nutrition.fractions import HAIR, is_poured, plural
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.panel import INDENT, eu_least
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.frame import put_frame

Column = tuple[str, str, float, Sequence[float | int | str], str]
FRACTION_ROW = tuple[int, float, str, float, float]
CLASS_STEP = 10
#: Keys stand half a digit below the nine digits that formulas compare, so that a tie is a tie in every program.
HALF_DIGIT = 5e-10
TAB = "Card rules"
HEAD = 4
PRINT_SCALE = 60


def put_card_tables(book: Book, kitchen: Kitchen) -> Sheet:
    """Lay out the sheet "Card rules" and name its columns."""
    sheet = book.add(TAB)
    put_frame(sheet, TAB, "What the cards are worked out with: kitchen units and fractions, plurals, metric steps, the rows "
              "of the label panel. Nothing to type here.", 12)
    words, rules = load_kitchen_words(), load_panel_rules()
    breaks = [_put_ladder(book, sheet, words, HEAD, 0)]
    breaks.append(_put_words(book, sheet, kitchen, words, HEAD, breaks[-1] + 1))
    _put_panel(book, sheet, kitchen, rules, HEAD, breaks[-1] + 1)
    sheet.heights[HEAD] = 54
    sheet.freeze = (HEAD + 1, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = PRINT_SCALE, [at + 1 for at in breaks]
    sheet.first_input = (HEAD + 1, 0)
    return sheet


def _put_columns(book: Book, sheet: Sheet, title: str, head: int, col: int, columns: Sequence[Column]) -> int:
    sheet.put(head - 1, col, title, "label")
    for name, heading, width, values, style in columns:
        sheet.put(head, col, heading, "head")
        sheet.widths[col] = width
        for i, value in enumerate(values):
            sheet.put(head + 1 + i, col, value, style)
        if name:
            book.name_range(name, sheet, head + 1, col, head + len(values), col)
        col += 1
    return col


def fraction_classes(steps: Sequence[KitchenStep]) -> list[tuple[str, ...]]:
    """Distinct lists of fractions in order of first use; their place from 1 on is the class number."""
    classes: list[tuple[str, ...]] = []
    for step in steps:
        words = tuple(text for _, text in step.fractions)
        if words not in classes:
            classes.append(words)
    return classes


def fraction_rows(steps: Sequence[KitchenStep]) -> list[FRACTION_ROW]:
    """(class, value, words, key from which the value is the nearest, key from which it is the floor)."""
    rows: list[FRACTION_ROW] = []
    for number, words in enumerate(fraction_classes(steps), 1):
        fractions = next(s.fractions for s in steps if tuple(t for _, t in s.fractions) == words)
        stops = [(0.0, ""), *fractions, (1.0, "+")]
        for i, (value, text) in enumerate(stops):
            middle = (stops[i - 1][0] + value) / 2 if i else 0.0
            key = number * CLASS_STEP
            near = key + round(middle, 9) - (HALF_DIGIT if i else 0.0)
            rows.append((number, value, text, round(near, 10), key + max(0.0, value - HAIR)))
    return rows


def _put_ladder(book: Book, sheet: Sheet, words: KitchenWords, head: int, col: int) -> int:
    steps = words.steps
    classes = fraction_classes(steps)
    kinds = [s.kind for s in steps]
    numbers = [classes.index(tuple(t for _, t in s.fractions)) + 1 for s in steps]
    first = col
    col = _put_columns(book, sheet, "Kitchen units, small to large", head, col, (
        ("kst_kind", "Kind", 8, kinds, "fixed small"),
        ("kst_one", "One", 8, [s.one for s in steps], "fixed small"),
        ("kst_many", "Many", 8, [s.many for s in steps], "fixed small"),
        ("kst_size", "mL, g or pieces", 12, [s.size for s in steps], "fixed general"),
        ("kst_from", "Used from", 12, [s.from_size for s in steps], "fixed general"),
        ("kst_class", "Fractions, class", 8, numbers, "fixed n0"),
        ("kst_finer", "One unit down (1 = yes)", 8, [int(s.finer) for s in steps], "fixed n0"),
        ("kst_split", "Rest only from, units (0 = never)", 9, [s.split_from or 0.0 for s in steps], "fixed general"),
        ("kst_part", "Keeps its fraction (1 = yes)", 9, [int(s.keeps_fraction) for s in steps], "fixed n0"),
        ("kst_join", "Joined by", 8, [s.joiner for s in steps], "fixed small"),
        ("kst_least", "Nothing left", 18, [s.least for s in steps], "fixed small"),
        ("", "Source", 16, [f"{s.source_id} ({s.status})" for s in steps], "fixed small"),
    ))
    for kind in ("volume", "mass"):
        rows = [i for i, k in enumerate(kinds) if k == kind]
        book.name_range(f"kst_from_{kind}", sheet, head + 1 + rows[0], first + 4, head + 1 + rows[-1], first + 4)
    rows_ = fraction_rows(steps)
    col = _put_columns(book, sheet, "Fractions a kitchen can measure", head, col + 1, (
        ("", "Class", 7, [r[0] for r in rows_], "fixed n0"),
        ("kfr_value", "Value", 12, [r[1] for r in rows_], "fixed general"),
        ("kfr_text", "Words (+ = next whole)", 8, [r[2] for r in rows_], "fixed small"),
        ("kfr_near", "Nearest from", 12, [r[3] for r in rows_], "fixed general"),
        ("kfr_floor", "Not above from", 12, [r[4] for r in rows_], "fixed general"),
    ))
    metric = words.metric
    first = col + 1
    col = _put_columns(book, sheet, "Metric steps", head, first, (
        ("met_kind", "Kind", 10, [m.kind for m in metric], "fixed small"),
        ("met_from", "From, g or mL", 9, [m.start for m in metric], "fixed general"),
        ("met_step", "Step", 8, [m.step for m in metric], "fixed general"),
        ("met_div", "Printed divided by", 9, [m.divisor for m in metric], "fixed n0"),
        ("met_unit", "Unit", 8, [m.unit for m in metric], "fixed small"),
        ("", "Source", 16, [f"{m.source_id} ({m.status})" for m in metric], "fixed small"),
    ))
    for kind in dict.fromkeys(m.kind for m in metric):
        rows = [i for i, m in enumerate(metric) if m.kind == kind]
        book.name_range(f"met_from_{kind}", sheet, head + 1 + rows[0], first + 1, head + 1 + rows[-1], first + 1)
    return col


def _put_words(book: Book, sheet: Sheet, kitchen: Kitchen, words: KitchenWords, head: int, col: int) -> int:
    units = sorted({m.unit for m in kitchen.table.measures}, key=lambda unit: (unit.lower(), unit))
    endings = [(e, 1) for e in words.poured] + [(e, 0) for e in words.not_poured]
    col = _put_columns(book, sheet, "Plurals of kitchen units", head, col, (
        ("plu_one", "One", 26, units, "fixed small"),
        ("plu_many", "Many", 26, [plural(u, words.plurals) for u in units], "fixed small"),
    ))
    poured = [f.name for f in sorted(kitchen.table.foods, key=lambda f: f.name.lower()) if is_poured(f, words)]
    remark = "; ".join(f"{'' if yes else 'not '}{ending}" for ending, yes in endings)
    sheet.put(head - 2, col + 1, f"Chosen by role liquid or by the end of the name: {remark}; from 0.8 g per mL up", "hint")
    return _put_columns(book, sheet, "Foods a metric kitchen pours", head, col + 1, (
        ("pour_food", "Food", 34, poured or [""], "fixed small"),
    ))


def _put_panel(book: Book, sheet: Sheet, kitchen: Kitchen, rules: PanelRules, head: int, col: int) -> int:
    eu, sets = rules.eu, kitchen.tables.reference_sets
    col = _put_columns(book, sheet, "EU panel: order and rounding", head, col, (
        ("", "Line", 20, [INDENT * r.indent + r.name for r in eu], "fixed small"),
        ("", "Nutrient", 12, [r.tag for r in eu], "fixed small"),
        ("", "Kind", 12, [r.kind for r in eu], "fixed small"),
        ("peu_low", "\"<\" up to", 8, [r.low or 0.0 for r in eu], "fixed general"),
        ("peu_least", "\"<\" what", 8, [eu_least(r) for r in eu], "fixed general"),
        *((f"peu_{f}", h, 8, [getattr(r, f) for r in eu], "fixed general")
          for f, h in (("upto_1", "up to"), ("step_1", "step"), ("upto_2", "up to"), ("step_2", "step"),
                       ("step_3", "step above"))),
    ))
    return _put_columns(book, sheet, "Panel and note of each reference set", head, col + 1, (
        ("", "Reference values", 30, [s.name for s in sets], "fixed small"),
        ("ref_panel", "Panel", 8, [rules.panel_of(s.id) for s in sets], "fixed small"),
        ("ref_panel_note", "Note under the panel", 80, [rules.note_of(s.id) for s in sets], "fixed small"),
    ))
