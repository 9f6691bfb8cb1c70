"""Prices: what a package of a food weighs and costs, and what the pantry holds; unlocked rows judged as typed."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.programme import TRIMMED, WHOLE, Price
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import package_grams
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, a1, block
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.typed import number, phrase
from workbookgen.workbook.words import key_text, tidy

SHEET = "Prices"
CURRENCY_LABEL, CURRENCY_ROW, CURRENCY_HINT = 3, 4, 5
HEAD, FIRST = 7, 8
LEAST_ROWS, SPARE_ROWS = 120, 20
FOOD, PACKAGE, PRICE, PANTRY, SOLD, NOTE, MESSAGE = range(7)
R_FOOD, R_PACKAGE, R_PRICE, R_PANTRY, R_SOLD, R_GRAM, R_NUMBER = range(8, 15)
HEADS = (("Food", 38), ("Package, g", 10), ("Price", 12), ("In the pantry, g", 10), ("Sold as", 10), ("Note", 30), ("What to mend", 32))
NAMES = (("price_row", R_FOOD), ("price_package", R_PACKAGE), ("price_package_price", R_PRICE), ("price_pantry", R_PANTRY),
         ("price_sold", R_SOLD), ("price_gram", R_GRAM))


def price_rows(prices: Sequence[Price]) -> int:
    """Rows of the list: room for every price and some more."""
    return max(LEAST_ROWS, len(prices) + SPARE_ROWS)


def messages(prices: Sequence[Price]) -> str:
    """Where the sheet says what to mend."""
    return f"'{SHEET}'!{block(FIRST, MESSAGE, FIRST + price_rows(prices) - 1, MESSAGE)}"


def put_prices(book: Book, kitchen: Kitchen, currency: str) -> Sheet:
    """Lay out the sheet with the prices of the programme, then empty rows."""
    sheet = book.add(SHEET)
    put_frame(sheet, "Prices", "What you pay for a package and what you have. A food without a price is unknown, not free: costs then read "
              "at least. Water is free. \"trimmed\" means bought without peel, bone, shell or core.", MESSAGE)
    for col, (head, width) in enumerate(HEADS):
        sheet.widths[col] = width
        sheet.put(HEAD, col, head, "head")
    sheet.formula(HEAD, PRICE, '="Price of a package, "&set_currency', LOOKUP, "head")
    sheet.heights[HEAD] = 44
    _put_currency(book, sheet, currency)
    rows = price_rows(kitchen.prices)
    edge = FIRST + rows
    for i in range(rows):
        _put_row(sheet, kitchen, FIRST + i, i, edge, kitchen.prices[i] if i < len(kitchen.prices) else None)
    for col in range(MESSAGE + 1):
        sheet.put(edge, col, "", "edge")
    sheet.put(edge, FOOD, "end of the prices", "edge")
    for col, head in ((R_FOOD, "Row in Foods"), (R_PACKAGE, "Package, g"), (R_PRICE, "Price"), (R_PANTRY, "Pantry, g"),
                      (R_SOLD, "Refuse bought too (1 = yes)"), (R_GRAM, "Price of a gram"), (R_NUMBER, "No.")):
        sheet.put(HEAD, col, head, "workhead")
        sheet.widths[col] = 10
    sheet.put(HEAD - 1, R_FOOD, "As read", "label")
    for name, col in NAMES:
        book.name_range(name, sheet, FIRST, col, edge - 1, col)
    sheet.choose_from(FIRST, FOOD, edge - 1, FOOD, "=food_name", "Food", "Choose from the list or type the name as on sheet Foods.")
    sheet.choose_from(FIRST, SOLD, edge - 1, SOLD, (WHOLE, TRIMMED), "Sold as", "whole: with peel, bone, shell or core; trimmed: only what is eaten. Empty: whole.")
    sheet.explain(FIRST, PACKAGE, edge - 1, PACKAGE, "Package", "Grams of one package as you buy it. 1 lb is 454 g, 1 oz 28.3 g.")
    sheet.explain(FIRST, PRICE, edge - 1, PRICE, "Price", "What one package costs. Empty: not known.")
    sheet.explain(FIRST, PANTRY, edge - 1, PANTRY, "In the pantry", "Grams you have already, as bought. Check dates and opened packages first.")
    sheet.freeze = (FIRST, 1)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_area = (0, 0, edge, MESSAGE)
    sheet.first_input = (FIRST, FOOD)
    return sheet


def _put_currency(book: Book, sheet: Sheet, currency: str) -> None:
    sheet.put(CURRENCY_LABEL, FOOD, "Word for the currency", "label")
    sheet.put(CURRENCY_ROW, FOOD, currency, "input")
    sheet.put(CURRENCY_HINT, FOOD, "stands beside every amount of money", "hint")
    x = f"INDEX({block(CURRENCY_LABEL, FOOD, CURRENCY_HINT, FOOD)},2)"
    sheet.put(CURRENCY_LABEL, R_FOOD, "Currency", "workhead")
    sheet.formula(CURRENCY_ROW, R_FOOD, f"={phrase(x, 'const_shop_currency_letters')}", LOOKUP, "work")
    book.name_range("set_currency", sheet, CURRENCY_ROW, R_FOOD, CURRENCY_ROW, R_FOOD)


def _put_row(sheet: Sheet, kitchen: Kitchen, row: int, index: int, edge: int, price: Price | None) -> None:
    values: tuple[Value, ...] = ("",) * 6
    package = 0.0
    if price is not None:
        food = kitchen.food_by_name[price.food.lower()]
        package = package_grams(kitchen, food, price) or 0.0
        values = (food.name, package, price.price, price.pantry_g or "", price.sold_as, price.note)
    for col, (value, style) in enumerate(zip(values, ("", "n1", "n2", "n0", "small", "small"), strict=True)):
        sheet.put(row, col, value, f"input {style}".strip())
    at = a1(row, R_NUMBER, fix_col=True)
    sheet.put(row, R_NUMBER, index + 1, "work n0")

    def x(col: int) -> str:
        return f"INDEX({block(HEAD, col, edge, col)},{at}+1)"

    c = {col: a1(row, col, fix_col=True) for col in range(R_FOOD, R_NUMBER)}
    find = f"IFERROR(MATCH({key_text(x(FOOD))},food_name,0),0)"
    sheet.formula(row, R_FOOD, f'=IF(ISTEXT({x(FOOD)}),IF(LEN({x(FOOD)})>100,0,IF({tidy(x(FOOD))}="",0,{find})),0)', LOOKUP, "work n0")
    known = price is not None
    sheet.formula(row, R_PACKAGE, f"={number(x(PACKAGE), 'const_amount_min', 'const_shop_package_max')}", package if known else "", "work n1")
    sheet.formula(row, R_PRICE, f"={number(x(PRICE), '0', 'const_shop_price_max')}", price.price if price else "", "work n2")
    sheet.formula(row, R_PANTRY, f"={number(x(PANTRY), '0', 'const_shop_package_max', '0')}", price.pantry_g if price else 0.0, "work n0")
    sheet.formula(row, R_SOLD, f'=IF(ISTEXT({x(SOLD)}),IF(LOWER({phrase(x(SOLD), "const_words_letters")})="{TRIMMED}",0,1),1)',
                  0.0 if price and price.sold_as == TRIMMED else 1.0, "work n0")
    sheet.formula(row, R_GRAM, f'=IF(AND(ISNUMBER({c[R_PACKAGE]}),ISNUMBER({c[R_PRICE]})),{c[R_PRICE]}/{c[R_PACKAGE]},"")',
                  price.price / package if price and package else "", "work n3")
    above = f"{a1(HEAD, R_FOOD, True, True)}:{a1(row - 1, R_FOOD, fix_col=True)}"
    blank = f"AND(ISBLANK({x(PACKAGE)}),ISBLANK({x(PRICE)}),ISBLANK({x(PANTRY)}))"
    pantry = f'AND(ISBLANK({x(PANTRY)})=FALSE,{number(x(PANTRY), "0", "const_shop_package_max", "-1")}<0)'
    sold = f'IF(ISTEXT({x(SOLD)}),AND({c[R_SOLD]}=1,LOWER({phrase(x(SOLD), "const_words_letters")})<>"{WHOLE}",{tidy(x(SOLD))}<>""),ISBLANK({x(SOLD)})=FALSE)'
    sheet.formula(row, MESSAGE, f'=IF(ISBLANK({x(FOOD)}),IF({blank},"","choose a food"),IF({c[R_FOOD]}=0,"food not in the list: choose one from it",'
                  f'IF(COUNTIF({above},{c[R_FOOD]})>0,"this food stands above: that row counts",IF({pantry},"pantry: grams, 0 or more",'
                  f'IF({sold},"sold as: whole or trimmed",IF(ISBLANK({x(PACKAGE)}),IF(ISBLANK({x(PRICE)}),"","type the grams of a package"),'
                  f'IF({c[R_PACKAGE]}="","package: grams above 0",IF(AND(ISBLANK({x(PRICE)})=FALSE,{c[R_PRICE]}=""),"price: a number, 0 or more","")))))))) '.rstrip(),
                  "" if known else LOOKUP, "message")
