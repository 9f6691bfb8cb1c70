"""On the sheet Statements: the chosen recipe against a packaged product of the sheet Labels."""

from __future__ import annotations

from workbookgen.model.claims import SETS, US
from workbookgen.model.pack import Pack
from workbookgen.nutrition.claims_pack import FOOD, NOT_ON_LABEL, OTHER_KIND, AgainstPack, judge_against_pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, a1, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.labels_layout import FIRST, SHEET, labels_layout
from workbookgen.workbook.recipe_measures import Judged
from workbookgen.workbook.statements_compare import also_code, change_bounds
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
from workbookgen.workbook.typed import text
from workbookgen.workbook.words import in_words

CHOOSE = "choose a product of the sheet Labels"


def name_labels(book: Book, kitchen: Kitchen) -> None:
    """Names for what the block reads from the sheet Labels."""
    lay = labels_layout(kitchen)
    sheet = next(s for s in book.sheets if s.name == SHEET)
    for name, first, last in (("pack_product", "r_name", "r_name"), ("pack_grams", "r_g", "r_g"),
                              ("pack_least", "lo_" + lay.tags[0], "lo_" + lay.tags[-1]),
                              ("pack_most", "hi_" + lay.tags[0], "hi_" + lay.tags[-1])):  # fmt: skip
        book.name_range(name, sheet, FIRST, lay.col[first], lay.last, lay.col[last])


def like(pack: Pack, judged: Judged) -> bool:
    """May the product stand beside the dish from the start? Main dishes and meals with their kind, foods with a
    product of the same reference amount (21 CFR 101.13(j)(1): the reference must be a similar food)."""
    word, racc = judged.verdicts.dish_word, judged.dish.racc
    return pack.kind == word and (word != FOOD or (racc is not None and pack.reference == racc.id))


def put_pack_comparisons(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, c: Chosen, row: int) -> int:
    """Reduced, light and more against a product whose label is typed on Labels."""
    row = section(sheet, row, "Compared with a packaged product: reduced, light, more",
                  "Choose a product of the sheet Labels. A label prints rounded amounts: a word holds only where it holds for every amount the rounding "
                  "allows. The product must be like the dish and not itself low; its name, the per cent and both amounts stand beside the words (21 CFR 101.13(j)).", 2)
    pack = next((p for p in kitchen.packs if c.judged and like(p, c.judged)), None)
    first, at, hint = row, row + 1, row + 2
    sheet.put(first, NAME, "Product", "label")
    sheet.put(at, NAME, pack.name if pack else "", "input")
    sheet.put(hint, NAME, "a name from the sheet Labels", "hint")
    sheet.choose_from(at, NAME, at, NAME, "=pack_product", "Product", "Choose from the list.")
    sheet.heights[at] = 22
    name = text(f"INDEX({block(first, NAME, hint, NAME)},2)", "const_words_letters")
    facts: list[str] = []
    ready = f'AND(INDEX(res_bad,{c.slot})=0,INDEX(res_serving_g,{c.slot})>0,INDEX(res_servings,{c.slot})>0)'
    for k, (head, formula) in enumerate((
        ("Product no.", f'=IF({name}="",0,IFERROR(MATCH({name},pack_product,0),0))'),
        ("Its serving, g", "=IF({0}=0,0,INDEX(pack_grams,{0}))"), ("Usable (1 = yes)", f"=IF(AND({ready},{{1}}>0),1,0)"),
        ("Grams compared", f'=IF({{2}}=0,0,IF({c.word}="food",{c.racc},100))'), ("Servings compared, this dish", f"=IF({{3}}=0,0,{{3}}/{c.serving_g})"),
        ("Servings compared, product", "=IF({3}=0,0,{3}/{1})"),
    )):
        sheet.put(first, WORK + k, head, "workhead")
        facts.append(sheet.formula(at, WORK + k, formula.format(*facts), LOOKUP, "work general"))
    sheet.formula(at, A, f'=IF({facts[0]}=0,"{CHOOSE}",IF({facts[2]}=0,"mend the lines of the recipe or the serving of the product first",'
                         f'IF({facts[3]}=0,"reference amount missing: see the recipe sheet","")))', LOOKUP, "message")
    sheet.formula(at, D, f'=IF({facts[3]}=0,"","both counted on "&{in_words(facts[3], 0)}&" g")', LOOKUP, "calc small")
    sheet.merges += [(at, A, at, C), (at, D, at, E)]
    row = hint + 1
    heads(sheet, row, ("No.", "Statement", "This dish", "Product, least", "Product, most", "Needed", "Verdict", "Rule", "Figures", "What stands beside it, or why not"))
    for k, head in enumerate(("Row", "Column of Labels", "This: at most", "This: unknown", "Product is not low", "Further condition", "Code")):
        sheet.put(row, WORK + k, head, "workhead")
    row += 1
    counts = [sum(x.rule_set == s for x in plan.rules.comparisons) for s in SETS]
    judged = []
    if c.judged and pack:
        dish, verdicts = c.judged.dish, c.judged.verdicts
        judged = [judge_against_pack(x, dish, verdicts, pack) for x in plan.rules.comparisons if x.rule_set == verdicts.rule_set]
    for k in range(max(counts)):
        found = judged[k] if k < len(judged) else None
        _put_row(sheet, row + k, k + 1, c, facts, found, bool(judged))
    last = row + max(counts) - 1
    sheet.conditions.append((row, E, last, E, {"type": "cell", "criteria": "==", "value": '"holds"'}, "holds"))
    return last + 2


def _put_row(sheet: Sheet, row: int, k: int, c: Chosen, facts: list[str], found: AgainstPack | None, known: bool) -> None:
    product, _, usable, grams, mine, theirs = facts
    sheet.put(row, NO, k, "calc small centre")
    no = a1(row, NO, fix_col=True)
    at, place, most_a, short_a, not_low, also, code = (a1(row, WORK + n, fix_col=True) for n in range(7))

    def work(n: int, formula: str, value: Value | None = None) -> None:
        sheet.formula(row, WORK + n, formula, LOOKUP if value is None else value, "work general")

    work(0, f"=IF({no}<=INDEX(cmp_count,{c.rule_set}),INDEX(cmp_first,{c.rule_set})+{no}-1,0)")
    work(1, f"=IF({at}=0,0,INDEX(cmp_label,{at}))")
    sheet.formula(row, NAME, f'=IF({at}=0,"",INDEX(cmp_words,{at}))', found.comparison.words if found else ("" if known else LOOKUP), "calc")
    shown = found is not None and found.verdict not in (NOT_ON_LABEL, "cannot be judged")
    a, low, high = (a1(row, col, fix_col=True) for col in (A, B, C))
    ready = f"AND({at}>0,{grams}>0)"
    amount, most, short = change_bounds(at, c.slot, mine)
    sheet.formula(row, A, f'=IF({ready},{amount},"")', found.amount if shown and found else LOOKUP, "calc n2")
    declared = f"AND({ready},{place}>0)"
    for col, names, value in ((B, "pack_least", found.least if found else 0.0), (C, "pack_most", found.most if found else 0.0)):
        cell = f"INDEX({names},{product},{place})"
        sheet.formula(row, col, f'=IF({declared},IF(ISNUMBER({cell}),{cell}*{theirs},""),"")', value if shown else LOOKUP, "calc n2")
    work(2, f"=IF({ready},{a}+{most},0)")
    work(3, f"=IF({at}=0,0,IF({short}>0,1,0))")
    less, pct, least = f"INDEX(cmp_less,{at})=1", f"INDEX(cmp_pct,{at})=1", f"INDEX(cmp_least,{at})"
    dv = f"IF({c.rule_set}={SETS.index(US) + 1},INDEX(dv_us,INDEX(cmp_n1,{at})),INDEX(dv_eu,INDEX(cmp_n1,{at})))"
    unit = f'IF({pct}," % "," points ")&IF({less},"less","more")'
    sheet.formula(row, D, f'=IF({at}=0,"",{in_words(least, 1)}&{unit})', LOOKUP, "calc small flow")
    usual = f"ISNUMBER({low})"

    def fall(of: str, to: str) -> str:
        return f"ROUND(IF({of}<=0,0,({of}-{to})/{of}*100),9)"

    def rise(of: str) -> str:
        return f"ROUND(IF({pct},IF({of}<=0,0,({a}-{of})/{of}*100),({a}-{of})/{dv}*100),9)"

    bounded, needed = f"INDEX(cmp_b1,{at})>0", f"ROUND({least},9)"
    fewer = f"IF(AND(OR({short_a}=0,{bounded}),{low}>0,{fall(low, most_a)}>={needed}),1,IF({fall(high, a)}>={needed},0,-1))"
    more = f"IF({rise(high)}>={needed},1,IF(OR({short_a}=1,{rise(low)}>={needed}),0,-1))"
    limit = f'IF({c.word}="food",INDEX(cmp_low_food,{at}),IF({c.word}="main dish",INDEX(cmp_low_main,{at}),INDEX(cmp_low_meal,{at})))'
    work(4, f"=IF({at}=0,0,IF(INDEX(cmp_not,{at})=0,1,IF(AND({usual},{limit}>0),IF(ROUND({low},9)>ROUND(INDEX(con_limit,MAX(1,{limit})),9),1,0),0)))")
    energy = [f"INDEX({names},{product},label_energy)" for names in ("pack_least", "pack_most")]
    fat = [f"INDEX({names},{product},label_fat)" for names in ("pack_least", "pack_most")]
    lim = f"ROUND(INDEX(cmp_limit,{at}),9)"
    share_high = f"ROUND(IF({energy[0]}>0,{fat[1]}*const_general_fat/{energy[0]}*100,INDEX(cmp_limit,{at})),9)"
    share_low = f"ROUND(IF({energy[1]}>0,{fat[0]}*const_general_fat/{energy[1]}*100,0),9)"
    half = f"IF(AND(ISNUMBER({energy[0]}),ISNUMBER({fat[0]})),IF({share_high}<{lim},1,IF({share_low}<{lim},0,-1)),0)"
    own = f"ROUND(INDEX(res_v_ENERC_KCAL,{c.slot})*{mine},9)"
    higher = f"IF(ISNUMBER({energy[0]}),IF({own}<=ROUND({energy[0]}*{theirs},9),1,IF({own}<=ROUND({energy[1]}*{theirs},9),0,-1)),0)"
    work(5, f"=IF({declared},{also_code(at, c.slot, mine, half, higher)},1)")
    kind = f'AND(INDEX(cmp_dish,{at})<>"any",INDEX(cmp_dish,{at})<>{c.word})'
    work(6, f"=IF({declared},IF({usual},IF({kind},0,MIN(IF({less},{fewer},{more}),{not_low},{also})),0),0)", float(found.code) if found else None)
    verdict = (f'=IF({at}=0,"",IF({product}=0,"choose a product",IF({usable}=0,"mend the lines first",IF({grams}=0,"cannot be judged",IF({usual},IF({kind},'
               f'"{OTHER_KIND}",IF({code}=1,"holds",IF({code}=0,"cannot be judged","fails"))),"{NOT_ON_LABEL}")))))')
    sheet.formula(row, E, verdict, found.verdict if found else LOOKUP, "calc bold flow")
    sheet.formula(row, F, f'=IF({at}=0,"",INDEX(cmp_section,{at}))', LOOKUP, "calc small flow")
    sheet.formula(row, G, f'=IF({at}=0,"",INDEX(cmp_status,{at}))', LOOKUP, "calc small")
    found_change = f"IF({less},{fall(low, a)},{rise(high)})"
    unit_name = f"INDEX(nut_unit,INDEX(cmp_n1,{at}))"
    beside = (f'"at least "&{in_words(found_change, 0)}&IF({pct}," %"," points of % DV")&IF({less}," less"," more")&" than "&INDEX(pack_product,{product})&": "'
              f'&{in_words(a, 1)}&" against "&{in_words(low, 1)}&" to "&{in_words(high, 1)}&" "&{unit_name}')
    why = (f'IF({code}=1,{beside},IF({not_low}<1,"the product may itself be low",IF({also}<1,INDEX(cmp_note,{at})&"",IF({code}=0,'
           f'IF({short_a}=1,"part of the ingredients is not known","inside what the label\'s rounding leaves open"),""))))')
    sheet.formula(row, LAST, f'=IF({at}=0,"",IF(AND({usual},{grams}>0),IF({kind},"",{why}),""))', LOOKUP, "calc small flow")
    sheet.heights[row] = 21
