"""Sums of the sheet Day: nutrients against their reference, meals, plate."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import Settings
from workbookgen.nutrition.day import DayItem, DayTotal, against, day_plate, day_total, of_meal, upper_words
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.person import Reference, assess, held_against
from workbookgen.workbook.book import LOOKUP, Sheet, a1, block, column_name, quoted
from workbookgen.workbook.day_layout import (
    AGAINST,
    AMOUNT,
    FIRST,
    FOOD,
    HEAD,
    LAST,
    LAST_ROW,
    MEAL,
    MEALS_FIRST,
    MEALS_HEAD,
    MESSAGE,
    NO,
    ONLY_UPPER,
    PLATE_FIRST,
    PLATE_HEAD,
    RECIPE,
    SERVINGS,
    SIDE,
    SIDE_LAST,
    TABLE_FIRST,
    TABLE_HEAD,
    TITLE,
    UNIT,
    WEIGHT,
    DayLayout,
)
from workbookgen.workbook.recipe_lines import lay_plate_no
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.tables_sheet import PLATE_GROUPS
from workbookgen.workbook.words import in_words

TOTAL, WORDS, REFERENCE, READS, UPPER, PERCENT, MEANT = SERVINGS, RECIPE, AMOUNT, UNIT, FOOD, WEIGHT, MESSAGE
NOT_FOOD = "UL does not apply to food sources"


def against_cell(lay: DayLayout) -> str:
    """Cell with the number of what the day is held against: 1 the person, 2 label values."""
    return a1(AGAINST, lay.col["r_meal"], True, True)


def put_used(sheet: Sheet, lay: DayLayout, recipes: Sequence[RecipeSheet]) -> None:
    """Servings eaten of every recipe of the book, and grams of the plate groups in one serving of it."""
    sheet.put(HEAD, lay.col["side_2"], "Recipe no.", "workhead")
    sheet.put(HEAD, lay.col["used"], "Servings of each recipe", "workhead")
    for g in range(1, PLATE_GROUPS + 1):
        sheet.put(HEAD - 1, lay.col[f"g_{g}"], g, "work n0")
        sheet.put(HEAD, lay.col[f"g_{g}"], f"Plate group {g}, g a serving", "workhead")
    for i, recipe in enumerate(recipes):
        row, other = FIRST + i, recipe.lay
        sheet.put(row, lay.col["side_2"], i + 1, "work n0")
        sheet.formula(row, lay.col["used"], f"=SUMPRODUCT(({lay.column('slot')}={a1(row, lay.col['side_2'], True, True)})*{lay.column('served')})", LOOKUP, "work n2")
        servings = _there(recipe, servings_cell(other))
        model = _there(recipe, lay_plate_no(other))
        for g in range(1, PLATE_GROUPS + 1):
            group = a1(HEAD - 1, lay.col[f"g_{g}"], fix_row=True)
            groups, dish = (_there(recipe, other.column(key)) for key in ("pgroup", "dish"))
            sheet.formula(row, lay.col[f"g_{g}"], f"=IF({servings}=0,0,IF({model}=set_plate,SUMIF({groups},{group},{dish})/{servings},0))",
                          LOOKUP, "work n1")


def _there(recipe: RecipeSheet, address: str) -> str:
    """An address of a recipe sheet, for formulas elsewhere."""
    return f"{quoted(recipe.sheet.name)}!{address}"


def put_table(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, items: Sequence[DayItem]) -> None:
    """One row per nutrient: total, how it reads, reference, per cent of it, gap or excess, upper level."""
    tables = kitchen.person
    sheet.put(TITLE, MEAL, "The day", "section")
    sheet.band(TITLE, MEAL + 1, LAST, "section")
    for col, head in ((NO, "No."), (MEAL, "Nutrient"), (TOTAL, "Total"), (WORDS, "Against the reference"), (REFERENCE, "Reference"),
                      (READS, "The total reads"), (UPPER, "Upper level"), (PERCENT, "% of the reference"), (MEANT, "The reference is meant as")):
        sheet.put(TABLE_HEAD, col, head, "head")
    sheet.heights[TABLE_HEAD] = 30
    for key, head in (("least", "Part unknown (1 = yes)"), ("most", "May be less (1 = yes)"), ("bar", "Bar of the chart"), ("pos", "No. on Tables"), ("kind", "Kind")):
        sheet.put(TABLE_HEAD, lay.col[key], head, "workhead")
    references = assess(tables, tables.start).references
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    totals = {tag: day_total(items, tag) for tag in lay.tags}
    for k, tag in enumerate(lay.tags):
        _put_flags(sheet, lay, k, tag, totals[tag])
        sheet.put(TABLE_FIRST + k, lay.col["pos"], numbers[tag], "work n0")
        if tag in ONLY_UPPER:
            sheet.formula(TABLE_FIRST + k, lay.col["bar"], f"=SUM({lay.column('n_' + tag)})", totals[tag].amount, "work n1")
        else:
            _put_nutrient(sheet, lay, kitchen, k, tag, totals, references.get(tag, Reference()))


def _put_flags(sheet: Sheet, lay: DayLayout, k: int, tag: str, total: DayTotal) -> None:
    row, name = TABLE_FIRST + k, column_name(tag)
    used, problems = f"({lay.slot_column('used')}>0)", f'SUMPRODUCT(({lay.column("problem")}<>"")*1)'
    unknown = f'SUMPRODUCT(({lay.column("n_" + tag)}="?")*1)'
    least = f'SUMPRODUCT((res_r_{name}="at least")*{used})'
    most = f'SUMPRODUCT((res_r_{name}="at most")*{used})'
    sheet.formula(row, lay.col["least"], f"=IF({problems}+{unknown}+{least}>0,1,0)", float(total.least), "work n0")
    sheet.formula(row, lay.col["most"], f"=IF({most}>0,1,0)", float(total.most), "work n0")


def _put_nutrient(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, k: int, tag: str, totals: dict[str, DayTotal], core: Reference) -> None:
    tables, row, nutrient = kitchen.person, TABLE_FIRST + k, kitchen.nutrient_by_tag[tag]
    kind, kind_at = tables.nutrients[k].kind, lay.cell("kind", row)
    no, least, most = a1(row, NO, fix_col=True), f"{lay.cell('least', row)}=1", f"{lay.cell('most', row)}=1"
    total, reference, percent = (a1(row, col, fix_col=True) for col in (TOTAL, REFERENCE, PERCENT))
    held = held_against(tables, tag, core)
    decimals = min(nutrient.decimals, 2)
    style = f"calc n{decimals} right"
    found = totals[tag]
    sheet.put(row, NO, k + 1, "calc small centre")
    sheet.put(row, MEAL, f"{nutrient.name}, {nutrient.unit}", "calc small")
    sheet.formula(row, TOTAL, f"=SUM({lay.column('n_' + tag)})", found.amount, style)
    label = f"INDEX(nut_dv,{lay.cell('pos', row)})"
    sheet.formula(row, REFERENCE, f'=IF({against_cell(lay)}=1,IF(ISNUMBER(INDEX(person_ref,{no})),INDEX(person_ref,{no}),""),'
                                  f'IF(ISNUMBER({label}),{label},""))', "" if held is None else held, style)
    sheet.formula(row, READS, f'=IF({least},IF({most},"not certain","at least"),IF({most},"at most",""))', found.reads, "calc small")
    sheet.formula(row, PERCENT, f'=IF(ISNUMBER({reference}),IF({reference}=0,"",{total}/{reference}*100),"")',
                  found.amount / held * 100 if held else "", "calc n0 right")
    sheet.formula(row, WORDS, f'=IF(ISNUMBER({reference}),{_words(kind_at, no, total, reference, least, most, decimals)},"")',
                  against(found, held, kind, nutrient.unit, decimals), "calc small")
    sheet.formula(row, lay.col["kind"], f"=IF({against_cell(lay)}=1,INDEX(dayn_kind,{no}),INDEX(dayn_label,{no}))", kind, "work")
    sheet.formula(row, MEANT, f'=IF(ISNUMBER({reference}),IF({kind_at}="reach","at least",IF({kind_at}="limit","at most","about")),"no reference")',
                  {"reach": "at least", "limit": "at most", "aim": "about"}[kind] if held is not None else "no reference", "calc small")
    sheet.formula(row, lay.col["bar"], f"=IF(ISNUMBER({percent}),MIN({percent},lim_bar_max),0)", LOOKUP, "work n0")
    _put_upper(sheet, lay, kitchen, row, tag, totals, core)


def _words(kind: str, no: str, total: str, reference: str, least: str, most: str, decimals: int) -> str:
    """How the total stands against its reference: the phrase of `workbookgen.nutrition.day.against`."""
    away = _away(f"ABS({total}-{reference})", no, decimals)
    more = f'IF({least}," or more","")'

    def by_kind(reach: str, limit: str, aim: str) -> str:
        return f'IF({kind}="reach",{reach},IF({kind}="limit",{limit},{aim}))'

    above = (f'IF({most},{by_kind(_q("may be reached"), _q("may be above"), _q("cannot be judged"))},'
             f'{by_kind(_q("reached"), f"""{_q("above by ")}&{away}&{more}""", f"""{away}&{more}&{_q(" above")}""")})')
    at = by_kind(f'IF({most},"may be reached","reached")', f'IF({least},"at the limit as far as known","at the limit")',
                 f'IF(OR({least},{most}),"cannot be judged","as planned")')
    short = f'{away}&" short"&IF({least}," of the known part",IF({most}," or more",""))'
    below = f'IF({kind}="limit",IF({least},"within as far as known",{away}&" left"),{short})'
    t, r = f"ROUND({total},9)", f"ROUND({reference},9)"
    return f'IF(AND({least},{most}),"cannot be judged",IF({t}>{r},{above},IF({t}={r},{at},{below})))'


def _away(difference: str, no: str, decimals: int) -> str:
    """How far apart two amounts are: the phrase of `workbookgen.nutrition.day.away_words`."""
    told = in_words(difference, decimals)
    return f'IF({told}=0,"a trace",{told}&" "&INDEX(dayn_unit,{no}))'


def _q(text: str) -> str:
    return f'"{text}"'


def _put_upper(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, row: int, tag: str, totals: dict[str, DayTotal], core: Reference) -> None:
    """The counted part of the total against the person's upper level."""
    upper = kitchen.person.uppers.get(tag)
    if upper is None:
        sheet.put(row, UPPER, "", "calc small")
        return
    no, person = a1(row, NO, fix_col=True), f"{against_cell(lay)}=1"
    told = f"INDEX(person_words,{no})"
    if not upper.compared:
        value = NOT_FOOD if core.upper_words else ""
        sheet.formula(row, UPPER, f'=IF({person},IF({told}="","","{NOT_FOOD}"),"")', value, "calc small")
        return
    nutrient = kitchen.nutrient_by_tag[tag]
    decimals = min(nutrient.decimals, 2)
    at = TABLE_FIRST + lay.tags.index(upper.compared)
    counted = a1(at, lay.col["bar"] if upper.compared in ONLY_UPPER else TOTAL, fix_col=True)
    limit = f"INDEX(person_upper,{no})"
    least, most = (f"{lay.cell(key, at)}=1" for key in ("least", "most"))
    over = f'IF({most},"may be above","above by "&{_away(f"({counted}-{limit})", no, decimals)})'
    below = f'IF({least},"below as far as known","below")'
    sheet.formula(row, UPPER, f'=IF({person},IF(ISNUMBER({limit}),IF(ROUND({counted},9)>ROUND({limit},9),{over},{below}),""),"")',
                  upper_words(totals[upper.compared], core.upper, nutrient.unit, decimals), "calc small")


def put_meals(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, items: Sequence[DayItem]) -> None:
    """Energy, sodium with its running sum, and iron of each meal; + reads "at least", - "at most"."""
    heads = ("Meal", "Energy, kcal", "Sodium, mg", "Sodium so far, mg", "Iron, mg")
    for k, head in enumerate(heads):
        sheet.put(MEALS_HEAD, SIDE + k, head, "head")
    meals = kitchen.person.meals
    for i in range(len(meals) + 1):
        row = MEALS_FIRST + i
        number = i + 1 if i < len(meals) else 0
        sheet.put(row, lay.col["side_1"], number, "work n0")
        if number:
            sheet.formula(row, SIDE, f"=INDEX(day_meal,{lay.cell('side_1', row)})", meals[i], "calc small")
        else:
            sheet.put(row, SIDE, "no meal chosen", "calc small")
        so_far = [x for m in range(1, i + 2) for x in of_meal(items, m)] if number else []
        meal = a1(row, lay.col["side_1"], fix_col=True)
        for tag, col, rows, decimals in (("ENERC_KCAL", 1, of_meal(items, number), 0), ("NA", 2, of_meal(items, number), 0),
                                         ("NA", 3, so_far, 0), ("FE", 4, of_meal(items, number), 1)):
            if col == 3 and not number:
                sheet.put(row, SIDE + col, "", "calc small")
                continue
            chosen = f"({lay.column('meal')}={meal})" if col != 3 else f"({lay.column('meal')}<={meal})*({lay.column('meal')}>0)"
            amounts = f"SUMIF({lay.column('meal')},{meal},{lay.column('n_' + tag)})"
            if col == 2:
                sheet.formula(row, lay.col["side_3"], f"={amounts}", day_total(rows, tag).amount, "work n1")
            if col == 3:
                amounts = f"SUM({a1(MEALS_FIRST, lay.col['side_3'], True, True)}:{a1(row, lay.col['side_3'], fix_col=True)})"
            _put_sum(sheet, lay, row, SIDE + col, tag, chosen, amounts, day_total(rows, tag), decimals)
    sheet.put(MEALS_FIRST + len(meals) + 1, SIDE, "+ reads at least, - at most, ? not certain", "hint")
    sheet.merges.append((MEALS_FIRST + len(meals) + 1, SIDE, MEALS_FIRST + len(meals) + 1, SIDE_LAST))


def _put_sum(sheet: Sheet, lay: DayLayout, row: int, col: int, tag: str, chosen: str, amounts: str, core: DayTotal,
             decimals: int) -> None:
    flags = lay.column("f_" + tag)
    least, most = (f"SUMPRODUCT({chosen}*({flags}={code}))>0" for code in (1, 2))
    sign = f'IF({least},IF({most},"?","+"),IF({most},"-",""))'
    told = shown(core.amount, decimals) + {"": "", "at least": "+", "at most": "-", "not certain": "?"}[core.reads]
    sheet.formula(row, col, f"={in_words(amounts, decimals)}&{sign}", told, "calc small right")


def put_plate_of_day(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, settings: Settings, items: Sequence[DayItem]) -> None:
    """Grams and shares of the plate groups over the whole day."""
    for k, head in enumerate(("Plate of the day", "g", "Share, %", "Target, %")):
        sheet.put(PLATE_HEAD, SIDE + k, head, "head")
    model = kitchen.plate_model_by_id[settings.plate_model]
    sums, left = day_plate(model, items)
    whole = sum(sums)
    grams = block(PLATE_FIRST, SIDE + 1, PLATE_FIRST + PLATE_GROUPS - 1, SIDE + 1)
    for g in range(PLATE_GROUPS):
        row = PLATE_FIRST + g
        sheet.put(row, lay.col["side_1"], g + 1, "work n0")
        number = lay.cell("side_1", row)
        at = f"(set_plate-1)*{PLATE_GROUPS}+{number}"
        name, weight = a1(row, SIDE, fix_col=True), a1(row, SIDE + 1, fix_col=True)
        known = g < len(model.groups)
        amount = sums[g] if known else 0.0
        sheet.formula(row, SIDE, f'=INDEX(plate_group,{at})&""', model.groups[g].name if known else "", "calc small")
        eaten = f"SUMPRODUCT({lay.slot_column('used')},{lay.slot_column(f'g_{g + 1}')})"
        sheet.formula(row, SIDE + 1, f'=IF({name}="","",{eaten}+SUMIF({lay.column("fgroup")},{number},{lay.column("fgrams")}))',
                      amount if known else "", "calc n0 right")
        sheet.formula(row, SIDE + 2, f'=IF(OR({name}="",SUM({grams})=0),"",{weight}/SUM({grams})*100)',
                      amount / whole * 100 if known and whole else "", "calc n0 right")
        sheet.formula(row, SIDE + 3, f'=IF({name}="","",INDEX(plate_target,{at}))', model.groups[g].target_pct if known else "", "calc n0 right")
    row = PLATE_FIRST + PLATE_GROUPS
    out = in_words(f"SUM({block(FIRST, WEIGHT, LAST_ROW, WEIGHT)})-SUM({grams})", 0)
    sheet.formula(row, SIDE, f'={out}&" g in no group: liquids, fats, seasonings, recipes with a plate model of their own"',
                  f"{shown(left, 0)} g in no group: liquids, fats, seasonings, recipes with a plate model of their own", "hint")
    sheet.merges.append((row, SIDE, row, SIDE_LAST))
