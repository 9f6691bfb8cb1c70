"""Find: type part of a name, see the best matches with group, state, key nutrients and units."""

from __future__ import annotations

from workbookgen.model.food import Food
from workbookgen.nutrition.find import RESULTS, find
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block, column_name
from workbookgen.workbook.foods_sheet import FoodsLayout
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.words import in_words, tidy

SHEET = "Find"
SEARCH, HEAD, FIRST = 4, 7, 8
TAGS = ("ENERC_KCAL", "PROCNT", "FIBTG", "NA", "FE")
EXAMPLE = "black bean"
SHOWN_UNITS = 8
COLUMNS = (("no", "No.", 5), ("name", "Food, as recipes know it", 42), ("group", "Group", 20), ("state", "State", 9),
           *((tag, "", 9) for tag in TAGS), ("units", "Units of this food", 66))  # fmt: skip
COL = {key: i for i, (key, _, _) in enumerate(COLUMNS)}
LAST = len(COLUMNS) - 1
WORK = LAST + 2
KEY_COL = WORK + 8


def add_find(book: Book) -> Sheet:
    """Reserve the tab; rows follow once Foods exists."""
    return book.add(SHEET)


def put_find(sheet: Sheet, kitchen: Kitchen, foods: FoodsLayout, names: list[Food]) -> None:
    """Lay out the sheet. ``names`` are the foods of the book in the order of Foods, as far as they are known at build."""
    put_frame(sheet, SHEET, "Type part of a name or of another name, in any order: the best matches stand below, with the "
              "units a recipe accepts. Copy the name into a recipe.", LAST)
    for key, head, width in COLUMNS:
        nutrient = kitchen.nutrient_by_tag.get(key)
        sheet.put(HEAD, COL[key], f"{nutrient.name}, {nutrient.unit} in 100 g" if nutrient else head, "head")
        sheet.widths[COL[key]] = width
    sheet.heights[HEAD] = 42
    _put_search(sheet, foods)
    best = find(names, EXAMPLE)
    _put_keys(sheet, foods)
    for i in range(RESULTS):
        _put_result(sheet, foods, FIRST + i, i + 1, best[i] if i < len(best) else None, len(best))
    sheet.print_area = (0, 0, FIRST + RESULTS - 1, LAST)
    sheet.landscape = True
    sheet.freeze = (FIRST, 2)
    sheet.first_input = (SEARCH, 1)


def _put_search(sheet: Sheet, foods: FoodsLayout) -> None:
    """The search box as read: small letters, up to three parts."""
    sheet.put(SEARCH - 1, 1, "Search for", "label")
    sheet.put(SEARCH, 1, EXAMPLE, "input bold")
    sheet.put(SEARCH + 1, 1, "such as: bean, black; oat; sauce tom", "hint")
    sheet.explain(SEARCH, 1, SEARCH, 1, "Search", "Part of a name, up to three words in any order. Capitals do not matter.")
    x = f"INDEX({block(SEARCH - 1, 1, SEARCH + 1, 1)},2)"
    q, w1, w2 = (a1(SEARCH, WORK + i, True, True) for i in range(3))
    heads = ("Search as read", "first part", "second part", "third part", "matches")
    for i, head in enumerate(heads):
        sheet.put(SEARCH - 1, WORK + i, head, "workhead")
        sheet.widths[WORK + i] = 16
    sheet.widths[WORK - 1] = 2
    clean = f'SUBSTITUTE({tidy(x)},","," ")'
    sheet.formula(SEARCH, WORK, f'=IF(ISTEXT({x}),IF(LEN({x})>const_words_letters,"",LOWER(TRIM({clean}))),"")', EXAMPLE, "work")
    space = f'IFERROR(FIND(" ",{q}),0)'
    sheet.formula(SEARCH, WORK + 1, f'=IF({space}=0,{q},LEFT({q},{space}-1))', LOOKUP, "work")
    rest = f'TRIM(MID({q},LEN({w1})+1,const_words_letters))'
    space = f'IFERROR(FIND(" ",{rest}),0)'
    # a missing part counts as the first one, so that every part can be looked for alike
    sheet.formula(SEARCH, WORK + 2, f'=IF({rest}="",{w1},IF({space}=0,{rest},LEFT({rest},{space}-1)))', LOOKUP, "work")
    after = f'TRIM(MID({rest},LEN({w2})+1,const_words_letters))'
    sheet.formula(SEARCH, WORK + 3, f'=IF({rest}="",{w1},IF({after}="",{w2},{after}))', LOOKUP, "work")
    keys = block(FIRST, KEY_COL + 1, FIRST + foods.last - foods.first, KEY_COL + 1)
    sheet.formula(SEARCH, WORK + 4, f"=COUNT({keys})", LOOKUP, "work n0")
    found = a1(SEARCH, WORK + 4, True, True)
    sheet.formula(SEARCH, 2, f'=IF({q}="","type at least one letter",IF({found}=0,"nothing found: try fewer letters",{found}&" found"'
                             f'&IF({found}>ROWS({block(FIRST, 0, FIRST + RESULTS - 1, 0)}),", the best are shown","")))', LOOKUP, "message")
    sheet.merges.append((SEARCH, 2, SEARCH, 5))


def _put_keys(sheet: Sheet, foods: FoodsLayout) -> None:
    """One key per food: rank and row; empty when it does not match."""
    q, w1, w2, w3 = (a1(SEARCH, WORK + i, True, True) for i in range(4))
    sheet.put(HEAD, KEY_COL, "Row of Foods", "workhead")
    sheet.put(HEAD, KEY_COL + 1, "Rank x 100000 + row", "workhead")
    sheet.widths |= {KEY_COL: 9, KEY_COL + 1: 12}
    for i in range(foods.last - foods.first + 1):
        row = FIRST + i
        number = a1(row, KEY_COL, fix_col=True)
        text = f"INDEX(food_find,{number})"
        there = ",".join(f"ISNUMBER(FIND({w},{text}))" for w in (w1, w2, w3))
        starts = ",".join(f'ISNUMBER(FIND(" "&{w},{text}))' for w in (w1, w2, w3))
        ranked = f'IF(LEFT({text},LEN({q})+1)=" "&{q},1,IF(AND({starts}),2,2+1))'
        sheet.put(row, KEY_COL, i + 1, "work n0")
        sheet.formula(row, KEY_COL + 1, f'=IF({q}="","",IF(AND({there}),{ranked}*const_find_step+{number},""))', LOOKUP, "work n0")


def _put_result(sheet: Sheet, foods: FoodsLayout, row: int, number: int, food: Food | None, found: int) -> None:
    """One match with its figures and units."""
    keys = block(FIRST, KEY_COL + 1, FIRST + foods.last - foods.first, KEY_COL + 1)
    matches, at = a1(SEARCH, WORK + 4, True, True), a1(row, WORK, fix_col=True)
    no = a1(row, COL["no"], fix_col=True)
    sheet.put(row, COL["no"], number, "calc small centre")
    sheet.formula(row, WORK, f"=IF({no}>{matches},0,MOD(SMALL({keys},{no}),const_find_step))", LOOKUP, "work n0")

    def put(key: str, formula: str, style: str, value: Value | _Lookup) -> None:
        sheet.formula(row, COL[key], f'=IF({at}=0,"",{formula})', value, style)

    put("name", f"INDEX(food_name,{at})", "calc bold", food.name if food else "")
    put("group", f'INDEX(food_group,{at})&""', "calc small", food.group if food else "")
    put("state", f'INDEX(food_state,{at})&""', "calc small", food.state if food else "")
    for tag in TAGS:
        value = f"INDEX(food_{column_name(tag)},{at})"
        known = food.values.get(tag, "?") if food else ""
        put(tag, f'IF(ISNUMBER({value}),{value},"?")', "calc n1", known)
    _put_units(sheet, row, at)
    sheet.heights[row] = 26


def _put_units(sheet: Sheet, row: int, at: str) -> None:
    """Units in words: household measures, own ones, then what weights and volumes are known."""
    name, first, count = f"INDEX(food_name,{at})", f"INDEX(food_mfirst,{at})", f"INDEX(food_mcount,{at})"
    c = [a1(row, WORK + i, fix_col=True) for i in range(1, 4)]
    heads = ("own measures", "measures", "first of them")
    for i, head in enumerate(heads, 1):
        sheet.put(HEAD, WORK + i, head, "workhead")
    sheet.put(HEAD, WORK, "Row of Foods", "workhead")
    sheet.formula(row, WORK + 1, f"=IF({at}=0,0,MIN(const_own_measures_max,COUNTIF(own_food,{name})))", LOOKUP, "work n0")
    sheet.formula(row, WORK + 2, f"=IF({at}=0,0,{count})", LOOKUP, "work n0")
    sheet.formula(row, WORK + 3, f"=IF({at}=0,0,{first})", LOOKUP, "work n0")
    parts = []
    for k in range(1, SHOWN_UNITS + 1):
        order = a1(HEAD - 1, WORK + 3 + k, True, True)
        sheet.put(HEAD - 1, KEY_COL + 2 + k, k, "work n0")
        order = a1(HEAD - 1, KEY_COL + 2 + k, True, True)
        own = f'IFERROR(INDEX(own_unit,MATCH({name}&"|"&({order}-{c[1]}),own_no,0)),"")'
        cell = sheet.formula(row, KEY_COL + 2 + k, f'=IF({order}<={c[1]},INDEX(meas_unit,{c[2]}+{order}-1),IF({order}<={c[1]}+{c[0]},{own},""))',
                             LOOKUP, "work")
        parts.append(f'IF({cell}="","",{cell}&"; ")')
        sheet.widths[KEY_COL + 2 + k] = 14
    more = f"{c[1]}+{c[0]}-{a1(HEAD - 1, KEY_COL + 2 + SHOWN_UNITS, True, True)}"
    rest = f'IF({more}>0,{in_words(more, 0)}&" more; ","")&"weights"&IF(ISNUMBER(INDEX(food_dens,{at})),", cups and spoons","")'
    sheet.formula(row, COL["units"], f'=IF({at}=0,"",{"&".join(parts)}&{rest})', LOOKUP, "calc small flow")


