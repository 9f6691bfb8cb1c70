"""Day: recipes and foods over five meals, their sums against a reference, the plate and the meals, on one page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbookgen.model.analysis import Settings
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block, quoted
from workbookgen.workbook.day_layout import (
    AGAINST,
    AGAINST_CHOICES,
    AGAINST_HINT,
    AGAINST_LABEL,
    AMOUNT,
    FIRST,
    FOOD,
    MEAL,
    MESSAGE,
    NO,
    NOTE_ROWS,
    RECIPE,
    SERVINGS,
    SHEET,
    SIDE,
    SIDE_LAST,
    TABLE_FIRST,
    TITLE,
    UNIT,
    WEIGHT,
    DayLayout,
    day_layout,
)
from workbookgen.workbook.day_rows import put_rows, start_rows
from workbookgen.workbook.day_totals import against_cell, put_meals, put_plate_of_day, put_table, put_used
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_picker import before_hubs
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.typed import place

WIDTHS = {NO: 5, MEAL: 27, SERVINGS: 10, RECIPE: 36, AMOUNT: 10, UNIT: 18, FOOD: 34, WEIGHT: 10, MESSAGE: 32}
CHART_WIDTH, CHART_ROW = 520, 20


def put_day(book: Book, kitchen: Kitchen, settings: Settings, recipes: Sequence[RecipeSheet]) -> Sheet | None:
    """Lay out the sheet; None without the tables behind it."""
    if not kitchen.person.stages:
        return None
    sheet = book.add(SHEET)
    before_hubs(book)
    lay = day_layout(kitchen, len(recipes))
    rows = start_rows(kitchen, recipes)
    items = [item for _, item in rows]
    put_frame(sheet, SHEET, "A day of meals: what recipes and foods add up to, held against a person's reference intakes or label values. Sums "
              "with an unknown part read \"at least\".", SIDE_LAST)
    for col, width in WIDTHS.items():
        sheet.widths[col] = width
    sheet.widths |= {MESSAGE + 1: 2, SIDE: 28, **{SIDE + k: 11 for k in range(1, 5)}}
    for row, text in zip(NOTE_ROWS, dict(read_sections("person.md"))["day"], strict=True):
        sheet.put(row, MEAL, text, "wrap small")
        sheet.merges.append((row, MEAL, row, SIDE_LAST))
    _put_against(sheet, lay)
    put_rows(sheet, lay, kitchen, rows, any(r.lay.is_dish for r in recipes))
    put_used(sheet, lay, recipes)
    put_table(sheet, lay, kitchen, items)
    put_meals(sheet, lay, kitchen, items)
    put_plate_of_day(sheet, lay, kitchen, settings, items)
    count = len(kitchen.person.nutrients)
    sheet.charts.append((TITLE, SIDE, _chart(sheet, lay, count, kitchen.person.limit("bar_max")), {
        "x_offset": 2, "y_offset": 2, "object_position": 1,
        "description": "Bar chart: per cent of its reference that the day brings of each nutrient, longest bars cut off"}))
    sheet.freeze = (FIRST, MEAL + 1)
    sheet.landscape = True
    sheet.fit_pages = (1, 1)
    sheet.print_area = (0, 0, TABLE_FIRST + count - 1, SIDE_LAST)
    sheet.first_input = (FIRST, MEAL)
    return sheet


def _put_against(sheet: Sheet, lay: DayLayout) -> None:
    """Input: what the day is held against."""
    sheet.put(AGAINST_LABEL, MEAL, "Held against", "label")
    sheet.put(AGAINST, MEAL, AGAINST_CHOICES[0], "input small")
    sheet.put(AGAINST_HINT, MEAL, "choose from the list", "hint")
    sheet.choose_from(AGAINST, MEAL, AGAINST, MEAL, "=day_against", "Held against", "The person of sheet Person, or label values.")
    x = f"INDEX({block(AGAINST_LABEL, MEAL, AGAINST_HINT, MEAL)},2)"
    sheet.put(AGAINST_LABEL, lay.col["r_meal"], "Held against no.", "workhead")
    sheet.formula(AGAINST, lay.col["r_meal"], f"={place(x, 'day_against', '1')}", 1.0, "work n0")
    typed = place(x, "day_against", "0")
    sheet.formula(AGAINST, SERVINGS, f'=IF({typed}=0,"not in the list: the person is taken",IF({against_cell(lay)}=1,IF(COUNT(person_ref)=0,'
                                     '"sheet Person shows no reference: see there why",""),""))', LOOKUP, "message")
    sheet.merges.append((AGAINST, SERVINGS, AGAINST, UNIT))


def _chart(sheet: Sheet, lay: DayLayout, count: int, most: float) -> Any:
    name = quoted(sheet.name)
    last = TABLE_FIRST + count - 1

    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        chart.add_series({"name": "% of the reference", "categories": f"={name}!{block(TABLE_FIRST, MEAL, last, MEAL)}",
                          "values": f"={name}!{block(TABLE_FIRST, lay.col['bar'], last, lay.col['bar'])}",
                          "fill": {"color": "#404040"}, "border": {"color": "#262626"}, "gap": 35})
        chart.set_title({"name": f"Per cent of the reference, bars end at {most:.0f} %", "name_font": {"size": 11}})
        chart.set_y_axis({"reverse": True, "num_font": {"size": 8}, "interval_unit": 1})
        chart.set_x_axis({"min": 0, "max": most, "num_format": "0", "major_unit": most / 4, "major_gridlines": {"visible": True, "line": {"color": "#BFBFBF"}}})
        chart.set_legend({"none": True})
        chart.set_size({"width": CHART_WIDTH, "height": (last - TITLE) * CHART_ROW + CHART_ROW / 2})
        return chart

    return make

