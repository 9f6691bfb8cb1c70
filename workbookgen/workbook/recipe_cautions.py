"""Who should ask first, and safe temperatures, on a recipe sheet; ready lines for the card beside them."""

from __future__ import annotations

import math

from workbookgen.nutrition.cautions import CautionReport
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1
from workbookgen.workbook.handout_layout import CAUTIONS, Handout
from workbookgen.workbook.recipe_marks import check_length
from workbookgen.workbook.safety_sheet import limit_words

#: Merged columns of the front: first, last.
WHY, TEXT = ("amount", "unit"), ("treat", "dish")
HEAT_HEIGHT = 36
#: Letters of small print on one line of the merged text, room for what set a caution off, height of a line.
LETTERS, ROOM, LINE_HEIGHT, NARROW = 78, 40, 12.5, 13


def put_cautions(sheet: Sheet, h: Handout, report: CautionReport | None) -> None:
    """Lay out cautions and temperatures."""
    lay = h.lay
    top = lay.section[CAUTIONS]
    sheet.put(top, 0, "Who should ask first", "section")
    sheet.band(top, 0, lay.front_last, "section")
    sheet.put(
        top + 1,
        0,
        "Fires from ingredients and from figures of one serving. It does not know the person: the list is a "
        'start, a clinician or dietitian has the last word. "not known": part of the weight has no value.',
        "hint",
    )
    sheet.merges.append((top + 1, 0, top + 1, lay.front_last))
    _heads(
        sheet,
        h,
        top + 3,
        ("No.", "Says", "Who should ask", "Because of", "Fires when", "What to know", "Source"),
    )
    for i in range(len(h.safety.cautions)):
        _put_caution(sheet, h, i, report)
    first, last = h.caution_first, h.caution_last
    for word in ("ask first", "take care"):
        sheet.conditions.append(
            (first, 1, last, 1, {"type": "cell", "criteria": "==", "value": f'"{word}"'}, "attention")
        )
    _put_card_lines(sheet, h, first, last, [c.card for c in report.cautions if c.card] if report else None)
    _put_titles(sheet, h)
    _put_temperatures(sheet, h, report)


def _heads(sheet: Sheet, h: Handout, row: int, heads: tuple[str, ...]) -> None:
    lay = h.lay
    keys = ("no", "count", "food", "amount", "basis", "treat", "message")
    for key, head in zip(keys, heads, strict=True):
        sheet.put(row, lay.col[key], head, "head")
    for first, last in (WHY, TEXT):
        sheet.band(row, lay.col[first], lay.col[last], "head")
        sheet.merges.append((row, lay.col[first], row, lay.col[last]))
    sheet.heights[row] = 20


def _merge(sheet: Sheet, h: Handout, row: int, style: str) -> None:
    for first, last in (WHY, TEXT):
        sheet.band(row, h.lay.col[first], h.lay.col[last], style)
        sheet.merges.append((row, h.lay.col[first], row, h.lay.col[last]))


def _put_caution(sheet: Sheet, h: Handout, i: int, report: CautionReport | None) -> None:
    lay = h.lay
    row = h.caution_first + i
    no = a1(row, 0, fix_col=True)
    found = report.cautions[i] if report else None
    says, why, key = lay.cell("count", row), lay.cell("amount", row), lay.cell("r_food", row)
    last = f"INDEX(caution_last,{no})"

    def up_to(column: str) -> str:
        return f"INDEX({h.rows(column, h.trigger_first, h.trigger_last)},{last})"

    def put(column: str, formula: str, value: Value | None, style: str) -> None:
        sheet.formula(row, lay.col[column], formula, LOOKUP if value is None else value, style)

    fires = f"{up_to('a_w1')}>0"
    open_words = "part of the weight has no value"
    core_why = (found.why or (open_words if found.answer == "not known" else "")) if found else None
    sheet.put(row, 0, i + 1, "calc small centre")
    put(
        "count",
        f'=IF({fires},INDEX(caution_answer,{no}),IF({up_to("a_w2")}>0,"not known","-"))',
        found.answer if found else None,
        "calc small flow",
    )
    put("food", f"=INDEX(caution_title,{no})", h.safety.cautions[i].title, "calc flow")
    put(
        "amount",
        f'=IF({fires},MID({up_to("a_w3")},3,1000),IF({says}="not known","{open_words}",""))',
        core_why,
        "calc small flow",
    )
    put("basis", f"=INDEX(caution_limit,{no})", None, "calc small flow")
    put(
        "treat",
        f'=IF({fires},SUBSTITUTE(INDEX(caution_sheet,{no}),"{{why}}",{why}),"")',
        found.sheet if found else None,
        "calc small flow",
    )
    put("message", f"=INDEX(caution_source,{no})", None, "calc small flow")
    put(
        "r_food",
        f'=IF(AND({fires},INDEX(caution_card,{no})<>""),{no},"")',
        (float(i + 1) if found.card else "") if found else None,
        "work n0",
    )
    put(
        "r_amount",
        f'=IF({key}="","",SUBSTITUTE(INDEX(caution_card,{no}),"{{why}}",{why}))',
        found.card if found else None,
        "work",
    )
    _merge(sheet, h, row, "calc small flow")
    lines = math.ceil((len(h.safety.cautions[i].sheet) + ROOM) / LETTERS)
    lines = max(lines, math.ceil(len(limits_of(h, i)) / NARROW), 2)
    sheet.heights[row] = LINE_HEIGHT * lines + 3


def limits_of(h: Handout, i: int) -> str:
    """When the caution fires, in words, as the sheet Safety says it."""
    units = {n.tag: n.unit for n in h.lay.nutrients}
    return limit_words(h.safety.cautions[i], units)


def _put_card_lines(sheet: Sheet, h: Handout, first: int, last: int, lines: list[str] | None) -> None:
    """What a card prints, in order and without gaps: the j-th smallest row number that has a line."""
    lay = h.lay
    keys, texts = h.rows("r_food", first, last), h.rows("r_amount", first, last)
    for row in range(first, last + 1):
        j = a1(row, 0, fix_col=True)
        core = None if lines is None else (lines[row - first] if row - first < len(lines) else "")
        sheet.formula(
            row,
            lay.col["r_basis"],
            f'=IF(COUNT({keys})<{j},"",INDEX({texts},SMALL({keys},{j})))',
            LOOKUP if core is None else core,
            "work",
        )


def _put_titles(sheet: Sheet, h: Handout) -> None:
    """Everyone who should ask, in one text, for the overview."""
    lay = h.lay
    rows = range(h.caution_first, h.caution_last + 1)
    pieces = "&".join(
        f'IF({a1(r, lay.col["count"])}="ask first","; "&{a1(r, lay.col["food"])},"")' for r in rows
    )
    row = lay.section[CAUTIONS] + 2
    sheet.formula(row, lay.col["r_food"], f"=MID({pieces},3,1000)", LOOKUP, "work")
    who = lay.cell("r_food", row)
    short = "&".join(
        f'IF(OR({says}="-",{says}="not known"),"","; "&INDEX(caution_name,{k}))'
        for k, says in enumerate((a1(r, lay.col["count"]) for r in rows), 1)
    )
    sheet.formula(row, lay.col["r_unit"], f"=MID({short},3,1000)", LOOKUP, "work")
    sheet.put(row, 0, "In this dish", "label flow")
    sheet.blank(row, 1, "label flow")
    sheet.merges.append((row, 0, row, 1))
    sheet.formula(
        row,
        lay.col["food"],
        f'=IF({h.counted}=0,"",IF({who}="","nobody in particular by these rules",{who}))',
        LOOKUP,
        "attention flow",
    )
    sheet.band(row, lay.col["food"], lay.front_last, "attention flow")
    sheet.merges.append((row, lay.col["food"], row, lay.front_last))
    sheet.heights[row] = 42


def _put_temperatures(sheet: Sheet, h: Handout, report: CautionReport | None) -> None:
    lay = h.lay
    head = h.heat_first - 1
    sheet.put(head - 1, 0, "Safe internal temperatures of what is raw in it", "label")
    _heads(sheet, h, head, ("No.", "In it", "Raw food", "Cook to", "", "Because of", "Source"))
    for i, heat in enumerate(h.safety.temperatures):
        row = h.heat_first + i
        no, key, names = a1(row, 0, fix_col=True), lay.cell("r_unit", row), lay.cell("treat", row)
        foods = report.temperatures[i][1] if report else None
        core_names: Value | None = None if foods is None else "; ".join(foods)
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.formula(row, lay.col["r_unit"], f"=INDEX(temp_key,{no})", f"<{heat.id}>", "work")
        found = check_length(f"=MID({h.names_with(key, 'a_caution')},3,1000)", lay.lines)
        sheet.formula(
            row, lay.col["treat"], found, LOOKUP if core_names is None else core_names, "calc small flow"
        )
        sheet.formula(row, lay.col["count"], f'=IF({names}="","-","yes")', LOOKUP, "calc small flow")
        sheet.formula(row, lay.col["food"], f"=INDEX(temp_name,{no})", heat.name, "calc flow")
        sheet.formula(row, lay.col["amount"], f"=INDEX(temp_words,{no})", heat.words, "calc small flow")
        sheet.put(row, lay.col["basis"], "", "calc small flow")
        sheet.formula(row, lay.col["message"], f"=INDEX(temp_source,{no})", LOOKUP, "calc small flow")
        sheet.formula(row, lay.col["r_food"], f'=IF({names}="","",{no})', LOOKUP, "work n0")
        line = f'=IF({names}="","",{lay.cell("food", row)}&": "&{lay.cell("amount", row)})'
        sheet.formula(row, lay.col["r_amount"], line, LOOKUP, "work")
        _merge(sheet, h, row, "calc small flow")
        sheet.heights[row] = HEAT_HEIGHT
    lines = [f"{t.name}: {t.words}" for t, foods in report.temperatures if foods] if report else None
    _put_card_lines(sheet, h, h.heat_first, h.heat_last, lines)
    _put_notes(sheet, h, report)


def _put_notes(sheet: Sheet, h: Handout, report: CautionReport | None) -> None:
    """How to handle raw animal foods, and which foods have no caution marks at all."""
    lay = h.lay
    keys = h.rows("r_food", h.heat_first, h.heat_last)
    raw = any(foods for _, foods in report.temperatures) if report else False
    sheet.formula(
        h.heat_note,
        lay.col["food"],
        f'=IF(COUNT({keys})=0,"",INDEX(temp_note,1))',
        (h.safety.raw_handling if raw else "") if report else LOOKUP,
        "calc flow",
    )
    row = h.not_looked_at
    sheet.put(row, lay.col["r_unit"], "<?>", "work")
    names = f"MID({h.names_with(lay.cell('r_unit', row), 'a_caution')},3,1000)"
    sheet.formula(
        row,
        lay.col["r_amount"],
        check_length(f"={names}", lay.lines),
        "; ".join(report.not_looked_at) if report else LOOKUP,
        "work",
    )
    listed = lay.cell("r_amount", row)
    sheet.formula(
        row,
        lay.col["food"],
        f'=IF({listed}="","","Cautions not looked at: "&{listed}&". Judge these foods yourself.")',
        LOOKUP,
        "message",
    )
    for at, style in ((h.heat_note, "calc flow"), (row, "message")):
        sheet.band(at, lay.col["food"], lay.front_last, style)
        sheet.merges.append((at, lay.col["food"], at, lay.front_last))
        sheet.heights[at] = 30
