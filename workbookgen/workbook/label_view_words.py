"""Label view: the words on the chosen pack, condition by condition, with what label rounding leaves open."""

from __future__ import annotations

from workbookgen.model.pack import MOST_WORDS
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, a1, block
from workbookgen.workbook.labels_layout import BASES, LabelsLayout
from workbookgen.workbook.words import in_words

WORK = 12
ROWS = 10
#: Column of the front: first, last, heading.
WORD_COLUMNS = ((0, 0, "Word"), (1, 3, "Verdict by the declared figures"), (4, 10, "Why, and good to know"))
CONDITION_COLUMNS = ((0, 0, "Word"), (1, 5, "Asked"), (6, 6, "Here"), (7, 7, "Unit"), (8, 8, "State"),
                     (9, 9, "Section"), (10, 10, "With rounding"))  # fmt: skip


def put_view_words(sheet: Sheet, kitchen: Kitchen, lay: LabelsLayout, row: int, picked: str, last: int) -> int:
    """Verdicts, then every condition; returns the last row."""

    def of(key: str) -> str:
        return f"INDEX({lay.outside(key)},MAX(1,{picked}))"

    vectors = _put_vectors(sheet, kitchen, lay, row, of)
    sheet.put(row, 0, "Words on the pack", "section")
    sheet.band(row, 1, last, "section")
    _heads(sheet, row + 1, WORD_COLUMNS)
    slots = row + 2
    for s in range(1, MOST_WORDS + 1):
        at = row + 1 + s
        number, rows = a1(at, WORK, fix_col=True), a1(at, WORK + 1, fix_col=True)
        sheet.formula(at, WORK, f"=IF({picked}=0,0,{of(f'n_{s}')})", LOOKUP, "work n0")
        sheet.formula(at, WORK + 1, f"=IF({picked}=0,0,{of(f'rows_{s}')})", LOOKUP, "work n0")
        sheet.formula(at, WORK + 2, f"=IF({picked}=0,0,{of(f'from_{s}')})", LOOKUP, "work n0")
        before = f"SUM({a1(slots, WORK + 1, True, True)}:{rows})-{rows}"
        sheet.formula(at, WORK + 3, f"={before}", LOOKUP, "work n0")
        sheet.put(at, WORK + 4, s, "work n0")
        word = f'IF({number}=0,"",IF({number}<0,"?",INDEX(pack_word,MAX(1,{number}))))'
        sheet.formula(at, 0, f"={word}", LOOKUP, "calc bold")
        sheet.formula(at, 1, f'=IF({picked}=0,"",{of(f"verdict_{s}")}&"")', LOOKUP, "calc flow")
        sheet.merges.append((at, 1, at, 3))
        note = f"INDEX(pack_note,MAX(1,{number}))"
        why = f'{of(f"why_{s}")}&IF({note}="","",". "&{note})'
        sheet.formula(at, 4, f'=IF({number}<=0,"",{why})', LOOKUP, "calc small flow")
        sheet.merges.append((at, 4, at, last))
        sheet.heights[at] = 27
    head = slots + MOST_WORDS + 1
    for offset, text in enumerate(("word no.", "conditions", "from row", "before", "No.")):
        sheet.put(slots - 1, WORK + offset, text, "workhead")
    _heads(sheet, head, CONDITION_COLUMNS)
    sheet.put(head, WORK, "Slot", "workhead")
    sheet.put(head, WORK + 1, "Row of conditions", "workhead")
    sheet.put(head, WORK + 2, "least", "workhead")
    sheet.put(head, WORK + 3, "most", "workhead")
    sheet.put(head, WORK + 4, "No.", "workhead")
    for i in range(ROWS):
        _put_condition(sheet, head + 1 + i, i + 1, slots, vectors)
    end = head + ROWS + 1
    sheet.formula(end, 0, _closing(slots, head), LOOKUP, "hint")
    sheet.merges.append((end, 0, end, last))
    sheet.heights[end] = 40
    return end


def _heads(sheet: Sheet, row: int, columns: tuple[tuple[int, int, str], ...]) -> None:
    for first, last, text in columns:
        sheet.put(row, first, text, "head")
        sheet.band(row, first + 1, last, "head")
        if last > first:
            sheet.merges.append((row, first, row, last))


def _put_vectors(sheet: Sheet, kitchen: Kitchen, lay: LabelsLayout, row: int, of: object) -> dict[str, str]:
    """Quantities of the chosen product with what rounding allows, and the amounts they are judged on."""
    assert callable(of)
    col = WORK + 6
    quantities = kitchen.pack_rules.quantities
    for offset, (head, width) in enumerate((("Quantity", 30), ("100 g", 10), ("least", 10), ("most", 10), ("Amount, g", 10))):
        sheet.put(row, col + offset, head, "workhead")
        sheet.widths[col + offset] = width
    for i, (name, words, _) in enumerate(quantities):
        at = row + 1 + i
        sheet.put(at, col, words, "work")
        sheet.formula(at, col + 1, f"={of(f'q_{i + 1}')}", LOOKUP, "work n2")
        for offset, prefix in ((2, "lo_"), (3, "hi_")):
            if "lo_" + name in lay.col:
                end = of(prefix + name)
                sheet.formula(at, col + offset, f'=IF(AND(ISNUMBER({end}),{of("r_g")}>0),{end}/{of("r_g")}*100,"")', LOOKUP, "work n2")
            else:
                sheet.put(at, col + offset, "", "work n2")
    for i, key in enumerate(BASES):
        sheet.formula(row + 1 + i, col + 4, f"={of(key)}", LOOKUP, "work n1")
    last = row + len(quantities)
    return {name: block(row + 1, col + offset, last, col + offset) for offset, name in ((1, "value"), (2, "least"), (3, "most"))} | {
        "grams": block(row + 1, col + 4, row + len(BASES), col + 4)}  # fmt: skip


def _put_condition(sheet: Sheet, row: int, number: int, slots: int, vectors: dict[str, str]) -> None:
    def slot_column(offset: int) -> str:
        return block(slots, WORK + offset, slots + MOST_WORDS - 1, WORK + offset)

    no, slot, at = (a1(row, WORK + offset, fix_col=True) for offset in (4, 0, 1))
    rows, first, before = slot_column(1), slot_column(2), slot_column(3)
    sheet.put(row, WORK + 4, number, "work n0")
    sheet.formula(row, WORK, f"=IF({no}>SUM({rows}),0,SUMPRODUCT(({before}<{no})*({rows}>0)*({before}+{rows}>={no})*{_order(slots)}))",
                  LOOKUP, "work n0")
    sheet.formula(row, WORK + 1, f"=IF({slot}=0,0,INDEX({first},{slot})+{no}-INDEX({before},{slot})-1)", LOOKUP, "work n0")
    q, basis = f"INDEX(pack_q,MAX(1,{at}))", f"INDEX(pack_basis,MAX(1,{at}))"
    grams = f"INDEX({vectors['grams']},MAX(1,{basis}))"
    factor = f"IF({basis}=0,1,{grams}/100)"
    not_asked = f"IF({basis}=0,FALSE,{grams}=0)"
    for offset, key in ((2, "least"), (3, "most")):
        end = f"INDEX({vectors[key]},{q})"
        sheet.formula(row, WORK + offset, f'=IF({slot}=0,"",IF({not_asked},"",IF(ISNUMBER({end}),{end}*{factor},"")))', LOOKUP, "work n2")
    value = f"INDEX({vectors['value']},{q})"
    numbers = block(slots, WORK, slots + MOST_WORDS - 1, WORK)
    word = f"INDEX(pack_word,MAX(1,INDEX({numbers},MAX(1,{slot}))))"
    sheet.formula(row, 0, f'=IF({slot}=0,"",{word})', LOOKUP, "calc small")
    sheet.formula(row, 1, f'=IF({slot}=0,"",INDEX(pack_asked,MAX(1,{at})))', LOOKUP, "calc small")
    sheet.merges.append((row, 1, row, 5))
    sheet.formula(row, 6, f'=IF({slot}=0,"",IF({not_asked},"not asked",IF(ISNUMBER({value}),{value}*{factor},"?")))', LOOKUP, "calc n1 small")
    sheet.formula(row, 7, f'=IF({slot}=0,"",INDEX(pack_qunit,{q})&"")', LOOKUP, "calc small")
    here, limit, sign = a1(row, 6, fix_col=True), f"ROUND(INDEX(pack_limit,MAX(1,{at})),9)", f"INDEX(pack_sign,MAX(1,{at}))"

    def holds(x: str) -> str:
        return (f'IF({sign}="<=",ROUND({x},9)<={limit},IF({sign}="<",ROUND({x},9)<{limit},IF({sign}=">=",ROUND({x},9)>={limit},'
                f'ROUND({x},9)>{limit})))')

    sheet.formula(row, 8, f'=IF({slot}=0,"",IF({here}="not asked","-",IF(ISNUMBER({here}),IF({holds(here)},"holds","fails"),"cannot be judged")))',
                  LOOKUP, "calc small flow")
    sheet.formula(row, 9, f'=IF({slot}=0,"",INDEX(pack_source,MAX(1,{at}))&IF(INDEX(pack_status,MAX(1,{at}))="memory"," (from memory)",""))',
                  LOOKUP, "calc small flow")
    low, high = a1(row, WORK + 2, fix_col=True), a1(row, WORK + 3, fix_col=True)
    span = f'{in_words(low, 1)}&" to "&{in_words(high, 1)}'
    sheet.formula(row, 10, f'=IF(ISNUMBER({low}),{span}&IF({holds(low)}={holds(high)},": decided",": rounding leaves it open"),"")', LOOKUP, "calc small flow")
    sheet.heights[row] = 26


def _order(slots: int) -> str:
    """Numbers 1 to 5 beside the slots, as a column of the sheet."""
    return block(slots, WORK + 4, slots + MOST_WORDS - 1, WORK + 4)


def _closing(slots: int, head: int) -> str:
    rows = block(slots, WORK + 1, slots + MOST_WORDS - 1, WORK + 1)
    shown = block(head + 1, 0, head + ROWS, 0)
    return (f'=IF(SUM({rows})>ROWS({shown}),"More conditions than rows here: see the sheet Pack rules. ","")&"A verdict rests on the '
            'figures the pack declares; what a regulator measures in the product decides. Comparisons are weight for weight; the pack must also '
            'name the product compared with and both amounts. No legal advice: local rules go first."')
