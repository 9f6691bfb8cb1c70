"""Sign-off: reviewer, date, comment, the check number she typed and the one the sheet shows now."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.review import (
    AS_REVIEWED,
    CHANGED,
    NAME_ONLY,
    NOT_REVIEWED,
    check_number,
    line_number,
    review_status,
    whole,
)
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.recipe_layout import FIRST_LINE, HEAD_ROW, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.review_layout import REVIEW_COLUMNS
from workbookgen.workbook.typed import phrase

SECTION = "review"
LABELS, INPUTS, HINTS, NOW, TEXT = 1, 2, 3, 4, 5
WHOLE_LETTERS = "const_title_letters"
NOTE = ("When you have reviewed this recipe, type the number shown here beside your name. It covers foods, amounts, units, "
        "treatments, servings, weights and nutrient totals, not the texts; it says that nothing of that changed, not that all is right.")


def review_cells(lay: RecipeLayout) -> dict[str, str]:
    """Fixed addresses: reviewer as the card names her (with a remark when the recipe changed since), date, comment,
    the number now, the status."""
    row = lay.section[SECTION]
    return {
        "reviewer": lay.at("r_basis", row + INPUTS), "date": lay.at("r_amount", row + INPUTS),
        "comment": lay.at("r_unit", row + INPUTS), "number": lay.at("unit", row + NOW), "status": lay.at("treat", row + NOW),
    }  # fmt: skip


def put_review(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """Lay out the block and the working of the check number."""
    _put_numbers(sheet, lay, kitchen, analysis)
    top = lay.section[SECTION]
    review = recipe.review if recipe else None
    sheet.put(top, 0, "Sign-off", "section")
    sheet.band(top, 1, lay.front_last, "section")
    typed = review.check_number if review else None
    inputs: tuple[tuple[str, str, str, Value, str, str], ...] = (
        ("food", "food", "Reviewed by", review.reviewer if review else "", "input small", "name and credentials"),
        ("unit", "unit", "Date", review.date if review else "", "input small text", "of the review, as text"),
        ("treat", "grams", "Comment", review.comment if review else "", "input small", "what was looked at, what is open"),
        ("message", "message", "Check number at review", "" if typed is None else typed, "input general", "typed by the reviewer"),
    )  # fmt: skip
    for key, last, label, value, style, hint in inputs:
        sheet.put(top + LABELS, lay.col[key], label, "label")
        sheet.put(top + INPUTS, lay.col[key], value, style)
        sheet.band(top + INPUTS, lay.col[key] + 1, lay.col[last], style)
        if last != key:
            sheet.merges.append((top + INPUTS, lay.col[key], top + INPUTS, lay.col[last]))
        sheet.put(top + HINTS, lay.col[key], hint, "hint")
    sheet.heights |= {top + INPUTS: 20, top + HINTS: 16}
    x = {key: f"INDEX({block(top + LABELS, lay.col[key], top + HINTS, lay.col[key])},2)" for key, *_ in inputs}
    for at, key, label in (("r_food", "food", "Reviewed by"), ("r_amount", "unit", "Date"), ("r_unit", "treat", "Comment")):
        sheet.put(top + LABELS, lay.col[at], label, "workhead")
        text = phrase(x[key], WHOLE_LETTERS)
        number = f'IF(ISLOGICAL({x[key]}),"",IF(ISNUMBER({x[key]}),ROUND({x[key]},0)&"",{text}))' if key == "unit" else text
        sheet.formula(top + INPUTS, lay.col[at], f"={number}", LOOKUP, "work")
    now, reviewer = lay.at("unit", top + NOW), lay.at("r_food", top + INPUTS)
    sheet.put(top + NOW, lay.col["food"], "Check number of this sheet now", "label")
    sheet.formula(top + NOW, lay.col["unit"], _number(lay), float(check_number(kitchen, analysis)) if analysis else LOOKUP,
                  "calc bold left whole")
    told = x["message"]
    status = (f'=IF({now}="","",IF(ISLOGICAL({told}),"{CHANGED}",IF(ISNUMBER({told}),IF(ROUND({told},0)={now},"{AS_REVIEWED}","{CHANGED}"),'
              f'IF(ISBLANK({told}),IF({reviewer}="","{NOT_REVIEWED}","{NAME_ONLY}"),"{CHANGED}"))))')
    said: Value | _Lookup = LOOKUP
    if analysis and review:
        said = review_status(review.reviewer, typed, check_number(kitchen, analysis))
    sheet.formula(top + NOW, lay.col["treat"], status, said, "calc bold")
    sheet.merges.append((top + NOW, lay.col["treat"], top + NOW, lay.col["dish"]))
    sheet.band(top + NOW, lay.col["share"], lay.col["dish"], "calc bold")
    sheet.conditions.append((top + NOW, lay.col["treat"], top + NOW, lay.col["treat"],
                             {"type": "cell", "criteria": "==", "value": f'"{CHANGED}"'}, "attention"))
    sheet.put(top + LABELS, lay.col["r_basis"], "For the card", "workhead")
    sheet.formula(top + INPUTS, lay.col["r_basis"], f'=IF(AND({reviewer}<>"",{lay.at("treat", top + NOW)}="{CHANGED}"),{reviewer}&" ({CHANGED})",'
                  f"{reviewer})", LOOKUP, "work")
    sheet.put(top + TEXT, lay.col["food"], NOTE, "hint")
    sheet.merges.append((top + TEXT, lay.col["food"], top + TEXT, lay.front_last))
    sheet.heights[top + TEXT] = 24


def _put_numbers(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """Whole numbers of lines and totals."""
    sheet.put(HEAD_ROW, lay.col["sg"], REVIEW_COLUMNS[0][1], "workhead")
    for i in range(lay.lines):
        value: Value | _Lookup = LOOKUP
        if analysis is not None:
            value = float(line_number(analysis.lines[i], kitchen.constants)) if i < len(analysis.lines) else 0.0
        sheet.formula(FIRST_LINE + i, lay.col["sg"], _line(lay, FIRST_LINE + i), value, "work n0")
    row = sign_row(lay)
    sheet.put(row, lay.col["gap3"] - 1, "whole number for the sign-off", "work")
    for nutrient in lay.nutrients:
        col = lay.col["n_" + nutrient.tag]
        total = a1(lay.total, col)
        found = float(whole(analysis.nutrients[nutrient.tag].dish * kitchen.constants["check_scale"])) if analysis else LOOKUP
        sheet.formula(row, col, f"=ROUND(ROUND({total}*const_check_scale,9),0)", found, "work n0")


def sign_row(lay: RecipeLayout) -> int:
    """Row of the nutrient totals as whole numbers, beneath their coverage."""
    return lay.cover + 1


def _whole(x: str) -> str:
    return f"ROUND(ROUND({x},9),0)"


def _line(lay: RecipeLayout, row: int) -> str:
    c = {key: lay.cell(key, row) for key in ("row", "r_amount", "gpu", "o1", "tk", "r_count", "r_share", "r_basis", "r_water",
                                             "r_role", "r_mark")}  # fmt: skip

    def number(x: str, scaled: str) -> str:
        return f"IF(ISNUMBER({x}),{_whole(scaled)},0)"

    def listed(x: str, names: str) -> str:
        return f"IFERROR(MATCH({x},{names},0),0)"

    parts = (
        f"INDEX(food_sign,{c['row']})", number(c["r_amount"], f"{c['r_amount']}*1000"), number(c["gpu"], f"{c['gpu']}*100"),
        f"IF({c['tk']}=0,0,INDEX(offer_sign,{c['o1']}+{c['tk']}-1))", number(c["r_count"], c["r_count"]),
        number(c["r_share"], f"{c['r_share']}*10"), f'IF({c["r_basis"]}="as purchased",1,0)', listed(c["r_water"], "list_fate"),
        listed(c["r_role"], "list_role"), listed(c["r_mark"], "list_mark"),
    )  # fmt: skip
    return f"=IF({c['row']}=0,0,{'+'.join(f'{part}*const_check_w{i}' for i, part in enumerate(parts, 1))})"


def _number(lay: RecipeLayout) -> str:
    """The check number; empty while the recipe is empty."""
    row = sign_row(lay)
    totals = block(row, lay.col["n_" + lay.nutrients[0].tag], row, lay.col["n_" + lay.nutrients[-1].tag])
    servings, pot, cup = servings_cell(lay), lay.at("r_share", 3), lay.at("r_water", 3)
    legumes = lay.at("r_unit", 3)
    lines = f"SUMPRODUCT({lay.column('no')},{lay.column('sg')})"
    total = (f"{lines}+SUM({totals})+{_whole(f'{servings}*1000')}*const_check_w1+{_whole(f'{pot}*10')}*const_check_w2"
             f"+{_whole(f'{cup}*10')}*const_check_w3+IF({legumes}=\"vegetable\",1,0)*const_check_w4")
    return f'=IF({lines}=0,"",MOD({total},const_check_modulus))'
