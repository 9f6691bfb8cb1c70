"""Label view: one packaged product close up, sodium first, both readings, words and typing checks."""

from __future__ import annotations

from collections.abc import Mapping

from workbookgen.model.analysis import Settings
from workbookgen.model.pack import Pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import NO_PERCENT, PackReading, read_pack
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.label_view_words import WORK, put_view_words
from workbookgen.workbook.labels_layout import SHEET as LABELS
from workbookgen.workbook.labels_layout import LabelsLayout
from workbookgen.workbook.typed import place
from workbookgen.workbook.words import in_words

SHEET = "Label view"
PICK, FACTS, HEAD, FIRST = 4, 6, 9, 10
MANDATORY = 15  # energy to potassium, 21 CFR 101.9(c); the others are declared only where a pack wants to
COLUMNS = (
    ("name", "Nutrient", 25), ("unit", "Unit", 6), ("serving", "One serving", 11), ("low", "Rounding allows from", 11),
    ("high", "to below", 9), ("hundred", "100 g", 9), ("dv", "% DV, exact", 9), ("printed", "% DV printed", 9),
    ("kitchen", "Kitchen reading", 12), ("regulator", "Regulator's reading", 12), ("check", "Check", 34),
)  # fmt: skip
COL = {key: i for i, (key, _, _) in enumerate(COLUMNS)}
LAST = len(COLUMNS) - 1


def put_label_view(book: Book, kitchen: Kitchen, lay: LabelsLayout, settings: Settings) -> None:
    """Lay out the sheet for the product chosen on it (at build: the first one)."""
    sheet = book.add(SHEET)
    put_frame(sheet, SHEET, "Choose one product of the sheet Labels. Low and high are read two ways; what the pack says "
              "is held against its definition.", LAST)
    for key, _, width in COLUMNS:
        sheet.widths[COL[key]] = width
    pack = kitchen.packs[0] if kitchen.packs else None
    picked = _put_picker(sheet, lay, pack)
    _put_facts(sheet, lay, picked)
    readings = {r.tag: r for r in read_pack(kitchen, pack, settings)} if pack else {}
    sheet.put(HEAD - 1, 0, "What the label declares", "section")
    sheet.band(HEAD - 1, 1, LAST, "section")
    for key, head, _ in COLUMNS:
        sheet.put(HEAD, COL[key], head, "head")
    sheet.heights[HEAD] = 42
    tags = ["NA", *(t for t in lay.tags[:MANDATORY] if t != "NA")]
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for i, tag in enumerate(tags):
        _put_nutrient(sheet, kitchen, lay, FIRST + i, tag, numbers[tag], picked, readings, pack)
    end = FIRST + len(tags)
    _put_legend(sheet, end)
    _put_checks(sheet, lay, end + 2, picked)
    words = end + 7
    more = put_view_words(sheet, kitchen, lay, words, picked, LAST) + 2
    sheet.put(more, 0, "More nutrients, where the label declares them", "section")
    sheet.band(more, 1, LAST, "section")
    for key, head, _ in COLUMNS:
        sheet.put(more + 1, COL[key], head, "head")
    sheet.heights[more + 1] = 42
    others = lay.tags[MANDATORY:]
    for i, tag in enumerate(others):
        _put_nutrient(sheet, kitchen, lay, more + 2 + i, tag, numbers[tag], picked, readings, pack)
    last = more + 1 + len(others)
    sheet.print_area = (0, 0, last, LAST)
    sheet.page_breaks = [words, more]
    sheet.landscape = True
    sheet.freeze = (HEAD + 1, 0)
    sheet.first_input = (PICK, 0)
    sheet.conditions.append((FIRST, COL["kitchen"], last, COL["regulator"],
                             {"type": "cell", "criteria": "==", "value": '"high"'}, "bold"))


def _put_picker(sheet: Sheet, lay: LabelsLayout, pack: Pack | None) -> str:
    """The choice of a product; returns the cell with its number on Labels (0 while there is none)."""
    sheet.put(PICK - 1, 0, "Product", "label")
    sheet.put(PICK, 0, pack.name if pack else "", "input bold")
    sheet.band(PICK, 1, 3, "input bold")
    sheet.merges.append((PICK, 0, PICK, 3))
    sheet.put(PICK + 1, 0, "choose from the list", "hint")
    sheet.choose_from(PICK, 0, PICK, 0, f"={lay.outside('r_name')}", "Product", "Products of the sheet Labels.")
    x = f"INDEX({block(PICK - 1, 0, PICK + 1, 0)},2)"
    number: Value | _Lookup = 1.0 if pack else LOOKUP
    sheet.put(PICK - 1, WORK, "Number on Labels", "workhead")
    sheet.formula(PICK, WORK, f'=IF(COUNTIF({lay.outside("r_g")},">0")=0,0,IF(ISBLANK({x}),0,{place(x, lay.outside("r_name"))}))',
                  number, "work n0")
    sheet.widths[WORK - 1], sheet.widths[WORK] = 2, 16
    sheet.formula(PICK, 4, f'=IF({a1(PICK, WORK, True, True)}=0,"no such product: choose one, or type one on {LABELS}","")', LOOKUP, "message")
    sheet.merges.append((PICK, 4, PICK, LAST))
    return a1(PICK, WORK, True, True)


def of(lay: LabelsLayout, key: str, picked: str) -> str:
    """A cell of the chosen product on Labels."""
    return f"INDEX({lay.outside(key)},MAX(1,{picked}))"


def _put_facts(sheet: Sheet, lay: LabelsLayout, picked: str) -> None:
    """Serving, reference amount and what must be mended, in words."""
    amount, unit, grams = (of(lay, key, picked) for key in ("r_sa", "r_su", "r_g"))
    reference = of(lay, "g_reference", picked)
    told = f'IF(ISNUMBER({amount}),{in_words(amount, 2)}&" "&{unit}&", ","")'
    judged = (f'IF({of(lay, "r_ref", picked)}=0,"no category chosen: the serving stands in for the reference amount",'
              f'"reference amount "&{in_words(reference, 0)}&" g")')
    sheet.formula(FACTS, 0, f'=IF({picked}=0,"","One serving: "&{told}&{in_words(grams, 1)}&" g; "&{judged})', LOOKUP, "wrap")
    sheet.merges.append((FACTS, 0, FACTS, LAST))
    sheet.formula(FACTS + 1, 0, f'=IF({picked}=0,"",{of(lay, "message", picked)}&"")', LOOKUP, "message")
    sheet.merges.append((FACTS + 1, 0, FACTS + 1, LAST))


def _put_nutrient(sheet: Sheet, kitchen: Kitchen, lay: LabelsLayout, row: int, tag: str, no: int, picked: str,
                  readings: Mapping[str, PackReading], pack: Pack | None) -> None:
    reading = readings.get(tag)
    value, low, high = (of(lay, prefix + tag, picked) for prefix in ("v_", "lo_", "hi_"))
    c = {key: a1(row, COL[key], fix_col=True) for key in COL}

    def put(key: str, formula: str, stored: object, style: str) -> None:
        known: Value | _Lookup = LOOKUP
        if pack is not None and isinstance(stored, float | int | str):
            known = stored
        sheet.formula(row, COL[key], formula, known, style)

    sheet.put(row, COL["name"], kitchen.nutrient_by_tag[tag].name, "calc bold" if tag == "NA" else "calc")
    sheet.put(row, COL["unit"], kitchen.nutrient_by_tag[tag].unit, "calc small")
    put("serving", f'=IF({picked}=0,"",IF(ISNUMBER({value}),{value},"not declared"))',
        reading.serving if reading else "not declared", "calc general right")
    span = reading.span if reading else None
    for key, end, place_ in (("low", low, 0), ("high", high, 1)):
        put(key, f'=IF({picked}=0,"",IF(AND(ISNUMBER({low}),{high}>{low}),{end},""))', span[place_] if span else "", "calc general")
    put("hundred", f'=IF(ISNUMBER({c["serving"]}),{c["serving"]}/{of(lay, "r_g", picked)}*100,"")',
        reading.per_100g if reading else "", "calc n1")
    reference = f"INDEX(nut_dv,{no})"
    if tag in NO_PERCENT:
        sheet.put(row, COL["dv"], "", "calc n1")
    else:
        put("dv", f'=IF(AND(ISNUMBER({c["serving"]}),ISNUMBER({reference})),{c["serving"]}/{reference}*100,"")',
            "" if reading is None or reading.dv_pct is None else reading.dv_pct, "calc n1")
    for key, low_set, high_set in (("kitchen", "set_low_practice", "set_high_practice"),
                                   ("regulator", "set_low_regulator", "set_high_regulator")):
        put(key, f'=IF(ISNUMBER({c["dv"]}),IF(ROUND({c["dv"]},9)<={low_set},"low",IF(ROUND({c["dv"]},9)>={high_set},"high","between")),"")',
            getattr(reading, key) if reading else "", "calc centre")
    if tag in lay.percents:
        put("printed", f'=IF({picked}=0,"",IF(ISNUMBER({of(lay, "p_" + tag, picked)}),{of(lay, "p_" + tag, picked)},""))', None, "calc general")
        fits = of(lay, "f_" + tag, picked)
        only = f'IF(ISNUMBER({of(lay, "a_" + tag, picked)}),"","worked out from the printed %")'
        sheet.formula(row, COL["check"], f'=IF(OR({picked}=0,ISTEXT({c["serving"]})),"",IF(ISNUMBER({fits}),IF({fits}=1,"printed % fits","printed % does not fit the amount"),{only}))'
                      , LOOKUP, "calc small")
    else:
        sheet.put(row, COL["printed"], "", "calc small")
        note = {"PROCNT": "its % DV needs protein quality", "ENERC_KCAL": "no Daily Value",
                "NIAEQ": "", "FOLAC": "part of the folate above"}.get(tag, "no Daily Value")
        sheet.put(row, COL["check"], note, "calc small")


def _put_legend(sheet: Sheet, row: int) -> None:
    text = ('="Kitchen reading: low at or below "&set_low_practice&" % DV, high at or above "&set_high_practice&" % DV, between is a judgement '
            '(common practice, no source). Regulator\'s guide: low "&set_low_regulator&" %, high "&set_high_regulator&" %. A declared figure '
            'stands for every true amount that rounds to it (21 CFR 101.9(c)); per 100 g is as uncertain as that."')
    sheet.formula(row, 0, text, LOOKUP, "hint")
    sheet.merges.append((row, 0, row, LAST))
    sheet.heights[row] = 28


def _put_checks(sheet: Sheet, lay: LabelsLayout, row: int, picked: str) -> None:
    """Typing checks: energy against 4-9-4, printed per cents, figures that could not be read."""
    sheet.put(row, 0, "Typing checks", "section")
    sheet.band(row, 1, LAST, "section")
    low, high, fit = (of(lay, key, picked) for key in ("e_low", "e_high", "e_fit"))
    energy = of(lay, "a_ENERC_KCAL", picked)
    span = f'{in_words(low, 0)}&" to "&{in_words(high, 0)}&" kcal"'
    lines = (
        ("Energy against 4-9-4", f'=IF({picked}=0,"",IF(ISNUMBER({fit}),"declared "&{in_words(energy, 0)}&" kcal; protein, fat and carbohydrate '
         f'as rounded allow "&{span}&IF({fit}=1,": fits",": does not fit. Check the typing; sugar alcohols, alcohol or own factors can explain it"),'
         '"cannot be checked: energy, protein, fat or carbohydrate is missing"))'),
        ("Printed per cents", f'=IF({picked}=0,"",{of(lay, "p_bad", picked)}&" do not fit their amounts (US Daily Values, 4 years and over)")'),
        ("Figures not read", f'=IF({picked}=0,"",{of(lay, "bad", picked)}&" cells hold no number or one out of range: they count as unknown")'),
    )  # fmt: skip
    for i, (label, formula) in enumerate(lines, 1):
        sheet.put(row + i, 0, label, "calc")
        sheet.formula(row + i, 1, formula, LOOKUP, "calc small flow")
        sheet.merges.append((row + i, 1, row + i, LAST))
        sheet.heights[row + i] = 18


