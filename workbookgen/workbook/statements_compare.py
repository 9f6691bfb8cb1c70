"""On the sheet Statements: per cent Daily Value read two ways, and the comparison with a reference dish."""

from __future__ import annotations

from workbookgen.model.claims import SETS, US
from workbookgen.nutrition.claims_compare import Compared, judge_comparison, reading
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, column_name
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.statements_layout import BOUND_TAGS
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

ENERGY = "ENERC_KCAL"
NOT_KNOWN = "not known"


def put_readings(sheet: Sheet, kitchen: Kitchen, c: Chosen, row: int) -> int:
    """Low, high or between, for every nutrient with a reference value, by the kitchen rule and the regulator's guide."""
    row = section(sheet, row, "Low or high? Per cent Daily Value of one serving, read two ways",
                  "Kitchen rule: common practice, no source. Regulator's guide: FDA's consumer guide to per cent Daily Value. Both thresholds stand on Start; "
                  "neither is a statement for a label. With part unknown, nothing reads low.", 1)
    heads(sheet, row, ("No.", "Nutrient", "One serving", "% DV", "", "", "", "", "", "Remark"))
    sheet.heights[row] = 44
    low_high = (("set_low_practice", "set_high_practice"), ("set_low_regulator", "set_high_regulator"))
    for col, (low, high), name in ((C, low_high[0], "Kitchen rule"), (D, low_high[1], "Regulator's guide")):
        sheet.formula(row, col, f'="{name}: low to "&{in_words(low, 1)}&", high from "&{in_words(high, 1)}&" %"', LOOKUP, "head")
    row += 1
    tags = [n for n in kitchen.tables.nutrients if n.tag != ENERGY and any(n.tag in s.values for s in kitchen.tables.reference_sets)]
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for i, nutrient in enumerate(tags):
        _put_reading(sheet, kitchen, c, row + i, i + 1, nutrient.tag, numbers[nutrient.tag], low_high)
    last = row + len(tags) - 1
    for word in ("low", "high"):
        sheet.conditions.append((row, C, last, D, {"type": "cell", "criteria": "==", "value": f'"{word}"'}, "bold"))
    return last + 2


def _put_reading(sheet: Sheet, kitchen: Kitchen, c: Chosen, row: int, place: int, tag: str, number: int,
                 low_high: tuple[tuple[str, str], tuple[str, str]]) -> None:
    nutrient, name = kitchen.nutrient_by_tag[tag], column_name(tag)
    result = c.judged.dish.analysis.nutrients[tag] if c.judged else None
    value, reads = f"INDEX(res_v_{name},{c.slot})", f"INDEX(res_r_{name},{c.slot})"
    dv = f"INDEX(nut_dv,{number})"
    sheet.put(row, NO, place, "calc small centre")
    sheet.put(row, NAME, nutrient.name, "calc")
    words = (f"{result.reads} " if result and result.reads else "") + (f"{shown(result.serving, nutrient.decimals)} {nutrient.unit}" if result else "")
    sheet.formula(row, A, f'=IF({reads}="","",{reads}&" ")&{in_words(value, nutrient.decimals)}&" {nutrient.unit}"', words if result else LOOKUP, "calc right small")
    pct = a1(row, B, fix_col=True)
    dv_value: Value | _Lookup = LOOKUP
    if result is not None:
        dv_value = "" if result.dv_pct is None else result.dv_pct
    sheet.formula(row, B, f'=IF(ISNUMBER({dv}),{value}/{dv}*100,"")', dv_value, "calc n1")
    for col, (low, high) in zip((C, D), low_high, strict=True):
        text = (f'=IF({pct}="","",IF(ROUND({pct},9)>={high},IF({reads}="at most","{NOT_KNOWN}","high"),IF({reads}="at least","{NOT_KNOWN}",'
                f'IF(ROUND({pct},9)<={low},"low","between"))))')
        sheet.formula(row, col, text, _reading(c, tag, low) if result else LOOKUP, "calc")
    sheet.band(row, E, G, "calc")
    sheet.formula(row, LAST, f'=IF({reads}="at least","part of the ingredients is not known",IF({reads}="at most","drained fat is still counted",""))', LOOKUP,
                  "calc small flow")


def _reading(c: Chosen, tag: str, low_name: str) -> str:
    assert c.judged is not None
    result, settings = c.judged.dish.analysis.nutrients[tag], c.judged.dish.analysis.settings
    low, high = ((settings.low_practice, settings.high_practice) if low_name == "set_low_practice"
                 else (settings.low_regulator, settings.high_regulator))
    word = reading(result.dv_pct, low, high)
    if word == "high":
        return NOT_KNOWN if result.reads == AT_MOST else word
    return NOT_KNOWN if word and result.reads == AT_LEAST else word


def put_comparisons(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, c: Chosen, row: int) -> int:
    """Reduced, light and more against the reference dish."""
    row = section(sheet, row, "Compared with the reference dish: reduced, light, more",
                  "US foods on the reference amount, US main dishes and meals on 100 g, EU on 100 g. The words need the name of the reference dish, the per cent "
                  "and both amounts beside them (21 CFR 101.13(j)(2)). The reference must be a like dish. Points are points of per cent Daily Value.", 1)
    heads(sheet, row, ("No.", "Statement", "This dish", "Reference", "Change found", "Needed", "Verdict", "Rule", "Figures", "What stands beside it, or why not"))
    row += 1
    counts = [sum(x.rule_set == s for x in plan.rules.comparisons) for s in SETS]
    _put_comparison_factors(sheet, row - 1, c)
    judged = _judged(plan, c)
    for k in range(max(counts)):
        _put_comparison(sheet, row + k, k + 1, row - 1, c, judged[k] if judged and k < len(judged) else None, bool(judged))
    last = row + max(counts) - 1
    sheet.conditions.append((row, E, last, E, {"type": "cell", "criteria": "==", "value": '"holds"'}, "holds"))
    return last + 2


def _judged(plan: ClaimPlan, c: Chosen) -> list[Compared]:
    if c.judged is None or c.other_judged is None:
        return []
    a, b = c.judged, c.other_judged
    return [judge_comparison(x, a.dish, a.verdicts, b.dish, b.verdicts) for x in plan.rules.comparisons if x.rule_set == a.verdicts.rule_set]


def _put_comparison_factors(sheet: Sheet, row: int, c: Chosen) -> None:
    """From one serving to what is compared, for both dishes."""
    food = f'{c.word}="food"'
    mine = f"IF({food},{c.racc}/{c.serving_g},100/{c.serving_g})"
    theirs = f"IF({food},IF({c.other_racc}>0,{c.other_racc},{c.racc})/{c.other_g},100/{c.other_g})"
    sheet.formula(row, WORK, f"=IF(OR({c.usable}=0,AND({food},{c.racc}=0)),0,{mine})", LOOKUP, "work general")
    sheet.formula(row, WORK + 1, f"=IF(OR({c.usable}=0,AND({food},{c.racc}=0)),0,{theirs})", LOOKUP, "work general")
    for k, head in enumerate(("Servings compared, this dish", "Servings compared, reference", "Row", "This: at most", "This: unknown", "Reference: at most",
                              "Reference: unknown", "Further condition", "Code")):
        if k > 1:
            sheet.put(row, WORK + k, head, "workhead")


def _put_comparison(sheet: Sheet, row: int, k: int, head: int, c: Chosen, found: Compared | None, known: bool) -> None:
    fa, fb = a1(head, WORK, True, True), a1(head, WORK + 1, True, True)
    at = a1(row, WORK + 2, fix_col=True)
    sheet.put(row, NO, k, "calc small centre")
    no = a1(row, NO, fix_col=True)
    sheet.formula(row, WORK + 2, f"=IF({no}<=INDEX(cmp_count,{c.rule_set}),INDEX(cmp_first,{c.rule_set})+{no}-1,0)", LOOKUP, "work n0")
    sheet.formula(row, NAME, f'=IF({at}=0,"",INDEX(cmp_words,{at}))', found.comparison.words if found else ("" if known else LOOKUP), "calc")

    ready = f"AND({at}>0,{fa}>0)"
    a, b = a1(row, A, fix_col=True), a1(row, B, fix_col=True)
    visible = found is not None and found.verdict != "cannot be judged"
    for col, slot, factor, value in ((A, c.slot, fa, found.amount if found and visible else None), (B, c.other, fb, found.reference if found and visible else None)):
        sheet.formula(row, col, f'=IF({ready},{change_bounds(at, slot, factor)[0]},"")', LOOKUP if value is None else value, "calc n2")
    most_a, short_a, most_b, short_b, also, code = (a1(row, WORK + n, fix_col=True) for n in range(3, 9))
    for n, slot, factor, base in ((3, c.slot, fa, a), (5, c.other, fb, b)):
        _, bounds, short = change_bounds(at, slot, factor)
        sheet.formula(row, WORK + n, f"=IF({ready},{base}+{bounds},0)", LOOKUP, "work general")
        sheet.formula(row, WORK + n + 1, f"=IF({at}=0,0,IF({short}>0,1,0))", LOOKUP, "work n0")
    less, pct, least = f"INDEX(cmp_less,{at})=1", f"INDEX(cmp_pct,{at})=1", f"INDEX(cmp_least,{at})"
    dv = f"IF({c.rule_set}={SETS.index(US) + 1},INDEX(dv_us,INDEX(cmp_n1,{at})),INDEX(dv_eu,INDEX(cmp_n1,{at})))"
    change = f"IF({less},IF({b}<=0,0,({b}-{a})/{b}*100),IF({pct},IF({b}<=0,0,({a}-{b})/{b}*100),({a}-{b})/{dv}*100))"
    kind = f'AND(INDEX(cmp_dish,{at})<>"any",INDEX(cmp_dish,{at})<>{c.word})'
    shown_change = f'=IF({ready},IF({kind},0,{change}),"")'
    sheet.formula(row, C, shown_change, found.change if found and visible else LOOKUP, "calc n1")
    unit = f'IF({pct}," % "," points ")&IF({less},"less","more")'
    sheet.formula(row, D, f'=IF({at}=0,"",{in_words(least, 1)}&{unit})', LOOKUP, "calc small flow")
    here = a1(row, C, fix_col=True)
    bounded = f"INDEX(cmp_b1,{at})>0"
    sure = f"AND(OR({short_a}=0,{bounded}),{b}>0,ROUND(IF({b}<=0,0,({b}-{most_a})/{b}*100),9)>=ROUND({least},9))"
    hopeless = f"AND(OR({short_b}=0,{bounded}),ROUND(IF({most_b}<=0,0,({most_b}-{a})/{most_b}*100),9)<ROUND({least},9))"
    judged_less = f"IF({sure},1,IF({hopeless},-1,0))"
    judged_more = f"IF(ROUND({here},9)>=ROUND({least},9),IF({short_b}=1,0,1),IF({short_a}=1,0,-1))"
    reference = f"IF(INDEX(cmp_not,{at})=0,1,-INDEX(res_all_codes,{c.other},MAX(1,INDEX(cmp_not,{at}))))"
    sheet.formula(row, WORK + 7, f"=IF({ready},{_also(at, c, fa, fb)},1)", LOOKUP, "work n0")
    sheet.formula(row, WORK + 8, f"=IF({ready},IF({kind},0,MIN(IF({less},{judged_less},{judged_more}),{reference},{also})),0)",
                  float(found.code) if found else (0.0 if known else LOOKUP), "work n0")
    verdict = (f'=IF({at}=0,"",IF({c.usable}=0,"mend the lines first",IF({fa}=0,"cannot be judged",IF({kind},"not for this kind of dish",'
               f'IF({code}=1,"holds",IF({code}=0,"cannot be judged","fails"))))))')
    sheet.formula(row, E, verdict, found.verdict if found else ("" if known else LOOKUP), "calc bold flow")
    sheet.formula(row, F, f'=IF({at}=0,"",INDEX(cmp_section,{at}))', LOOKUP, "calc small flow")
    sheet.formula(row, G, f'=IF({at}=0,"",INDEX(cmp_status,{at}))', LOOKUP, "calc small")
    unit_name = f"INDEX(nut_unit,INDEX(cmp_n1,{at}))"
    beside = (f'{in_words(here, 0)}&IF({pct}," %"," points of % DV")&IF({less}," less"," more")&" than "&INDEX(res_title,{c.other})&": "&{in_words(a, 1)}&" against "'
              f'&{in_words(b, 1)}&" "&{unit_name}')
    why = (f'IF({c.usable}=0,"",IF({fa}=0,"type the reference amount",IF({kind},"",IF({code}=1,{beside},IF({reference}<1,"the reference dish is itself low",'
           f'IF({also}<1,IF(INDEX(cmp_note,{at})="","",INDEX(cmp_note,{at})),IF({code}=0,"part of the ingredients is not known","")))))))')
    sheet.formula(row, LAST, f'=IF({at}=0,"",{why})', LOOKUP, "calc small flow")
    sheet.heights[row] = 24


def change_bounds(at: str, slot: str, factor: str) -> tuple[str, str, str]:
    """A recipe's amount of what comparison ``at`` compares, what the unknown may add at most, and how many of its
    nutrients are partly unknown; ``factor`` turns one serving into what is compared."""
    second = f"IF(INDEX(cmp_n2,{at})=0,0,INDEX(res_all_amounts,{slot},MAX(1,INDEX(cmp_n2,{at}))))"
    parts = [f"IF(INDEX(cmp_b{n},{at})=0,0,INDEX(res_all_bounds,{slot},MAX(1,INDEX(cmp_b{n},{at}))))" for n in (1, 2)]
    short = [f'IF(INDEX(cmp_n{n},{at})=0,0,IF(INDEX(res_all_reads,{slot},MAX(1,INDEX(cmp_n{n},{at})))="at least",1,0))' for n in (1, 2)]
    return f"(INDEX(res_all_amounts,{slot},INDEX(cmp_n1,{at}))+{second})*{factor}", f"({'+'.join(parts)})*{factor}", "+".join(short)


def _also(at: str, c: Chosen, fa: str, fb: str) -> str:
    """The further condition of a comparison with another recipe as a code."""
    limit, energy = f"INDEX(cmp_limit,{at})", f"INDEX(res_v_{ENERGY},{c.other})"
    fat_code = f"IF(ROUND(IF({energy}<=0,0,INDEX(res_v_FAT,{c.other})*const_general_fat/{energy}*100),9)<ROUND({limit},9),1,-1)"
    not_higher = f"IF(ROUND(INDEX(res_v_{ENERGY},{c.slot})*{fa},9)<=ROUND({energy}*{fb},9),1,-1)"
    return also_code(at, c.slot, fa, fat_code, not_higher)


def also_code(at: str, slot: str, fa: str, fat_code: str, not_higher: str) -> str:
    """The further condition of a comparison as a code; what looks at the reference comes as formulas."""
    kind, limit = f"INDEX(cmp_also,{at})", f"INDEX(cmp_limit,{at})"
    sat = f"INDEX(res_v_FASAT,{slot})*{fa}"
    sat_most = f"(INDEX(res_v_FASAT,{slot})+INDEX(res_u_FASAT,{slot}))*{fa}"
    sat_code = f"IF(ROUND({sat_most},9)<=ROUND({limit},9),1,IF(ROUND({sat},9)<=ROUND({limit},9),0,-1))"
    source = f"IF(INDEX(cmp_st,{at})=0,1,INDEX(res_all_codes,{slot},MAX(1,INDEX(cmp_st,{at}))))"
    assert "FASAT" in BOUND_TAGS
    return f'IF({kind}="sat_2g",{sat_code},IF({kind}="fat_below_half",{fat_code},IF({kind}="energy_not_higher",{not_higher},{source})))'
