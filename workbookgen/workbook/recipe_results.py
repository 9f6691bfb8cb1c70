"""What the recipe gives: the nutrient tables of a recipe sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbookgen.model.analysis import Analysis, NutrientResult
from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block, quoted
from workbookgen.workbook.recipe_layout import DV_CHART_AT, RecipeLayout
from workbookgen.workbook.words import in_words

HEADS = (
    ("food", "Nutrient"), ("amount", "Unit"), ("unit", "One serving"), ("basis", "One serving, exact"),
    ("treat", "As a label declares it"), ("share", "% DV, exact"), ("water", "100 g of the dish"),
    ("grams", "Whole dish"), ("dish", "Weight known"), ("message", "Mostly from"),
)


def put_results(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Main nutrients first, all others on a page of their own."""
    others = [n for n in lay.nutrients if not n.main]
    for title_row, head_row, first, nutrients, title in (
        (lay.main_title, lay.main_head, lay.main_first, lay.main, "Nutrients of one serving"),
        (lay.more_title, lay.more_head, lay.more_first, others, "More nutrients of one serving"),
    ):
        sheet.put(title_row, 0, title, "section")
        sheet.band(title_row, 0, lay.front_last, "section")
        sheet.put(head_row, 0, "No.", "head")
        sheet.put(head_row, 1, "", "head")
        for key, head in HEADS:
            sheet.put(head_row, lay.col[key], head, "head")
        sheet.heights[head_row] = 30
        _put_rows(sheet, lay, first, nutrients, analysis)
    put_daily_value_chart(sheet, lay)


def _put_rows(sheet: Sheet, lay: RecipeLayout, first: int, nutrients: Sequence[Nutrient],
              analysis: Analysis | None) -> None:
    position = {n.tag: i for i, n in enumerate(lay.nutrients, 1)}
    place_in_main = {n.tag: i for i, n in enumerate(lay.main, 1)}
    for i, nutrient in enumerate(nutrients):
        result = analysis.nutrients[nutrient.tag] if analysis else None
        _put_row(sheet, lay, first + i, position[nutrient.tag], place_in_main.get(nutrient.tag), nutrient, result)


def _across(lay: RecipeLayout, row: int, prefix: str, nutrients: Sequence[Nutrient]) -> str:
    return block(row, lay.col[prefix + nutrients[0].tag], row, lay.col[prefix + nutrients[-1].tag])


def _put_row(sheet: Sheet, lay: RecipeLayout, row: int, number: int, main_number: int | None, nutrient: Nutrient,
             result: NutrientResult | None) -> None:
    no = a1(row, 0, fix_col=True)
    totals, covers = (_across(lay, r, "n_", lay.nutrients) for r in (lay.total, lay.cover))
    servings, weight = servings_cell(lay), weight_cell(lay)
    c = {key: lay.cell(key, row) for key, _ in HEADS}
    bad, most = lay.at("bad", lay.total), lay.at("most", lay.total)
    unit = f"INDEX(nut_unit,{no})"

    def put(key: str, formula: str, value: Value | None, style: str) -> None:
        sheet.formula(row, lay.col[key], formula, LOOKUP if result is None or value is None else value, style)

    sheet.put(row, 0, number, "calc small centre")
    sheet.formula(row, 1, reads_formula(lay, no, c["dish"], bad, most), LOOKUP if result is None else result.reads,
                  "calc small")
    sheet.formula(row, lay.col["food"], f"=INDEX(nut_name,{no})", nutrient.name, "calc")
    sheet.formula(row, lay.col["amount"], f"={unit}", nutrient.unit, "calc small")
    reads, exact = a1(row, 1, fix_col=True), c["basis"]
    decimals = nutrient.decimals
    step = 10**decimals
    # decimals per nutrient are part of the printed form; the digit count stands in the number format and here
    text = f'=IF({servings}=0,"-",IF({reads}="","",{reads}&" ")&{in_words(exact, decimals)}&" "&{c["amount"]})'
    put("unit", text, _reading(result, nutrient, step) if result else None, "calc right")
    put("basis", f"=IF({servings}=0,0,{c['grams']}/{servings})", result.serving if result else None, "calc n2")
    put("treat", label_formula(no, exact, c["share"], reads, servings), label_words(result, nutrient) if result else None,
        "calc right small")
    put("share", f'=IF(ISNUMBER(INDEX(nut_dv,{no})),{exact}/INDEX(nut_dv,{no})*100,"")',
        ("" if result.dv_pct is None else result.dv_pct) if result else None, "calc n1")
    put("water", f"=IF({weight}=0,0,{c['grams']}/{weight}*100)", result.per_100g if result else None, "calc n2")
    put("grams", f"=INDEX({totals},{no})", result.dish if result else None, "calc n1")
    put("dish", f"=INDEX({covers},{no})", result.coverage if result else None, "calc share")
    if main_number is not None:
        words = _across(lay, lay.top_words, "s_", lay.main)
        sheet.formula(row, lay.col["message"], f"=INDEX({words},{main_number})", LOOKUP, "calc small flow")
        sheet.heights[row] = 26


def put_daily_value_chart(sheet: Sheet, lay: RecipeLayout) -> None:
    """Bars of per cent Daily Value, below the chart of the plate."""
    name = quoted(sheet.name)

    def cells(key: str) -> str:
        return f"={name}!{block(lay.main_first, lay.col[key], lay.main_last, lay.col[key])}"

    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        chart.add_series({"name": "% DV", "categories": cells("food"), "values": cells("share"), "gap": 40,
                          "fill": {"color": "#404040"}, "border": {"color": "#404040"}})
        chart.set_title({"name": "Per cent Daily Value of one serving (unknown parts count as nothing)", "name_font": {"size": 11}})
        chart.set_y_axis({"reverse": True, "num_font": {"size": 7}, "interval_unit": 1})
        chart.set_x_axis({"min": 0, "num_format": "0", "major_gridlines": {"visible": True, "line": {"color": "#BFBFBF"}}})
        chart.set_legend({"none": True})
        chart.set_size({"width": 1000, "height": 395})
        return chart

    sheet.charts.append((lay.chart + DV_CHART_AT, lay.col["food"], make, {
        "x_offset": 8, "y_offset": 4, "object_position": 1,
        "description": "Bar chart: per cent Daily Value of each main nutrient in one serving; the same figures stand in the table Nutrients of one serving"}))


def servings_cell(lay: RecipeLayout) -> str:
    """Cell with the number of servings as read, 0 when it makes no sense."""
    return lay.at("r_amount", 3)


def weight_cell(lay: RecipeLayout) -> str:
    """Cell with the weight of the finished dish, g."""
    return lay.at("dish", lay.plate_out)


def reads_formula(lay: RecipeLayout, no: str, cover: str, bad: str, most: str) -> str:
    """"at least" with short coverage or lines not understood, "at most" with fat that could not be drained."""
    dry = lay.at("dry", lay.total)
    return (f'=IF(OR(AND({dry}>0,ROUND({cover},9)<1),{bad}>0),"at least",'
            f'IF(AND({most}>0,INDEX(nut_drains,{no})=1),"at most",""))')


def rounded(prefix: str, no: str, v: str) -> str:
    """``v`` rounded by the label rule of nutrient number ``no``; ``prefix`` is lab_ (amount) or pct_ (% DV)."""
    def field(name: str) -> str:
        return f"INDEX({prefix}{name},{no})"

    def stepped(step: str) -> str:
        return f"ROUND(ROUND({v}/{step},9),0)*{step}"

    return (f"IF(ROUND({v},9)<{field('zero_below')},0,IF(ROUND({v},9)<={field('upto_1')},{stepped(field('step_1'))},"
            f"IF(ROUND({v},9)<={field('upto_2')},{stepped(field('step_2'))},{stepped(field('step_3'))})))")


def label_formula(no: str, exact: str, dv: str, reads: str, servings: str) -> str:
    """The declared amount and per cent Daily Value in words (21 CFR 101.9(c))."""
    less = (f"AND(ROUND({exact},9)>=INDEX(lab_zero_below,{no}),IF(INDEX(lab_text_at,{no})=1,"
            f"ROUND({exact},9)<=INDEX(lab_text_below,{no}),ROUND({exact},9)<INDEX(lab_text_below,{no})))")
    amount = (f'IF({less},"less than "&INDEX(lab_text_amount,{no}),{in_words(rounded("lab_", no, exact), 2)})'
              f'&" "&INDEX(nut_unit,{no})')
    pct = f'IF(AND(ISNUMBER({dv}),ISNUMBER(INDEX(pct_step_3,{no}))),", "&{in_words(rounded("pct_", no, dv), 0)}&" % DV","")'
    return (f'=IF(OR({servings}=0,ISNUMBER(INDEX(lab_step_3,{no}))=FALSE),"",IF({reads}="","",{reads}&" ")&{amount}&{pct})')


def label_words(result: NutrientResult, nutrient: Nutrient) -> str:
    """The same words from the core."""
    if result.label_amount is None:
        return ""
    pct = "" if result.label_dv_pct is None else f", {shown(result.label_dv_pct, 0)} % DV"
    return (f"{result.reads} " if result.reads else "") + result.label_text + pct


def _reading(result: NutrientResult, nutrient: Nutrient, step: int) -> str:
    return (f"{result.reads} " if result.reads else "") + f"{shown(result.serving, nutrient.decimals)} {nutrient.unit}"
