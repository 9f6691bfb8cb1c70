"""The nutrient block of a recipe sheet: what each line brings, totals, coverage, shares, top three."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.dish import DISH_ID
from workbookgen.nutrition.totals import food_shares, unknown_weight
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block, column_name
from workbookgen.workbook.recipe_layout import FIRST_LINE, HEAD_ROW, TOP, RecipeLayout

UNKNOWN = "?"


def put_nutrients(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Lay out nutrient columns with their totals, and the share columns of the main nutrients."""
    label_col = lay.col["gap3"]
    sheet.put(HEAD_ROW - 1, lay.col["n_" + lay.nutrients[0].tag],
              "What each line brings (? = unknown): weight / 100 x value x share kept", "label")
    sheet.put(HEAD_ROW - 1, lay.col["s_" + lay.main[0].tag],
              "Share of the dish, % (all lines of one food together, on its first line)", "label")
    for key, text in ((lay.total, "total"), (lay.unknown, "weight of unknown, g"), (lay.cover, "share known")):
        sheet.put(key, label_col - 1, text, "work bold")
    for nutrient in lay.nutrients:
        _put_column(sheet, lay, nutrient, analysis)
    for m in range(TOP):
        sheet.put(lay.top_value + m, lay.col["gap4"], m + 1, "work centre")
    for nutrient in lay.main:
        _put_shares(sheet, lay, nutrient, analysis)
    put_dish_weights(sheet, lay, analysis)
    dry_total = sum(line.weight_without_water for line in analysis.lines) if analysis else LOOKUP
    sheet.formula(lay.total, lay.col["dry"], f"=SUM({lay.column('dry')})", dry_total, "total n1")
    dish_total = sum(line.cooked for line in analysis.lines) if analysis else LOOKUP
    sheet.formula(lay.total, lay.col["dish"], f"=SUM({lay.column('dish')})", dish_total, "total n1")
    edible = sum(line.edible for line in analysis.lines) if analysis else LOOKUP
    sheet.formula(lay.total, lay.col["grams"], f"=SUM({lay.column('grams')})", edible, "total n1")
    sheet.put(lay.total, lay.col["food"], "All counted lines", "total")
    sheet.band(lay.total, lay.col["amount"], lay.front_last, "total")
    bad = 0 if analysis else LOOKUP
    sheet.formula(lay.total, lay.col["bad"], f"=SUM({lay.column('bad')})", bad, "total n0")
    most = sum(int(line.at_most) for line in analysis.lines) if analysis else LOOKUP
    sheet.formula(lay.total, lay.col["most"], f"=SUM({lay.column('most')})", most, "total n0")


def _line_formula(lay: RecipeLayout, nutrient: Nutrient, row: int) -> str:
    grams, srow, krow = (lay.cell(k, row) for k in ("sgrams", "srow", "krow"))
    tag = nutrient.tag
    if tag in ("FOL", "FOLDFE", "NIAEQ"):
        a, b = ("FOLFD", "FOLAC") if tag != "NIAEQ" else ("NIA", "TRP")
        x, y = lay.cell("n_" + a, row), lay.cell("n_" + b, row)
        joined = {"FOL": f"{x}+{y}", "FOLDFE": f"{x}+const_dfe_factor*{y}",
                  "NIAEQ": f"{x}+{y}*1000/const_tryptophan_per_niacin"}[tag]
        return f'=IF({grams}=0,"",IF(OR({x}="?",{y}="?"),"?",{joined}))'
    value = f"INDEX(food_{column_name(tag)},{srow})"
    known = f"ISNUMBER({value})"
    amount = f"{grams}/100*{value}"
    if tag == "ENERC_KCAL":
        kept = f"INDEX(keep_ALC,{krow})"
        alcohol = f"IF(ISNUMBER(INDEX(food_ALC,{srow})),INDEX(food_ALC,{srow}),0)"  # own foods may not tell
        amount = f"{grams}/100*({value}-{alcohol}*(1-{kept}/100)*const_alcohol_kcal)"
    elif nutrient.keep:
        kept = f"INDEX(keep_{column_name(nutrient.keep)},{krow})"
        known = f"AND({known},ISNUMBER({kept}))"
        amount += f"*{kept}/100"
    return f'=IF({grams}=0,"",IF({krow}=0,"?",IF({known},{amount},"?")))'


def line_value(result: LineResult | None, tag: str) -> Value:
    """What a line's nutrient cell shows: nothing without weight, "?" when unknown."""
    if result is None or result.source_grams == 0:
        return ""
    value = result.values[tag]
    return UNKNOWN if value is None else value


def _put_column(sheet: Sheet, lay: RecipeLayout, nutrient: Nutrient, analysis: Analysis | None) -> None:
    key = "n_" + nutrient.tag
    col = lay.col[key]
    sheet.put(HEAD_ROW, col, f"{nutrient.name}, {nutrient.unit}", "workhead")
    for i in range(lay.lines):
        result = analysis.lines[i] if analysis and i < len(analysis.lines) else None
        value = line_value(result, nutrient.tag) if analysis else LOOKUP
        sheet.formula(FIRST_LINE + i, col, _line_formula(lay, nutrient, FIRST_LINE + i), value, "work n2")
    lines = block(FIRST_LINE, col, lay.last_line, col).replace("$" + a1(0, col)[:-1], a1(0, col)[:-1])
    dry, dry_total = lay.column("dry"), lay.at("dry", lay.total)
    found = analysis.nutrients[nutrient.tag] if analysis else None
    unknown = unknown_weight(analysis.lines, nutrient.tag) if analysis else 0.0
    sheet.formula(lay.total, col, f"=SUM({lines})", found.dish if found else LOOKUP, "work bold n2")
    sheet.formula(lay.unknown, col, f'=SUMPRODUCT(({lines}="?")*{dry}){_dishes(lay, nutrient)}', unknown if found else LOOKUP, "work n1")
    sheet.formula(lay.cover, col, f"=IF({dry_total}=0,0,1-{a1(lay.unknown, col)}/{dry_total})",
                  found.coverage if found else LOOKUP, "work share")


def _dishes(lay: RecipeLayout, nutrient: Nutrient) -> str:
    """Weight of dishes used as ingredients times the unknown share of their own weight."""
    if not lay.dishes:
        return ""
    weights = block(lay.dish_first, lay.col["dry"], lay.dish_first + lay.dishes - 1, lay.col["dry"])
    return f"+SUMPRODUCT({weights},1-dish_known_{column_name(nutrient.tag)})"


def put_dish_weights(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Weight of each dish of the book in this recipe, for the share that is known."""
    for k in range(lay.dishes):
        row = lay.dish_first + k
        weight: Value | _Lookup = LOOKUP
        if analysis:
            weight = float(sum(ln.weight_without_water for ln in analysis.lines if ln.food.id == f"{DISH_ID}{k + 1}"))
        sheet.put(row, lay.col["sgrams"], f"dish {k + 1}, g", "work")
        sheet.formula(row, lay.col["dry"], f"=SUMIF({lay.column('row')},INDEX(dish_rank,{k + 1}),{lay.column('dry')})", weight, "work n1")


def _put_shares(sheet: Sheet, lay: RecipeLayout, nutrient: Nutrient, analysis: Analysis | None) -> None:
    key = "s_" + nutrient.tag
    col, source = lay.col[key], lay.col["n_" + nutrient.tag]
    sheet.put(HEAD_ROW, col, f"{nutrient.name}, %", "workhead")
    shares = dict(food_shares(analysis.lines, nutrient.tag)) if analysis else {}
    total = a1(lay.total, source, True, True)
    amounts = block(FIRST_LINE, source, lay.last_line, source)
    done: set[str] = set()
    for i in range(lay.lines):
        row = FIRST_LINE + i
        first, number, food_row = lay.cell("first", row), lay.cell("no", row), lay.cell("row", row)
        value: Value = ""
        if analysis and i < len(analysis.lines):
            name = analysis.lines[i].food.name
            value = shares.get(name, "") if name not in done else ""
            done.add(name)
        sheet.formula(row, col, f'=IF(OR({first}<>{number},{total}=0),"",SUMIF({lay.column("row")},{food_row},{amounts})'
                                f'/{total}*100)', value if analysis else LOOKUP, "work n1")
    _put_top(sheet, lay, key, nutrient, analysis)


def _put_top(sheet: Sheet, lay: RecipeLayout, key: str, nutrient: Nutrient, analysis: Analysis | None) -> None:
    """The three largest shares, the lines they stand on, and both in words. Ties go to the earlier line."""
    col = lay.col[key]
    shares, numbers = lay.column(key), lay.column("no")
    after_last = f"ROWS({shares})+1"
    top = analysis.nutrients[nutrient.tag].top if analysis else ()
    for m in range(TOP):
        value: Value = top[m][1] if m < len(top) else 0.0
        place = a1(lay.top_value + m, lay.col["gap4"], True, True)
        sheet.formula(lay.top_value + m, col, f'=IF(COUNTIF({shares},">0")<{place},0,LARGE({shares},{place}))',
                      value if analysis else LOOKUP, "work n1")
        other = "".join(f"*({numbers}<>{a1(lay.top_line + k, col, True, True)})" for k in range(m))
        here = a1(lay.top_value + m, col, True, True)
        sheet.formula(lay.top_line + m, col,
                      f"=IF({here}=0,0,{after_last}-SUMPRODUCT(MAX(({shares}={here}){other}*({after_last}-{numbers}))))",
                      LOOKUP, "work n0")
    parts = []
    for m in range(TOP):
        share, line = (a1(r + m, col, True, True) for r in (lay.top_value, lay.top_line))
        words = f'INDEX({lay.column("r_food")},{line})&" "&ROUND(ROUND({share},9),0)&" %"'
        parts.append(words if m == 0 else f'IF({line}=0,"","; "&{words})')
    first = a1(lay.top_line, col, True, True)
    sheet.formula(lay.top_words, col, f'=IF({first}=0,"-",{"&".join(parts)})', LOOKUP, "work")
