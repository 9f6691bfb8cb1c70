"""Below the plate's groups: liquid, whole grain, the lean test, weight without a known cup, and the chart."""

from __future__ import annotations

from typing import Any

from workbookgen.nutrition.plate import PlateBalance
from workbookgen.workbook.book import LOOKUP, Sheet, Value, block, quoted
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_lines import lay_plate_no


def by_cell(lay: RecipeLayout) -> str:
    """Cell with the number of what the groups are compared by: 1 weight, 2 cups, 3 energy."""
    return lay.at("r_food", lay.plate_by)


def put_plate_facts(sheet: Sheet, lay: RecipeLayout, balance: PlateBalance | None) -> None:
    """Liquid, whole grain, lean test, weight without a known cup."""
    dish, total = lay.column("dish"), lay.at("dish", lay.total)
    by_role = {role: f'SUMIF({lay.column("erole")},"{role}",{dish})' for role in ("liquid", "whole grain", "refined grain")}
    grains = f"({by_role['whole grain']}+{by_role['refined grain']})"
    first = lay.plate_fact
    here = [lay.cell("amount", first + i) for i in range(4)]
    lean_at = first + 2
    fat, saturated, cholesterol = (lay.cell(k, lean_at) for k in ("amount", "unit", "basis"))

    def put(i: int, label: str, formula: str, value: Value | None, verdict: str, note: str, core: str | None = None) -> None:
        row = first + i
        sheet.put(row, 0, "", "calc")
        sheet.band(row, 0, lay.front_last, "calc")
        sheet.put(row, lay.col["food"], label, "calc small flow")
        sheet.formula(row, lay.col["amount"], formula, LOOKUP if balance is None or value is None else value, "calc n1")
        sheet.formula(row, lay.col["treat"], verdict, LOOKUP if balance is None or core is None else core, "calc bold")
        sheet.put(row, lay.col["share"], note, "calc small flow")
        sheet.merges.append((row, lay.col["share"], row, lay.front_last))
        sheet.heights[row] = 28

    b = balance
    put(0, "Liquid, % of the dish", f"=IF({total}=0,0,{by_role['liquid']}/{total}*100)", b.liquid_pct if b else None,
        f'=IF(ROUND({here[0]},9)>=const_soup_from,"a soup: solids only","")',
        "the shares above are of the solids; the liquid is left out of them")
    put(1, "Whole grain, % of all grain", f'=IF({grains}=0,"-",{by_role["whole grain"]}/{grains}*100)',
        ("-" if b.whole_pct is None else b.whole_pct) if b else None,
        f'=IF(ISTEXT({here[1]}),"no grain",IF(ROUND({here[1]},9)>=const_whole_grain_half,"at least half is whole","less than half is whole"))',
        "weight in the dish; MyPlate asks for half of the grains whole, other plates for whole grain alone")
    group = f"INDEX(plate_map,({lay_plate_no(lay)}-1)*ROWS(list_role)+MATCH(\"protein\",list_role,0))"
    sheet.formula(lean_at, lay.col["r_food"], f"={group}", LOOKUP, "work n0")
    number, weight, unknown, most = (lay.at(k, lean_at) for k in ("r_food", "r_amount", "r_unit", "r_count"))
    inside = f"({lay.column('pgroup')}={number})"
    sheet.formula(lean_at, lay.col["r_amount"], f"=SUMIF({lay.column('pgroup')},{number},{dish})", LOOKUP, "work n1")
    sheet.formula(lean_at, lay.col["r_unit"], "=" + "+".join(
        f'SUMPRODUCT({inside}*({lay.column("n_" + tag)}="?"))' for tag in ("FAT", "FASAT", "CHOLE")), LOOKUP, "work n0")
    sheet.formula(lean_at, lay.col["r_count"], f"=SUMPRODUCT({inside}*{lay.column('most')})", LOOKUP, "work n0")

    def per_100g(tag: str) -> str:
        return f"=IF({weight}=0,0,SUMIF({lay.column('pgroup')},{number},{lay.column('n_' + tag)})/{weight}*100)"

    f, s, ch = (f"ROUND({x},9)" for x in (fat, saturated, cholesterol))
    lean = f"AND({f}<const_lean_fat,{s}<=const_lean_saturated,{ch}<const_lean_cholesterol)"
    extra = f"AND({f}<const_extra_lean_fat,{s}<const_extra_lean_saturated)"
    doubt = '"cannot be judged"'
    put(2, "Protein part, per 100 g: fat g, saturated fat g, cholesterol mg", per_100g("FAT"), b.lean.fat if b else None,
        f'=IF({weight}=0,"-",IF({lean},IF({unknown}>0,{doubt},IF({extra},"extra lean","lean")),IF({most}>0,{doubt},"not lean")))',
        "21 CFR 101.62(e): lean is below 10 g fat, at most 4.5 g saturated fat and below 95 mg cholesterol; extra lean below 5 g and "
        "2 g. Written for fish and meat; per 100 g is the stricter of its two bases", b.lean.verdict if b else None)
    sheet.formula(lean_at, lay.col["unit"], per_100g("FASAT"), b.lean.saturated if b else LOOKUP, "calc n1")
    sheet.formula(lean_at, lay.col["basis"], per_100g("CHOLE"), b.lean.cholesterol if b else LOOKUP, "calc n0")
    sheet.heights[lean_at] = 40
    cups = f'SUMPRODUCT(({lay.column("pl_cups")}="?")*({lay.column("pgroup")}>0)*{dish})'
    put(3, "Weight on the plate without a known cup, g", f"={cups}", b.unknown_g if b else None,
        f'=IF({here[3]}=0,"all cups known",IF({by_cell(lay)}=2,"left out of the cups","cups would leave it out"))',
        "cups are counted as cup-equivalents, 1/2 cup per ounce-equivalent of grain, or by volume; the sheet Methods lists how")


def plate_chart(sheet: Sheet, lay: RecipeLayout) -> Any:
    """Shares beside targets in greys, the verdict in words with each group."""
    name = quoted(sheet.name)

    def cells(key: str) -> str:
        return f"={name}!{block(lay.plate_first, lay.col[key], lay.plate_last, lay.col[key])}"

    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        chart.add_series({"name": "on the plate, %", "categories": cells("r_food"), "values": cells("unit"),
                          "fill": {"color": "#262626"}, "border": {"color": "#262626"}, "gap": 60,
                          "data_labels": {"value": True, "num_format": "0"}})
        chart.add_series({"name": "target, %", "categories": cells("r_food"), "values": cells("basis"),
                          "pattern": {"pattern": "wide_upward_diagonal", "fg_color": "#7F7F7F", "bg_color": "#FFFFFF"},
                          "border": {"color": "#7F7F7F"}})
        chart.set_title({"name": "Plate: share, target and verdict", "name_font": {"size": 11}})
        chart.set_y_axis({"reverse": True})
        chart.set_x_axis({"min": 0, "num_format": "0", "major_gridlines": {"visible": True, "line": {"color": "#BFBFBF"}}})
        chart.set_legend({"position": "bottom"})
        chart.set_size({"width": 1000, "height": 310})
        return chart

    return make
