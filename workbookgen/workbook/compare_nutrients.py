"""Nutrients on Compare: amounts side by side, differences to the first, per cent Daily Value, chart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbookgen.catalogue.csvread import PROVEN, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.compare import amount_in_words, difference, per_cent_in_words
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import Sheet, Value, a1, block, quoted
from workbookgen.workbook.compare_picks import (
    CHANGES,
    CHART_NAME,
    CHART_NO,
    CHART_PCT,
    NAME,
    NO,
    PERCENTS,
    PICKED,
    PLACES,
    READS,
    SCALE,
    UNIT,
    VALUES,
    Picks,
    cell,
    head_words,
)
from workbookgen.workbook.words import as_listed

FILLS = ({"fill": {"color": "#262626"}}, {"fill": {"color": "#A6A6A6"}},
         {"pattern": {"pattern": "wide_upward_diagonal", "fg_color": "#262626", "bg_color": "#FFFFFF"}})  # fmt: skip


def chart_tags(kitchen: Kitchen) -> tuple[str, ...]:
    """Tags of data/compare_chart.csv in order; raises BadInput naming file and row of a fault."""
    rows = read_rows(data_path("compare_chart.csv"), ("tag", *PROVEN))
    only_once(rows, "tag")
    for row in rows:
        proof(row, kitchen.tables.sources)
    return tuple(row.choice("tag", tuple(kitchen.nutrient_by_tag)) for row in rows)


def put_nutrients(sheet: Sheet, kitchen: Kitchen, picks: Picks, head: int, nutrients: Sequence[Nutrient]) -> int:
    """A table under its headings; returns the row after it."""
    head_words(sheet, head)
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for i, nutrient in enumerate(nutrients):
        _put_row(sheet, head + 1 + i, nutrient, numbers[nutrient.tag], picks)
    return head + 1 + len(nutrients)


def _put_row(sheet: Sheet, row: int, n: Nutrient, number: int, picks: Picks) -> None:
    no, scale = cell(row, NO), cell(row, SCALE)
    sheet.put(row, NO, number, "calc small centre")
    sheet.formula(row, NAME, f"=INDEX(nut_name,{no})", n.name, "calc small")
    sheet.formula(row, UNIT, f"=INDEX(nut_unit,{no})", n.unit, "calc small")
    sheet.put(row, SCALE, 10**n.decimals, "work n0")
    results = [a.nutrients[n.tag] if a else None for a in picks.analyses]
    for k, found in enumerate(results):
        used, at = picks.used[k], picks.row[k]
        value, reads = cell(row, VALUES[k]), cell(row, READS[k])
        sheet.formula(row, VALUES[k], f'=IF({used}=0,"",INDEX(res_all_amounts,{at},{no}))', picks.value(k, found.serving if found else None), "work general")
        sheet.formula(row, READS[k], f'=IF({used}=0,"",INDEX(res_all_reads,{at},{no})&"")', picks.value(k, found.reads if found else None), "work")
        words = f"{found.reads} {shown(found.serving, n.decimals)}".lstrip() if found else None
        sheet.formula(row, PICKED[k], f'=IF({used}=0,"",IF({reads}="","",{reads}&" ")&{_printed(value, scale)})', picks.value(k, words), "calc small right")
        dv = f"INDEX(nut_dv,{no})"
        pct: Value | None = None
        if found:
            pct = "" if found.dv_pct is None else found.dv_pct
        sheet.formula(row, PERCENTS[k], f'=IF({used}=0,"",IF(ISNUMBER({dv}),{value}/{dv}*100,""))', picks.value(k, pct), "calc small n0")
    for k, (amount, percent) in enumerate(CHANGES, 1):
        _put_change(sheet, row, k, amount, percent, picks, (results[0], results[k]), n.decimals)
    sheet.heights[row] = 13.5


def _printed(value: str, scale: str) -> str:
    """A number as printed at 1/``scale``, halves up in every engine."""
    return f"ROUND(ROUND({value}*{scale},9),0)/{scale}"


def _signed(change: str, printed: str) -> str:
    return f'IF({printed}=0,"0",IF({change}>0,"+","-")&{printed})'


def _put_change(sheet: Sheet, row: int, k: int, amount: int, percent: int, picks: Picks, pair: tuple[Any, Any], decimals: int) -> None:
    """Difference of pick ``k`` to the first, with what unknown parts leave of it."""
    first, other = cell(row, VALUES[0]), cell(row, VALUES[k])
    first_reads, other_reads = cell(row, READS[0]), cell(row, READS[k])
    both = f"{picks.used[0]}*{picks.used[k]}"
    up = f'OR({other_reads}="at least",{first_reads}="at most")'
    down = f'OR({other_reads}="at most",{first_reads}="at least")'
    change = f"({other}-{first})"
    said = _signed(change, _printed(f"ABS{change}", cell(row, SCALE)))
    found = difference(*pair) if all(pair) else None
    blank = picks.recipes[0] is None or picks.recipes[k] is None
    amount_stored = "" if blank or found is None else amount_in_words(found, decimals)
    sheet.formula(row, amount, f'=IF({both}=0,"",IF(AND({up},{down}),"?",IF({up},"at least ",IF({down},"at most ",""))&{said}))',
                  amount_stored, "calc small right")
    here = cell(row, amount)
    pct = _signed(change, f"ROUND(ROUND(ABS{change}/{first}*100,9),0)")
    pct_stored = "" if blank or found is None else per_cent_in_words(found)
    sheet.formula(row, percent, f'=IF({both}=0,"",IF({here}="?","?",IF(ROUND({first},9)<=0,"-",{pct})))', pct_stored, "calc small right")


def put_chart(sheet: Sheet, kitchen: Kitchen, picks: Picks, at: int, col: int, data_row: int, size: tuple[int, int]) -> None:
    """Bars of per cent Daily Value for the picked recipes, data in working columns from ``data_row`` on."""
    tags = chart_tags(kitchen)
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    sheet.put(data_row, CHART_NO, "No.", "workhead")
    sheet.put(data_row, CHART_NAME, "Chart: nutrient", "workhead")
    for k, column in enumerate(CHART_PCT):
        title = picks.recipes[k]
        name = f'IF({picks.used[k]}=0,"{PLACES[k]}: nothing picked",INDEX(res_title,{picks.row[k]}))'
        stored = as_listed(title.recipe.title) if title and title.recipe else f"{PLACES[k]}: nothing picked"
        sheet.formula(data_row, column, f"={name}", stored, "workhead")
    for i, tag in enumerate(tags):
        row = data_row + 1 + i
        no = cell(row, CHART_NO)
        sheet.put(row, CHART_NO, numbers[tag], "work n0")
        sheet.formula(row, CHART_NAME, f"=INDEX(nut_name,{no})", kitchen.nutrient_by_tag[tag].name, "work")
        for k, column in enumerate(CHART_PCT):
            analysis = picks.analyses[k]
            dv = f"INDEX(nut_dv,{no})"
            pct = analysis.nutrients[tag].dv_pct if analysis else None
            sheet.formula(row, column, f"=IF({picks.used[k]}=0,0,IF(ISNUMBER({dv}),INDEX(res_all_amounts,{picks.row[k]},{no})/{dv}*100,0))",
                          pct or 0.0, "work n0")
    first, last = data_row + 1, data_row + len(tags)
    sheet.charts.append((at, col, _chart(sheet, data_row, first, last, size), {
        "x_offset": 6, "y_offset": 4, "object_position": 1,
        "description": "Bar chart: per cent Daily Value of main nutrients in one serving of each of the three picked recipes"}))


def _chart(sheet: Sheet, head: int, first: int, last: int, size: tuple[int, int]) -> Any:
    name = quoted(sheet.name)

    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        for column, fill in zip(CHART_PCT, FILLS, strict=True):
            chart.add_series({"name": f"={name}!{a1(head, column, True, True)}", "categories": f"={name}!{block(first, CHART_NAME, last, CHART_NAME)}",
                              "values": f"={name}!{block(first, column, last, column)}", **fill, "border": {"color": "#262626"},
                              "gap": 45, "overlap": 0})
        chart.set_title({"name": "% DV of one serving (unknown parts count as nothing)", "name_font": {"size": 10}})
        chart.set_y_axis({"reverse": True, "num_font": {"size": 8}})
        chart.set_x_axis({"min": 0, "num_format": "0", "num_font": {"size": 8}, "major_gridlines": {"visible": True, "line": {"color": "#BFBFBF"}}})
        chart.set_legend({"position": "bottom", "font": {"size": 8}})
        chart.set_size({"width": size[0], "height": size[1]})
        return chart

    return make
