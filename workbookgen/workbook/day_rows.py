"""The rows of the sheet Day: recipe with servings, or food with amount and unit; as read, weighed, told what to mend."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import Analysis
from workbookgen.model.person import DayRow
from workbookgen.nutrition.amounts import grams_per_unit
from workbookgen.nutrition.day import DayItem
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block, column_name
from workbookgen.workbook.day_layout import (
    AMOUNT,
    BY_MEAL,
    EDGE,
    FIRST,
    FOOD,
    HEAD,
    HEADS,
    LAST_ROW,
    MEAL,
    MESSAGE,
    NO,
    READS,
    RECIPE,
    ROWS,
    SERVINGS,
    UNIT,
    WEIGHT,
    WORK,
    DayLayout,
    guarded,
)
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.typed import place
from workbookgen.workbook.words import key_text, tidy

INPUTS = ((MEAL, "Meal"), (SERVINGS, "Servings"), (RECIPE, "of this recipe"), (AMOUNT, "or amount"), (UNIT, "Unit"),
          (FOOD, "of this food"))  # fmt: skip


def start_rows(kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> list[tuple[DayRow, DayItem]]:
    """The rows the sheet starts with that this book can serve, with what the core makes of them; else one serving of
    the first recipe as the last meal."""
    known: dict[str, Analysis] = {r.recipe.title: r.analysis for r in recipes if r.recipe and r.analysis}
    found = []
    for row in kitchen.person.day:
        meal = kitchen.person.meals.index(row.meal) + 1
        food = kitchen.food_by_name.get(row.food.lower())
        grams = grams_per_unit(kitchen, food, row.unit) if food else None
        if row.recipe in known:
            found.append((row, DayItem(meal, known[row.recipe], servings=row.servings or 0.0)))
        elif food is not None and grams is not None and row.amount:
            found.append((row, DayItem(meal, food=food, grams=row.amount * grams)))
    if not any(item.analysis for _, item in found) and known:
        title, analysis = next(iter(known.items()))
        last = DayRow(kitchen.person.meals[-1], title, 1.0, "", None, "")
        found.append((last, DayItem(len(kitchen.person.meals), analysis, servings=1.0)))
    return found


def put_rows(sheet: Sheet, lay: DayLayout, kitchen: Kitchen, rows: Sequence[tuple[DayRow, DayItem]], dishes: bool) -> None:
    """Lay out inputs, working columns and messages. ``dishes``: the book's foods hold dishes of its own."""
    _put_heads(sheet, lay)
    for i in range(ROWS):
        row = FIRST + i
        typed, item = rows[i] if i < len(rows) else (None, None)
        _put_inputs(sheet, row, i + 1, typed)
        _put_reads(sheet, lay, row)
        _put_work(sheet, lay, row, dishes, item)
        _put_nutrients(sheet, lay, row, item)
        _put_strip(sheet, lay, row)
    _offer(sheet, lay)


def _put_heads(sheet: Sheet, lay: DayLayout) -> None:
    for col, head in ((NO, "No."), *INPUTS, (WEIGHT, "Weight, g"), (MESSAGE, "What to mend")):
        sheet.put(HEAD, col, head, "head")
        sheet.put(EDGE, col, "", "edge")
    sheet.put(EDGE, MEAL, "end of the rows", "edge")
    for key, col in lay.col.items():
        sheet.widths[col] = 10
        if key[:2] in ("n_", "f_"):
            sheet.put(HEAD, col, ("Reads, " if key[0] == "f" else "") + key[2:], "workhead")
        elif key[:2] == "u_":
            sheet.put(HEAD, col, int(key[2:]), "workhead")
        elif key in HEADS:
            sheet.put(HEAD, col, HEADS[key], "workhead")
    sheet.put(HEAD - 1, lay.col["r_meal"], "As read", "label")
    sheet.put(HEAD - 1, lay.col["row"], "Working", "label")
    sheet.put(HEAD - 1, lay.col["f_" + BY_MEAL[0]], "Reading of the row (1 at least, 2 at most)", "label")
    sheet.put(HEAD - 1, lay.col["n_" + lay.tags[0]], "Nutrients of the row (? = unknown)", "label")
    sheet.put(HEAD - 1, lay.col["u_1"], "Units of this food (drop-down list)", "label")
    sheet.heights[HEAD] = 30


def _put_inputs(sheet: Sheet, row: int, no: int, typed: DayRow | None) -> None:
    sheet.put(row, NO, no, "calc small centre")
    values: dict[int, Value] = {}
    if typed is not None:
        values = {MEAL: typed.meal, RECIPE: typed.recipe, SERVINGS: typed.servings or "", FOOD: typed.food, AMOUNT: typed.amount or "",
                  UNIT: typed.unit}  # fmt: skip
    for col, _ in INPUTS:
        sheet.put(row, col, values.get(col, ""), "input amount" if col in (SERVINGS, AMOUNT) else "input small")


def _put_reads(sheet: Sheet, lay: DayLayout, row: int) -> None:
    no = a1(row, NO, fix_col=True)

    def x(col: int) -> str:
        return f"INDEX({guarded(col)},{no}+1)"

    def text(col: int, letters: str) -> str:
        cell = x(col)
        return (f'=IF(ISTEXT({cell}),IF(LEN({cell})>{letters},"(too long)",{key_text(cell)}),IF(ISBLANK({cell}),"","(not a name)"))')

    def amount(col: int, high: str) -> str:
        cell = x(col)
        date = (f'IF(AND({cell}>=const_date_from,{cell}<=const_date_to),"looks like a date: type 0 3/4",'
                f'"type a number above 0, at most "&{high})')
        read = f'IF(AND({cell}>=const_amount_min,{cell}<={high}),{cell},{date})'
        return (f'=IF(ISTEXT({cell}),IF({tidy(cell)}="","","type a number"),IF(ISBLANK({cell}),"",IF(ISLOGICAL({cell}),"type a number",'
                f'IF(ISNUMBER({cell}),{read},"type a number"))))')

    formulas = {
        "r_meal": "=" + place(x(MEAL), "day_meal"),
        "r_recipe": text(RECIPE, "const_title_letters"),
        "r_serv": amount(SERVINGS, "lim_servings_max"),
        "r_food": text(FOOD, "const_text_max"),
        "r_amount": amount(AMOUNT, "const_amount_max"),
        "r_unit": text(UNIT, "const_text_max"),
    }
    for key in READS:
        sheet.formula(row, lay.col[key], formulas[key], LOOKUP, "work")


def _put_work(sheet: Sheet, lay: DayLayout, row: int, dishes: bool, item: DayItem | None) -> None:
    c = {key: lay.cell(key, row) for key in (*READS, *WORK)}
    strip = block(row, lay.col["u_1"], row, lay.col[f"u_{lay.units}"]).replace(f"${row + 1}", str(row + 1))
    own_key = f'MATCH({c["r_food"]}&"|"&({c["uk"]}-{c["mn"]}),own_no,0)'
    unit_no = f'{c["uk"]}-{c["mn"]}-{c["oc"]}'
    grams = f'{c["r_amount"]}*{c["gpu"]}'
    slot = f'IF({c["r_recipe"]}="",0,IFERROR(MATCH({c["r_recipe"]},res_title,0),0))'
    role = f'INDEX(food_role,MAX(1,{c["row"]}))'
    recipe_problem = (f'IF({slot}=0,"not a recipe of this book",IF({c["r_serv"]}="","type the servings",IF(ISTEXT({c["r_serv"]}),{c["r_serv"]},'
                      f'IF(INDEX(res_serving_g,MAX(1,{slot}))=0,"this recipe has no servings or no weight yet",""))))')
    food_problem = (f'IF({c["row"]}=0,"food not in the list: choose one from it",IF({c["dish"]}=1,"a dish of this book: choose it as a recipe",'
                    f'IF({c["r_amount"]}="","type an amount",IF(ISTEXT({c["r_amount"]}),{c["r_amount"]},IF(ISTEXT({c["gpu"]}),{c["gpu"]},'
                    f'IF({grams}>const_grams_max,"too heavy: check amount and unit",""))))))')
    empty = f'AND({c["r_serv"]}="",{c["r_amount"]}="",{c["r_unit"]}="")'
    formulas = {
        "row": f'=IF({c["r_food"]}="",0,IFERROR(MATCH({c["r_food"]},food_name,0),0))',
        "m1": f'=IF({c["row"]}=0,0,INDEX(food_mfirst,{c["row"]}))',
        "mn": f'=IF({c["row"]}=0,0,INDEX(food_mcount,{c["row"]}))',
        "oc": f'=IF({c["row"]}=0,0,MIN(const_own_measures_max,COUNTIF(own_food,{c["r_food"]})))',
        "nu": f'=IF({c["row"]}=0,0,IF(ISNUMBER(INDEX(food_dens,{c["row"]})),ROWS(unit_name),COUNTIF(unit_kind,"mass")))',
        "uk": f'=IF(OR({c["row"]}=0,{c["r_unit"]}=""),0,IFERROR(MATCH({c["r_unit"]},{strip},0),0))',
        "gpu": f'=IF({c["row"]}=0,"",IF({c["r_unit"]}="","choose a unit",IF({c["uk"]}=0,"unit not known for this food",'
               f'IF({c["uk"]}<={c["mn"]},INDEX(meas_g,{c["m1"]}+{c["uk"]}-1),IF({c["uk"]}<={c["mn"]}+{c["oc"]},'
               f'IFERROR(INDEX(own_g,{own_key}),"own measure not found"),IF(INDEX(unit_kind,{unit_no})="mass",'
               f'INDEX(unit_factor,{unit_no}),INDEX(unit_factor,{unit_no})*INDEX(food_dens,{c["row"]})))))))',
        "dish": f'=IF({c["row"]}=0,0,IF(ISNUMBER(MATCH({c["row"]},dish_rank,0)),1,0))' if dishes else f'={c["row"]}*0',
        "problem": f'=IF(AND({c["r_recipe"]}="",{c["r_food"]}=""),IF({empty},"","choose a recipe or a food"),'
                   f'IF(AND({c["r_recipe"]}<>"",{c["r_food"]}<>""),"choose a recipe or a food, not both",'
                   f'IF({c["r_recipe"]}<>"",{recipe_problem},{food_problem})))',
        "ok": f'=IF({c["problem"]}<>"",0,IF({c["r_recipe"]}<>"",1,IF({c["r_food"]}<>"",2,0)))',
        "slot": f'=IF({c["ok"]}=1,{slot},0)',
        "served": f'=IF({c["ok"]}=1,{c["r_serv"]},0)',
        "meal": f'=IF({c["ok"]}=0,-1,{c["r_meal"]})',
        "fgroup": f'=IF({c["ok"]}=2,IFERROR(INDEX(plate_map,(set_plate-1)*ROWS(list_role)+MATCH({role},list_role,0)),0),0)',
        "fgrams": f'=IF({c["ok"]}=2,{grams},0)',
    }  # fmt: skip
    core: dict[str, Value] = {"ok": 0.0, "served": 0.0, "meal": -1.0, "fgrams": 0.0, "problem": ""}
    if item is not None:
        core = {"ok": 1.0 if item.analysis else 2.0, "served": item.servings, "meal": float(item.meal), "fgrams": item.grams, "problem": ""}
    for key in WORK:
        sheet.formula(row, lay.col[key], formulas[key], core.get(key, LOOKUP), "work n2" if key in ("gpu", "fgrams", "served") else "work n0")
    sheet.formula(row, WEIGHT, f'=IF({c["ok"]}=0,"",IF({c["ok"]}=1,{c["served"]}*INDEX(res_serving_g,MAX(1,{c["slot"]})),{c["fgrams"]}))',
                  item.weight if item else "", "calc n0 right")
    sheet.formula(row, MESSAGE, f'=IF({c["problem"]}<>"",{c["problem"]},IF({c["meal"]}=0,"choose a meal: left out of the meals",""))',
                  "", "message")


def _put_nutrients(sheet: Sheet, lay: DayLayout, row: int, item: DayItem | None) -> None:
    """What the row brings of each nutrient, and how energy, sodium and iron read."""
    ok, slot, served, food, grams = (lay.cell(k, row) for k in ("ok", "slot", "served", "row", "fgrams"))
    for tag in lay.tags:
        name = column_name(tag)
        value = f"INDEX(food_{name},MAX(1,{food}))"
        stored: Value | _Lookup = ""
        if item is not None:
            amount = item.amount(tag)
            stored = "?" if amount is None else amount
        sheet.formula(row, lay.col["n_" + tag], f'=IF({ok}=0,"",IF({ok}=1,{served}*INDEX(res_v_{name},MAX(1,{slot})),'
                                                f'IF(ISNUMBER({value}),{grams}/100*{value},"?")))', stored, "work n2")
    for tag in BY_MEAL:
        reads = f"INDEX(res_r_{tag},MAX(1,{slot}))"
        code = {"": 0.0, "at least": 1.0, "at most": 2.0}[item.reads(tag)] if item else 0.0
        sheet.formula(row, lay.col["f_" + tag], f'=IF({ok}=1,IF({reads}="at least",1,IF({reads}="at most",2,0)),'
                                                f'IF({lay.cell("n_" + tag, row)}="?",1,0))', code, "work n0")


def _put_strip(sheet: Sheet, lay: DayLayout, row: int) -> None:
    mn, m1, nu, oc, food = (lay.cell(key, row) for key in ("mn", "m1", "nu", "oc", "r_food"))
    for k in range(1, lay.units + 1):
        col = lay.col[f"u_{k}"]
        head = a1(HEAD, col, fix_row=True)
        sheet.formula(row, col, f'=IF({head}<={mn},INDEX(meas_unit,{m1}+{head}-1),IF({head}<={mn}+{oc},'
                                f'IFERROR(INDEX(own_unit,MATCH({food}&"|"&({head}-{mn}),own_no,0)),""),'
                                f'IF({head}<={mn}+{oc}+{nu},INDEX(unit_name,{head}-{mn}-{oc}),"")))', LOOKUP, "work")


def _offer(sheet: Sheet, lay: DayLayout) -> None:
    units = f"=${a1(FIRST, lay.col['u_1'])}:${a1(FIRST, lay.col[f'u_{lay.units}'])}"
    for col, source, title, message in (
        (MEAL, "=day_meal", "Meal", "Choose from the list."),
        (RECIPE, "=res_title", "Recipe", "A recipe of this book. Leave the food empty then."),
        (FOOD, "=food_name", "Food", "A food as eaten. Leave the recipe empty then. The sheet Find helps."),
        (UNIT, units, "Unit", "The list shows the units known for this food."),
    ):
        sheet.choose_from(FIRST, col, LAST_ROW, col, source, title, message)
