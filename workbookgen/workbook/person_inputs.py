"""Inputs of the sheet Person: what is typed, how it is read, what cannot be read."""

from __future__ import annotations

from collections.abc import Mapping

from workbookgen.model.person import SEXES, PersonTables
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.person_rules_sheet import UNITS
from workbookgen.workbook.typed import number, place
from workbookgen.workbook.words import in_words, tidy

LABEL, ENTRY, READ, MESSAGE = 1, 2, 3, 4
HEAD, FIRST = 6, 7
KEYS = ("sex", "age", "state", "units", "height", "weight", "activity", "disorder", "kidney", "liver", "cut", "share")
LABELS: Mapping[str, str] = {
    "sex": "Sex (as the equations ask)",
    "age": "Age, years",
    "state": "Pregnant or breastfeeding",
    "units": "Height and weight in",
    "height": "Height",
    "weight": "Weight (before a pregnancy)",
    "activity": "Activity",
    "disorder": "Eating disorder, now or before?",
    "kidney": "Kidney disease?",
    "liver": "Liver disease?",
    "cut": "Energy cut considered, kcal a day",
    "share": "Share of the day for one recipe, %",
}
LISTS: Mapping[str, str] = {"sex": "who_sex", "state": "who_state", "units": "who_units", "activity": "act_name",
                            "disorder": "list_yes", "kidney": "list_yes", "liver": "list_yes"}  # fmt: skip
TICKS = ("disorder", "kidney", "liver")


def row_of(key: str) -> int:
    """Row of an input; a thin locked row follows each."""
    return FIRST + 2 * KEYS.index(key)


AFTER = FIRST + 2 * len(KEYS)


def read_cell(key: str) -> str:
    """Fixed address of an input as read: a number, or "" where it cannot be read."""
    return a1(row_of(key), READ, True, True)


def put_inputs(sheet: Sheet, tables: PersonTables, last_col: int) -> None:
    """Lay out all inputs with the invented person's entries."""
    start = tables.start
    entries: dict[str, Value] = {
        "sex": start.sex, "age": start.age, "state": next(s.name for s in tables.states if s.id == start.state), "units": UNITS[0],
        "height": start.height_cm, "weight": start.weight_kg, "activity": next(a.name for a in tables.activities if a.id == start.activity),
        "disorder": _yes(start.disorder), "kidney": _yes(start.kidney), "liver": _yes(start.liver), "cut": start.cut,
        "share": tables.limit("share_start"),
    }  # fmt: skip
    core: dict[str, Value] = {
        "sex": SEXES.index(start.sex) + 1, "age": start.age, "state": [s.id for s in tables.states].index(start.state) + 1, "units": 1,
        "height": start.height_cm, "weight": start.weight_kg, "activity": [a.id for a in tables.activities].index(start.activity) + 1,
        "disorder": int(start.disorder), "kidney": int(start.kidney), "liver": int(start.liver), "cut": start.cut,
        "share": tables.limit("share_start"),
    }  # fmt: skip
    for col, head in ((LABEL, "About the person"), (ENTRY, "Your entry"), (READ, "As read"), (MESSAGE, "What it means, or what cannot be read")):
        sheet.put(HEAD, col, head, "head")
    sheet.band(HEAD, MESSAGE + 1, last_col, "head")
    sheet.merges.append((HEAD, MESSAGE, HEAD, last_col))
    for key in KEYS:
        row = row_of(key)
        sheet.put(row, LABEL, LABELS[key], "label")
        sheet.put(row, ENTRY, entries[key], "input" if key in LISTS else "input general")
        sheet.formula(row, READ, _read(key), float(core[key]), "calc general")
        sheet.formula(row, MESSAGE, _message(key), LOOKUP, "message")
        sheet.merges.append((row, MESSAGE, row, last_col))
        if key in LISTS:
            sheet.choose_from(row, ENTRY, row, ENTRY, "=" + LISTS[key], LABELS[key][:32], "Choose from the list.")
        else:
            sheet.explain(row, ENTRY, row, ENTRY, LABELS[key][:32], "A number; what cannot be read is told on the right.")
        sheet.put(row + 1, ENTRY, "", "hint")
        sheet.heights[row], sheet.heights[row + 1] = 18, 4


def _yes(tick: bool) -> str:
    return "yes" if tick else "no"


def _entry(key: str) -> str:
    """The input cell, found from its locked neighbours so that it may be moved."""
    row = row_of(key)
    return f"INDEX({block(row - 1, ENTRY, row + 1, ENTRY)},2)"


def _read(key: str) -> str:
    x = _entry(key)
    if key in TICKS:
        return f'=IF(ISTEXT({x}),IF(LOWER({tidy(x)})="yes",1,IF(LOWER({tidy(x)})="no",0,"")),"")'
    if key in LISTS:
        return f"={place(x, LISTS[key], _NONE)}"
    if key == "age":
        return f"={number(x, '0', 'lim_age_max')}"
    if key == "cut":
        return f"=IF(ISBLANK({x}),0,{number(x, '0', 'lim_cut_max')})"
    if key == "share":
        return f"={number(x, 'lim_share_min', 'lim_share_max', 'lim_share_start')}"
    factor = {"height": "lim_cm_per_inch", "weight": "lim_kg_per_pound"}[key]
    metric = f"{x}*IF({read_cell('units')}=2,{factor},1)"
    fits = f"AND({metric}>=lim_{key}_min,{metric}<=lim_{key}_max)"
    return f'=IF(ISLOGICAL({x}),"",IF(ISNUMBER({x}),IF(ISNUMBER({read_cell("units")}),IF({fits},{metric},""),""),""))'


_NONE = '""'


def _message(key: str) -> str:
    read = read_cell(key)
    if key == "state":
        male = f'AND(ISNUMBER({read_cell("sex")}),{read_cell("sex")}=2,ISNUMBER({read}))'
        pregnant = f'IF({male},IF(INDEX(state_group,MAX(1,{read}))>1,"for a man choose neither",""),"")'
        return f'=IF(ISNUMBER({read}),{pregnant},"choose from the list")'
    if key == "activity":
        return f'=IF(ISNUMBER({read}),INDEX(act_words,MAX(1,{read})),"choose from the list")'
    if key in TICKS:
        return f'=IF(ISNUMBER({read}),"","yes or no?")'
    if key in LISTS:
        return f'=IF(ISNUMBER({read}),"","choose from the list")'
    if key == "age":
        return f'=IF(ISNUMBER({read}),"","type years, 0 to "&lim_age_max&"; infants in parts of a year: 0.5 = 6 months")'
    if key == "cut":
        return f'=IF(ISNUMBER({read}),"","type kcal a day, 0 to "&lim_cut_max)'
    if key == "share":
        x = _entry(key)
        typed = number(x, "lim_share_min", "lim_share_max")
        return f'=IF(ISNUMBER({typed}),"","type per cent, "&lim_share_min&" to "&lim_share_max&": "&lim_share_start&" is taken")'
    unit = {"height": '" cm"', "weight": '" kg"'}[key]
    words = f'IF({read_cell("units")}=2,"read as "&{in_words(read, 1)}&{unit},"")'
    return f'=IF(ISNUMBER({read}),{words},"type a number from "&lim_{key}_min&" to "&lim_{key}_max&{unit}&" (or its like in the other unit)")'
