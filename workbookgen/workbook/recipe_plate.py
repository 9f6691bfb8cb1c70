"""The plate block of a recipe sheet: groups compared, what would mend them, lean test, chart."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import BY_UNITS, PlateBalance, plate_balance
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.recipe_lines import lay_legume, lay_plate_no
from workbookgen.workbook.recipe_plate_facts import by_cell, plate_chart, put_plate_facts
from workbookgen.workbook.science_inputs import choice_number, choices_of
from workbookgen.workbook.tables_sheet import PLATE_GROUPS
from workbookgen.workbook.words import key_text, tidy

GROUP_HEADS = (
    ("food", "Group"), ("unit", "Share of the plate, %"), ("basis", "Target, %"), ("treat", "Verdict"),
    ("share", "Legumes the other way, %"), ("message", "In words"),
)
ACTION_HEADS = (("water", "Add this alone"), ("grams", "Add, all groups"), ("dish", "Take, all groups"))


def _unit_cell(lay: RecipeLayout) -> str:
    return lay.at("r_amount", lay.plate_by)


def put_plate(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None,
              analysis: Analysis | None) -> None:
    """Lay out the block and its working columns."""
    by = choices_of(recipe).get("plate_by", "")
    by = by if by in BY_UNITS else ""
    balance = plate_balance(kitchen, analysis, by or "weight") if analysis else None
    sheet.put(lay.plate_title, 0, "Balance of the plate", "section")
    sheet.band(lay.plate_title, 0, lay.front_last, "section")
    _put_by(sheet, lay, by)
    _put_lines(sheet, lay, balance)
    _put_groups(sheet, lay, balance)
    _put_sums(sheet, lay, analysis)
    _put_mends(sheet, lay, recipe, balance)
    put_plate_facts(sheet, lay, balance)
    sheet.charts.append((lay.chart, lay.col["food"], plate_chart(sheet, lay), {
        "x_offset": 8, "y_offset": 4, "object_position": 1,
        "description": "Bar chart: share of each plate group beside its target in per cent, with the verdict in words"}))


def _put_by(sheet: Sheet, lay: RecipeLayout, by: str) -> None:
    row = lay.plate_by
    sheet.put(row, lay.col["food"], "Compare the groups by", "label")
    sheet.put(row, lay.col["unit"], by, "input small")
    sheet.choose_from(row, lay.col["unit"], row, lay.col["unit"], "=list_plate_by", "Compare by",
                      "weight as served, cups or energy. Empty: weight.")
    sheet.put(row, lay.col["treat"], "weight as served, cups or energy; published plates mean the area, for which "
              "cups stand best", "hint")
    sheet.merges.append((row, lay.col["treat"], row, lay.front_last))
    sheet.heights[row] = 20
    at = block(row - 1, lay.col["unit"], row + 1, lay.col["unit"])
    number = float(list(BY_UNITS).index(by or "weight") + 1)
    sheet.formula(row, lay.col["r_food"], choice_number(f"INDEX({at},2)", "list_plate_by", "1"), number, "work n0")
    sheet.formula(row, lay.col["r_amount"], f"=INDEX(plate_unit,{by_cell(lay)})", BY_UNITS[by or "weight"], "work")


def _put_lines(sheet: Sheet, lay: RecipeLayout, balance: PlateBalance | None) -> None:
    """Working columns: group with legumes the other way, cups, amount compared."""
    for key, head in (("pl_other", "Plate group, legumes the other way"), ("pl_cups", "Cups in the dish"),
                      ("pl_amount", "Amount compared on the plate")):
        sheet.put(FIRST_LINE - 1, lay.col[key], head, "workhead")
    by = by_cell(lay)
    for i in range(lay.lines):
        row = FIRST_LINE + i
        c = {k: lay.cell(k, row) for k in ("row", "erole", "grams", "dish", "pl_cups", "n_ENERC_KCAL")}
        cups: Value | None = 0.0
        amount: Value | None = 0.0
        if balance is not None and i < len(balance.cups):
            known = balance.cups[i]
            cups, amount = "?" if known is None else known, balance.amounts[i]
        other = f'IF({lay_legume(lay)}="vegetable","legume","vegetable")'
        sheet.formula(row, lay.col["pl_other"],
                      f'=IF({c["erole"]}="",0,IFERROR(INDEX(plate_map,({lay_plate_no(lay)}-1)*ROWS(list_role)+MATCH('
                      f'IF({c["erole"]}="legume",{other},{c["erole"]}),list_role,0)),0))', LOOKUP, "work n0")
        cup_eq, ounce, density = (f'INDEX(food_{name},{c["row"]})' for name in ("cupeq", "ozeq", "dens"))
        role = f'INDEX(food_role,{c["row"]})'
        sheet.formula(row, lay.col["pl_cups"],
                      f'=IF({c["grams"]}=0,0,IF(ISNUMBER({cup_eq}),{c["grams"]}/{cup_eq},IF(AND(ISNUMBER({ounce}),'
                      f'OR({role}="whole grain",{role}="refined grain")),{c["grams"]}/{ounce}*const_grain_cups_per_oz,'
                      f'IF(ISNUMBER({density}),{c["dish"]}/({density}*INDEX(unit_factor,MATCH("cup",unit_name,0))),'
                      f'IF({role}="protein",{c["dish"]}/const_meat_cup_g,"?")))))',
                      LOOKUP if balance is None or cups is None else cups, "work n2")
        sheet.formula(row, lay.col["pl_amount"],
                      f'=IF({by}=1,{c["dish"]},IF({by}=2,IF(ISNUMBER({c["pl_cups"]}),{c["pl_cups"]},0),'
                      f'IF(ISNUMBER({c["n_ENERC_KCAL"]}),{c["n_ENERC_KCAL"]},0)))',
                      LOOKUP if balance is None or amount is None else amount, "work n2")


def _put_groups(sheet: Sheet, lay: RecipeLayout, balance: PlateBalance | None) -> None:
    for key, head in GROUP_HEADS:
        sheet.put(lay.plate_head, lay.col[key], head, "head")
    unit = _unit_cell(lay)
    sheet.formula(lay.plate_head, lay.col["amount"], f'="Amount, "&{unit}', LOOKUP, "head")
    for key, head in ACTION_HEADS:
        sheet.formula(lay.plate_head, lay.col[key], f'="{head}, "&{unit}', LOOKUP, "head")
    sheet.put(lay.plate_head, 0, "No.", "head")
    sheet.put(lay.plate_head, 1, "", "head")
    sheet.heights[lay.plate_head] = 44
    for g in range(PLATE_GROUPS):
        _put_group(sheet, lay, g, balance)


def _put_group(sheet: Sheet, lay: RecipeLayout, g: int, balance: PlateBalance | None) -> None:
    row = lay.plate_first + g
    found = balance.groups[g] if balance and g < len(balance.groups) else None
    c = {k: lay.cell(k, row) for k in ("food", "amount", "unit", "basis", "treat", "water", "grams", "dish",
                                       "r_food", "r_amount", "r_unit")}
    number, at = a1(row, 0, fix_col=True), f"({lay_plate_no(lay)}-1)*{PLATE_GROUPS}+{a1(row, 0, fix_col=True)}"
    total, other_total = lay.at("amount", lay.plate_sum), lay.at("r_unit", lay.plate_sum)
    ratios = block(lay.plate_first, lay.col["r_amount"], lay.plate_last, lay.col["r_amount"])
    name, target = c["food"], f"{c['basis']}/100"
    sheet.put(row, 0, g + 1, "calc small centre")
    sheet.put(row, 1, "", "calc")

    def put(key: str, formula: str, value: Value | None, style: str) -> None:
        core: Value = "" if found is None or value is None else value
        sheet.formula(row, lay.col[key], f'=IF({name}="","",{formula})', LOOKUP if balance is None else core, style)

    sheet.formula(row, lay.col["food"], f'=INDEX(plate_group,{at})&""', LOOKUP if balance is None else found.group if found else "", "calc small flow")
    sheet.heights[row] = 26
    put("basis", f"INDEX(plate_target,{at})", found.target_pct if found else None, "calc n0")
    put("amount", f"SUMPRODUCT(({lay.column('pgroup')}={number})*{lay.column('pl_amount')})", found.grams if found else None, "calc n1")
    put("unit", f"IF({total}=0,0,{c['amount']}/{total}*100)", found.share_pct if found else None, "calc n0")
    put("treat", f'IF({total}=0,"-",IF(ROUND({c["unit"]},9)<ROUND({c["basis"]}-set_tolerance,9),"add more",'
                 f'IF(ROUND({c["unit"]},9)>ROUND({c["basis"]}+set_tolerance,9),"more than planned","as planned")))',
        found.verdict if found else None, "calc bold")
    put("r_amount", f'IF({c["basis"]}=0,"",{c["amount"]}/({target}))',
        "" if found is None or found.target_pct == 0 else found.grams / (found.target_pct / 100), "work n1")
    sheet.formula(row, lay.col["r_unit"], f'=IF({name}="","",SUMPRODUCT(({lay.column("pl_other")}={number})*{lay.column("pl_amount")}))',
                  LOOKUP, "work n1")
    put("share", f"IF({other_total}=0,0,{c['r_unit']}/{other_total}*100)",
        balance.other_pct[g] if balance and found else None, "calc n0")
    lone = f"({target}*{total}-{c['amount']})/(1-{target})"
    put("water", f"IF({c['basis']}>=100,0,ROUND(MAX(0,{lone}),9))", found.add_alone if found else None, "calc n1")
    put("r_count", f"IF({c['basis']}>=100,0,ROUND(MAX(0,-{lone}),9))", found.take_alone if found else None, "work n1")
    put("grams", f"ROUND({target}*MAX({ratios})-{c['amount']},9)", found.add_all if found else None, "calc n1")
    put("dish", f"ROUND({c['amount']}-{target}*MIN({ratios}),9)", found.take_all if found else None, "calc n1")
    words = (f'=IF(OR({name}="",{total}=0,{c["treat"]}="as planned"),"",IF({c["basis"]}=0,"counts for no target: leave it out '
             f'or take a whole grain instead",IF({c["treat"]}="add more","too little: see the grams to add","too much: "&'
             f'IF(MIN({ratios})=0,"a group is empty, add to it first","see the grams to take"))))')
    sheet.formula(row, lay.col["message"], words, LOOKUP, "calc small flow")
    sheet.formula(row, lay.col["r_food"], f'=IF({name}="","",{name}&": "&{c["treat"]})', LOOKUP, "work")


def _put_sums(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Amount on the plate, weight left out, weight of the finished dish."""
    row = lay.plate_sum
    sheet.put(row, lay.col["food"], "On the plate", "total")
    sheet.band(row, lay.col["food"], lay.front_last, "total")
    for key in ("amount", "r_unit"):
        cells = block(lay.plate_first, lay.col[key], lay.plate_last, lay.col[key])
        sheet.formula(row, lay.col[key], f"=SUM({cells})", LOOKUP, "total n1" if key == "amount" else "work n1")
    row = lay.plate_out
    estimate = lay.at("dish", lay.total)
    on_plate = f"SUMPRODUCT(({lay.column('pgroup')}>0)*{lay.column('dish')})"
    sheet.put(row, lay.col["food"], "Left out (liquids, fats, seasonings), g; share of the dish, %", "calc small flow")
    sheet.heights[row] = 26
    sheet.formula(row, lay.col["amount"], f"={estimate}-{on_plate}", analysis.plate_left_out_g if analysis else LOOKUP, "calc n0")
    share = analysis.plate_left_out_share_pct if analysis else LOOKUP
    sheet.formula(row, lay.col["unit"], f"=IF({estimate}=0,0,{lay.cell('amount', row)}/{estimate}*100)", share, "calc n0")
    weighed = lay.at("r_share", 3)
    sheet.put(row, lay.col["treat"], "Finished dish weighs, g", "calc right small")
    sheet.band(row, lay.col["basis"], lay.front_last, "calc")
    sheet.formula(row, lay.col["dish"], f"=IF({weighed}>0,{weighed},{estimate})",
                  analysis.cooked_weight if analysis else LOOKUP, "calc n0 bold")
    sheet.formula(row, lay.col["message"], f'=IF({weighed}>0,"pot weighed","estimated from yields: weigh the pot")', LOOKUP,
                  "calc small flow")


def _put_mends(sheet: Sheet, lay: RecipeLayout, recipe: Recipe | None, balance: PlateBalance | None) -> None:
    """One ingredient per group: grams to add or take, weighed as on its line."""
    head = lay.mend_head
    for key, text in (("food", "With which ingredient? (empty: the largest of the group)"), ("amount", "Line"), ("unit", "Group"),
                      ("basis", ""), ("treat", "What to mend"), ("share", "Take it alone, g"), ("water", "Add it alone, g"),
                      ("grams", "Add, all groups, g"), ("dish", "Take, all groups, g"), ("message", "In words")):
        sheet.put(head, lay.col[key], text, "head")
    sheet.put(head, 0, "No.", "head")
    sheet.put(head, 1, "", "head")
    sheet.heights[head] = 44
    chosen = choices_of(recipe)
    for g in range(PLATE_GROUPS):
        _put_mend(sheet, lay, g, chosen.get(f"plate_mend_{g + 1}", ""), balance)
    foods = f"={block(FIRST_LINE, lay.col['r_food'], lay.last_line, lay.col['r_food'])}"
    sheet.choose_from(lay.mend_first, lay.col["food"], lay.mend_last, lay.col["food"], foods, "Ingredient",
                      "One of this recipe's foods.")
    sheet.put(lay.mend_edge, lay.col["food"], "grams are edible weight before cooking, as the line is weighed", "edge")
    sheet.band(lay.mend_edge, lay.col["amount"], lay.front_last, "edge")


def _put_mend(sheet: Sheet, lay: RecipeLayout, g: int, chosen: str, balance: PlateBalance | None) -> None:
    row, group_row = lay.mend_first + g, lay.plate_first + g
    number, name = a1(row, 0, fix_col=True), lay.cell("food", group_row)
    x = f"INDEX({block(lay.mend_head, lay.col['food'], lay.mend_edge, lay.col['food'])},{number}+1)"
    typed, line, most, ratio = (lay.cell(k, row) for k in ("r_food", "amount", "r_amount", "r_unit"))
    pgroup, amounts, numbers = lay.column("pgroup"), lay.column("pl_amount"), lay.column("no")
    after = f"(ROWS({numbers})+1-{numbers})"
    sheet.put(row, 0, g + 1, "calc small centre")
    sheet.put(row, 1, "", "calc")
    sheet.put(row, lay.col["food"], chosen, "input small")
    sheet.formula(row, lay.col["r_food"], f'=IF(ISTEXT({x}),IF(LEN({x})>100,"?",IF({tidy(x)}="","",{key_text(x)})),'
                                          f'IF(ISBLANK({x}),"","?"))', LOOKUP, "work")
    mend = balance.mends[g] if balance and g < len(balance.mends) and not chosen else None
    sheet.formula(row, lay.col["r_amount"], f"=SUMPRODUCT(MAX(({pgroup}={number})*{amounts}))", LOOKUP, "work n1")
    largest = f"ROWS({numbers})+1-SUMPRODUCT(MAX(({pgroup}={number})*({amounts}={most})*{after}))"
    sheet.formula(row, lay.col["amount"],
                  f'=IF({name}="",0,IF({typed}="",IF({most}<=0,0,{largest}),IFERROR(MATCH({typed},{lay.column("r_food")},0),0)))',
                  LOOKUP if mend is None else float(0 if mend.line is None else mend.line + 1), "calc n0 small")
    at_line = {k: f"INDEX({lay.column(k)},{line})" for k in ("grams", "pl_amount", "pgroup", "yld")}
    sheet.formula(row, lay.col["r_unit"],
                  f"=IF({line}=0,0,IF({at_line['pl_amount']}>0,{at_line['grams']}/{at_line['pl_amount']},0))", LOOKUP, "work n2")
    sheet.formula(row, lay.col["unit"], f'={name}&""', LOOKUP, "calc small flow")
    sheet.put(row, lay.col["basis"], "", "calc")
    quiet = f'OR({lay.cell("treat", group_row)}="as planned",{lay.cell("treat", group_row)}="-")'
    message = (f'=IF({name}="","",IF(AND({typed}<>"",{line}=0),"not a food of this recipe",IF({line}=0,IF({quiet},"","nothing in '
               f'this group: give it a line first"),IF({ratio}=0,"this line weighs nothing",IF({at_line["pgroup"]}<>{number},'
               f'"this line counts elsewhere","")))))')
    sheet.formula(row, lay.col["treat"], message, LOOKUP, "message")
    for key, source, value in (("share", "r_count", mend.take_alone if mend else None), ("water", "water", mend.add_alone if mend else None),
                               ("grams", "grams", mend.add_all if mend else None), ("dish", "dish", mend.take_all if mend else None)):
        stored: Value = "" if mend is None or mend.line is None or value is None else value
        ok = f'OR({name}="",{line}=0,{ratio}=0)'
        sheet.formula(row, lay.col[key], f'=IF({ok},"",{lay.cell(source, group_row)}*{ratio})',
                      LOOKUP if balance is None or chosen or g >= len(balance.mends) else stored, "calc n0")
    add, take, total = lay.cell("water", row), lay.cell("share", row), lay.at("amount", lay.plate_sum)
    food = f"INDEX({lay.column('r_food')},{line})"
    words = (f'=IF(OR({name}="",{line}=0,{ratio}=0,{total}=0),"",IF({lay.cell("treat", group_row)}="as planned","",'
             f'IF({add}>0,"add "&ROUND(ROUND({add},9),0)&" g of "&{food},"take "&ROUND(ROUND({take},9),0)&" g of "&{food})))')
    sheet.formula(row, lay.col["message"], words, LOOKUP, "calc small flow")
    sheet.heights[row] = 26
