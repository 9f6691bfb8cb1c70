"""On the sheet Statements: how far a figure may be wrong before a verdict turns, food by food."""

from __future__ import annotations

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, a1, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.statements_sheet import (
    LAST,
    NAME,
    NO,
    WORK,
    A,
    B,
    C,
    Chosen,
    D,
    E,
    F,
    G,
    heads,
    section,
)
from workbookgen.workbook.words import in_words

WORDS = ("Verdict on the statement chosen on top", "What decides it", "It may be wrong by", "Against the compliance band of 21 CFR 101.9(g)",
         "Single ingredients inside their published range")


def put_firmness(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, c: Chosen, row: int, lines: int) -> int:
    """Five lines in words, then one row per ingredient with its published range and whether that turns the verdict."""
    row = section(sheet, row, "How firm is it?", "The per cent by which the deciding figure may be wrong, and whether one ingredient alone, anywhere between the least and "
                  "the most the national table prints for it, would turn the verdict. Most foods print no range.", 1)
    first = row
    cells = {key: a1(first + k, WORK + 6, True, True) for k, key in enumerate(("con", "code", "flips", "ceiling", "q", "nut", "base", "start", "count", "low", "strict"))}
    con, code, flips, ceiling, q, nut = (cells[k] for k in ("con", "code", "flips", "ceiling", "q", "nut"))
    bound = f"INDEX(q_bound,MAX(1,{q}))"
    amount = f"INDEX(res_all_amounts,{c.slot},MAX(1,{nut}))"
    extra = f"IF(AND({ceiling}=1,{code}=1,{bound}>0),INDEX(res_all_bounds,{c.slot},MAX(1,{bound})),0)"
    formulas = (
        ("Condition no.", f"=INDEX(res_all_deciding,{c.slot},{c.statement})"), ("Code", f"=INDEX(res_all_codes,{c.slot},{c.statement})"),
        ("Turns at, %", f"=INDEX(res_all_turns,{c.slot},{c.statement})"), ("Ceiling (1 = yes)", f"=IF({con}=0,0,MAX(INDEX(con_ceiling,{con}),INDEX(con_plain,{con})))"),
        ("Quantity no.", f"=IF({con}=0,0,INDEX(con_q,{con}))"), ("Nutrient no.", f"=IF({q}=0,0,INDEX(q_nut,{q}))"),
        ("Deciding amount, whole dish", f"=IF({nut}=0,0,({amount}+{extra})*INDEX(res_servings,{c.slot}))"),
        ("First line on Lines", f"=MATCH({c.slot},line_slot,0)"), ("Lines", f"=COUNTIF(line_slot,{c.slot})"),
        ("Harm lies at the most (1) or least (0)", f"=IF({ceiling}=IF({code}=1,1,0),1,0)"),
        ("Limit itself left out (1 = yes)", f"=IF({con}=0,0,INDEX(con_strict,{con}))"),
    )
    for k, (label, formula) in enumerate(formulas):
        sheet.put(first + k, WORK + 5, label, "work")
        sheet.formula(first + k, WORK + 6, formula, LOOKUP, "work general")
    table = first + len(WORDS) + 1
    rows_first, rows_last = table + 1, table + lines
    turned = block(rows_first, G, rows_last, G)
    part = f'IF({q}=0,FALSE,LEFT(INDEX(q_id,{q}),5)="part:")'
    what = f'IF({con}=0,"",INDEX(con_what,{con})&" per "&INDEX(con_on,{con})&": "&INDEX(con_words,{con}))'
    verdict = f'IF({code}=1,"holds",IF({code}=-1,"fails","is open"))'
    none_open = f'COUNTIF({turned},"no range")'
    texts = (
        f'=INDEX(st_pick,{c.statement})&" "&{verdict}&" for "&INDEX(res_title,{c.slot})',
        f'=IF({part},"one ingredient: ","")&{what}',
        f'=IF({code}=0,"cannot be said while it is open",IF({flips}>=const_flips_never,"any error: no amount decides it",{in_words(flips, 1)}&" %"))',
        f'=IF(OR({code}<>1,{flips}>=const_flips_never),"-",IF(ROUND({flips},9)<const_compliance_band,"inside: an analysis could differ by "&const_compliance_band&'
        f'" % and a label would still comply, yet the statement would turn","outside: the statement survives a difference of "&const_compliance_band&" %"))',
        f'=IF(OR({nut}=0,{code}=0),"not asked here",IF(COUNTIF({turned},"turns it")>0,COUNTIF({turned},"turns it")&" would turn it; ","none with a published range would turn it; ")'
        f'&{none_open}&" of "&({none_open}+COUNTIF({turned},"turns it")+COUNTIF({turned},"no"))&" publish no range, about them nothing can be said")',
    )
    for k, (label, text) in enumerate(zip(WORDS, texts, strict=True)):
        sheet.put(first + k, NAME, label, "calc")
        sheet.formula(first + k, A, text, LOOKUP, "calc flow")
        sheet.band(first + k, NO, LAST, "calc")
        sheet.merges.append((first + k, A, first + k, LAST))
        sheet.heights[first + k] = 18
    heads(sheet, table, ("No.", "Ingredient", "Weight, g", "Value per 100 g", "Kept, %", "Brings", "Least to most per 100 g", "Moves the deciding amount by, %", "Turns it?", "Remark"))
    for j in range(lines):
        _put_line(sheet, rows_first + j, j + 1, cells, part, block(rows_first, D, rows_last, D))
    sheet.conditions.append((rows_first, G, rows_last, G, {"type": "cell", "criteria": "==", "value": '"turns it"'}, "attention"))
    return rows_last + 2


def _put_line(sheet: Sheet, row: int, j: int, cells: dict[str, str], part: str, brought: str) -> None:
    sheet.put(row, NO, j, "calc small centre")
    no = a1(row, NO, fix_col=True)
    at, food, least = (a1(row, WORK + k, fix_col=True) for k in range(3))
    nut, q, base, flips, code = (cells[k] for k in ("nut", "q", "base", "flips", "code"))
    sheet.formula(row, WORK, f"=IF({no}<={cells['count']},{cells['start']}+{no}-1,0)", LOOKUP, "work n0")
    sheet.formula(row, WORK + 1, f"=IF({at}=0,0,IF(INDEX(line_grams,{at})>0,INDEX(line_srow,{at}),0))", LOOKUP, "work n0")
    key = f'INDEX(food_id,{food})&"|"&INDEX(nut_tag,{nut})'
    sheet.formula(row, WORK + 2, f"=IF(OR({food}=0,{nut}=0),0,IFERROR(MATCH({key},least_key,0),0))", LOOKUP, "work n0")
    sheet.formula(row, NAME, f'=IF({food}=0,"",INDEX(line_food,{at}))', LOOKUP, "calc flow")
    empty = f"OR({food}=0,{nut}=0)"
    value = f"INDEX(food_values,{food},{nut})"
    sheet.formula(row, A, f'=IF({food}=0,"",INDEX(line_sgrams,{at}))', LOOKUP, "calc n1")
    sheet.formula(row, B, f'=IF({empty},"",IF(ISNUMBER({value}),{value},"?"))', LOOKUP, "calc n2 right")
    krow, kcol = f"INDEX(line_krow,{at})", f"INDEX(q_keep,{q})"
    kept = f"IF({kcol}=0,100,IF({krow}=0,\"?\",IF(ISNUMBER(INDEX(keep_values,{krow},MAX(1,{kcol}))),INDEX(keep_values,{krow},MAX(1,{kcol})),\"?\")))"
    sheet.formula(row, C, f'=IF({empty},"",{kept})', LOOKUP, "calc n0 right")
    grams, per, keep, brings = (a1(row, col, fix_col=True) for col in (A, B, C, D))
    sheet.formula(row, D, f'=IF({empty},"",IF(OR(ISTEXT({per}),ISTEXT({keep})),"?",{grams}/100*{per}*{keep}/100))', LOOKUP, "calc n2 right")
    low, most = f"INDEX(least_min,{least})", f"INDEX(least_max,{least})"
    sheet.formula(row, E, f'=IF({empty},"",IF({least}=0,"no range published",{in_words(low, 3)}&" to "&{in_words(most, 3)}))', LOOKUP, "calc small")
    end = f"IF({cells['low']}=1,{most},{low})"
    moved = f"ABS({grams}/100*({end}-{per})*{keep}/100)"
    right_way = f"IF({cells['low']}=1,{most}>{per},{low}<{per})"
    named = f"ROUND({brings}-MAX({brought}),9)=0"  # the ingredient that carries the statement is the one that brings most
    share = f"IF({part},IF(AND({named},{per}>0),ABS({end}-{per})/{per}*100,0),IF({base}<=0,0,{moved}/{base}*100))"
    sheet.formula(row, F, f'=IF({empty},"",IF(OR({least}=0,ISTEXT({brings})),"",IF({right_way},{share},0)))', LOOKUP, "calc n1")
    change = a1(row, F, fix_col=True)
    strict = f"({cells['strict']}=1)"
    turns = f"IF({strict}=({code}=1),ROUND({change},9)>=ROUND({flips},9),ROUND({change},9)>ROUND({flips},9))"
    sheet.formula(row, G, f'=IF(OR({empty},{code}=0),"",IF({least}=0,"no range",IF(ISTEXT({change}),"",IF({flips}>=const_flips_never,"no",IF({turns},"turns it","no")))))',
                  LOOKUP, "calc small bold flow")
    sheet.formula(row, LAST, f'=IF(OR({empty},{code}=0),"",IF(ISTEXT({brings}),"not known for this food",""))', LOOKUP, "calc small flow")

