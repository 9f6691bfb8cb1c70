"""On the sheet Statements: the authorised health claims, and the word healthy by food group."""

from __future__ import annotations

from workbookgen.model.claims import SETS, US
from workbookgen.nutrition.claims_compare import ALWAYS, HealthResult, judge_health
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, a1, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.claims_sheet import health_inputs, health_rows
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

INPUT_WORDS = {
    "soluble_fiber": "Soluble fiber, g", "plaque_ph": "Plaque pH, lowest", "beta_glucan": "Beta-glucan fiber, g", "psyllium": "Psyllium fiber, g",
    "soy_protein": "Soy protein, g", "sterol_esters": "Sterol esters, g", "stanol_esters": "Stanol esters, g",
}
INPUT_COLUMNS = (NAME, A, B, C, D, E, F)


def put_health(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, c: Chosen, row: int) -> int:
    """Each authorised claim: met, not met or cannot be judged, with what fails or is missing."""
    row = section(sheet, row, "Authorised health claims (21 CFR 101.72 to 101.83)",
                  "For reading only: the card never prints them. A claim says may or might, speaks of the whole diet, and is not for children under 2. "
                  "Below: grams in one reference amount of what food tables do not hold; empty means unknown.", 1)
    typed = health_inputs(plan)
    cells: list[str] = []
    for col, key in zip(INPUT_COLUMNS, typed, strict=True):
        sheet.put(row, col, INPUT_WORDS[key], "label small flow")
        sheet.put(row + 1, col, "", "input n2")
        sheet.put(row + 2, col, "", "hint")
        x = f"INDEX({block(row, col, row + 2, col)},2)"
        work = WORK + len(cells)
        sheet.put(row, work, INPUT_WORDS[key], "workhead")
        value = f"IF(AND({x}>=0,{x}<=100),{x},\"\")"
        cells.append(sheet.formula(row + 1, work, f'=IF(ISLOGICAL({x}),"",IF(ISNUMBER({x}),{value},""))', "", "work general"))
    sheet.heights |= {row: 26, row + 1: 20, row + 2: 6}
    inputs = block(row + 1, WORK, row + 1, WORK + len(typed) - 1)
    row += 3
    heads(sheet, row, ("No.", "Claim", "Verdict", "", "What fails or is missing", "", "", "", "Section", "Remark"))
    sheet.merges += [(row, A, row, B), (row, C, row, F)]
    row += 1
    rows = health_rows(plan)
    common = _put_common(sheet, row - 1, c, len(ALWAYS))
    results = _results(plan, c)
    for i in range(len(plan.rules.health)):
        mine = [(n, path) for n, (claim, rule, condition, _) in enumerate(rows, 1) if claim == i + 1 and rule and condition for path in (condition.path,)]
        _put_claim(sheet, row + i, i, c, common, inputs, mine, results[i] if results else None)
    last = row + len(plan.rules.health) - 1
    sheet.conditions.append((row, A, last, A, {"type": "cell", "criteria": "==", "value": '"met"'}, "holds"))
    return last + 2


def _results(plan: ClaimPlan, c: Chosen) -> list[HealthResult]:
    if c.judged is None or c.judged.verdicts.rule_set != US:
        return []
    return [judge_health(words, rule, c.judged.verdicts, {}) for words, rule in plan.rules.health]


def _put_common(sheet: Sheet, row: int, c: Chosen, count: int) -> str:
    """Codes of what every claim needs, beside the headings; returns their range."""
    for n in range(count):
        sheet.formula(row, WORK + n, f"=INDEX(res_all_codes,{c.slot},INDEX(hcc_st,{n + 1}))", LOOKUP, "work n0")
    return block(row, WORK, row, WORK + count - 1)


def _put_claim(sheet: Sheet, row: int, i: int, c: Chosen, common: str, inputs: str, mine: list[tuple[int, int]], found: HealthResult | None) -> None:
    sheet.put(row, NO, i + 1, "calc small centre")
    no = a1(row, NO, fix_col=True)
    codes = []
    for k, (n, _) in enumerate(mine):
        sheet.put(row, WORK + 2 * k, n, "work n0")
        at = a1(row, WORK + 2 * k, fix_col=True)
        typed = f"INDEX({inputs},MAX(1,INDEX(hcc_input,{at})))"
        text = (f"=IF(INDEX(hcc_st,{at})>0,INDEX(res_all_codes,{c.slot},MAX(1,INDEX(hcc_st,{at}))),"
                f"IF(ISNUMBER({typed}),IF(ROUND({typed},9)>=ROUND(INDEX(hcc_least,{at}),9),1,-1),0))")
        codes.append(sheet.formula(row, WORK + 2 * k + 1, text, float(found.codes[len(ALWAYS) + k]) if found else LOOKUP, "work n0"))
    paths = sorted({p for _, p in mine if p}) or [0]
    each = [f"MIN({','.join(code for code, (_, p) in zip(codes, mine, strict=True) if p in (0, path))})" for path in paths]
    own = each[0] if len(each) == 1 else f"MAX({','.join(each)})"
    code = sheet.formula(row, WORK + 14, f"=MIN({common},{own})", float(found.code) if found else LOOKUP, "work n0")
    us = f"{c.rule_set}={SETS.index(US) + 1}"
    sheet.formula(row, NAME, f"=INDEX(hc_words,{no})", found.words if found else LOOKUP, "calc flow")
    verdict = (f'=IF({us},IF({c.usable}=0,"mend the lines first",IF(INDEX(hc_ok,{no})=0,"figures not confirmed",IF({code}=1,"met",'
               f'IF({code}=0,"cannot be judged","not met")))),"US rules only")')
    sheet.formula(row, A, verdict, found.verdict if found else LOOKUP, "calc bold flow")
    sheet.merges += [(row, A, row, B), (row, C, row, F)]
    words = []
    for n in range(len(ALWAYS)):
        cell = f"INDEX({common},{n + 1})"
        words.append(f'IF({cell}=1,"","; "&IF({cell}=0,"open: ","fails: ")&INDEX(hcc_what,{n + 1}))')
    for k, cell in enumerate(codes):
        at = a1(row, WORK + 2 * k, fix_col=True)
        words.append(f'IF({cell}=1,"","; "&IF({cell}=0,"open: ","fails: ")&INDEX(hcc_what,{at}))')
    sheet.formula(row, C, f'=IF({us},IF({code}=1,"",MID({"&".join(words)},3,250)),"")', LOOKUP, "calc small flow")
    sheet.formula(row, G, f'=INDEX(hc_section,{no})', LOOKUP, "calc small")
    sheet.formula(row, LAST, f'=INDEX(hc_note,{no})&""', LOOKUP, "calc small flow")
    sheet.heights[row] = 30


def put_healthy_groups(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, c: Chosen, row: int) -> int:
    """The word healthy for foods of one food group, by the figures at hand."""
    row = section(sheet, row, "The word healthy, foods of a single food group (21 CFR 101.65(d), rule of 2024)",
                  "For mixed products, main dishes and meals see the row Healthy on the recipe sheet. Most figures are remembered, not read: nothing here is printed. "
                  "Foods with no other added ingredient than water count by their kind alone, without these limits.", 1)
    heads(sheet, row, ("No.", "Food group", "Equivalents in the amount", "Added sugars, % DV", "Sodium, % DV", "Saturated fat, % DV", "By remembered figures",
                       "Limits: sugars, sodium, saturated fat", "Figures", "Remark"))
    sheet.heights[row] = 42
    amount = f'IF({c.word}="food",IF({c.racc}=0,0,IF({c.racc}<=const_healthy_small_g,const_small_basis_g,{c.racc})/{c.serving_g}),1)'
    factor = sheet.formula(row, WORK, f"=IF({c.usable}=0,0,{amount})", LOOKUP, "work general")
    row += 1
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for i, group in enumerate(plan.rules.healthy_groups):
        at = row + i
        no = a1(at, NO, fix_col=True)
        sheet.put(at, NO, i + 1, "calc small centre")
        sheet.put(at, NAME, group.name, "calc")
        eq = f"INDEX(res_all_groups,{c.slot},{no})"
        sheet.formula(at, A, f"={eq}*{factor}", LOOKUP, "calc n2")
        for col, tag in ((B, "SUGAD"), (C, "NA"), (D, "FASAT")):
            value = f"(INDEX(res_v_{tag},{c.slot})+INDEX(res_u_{tag},{c.slot}))*{factor}"
            sheet.formula(at, col, f"={value}/INDEX(dv_us,{numbers[tag]})*100", LOOKUP, "calc n0")
        cells = [a1(at, col, fix_col=True) for col in (A, B, C, D)]
        within = [f"ROUND({x},9)<=INDEX({name},{no})" for x, name in zip(cells[1:], ("hg_sugars", "hg_sodium", "hg_sat"), strict=True)]
        only = f"ROUND(INDEX(res_all_groups,{c.slot},{no}),9)>0"
        sheet.formula(at, E, f'=IF({factor}=0,"cannot be judged",IF({only}=FALSE,"not in this dish",IF(AND(ROUND({cells[0]},9)>=1,{",".join(within)}),"would hold","would fail")))',
                      LOOKUP, "calc small flow")
        sheet.formula(at, F, f'=INDEX(hg_sugars,{no})&", "&INDEX(hg_sodium,{no})&", "&INDEX(hg_sat,{no})&" %"', LOOKUP, "calc small")
        sheet.put(at, G, group.proof.status, "calc small")
        sheet.put(at, LAST, group.proof.note, "calc small flow")
        sheet.heights[at] = 20
    return row + len(plan.rules.healthy_groups) + 1
