"""Costs: every recipe of the book with its cost and cost of a serving, and one recipe ingredient by ingredient."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import RecipeCost
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_picker import INPUT_ROW, put_picker
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.shopping_lines import NO_PRICE

SHEET = "Costs"
HEAD = 8
NO, TITLE, SERVINGS, TOTAL, SERVING, READS, MISSING = range(7)
WORK = MISSING + 2
SLOT_BAD, OWN, OWN_MISSING, ALL_MISSING, LINE_FIRST, LINE_LAST, DIRECT, BATCHES, DISH_G, DISHES = range(WORK, WORK + 10)
UNKNOWN = "?"
RATIO_ROWS = 3


@dataclass(frozen=True, slots=True)
class CostPlan:
    """Where the sheet keeps what others read."""

    sheet: Sheet
    first: int
    last: int

    def cells(self, col: int) -> str:
        return block(self.first, col, self.last, col)


def put_costs(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], dishes: Sequence[int],
              costs: Mapping[str, RecipeCost], times: Mapping[str, float]) -> CostPlan:
    """Lay out the sheet. ``dishes`` are the places (from 0) of the recipes others may use, earliest first; ``costs``
    and ``times`` (batches of the chosen recipes) come from the core by lower-case title."""
    sheet = book.add(SHEET)
    put_frame(sheet, "Costs", "What each recipe costs by the list on Prices, only the grams that are used. \"at least\": part of it has no price "
              "yet or needs mending. Dishes inside a recipe are counted with what goes into them.", MISSING)
    for col, width in enumerate((5, 40, 11, 12, 12, 10, 56)):
        sheet.widths[col] = width
    slot = put_picker(sheet, recipes, TITLE, WORK)
    plan = CostPlan(sheet, HEAD + 2, HEAD + 1 + len(recipes))
    _put_heads(sheet, plan, len(dishes))
    for i, recipe in enumerate(recipes):
        title = recipe.recipe.title.lower() if recipe.recipe else ""
        _put_recipe(sheet, plan, i, recipe, dishes, costs.get(title), times.get(title))
    _put_dishes(sheet, plan, dishes)
    for name, col in (("shop_cost_recipe", TOTAL), ("shop_cost_serving", SERVING), ("shop_cost_reads", READS), ("shop_batches", BATCHES),
                      ("shop_direct", DIRECT), ("shop_dish_g", DISH_G)):
        book.name_range(name, sheet, plan.first, col, plan.last, col)
    _put_chosen(sheet, plan, kitchen, recipes, slot, dishes)
    sheet.freeze = (HEAD - 1, TITLE + 1)
    sheet.landscape = True
    sheet.first_input = (INPUT_ROW, TITLE)
    return plan


def _put_heads(sheet: Sheet, plan: CostPlan, dishes: int) -> None:
    sheet.put(HEAD, NO, "All recipes", "section")
    sheet.band(HEAD, TITLE, MISSING, "section")
    for col, text in ((NO, "No."), (TITLE, "Recipe"), (SERVINGS, "Servings"), (TOTAL, '="Whole recipe, "&set_currency'),
                      (SERVING, '="One serving, "&set_currency'), (READS, "Reads"), (MISSING, "No price yet")):
        if text.startswith("="):
            sheet.formula(HEAD + 1, col, text, LOOKUP, "head")
        else:
            sheet.put(HEAD + 1, col, text, "head")
    sheet.heights[HEAD + 1] = 32
    heads = ["Lines to mend", "Own lines, cost", "Own lines without price", "All without price", "First row of Lines", "Last row of Lines",
             "Batches chosen", "Batches with dishes", "Dish, g"]
    heads += [f"Directly of dish {d + 1}, g" for d in range(dishes)] + [f"In all of dish {d + 1}, g" for d in range(dishes)]
    for k, text in enumerate(heads):
        sheet.put(HEAD + 1, WORK + k, text, "workhead")
        sheet.widths[WORK + k] = 10


def _put_recipe(sheet: Sheet, plan: CostPlan, i: int, recipe: RecipeSheet, dishes: Sequence[int], cost: RecipeCost | None,
                times: float | None) -> None:
    row, lay = plan.first + i, recipe.lay
    c = {col: a1(row, col, fix_col=True) for col in range(DISHES + 2 * len(dishes))}
    count = len(dishes)
    known = cost is not None
    sheet.put(row, NO, i + 1, "calc small centre")
    sheet.formula(row, TITLE, f'=INDEX(res_title,{c[NO]})&""', LOOKUP, "calc small flow")
    sheet.formula(row, SERVINGS, f"=INDEX(res_servings,{c[NO]})", cost.servings if cost else LOOKUP, "calc z1")
    sheet.formula(row, SLOT_BAD, f"={recipe.sheet.ref(lay.total, lay.col['bad'])}", LOOKUP, "work n0")
    sheet.formula(row, OWN, f"=SUMIF(line_slot,{c[NO]},buy_cost)", cost.own if cost else LOOKUP, "work n2")
    sheet.formula(row, OWN_MISSING, f'=COUNTIFS(line_slot,{c[NO]},buy_cost,"{NO_PRICE}")', LOOKUP, "work n0")
    sheet.formula(row, LINE_FIRST, f"=MATCH({c[NO]},line_slot,0)", LOOKUP, "work n0")
    sheet.formula(row, LINE_LAST, f"={c[LINE_FIRST]}+COUNTIF(line_slot,{c[NO]})-1", LOOKUP, "work n0")
    servings = f"'{recipe.sheet.name}'!{servings_cell(lay)}"
    sheet.formula(row, DIRECT, f"=IF({servings}=0,0,SUMIF(pick_slot,{c[NO]},pick_servings)/{servings})", LOOKUP, "work n2")
    weight = f"'{recipe.sheet.name}'!{weight_cell(lay)}"
    sheet.formula(row, DISH_G, f"={weight}", LOOKUP, "work n0")
    total_of = f"{c[OWN]}"
    missing = f"({c[OWN_MISSING]}+{c[SLOT_BAD]})"
    names = f"INDEX(buy_missing,{c[LINE_LAST]})"
    times_formula = c[DIRECT]
    for d in range(count):
        sheet.formula(row, DISHES + d, f"=SUMIFS(buy_grams,line_slot,{c[NO]},line_row,INDEX(dish_rank,{d + 1}))", LOOKUP, "work n0")
        ratio_row = plan.last + RATIO_ROWS + d  # what later dishes hold of this one
        inner = ""
        if d + 1 < count:
            later = f"{a1(row, DISHES + count + d + 1, fix_col=True)}:{a1(row, DISHES + 2 * count - 1, fix_col=True)}"
            inner = f"+SUMPRODUCT({later},{block(ratio_row, DISHES + d + 1, ratio_row, DISHES + count - 1)})"
        sheet.formula(row, DISHES + count + d, f"={c[DISHES + d]}{inner}", LOOKUP, "work n0")
    if count:
        through = f"{c[DISHES + count]}:{c[DISHES + 2 * count - 1]}"
        per_gram, unknown = (block(plan.last + k, DISHES + count, plan.last + k, DISHES + 2 * count - 1) for k in (1, 2))
        total_of += f"+SUMPRODUCT({through},{per_gram})"
        missing += f"+SUMPRODUCT(({through}>0)*{unknown})"
        for d, at in enumerate(dishes):
            there = f"INDEX(buy_missing,{a1(plan.first + at, LINE_LAST, True, True)})"
            names += f'&IF({c[DISHES + count + d]}>0,IF({there}="","","; "&{there}),"")'
        if i in dishes:
            mine = DISHES + count + dishes.index(i)
            times_formula += f"+IF({c[DISH_G]}=0,0,SUMPRODUCT({plan.cells(DIRECT)},{plan.cells(mine)})/{c[DISH_G]})"
    sheet.formula(row, ALL_MISSING, f"={missing}", LOOKUP, "work n0")
    sheet.formula(row, BATCHES, f"={times_formula}", LOOKUP if times is None else times, "work n2")
    total: Value | _Lookup = LOOKUP
    if known and cost is not None:
        total = UNKNOWN if cost.total is None else cost.total
    sheet.formula(row, TOTAL, f'=IF({c[TITLE]}="","",IF(AND({total_of}=0,{c[ALL_MISSING]}>0),"{UNKNOWN}",{total_of}))', total, "calc n2 right")
    serving: Value | _Lookup = LOOKUP
    if known and cost is not None:
        serving = UNKNOWN if cost.serving is None else cost.serving
    sheet.formula(row, SERVING, f'=IF(ISNUMBER({c[TOTAL]}),IF({c[SERVINGS]}=0,"",{c[TOTAL]}/{c[SERVINGS]}),{c[TOTAL]})', serving, "calc n2 right bold")
    sheet.formula(row, READS, f'=IF(ISNUMBER({c[TOTAL]}),IF({c[ALL_MISSING]}>0,"at least",""),"")',
                  ("at least" if cost.unpriced and cost.total is not None else "") if cost else LOOKUP, "calc small")
    told = f'{names}&IF({c[SLOT_BAD]}>0,"; lines to mend","")'
    sheet.formula(row, MISSING, f'=IF({c[ALL_MISSING]}=0,"",{told})', LOOKUP, "calc small flow")
    sheet.heights[row] = 14 if recipe.recipe is None else 22


def _put_dishes(sheet: Sheet, plan: CostPlan, dishes: Sequence[int]) -> None:
    """Under the table: cost of a gram of each dish, whether it has lines without price, and dishes inside dishes."""
    count = len(dishes)
    for d, at in enumerate(dishes):
        weight, own = (a1(plan.first + at, col, True, True) for col in (DISH_G, OWN))
        gaps = f"{a1(plan.first + at, OWN_MISSING, True, True)}+{a1(plan.first + at, SLOT_BAD, True, True)}"
        sheet.put(plan.last + 1, DISHES + d, at + 1, "work n0")
        sheet.formula(plan.last + 1, DISHES + count + d, f"=IF({weight}=0,0,{own}/{weight})", LOOKUP, "work n3")
        sheet.formula(plan.last + 2, DISHES + count + d, f"={gaps}", LOOKUP, "work n0")
        for e in range(d + 1, count):
            inside = a1(plan.first + dishes[e], DISHES + d, True, True)
            whole = a1(plan.first + dishes[e], DISH_G, True, True)
            sheet.formula(plan.last + RATIO_ROWS + d, DISHES + e, f"=IF({whole}=0,0,{inside}/{whole})", LOOKUP, "work n3")
    if count:
        for k, text in enumerate(("Recipe no.; own cost of a gram", "Lines without price", *(f"Dish {d + 1} in a gram of dish" for d in range(count)))):
            sheet.put(plan.last + 1 + k, DISHES - 1, text, "workhead")


def _put_chosen(sheet: Sheet, plan: CostPlan, kitchen: Kitchen, recipes: Sequence[RecipeSheet], slot: str, dishes: Sequence[int]) -> None:
    """The chosen recipe, ingredient by ingredient: grams as bought, cost, share of the cost."""
    top = plan.last + 2 + max(RATIO_ROWS, RATIO_ROWS + len(dishes)) - 1
    sheet.formula(top, NO, f'="Ingredient by ingredient: "&INDEX(res_title,{slot})', LOOKUP, "section")
    sheet.band(top, TITLE, MISSING, "section")
    heads = ("No.", "Ingredient", "As bought, g", '="Cost, "&set_currency', '="Of a serving, "&set_currency', "Share, %", "")
    for col, text in enumerate(heads):
        if text.startswith("="):
            sheet.formula(top + 1, col, text, LOOKUP, "head")
        else:
            sheet.put(top + 1, col, text, "head")
    sheet.heights[top + 1] = 32
    lines = max(r.lay.lines for r in recipes)
    first = top + 2
    whole = f"INDEX({plan.cells(TOTAL)},{slot})"
    rows_of = f"INDEX({plan.cells(LINE_FIRST)},{slot})"
    last_of = f"INDEX({plan.cells(LINE_LAST)},{slot})"
    servings = f"INDEX({plan.cells(SERVINGS)},{slot})"
    for i in range(lines):
        row = first + i
        at, cost = a1(row, WORK, fix_col=True), a1(row, TOTAL, fix_col=True)
        sheet.put(row, NO, i + 1, "calc small centre")
        here = f"{rows_of}+{a1(row, NO, fix_col=True)}-1"
        sheet.formula(row, WORK, f"=IF({here}>{last_of},0,{here})", LOOKUP, "work n0")
        sheet.formula(row, TITLE, f'=IF({at}=0,"",INDEX(line_food,{at})&"")', LOOKUP, "calc small flow")
        sheet.formula(row, SERVINGS, f'=IF({at}=0,"",IF(INDEX(buy_grams,{at})=0,"",INDEX(buy_grams,{at})))', LOOKUP, "calc n0 right")
        plain = f"INDEX(buy_cost,{at})"
        if dishes:
            plain = f"IF({a1(row, WORK + 1, fix_col=True)}=0,{plain},{a1(row, WORK + 2, fix_col=True)})"
            of = f"IFERROR(MATCH(INDEX(line_row,{at}),dish_rank,0),0)"
            sheet.formula(row, WORK + 1, f"=IF({at}=0,0,{of})", LOOKUP, "work n0")
            number = a1(row, WORK + 1, fix_col=True)
            slot_of = f"INDEX({block(plan.last + 1, DISHES, plan.last + 1, DISHES + len(dishes) - 1)},{number})"
            cost_of, weight_of = (f"INDEX({plan.cells(col)},{slot_of})" for col in (TOTAL, DISH_G))
            sheet.formula(row, WORK + 2, f'=IF({number}=0,0,IF(ISNUMBER({cost_of}),IF({weight_of}=0,0,INDEX(buy_grams,{at})/{weight_of}*{cost_of}),"{NO_PRICE}"))',
                          LOOKUP, "work n2")
        sheet.formula(row, TOTAL, f'=IF({a1(row, SERVINGS, fix_col=True)}="","",{plain})', LOOKUP, "calc n2 right")
        sheet.formula(row, SERVING, f'=IF(ISNUMBER({cost}),IF({servings}=0,"",{cost}/{servings}),"")', LOOKUP, "calc n2 right")
        sheet.formula(row, READS, f'=IF(ISNUMBER({cost}),IF(ISNUMBER({whole}),IF({whole}=0,"",{cost}/{whole}*100),""),"")', LOOKUP, "calc n1 right")
    sheet.page_breaks = [top]
    sheet.print_area = (0, 0, first + lines - 1, MISSING)
