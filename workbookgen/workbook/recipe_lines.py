"""The ingredient block of a recipe sheet: inputs, inputs as read, and the working of each line."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.recipe_layout import (
    AS_READ,
    FIRST_LINE,
    FRONT,
    HEAD_ROW,
    MORE_INPUTS,
    WORK,
    RecipeLayout,
)
from workbookgen.workbook.words import key_text, tidy

TOO_LONG = "(too long)"


def put_lines(sheet: Sheet, lay: RecipeLayout, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """Lay out all ingredient lines."""
    _put_heads(sheet, lay)
    written = recipe.lines if recipe else ()
    for i in range(lay.lines):
        row = FIRST_LINE + i
        line = written[i] if i < len(written) else None
        result = analysis.lines[i] if analysis and i < len(analysis.lines) else None
        _put_inputs(sheet, lay, row, i + 1, line)
        _put_as_read(sheet, lay, row)
        _put_work(sheet, lay, row, result, known=analysis is not None)
        _put_strips(sheet, lay, row)
    _put_choices(sheet, lay)


def _put_heads(sheet: Sheet, lay: RecipeLayout) -> None:
    for key, head, *_ in FRONT:
        sheet.put(HEAD_ROW, lay.col[key], head, "head")
        sheet.put(lay.edge, lay.col[key], "", "edge")
    sheet.put(lay.edge, lay.col["food"], "end of the ingredient lines", "edge")
    for key, head, *_ in MORE_INPUTS:
        sheet.put(HEAD_ROW, lay.col[key], head, "head")
        sheet.put(lay.edge, lay.col[key], "", "edge")
    for key, head, _ in AS_READ:
        sheet.put(HEAD_ROW, lay.col[key], head, "workhead")
    for key, head, *_ in WORK:
        sheet.put(HEAD_ROW, lay.col[key], head, "workhead")
    sheet.put(HEAD_ROW - 1, lay.col["role"], "More inputs", "label")
    sheet.put(HEAD_ROW - 1, lay.col["r_food"], "Inputs as read", "label")
    sheet.put(HEAD_ROW - 1, lay.col["row"], "Working", "label")
    sheet.put(HEAD_ROW - 1, lay.col["u_1"], "Units of this food (drop-down list)", "label")
    sheet.put(HEAD_ROW - 1, lay.col["t_1"], "Treatments of this food (drop-down list)", "label")
    for prefix, count in (("u_", lay.units), ("t_", lay.treatments)):
        for k in range(1, count + 1):
            sheet.put(HEAD_ROW, lay.col[f"{prefix}{k}"], k, "workhead")


def _put_inputs(sheet: Sheet, lay: RecipeLayout, row: int, number: int, line: IngredientLine | None) -> None:
    sheet.put(row, lay.col["no"], number, "calc small centre")
    values: dict[str, Value] = {}
    if line is not None:
        mark = "garnish" if line.garnish else "hold back" if line.held_back else "optional" if line.optional else ""
        values = {
            "count": "yes" if line.include else "no", "food": line.food, "amount": line.amount, "unit": line.unit,
            "basis": line.basis, "treat": line.treatment, "share": line.share_eaten_pct, "water": line.water,
            "role": line.role, "mark": mark, "heading": line.section, "note": line.note,
        }
    for key, _, _, style in FRONT[1:9] + MORE_INPUTS:
        sheet.put(row, lay.col[key], values.get(key, ""), style)


def _list_input(x: str, names: str, blank: str, message: str) -> str:
    """A word from a short list; blank means ``blank``; anything else becomes ``message``."""
    return (f'=IF(ISTEXT({x}),IF({tidy(x)}="","{blank}",IF(LEN({x})>100,"{message}",'
            f'IFERROR(INDEX({names},MATCH({key_text(x)},{names},0)),"{message}"))),IF(ISBLANK({x}),"{blank}","{message}"))')


def _put_as_read(sheet: Sheet, lay: RecipeLayout, row: int) -> None:
    def x(key: str) -> str:
        return f"INDEX({lay.guarded(key)},{lay.cell('no', row)}+1)"

    def text(key: str, blank: str, wrong: str) -> str:
        return (f'=IF(ISTEXT({x(key)}),IF(LEN({x(key)})>100,"{TOO_LONG}",IF({tidy(x(key))}="","{blank}",'
                f'{key_text(x(key))})),IF(ISBLANK({x(key)}),"{blank}","{wrong}"))')

    number = "type the amount as a number"
    amount = (
        f'=IF(ISTEXT({x("amount")}),IF({tidy(x("amount"))}="","","{number}"),IF(ISBLANK({x("amount")}),"",'
        f'IF(ISLOGICAL({x("amount")}),"{number}",IF(ISNUMBER({x("amount")}),IF({x("amount")}<0,"the amount is below 0",'
        f'IF({x("amount")}<=const_amount_max,IF(OR({x("amount")}=0,{x("amount")}>=const_amount_min),{x("amount")},'
        f'"the amount is too small"),IF(AND({x("amount")}>=const_date_from,{x("amount")}<=const_date_to),'
        f'"looks like a date: type 0 3/4","choose a larger unit"))),"{number}"))))'
    )
    share = (
        f'=IF(ISBLANK({x("share")}),100,IF(ISLOGICAL({x("share")}),"0 to 100 %",IF(ISTEXT({x("share")}),'
        f'IF({tidy(x("share"))}="",100,"0 to 100 %"),IF(ISNUMBER({x("share")}),IF(AND({x("share")}>=0,{x("share")}<=100),'
        f'{x("share")},"0 to 100 %"),"0 to 100 %"))))'
    )
    count = (
        f'=IF(ISTEXT({x("count")}),IF(LOWER({tidy(x("count"))})="no",0,IF(OR(LOWER({tidy(x("count"))})="yes",'
        f'{tidy(x("count"))}=""),1,"yes or no?")),IF(ISBLANK({x("count")}),1,"yes or no?"))'
    )
    formulas = {
        "r_food": text("food", "", "(not a name)"),
        "r_amount": amount,
        "r_unit": text("unit", "", "(not a unit)"),
        "r_count": count,
        "r_basis": _list_input(x("basis"), "list_basis", "edible", "edible or as purchased?"),
        "r_treat": text("treat", "none", "(not a treatment)"),
        "r_share": share,
        "r_water": _list_input(x("water"), "list_fate", "", "absorbed, stays or poured off?"),
        "r_role": _list_input(x("role"), "list_role", "", "which role on the plate?"),
        "r_mark": _list_input(x("mark"), "list_mark", "", "which mark?"),
    }
    for key, formula in formulas.items():
        sheet.formula(row, lay.col[key], formula, LOOKUP, "work")


def _put_work(sheet: Sheet, lay: RecipeLayout, row: int, result: LineResult | None, known: bool) -> None:
    c = {key: lay.cell(key, row) for key in lay.col}
    units = block(row, lay.col["u_1"], row, lay.col[f"u_{lay.units}"]).replace(f"${row + 1}", str(row + 1))
    treats = block(row, lay.col["t_1"], row, lay.col[f"t_{lay.treatments}"]).replace(f"${row + 1}", str(row + 1))
    drained = f'AND(INDEX(offer_drip,{c["o1"]}+{c["tk"]}-1)="lost",INDEX(food_pair,{c["row"]})>0)'
    unit_no = f'{c["uk"]}-{c["mn"]}-{c["oc"]}'
    own_key = f'MATCH({c["r_food"]}&"|"&({c["uk"]}-{c["mn"]}),own_no,0)'
    formulas = {
        "row": f'=IF({c["r_food"]}="",0,IFERROR(MATCH({c["r_food"]},food_name,0),0))',
        "m1": f'=IF({c["row"]}=0,0,INDEX(food_mfirst,{c["row"]}))',
        "mn": f'=IF({c["row"]}=0,0,INDEX(food_mcount,{c["row"]}))',
        "oc": f'=IF({c["row"]}=0,0,MIN(const_own_measures_max,COUNTIF(own_food,{c["r_food"]})))',
        "nu": f'=IF({c["row"]}=0,0,IF(ISNUMBER(INDEX(food_dens,{c["row"]})),ROWS(unit_name),COUNTIF(unit_kind,"mass")))',
        "uk": f'=IF(OR({c["row"]}=0,{c["r_unit"]}=""),0,IFERROR(MATCH({c["r_unit"]},{units},0),0))',
        "gpu": (f'=IF({c["row"]}=0,"",IF({c["r_unit"]}="","choose a unit",IF({c["uk"]}=0,"unit not known for this food",'
                f'IF({c["uk"]}<={c["mn"]},INDEX(meas_g,{c["m1"]}+{c["uk"]}-1),IF({c["uk"]}<={c["mn"]}+{c["oc"]},'
                f'IFERROR(INDEX(own_g,{own_key}),"own measure not found"),IF(INDEX(unit_kind,{unit_no})="mass",'
                f'INDEX(unit_factor,{unit_no}),INDEX(unit_factor,{unit_no})*INDEX(food_dens,{c["row"]})))))))'),
        "purchased": (f'=IF({c["row"]}=0,0,IF(ISTEXT({c["r_amount"]}),0,IF(ISTEXT({c["gpu"]}),0,'
                      f'IF({c["r_amount"]}*{c["gpu"]}>const_grams_max,0,{c["r_amount"]}*{c["gpu"]}))))'),
        "grams": (f'=IF({c["row"]}=0,0,IF(OR(ISTEXT({c["r_count"]}),ISTEXT({c["r_share"]})),0,'
                  f'IF(AND({c["r_water"]}="poured off",INDEX(food_role,{c["row"]})="liquid"),0,'
                  f'{c["r_count"]}*{c["purchased"]}*IF({c["r_basis"]}="as purchased",1-INDEX(food_refuse,{c["row"]})/100,1)'
                  f'*{c["r_share"]}/100)))'),
        "o1": f'=IF({c["row"]}=0,0,INDEX(food_offer1,{c["row"]}))',
        "on": f'=IF({c["row"]}=0,0,INDEX(food_offern,{c["row"]}))',
        "tk": f'=IF({c["row"]}=0,0,IFERROR(MATCH({c["r_treat"]},{treats},0),0))',
        "krow": f'=IF({c["tk"]}=0,0,IF({drained},1,INDEX(offer_keep,{c["o1"]}+{c["tk"]}-1)))',
        "yld": (f'=IF({c["tk"]}<=1,1,IFERROR(INDEX(yield_factor,MATCH(INDEX(food_no,{c["row"]})&"|"&{c["r_treat"]},'
                f'yield_key,0)),INDEX(offer_yield,{c["o1"]}+{c["tk"]}-1)))'),
        "srow": f'=IF({c["tk"]}=0,{c["row"]},IF({drained},INDEX(food_pair,{c["row"]}),{c["row"]}))',
        "sgrams": f'=IF({c["tk"]}=0,{c["grams"]},IF({drained},{c["grams"]}*{c["yld"]},{c["grams"]}))',
        "dish": (f'=IF({c["row"]}=0,0,IF(AND(INDEX(food_role,{c["row"]})="liquid",{c["r_water"]}="absorbed"),0,'
                 f'IF(AND(INDEX(food_iswater,{c["row"]})=1,{c["tk"]}=1,OR({c["r_water"]}="",{c["r_water"]}="stays")),'
                 f'{c["grams"]}*(1-IF({c["r_water"]}="stays",set_boil_off,0)/100),{c["grams"]}*{c["yld"]})))'),
        "dry": f'=IF({c["row"]}=0,0,IF(INDEX(food_iswater,{c["row"]})=1,0,{c["grams"]}))',
        "erole": (f'=IF({c["row"]}=0,"",IF({c["r_role"]}="",INDEX(food_role,{c["row"]}),{c["r_role"]}))'),
        "pgroup": (f'=IF({c["erole"]}="",0,IFERROR(INDEX(plate_map,({lay_plate_no(lay)}-1)*{len_roles()}+MATCH('
                   f'IF(AND({c["erole"]}="legume",{lay_legume(lay)}="vegetable"),"vegetable",{c["erole"]}),list_role,0)),0))'),
        "problem": (f'=IF({c["r_food"]}="",IF(AND({c["r_amount"]}="",{c["r_unit"]}=""),"","choose a food"),'
                    f'IF({c["row"]}=0,"food not in the list: choose one from it",IF({c["r_amount"]}="","type an amount",'
                    f'IF(ISTEXT({c["r_amount"]}),{c["r_amount"]},IF(ISTEXT({c["gpu"]}),{c["gpu"]},'
                    f'IF({c["r_amount"]}*{c["gpu"]}>const_grams_max,"too heavy: check amount and unit",'
                    f'IF({c["tk"]}=0,"treatment not offered for this food",IF(ISTEXT({c["r_count"]}),"counted: yes or no",'
                    f'IF(ISTEXT({c["r_share"]}),"eaten: 0 to 100 %",IF(RIGHT({c["r_basis"]},1)="?",{c["r_basis"]},'
                    f'IF(RIGHT({c["r_water"]},1)="?",{c["r_water"]},IF(RIGHT({c["r_role"]},1)="?",{c["r_role"]},'
                    f'IF(RIGHT({c["r_mark"]},1)="?",{c["r_mark"]},"")))))))))))))'),
        "bad": f'=IF({c["problem"]}="",0,1)',
        "most": (f'=IF(OR({c["tk"]}=0,{c["grams"]}=0),0,IF(AND(INDEX(offer_drip,{c["o1"]}+{c["tk"]}-1)="lost",'
                 f'INDEX(food_pair,{c["row"]})=0),1,0))'),
        "first": f'=IF({c["row"]}=0,0,MATCH({c["row"]},{lay.column("row")},0))',
        "message": (f'=IF({c["problem"]}<>"",{c["problem"]},IF({c["row"]}=0,"",IF({c["r_amount"]}=0,"the amount is 0",'
                    f'IF({c["r_count"]}=0,"left out of the sums",IF({c["most"]}=1,"drained, no cooked row: fat reads at most",'
                    f'IF(AND(INDEX(food_iswater,{c["row"]})=1,INDEX({lay.guarded("water")},{c["no"]}+1)=""),'
                    f'"liquid: absorbed, stays or poured off?",{c["help"]}))))))'),
    }
    core: dict[str, Value] = {}
    if result is not None:
        core = {
            "gpu": result.grams_per_unit, "purchased": result.grams, "grams": result.edible, "yld": result.yield_factor,
            "sgrams": result.source_grams, "dish": result.cooked, "dry": result.weight_without_water,
            "erole": result.role, "most": int(result.at_most), "bad": 0,
        }
    elif known:
        core = {"gpu": "", "purchased": 0.0, "grams": 0.0, "yld": 1.0, "sgrams": 0.0, "dish": 0.0, "dry": 0.0,
                "erole": "", "most": 0, "bad": 0}
    styles = {key: f"work {style}".strip() for key, _, _, style in WORK}
    styles |= {"grams": "calc z1", "dish": "calc z1", "message": "message"}
    for key, formula in formulas.items():
        sheet.formula(row, lay.col[key], formula, core.get(key, LOOKUP), styles[key])


def len_roles() -> str:
    """Number of plate roles, read from the list on Tables."""
    return "ROWS(list_role)"


def lay_plate_no(lay: RecipeLayout) -> str:
    """Cell with the number of the plate model in use on this sheet."""
    return lay.at("r_treat", 3)


def lay_legume(lay: RecipeLayout) -> str:
    """Cell that says how legumes count on this sheet."""
    return lay.at("r_unit", 3)


def _put_strips(sheet: Sheet, lay: RecipeLayout, row: int) -> None:
    mn, m1, nu, oc = (lay.cell(key, row) for key in ("mn", "m1", "nu", "oc"))
    food = lay.cell("r_food", row)
    on, o1 = lay.cell("on", row), lay.cell("o1", row)
    for k in range(1, lay.units + 1):
        col = lay.col[f"u_{k}"]
        head = a1(HEAD_ROW, col, fix_row=True)
        sheet.formula(row, col, f'=IF({head}<={mn},INDEX(meas_unit,{m1}+{head}-1),IF({head}<={mn}+{oc},'
                                f'IFERROR(INDEX(own_unit,MATCH({food}&"|"&({head}-{mn}),own_no,0)),""),'
                                f'IF({head}<={mn}+{oc}+{nu},INDEX(unit_name,{head}-{mn}-{oc}),"")))', LOOKUP, "work")
    for k in range(1, lay.treatments + 1):
        col = lay.col[f"t_{k}"]
        head = a1(HEAD_ROW, col, fix_row=True)
        sheet.formula(row, col, f'=IF({head}<={on},INDEX(offer_name,{o1}+{head}-1),"")', LOOKUP, "work")


def _put_choices(sheet: Sheet, lay: RecipeLayout) -> None:
    first, last = FIRST_LINE, lay.last_line

    def offer(key: str, source: str, title: str, message: str) -> None:
        sheet.choose_from(first, lay.col[key], last, lay.col[key], source, title, message)

    offer("count", "=list_yes", "Counted", "yes or no. An empty cell counts as yes.")
    offer("food", "=food_name", "Food", "Choose from the list or type the name as on sheet Foods. The sheet Find helps.")
    units = f"=${a1(first, lay.col['u_1'])}:${a1(first, lay.col[f'u_{lay.units}'])}"
    offer("unit", units, "Unit", "The list shows the units known for this food.")
    offer("basis", "=list_basis", "Bought as", "as purchased takes the peel, bone or core off; empty means edible.")
    treats = f"=${a1(first, lay.col['t_1'])}:${a1(first, lay.col[f't_{lay.treatments}'])}"
    offer("treat", treats, "Treatment", "What the kitchen does to it. The list fits the state of the food.")
    offer("water", "=list_fate", "Liquid", "absorbed by a grain, stays in the dish, or poured off. For liquids only.")
    offer("role", "=list_role", "Counts as", "Only to overrule the role from sheet Foods on the plate.")
    offer("mark", "=list_mark", "Mark", "optional, garnish, or hold back when freezing.")

