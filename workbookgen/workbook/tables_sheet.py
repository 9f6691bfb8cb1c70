"""Tables: nutrients with reference values and label rounding, units, plate models, constants."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.tables import RoundingRule
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.totals import DRAINED_TAGS
from workbookgen.workbook.book import LOOKUP, Book, Sheet
from workbookgen.workbook.frame import put_frame

HEAD = 4
FIRST = 5
LABEL_COL, LABEL_PCT_COL = 10, 20  # the first columns of the two label-rounding blocks
PLATE_GROUPS = 5
ROLES = ("protein", "legume", "nuts and seeds", "whole grain", "refined grain", "vegetable", "starchy vegetable",
         "fruit", "dairy", "fat", "liquid", "seasoning")
BASES = ("edible", "as purchased")
YES_NO = ("yes", "no")
KNOWN = ("yes", "no", "unknown")
FATES = ("absorbed", "stays", "poured off")
MARKS = ("optional", "garnish", "hold back")
SIGNS = ("at least", "at most")
TARGET_BASES = ("%DV", "amount")
RULE_FIELDS = ("zero_below", "text_below", "text_at", "text_amount", "upto_1", "step_1", "upto_2", "step_2", "step_3")
RULE_HEADS = ("0 below", "less than below", "limit itself too (1 = yes)", "less than how much", "up to", "step",
              "up to", "step", "step above")


def put_tables(book: Book, kitchen: Kitchen, constants: Sequence[dict[str, str]]) -> Sheet:
    """Lay out the sheet and name its columns."""
    sheet = book.add("Tables")
    put_frame(sheet, "Tables", "Reference values, label rounding, units, plate models and constants, each with its "
              "source. Every formula in the book reads its limits here.", 12)
    col = _put_nutrients(book, sheet, kitchen)
    starts = [col + 1]
    col = _put_units(book, sheet, kitchen, col + 1)
    starts.append(col + 1)
    col = _put_plate(book, sheet, kitchen, col + 1)
    starts.append(col + 1)
    col = _put_constants(book, sheet, constants, col + 1)
    starts.append(col + 1)
    foods = kitchen.table.foods
    _put_lists(book, sheet, (
        ("Reference values", "ref_name", [s.name for s in kitchen.tables.reference_sets]),
        ("Food group", "list_group", sorted({f.group for f in foods if f.group})), ("State", "list_state", sorted({f.state for f in foods} | {"ready"})),
        ("Cooks like", "list_keep", sorted({f.keep_group for f in foods} | {"none"})),
    ), col + 1)
    sheet.heights[HEAD] = 54
    sheet.freeze = (FIRST, 2)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = 55, [LABEL_COL, LABEL_PCT_COL, *starts]
    sheet.first_input = (FIRST, 0)
    return sheet


def _column(book: Book, sheet: Sheet, col: int, head: str, width: float, values: Sequence[float | int | str],
            style: str, name: str = "") -> int:
    """One column of fixed data under its heading; returns the next column."""
    sheet.put(HEAD, col, head, "head")
    sheet.widths[col] = width
    for i, value in enumerate(values):
        sheet.put(FIRST + i, col, value, style)
    if name:
        book.name_range(name, sheet, FIRST, col, FIRST + max(len(values), 1) - 1, col)
    return col + 1


def _put_nutrients(book: Book, sheet: Sheet, kitchen: Kitchen) -> int:
    nutrients = kitchen.tables.nutrients
    sets = kitchen.tables.reference_sets
    sheet.put(HEAD - 1, 0, "Nutrients, daily reference values, label rounding", "label")
    col = _column(book, sheet, 0, "Tag (INFOODS)", 13, [n.tag for n in nutrients], "fixed small", "nut_tag")
    col = _column(book, sheet, col, "Nutrient", 28, [n.name for n in nutrients], "fixed", "nut_name")
    col = _column(book, sheet, col, "Unit", 6, [n.unit for n in nutrients], "fixed small", "nut_unit")
    first_set = col
    for reference in sets:
        values = [reference.values[n.tag].value if n.tag in reference.values else "" for n in nutrients]
        col = _column(book, sheet, col, reference.name, 11, values, "fixed general")
    sheet.put(HEAD, col, "In use (chosen on Start)", "head")
    for i in range(len(nutrients)):
        row = FIRST + i
        text = f"INDEX({_cells(row, first_set, col - 1)},set_reference)"
        sheet.formula(row, col, f'=IF(ISNUMBER({text}),{text},"")', LOOKUP, "calc general")
    book.name_range("nut_dv", sheet, FIRST, col, FIRST + len(nutrients) - 1, col)
    sheet.widths[col] = 11
    col += 1
    for prefix, key, note in (("lab_", "{}", "amount: "), ("pct_", "%{}", "% DV: ")):
        rules = [kitchen.tables.rounding.get(key.format(n.tag)) for n in nutrients]
        for field, head in zip(RULE_FIELDS, RULE_HEADS, strict=True):
            col = _column(book, sheet, col, note + head, 8, [_rule_value(r, field) for r in rules], "fixed limit small",
                          prefix + field)
        col = _column(book, sheet, col, note + "source", 16, [r.source_id if r else "" for r in rules], "fixed small")
    col = _column(book, sheet, col, "Fat that drains off (1 = yes)", 8, [int(n.tag in DRAINED_TAGS) for n in nutrients],
                  "fixed n0", "nut_drains")
    notes = []
    for n in nutrients:
        cited = [f"{s.id}: {s.values[n.tag].source_id} ({s.values[n.tag].status})" for s in sets if n.tag in s.values]
        notes.append("; ".join(([n.note] if n.note else []) + cited))
    return _column(book, sheet, col, "Notes and sources of the reference values", 60, notes, "fixed small")


def _rule_value(rule: RoundingRule | None, field: str) -> float | int | str:
    if rule is None:
        return ""
    value = getattr(rule, field)
    return int(value) if isinstance(value, bool) else value


def _cells(row: int, first_col: int, last_col: int) -> str:
    from xlsxwriter.utility import xl_col_to_name

    return f"${xl_col_to_name(first_col)}{row + 1}:${xl_col_to_name(last_col)}{row + 1}"


def _put_units(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    units = kitchen.tables.units
    sheet.put(HEAD - 1, col, "Units (weights first)", "label")
    col = _column(book, sheet, col, "Unit", 10, [u.name for u in units], "fixed", "unit_name")
    col = _column(book, sheet, col, "Kind", 8, [u.kind for u in units], "fixed small", "unit_kind")
    col = _column(book, sheet, col, "g or mL", 12, [u.factor for u in units], "fixed general", "unit_factor")
    col = _column(book, sheet, col, "Source", 14, [u.source_id for u in units], "fixed small")
    return _column(book, sheet, col, "Status", 8, [u.status for u in units], "fixed small")


def _put_plate(book: Book, sheet: Sheet, kitchen: Kitchen, col: int) -> int:
    """Plate models flattened: one row per model and role, one row per model and group."""
    models = kitchen.tables.plate_models
    sheet.put(HEAD - 1, col, "Plate models", "label")
    col = _column(book, sheet, col, "Plate model", 30, [m.name for m in models], "fixed", "plate_model")
    col = _column(book, sheet, col, "Source", 16, [f"{m.source_id} ({m.status})" for m in models], "fixed small")
    col = _column(book, sheet, col, "Note", 40, [m.note for m in models], "fixed small") + 1
    maps = [(m, role, next((g for g, group in enumerate(m.groups, 1) if role in group.roles), 0))
            for m in models for role in ROLES]
    col = _column(book, sheet, col, "Model", 18, [m.id for m, _, _ in maps], "fixed small")
    col = _column(book, sheet, col, "Role on the plate", 16, [role for _, role, _ in maps], "fixed small")
    col = _column(book, sheet, col, "Group number (0 = left out)", 9, [g for _, _, g in maps], "fixed n0", "plate_map") + 1
    groups = [(m, m.groups[g] if g < len(m.groups) else None) for m in models for g in range(PLATE_GROUPS)]
    col = _column(book, sheet, col, "Model", 18, [m.id for m, _ in groups], "fixed small")
    col = _column(book, sheet, col, "Group", 26, [g.name if g else "" for _, g in groups], "fixed small", "plate_group")
    return _column(book, sheet, col, "Target, %", 8, [g.target_pct if g else 0 for _, g in groups], "fixed n1", "plate_target")


def _put_constants(book: Book, sheet: Sheet, constants: Sequence[dict[str, str]], col: int) -> int:
    sheet.put(HEAD - 1, col, "Constants and limits", "label")
    for i, row in enumerate(constants):
        at = FIRST + i
        cells: tuple[tuple[float | str, str], ...] = ((row["id"], "fixed small"), (row["name"], "fixed small"),
                                                 (float(row["value"]), "fixed general"), (row["unit"], "fixed small"),
                                                 (row["source_id"], "fixed small"), (row["status"], "fixed small"),
                                                 (row["note"], "fixed small"))
        for offset, (value, style) in enumerate(cells):
            sheet.put(at, col + offset, value, style)
        prefix = "default_" if row["kind"] == "setting" else "const_"
        book.name_range(prefix + row["id"], sheet, at, col + 2, at, col + 2)
    for offset, (head, width) in enumerate((("Name in formulas", 20), ("Meaning", 40), ("Value", 10), ("Unit", 14),
                                            ("Source", 14), ("Status", 8), ("Note", 50))):
        sheet.put(HEAD, col + offset, head, "head")
        sheet.widths[col + offset] = width
    return col + 7


def _put_lists(book: Book, sheet: Sheet, more: Sequence[tuple[str, str, Sequence[str]]], col: int) -> int:
    sheet.put(HEAD - 1, col, "Words offered in drop-downs", "label")
    for head, name, values in (("Yes or no", "list_yes", YES_NO), ("Bought as", "list_basis", BASES),
                               ("Liquid", "list_fate", FATES), ("Counts as", "list_role", ROLES),
                               ("Mark", "list_mark", MARKS), ("Sign", "list_sign", SIGNS),
                               ("Basis", "list_target", TARGET_BASES),
                               ("Legumes as", "list_legume", ("protein", "vegetable")), ("Yes, no, unknown", "list_known", KNOWN), *more):
        col = _column(book, sheet, col, head, 15, list(values), "fixed small", name)
    return col
