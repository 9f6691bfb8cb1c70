"""Labels: words on the pack against their definitions, with the reason."""

from __future__ import annotations

from workbookgen.model.pack import KINDS, MOST_CONDITIONS, MOST_WORDS, Pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack_words import (
    INGREDIENTS,
    LESS,
    LIGHT_CUT,
    MEETS,
    SHARES,
    WordVerdict,
    judge_words,
    quantity_values,
)
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, column_name
from workbookgen.workbook.labels_layout import (
    BASES,
    COMPARED,
    COMPARED_MORE,
    GROUP,
    HEAD,
    LIMIT,
    SLOT,
    LabelsLayout,
)
from workbookgen.workbook.pack_tables import first_and_count
from workbookgen.workbook.typed import place
from workbookgen.workbook.words import in_words

UNKNOWN_WORD, NOT_DEFINED = "not in the list of words", "not defined for this kind of product"


def put_word_heads(sheet: Sheet, lay: LabelsLayout, kitchen: Kitchen) -> None:
    """Headings of quantities and of the five words."""
    sheet.put(GROUP, lay.col["c_" + COMPARED[0]], "Compared product, 100 g", "label")
    for tag in COMPARED:
        sheet.put(HEAD, lay.col["c_" + tag], f"{kitchen.nutrient_by_tag[tag].name}", "workhead")
    for key, head in COMPARED_MORE:
        sheet.put(HEAD, lay.col[key], head, "workhead")
    sheet.put(GROUP, lay.col["q_1"], "Quantities of 100 g that definitions ask for", "label")
    for number, (_, name, unit) in enumerate(kitchen.pack_rules.quantities, 1):
        sheet.put(HEAD, lay.col[f"q_{number}"], f"{name}, {unit}".rstrip(", "), "workhead")
    for slot in range(1, MOST_WORDS + 1):
        sheet.put(GROUP, lay.col[f"n_{slot}"], f"Word {slot}", "label")
        for key, head, _, _ in SLOT:
            sheet.put(HEAD, lay.col[f"{key}_{slot}"], head, "workhead")
        for k in range(1, MOST_CONDITIONS + 1):
            sheet.put(LIMIT, lay.col[f"s{k}_{slot}"], k, "work n0")
    sheet.put(HEAD, lay.col["words"], "All words in short", "workhead")


def put_words(
    sheet: Sheet, lay: LabelsLayout, kitchen: Kitchen, row: int, index: int, pack: Pack | None
) -> None:
    """Quantities, states of conditions and verdicts of one product."""
    c = {key: lay.cell(key, row) for key in lay.col}
    other = kitchen.food_by_name.get(pack.compare.lower()) if pack and pack.compare else None
    values = quantity_values(kitchen, kitchen.pack_rules, pack, other) if pack else {}
    for tag in COMPARED:
        found = f"INDEX(food_{column_name(tag)},{c['r_cmp']})"
        formula = f'=IF({c["r_cmp"]}=0,"",IF(ISNUMBER({found}),{found},""))'
        theirs = other.values.get(tag, "") if other else ""
        sheet.formula(row, lay.col["c_" + tag], formula, theirs if pack else LOOKUP, "work n2")
    sheet.formula(row, lay.col["c_share"], "=" + _share(c["c_FAT"], c["c_ENERC_KCAL"]), LOOKUP, "work n1")
    for key, statement in (("c_cal", "low_calorie"), ("c_fat", "low_fat")):
        sheet.formula(
            row, lay.col[key], "=" + _meets(lay, kitchen, c, statement, KINDS[0]), LOOKUP, "work n0"
        )
    for number, (name, _, _) in enumerate(kitchen.pack_rules.quantities, 1):
        found_value = values.get(name)
        value: Value | _Lookup = LOOKUP if pack is None else "" if found_value is None else found_value
        formula = "=" + _quantity(lay, kitchen, c, name, index)
        sheet.formula(row, lay.col[f"q_{number}"], formula, value, "work n2")
    verdicts = judge_words(kitchen, kitchen.pack_rules, pack, other) if pack else ()
    for slot in range(1, MOST_WORDS + 1):
        verdict = verdicts[slot - 1] if slot <= len(verdicts) else None
        _put_slot(sheet, lay, row, index, slot, verdict, pack is not None)
    parts = [
        f'IF({c[f"n_{s}"]}=0,"","; "&IF({c[f"n_{s}"]}<0,"a word",INDEX(pack_word,MAX(1,{c[f"n_{s}"]})))&": "&{c[f"verdict_{s}"]})'
        for s in range(1, MOST_WORDS + 1)
    ]
    sheet.formula(row, lay.col["words"], f"=MID({'&'.join(parts)},3,const_words_letters*5)", LOOKUP, "work")


def _share(part: str, energy: str) -> str:
    return f'IF(AND(ISNUMBER({part}),ISNUMBER({energy})),IF({energy}>0,{part}*const_general_fat/{energy}*100,""),"")'


def _quantity(lay: LabelsLayout, kitchen: Kitchen, c: dict[str, str], name: str, index: int) -> str:
    """A quantity per 100 g (nutrients), in per cent (shares), or a number of ingredients; "" when unknown."""
    if name in INGREDIENTS:
        said = place(lay.typed(INGREDIENTS[name], index), "list_known", "0")
        return f'IF({said}=0,"",IF(INDEX(list_known,MAX(1,{said}))="yes",1,IF(INDEX(list_known,MAX(1,{said}))="no",0,"")))'
    if name in SHARES:
        return _share(c[lay.quantity(SHARES[name])], c[lay.quantity("ENERC_KCAL")])
    if name.startswith(LESS):
        mine, theirs = c[lay.quantity(name.removeprefix(LESS))], c["c_" + name.removeprefix(LESS)]
        return f'IF(AND(ISNUMBER({mine}),ISNUMBER({theirs})),IF({theirs}>0,(1-{mine}/{theirs})*100,""),"")'
    if name.startswith(MEETS):
        one, two, three = (_meets(lay, kitchen, c, name.removeprefix(MEETS), kind) for kind in KINDS)
        return f"IF({c['r_kind']}=1,{one},IF({c['r_kind']}=2,{two},{three}))"
    if name == LIGHT_CUT:
        return _light(lay, c)
    if "v_" + name not in lay.col:
        return '""'
    value = c["v_" + name]
    return f'IF(AND({c["r_g"]}>0,ISNUMBER({value})),{value}/{c["r_g"]}*100,"")'


def _meets(lay: LabelsLayout, kitchen: Kitchen, c: dict[str, str], statement: str, kind: str) -> str:
    """1 when the compared product meets a statement, 0 when not, "" when a figure is missing."""
    first, _ = first_and_count(kitchen, statement, kind)
    needed: list[str] = []
    held: list[str] = []
    for place_, condition in enumerate(kitchen.pack_rules.meets[statement, kind]):
        share = condition.quantity in SHARES
        if share:
            part = c["c_" + SHARES[condition.quantity]]
            value = f"{part}*const_general_fat/{c['c_ENERC_KCAL']}*100"
            needed += [f"ISNUMBER({part})", f"IF(ISNUMBER({c['c_ENERC_KCAL']}),{c['c_ENERC_KCAL']}>0,FALSE)"]
        else:
            value = c["c_" + condition.quantity]
            needed.append(f"ISNUMBER({value})")
        grams = {"reference": c["g_reference"], "small 50 g": c["g_small"], "100 g": c["g_hundred"]}.get(
            condition.basis
        )
        measured = f"{value}*{grams}/100" if grams else value
        test = f"ROUND({measured},9){condition.sign}ROUND(INDEX(pack_limit,{first + place_}),9)"
        held.append(f"OR({c['g_small']}=0,{test})" if condition.basis == "small 50 g" else test)
    return f'IF(AND({",".join(needed)}),IF(AND({",".join(held)}),1,0),"")'


def _light(lay: LabelsLayout, c: dict[str, str]) -> str:
    """Reductions of 21 CFR 101.56(b), (c)."""
    fat, energy, sodium = (c[lay.quantity(LESS + tag)] for tag in ("FAT", "ENERC_KCAL", "NA"))

    def reached(cut: str, limit: str) -> str:
        return f"IF(ISNUMBER({cut}),ROUND({cut},9)>=ROUND({limit},9),FALSE)"

    halved = f'IF(ISNUMBER({sodium}),IF({reached(sodium, "const_light_sodium_cut")},1,0),"")'
    third = (
        f'IF({reached(energy, "const_light_energy_cut")},1,IF(AND(ISNUMBER({fat}),ISNUMBER({energy})),0,""))'
    )
    fat_only = f'IF(ISNUMBER({fat}),0,"")'
    plain = f"IF({reached(fat, 'const_light_fat_cut')},1,IF(ROUND({c['c_share']},9)<const_light_fat_share,{third},{fat_only}))"
    known = f"AND(ISNUMBER({c['c_cal']}),ISNUMBER({c['c_fat']}),ISNUMBER({c['c_share']}))"
    return f'IF({known},IF({c["c_cal"]}+{c["c_fat"]}=2,{halved},{plain}),"")'


def _put_slot(
    sheet: Sheet, lay: LabelsLayout, row: int, index: int, slot: int, verdict: WordVerdict | None, known: bool
) -> None:
    def cell(key: str) -> str:
        return lay.cell(f"{key}_{slot}", row)

    def put(key: str, formula: str, value: Value | _Lookup = LOOKUP) -> None:
        style = next(style for name, _, _, style in SLOT if name == key)
        sheet.formula(row, lay.col[f"{key}_{slot}"], formula, value, f"work {style}".strip())

    x = lay.typed(f"w{slot}", index)
    kind, number = lay.cell("r_kind", row), cell("n")
    put("n", f"=IF(ISBLANK({x}),0,{place(x, 'pack_word', '-1')})")
    for key, name in (("from", "pack_from"), ("rows", "pack_rows")):
        of_kind = ",".join(f"INDEX({name}_{k},{number})" for k in (1, 2, 3))
        put(key, f"=IF({number}<=0,0,CHOOSE({kind},{of_kind}))")
    quantities = lay.across("q_1", f"q_{len(lay.quantities)}", row)
    grams = lay.across(BASES[0], BASES[-1], row)
    for k in range(1, MOST_CONDITIONS + 1):
        state: Value | _Lookup = LOOKUP
        if known:
            state = verdict.states[k - 1] if verdict and k <= len(verdict.states) else ""
        order = a1(LIMIT, lay.col[f"s{k}_{slot}"], True, True)
        at = f"MAX(1,{cell('from')}+{order}-1)"
        measured, asked_not = _measured(quantities, grams, at)
        sign, limit = f"INDEX(pack_sign,{at})", f"ROUND(INDEX(pack_limit,{at}),9)"
        holds = (
            f'IF({sign}="<=",ROUND({measured},9)<={limit},IF({sign}="<",ROUND({measured},9)<{limit},'
            f'IF({sign}=">=",ROUND({measured},9)>={limit},ROUND({measured},9)>{limit})))'
        )
        unknown = f"ISTEXT(INDEX({quantities},INDEX(pack_q,{at})))"
        put(
            f"s{k}",
            f'=IF({order}>{cell("rows")},"",IF({asked_not},"",IF({unknown},"cannot be judged",IF({holds},"holds","fails"))))',
            state,
        )
    states = lay.across(f"s1_{slot}", f"s{MOST_CONDITIONS}_{slot}", row)
    said: Value | _Lookup = LOOKUP if not known else verdict.verdict if verdict else ""
    put(
        "verdict",
        f'=IF({number}=0,"",IF({number}<0,"{UNKNOWN_WORD}",IF({cell("rows")}=0,"{NOT_DEFINED}",'
        f'IF(COUNTIF({states},"fails")>0,"fails",IF(COUNTIF({states},"cannot be judged")>0,"cannot be judged","holds")))))',
        said,
    )
    put(
        "pick",
        f"=IF({cell('rows')}=0,0,IFERROR(MATCH({cell('verdict')},{states},0),0))",
        verdict.picked if verdict else LOOKUP,
    )
    at = f"MAX(1,{cell('from')}+{cell('pick')}-1)"
    measured, _ = _measured(quantities, grams, at)
    value: Value | _Lookup = LOOKUP
    if verdict and verdict.picked:
        found = verdict.values[verdict.picked - 1]
        value = "" if found is None else found
    quantity = f"INDEX({quantities},INDEX(pack_q,{at}))"
    put("value", f'=IF({cell("pick")}=0,"",IF(ISTEXT({quantity}),"",{measured}))', value)
    unit = f"INDEX(pack_qunit,INDEX(pack_q,{at}))"
    told = f'IF(OR(ISTEXT({cell("value")}),{unit}=""),"",", here "&{in_words(cell("value"), 1)}&" "&{unit})'
    put(
        "why", f'=IF({cell("pick")}=0,"","asked: "&INDEX(pack_asked,{at})&{told})'
    )


def _measured(quantities: str, grams: str, at: str) -> tuple[str, str]:
    """The measured value of a row of conditions, and whether it is not asked (a reference amount that is not small)."""
    basis = f"INDEX(pack_basis,{at})"
    amount = f"INDEX({grams},MAX(1,{basis}))"
    value = f"INDEX({quantities},INDEX(pack_q,{at}))"
    return f"({value}*IF({basis}=0,1,{amount}/100))", f"IF({basis}=0,FALSE,{amount}=0)"
