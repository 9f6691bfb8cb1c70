"""Small workbooks for the tests of verify: the usual formula patterns, with values worked out in Python.

The stored values are an expectation of their own, computed here without any spreadsheet engine.
"""

from __future__ import annotations

import random
import zipfile
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

Food = tuple[str, float | None, float | None, str]
Put = Callable[[int, int, str, Any], Any]

FIRST = 4  # first line of a recipe sheet, counted from 1; the row above is a locked header


def half_up(value: float) -> float:
    """ROUND(ROUND(value, 9), 0) as a spreadsheet does it: half away from zero, after the guard."""
    exact = Fraction(value).limit_denominator(10**9)
    down = exact.numerator // exact.denominator
    return float(down + (1 if exact - down >= Fraction(1, 2) else 0))


def shown(value: float) -> str:
    """A number as & prints it."""
    return str(int(value)) if value == int(value) else repr(value)


class Writer:
    """Writes formulas with their values and counts them."""

    def __init__(self) -> None:
        self.count = 0

    def put(self, sheet: Any, row: int, column: int, formula: str, value: Any) -> Any:
        """Formula into row and column counted from 1; returns the value."""
        sheet.write_formula(row - 1, column - 1, formula, None, value)
        self.count += 1
        return value


def pattern_book(path: Path, recipes: int = 4, lines: int = 12, foods: int = 40) -> int:
    """Foods, recipes, an overview and a search sheet; returns the number of formulas."""
    rnd = random.Random(11)
    book = xlsxwriter.Workbook(str(path))
    writer = Writer()
    table = _foods(book, foods, rnd)
    rules = book.add_worksheet("Rules")
    for row, (label, value) in enumerate((("step", 5), ("band", 50), ("wide", 10), ("limit", 140.5))):
        rules.write_string(row, 0, label)
        rules.write_number(row, 1, value)
    totals = [_recipe(book, f"R{number + 1}", table, lines, rnd, writer) for number in range(recipes)]
    overview = book.add_worksheet("Over view")
    for number, total in enumerate(totals):
        for column in range(2):
            cell = xl_rowcol_to_cell(FIRST + lines, 7 + column)
            writer.put(overview, number + 1, column + 1, f"=R{number + 1}!{cell}", total[column])
    last = f"'Over view'!A1:A{recipes}"
    writer.put(overview, recipes + 1, 1, f"=SUM({last})", sum(total[0] for total in totals))
    _search(book, [food[0] for food in table], "ood 1", writer)
    book.close()
    return writer.count


def _foods(book: Any, foods: int, rnd: random.Random) -> list[Food]:
    sheet = book.add_worksheet("Foods")
    table = []
    for number in range(foods):
        iron = None if number % 5 == 4 else round(rnd.random() * 9, 2)
        sodium = None if number % 7 == 6 else round(rnd.random() * 400, 1)
        allergens = ("", "+milk;", "?wheat;", "+milk;?wheat;")[number % 4]
        table.append((f"Food {number}, raw", iron, sodium, allergens))
        for column, value in enumerate(table[-1]):
            if value not in (None, ""):
                sheet.write(number, column, value)
        sheet.write_string(number, 4, table[-1][0].lower())
    for column, name in enumerate(("food_name", "food_FE", "food_NA", "food_alg", "food_low")):
        letter = "ABCDE"[column]
        book.define_name(name, f"=Foods!${letter}$1:${letter}${foods}")
    return table


def _recipe(
    book: Any, name: str, table: list[Food], lines: int, rnd: random.Random, writer: Writer
) -> tuple[float, float]:
    """One recipe sheet; returns the totals of iron and sodium."""
    sheet = book.add_worksheet(name)
    put = partial(writer.put, sheet)
    end = FIRST + lines  # locked row below the lines
    grams: list[float] = []
    parts: tuple[list[Any], list[Any]] = ([], [])
    texts: list[str] = []
    for line in range(lines):
        row, at = FIRST + line, rnd.randrange(len(table))
        food = "" if line == 5 else "No such food" if line == 7 else f" {table[at][0]} "
        amount = "much" if line == 3 else rnd.randint(1, 900) / 4
        sheet.write_number(row - 1, 0, line + 1)
        if food:
            sheet.write_string(row - 1, 1, food)
        sheet.write(row - 1, 2, amount)
        item, asked = (f"INDEX(${letter}${FIRST - 1}:${letter}${end},$A{row}+1)" for letter in "BC")
        text = food.strip()
        put(row, 4, f'=IF(ISTEXT({item}),TRIM({item}),IF(ISBLANK({item}),"","(not a name)"))', text)
        value = "type a number" if isinstance(amount, str) else amount
        put(row, 5, f'=IF(ISNUMBER({asked}),{asked},"type a number")', value)
        found = next((place + 1 for place, each in enumerate(table) if each[0] == text), 0)
        put(row, 6, f'=IF(D{row}="",0,IFERROR(MATCH(D{row},food_name,0),0))', found)
        weight = value if isinstance(value, float) and found else 0.0
        grams.append(put(row, 7, f"=IF(F{row}=0,0,IF(ISTEXT(E{row}),0,E{row}))", weight))
        for number, tag in enumerate(("FE", "NA")):
            known = table[found - 1][1 + number] if found else None
            result = "" if not weight else "?" if known is None else weight / 100 * float(known)
            figure = f"INDEX(food_{tag},$F{row})"
            formula = f'=IF($G{row}=0,"",IF(ISNUMBER({figure}),$G{row}/100*{figure},"?"))'
            parts[number].append(put(row, 8 + number, formula, result))
        allergens = table[found - 1][3] if found else ""
        texts.append(put(row, 10, f'=IF(F{row}=0,"",INDEX(food_alg,F{row})&"")', allergens))
    totals = [_totals(put, "HI"[number], end, grams, parts[number]) for number in range(2)]
    joined = "".join(texts)
    put(end + 1, 10, "=" + "&".join(f"J{FIRST + line}" for line in range(lines)), joined)
    for row, word in ((end + 2, "milk"), (end + 3, "wheat")):
        sheet.write_string(row - 1, 10, word)
        state = "contains" if f"+{word};" in joined else "not known" if f"?{word};" in joined else "no"
        has, may = (f'ISNUMBER(FIND("{sign}"&K{row}&";",$J${end + 1}))' for sign in "+?")
        put(row, 10, f'=IF({has},"contains",IF({may},"not known","no"))', state)
    return totals[0], totals[1]


def _totals(put: Put, letter: str, end: int, grams: list[float], cells: list[Any]) -> float:
    """Sum, unknown weight, coverage, words, rounding, verdict, largest and its line, below one column."""
    column, at = ord(letter) - ord("A") + 1, f"{letter}{end + 1}"
    span, weights = (f"{each}${FIRST}:{each}${end - 1}" for each in (letter, "$G"))
    numbers = [cell for cell in cells if not isinstance(cell, str)]
    total: float = put(end + 1, column, f"=SUM({span})", sum(numbers))
    unknown = sum(weight for weight, cell in zip(grams, cells, strict=True) if cell == "?")
    put(end + 2, column, f'=SUMPRODUCT(({span}="?")*{weights})', unknown)
    cover = 1 - unknown / sum(grams)
    put(end + 3, column, f"=IF(SUM({weights})=0,0,1-{letter}{end + 2}/SUM({weights}))", cover)
    least = f'IF(ROUND({letter}{end + 3},9)<1,"at least ","")'
    words = ("at least " if cover < 1 else "") + shown(half_up(total * 10) / 10) + " mg"
    put(end + 4, column, f'={least}&ROUND(ROUND({at}*10,9),0)/10&" mg"', words)
    steps = [f"ROUND(ROUND({at}/Rules!$B${row},9),0)*Rules!$B${row}" for row in (1, 3)]
    rounded = f"=IF({at}<Rules!$B$1,0,IF({at}<=Rules!$B$2,{steps[0]},{steps[1]}))"
    step = 5 if total <= 50 else 10
    put(end + 5, column, rounded, 0 if total < 5 else half_up(total / step) * step)
    put(end + 6, column, f"=ROUND({at},9)<=Rules!$B$4", round(total, 9) <= 140.5)
    top = put(end + 7, column, f'=IF(COUNTIF({span},">0")<1,0,LARGE({span},1))', max(numbers))
    line = max(place + 1 for place, cell in enumerate(cells) if cell == top)
    lines = f"$A${FIRST}:$A${end - 1}"
    put(end + 8, column, f"=SUMPRODUCT(MAX(({span}={letter}{end + 7})*{lines}))", line)
    return total


def _search(book: Any, names: list[str], typed: str, writer: Writer) -> None:
    """Hits first by kind, then in order: 1 starts with the text, 2 a word does, 3 anywhere."""
    sheet = book.add_worksheet("Find")
    sheet.write_string("A1", typed)
    scores, last = [], len(names) + 2
    for number, name in enumerate(names):
        row, low, item = number + 3, name.lower(), f"INDEX(food_low,$A{number + 3})"
        sheet.write_number(row - 1, 0, number + 1)
        score = 0 if typed not in low else 1 if low.startswith(typed) else 2 if f" {typed}" in low else 3
        kind = f'IF(LEFT({item},LEN($A$1))=$A$1,1,IF(ISNUMBER(FIND(" "&$A$1,{item})),2,$A$3+2))'
        scores.append(writer.put(sheet, row, 2, f"=IF(ISNUMBER(FIND($A$1,{item})),{kind},0)", score))
        key = score * 1000 + number + 1 if score else ""
        writer.put(sheet, row, 3, f'=IF(B{row}=0,"",B{row}*1000+A{row})', key)
    keys = sorted(score * 1000 + place + 1 for place, score in enumerate(scores) if score)
    writer.put(sheet, 1, 4, f'=COUNTIF(B3:B{last},">0")', len(keys))
    for rank in range(1, 9):
        sheet.write_number(rank + 1, 4, rank)
        hit = names[keys[rank - 1] % 1000 - 1] if rank <= len(keys) else ""
        formula = f'=IF(E{rank + 2}>$D$1,"",INDEX(food_name,MOD(SMALL($C$3:$C${last},E{rank + 2}),1000)))'
        writer.put(sheet, rank + 2, 6, formula, hit)


def one_sheet(
    path: Path, formulas: dict[str, tuple[str, Any]], constants: dict[str, Any] | None = None
) -> Path:
    """A book with one sheet ``S``: formulas with stored values, and constants, by cell name."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("S")
    for cell, value in (constants or {}).items():
        sheet.write(cell, value)
    for cell, (formula, value) in formulas.items():
        sheet.write_formula(cell, formula, None, value)
    book.close()
    return path


def rewrite(path: Path, part: str, old: str, new: str) -> Path:
    """Replace text in one part of a package, in place."""
    with zipfile.ZipFile(path) as package:
        content = {name: package.read(name) for name in package.namelist()}
    text = content[part].decode()
    assert old in text, f"{old} is not in {part}: {text[:2000]}"
    content[part] = text.replace(old, new).encode()
    with zipfile.ZipFile(path, "w") as package:
        for name, data in content.items():
            package.writestr(name, data)
    return path
