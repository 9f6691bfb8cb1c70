"""Shopping: recipes times servings in, one list of what to buy by aisle out."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import Item, Pick
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.shopping_lines import NO_PRICE
from workbookgen.workbook.typed import number
from workbookgen.workbook.words import in_words, key_text, tidy

SHEET = "Shopping"
PICKS = 12
LIST = 120
PICK_HEAD, PICK_FIRST = 5, 6
PICK_EDGE = PICK_FIRST + PICKS
SUM_ROW = PICK_EDGE + 2
LIST_HEAD = SUM_ROW + 3
LIST_FIRST = LIST_HEAD + 1
LAST_ROW = LIST_FIRST + LIST - 1
AISLE, FOOD, BUY, LB, PACKAGES, PACKAGE, HAVE, COST, NOTE = range(9)
NO, RECIPE, SERVINGS, PEOPLE, PORTIONS, COUNTED, BATCHES, PICK_COST, MESSAGE = range(9)
WORK = NOTE + 2
KEY, ROW, AISLE_NO, PLACE, NEED, RUN, RANK = range(WORK, WORK + 7)
P_SLOT, P_SERVINGS, P_PEOPLE, P_PORTIONS = range(WORK, WORK + 4)
AISLES = RANK + 2
DISH_SLOT, DISH_GRAMS, DISH_RUN = range(AISLES + 2, AISLES + 5)
FIRST_MADE = SUM_ROW + 2
WIDTHS = (15, 36, 10, 9, 10, 10, 11, 12, 34)


def default_picks(kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> list[Pick]:
    """What the sheet starts with: the first recipes of the book for the usual number of people."""
    people = kitchen.constants["shop_people"]
    return [Pick(r.recipe.title, people) for r in recipes if r.recipe and not r.lay.is_dish][:3]


def messages() -> str:
    """Where the sheet says what to mend."""
    return f"'{SHEET}'!{block(PICK_FIRST, MESSAGE, PICK_EDGE - 1, MESSAGE)}"


def put_shopping(book: Book, kitchen: Kitchen, picks: Sequence[Pick], times: Sequence[float], items: Sequence[Item],
                 dishes: Sequence[int] = ()) -> Sheet:
    """Lay out the sheet; ``times`` are the batches of each pick, ``items`` the list, both from the core; ``dishes`` the
    places (from 0) of recipes that others use."""
    sheet = book.add(SHEET)
    put_frame(sheet, "Shopping", "Choose recipes and how many eat: the list below says what to buy, weighed as you buy it, the same food of all recipes "
              "in one row, less what the pantry holds, in whole packages.", NOTE)
    for col, width in enumerate(WIDTHS):
        sheet.widths[col] = width
    _put_aisles(book, sheet, kitchen)
    _put_picks(book, sheet, picks, times)
    _put_list(sheet, items)
    _put_sum(sheet)
    _put_made_first(sheet, dishes)
    sheet.fit_pages = (1, 0)
    sheet.page_breaks = []
    sheet.repeat_rows = (LIST_HEAD, LIST_HEAD)
    sheet.print_area = (0, 0, LAST_ROW, NOTE)
    sheet.first_input = (PICK_FIRST, RECIPE)
    return sheet


def _put_aisles(book: Book, sheet: Sheet, kitchen: Kitchen) -> None:
    sheet.put(LIST_HEAD, AISLES, "Aisles in order", "workhead")
    sheet.widths[AISLES] = 22
    for i, aisle in enumerate(kitchen.aisles):
        sheet.put(LIST_FIRST + i, AISLES, aisle, "work")
    book.name_range("aisle_name", sheet, LIST_FIRST, AISLES, LIST_FIRST + len(kitchen.aisles) - 1, AISLES)


def _put_picks(book: Book, sheet: Sheet, picks: Sequence[Pick], times: Sequence[float]) -> None:
    sheet.put(PICK_HEAD - 1, NO, "What you cook", "section")
    sheet.band(PICK_HEAD - 1, RECIPE, MESSAGE, "section")
    for col, head in ((NO, "No."), (RECIPE, "Recipe"), (SERVINGS, "Servings"), (PEOPLE, "or people"), (PORTIONS, "Portions for each"),
                      (COUNTED, "Servings counted"), (BATCHES, "Times the recipe"), (MESSAGE, "What to mend")):
        sheet.put(PICK_HEAD, col, head, "head")
    sheet.formula(PICK_HEAD, PICK_COST, '="Cost of the grams used, "&set_currency', LOOKUP, "head")
    sheet.heights[PICK_HEAD] = 44
    for col, head in ((P_SLOT, "Recipe no."), (P_SERVINGS, "Servings"), (P_PEOPLE, "People"), (P_PORTIONS, "Portions")):
        sheet.put(PICK_HEAD, col, head, "workhead")
        sheet.widths[col] = 10
    for i in range(PICKS):
        _put_pick(sheet, PICK_FIRST + i, i, picks[i] if i < len(picks) else None, times[i] if i < len(times) else 0.0)
    for col in range(MESSAGE + 1):
        sheet.put(PICK_EDGE, col, "", "edge")
    sheet.put(PICK_EDGE, RECIPE, "end of the recipes", "edge")
    last = PICK_EDGE - 1
    book.name_range("pick_slot", sheet, PICK_FIRST, P_SLOT, last, P_SLOT)
    book.name_range("pick_servings", sheet, PICK_FIRST, COUNTED, last, COUNTED)
    sheet.choose_from(PICK_FIRST, RECIPE, last, RECIPE, "=res_title", "Recipe", "A title of this book.")
    sheet.explain(PICK_FIRST, SERVINGS, last, SERVINGS, "Servings", "Servings of this recipe. Empty: people times portions.")
    sheet.explain(PICK_FIRST, PEOPLE, last, PEOPLE, "People", "How many eat this. Servings, where given, go first.")
    sheet.explain(PICK_FIRST, PORTIONS, last, PORTIONS, "Portions for each", "Servings one person gets. Empty: 1.")


def _put_pick(sheet: Sheet, row: int, i: int, pick: Pick | None, times: float) -> None:
    sheet.put(row, NO, i + 1, "calc small centre")
    values: tuple[Value, ...] = (pick.title, "", pick.servings, "") if pick else ("",) * 4
    for col, value, style in zip((RECIPE, SERVINGS, PEOPLE, PORTIONS), values, ("small", "general", "general", "general"), strict=True):
        sheet.put(row, col, value, f"input {style}")

    def x(col: int) -> str:
        return f"INDEX({block(PICK_HEAD, col, PICK_EDGE, col)},{a1(row, NO, fix_col=True)}+1)"

    slot, servings, people, portions, counted = (a1(row, col, fix_col=True) for col in (P_SLOT, P_SERVINGS, P_PEOPLE, P_PORTIONS, COUNTED))
    find = f"IFERROR(MATCH({key_text(x(RECIPE))},res_title,0),0)"
    sheet.formula(row, P_SLOT, f'=IF(ISTEXT({x(RECIPE)}),IF(LEN({x(RECIPE)})>const_title_letters,0,IF({tidy(x(RECIPE))}="",0,{find})),0)',
                  LOOKUP, "work n0")
    limits = ((P_SERVINGS, SERVINGS, "const_shop_people_max"), (P_PEOPLE, PEOPLE, "const_shop_people_max"), (P_PORTIONS, PORTIONS, "const_shop_portions_max"))
    for col, typed, most in limits:
        sheet.formula(row, col, f'=IF(ISBLANK({x(typed)}),"",{number(x(typed), "const_amount_min", most, f"{chr(34)}?{chr(34)}")})', LOOKUP, "work general")
    sheet.formula(row, COUNTED, f'=IF({slot}=0,0,IF(ISNUMBER({servings}),{servings},IF(OR({servings}="?",{people}="?",{portions}="?"),0,'
                  f'IF(ISNUMBER({people}),{people}*IF(ISNUMBER({portions}),{portions},1),0))))', pick.servings if pick else 0.0, "calc z1")
    recipe_servings = f"INDEX(res_servings,{slot})"
    sheet.formula(row, BATCHES, f"=IF({slot}=0,0,IF({recipe_servings}=0,0,{counted}/{recipe_servings}))", times, "calc z2")
    per_serving = f"INDEX(shop_cost_serving,{slot})"
    sheet.formula(row, PICK_COST, f'=IF(OR({slot}=0,{counted}=0),"",IF(ISNUMBER({per_serving}),{per_serving}*{counted},{per_serving}))', LOOKUP, "calc n2 right")
    empty = f"AND(ISBLANK({x(SERVINGS)}),ISBLANK({x(PEOPLE)}),ISBLANK({x(PORTIONS)}))"
    sheet.formula(row, MESSAGE, f'=IF({slot}=0,IF(AND(ISBLANK({x(RECIPE)}),{empty}),"","choose a recipe of this book"),IF({servings}="?",'
                  f'"servings: a number above 0",IF(AND({servings}="",{people}="?"),"people: a number above 0",IF(AND({servings}="",{portions}="?"),'
                  f'"portions: a number above 0",IF({counted}=0,"type servings, or people",IF({recipe_servings}=0,"this recipe says no servings yet",'
                  f'""))))))', LOOKUP if pick else "", "message")


def _put_list(sheet: Sheet, items: Sequence[Item]) -> None:
    for col, head in ((AISLE, "Aisle"), (FOOD, "Food"), (BUY, "To buy, g"), (LB, "To buy, lb"), (PACKAGES, "Packages"), (PACKAGE, "Package, g"),
                      (HAVE, "From the pantry, g"), (NOTE, "Note")):
        sheet.put(LIST_HEAD, col, head, "head")
    sheet.formula(LIST_HEAD, COST, '="Cost of the packages, "&set_currency', LOOKUP, "head")
    sheet.heights[LIST_HEAD] = 44
    for col, head in ((KEY, "Place in the list"), (ROW, "Row in Foods"), (AISLE_NO, "Aisle no."), (PLACE, "Row in Prices"), (NEED, "Needed, g"),
                      (RUN, "No price so far"), (RANK, "No.")):
        sheet.put(LIST_HEAD, col, head, "workhead")
        sheet.widths[col] = 10
    for k in range(LIST):
        _put_item(sheet, LIST_FIRST + k, k, items[k] if k < len(items) else None)
    sheet.conditions.append((LIST_FIRST, AISLE, LAST_ROW, NOTE, {"type": "formula", "criteria": f'=${a1(LIST_FIRST, AISLE)}<>""'}, "aislerule"))
    sheet.conditions.append((LIST_FIRST, AISLE, LAST_ROW, NOTE, {"type": "formula", "criteria": f'=${a1(LIST_FIRST, FOOD)}<>""'}, "listrule"))


def _put_item(sheet: Sheet, row: int, k: int, item: Item | None) -> None:
    c = {col: a1(row, col, fix_col=True) for col in range(RANK + 1)}
    there, place = f"{c[ROW]}=0", c[PLACE]
    sheet.put(row, RANK, k + 1, "work n0")
    sheet.formula(row, KEY, f"=IF({c[RANK]}>COUNT(buy_key),0,SMALL(buy_key,{c[RANK]}))", LOOKUP, "work n0")
    sheet.formula(row, ROW, f"=IF({c[KEY]}=0,0,MOD({c[KEY]},const_find_step))", LOOKUP, "work n0")
    sheet.formula(row, AISLE_NO, f"=INT({c[KEY]}/const_find_step)", LOOKUP, "work n0")
    sheet.formula(row, PLACE, f"=IF({there},0,IFERROR(MATCH({c[ROW]},price_row,0),0))", LOOKUP, "work n0")
    sheet.formula(row, NEED, f"=IF({there},0,SUMIF(line_row,{c[ROW]},buy_need))", item.need if item else 0.0, "work n1")
    above = "0" if k == 0 else a1(row - 1, AISLE_NO, fix_col=True)
    sheet.formula(row, AISLE, f'=IF(OR({there},{c[AISLE_NO]}={above}),"",INDEX(aisle_name,{c[AISLE_NO]}))', LOOKUP, "left small bold")
    sheet.formula(row, FOOD, f'=IF({there},"",INDEX(food_name,{c[ROW]})&"")', item.food if item else "", "left small flow")
    sheet.formula(row, HAVE, f"=IF({place}=0,0,MIN({c[NEED]},INDEX(price_pantry,{place})))", item.pantry if item else 0.0, "z0 small rind")
    rest = f"{c[NEED]}-{c[HAVE]}"
    sheet.formula(row, BUY, f"=IF(ROUND({rest},9)<=0,0,{rest})", item.buy if item else 0.0, "z0 bold rind")
    sheet.formula(row, LB, f'={c[BUY]}/INDEX(unit_factor,MATCH("lb",unit_name,0))', LOOKUP, "z2 small rind")
    package = f"INDEX(price_package,{place})"
    sheet.formula(row, PACKAGE, f'=IF({place}=0,"",{package})', LOOKUP, "n0 small rind")
    packages: Value | _Lookup = "" if item is None or item.packages is None else item.packages
    sheet.formula(row, PACKAGES, f'=IF(ISNUMBER({c[PACKAGE]}),ROUNDUP(ROUND({c[BUY]}/{c[PACKAGE]},9),0),"")', packages, "z0 bold rind")
    price = f"INDEX(price_package_price,{place})"
    cost: Value | _Lookup = "" if item is None else NO_PRICE if item.cost is None else item.cost
    sheet.formula(row, COST, f'=IF({there},"",IF({c[BUY]}=0,0,IF({place}=0,"{NO_PRICE}",IF(AND(ISNUMBER({c[PACKAGES]}),ISNUMBER({price})),{c[PACKAGES]}*{price},'
                  f'"{NO_PRICE}"))))', cost, "z2 rind")
    refuse = f"INDEX(food_refuse,{c[ROW]})"
    sold = f"IF({place}=0,1,INDEX(price_sold,{place}))"
    sheet.formula(row, NOTE, f'=IF({there},"",IF({c[BUY]}=0,"enough in the pantry",IF({sold}*{refuse}>0,"weighed with "&{in_words(refuse, 0)}&" % peel, bone or core","")))',
                  LOOKUP, "left small flow")
    before = '""' if k == 0 else a1(row - 1, RUN, fix_col=True)
    sheet.formula(row, RUN, f'=IF({c[COST]}="{NO_PRICE}",{before}&IF({before}="","","; ")&{c[FOOD]},{before}&"")', LOOKUP, "work")


def money(x: str) -> str:
    """Formula phrase: an amount as text with two decimals, halves up."""
    cents = f"ROUND(ROUND({x}*100,9),0)"
    return f'INT({cents}/100)&"."&RIGHT("0"&MOD({cents},100),2)'


def _put_sum(sheet: Sheet) -> None:
    """Total above the list: what the packages cost, what has no price, what does not fit."""
    sheet.put(SUM_ROW - 1, NO, "Shopping list", "section")
    sheet.band(SUM_ROW - 1, RECIPE, NOTE, "section")
    costs = block(LIST_FIRST, COST, LAST_ROW, COST)
    names = a1(LAST_ROW, RUN, True, True)
    gaps = f'{names}<>""'
    total = f"SUM({costs})"
    many = f"COUNT(buy_key)>ROWS({costs})"
    sheet.formula(SUM_ROW, NO, f'=IF(COUNT(buy_key)=0,"Nothing to buy yet: choose a recipe above.","Packages cost "&IF(OR({gaps},{many}),"at least ","")'
                  f'&{money(total)}&" "&set_currency&" in all."&IF({gaps}," No price: "&{names}&".","")'
                  f'&IF({many}," The list is full: "&(COUNT(buy_key)-ROWS({costs}))&" more foods do not fit; choose fewer recipes.",""))', LOOKUP, "bold wrap")
    sheet.merges.append((SUM_ROW, NO, SUM_ROW, NOTE))
    sheet.heights[SUM_ROW] = 34
    sheet.put(SUM_ROW + 1, NO, "Prices come from the sheet Prices; in the demo they are invented. Foods stand as the recipes name them, so a boiled food is "
              "weighed boiled. Check allergens on the label of what you buy: a replacement may differ. "
              "A short list ends on page 1: print that page alone.", "hint")
    sheet.merges.append((SUM_ROW + 1, NO, SUM_ROW + 1, NOTE))
    sheet.heights[SUM_ROW + 1] = 26


def _put_made_first(sheet: Sheet, dishes: Sequence[int]) -> None:
    """Dishes that go into the chosen recipes, with the grams they take; what they are made of is on the list."""
    for col, head in ((DISH_SLOT, "Dish: recipe no."), (DISH_GRAMS, "Inside others, g"), (DISH_RUN, "Made first")):
        sheet.put(LIST_HEAD, col, head, "workhead")
    before = '""'
    for d, place in enumerate(dishes):
        row = LIST_FIRST + d
        slot, grams = (a1(row, col, fix_col=True) for col in (DISH_SLOT, DISH_GRAMS))
        sheet.put(row, DISH_SLOT, place + 1, "work n0")
        sheet.formula(row, DISH_GRAMS, f"=(INDEX(shop_batches,{slot})-INDEX(shop_direct,{slot}))*INDEX(shop_dish_g,{slot})", LOOKUP, "work n0")
        more = f'IF({before}="","","; ")&INDEX(res_title,{slot})&", "&{in_words(grams, 0)}&" g"'
        sheet.formula(row, DISH_RUN, f'={before}&IF(ROUND({grams},9)>0,{more},"")', LOOKUP, "work")
        before = a1(row, DISH_RUN, fix_col=True)
    if dishes:
        last = a1(LIST_FIRST + len(dishes) - 1, DISH_RUN, True, True)
        sheet.formula(FIRST_MADE, NO, f'=IF({last}="","","Make first, from foods on this list: "&{last}&".")', LOOKUP, "wrap small")
        sheet.merges.append((FIRST_MADE, NO, FIRST_MADE, NOTE))
        sheet.heights[FIRST_MADE] = 26
