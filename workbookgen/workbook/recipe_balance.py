"""Targets and checks of a recipe sheet."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.model.tables import Nutrient
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.recipe_layout import TARGETS, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.words import key_text, tidy


def put_targets(sheet: Sheet, lay: RecipeLayout, recipe: Recipe | None, analysis: Analysis | None,
                by_tag: dict[str, Nutrient]) -> None:
    """Targets per serving: nutrient, sign, number, basis, with what is reached and the verdict."""
    sheet.put(lay.target_title, 0, "Targets of one serving", "section")
    sheet.band(lay.target_title, 0, lay.front_last, "section")
    for key, head in (("food", "Nutrient"), ("amount", "Sign"), ("unit", "Number"), ("basis", "% DV or amount"),
                      ("treat", "Verdict"), ("share", "Value"), ("water", "Unit"), ("message", "What to mend")):
        sheet.put(lay.target_head, lay.col[key], head, "head")
    sheet.heights[lay.target_head] = 30
    written = recipe.targets if recipe else ()
    for i in range(TARGETS):
        row = lay.target_first + i
        target = written[i] if i < len(written) else None
        sheet.put(row, 0, i + 1, "calc small centre")
        cells: tuple[tuple[str, Value, str], ...] = (
            ("food", by_tag[target.tag].name if target else "", "input"),
            ("amount", ("at least" if target.sign == ">=" else "at most") if target else "", "input small"),
            ("unit", target.value if target else "", "input general"),
            ("basis", target.basis if target else "", "input small"),
        )
        for key, value, style in cells:
            sheet.put(row, lay.col[key], value, style)
        result = analysis.targets[i] if analysis and i < len(analysis.targets) else None
        verdict = result.verdict if result and result.value is not None else ""  # the sheet asks for an amount then
        _put_target(sheet, lay, row, verdict, result.value if result else "", analysis is not None)
    sheet.put(lay.target_edge, lay.col["food"], "end of the targets", "edge")
    sheet.band(lay.target_edge, lay.col["amount"], lay.front_last, "edge")
    first, last = lay.target_first, lay.target_last
    sheet.choose_from(first, lay.col["food"], last, lay.col["food"], "=nut_name", "Nutrient", "Choose from the list.")
    sheet.choose_from(first, lay.col["amount"], last, lay.col["amount"], "=list_sign")
    sheet.choose_from(first, lay.col["basis"], last, lay.col["basis"], "=list_target", "Basis", "%DV or amount in the nutrient's own unit.")


def _put_target(sheet: Sheet, lay: RecipeLayout, row: int, verdict: str, value: float | str | None, known: bool) -> None:
    def x(key: str) -> str:
        guarded = block(lay.target_head, lay.col[key], lay.target_edge, lay.col[key])
        return f"INDEX({guarded},{a1(row, 0, fix_col=True)}+1)"

    nutrient, sign, limit, basis, problem = (lay.col[k] for k in ("r_food", "r_amount", "r_unit", "r_basis", "r_treat"))
    names = {key: a1(row, col, fix_col=True) for key, col in
             (("nut", nutrient), ("sign", sign), ("limit", limit), ("basis", basis), ("problem", problem))}

    def word(key: str, names_list: str) -> str:
        return (f'=IF(ISTEXT({x(key)}),IF({tidy(x(key))}="",0,IF(LEN({x(key)})>100,-1,'
                f'IFERROR(MATCH({key_text(x(key))},{names_list},0),-1))),IF(ISBLANK({x(key)}),0,-1))')

    sheet.formula(row, nutrient, word("food", "nut_name"), LOOKUP, "work n0")
    sheet.formula(row, sign, word("amount", "list_sign"), LOOKUP, "work n0")
    sheet.formula(row, limit, f'=IF(ISLOGICAL({x("unit")}),"?",IF(ISNUMBER({x("unit")}),{x("unit")},IF(ISBLANK({x("unit")}),"",'
                              f'IF(ISTEXT({x("unit")}),IF({tidy(x("unit"))}="","","?"),"?"))))', LOOKUP, "work general")
    sheet.formula(row, basis, word("basis", "list_target"), LOOKUP, "work n0")
    sheet.formula(row, problem,
                  f'=IF(AND({names["nut"]}=0,{names["sign"]}=0,{names["limit"]}=""),"",IF({names["nut"]}<=0,"choose a nutrient",'
                  f'IF({names["sign"]}<=0,"at least or at most?",IF(ISTEXT({names["limit"]}),"type a number",'
                  f'IF({names["basis"]}<=0,"%DV or amount?",IF(AND({names["basis"]}=1,ISTEXT(INDEX(nut_dv,{names["nut"]}))),'
                  f'"no Daily Value: choose amount","ok"))))))', LOOKUP, "work")
    totals = block(lay.total, lay.col["n_" + lay.nutrients[0].tag], lay.total, lay.col["n_" + lay.nutrients[-1].tag])
    covers = block(lay.cover, lay.col["n_" + lay.nutrients[0].tag], lay.cover, lay.col["n_" + lay.nutrients[-1].tag])
    servings, bad, most, dry = servings_cell(lay), lay.at("bad", lay.total), lay.at("most", lay.total), lay.at("dry", lay.total)
    ok = f'AND({names["problem"]}="ok",{servings}>0)'
    amount = f"INDEX({totals},{names['nut']})/{servings}"
    reached = f'=IF({ok},IF({names["basis"]}=1,{amount}/INDEX(nut_dv,{names["nut"]})*100,{amount}),"")'
    here = lay.cell("share", row)
    sheet.formula(row, lay.col["share"], reached, (value if value is not None else "") if known else LOOKUP, "calc n1")
    sheet.formula(row, lay.col["water"], f'=IF({ok},IF({names["basis"]}=1,"% DV",INDEX(nut_unit,{names["nut"]})),"")', LOOKUP,
                  "calc small")
    short = f"OR(ROUND(INDEX({covers},{names['nut']}),9)<1,{bad}>0)"
    over = f"AND({most}>0,INDEX(nut_drains,{names['nut']})=1)"
    low, high = f"ROUND({here},9)>=ROUND({names['limit']},9)", f"ROUND({here},9)<=ROUND({names['limit']},9)"
    doubt = '"cannot be judged"'
    sheet.formula(row, lay.col["treat"],
                  f'=IF({ok},IF({dry}=0,{doubt},IF({names["sign"]}=1,IF({low},IF(AND({short}=FALSE,{over}),{doubt},"met"),'
                  f'IF({short},{doubt},"not met")),IF({high},IF({short},{doubt},"met"),'
                  f'IF(AND({short}=FALSE,{over}),{doubt},"not met")))),"")',
                  verdict if known else LOOKUP, "calc bold")
    sheet.formula(row, lay.col["message"], f'=IF(OR({names["problem"]}="",{names["problem"]}="ok"),"",{names["problem"]})', LOOKUP,
                  "message")


def put_checks(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Checks of this recipe: each says ok or what to look at."""
    sheet.put(lay.check_title, 0, "Checks", "section")
    sheet.band(lay.check_title, 0, lay.front_last, "section")
    servings, weight, bad = servings_cell(lay), weight_cell(lay), lay.at("bad", lay.total)
    dry, most = lay.at("dry", lay.total), lay.at("most", lay.total)
    row_of = lay.result_rows()
    serving = {tag: lay.at("basis", row) for tag, row in row_of.items()}
    general = (f'{serving["PROCNT"]}*const_general_protein+{serving["FAT"]}*const_general_fat+'
               f'{serving["CHOCDF"]}*const_general_carbohydrate+{serving["ALC"]}*const_alcohol_kcal')
    taken = f'SUMPRODUCT(({lay.column("dish")}>{lay.column("grams")})*({lay.column("dish")}-{lay.column("grams")}))'
    given = f'SUMPRODUCT(({lay.column("r_water")}="absorbed")*{lay.column("grams")})'
    rows: tuple[tuple[str, str, Value | None, str, str], ...] = (
        ("Lines to mend", f"={bad}", 0.0 if analysis else None, "n0", '=IF({v}=0,"ok","mend the lines marked above")'),
        ("Servings", f"={servings}", analysis.servings if analysis else None, "n1",
         '=IF({v}>0,"ok","type the servings: 0 3/4 to 1000")'),
        ("Counted lines weigh something, g", f"={dry}", None, "n0", '=IF({v}>0,"ok","no ingredient is counted yet")'),
        ("Water that grains take up beyond what is absorbed, g", f"=ROUND(MAX(0,{taken}-{given}),9)",
         analysis.water_short_g if analysis else None, "n0",
         '=IF({v}<1,"ok","give the water the grains take up a line: absorbed")'),
        ("Drained meat without a cooked row", f"={most}", None, "n0",
         '=IF({v}=0,"ok","energy and fat read at most")'),
        ("Energy by general factors 4-9-4, kcal", f"=IF({weight}=0,0,{general})",
         analysis.general_energy if analysis and analysis.cooked_weight else None, "n0",
         '=IF({v}=0,"-","food rows give "&ROUND(ROUND({e},9),0)&" kcal")'),
    )
    for i, (label, formula, value, style, verdict) in enumerate(rows):
        row = lay.check_first + i
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.put(row, lay.col["food"], label, "calc small flow")
        sheet.heights[row] = 26
        sheet.formula(row, lay.col["amount"], formula, LOOKUP if value is None else value, f"calc {style}")
        here = lay.cell("amount", row)
        sheet.formula(row, lay.col["treat"], verdict.format(v=here, e=serving["ENERC_KCAL"]), LOOKUP, "calc")
        sheet.band(row, lay.col["unit"], lay.front_last, "calc")
