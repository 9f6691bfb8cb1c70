"""The iron block of a recipe sheet: what a serving brings, three estimates side by side, what would help."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.iron import EGG_GROUP, FACTORS, SOY_GROUPS, SOY_MARK, IronResult, iron_of_serving
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, block
from workbookgen.workbook.recipe_iron_help import (
    ABSORBED,
    HEME,
    MEAL,
    NAME,
    NEED,
    NONHEME,
    WORDS,
    meal_cell,
    put_iron_help,
)
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.science_cells import (
    put_choice,
    put_column,
    put_heads,
    put_number,
    put_text,
    put_title,
)
from workbookgen.workbook.science_inputs import choices_of
from workbookgen.workbook.science_layout import (
    INPUTS,
    IRON_FIRST_2,
    IRON_HEAD_2,
    IRON_TEXT,
    TABLE_FIRST,
    TABLE_HEAD,
)
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.words import in_words


def put_iron(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """Lay out the block and its working columns; nothing without the tables behind it."""
    science = kitchen.tables.science
    if not science.iron:
        return
    chosen = choices_of(recipe)
    levels = [f"{row.stores_mg:g}" for row in science.stores]
    stores = chosen.get("iron_stores", "")
    stores = stores if stores in levels else ""
    stage = chosen.get("iron_stage", "")
    need = next((n for n in science.needs if stage in (n.id, n.name)), None)
    result = iron_of_serving(kitchen, analysis, float(stores) if stores else None, need.id if need else None) if analysis else None
    top = put_title(sheet, lay, "iron", "Iron: how much may be taken up (an estimate, one serving as a meal)")
    _put_inputs(sheet, lay, top, kitchen, stores, need.name if need else "", result)
    _put_lines(sheet, lay, result)
    _put_meal(sheet, lay, top, analysis, result)
    _put_factors(sheet, lay, top, result)
    _put_methods(sheet, lay, top, kitchen, result)
    put_iron_help(sheet, lay, top, result)
    for i, text in enumerate(dict(read_sections("science.md"))["iron"]):
        put_text(sheet, lay, top + IRON_TEXT + i, text)


def _put_inputs(sheet: Sheet, lay: RecipeLayout, top: int, kitchen: Kitchen, stores: str, stage: str,
                result: IronResult | None) -> None:
    science = kitchen.tables.science
    x = put_choice(sheet, lay, top, "food", "Iron stores of the eater, mg", float(stores) if stores else "",
                   "0, 250, 500 or 1000 mg; empty: 500", "stores_mg", "input general")
    default = next(i for i, row in enumerate(science.stores, 1) if row.stores_mg == science.iron["stores_default"].value)
    number = float((result.chosen if result else default - 1) + 1)
    fallback = "MATCH(SUM(iron_stores_default),stores_mg,0)"  # SUM: one engine takes a name for a range
    sheet.formula(top + INPUTS, lay.col["r_food"],
                  f"=IF(ISLOGICAL({x}),{fallback},IF(ISNUMBER({x}),IFERROR(MATCH({x},stores_mg,0),{fallback}),{fallback}))",
                  number, "work n0")
    y = put_choice(sheet, lay, top, "treat", "Life stage", stage, "empty: women 19-50 y", "need_name")
    place = next((i for i, n in enumerate(science.needs, 1) if n.name == stage), 1)
    put_number(sheet, lay, top + INPUTS, "r_amount", y, "need_name", "1", float(place))


def _stores_no(lay: RecipeLayout, top: int) -> str:
    return lay.at("r_food", top + INPUTS)


def _put_lines(sheet: Sheet, lay: RecipeLayout, result: IronResult | None) -> None:
    """Working columns, one row per line."""
    rows = range(FIRST_LINE, FIRST_LINE + lay.lines)

    def values(name: str) -> list[Value | _Lookup]:
        if result is None:
            return [LOOKUP] * lay.lines
        found: list[Value | _Lookup] = []
        for i in range(lay.lines):
            value = getattr(result.lines[i], name) if i < len(result.lines) else 0.0
            found.append("?" if value is None else value)
        return found

    def formulas(text: str) -> list[str]:
        keys = ("row", "srow", "sgrams", "grams", "dish", "n_FE", "n_PROCNT")
        return [text.format(**{k: lay.cell(k, row) for k in keys}) for row in rows]

    unknown = 'IF({n_FE}="?","?",'
    for key, name, head, text in (
        ("fe_heme", "heme", "Heme iron, mg",
         '=IF({n_FE}="",0,' + unknown + "IF(INDEX(food_heme,{srow})=1,{n_FE}*iron_heme_share/100,0)))"),
        ("fe_non", "nonheme", "Nonheme iron, mg",
         '=IF({n_FE}="",0,' + unknown + "IF(INDEX(food_heme,{srow})=1,{n_FE}*(1-iron_heme_share/100),{n_FE})))"),
        ("fe_raw", "mfp_raw", "Meat, fish, poultry, raw g",
         "=IF({row}=0,0,IF(INDEX(food_mfp,{row})=1,{grams}*IF(OR(INDEX(food_state,{row})=\"raw\",INDEX(food_state,{row})="
         "\"frozen\"),1,iron_cooked_to_raw),0))"),
        ("fe_cooked", "mfp_cooked", "Meat, fish, poultry, cooked g", "=IF({row}=0,0,IF(INDEX(food_mfp,{row})=1,{dish},0))"),
        ("fe_egg", "eggs", "Eggs", f'=IF({{row}}=0,0,IF(INDEX(food_group,{{row}})="{EGG_GROUP}",{{grams}}/iron_egg_weight,0))'),
        ("fe_soy", "soy", "Soy protein, g",
         f'=IF({{row}}=0,0,IF(AND(ISNUMBER(FIND("{SOY_MARK}",INDEX(food_alg,{{row}})&"")),OR('
         + ",".join(f'INDEX(food_group,{{row}})="{g}"' for g in SOY_GROUPS) + ')),IF({n_PROCNT}="",0,{n_PROCNT}),0))'),
    ):
        put_column(sheet, lay, key, head, formulas(text), values(name), "work n2")


def _put_meal(sheet: Sheet, lay: RecipeLayout, top: int, analysis: Analysis | None, result: IronResult | None) -> None:
    """What the serving brings of everything that counts."""
    put_heads(sheet, lay, top + TABLE_HEAD, (("food", "What one serving brings"), ("amount", "Amount"), ("unit", "Unit"),
                                             ("basis", "Weight known")))
    servings = servings_cell(lay)

    def column(key: str) -> str:
        return f"=IF({servings}=0,0,SUM({lay.column(key)})/{servings})"

    def nutrient(tag: str) -> str:
        return f"=IF({servings}=0,0,{lay.at('n_' + tag, lay.total)}/{servings})"

    m = result.meal if result else None
    n = analysis.nutrients if analysis else None
    rows: tuple[tuple[str, str, str, Value | None, str], ...] = (
        ("Iron, all", "mg", nutrient("FE"), n["FE"].serving if n else None, "FE"),
        ("Heme iron (part of the iron of meat and fish)", "mg", column("fe_heme"), m.heme_mg if m else None, "FE"),
        ("Nonheme iron", "mg", column("fe_non"), m.nonheme_mg if m else None, "FE"),
        ("Vitamin C, after cooking", "mg", nutrient("VITC"), m.vitc_mg if m else None, "VITC"),
        ("Meat, fish, poultry, as raw weight", "g", column("fe_raw"), m.mfp_raw_g if m else None, ""),
        ("Phytic acid", "mg", nutrient("PHYTAC"), m.phytate_mg if m else None, "PHYTAC"),
        ("Calcium", "mg", nutrient("CA"), m.calcium_mg if m else None, "CA"),
        ("Soy protein", "g", column("fe_soy"), m.soy_g if m else None, "PROCNT"),
        ("Egg (pieces of 50 g)", "eggs", column("fe_egg"), m.eggs if m else None, ""),
    )
    for i, (label, unit, formula, value, tag) in enumerate(rows):
        row = top + TABLE_FIRST + i
        sheet.put(row, 0, "", "calc")
        sheet.put(row, 1, "", "calc")
        sheet.put(row, lay.col["food"], label, "calc small")
        sheet.formula(row, lay.col["amount"], formula, LOOKUP if value is None else value, "calc n2")
        sheet.put(row, lay.col["unit"], unit, "calc small")
        if tag:
            sheet.formula(row, lay.col["basis"], f"={lay.at('n_' + tag, lay.cover)}", n[tag].coverage if n else LOOKUP, "calc share")
        else:
            sheet.put(row, lay.col["basis"], "", "calc")


def _put_factors(sheet: Sheet, lay: RecipeLayout, top: int, result: IronResult | None) -> None:
    """Factors of the algorithm, one row each."""
    put_heads(sheet, lay, top + IRON_HEAD_2, (("food", "Factors of the algorithm 2000"), ("amount", "Factor"), ("unit", "Worked from"),
                                              ("basis", "Amount")))
    c = {name: meal_cell(lay, top, name) for name in MEAL}
    servings = servings_cell(lay)
    cooked = f"IF({servings}=0,0,SUM({lay.column('fe_cooked')})/{servings})"
    phosphorus = f"{c['phytate']}*iron_hh_phosphorus"
    rows = {
        "phytate": ("phytate P, mg", f"={phosphorus}", "=10^(-iron_hh_phytate*LOG10(1+{v}))"),
        "vitamin C": ("vitamin C, mg", f"={c['vitc']}",
                      "=1+iron_hh_vitc_linear*{v}+LOG10({pp}+1)*iron_hh_vitc_linear*10^(iron_hh_vitc_exponent*LOG10({v}+1))"),
        "meat, fish": ("g cooked", f"={cooked}", "=1+iron_hh_meat*{v}*(1+iron_hh_meat_phytate*{pp})"),
        "calcium": ("calcium, mg", f"={c['calcium']}",
                    "=MIN(1,iron_hh_calcium_floor+iron_hh_calcium_range/(1+10^(-(iron_hh_calcium_middle-LOG10({v}+1))*iron_hh_calcium_slope)))"),
        "egg": ("eggs", f"={c['eggs']}", "=MAX(0,1-iron_hh_egg*{v})"),
        "soy protein": ("g", f"={c['soy']}", "=MAX(0,1-iron_hh_soy*{v})"),
    }
    m = result.meal if result else None
    inputs = {"phytate": None, "vitamin C": m.vitc_mg if m else None, "meat, fish": m.mfp_cooked_g if m else None,
              "calcium": m.calcium_mg if m else None, "egg": m.eggs if m else None, "soy protein": m.soy_g if m else None}
    pp = lay.at("basis", top + IRON_FIRST_2)
    for i, name in enumerate(FACTORS):
        row = top + IRON_FIRST_2 + i
        unit, source, formula = rows[name]
        sheet.put(row, 0, "", "calc")
        sheet.put(row, 1, "", "calc")
        sheet.put(row, lay.col["food"], name[0].upper() + name[1:], "calc small")
        sheet.put(row, lay.col["unit"], unit, "calc small")
        value = inputs[name]
        sheet.formula(row, lay.col["basis"], source, LOOKUP if value is None else value, "calc n1")
        sheet.formula(row, lay.col["amount"], formula.format(v=lay.cell("basis", row), pp=pp),
                      result.factors[name] if result else LOOKUP, "calc n3")
    row = top + IRON_FIRST_2 + len(FACTORS)
    sheet.put(row, 0, "", "calc")
    sheet.put(row, 1, "", "calc")
    sheet.put(row, lay.col["food"], "Tea, coffee, wine (polyphenols, alcohol)", "calc small")
    sheet.put(row, lay.col["amount"], "not known", "calc small right")
    sheet.put(row, lay.col["unit"], "left out", "calc small")
    sheet.put(row, lay.col["basis"], "", "calc")


def _put_methods(sheet: Sheet, lay: RecipeLayout, top: int, kitchen: Kitchen, result: IronResult | None) -> None:
    """The estimates side by side, their spread, and the need they are held against."""
    put_heads(sheet, lay, top + TABLE_HEAD, ((NAME, "Estimate"), (NONHEME, "Of non-heme, %"), (HEME, "Of heme, %"),
                                             (ABSORBED, "Taken up, mg"), (NEED, "% of the need"), (WORDS, "In words")))
    c = {name: meal_cell(lay, top, name) for name in MEAL}
    first = top + TABLE_FIRST
    stores_count = len(kitchen.tables.science.stores)
    algorithm_row = first + 1 + stores_count
    spread_row, need_row = algorithm_row + 1, algorithm_row + 2
    need = lay.at(ABSORBED, need_row)
    stage = lay.at("r_amount", top + INPUTS)
    coverage = lay.at("basis", first + MEAL.index("vitc"))
    short = f"ROUND({coverage},9)<1"
    phytate = lay.at("basis", first + MEAL.index("phytate"))
    enough = f"ROUND({phytate}*100,9)>=const_known_weight_min"

    def put(row: int, name: str, nonheme: str, heme: str, words: str, values: tuple[float, float, float] | None) -> None:
        sheet.put(row, lay.col[NAME], name, "calc small flow")
        stored = values or (LOOKUP, LOOKUP, LOOKUP)
        sheet.formula(row, lay.col[NONHEME], nonheme, stored[0], "calc n1")
        sheet.formula(row, lay.col[HEME], heme, stored[1], "calc n1")
        taken = f"={c['non']}*{lay.cell(NONHEME, row)}/100+{c['heme']}*{lay.cell(HEME, row)}/100"
        sheet.formula(row, lay.col[ABSORBED], taken, stored[2], "calc n2 bold")
        sheet.formula(row, lay.col[NEED], f"=IF({need}=0,0,{lay.cell(ABSORBED, row)}/{need}*100)", LOOKUP, "calc n0")
        sheet.formula(row, lay.col[WORDS], words, LOOKUP, "calc small flow")
        sheet.heights[row] = 26

    mfp, vitc = f"ROUND({c['mfp']},9)", f"ROUND({c['vitc']},9)"
    cls = lay.at("r_food", first)
    sheet.formula(first, lay.col["r_food"],
                  f'=IF(OR({mfp}>iron_mfp_high,{vitc}>iron_vitc_high,AND({mfp}>=iron_mfp_low,{vitc}>=iron_vitc_low)),"high",'
                  f'IF(OR({mfp}>=iron_mfp_low,{vitc}>=iron_vitc_low),"medium","low"))',
                  result.meal_class if result else LOOKUP, "work")
    e = result.classes if result else None
    put(first, "Classes, Monsen 1978 (500 mg stores)",
        f'=IF({cls}="high",iron_high_pct,IF({cls}="medium",iron_medium_pct,iron_low_pct))', "=iron_heme_absorbed",
        f'="class "&{cls}&IF({short}," or higher: vitamin C not all known","")', (e.nonheme_pct, e.heme_pct, e.absorbed_mg) if e else None)
    factors = f"({c['vitc']}+{c['mfp']})"
    for k, row in enumerate(kitchen.tables.science.stores):
        at = first + 1 + k
        e = result.levels[k] if result else None
        sheet.put(at, lay.col["r_amount"], k + 1, "work n0")
        put(at, f"Continuous, 1982, stores {row.stores_mg:g} mg",
            f"=IF(ROUND({factors},9)>=iron_ef_cap,INDEX(stores_cap,{k + 1}),INDEX(stores_base,{k + 1})+INDEX(stores_slope,{k + 1})"
            f"*LN(({factors}+100)/100))", f"=INDEX(stores_heme,{k + 1})",
            f'=IF({_stores_no(lay, top)}={lay.at("r_amount", at)},"the chosen stores","")', (e.nonheme_pct, e.heme_pct, e.absorbed_mg) if e else None)
    factor_cells = block(top + IRON_FIRST_2, lay.col["amount"], top + IRON_FIRST_2 + len(FACTORS) - 1, lay.col["amount"])
    calcium = lay.at("amount", top + IRON_FIRST_2 + FACTORS.index("calcium"))
    e = result.algorithm if result else None
    product = "*".join(f"INDEX({factor_cells},{k + 1})" for k in range(len(FACTORS)))
    put(algorithm_row, "Factor algorithm, 2000 (borderline stores)", f"=MIN(100,iron_hh_base*{product})", f"=iron_hh_heme*{calcium}",
        f'=IF({enough},IF(ROUND({phytate},9)<1,"reads at most: phytate not all known",""),"upper bound only: too little phytate known")', (e.nonheme_pct, e.heme_pct, e.absorbed_mg) if e else None)
    chosen = f"INDEX({block(first + 1, lay.col[ABSORBED], first + stores_count, lay.col[ABSORBED])},{_stores_no(lay, top)})"
    two = f"{lay.at(ABSORBED, first)},{chosen}"
    sheet.put(spread_row, lay.col[NAME], "Spread, from and to, mg", "calc small bold")
    for key, which, value, style in ((HEME, "MIN", result.low_mg if result else LOOKUP, "n2"),
                                     (ABSORBED, "MAX", result.high_mg if result else LOOKUP, "n2 bold")):
        sheet.formula(spread_row, lay.col[key], f"=IF({enough},{which}({two},{lay.at(ABSORBED, algorithm_row)}),{which}({two}))",
                      value, f"calc {style}")
    low, high = lay.cell(HEME, spread_row), lay.cell(ABSORBED, spread_row)
    sheet.formula(spread_row, lay.col[WORDS], f'="about "&{in_words(low, 2)}&" to "&{in_words(high, 2)}&" mg: an estimate"', LOOKUP,
                  "calc small flow bold")
    sheet.put(spread_row, lay.col[NONHEME], "", "calc")
    sheet.put(spread_row, lay.col[NEED], "", "calc")
    sheet.put(need_row, lay.col[NAME], "Need of the day: to eat; to take up, mg", "calc small flow")
    sheet.put(need_row, lay.col[NONHEME], "", "calc")
    sheet.formula(need_row, lay.col[HEME], f"=INDEX(need_iron,{stage})", result.need.iron_mg if result else LOOKUP, "calc n1")
    sheet.formula(need_row, lay.col[ABSORBED], f"=INDEX(need_iron,{stage})*INDEX(need_absorbed,{stage})/100",
                  result.need_absorbed_mg if result else LOOKUP, "calc n2")
    sheet.put(need_row, lay.col[NEED], "", "calc")
    sheet.formula(need_row, lay.col[WORDS], f'=INDEX(need_name,{stage})&"; a vegetarian needs about "&iron_vegetarian_factor&" times"',
                  LOOKUP, "calc small flow")
    sheet.heights[need_row] = 26
