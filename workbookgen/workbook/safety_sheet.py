"""Safety: allergen lists, suitability, cautions, safe temperatures and keeping, each row with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from workbookgen.model.safety import Caution, Safety, Trigger
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.markers import NOT_LOOKED_AT, UNKNOWN_SHOWN, UNKNOWN_WORD, UNTREATED
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.frame import put_frame

TAB = "Safety"
FIRST = 4
WIDTHS = (13, 24, 20, 36, 36, 9, 9, 8, 20, 22, 28, 8, 8)
COMMON_PRACTICE = "common_practice"
LETTERS_PER_WIDTH = 1.1
Rows = Sequence[Sequence[float | int | str]]
Heads = tuple[str, ...]


def put_safety(book: Book, kitchen: Kitchen) -> Sheet | None:
    """Lay out the sheet and name its columns; nothing when no rules are loaded."""
    safety = kitchen.safety
    if not safety.allergens:
        return None
    sheet = book.add(TAB)
    put_frame(
        sheet,
        TAB,
        "Allergen lists, suitability, cautions, safe temperatures and keeping times, each with its source. "
        "Recipe sheets and cards read their texts and limits here.",
        len(WIDTHS) - 1,
    )
    for col, width in enumerate(WIDTHS):
        sheet.widths[col] = width
    row = _put_allergens(book, sheet, kitchen, FIRST)
    row = _put_suitability(book, sheet, safety, row)
    row = _put_cautions(book, sheet, kitchen, row)
    row = _put_rest(book, sheet, safety, row)
    sheet.freeze = (FIRST - 1, 2)
    sheet.landscape = True
    sheet.print_area = (0, 0, row - 2, len(WIDTHS) - 1)
    sheet.first_input = (FIRST, 0)
    return sheet


def _block(
    book: Book,
    sheet: Sheet,
    row: int,
    title: str,
    heads: Sequence[str],
    rows: Rows,
    names: Mapping[int, str],
) -> int:
    """A titled table; ``names`` maps columns to range names. Returns the row for the next block."""
    sheet.put(row, 0, title, "section")
    sheet.band(row, 0, len(WIDTHS) - 1, "section")
    for col, head in enumerate(heads):
        if head:
            sheet.put(row + 1, col, head, "head small")
    sheet.heights[row + 1] = 40
    first = row + 2
    for i, values in enumerate(rows):
        lines = 1
        for col, value in enumerate(values):
            if not heads[col]:
                continue
            style = "fixed small flow" if isinstance(value, str) else "fixed general small"
            sheet.put(first + i, col, value, style)
            if isinstance(value, str):
                lines = max(lines, math.ceil(len(value) / (WIDTHS[col] * LETTERS_PER_WIDTH)))
        sheet.heights[first + i] = 12.5 * lines + 4
    for col, name in names.items():
        book.name_range(name, sheet, first, col, first + max(len(rows), 1) - 1, col)
    return first + len(rows) + 1


def _last_of(keys: Sequence[str], key: str) -> int:
    """Number (from 1) of the last ``key`` in ``keys``, 0 when it is not there."""
    return len(keys) - list(reversed(keys)).index(key) if key in keys else 0


def _first_flags(keys: Sequence[str]) -> list[int]:
    """1 where a new key begins, else 0."""
    return [int(i == 0 or key != keys[i - 1]) for i, key in enumerate(keys)]


def _put_allergens(book: Book, sheet: Sheet, kitchen: Kitchen, row: int) -> int:
    safety = kitchen.safety
    kinds = [k.allergen for k in safety.kinds]
    rows = [
        (
            a.id, a.name_us, a.name_eu, f"+{a.id};", f"?{a.id};", a.us, a.eu,
            _last_of(kinds, a.id) if a.kinds else 0, f"{a.source_id} ({a.status})",
            f"{a.source_eu} ({a.status_eu})", a.note,
        )
        for a in safety.allergens
    ]  # fmt: skip
    heads: Heads = (
        "Allergen", "Name on the US list", "Name on the EU list", "Mark: contains", "Mark: not known",
        "US list", "EU list", "Last row of its kinds", "Source, US", "Source, EU", "Note",
    )  # fmt: skip
    names = {0: "alg_id", 1: "alg_name_us", 2: "alg_name_eu", 3: "alg_key", 4: "alg_ask", 5: "alg_us",
             6: "alg_eu", 7: "alg_kinds", 8: "alg_source_us", 9: "alg_source_eu"}  # fmt: skip
    row = _block(book, sheet, row, "Allergens", heads, rows, names)
    sheet.put(row - 1, 0, "all open", "fixed small")
    sheet.put(row - 1, 3, "".join(f"?{a.id};" for a in safety.allergens), "fixed small")
    sheet.put(row - 1, 1, "what ?* in a food stands for", "fixed small")
    book.name_range("alg_all", sheet, row - 1, 3, row - 1, 3)
    kind_rows = [
        (
            k.allergen, k.kind, k.shown, f"+{k.allergen};({k.kind});", f"+{k.allergen}({k.kind});", first, "",
            "", f"{k.source_id} ({k.status})",
        )
        for k, first in zip(safety.kinds, _first_flags(kinds), strict=True)
    ]  # fmt: skip
    heads = (
        "Allergen", "Kind", "As printed", "Mark in a line", "Mark of a food", "First of its allergen", "", "",
        "Source",
    )  # fmt: skip
    names = {0: "kind_allergen", 2: "kind_shown", 3: "kind_key", 4: "kind_mark", 5: "kind_first"}
    row = _block(book, sheet, row + 1, "Kinds that are named", heads, kind_rows, names)
    sets = kitchen.tables.reference_sets
    set_rows = [(s.id, s.name, safety.allergen_list(s.id)) for s in sets]
    heads = ("Reference values", "Name", "Allergen list")
    title = "Allergen list that goes with the reference values"
    return _block(book, sheet, row, title, heads, set_rows, {2: "alg_list"})


def _put_suitability(book: Book, sheet: Sheet, safety: Safety, row: int) -> int:
    words = safety.diet_words
    marks = [NOT_LOOKED_AT if word == UNKNOWN_WORD else word for word in words]
    rows = [
        (
            f"<{mark}>",
            UNKNOWN_SHOWN if word == UNKNOWN_WORD else word,
            "",
            *(rule.answers[word] for rule in safety.suitability),
        )
        for mark, word in zip(marks, words, strict=True)
    ]
    heads: Heads = ("Mark", "Made from", "", *(rule.name for rule in safety.suitability))
    names = {0: "diet_key", 1: "diet_word"}
    names |= {3 + i: f"suit_{rule.id}" for i, rule in enumerate(safety.suitability)}
    title = "Suitability: what each ingredient says (no, ? = open, blank = does not matter)"
    row = _block(book, sheet, row, title, heads, rows, names)
    notes = [
        (r.id, r.name, "", r.note, "", "", "", "", f"{r.source_id} ({r.status})") for r in safety.suitability
    ]
    heads = ("Id", "Name", "", "Note", "", "", "", "", "Source")
    return _block(book, sheet, row, "Suitability: notes", heads, notes, {1: "suit_name"})


def _put_cautions(book: Book, sheet: Sheet, kitchen: Kitchen, row: int) -> int:
    safety = kitchen.safety
    keys = [t.caution for t in safety.triggers]
    units = {n.tag: n.unit for n in kitchen.tables.nutrients}
    rows = [
        (
            c.id.replace("_", " "),
            c.title,
            c.answer,
            c.sheet,
            c.card,
            _last_of(keys, c.id),
            "",
            "",
            _sources(c),
            limit_words(c, units),
        )
        for c in safety.cautions
    ]
    heads: Heads = (
        "Caution", "Who should ask", "Answer when it fires", "Text on the sheet ({why} = what set it off)",
        "Text on the card (empty: not printed)", "Last trigger", "", "", "Source", "Fires when",
    )  # fmt: skip
    names = {
        0: "caution_name", 1: "caution_title", 2: "caution_answer", 3: "caution_sheet", 4: "caution_card",
        5: "caution_last", 8: "caution_source", 9: "caution_limit",
    }  # fmt: skip
    row = _block(book, sheet, row, "Who should ask first: cautions", heads, rows, names)
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    triggers = [
        (*_trigger(kitchen, t, numbers), first, 10 ** _decimals(kitchen, t))
        for t, first in zip(safety.triggers, _first_flags(keys), strict=True)
    ]
    heads = (
        "Caution", "Kind", "Name or nutrient", "Mark in a line", "Sign", "Limit", "Per cent of",
        "Nutrient's row", "Source", "Limit from", "Note", "First of its caution", "Steps of the figure",
    )  # fmt: skip
    names = {2: "trig_name", 3: "trig_key", 4: "trig_sign", 5: "trig_limit", 6: "trig_per", 7: "trig_nut",
             11: "trig_first", 12: "trig_scale"}  # fmt: skip
    return _block(book, sheet, row, "Cautions: what sets them off", heads, triggers, names)


def _decimals(kitchen: Kitchen, trigger: Trigger) -> int:
    return kitchen.nutrient_by_tag[trigger.key].decimals if trigger.of_nutrient else 0


def _trigger(kitchen: Kitchen, t: Trigger, numbers: Mapping[str, int]) -> tuple[float | int | str, ...]:
    source = f"{t.source_id} ({t.status})"
    if t.of_nutrient:
        limit = _source_words(t.limit_source, t.limit_status)
        figures = (t.sign, t.limit, t.per or "", numbers[t.key])
        return (t.caution, t.kind, t.name, "", *figures, source, limit, t.note)
    mark = f"<{t.key}{UNTREATED if t.kind == 'untreated' else ''}>"
    return (t.caution, t.kind, "", mark, "", "", "", 0, source, "", t.note)


def _source_words(source: str, status: str) -> str:
    return "common practice, no source" if source == COMMON_PRACTICE else f"{source} ({status})"


def _sources(caution: Caution) -> str:
    """Where advice and limit of a caution come from."""
    advice = dict.fromkeys(
        f"{t.source_id} ({t.status})" for t in caution.triggers if t.source_id != COMMON_PRACTICE
    )
    limits = dict.fromkeys(
        f"limit: {_source_words(t.limit_source, t.limit_status)}"
        for t in caution.triggers
        if t.of_nutrient and (t.limit_source != t.source_id or t.source_id == COMMON_PRACTICE)
    )
    return "; ".join([*advice, *limits])


def limit_words(caution: Caution, units: Mapping[str, str]) -> str:
    """When a caution fires, in words: "potassium over 200 mg". ``units`` gives the unit of each nutrient."""
    signs = {">": "over", ">=": "from", "<=": "up to"}
    parts = []
    for t in caution.triggers:
        if not t.of_nutrient:
            continue
        unit = units[t.key]
        limit = f"{t.name} {signs[t.sign]} {shown(t.limit, 2)}"
        parts.append(f"{limit} % of {shown(t.per, 2)} {unit}" if t.kind == "share" else f"{limit} {unit}")
    untreated = any(t.kind == "untreated" for t in caution.triggers)
    return "; ".join(parts) or ("in it, not cooked" if untreated else "in it")


def _put_rest(book: Book, sheet: Sheet, safety: Safety, row: int) -> int:
    temperatures = [
        (f"<{t.id}>", t.name, "", t.words, "", "" if t.fahrenheit is None else t.fahrenheit,
         "" if t.celsius is None else t.celsius, "", f"{t.source_id} ({t.status})", "", t.note)
        for t in safety.temperatures
    ]  # fmt: skip
    heads: Heads = ("Mark", "Raw food", "", "Cook it to", "", "deg F", "deg C", "", "Source", "", "Note")
    names = {0: "temp_key", 1: "temp_name", 3: "temp_words", 8: "temp_source"}
    row = _block(book, sheet, row, "Safe least internal temperatures", heads, temperatures, names)
    notes = [("raw animal foods", "", "", safety.raw_handling), ("food service", "", "", safety.service)]
    heads = ("For", "", "", "Text")
    row = _block(book, sheet, row, "Handling", heads, notes, {3: "temp_note"})
    kinds = [
        (
            k.id, k.name, k.lines[1], k.lines[0], k.lines[3], k.kind, f"<{k.key}>" if k.key else "-", "",
            f"{k.source_id} ({k.status})", k.lines[2], k.note,
        )
        for k in safety.keeping
    ]  # fmt: skip
    heads = (
        "Kind", "Name", "Refrigerate", "Cool", "Reheat", "Found by", "Mark", "", "Source", "Freeze", "Note",
    )  # fmt: skip
    names = {
        1: "store_name", 2: "store_fridge", 3: "store_cool", 4: "store_reheat", 5: "store_by", 6: "store_key",
        8: "store_source", 9: "store_freeze",
    }  # fmt: skip
    row = _block(book, sheet, row, "Keeping, by kind of dish", heads, kinds, names)
    figures = [
        (f.id, f.note, f.unit, "", "", f.value, "", "", f"{f.source_id} ({f.status})")
        for f in safety.handling
    ]
    heads = ("Name", "What it is", "Unit", "", "", "Figure", "", "", "Source")
    return _block(book, sheet, row, "Figures in the texts", heads, figures, {})
