"""Labels: what was typed as read, what rounding allows, typing checks."""

from __future__ import annotations

from workbookgen.model.pack import Pack
from workbookgen.model.tables import RoundingRule
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import (
    ALLERGENS,
    allowed,
    energy_fits,
    energy_span,
    percent_fits,
    serving_g_per_ml,
    used_amounts,
)
from workbookgen.nutrition.pack_words import amounts
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1
from workbookgen.workbook.labels_layout import BASES, FIRST, GROUP, HEAD, LIMIT, READ, LabelsLayout
from workbookgen.workbook.recipe_results import rounded
from workbookgen.workbook.typed import allergen_marks, number, place, text, unknown_words, word_list
from workbookgen.workbook.words import in_words, tidy, to_step


def put_working_heads(sheet: Sheet, lay: LabelsLayout, kitchen: Kitchen) -> None:
    """Headings of the working columns."""
    sheet.put(GROUP, lay.col["r_name"], "Inputs as read and typing checks", "label")
    for key, head, _, _ in READ:
        sheet.put(HEAD, lay.col[key], head, "workhead")
    titles = (
        ("a_", lay.tags, "declared"), ("p_", lay.percents, "printed %"), ("v_", lay.tags, "used, per serving"),
        ("lo_", lay.tags, "rounding allows from"), ("hi_", lay.tags, "to"), ("f_", lay.percents, "% fits"),
    )  # fmt: skip
    for prefix, tags, title in titles:
        sheet.put(GROUP, lay.col[prefix + tags[0]], title, "label")
        for tag in tags:
            sheet.put(
                HEAD, lay.col[prefix + tag], f"{kitchen.nutrient_by_tag[tag].name}: {title}", "workhead"
            )


def put_working(
    sheet: Sheet,
    lay: LabelsLayout,
    kitchen: Kitchen,
    row: int,
    index: int,
    pack: Pack | None,
    fixed_names: str,
) -> None:
    """One product as read and checked. Stored values of nutrition cells come from the core."""
    c = {key: lay.cell(key, row) for key in lay.col}
    core = _core(lay, kitchen, pack)
    styles = {key: f"work {style}".strip() for key, _, _, style in READ}
    formulas = _as_read(lay, row, index, c, fixed_names) | _amounts(c) | _checks(lay, row, c)
    for key, formula in formulas.items():
        sheet.formula(row, lay.col[key], formula, core.get(key, LOOKUP), styles[key])
    sheet.put(row, lay.col["g_hundred"], 100.0, "work n0")
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for tag in lay.tags:
        rule = kitchen.tables.rounding.get(tag)
        for key, formula in _nutrient(lay, row, index, c, tag, numbers[tag], rule).items():
            sheet.formula(row, lay.col[key], formula, core.get(key, LOOKUP), "work general")


def _as_read(lay: LabelsLayout, row: int, index: int, c: dict[str, str], fixed_names: str) -> dict[str, str]:
    def x(key: str) -> str:
        return lay.typed(key, index)

    name = text(x("name"), "const_words_letters")
    above = f"{a1(HEAD, lay.col['r_name'], True, True)}:{a1(row - 1, lay.col['r_name'], False, True)}"
    usable = f'IF({name}="","",IF(OR(ISNUMBER(MATCH({name},{fixed_names},0)),ISNUMBER(MATCH({name},{above},0))),"",{name}))'
    ml = (
        'IF({u}="cup",const_label_cup_ml,IF({u}="tbsp",const_label_tbsp_ml,IF({u}="tsp",const_label_tsp_ml,'
        'IF({u}="fl oz",const_label_floz_ml,INDEX(unit_factor,{r})))))'
    ).format(u=c["r_su"], r=c["r_unit"])
    volume = f'IF({c["r_unit"]}=0,FALSE,INDEX(unit_kind,{c["r_unit"]})="volume")'
    return {
        "r_name": f"={usable}",
        "r_sa": f"={number(x('s_amount'), 'const_amount_min', 'const_amount_max')}",
        "r_su": f"={text(x('s_unit'), 'const_words_letters')}",
        "r_g": f"={number(x('s_g'), 'const_amount_min', 'const_pack_serving_max', '0')}",
        "r_unit": f'=IF({c["r_su"]}="",0,IFERROR(MATCH({c["r_su"]},unit_name,0),0))',
        "r_kind": f"={place(x('kind'), 'pack_kind', '1')}",
        "r_ref": f"={place(x('reference'), 'pack_racc')}",
        "r_cmp": f'=IF({text(x("compare"))}="",0,{place(x("compare"), "food_name")})',
        "d_raw": f'=IF(AND({c["r_g"]}>0,ISNUMBER({c["r_sa"]}),{volume}),{c["r_g"]}/({c["r_sa"]}*{ml}),"")',
        "dens": f'=IF(ISNUMBER({c["d_raw"]}),IF(AND({c["d_raw"]}>=const_density_min,{c["d_raw"]}<=const_density_max),{c["d_raw"]},""),"")',
        "own": f'=IF({c["r_su"]}="",0,IF(AND({c["r_unit"]}=0,ISNUMBER({c["r_sa"]}),{c["r_su"]}<>"serving"),1,0))',
        "alg_list": f"={word_list(x('contains'))}",
        "alg": f"={allergen_marks(c['alg_list'], x('checked'))}",
        "odd": f"={unknown_words(c['alg_list'], ALLERGENS)}",
    }


def _amounts(c: dict[str, str]) -> dict[str, str]:
    """Grams on which conditions are judged (21 CFR 101.12, 101.13(h)(1))."""
    grams, racc, ml = c["r_g"], c["r_ref"], c["r_ml"]
    in_g, in_ml = f"INDEX(pack_racc_g,{racc})", f"INDEX(pack_racc_ml,{racc})"

    def small(least_g: str, least_ml: str) -> str:
        by_ml = f"IF(ISNUMBER({ml}),{ml}<={least_ml},FALSE)"
        return f"OR(ROUND({c['g_reference']},9)<={least_g},{by_ml})"

    return {
        "r_ml": f'=IF({racc}=0,"",IF(AND(ISNUMBER({in_ml}),ISNUMBER({c["dens"]})),{in_ml},""))',
        "g_reference": f"=IF(OR({grams}=0,{racc}=0),{grams},IF(ISNUMBER({in_g}),{in_g},IF(ISNUMBER({ml}),{ml}*{c['dens']},{grams})))",
        "g_serving": f"={grams}",
        "g_small": f"=IF({grams}=0,0,IF({small('const_small_racc_g', 'const_small_racc_ml')},const_small_basis_g,0))",
        "g_healthy": f"=IF({grams}=0,0,IF({small('const_healthy_small_g', 'const_healthy_small_ml')},const_small_basis_g,"
                     f"{c['g_reference']}))",
    }  # fmt: skip


def _checks(lay: LabelsLayout, row: int, c: dict[str, str]) -> dict[str, str]:
    first, last = "i_" + lay.tags[0], list(lay.col)[lay.front_last]
    typed = lay.across(first, last, row)
    read = lay.across("a_" + lay.tags[0], list(lay.col)[lay.col["v_" + lay.tags[0]] - 1], row)
    macro = [f"ISNUMBER({c['a_' + tag]})" for tag in ("PROCNT", "FAT", "CHOCDF")]
    parts = (
        ("PROCNT", "const_general_protein"),
        ("FAT", "const_general_fat"),
        ("CHOCDF", "const_general_carbohydrate"),
    )
    low = "+".join(f"{c['lo_' + tag]}*{factor}" for tag, factor in parts)
    high = "+".join(f"{c['hi_' + tag]}*{factor}" for tag, factor in parts)
    fibre = f"IF(ISNUMBER({c['a_FIBTG']}),{c['hi_FIBTG']},0)*const_general_carbohydrate"
    named = f'{c["r_name"]}<>""'
    name, grams = lay.typed("name", row - FIRST), lay.typed("s_g", row - FIRST)
    unread = [f"{key}_{i}" for key in ("n",) for i in range(1, 6)]
    slots = "+".join(f"IF({c[key]}<0,1,0)" for key in unread)
    return {
        "bad": f"=COLUMNS({typed})-COUNTBLANK({typed})-COUNT({read})",
        "e_low": f'=IF(AND({",".join(macro)}),MAX(0,{low}-{fibre}),"")',
        "e_high": f'=IF(AND({",".join(macro)}),{high},"")',
        "e_fit": f'=IF(AND(ISNUMBER({c["e_low"]}),ISNUMBER({c["a_ENERC_KCAL"]})),IF(AND(ROUND({c["hi_ENERC_KCAL"]},9)>='
                 f'ROUND({c["e_low"]},9),ROUND({c["lo_ENERC_KCAL"]},9)<=ROUND({c["e_high"]},9)),1,0),"")',
        "p_bad": f"=COUNTIF({lay.across('f_' + lay.percents[0], 'f_' + lay.percents[-1], row)},0)",
        "problem": f'=IF({c["r_name"]}="",IF(ISBLANK({name}),IF(ISBLANK({grams}),"","type the name of the product"),'
                   f'"name: at most "&const_words_letters&" letters, and no food of this name yet"),IF(AND({named},{c["r_g"]}=0),'
                   f'"type the weight of one serving in grams",IF({slots}>0,"a word on the pack is not of the list",'
                   f'IF(AND(NOT(ISBLANK({lay.typed("compare", row - FIRST)})),{c["r_cmp"]}=0),"compared product: choose a food of the list",""))))',
    }  # fmt: skip


def _nutrient(
    lay: LabelsLayout, row: int, index: int, c: dict[str, str], tag: str, no: int, rule: RoundingRule | None
) -> dict[str, str]:
    x, limit = lay.typed("i_" + tag, index), a1(LIMIT, lay.col["i_" + tag], True, True)
    a, lo, hi = c["a_" + tag], c["lo_" + tag], c["hi_" + tag]
    read = number(x, "0", limit)
    if rule is not None and rule.text_amount > 0:
        said = f'SUBSTITUTE(SUBSTITUTE(LOWER(LEFT({tidy(x)},100))," ",""),"lessthan","<")'
        words = f'"<"&{in_words(f"INDEX(lab_text_amount,{no})", 2)}'
        read = f'IF(ISTEXT({x}),IF(OR({said}={words},{said}={words}&INDEX(nut_unit,{no})),{_middle(no)},""),{read})'
    found = {
        "a_" + tag: f"={read}",
        "v_" + tag: f'=IF(ISNUMBER({a}),{a},"")',
        "lo_" + tag: f'=IF(ISNUMBER({a}),{_least(a, no) if rule else a},"")',
        "hi_" + tag: f'=IF(ISNUMBER({a}),{_most(a, no, rule) if rule else a},"")',
    }
    if tag in lay.percents:
        value = a1(LIMIT, lay.col["ip_" + tag], True, True)
        p = c["p_" + tag]
        found["p_" + tag] = f"={number(lay.typed('ip_' + tag, index), '0', 'const_pack_percent_max')}"
        found["v_" + tag] = f'=IF(ISNUMBER({a}),{a},IF(ISNUMBER({p}),{p}/100*{value},""))'
        low, high = f"({lo}/{value}*100)", f"({hi}/{value}*100)"
        most = f"MAX({rounded('pct_', str(no), high)},IF(ROUND({high},9)<INDEX(pct_zero_below,{no}),{to_step(high, f'INDEX(pct_step_1,{no})')},0))"
        found["f_" + tag] = (
            f'=IF(AND(ISNUMBER({a}),ISNUMBER({p})),IF(AND(ROUND({p},9)>={rounded("pct_", str(no), low)},ROUND({p},9)<={most}),1,0),"")'
        )
    return found


def _middle(no: int) -> str:
    return f"(INDEX(lab_zero_below,{no})+INDEX(lab_text_below,{no}))/2"


def _zone(a: str, no: int, start: str, end: str, step: str) -> tuple[str, str, str]:
    """Whether ``a`` is a figure of this zone of the rule, and what it allows there (see nutrition.pack.allowed)."""
    s = f"INDEX(lab_{step},{no})"
    start, end = f"INDEX(lab_{start},{no})", f"INDEX(lab_{end},{no})" if end else ""
    inside = f"{a}+{s}/2>{start}" + (f",{a}-{s}/2<={end}" if end else "")
    fits = f"AND(ROUND({a}/{s},9)=ROUND(ROUND({a}/{s},9),0),{inside})"
    return fits, f"MAX({start},{a}-{s}/2)", f"MIN({end},{a}+{s}/2)" if end else f"{a}+{s}/2"


def _zones(a: str, no: int) -> list[tuple[str, str, str]]:
    return [_zone(a, no, "zero_below", "upto_1", "step_1"), _zone(a, no, "upto_1", "upto_2", "step_2"),
            _zone(a, no, "upto_2", "", "step_3")]  # fmt: skip


def _less(a: str, no: int) -> str:
    return f"AND(INDEX(lab_text_amount,{no})>0,ROUND({a},9)=ROUND({_middle(no)},9))"


def _least(a: str, no: int) -> str:
    (f1, l1, _), (f2, l2, _), (f3, l3, _) = _zones(a, no)
    return f"IF({a}=0,0,IF({_less(a, no)},INDEX(lab_zero_below,{no}),IF({f1},{l1},IF({f2},{l2},IF({f3},{l3},{a})))))"


def _most(a: str, no: int, rule: RoundingRule | None) -> str:
    (f1, _, h1), (f2, _, h2), (f3, _, h3) = _zones(a, no)
    zero = f"IF(INDEX(lab_text_amount,{no})>0,INDEX(lab_zero_below,{no}),MAX(INDEX(lab_zero_below,{no}),INDEX(lab_step_1,{no})/2))"
    return f"IF({a}=0,{zero},IF({_less(a, no)},INDEX(lab_text_below,{no}),IF({f3},{h3},IF({f2},{h2},IF({f1},{h1},{a})))))"


def _core(lay: LabelsLayout, kitchen: Kitchen, pack: Pack | None) -> dict[str, Value]:
    """Values of the core: amounts, what rounding allows, checks."""
    if pack is None:
        return {}
    tables = kitchen.tables
    at = amounts(kitchen, pack)
    density = serving_g_per_ml(kitchen, pack)
    span, fits = energy_span(kitchen, pack), energy_fits(kitchen, pack)
    core: dict[str, Value] = {
        **dict(zip(BASES, (at.reference, at.serving, at.small, at.hundred, at.healthy), strict=True)),
        "dens": "" if density is None else density, "e_low": span[0] if span else "", "e_high": span[1] if span else "",
        "e_fit": "" if fits is None else int(fits), "r_g": pack.serving_g,
    }  # fmt: skip
    used = used_amounts(pack, tables)
    for tag in lay.tags:
        amount = pack.amounts.get(tag)
        ends = ("", "") if amount is None else allowed(amount, tables.rounding.get(tag)) or (amount, amount)
        core |= {"a_" + tag: "" if amount is None else amount, "v_" + tag: used.get(tag, ""),
                 "lo_" + tag: ends[0], "hi_" + tag: ends[1]}  # fmt: skip
        if tag in lay.percents:
            verdict = percent_fits(pack, tag, tables)
            core["f_" + tag] = "" if verdict is None else int(verdict)
    return core
