"""Shares: where every main nutrient of a chosen recipe comes from, with a chart for a chosen nutrient."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from workbookgen.model.tables import Nutrient
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.totals import food_shares
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block, quoted
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_picker import (
    HINT_ROW,
    INPUT_ROW,
    LABEL_ROW,
    MESSAGE_ROW,
    before_hubs,
    chosen_cell,
    line_cell,
    put_picker,
)
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import key_text, tidy

FOOD, FIRST_NUTRIENT = 1, 2
BLOCKS = 2
CHART_HEAD, CHART_FIRST, CHART_FOODS = 7, 8, 10
MATRIX = CHART_FIRST + CHART_FOODS + 1
DEFAULT_TAG = "FE"


@dataclass(frozen=True, slots=True)
class Matrix:
    """Where the matrix stands: nutrients in blocks one above the other, ``lines`` rows each."""

    nutrients: tuple[Nutrient, ...]
    lines: int

    @property
    def across(self) -> int:
        return -(-len(self.nutrients) // BLOCKS)

    @property
    def last_col(self) -> int:
        return FIRST_NUTRIENT + self.across - 1

    @property
    def work(self) -> int:
        return self.last_col + 2

    def head(self, number: int) -> int:
        """Heading row of block ``number`` (from 0)."""
        return MATRIX + 1 + number * (self.lines + 3)

    def first(self, number: int = 0) -> int:
        return self.head(number) + 1

    def place(self, index: int) -> tuple[int, int]:
        """Block and column of nutrient ``index``."""
        return index // self.across, FIRST_NUTRIENT + index % self.across


def put_shares(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet:
    """Lay out the sheet: chosen recipe and nutrient, ranking with chart, the full matrix below."""
    sheet = book.add("Shares")
    before_hubs(book)
    m = Matrix(recipes[0].lay.main, max(r.lay.lines for r in recipes))
    put_frame(sheet, "Shares", "Where the nutrients of a recipe come from: per cent of the dish that each food brings, all lines of one food "
              "together. Choose a recipe, and a nutrient for the chart.", m.last_col)
    sheet.widths[0], sheet.widths[FOOD] = 4, 32
    for k in range(m.across):
        sheet.widths[FIRST_NUTRIENT + k] = 12
    slot = put_picker(sheet, recipes, FOOD, m.work)
    for number in range(BLOCKS):
        _put_matrix(sheet, m, number, recipes, slot)
    nutrient = _put_nutrient(sheet, m)
    _put_ranking(sheet, m, nutrient[0])
    sheet.charts.append((CHART_HEAD, FIRST_NUTRIENT + 2, _chart(sheet, nutrient), {
        "x_offset": 4, "y_offset": 2, "object_position": 1,
        "description": "Bar chart: per cent of the chosen nutrient that each food of the recipe brings, largest first"}))
    sheet.freeze = (CHART_HEAD, 0)
    sheet.landscape = True
    sheet.page_breaks = [m.head(0) - 1, m.head(1) - 1]
    sheet.print_area = (0, 0, m.first(BLOCKS - 1) + m.lines - 1, m.last_col)
    sheet.first_input = (INPUT_ROW, FOOD)
    return sheet


def _put_nutrient(sheet: Sheet, m: Matrix) -> tuple[str, str]:
    """Input for the chart's nutrient; returns the cells with its number and its name."""
    col = FIRST_NUTRIENT + 2
    tags = [n.tag for n in m.nutrients]
    start = tags.index(DEFAULT_TAG) if DEFAULT_TAG in tags else 0
    for i, nutrient in enumerate(m.nutrients):
        sheet.put(m.first() + i, m.work + 2, nutrient.name, "work")
    sheet.put(m.head(0), m.work + 2, "Main nutrients", "workhead")
    names = block(m.first(), m.work + 2, m.first() + len(tags) - 1, m.work + 2)
    sheet.put(LABEL_ROW, col, "Nutrient for the chart", "label")
    sheet.put(INPUT_ROW, col, m.nutrients[start].name, "input")
    for c in (col + 1, col + 2):
        sheet.put(INPUT_ROW, c, "", "input")
    sheet.merges.append((INPUT_ROW, col, INPUT_ROW, col + 2))
    sheet.put(HINT_ROW, col, "choose from the list", "hint")
    sheet.merges.append((HINT_ROW, col, HINT_ROW, col + 2))
    sheet.choose_from(INPUT_ROW, col, INPUT_ROW, col, f"={names}", "Nutrient", "One of the main nutrients.")
    x = f"INDEX({block(LABEL_ROW, col, HINT_ROW, col)},2)"
    sheet.put(LABEL_ROW, m.work + 1, "Nutrient no.", "workhead")
    found = f"IFERROR(MATCH({key_text(x)},{names},0),0)"
    at = sheet.formula(INPUT_ROW, m.work + 1, f'=IF(ISTEXT({x}),IF(LEN({x})>100,0,IF({tidy(x)}="",0,{found})),0)', float(start + 1), "work n0")
    sheet.formula(MESSAGE_ROW, col, f'=IF({at}=0,"not a main nutrient: the first one is shown","")', LOOKUP, "message")
    sheet.merges.append((MESSAGE_ROW, col, MESSAGE_ROW, m.last_col))
    number = sheet.formula(HINT_ROW, m.work + 1, f"=MAX(1,{at})", float(start + 1), "work n0")
    sheet.formula(CHART_HEAD, m.work + 1, f'=INDEX({names},{number})&", % of the dish"', LOOKUP, "work")
    return number, a1(CHART_HEAD, m.work + 1, True, True)


def _put_matrix(sheet: Sheet, m: Matrix, number: int, recipes: Sequence[RecipeSheet], slot: str) -> None:
    head = m.head(number)
    sheet.put(head - 1, 0, "Per cent of the dish", "section")
    sheet.band(head - 1, 0, m.last_col, "section")
    sheet.put(head, 0, "No.", "head")
    sheet.put(head, FOOD, "Food", "head")
    sheet.heights[head] = 30
    analysis = recipes[0].analysis
    shown = [(n, m.place(i)[1]) for i, n in enumerate(m.nutrients) if m.place(i)[0] == number]
    shares = {n.tag: dict(food_shares(analysis.lines, n.tag)) for n, _ in shown} if analysis else {}
    for nutrient, col in shown:
        sheet.put(head, col, nutrient.name, "head")
    seen: set[str] = set()
    for i in range(m.lines):
        row = m.first(number) + i
        name = analysis.lines[i].food.name if analysis and i < len(analysis.lines) else ""
        new = name not in seen
        seen.add(name)
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.formula(row, FOOD, f"={chosen_cell(slot, [line_cell(r, 'r_food', i) for r in recipes])}", LOOKUP, "calc small")
        for nutrient, col in shown:
            value: Value | _Lookup = LOOKUP
            if analysis:
                value = shares[nutrient.tag].get(name, "") if new and name else ""
            cells = [line_cell(r, "s_" + nutrient.tag, i) for r in recipes]
            sheet.formula(row, col, f"={chosen_cell(slot, cells)}", value, "calc small z1")


def _put_ranking(sheet: Sheet, m: Matrix, number: str) -> None:
    """The ten largest shares of the chosen nutrient."""
    sheet.put(CHART_HEAD, 0, "No.", "head")
    sheet.put(CHART_HEAD, FOOD, "Mostly from", "head")
    sheet.put(CHART_HEAD, FIRST_NUTRIENT, "Share, %", "head")
    sheet.put(m.head(0), m.work, "Chosen nutrient", "workhead")
    first, last = m.first(), m.first() + m.lines - 1
    for i in range(m.lines):
        upper, lower = (f"{a1(r, FIRST_NUTRIENT, fix_col=True)}:{a1(r, m.last_col, fix_col=True)}" for r in (first + i, m.first(1) + i))
        sheet.formula(first + i, m.work,
                      f"=IF({number}<=COLUMNS({upper}),INDEX({upper},MIN({number},COLUMNS({upper}))),INDEX({lower},MAX(1,{number}-COLUMNS({upper}))))",
                      LOOKUP, "work n1")
    shares, numbers = block(first, m.work, last, m.work), block(first, 0, last, 0)
    after = f"(ROWS({numbers})+1)"
    for k in range(CHART_FOODS):
        row = CHART_FIRST + k
        value, line = a1(row, m.work, True, True), a1(row, m.work + 1, True, True)
        sheet.put(row, 0, k + 1, "calc small centre")
        rank = a1(row, 0, fix_col=True)
        sheet.formula(row, m.work, f'=IF(COUNTIF({shares},">0")<{rank},0,LARGE({shares},{rank}))', LOOKUP, "work n1")
        others = "".join(f"*({numbers}<>{a1(CHART_FIRST + j, m.work + 1, True, True)})" for j in range(k))
        sheet.formula(row, m.work + 1, f"=IF({value}=0,0,{after}-SUMPRODUCT(MAX(({shares}={value}){others}*({after}-{numbers}))))", LOOKUP, "work n0")
        sheet.formula(row, FOOD, f'=IF({line}=0,"",INDEX({block(first, FOOD, last, FOOD)},{line}))', LOOKUP, "calc small")
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
        chart.set_size({"width": 700, "height": 262})
        return chart

    return make
