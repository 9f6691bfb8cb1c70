"""Beside a line: what a dry, raw or canned amount gives when cooked or drained."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.states import state_help
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup
from workbookgen.workbook.recipe_layout import FIRST_LINE, HEAD_ROW, RecipeLayout
from workbookgen.workbook.review_layout import STATE_COLUMNS
from workbookgen.workbook.words import in_words

COOKED, DRAINED = "cooked about", "drained about"


def put_states(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """One text a line; the message column shows it while nothing is to mend."""
    sheet.put(HEAD_ROW, lay.col["help"], STATE_COLUMNS[0][1], "workhead")
    for i in range(lay.lines):
        value: Value | _Lookup = LOOKUP
        if analysis is not None:
            value = state_help(kitchen, analysis.lines[i]) if i < len(analysis.lines) else ""
        sheet.formula(FIRST_LINE + i, lay.col["help"], _help(lay, FIRST_LINE + i), value, "work")
    first, last, col = FIRST_LINE, lay.last_line, lay.col["message"]
    for words in (COOKED, DRAINED):
        sheet.conditions.append((first, col, last, col, {"type": "text", "criteria": "begins with", "value": words}, "calm"))


def _help(lay: RecipeLayout, row: int) -> str:
    food, grams, tk, factor = (lay.cell(key, row) for key in ("row", "grams", "tk", "yld"))
    drain, drained = f"INDEX(food_drain,{food})", f"INDEX(food_drained,{food})"
    usual, usual_name = f"INDEX(food_cooked,{food})", f"INDEX(food_cookas,{food})"
    chosen = f"AND({tk}>1,ROUND({factor},9)<>1)"
    cooked = f"{grams}*IF({chosen},{factor},{usual})"
    pair = f"INDEX(food_pair,{food})"
    density = f"INDEX(food_dens,MAX(1,{pair}))"
    quarters = f'ROUND(ROUND({cooked}/({density}*INDEX(unit_factor,MATCH("cup",unit_name,0)))*const_cup_parts,9),0)'
    whole = f"INT({quarters}/const_cup_parts)"
    part = f"CHOOSE({quarters}-{whole}*const_cup_parts+1,\"\",\" 1/4\",\" 1/2\",\" 3/4\")"
    words = f'TRIM(IF({whole}=0,"",{whole}&"")&{part})&IF({quarters}>const_cup_parts," cups"," cup")'
    cups = f'IF({pair}=0,"",IF(ISNUMBER({density}),IF({quarters}=0,"",", "&{words}),""))'
    how = f'IF(OR({chosen},{cups}<>""),""," ("&{usual_name}&")")'
    told = f'"{COOKED} "&{in_words(cooked, 0)}&" g"&{cups}&{how}'
    emptied = f'"{DRAINED} "&{in_words(f"{grams}*{drain}", 0)}&" g"&IF({drained}="","",": "&{drained})'
    return f'=IF({food}=0,"",IF({grams}=0,"",IF(ISNUMBER({drain}),{emptied},IF(ISNUMBER({usual}),{told},""))))'
