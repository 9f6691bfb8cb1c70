"""Buying: one row per row of Lines, what it takes to buy it, what that costs, and how much the chosen recipes need."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.nutrition.dish import DISH_GROUP
from workbookgen.nutrition.kitchen import Kitchen, is_water
from workbookgen.nutrition.shopping import bought_grams, is_dish, line_cost
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_layout import FIRST_LINE
from workbookgen.workbook.recipe_sheet import RecipeSheet

SHEET = "Buying"
HEAD, FIRST = 4, 5
SLOT, LINE, NUMBER, FOOD, PLACE, BUY, COST, MISSING, NEED, KEY = range(10)
NO_PRICE = "no price"
HEADS = (("Recipe no.", 8), ("Line", 6), ("Row of Lines", 8), ("Food", 34), ("Row in Prices", 8), ("As bought, g", 10), ("Cost", 10),
         ("No price so far", 34), ("Chosen recipes need, g", 10), ("Place in the list", 10))
NAMES = (("buy_grams", BUY), ("buy_cost", COST), ("buy_missing", MISSING), ("buy_need", NEED), ("buy_key", KEY))


def put_buying(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet:
    """Lay out the sheet; it keeps the row order of Lines."""
    sheet = book.add(SHEET)
    put_frame(sheet, "Buying", "One row per row of Lines: weight as bought = edible weight / (1 - refuse), its cost, and what the recipes "
              "chosen on Shopping need. Nothing to type here.", KEY)
    for col, (head, width) in enumerate(HEADS):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    sheet.heights[HEAD] = 40
    row = FIRST
    for slot, recipe in enumerate(recipes, 1):
        for i in range(recipe.lay.lines):
            _put_row(sheet, kitchen, row, slot, i, recipe)
            row += 1
    for name, col in NAMES:
        book.name_range(name, sheet, FIRST, col, row - 1, col)
    sheet.freeze = (FIRST, FOOD + 1)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return sheet


def _put_row(sheet: Sheet, kitchen: Kitchen, row: int, slot: int, i: int, recipe: RecipeSheet) -> None:
    c = {col: a1(row, col, fix_col=True) for col in range(len(HEADS))}
    n = c[NUMBER]
    for col, constant in ((SLOT, slot), (LINE, i + 1), (NUMBER, row - FIRST + 1)):
        sheet.put(row, col, constant, "calc small centre")
    food_row = f"INDEX(line_row,{n})"
    basis = recipe.sheet.ref(FIRST_LINE + i, recipe.lay.col["r_basis"])
    refuse = f"INDEX(food_refuse,{food_row})/100"
    sold = f"IF({c[PLACE]}=0,1,INDEX(price_sold,{c[PLACE]}))"
    formulas: dict[int, tuple[str, Value | _Lookup, str]] = {}
    known = recipe.analysis is not None
    one = recipe.analysis.lines[i] if recipe.analysis and i < len(recipe.analysis.lines) else None
    counted = one is not None and one.line.include
    buy: Value | _Lookup = (bought_grams(kitchen, one) if one and counted else 0.0) if known else LOOKUP
    cost: Value | _Lookup = LOOKUP
    if known:
        found = line_cost(kitchen, one) if one and counted and not is_dish(one.food) and one.grams else 0.0
        cost = NO_PRICE if found is None else found
    formulas[FOOD] = (f'=INDEX(line_food,{n})&""', LOOKUP, "")
    formulas[PLACE] = (f"=IF({food_row}=0,0,IFERROR(MATCH({food_row},price_row,0),0))", LOOKUP, "n0")
    formulas[BUY] = (f'=IF({food_row}=0,0,IF(ISNUMBER(INDEX(line_count,{n})),INDEX(line_count,{n})*INDEX(line_purchased,{n})'
                     f'*IF({basis}="as purchased",1-{refuse},1)/(1-{sold}*{refuse}),0))', buy, "n1")
    no_buying = f'OR(INDEX(food_iswater,{food_row})=1,INDEX(food_group,{food_row})="{DISH_GROUP}")'
    formulas[COST] = (f'=IF({c[BUY]}=0,0,IF({no_buying},0,IF({c[PLACE]}=0,"{NO_PRICE}",IF(ISNUMBER(INDEX(price_gram,{c[PLACE]})),'
                      f'{c[BUY]}*INDEX(price_gram,{c[PLACE]}),"{NO_PRICE}"))))', cost, "n2")
    before = '""' if i == 0 else a1(row - 1, MISSING, fix_col=True)
    more = f'IF(ISNUMBER(FIND("; "&{c[FOOD]}&";","; "&{before}&";")),{before},IF({before}="","",{before}&"; ")&{c[FOOD]})'
    formulas[MISSING] = (f'=IF({c[COST]}="{NO_PRICE}",{more},{before})', LOOKUP, "")
    stored: Value | _Lookup = LOOKUP
    if known and (one is None or not counted or is_water(one.food) or is_dish(one.food)):
        stored = 0.0
    formulas[NEED] = (f"=IF({c[BUY]}=0,0,IF({no_buying},0,{c[BUY]}*INDEX(shop_batches,{c[SLOT]})))", stored, "n1")
    aisle = f'IFERROR(MATCH(INDEX(food_aisle,{food_row})&"",aisle_name,0),ROWS(aisle_name))'
    formulas[KEY] = (f'=IF({food_row}=0,"",IF(MATCH({food_row},line_row,0)<>{n},"",IF(SUMIF(line_row,{food_row},buy_need)>0,'
                     f'{aisle}*const_find_step+{food_row},"")))', LOOKUP, "n0")
    for col, (formula, value, style) in formulas.items():
        sheet.formula(row, col, formula, value, f"calc small {style}".strip())
