"""What would help a serving's iron: gaps to the next class and foods that fill them."""

from __future__ import annotations

from workbookgen.nutrition.iron import IronResult
from workbookgen.workbook.book import LOOKUP, Sheet
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.science_cells import put_heads
from workbookgen.workbook.science_layout import IRON_FIRST_2, IRON_HEAD_2, IRON_HELP_FOODS, TABLE_FIRST

#: Columns of the second table of the block (methods, help).
NAME, NONHEME, HEME, ABSORBED, NEED, WORDS = "treat", "share", "water", "grams", "dish", "message"
MEAL = ("fe", "heme", "non", "vitc", "mfp", "phytate", "calcium", "soy", "eggs")


def meal_cell(lay: RecipeLayout, top: int, name: str) -> str:
    """Cell with the amount of ``name`` (one of `MEAL`) in a serving."""
    return lay.at("amount", top + TABLE_FIRST + MEAL.index(name))


def put_iron_help(sheet: Sheet, lay: RecipeLayout, top: int, result: IronResult | None) -> None:
    """What lifts the meal one class up, and which listed foods bring the vitamin C."""
    put_heads(sheet, lay, top + IRON_HEAD_2, ((NAME, "What would help"), (NONHEME, "Per serving"), (HEME, "Whole dish"),
                                              (ABSORBED, ""), (NEED, ""), (WORDS, "How")))
    first = top + IRON_FIRST_2
    c = {name: meal_cell(lay, top, name) for name in MEAL}
    cls, servings = lay.at("r_food", top + TABLE_FIRST), servings_cell(lay)
    vitc = lay.at(NONHEME, first + 1)
    has_meat = f"ROUND({c['mfp']},9)>=iron_mfp_low"
    sheet.formula(first, lay.col[NAME],
                  f'=IF({cls}="high","The highest class is reached","Either of these lifts the meal to the class "&'
                  f'IF({cls}="low","medium","high"))', LOOKUP, "calc small bold flow")
    sheet.heights[first] = 26
    for key in (NONHEME, HEME, ABSORBED, NEED, WORDS):
        sheet.put(first, lay.col[key], "", "calc")
    rows = (
        ("Vitamin C, mg", f'=IF({cls}="high",0,IF(OR({cls}="low",{has_meat}),iron_vitc_low,iron_vitc_high)-{c["vitc"]})',
         result.vitc_gap if result else None, "raw, or added at the end: cooking takes part of it"),
        ("Meat, fish or poultry, raw g", f'=IF({cls}="high",0,IF(OR({cls}="low",{has_meat}=FALSE),iron_mfp_low,iron_mfp_high)-{c["mfp"]})',
         result.mfp_gap if result else None, "brings heme iron as well"),
    )
    for i, (label, formula, value, note) in enumerate(rows, 1):
        row = first + i
        sheet.put(row, lay.col[NAME], label, "calc small")
        sheet.formula(row, lay.col[NONHEME], formula, LOOKUP if value is None else value, "calc n1 bold")
        sheet.formula(row, lay.col[HEME], f"={lay.cell(NONHEME, row)}*{servings}", LOOKUP, "calc n0")
        sheet.put(row, lay.col[ABSORBED], "", "calc")
        sheet.put(row, lay.col[NEED], "", "calc")
        sheet.put(row, lay.col[WORDS], note, "calc small flow")
        sheet.heights[row] = 26
    for k in range(IRON_HELP_FOODS):
        row = first + 3 + k
        number = lay.at("r_amount", row)
        sheet.put(row, lay.col["r_amount"], k + 1, "work n0")
        known = f"AND({number}<=ROWS(help_name),{vitc}>0)"
        sheet.formula(row, lay.col[NAME], f'=IF({known},INDEX(help_name,{number})&", g","")', LOOKUP, "calc small")
        sheet.formula(row, lay.col[NONHEME], f'=IF({known},IF(INDEX(help_vitc,{number})>0,{vitc}/INDEX(help_vitc,{number})*100,""),"")',
                      LOOKUP, "calc n0")
        here = lay.cell(NONHEME, row)
        sheet.formula(row, lay.col[HEME], f'=IF(ISNUMBER({here}),{here}*{servings},"")', LOOKUP, "calc n0")
        sheet.put(row, lay.col[ABSORBED], "", "calc")
        sheet.put(row, lay.col[NEED], "", "calc")
        sheet.formula(row, lay.col[WORDS], f'=IF({known},INDEX(help_note,{number})&"","")', LOOKUP, "calc small flow")
