"""Label ranks: all products at a glance, and one nutrient ranked per serving and per 100 g with charts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from workbookgen.model.analysis import Settings
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import PackReading, read_pack
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block, quoted
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.labels_layout import LabelsLayout
from workbookgen.workbook.typed import place
from workbookgen.workbook.words import in_words

SHEET = "Label ranks"
HEAD, FIRST = 4, 5
COLUMNS = (
    ("no", "No.", 5), ("name", "Product", 28), ("serving", "One serving", 18), ("g", "Serving, g", 9),
    ("na", "Sodium, mg", 9), ("na_dv", "Sodium, % DV", 9), ("kitchen", "Kitchen reading", 11),
    ("regulator", "Regulator's reading", 11), ("kcal", "Energy, kcal", 9), ("sat", "Saturated fat, % DV", 9),
    ("sugad", "Added sugars, % DV", 9), ("words", "Words on the pack", 44), ("mend", "What to mend", 32),
)  # fmt: skip
COL = {key: i for i, (key, _, _) in enumerate(COLUMNS)}
LAST = len(COLUMNS) - 1
WORK = LAST + 2
CHARTED = 12


def put_label_ranks(book: Book, kitchen: Kitchen, lay: LabelsLayout, settings: Settings) -> None:
    """Lay out the sheet."""
    sheet = book.add(SHEET)
    put_frame(sheet, SHEET, "All products of the sheet Labels side by side, and one nutrient ranked. Nothing to type "
              "but the nutrient and the order.", LAST)
    for key, head, width in COLUMNS:
        sheet.put(HEAD, COL[key], head, "head")
        sheet.widths[COL[key]] = width
    sheet.heights[HEAD] = 42
    for i in range(lay.products):
        pack = kitchen.packs[i] if i < len(kitchen.packs) else None
        readings = {r.tag: r for r in read_pack(kitchen, pack, settings)} if pack else None
        _put_product(sheet, kitchen, lay, FIRST + i, i, readings)
    end = FIRST + lay.products
    last = _put_ranking(sheet, kitchen, lay, end + 1)
    sheet.print_area = (0, 0, last, LAST)
    sheet.page_breaks = [end + 1]
    sheet.landscape = True
    sheet.freeze = (HEAD + 1, 2)
    sheet.first_input = (end + 3, 1)


def _put_product(sheet: Sheet, kitchen: Kitchen, lay: LabelsLayout, row: int, index: int,
                 readings: dict[str, PackReading] | None) -> None:
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    number = a1(row, 0, fix_col=True)

    def of(key: str) -> str:
        return f"INDEX({lay.outside(key)},{number})"

    ready = f'AND({of("r_name")}<>"",{of("r_g")}>0)'

    def put(key: str, formula: str, style: str, stored: float | str | None = None) -> None:
        value: Value | _Lookup = LOOKUP if stored is None or readings is None else stored
        sheet.formula(row, COL[key], f'=IF({ready},{formula},"")', value, style)

    def read(tag: str) -> PackReading | None:
        return readings.get(tag) if readings else None

    sodium = read("NA")
    sheet.put(row, 0, index + 1, "calc small centre")
    put("name", of("r_name"), "calc bold flow")
    told = f'IF(ISNUMBER({of("r_sa")}),{in_words(of("r_sa"), 2)}&" "&{of("r_su")},"")'
    put("serving", told, "calc small")
    put("g", of("r_g"), "calc n1")
    for key, tag in (("na", "NA"), ("kcal", "ENERC_KCAL")):
        found = read(tag)
        put(key, f'IF(ISNUMBER({of("v_" + tag)}),{of("v_" + tag)},"?")', "calc general", found.serving if found else "?")
    for key, tag in (("na_dv", "NA"), ("sat", "FASAT"), ("sugad", "SUGAD")):
        found = read(tag)
        reference = f"INDEX(nut_dv,{numbers[tag]})"
        put(key, f'IF(AND(ISNUMBER({of("v_" + tag)}),ISNUMBER({reference})),{of("v_" + tag)}/{reference}*100,"")', "calc n1",
            "" if found is None or found.dv_pct is None else found.dv_pct)
    dv = a1(row, COL["na_dv"], fix_col=True)
    for key, low, high in (("kitchen", "set_low_practice", "set_high_practice"), ("regulator", "set_low_regulator", "set_high_regulator")):
        put(key, f'IF(ISNUMBER({dv}),IF(ROUND({dv},9)<={low},"low",IF(ROUND({dv},9)>={high},"high","between")),"")', "calc centre",
            getattr(sodium, key) if sodium else "")
    put("words", f'{of("words")}&""', "calc small flow")
    sheet.formula(row, COL["mend"], f'={of("message")}&""', LOOKUP, "message")
    sheet.heights[row] = 28 if readings else 15


def _put_ranking(sheet: Sheet, kitchen: Kitchen, lay: LabelsLayout, row: int) -> int:
    """Pickers, both rankings, charts; returns the last row."""
    names = [kitchen.nutrient_by_tag[tag].name for tag in lay.tags]
    units = [kitchen.nutrient_by_tag[tag].unit for tag in lay.tags]
    start = FIRST
    for i, (name, unit) in enumerate(zip(names, units, strict=True)):
        sheet.put(start + i, WORK, name, "work")
        sheet.put(start + i, WORK + 1, unit, "work")
    sheet.put(HEAD, WORK, "Nutrients to rank", "workhead")
    sheet.put(HEAD, WORK + 1, "Unit", "workhead")
    listed = block(start, WORK, start + len(names) - 1, WORK)
    unit_list = block(start, WORK + 1, start + len(names) - 1, WORK + 1)
    sheet.widths |= {WORK - 1: 2, WORK: 24, WORK + 1: 7}
    sheet.put(row, 0, "Ranking", "section")
    sheet.band(row, 1, LAST, "section")
    sheet.put(row + 1, 1, "Nutrient", "label")
    sheet.put(row + 2, 1, "Sodium", "input bold")
    sheet.put(row + 3, 1, "choose from the list", "hint")
    sheet.choose_from(row + 2, 1, row + 2, 1, f"={listed}", "Nutrient", "The nutrient to rank the products by.")
    sheet.put(row + 1, 3, "Order", "label")
    sheet.put(row + 2, 3, "lowest first", "input small")
    sheet.band(row + 2, 4, 5, "input small")
    sheet.merges.append((row + 2, 3, row + 2, 5))
    sheet.choose_from(row + 2, 3, row + 2, 3, "=pack_order", "Order", "lowest first or highest first")
    picked, falling = a1(row + 2, WORK + 2, True, True), a1(row + 2, WORK + 3, True, True)
    x, y = (f"INDEX({block(row + 1, c, row + 3, c)},2)" for c in (1, 3))
    sodium = lay.tags.index("NA") + 1
    sheet.put(row + 1, WORK + 2, "Nutrient as read", "workhead")
    sheet.put(row + 1, WORK + 3, "Order as read (2 = highest first)", "workhead")
    fallback = f"MATCH(INDEX(nut_name,{_number(kitchen, 'NA')}),{listed},0)"
    sheet.formula(row + 2, WORK + 2, f"={place(x, listed, fallback)}", float(sodium), "work n0")
    sheet.formula(row + 2, WORK + 3, f"={place(y, 'pack_order', '1')}", 1.0, "work n0")
    head = row + 5
    unit = f"INDEX({unit_list},{picked})"
    titles = []
    for col, basis in ((1, "one serving"), (6, "100 g")):
        sheet.formula(head - 1, col, f'=INDEX({listed},{picked})&", "&{unit}&", {basis}"', LOOKUP, "label")
        titles.append(f"={quoted(sheet.name)}!{a1(head - 1, col, True, True)}")
    for first, last, text in ((0, 0, "Place"), (1, 2, "Product"), (3, 3, "One serving"), (5, 5, "Place"), (6, 8, "Product"), (9, 9, "100 g")):
        sheet.put(head, first, text, "head")
        sheet.band(head, first + 1, last, "head")
        if last > first:
            sheet.merges.append((head, first, head, last))
    sheet.heights[head] = 28
    work = _put_keys(sheet, lay, head, picked, falling)
    for i in range(lay.products):
        at = head + 1 + i
        for (place_col, name_col, name_last, value_col), (rank, value) in zip(((0, 1, 2, 3), (5, 6, 8, 9)), work, strict=True):
            sheet.put(at, place_col, i + 1, "calc small centre")
            found = f"IFERROR(MATCH({a1(at, place_col, fix_col=True)},{rank},0),0)"
            names_of = lay.outside("r_name")
            sheet.formula(at, name_col, f'=IF({found}=0,"",INDEX({names_of},MAX(1,{found})))', LOOKUP, "calc")
            sheet.merges.append((at, name_col, at, name_last))
            sheet.formula(at, value_col, f'=IF({found}=0,"",INDEX({value},MAX(1,{found})))', LOOKUP, "calc n1")
    for (name_col, value_col, at_col), title, words in zip(((1, 3, 11), (6, 9, 11)), titles, ("one serving", "100 g"), strict=True):
        down = 1 if words == "one serving" else 17
        sheet.charts.append((head + down, at_col, _bars(sheet.name, head + 1, name_col, value_col, title),
                             {"x_scale": 1.05, "y_scale": 0.95, "object_position": 2,
                              "description": f"Bars: the chosen nutrient in {words} of the first {CHARTED} products of the ranking beside it"}))
    return head + 1 + max(lay.products, 34)


def _number(kitchen: Kitchen, tag: str) -> int:
    return next(i for i, n in enumerate(kitchen.tables.nutrients, 1) if n.tag == tag)


def _put_keys(sheet: Sheet, lay: LabelsLayout, head: int, picked: str, falling: str) -> list[tuple[str, str]]:
    """Per product: the value per serving and per 100 g, whether it is known, and its place."""
    first, last = head + 1, head + lay.products
    found = []
    numbers = block(first, WORK + 4, last, WORK + 4)
    sheet.put(head, WORK + 4, "Product", "workhead")
    for k, basis in enumerate(("serving", "100 g")):
        cols = {key: WORK + 5 + 4 * k + i for i, key in enumerate(("value", "key", "known", "rank"))}
        for key, col in cols.items():
            sheet.put(head, col, f"{basis}: {key}", "workhead")
            sheet.widths[col] = 10
        keys, known = (block(first, cols[key], last, cols[key]) for key in ("key", "known"))
        for i in range(lay.products):
            at = first + i
            sheet.put(at, WORK + 4, i + 1, "work n0")
            value, key_, here = (a1(at, cols[key], fix_col=True) for key in ("value", "key", "known"))
            no = a1(at, WORK + 4, fix_col=True)
            grams = f"INDEX({lay.outside('r_g')},{no})"
            amounts = f"{quoted('Labels')}!{block(_first(lay), lay.col['v_' + lay.tags[0]], lay.last, lay.col['v_' + lay.tags[-1]])}"
            amount = f"INDEX({amounts},{no},{picked})"
            ready = f'AND(INDEX({lay.outside("r_name")},{no})<>"",{grams}>0,ISNUMBER({amount}))'
            per = amount if basis == "serving" else f"{amount}/{grams}*100"
            sheet.formula(at, cols["value"], f'=IF({ready},{per},"")', LOOKUP, "work n2")
            sheet.formula(at, cols["known"], f"=IF(ISNUMBER({value}),1,0)", LOOKUP, "work n0")
            sheet.formula(at, cols["key"], f"=IF({here}=1,ROUND({value},9)*IF({falling}=2,-1,1),0)", LOOKUP, "work n2")
            sheet.formula(at, cols["rank"], f"=IF({here}=0,0,SUMPRODUCT(({keys}<{key_})*{known})+SUMPRODUCT(({keys}={key_})*{known}"
                                            f"*({numbers}<{no}))+1)", LOOKUP, "work n0")
        found.append((block(first, cols["rank"], last, cols["rank"]), block(first, cols["value"], last, cols["value"])))
    return found


def _first(lay: LabelsLayout) -> int:
    return lay.last - lay.products + 1


def _bars(sheet: str, first: int, name_col: int, value_col: int, title: str) -> Callable[[Any], Any]:
    def make(workbook: Any) -> Any:
        chart = workbook.add_chart({"type": "bar"})
        last = first + CHARTED - 1
        chart.add_series({
            "name": title, "categories": [sheet, first, name_col, last, name_col],
            "values": [sheet, first, value_col, last, value_col],
            "fill": {"color": "#1F4D46"}, "gap": 40, "data_labels": {"value": True},
        })
        chart.set_title({"name": title, "name_font": {"size": 11}})
        chart.set_legend({"none": True})
        chart.set_y_axis({"reverse": True, "num_font": {"size": 9}})
        chart.set_x_axis({"min": 0, "num_font": {"size": 9}, "major_gridlines": {"visible": True, "line": {"color": "#B9C3C0"}}})
        return chart

    return make
