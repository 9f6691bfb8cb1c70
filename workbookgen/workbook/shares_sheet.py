"""Shares: where every main nutrient of a chosen recipe comes from, with a chart for a chosen nutrient."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.totals import food_shares
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block, quoted
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_picker import HINT_ROW, INPUT_ROW, LABEL_ROW, MESSAGE_ROW, before_hubs, chosen_cell, line_cell, put_picker
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import key_text, tidy

FOOD, FIRST_NUTRIENT = 1, 2
CHART_HEAD, CHART_FIRST, CHART_FOODS = 7, 8, 10
HEAD = CHART_FIRST + CHART_FOODS + 2
FIRST = HEAD + 1
DEFAULT_TAG = "FE"


def put_shares(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet:
    """Lay out the sheet: chosen recipe and nutrient, ranking with chart, the full matrix below."""
    sheet = book.add("Shares")
    before_hubs(book)
    main = recipes[0].lay.main
    last_col = FIRST_NUTRIENT + len(main) - 1
    work = last_col + 2
    put_frame(sheet, "Shares", "Where the nutrients of a recipe come from: per cent of the dish that each food brings, all lines of one food "
              "together. Choose a recipe, and a nutrient for the chart.", last_col)
    sheet.widths[0], sheet.widths[FOOD] = 4, 32
    for k in range(len(main)):
        sheet.widths[FIRST_NUTRIENT + k] = 8.5
    lines = max(r.lay.lines for r in recipes)
    last = FIRST + lines - 1
    slot = put_picker(sheet, recipes, FOOD, work)
    _put_matrix(sheet, kitchen, recipes, slot, lines, work)
    nutrient = _put_nutrient(sheet, main, last_col, work)
    _put_ranking(sheet, kitchen, last, last_col, work, nutrient)
    sheet.charts.append((CHART_HEAD, FIRST_NUTRIENT + 6, _chart(sheet, nutrient), {
        "x_offset": 4, "y_offset": 2, "object_position": 1,
        "description": "Bar chart: per cent of the chosen nutrient that each food of the recipe brings, largest first"}))
    sheet.freeze = (CHART_HEAD, 0)
    sheet.landscape = True
    sheet.print_area = (0, 0, last + 1, last_col)
    sheet.first_input = (INPUT_ROW, FOOD)
    return sheet


def _put_nutrient(sheet: Sheet, main: Sequence[Any], last_col: int, work: int) -> tuple[str, str]:
    """Input for the chart's nutrient; returns the cells with its place among the columns and its name."""
    col = FIRST_NUTRIENT + 2
    tags = [n.tag for n in main]
    start = tags.index(DEFAULT_TAG) if DEFAULT_TAG in tags else 0
    heads = block(HEAD, FIRST_NUTRIENT, HEAD, last_col)
    sheet.put(LABEL_ROW, col, "Nutrient for the chart", "label")
    sheet.put(INPUT_ROW, col, main[start].name, "input")
    for c in (col + 1, col + 2):
        sheet.put(INPUT_ROW, c, "", "input")
    sheet.merges.append((INPUT_ROW, col, INPUT_ROW, col + 2))
    sheet.put(HINT_ROW, col, "", "hint")
    sheet.choose_from(INPUT_ROW, col, INPUT_ROW, col, f"={heads}", "Nutrient", "One of the main nutrients.")
    x = f"INDEX({block(LABEL_ROW, col, HINT_ROW, col)},2)"
    sheet.put(LABEL_ROW, work + 1, "Nutrient no.", "workhead")
    found = f"IFERROR(MATCH({key_text(x)},{heads},0),0)"
    at = sheet.formula(INPUT_ROW, work + 1, f'=IF(ISTEXT({x}),IF(LEN({x})>100,0,IF({tidy(x)}="",0,{found})),0)', float(start + 1), "work n0")
    sheet.formula(MESSAGE_ROW, col, f'=IF({at}=0,"not a main nutrient: the first one is shown","")', LOOKUP, "message")
    number = sheet.formula(HINT_ROW, work + 1, f"=MAX(1,{at})", float(start + 1), "work n0")
    sheet.formula(CHART_HEAD, work + 1, f'=INDEX({heads},{number})&", % of the dish"', LOOKUP, "work")
    return number, a1(CHART_HEAD, work + 1, True, True)


def _put_matrix(sheet: Sheet, kitchen: Kitchen, recipes: Sequence[RecipeSheet], slot: str, lines: int, work: int) -> None:
    main = recipes[0].lay.main
    sheet.put(HEAD - 1, 0, "Per cent of the dish", "label")
    sheet.put(HEAD, 0, "No.", "head")
    sheet.put(HEAD, FOOD, "Food", "head")
    sheet.heights[HEAD] = 44
    analysis = recipes[0].analysis
    shares = {n.tag: dict(food_shares(analysis.lines, n.tag)) for n in main} if analysis else {}
    for k, nutrient in enumerate(main):
        sheet.put(HEAD, FIRST_NUTRIENT + k, nutrient.name, "head")
    seen: set[str] = set()
    for i in range(lines):
        row = FIRST + i
        name = analysis.lines[i].food.name if analysis and i < len(analysis.lines) else ""
        new = name not in seen
        seen.add(name)
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.formula(row, FOOD, f"={chosen_cell(slot, [line_cell(r, 'r_food', i) for r in recipes])}", LOOKUP, "calc small")
        for k, nutrient in enumerate(main):
            value: Value | _Lookup = LOOKUP
            if analysis:
                value = shares[nutrient.tag].get(name, "") if new and name else ""
            cells = [line_cell(r, "s_" + nutrient.tag, i) for r in recipes]
            sheet.formula(row, FIRST_NUTRIENT + k, f"={chosen_cell(slot, cells)}", value, "calc small z1")


def _put_ranking(sheet: Sheet, kitchen: Kitchen, last: int, last_col: int, work: int, nutrient: tuple[str, str]) -> None:
    """The ten largest shares of the chosen nutrient and all others together."""
    number, _ = nutrient
    sheet.put(CHART_HEAD, 0, "No.", "head")
    sheet.put(CHART_HEAD, FOOD, "Mostly from", "head")
    sheet.put(CHART_HEAD, FIRST_NUTRIENT, "Share, %", "head")
    sheet.put(HEAD, work, "Chosen nutrient", "workhead")
    for row in range(FIRST, last + 1):
        cells = f"{a1(row, FIRST_NUTRIENT, fix_col=True)}:{a1(row, last_col, fix_col=True)}"
        sheet.formula(row, work, f"=INDEX({cells},{number})", LOOKUP, "work n1")
    shares, numbers = block(FIRST, work, last, work), block(FIRST, 0, last, 0)
    after = last - FIRST + 2
    for m in range(CHART_FOODS):
        row = CHART_FIRST + m
        value, line = a1(row, work, True, True), a1(row, work + 1, True, True)
        sheet.put(row, 0, m + 1, "calc small centre")
        sheet.formula(row, work, f'=IF(COUNTIF({shares},">0")<{m + 1},0,LARGE({shares},{m + 1}))', LOOKUP, "work n1")
        others = "".join(f"*({numbers}<>{a1(CHART_FIRST + k, work + 1, True, True)})" for k in range(m))
        sheet.formula(row, work + 1, f"=IF({value}=0,0,{after}-SUMPRODUCT(MAX(({shares}={value}){others}*({after}-{numbers}))))", LOOKUP, "work n0")
        sheet.formula(row, FOOD, f'=IF({line}=0,"",INDEX({block(FIRST, FOOD, last, FOOD)},{line}))', LOOKUP, "calc small")
        sheet.formula(row, FIRST_NUTRIENT, f'=IF({line}=0,"",{value})', LOOKUP, "calc n1")
        sheet.heights[row] = 20


def _chart(sheet: Sheet, nutrient: tuple[str, str]) -> Any:
    name = quoted(sheet.name)

    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        last = CHART_FIRST + CHART_FOODS - 1
        chart.add_series({"name": f"={name}!{nutrient[1]}", "categories": f"={name}!{block(CHART_FIRST, FOOD, last, FOOD)}",
                          "values": f"={name}!{block(CHART_FIRST, FIRST_NUTRIENT, last, FIRST_NUTRIENT)}",
                          "fill": {"color": "#404040"}, "border": {"color": "#262626"}, "gap": 40,
                          "data_labels": {"value": True, "num_format": "0"}})
        chart.set_title({"name": f"={name}!{nutrient[1]}", "name_font": {"size": 11}})
        chart.set_y_axis({"reverse": True})
        chart.set_x_axis({"min": 0, "num_format": "0", "major_gridlines": {"visible": True, "line": {"color": "#BFBFBF"}}})
        chart.set_legend({"none": True})
        chart.set_size({"width": 760, "height": 250})
        return chart

    return make
