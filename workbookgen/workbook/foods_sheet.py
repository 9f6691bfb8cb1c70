"""Foods: composition per 100 g edible portion, one row per food, with everything a line looks up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.food import Food
from workbookgen.nutrition.claims_measures import food_racc_g
from workbookgen.nutrition.find import search_words
from workbookgen.nutrition.kitchen import Kitchen, is_water
from workbookgen.nutrition.markers import as_told
from workbookgen.nutrition.review import food_number
from workbookgen.nutrition.states import cooks_to
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, column_name
from workbookgen.workbook.frame import put_frame

HEAD = 4
FIRST = 5
NAME_COL = 1


#: Columns that hold 0, not nothing, where a live row says nothing.
ZERO_COLUMNS = ("food_refuse", "food_offer1", "food_offern", "food_mfirst", "food_mcount", "food_pair", "food_iswater",
                "food_mfp", "food_heme")


@dataclass(frozen=True, slots=True)
class Column:
    """One fixed column: heading, width, range name ("" for none), style."""

    head: str
    width: float
    name: str
    style: str


COLUMNS = (
    Column("Row", 6, "food_rank", "fixed small"),
    Column("Food", 38, "food_name", "fixed"),
    Column("Other names", 24, "", "fixed small"),
    Column("Group", 20, "food_group", "fixed small"),
    Column("State", 9, "food_state", "fixed small"),
    Column("On the plate", 14, "food_role", "fixed small"),
    Column("Source number", 9, "food_no", "fixed small"),
    Column("Source description", 56, "", "fixed small"),
    Column("Source", 11, "", "fixed small"),
    Column("How known", 44, "", "fixed small"),
    Column("Refuse, % of purchased weight", 9, "food_refuse", "fixed n0"),
    Column("Refuse is", 18, "", "fixed small"),
    Column("Weight, g per mL", 9, "food_dens", "fixed n3"),
    Column("Treatments from row", 10, "food_offer1", "fixed n0"),
    Column("Treatments, number", 10, "food_offern", "fixed n0"),
    Column("Measures from row", 10, "food_mfirst", "fixed n0"),
    Column("Measures, number", 10, "food_mcount", "fixed n0"),
    Column("Row of cooked food", 10, "food_pair", "fixed n0"),
    Column("Water itself (1 = yes)", 9, "food_iswater", "fixed n0"),
    Column("Meat, fish, poultry (1 = yes)", 9, "food_mfp", "fixed n0"),
    Column("Heme iron (1 = yes)", 9, "food_heme", "fixed n0"),
    Column("Allergens (+ contains, ? unknown)", 24, "food_alg", "fixed small"),
    Column("Made from", 12, "food_diet", "fixed small"),
    Column("Salt ingredient", 9, "food_salt", "fixed small"),
    Column("Sugar ingredient", 9, "food_sweet", "fixed small"),
    Column("Cautions", 16, "food_caution", "fixed small"),
    Column("Colour", 12, "food_colour", "fixed small"),
    Column("Aisle", 16, "food_aisle", "fixed small"),
    Column("g per cup-equivalent", 9, "food_cupeq", "fixed n1"),
    Column("g per ounce-equivalent", 9, "food_ozeq", "fixed n1"),
    Column("Whole grain, %", 9, "food_whole", "fixed n0"),
    Column("Protein digestibility, %", 9, "food_digest", "fixed n0"),
    Column("Protein per g of nitrogen", 9, "food_nfactor", "fixed n2"),
    Column("Reference amount as eaten, g", 9, "food_racc", "fixed n1"),
    Column("Id", 9, "food_id", "fixed small"),
    Column("Search words", 30, "food_find", "fixed small"),
    Column("Number for the sign-off", 9, "food_sign", "fixed n0"),
    Column("Cooked g per g, usual", 9, "food_cooked", "fixed n2"),
    Column("Usual treatment", 20, "food_cookas", "fixed small"),
    Column("Drained g per g of the can", 9, "food_drain", "fixed n2"),
    Column("Drained food", 30, "food_drained", "fixed small"),
)


Live = tuple[str, Value | _Lookup]


@dataclass(frozen=True, slots=True)
class ExtraFood:
    """A food row that follows inputs elsewhere in the book: a packaged product, an own food, a dish.

    ``cells`` maps a column's range name or heading, ``nutrients`` a tag, to (formula, stored value); what is
    absent stays empty. ``measures`` are (unit, grams) formulas of units of its own. A dish brings ``known``, the
    share (0 to 1) of its weight whose value is known, by tag; dishes stand last, in the order they may be used.
    """

    cells: Mapping[str, Live]
    nutrients: Mapping[str, Live]
    measures: Sequence[tuple[Live, Live]] = ()
    known: Mapping[str, Live] | None = None


@dataclass(frozen=True, slots=True)
class FoodsLayout:
    """Where the food rows lie (zero-based, last included): fixed rows first, then the live ones."""

    sheet: Sheet
    first: int
    last_fixed: int
    last: int
    nutrient_col: int


def put_foods(book: Book, kitchen: Kitchen, offer_rows: dict[tuple[str, str], tuple[int, int]],
              extras: Sequence[ExtraFood] = ()) -> FoodsLayout:
    """Lay out the sheet; ``offer_rows`` gives first row and number of treatments per (keep group, state).
    Rows of ``extras`` follow the fixed rows and take part in every look-up."""
    sheet = book.add("Foods")
    nutrients = kitchen.tables.nutrients
    width = len(COLUMNS) + len(nutrients)
    put_frame(sheet, "Foods", "Composition per 100 g edible portion. An empty cell is unknown, 0 is a known zero. "
              "Sorted by name; filter by group or state.", 9)
    foods = [as_told(food, kitchen.safety) for food in kitchen.fixed_foods]
    last_fixed = FIRST + len(foods) - 1
    last = last_fixed + len(extras)
    for col, column in enumerate(COLUMNS):
        sheet.put(HEAD, col, column.head, "head")
        sheet.widths[col] = column.width
        if column.name:
            book.name_range(column.name, sheet, FIRST, col, last, col)
    for offset, nutrient in enumerate(nutrients):
        col = len(COLUMNS) + offset
        sheet.put(HEAD - 1, col, nutrient.tag, "workhead")
        sheet.put(HEAD, col, f"{nutrient.name}, {nutrient.unit}", "head")
        sheet.widths[col] = 11
        book.name_range("food_" + column_name(nutrient.tag), sheet, FIRST, col, last, col)
    sheet.heights[HEAD] = 54
    row_of = {f.id: i for i, f in enumerate(foods, 1)}
    first_measure = 1
    for i, food in enumerate(foods):
        measures = len(kitchen.measures_by_food.get(food.id, ()))
        offers = offer_rows[food.keep_group, food.state]
        _put_food(sheet, FIRST + i, food, row_of, offers, (first_measure if measures else 0, measures), food_racc_g(kitchen, food),
                  _states(kitchen, food))
        first_measure += measures
        for offset, nutrient in enumerate(nutrients):
            value = food.values.get(nutrient.tag)
            col = len(COLUMNS) + offset
            sheet.put(FIRST + i, col, "" if value is None else value, "fixed general small")
    for i, extra in enumerate(extras):
        _put_extra(sheet, last_fixed + 1 + i, extra, [n.tag for n in nutrients], first_measure)
        first_measure += len(extra.measures)
    _put_known(book, sheet, kitchen, extras, last)
    sheet.freeze = (FIRST, NAME_COL + 1)
    sheet.filters = (HEAD, 0, last, width - 1)
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.landscape = True
    sheet.print_area = (0, 0, last, 9)
    sheet.first_input = (FIRST, NAME_COL)
    return FoodsLayout(sheet, FIRST, last_fixed, last, len(COLUMNS))


def _put_known(book: Book, sheet: Sheet, kitchen: Kitchen, extras: Sequence[ExtraFood], last: int) -> None:
    """For dishes: the share of their weight whose value is known, right of the nutrients."""
    dishes = [e for e in extras if e.known is not None]
    if not dishes:
        return
    first = last - len(dishes) + 1
    book.name_range("dish_rank", sheet, first, 0, last, 0)
    start = len(COLUMNS) + len(kitchen.tables.nutrients)
    for offset, nutrient in enumerate(kitchen.tables.nutrients):
        col = start + offset
        sheet.put(HEAD, col, f"{nutrient.name}: share known (dishes of this book)", "head")
        sheet.widths[col] = 10
        for i, dish in enumerate(dishes):
            live = (dish.known or {})[nutrient.tag]
            sheet.formula(first + i, col, live[0], live[1], "calc share small")
        book.name_range("dish_known_" + column_name(nutrient.tag), sheet, first, col, last, col)


def _states(kitchen: Kitchen, food: Food) -> tuple[float | str | None, ...]:
    """Number for the sign-off, usual yield with its treatment, share left of a can with the drained food."""
    usual = cooks_to(kitchen, food)
    drained = kitchen.drained.get(food.source_number)
    row = "" if drained is None else next((f.name for f in kitchen.fixed_foods if f.source_number == drained.number), "")
    return (food_number(food, kitchen.constants), *(usual or (None, "")), drained.share if drained else None, row)


def _put_extra(sheet: Sheet, row: int, extra: ExtraFood, tags: Sequence[str], first_measure: int) -> None:
    own = {"food_rank": row - FIRST + 1, "food_mfirst": first_measure if extra.measures else 0}
    at = {column.name: a1(row, col, fix_col=True) for col, column in enumerate(COLUMNS)}
    name, marks = at["food_name"], at["food_alg"]
    follow = {"food_find": f'=IF({name}="",""," "&LOWER({name}))',
              "food_sign": f'=IF({name}="",0,const_check_live+LEN({marks})*const_words_letters+LEN({name}))'}
    for col, column in enumerate(COLUMNS):
        live = extra.cells.get(column.name or column.head)
        style = column.style.replace("fixed", "calc")
        if column.name in own:
            sheet.put(row, col, own[column.name], style)
        elif live is not None:
            sheet.formula(row, col, live[0], live[1], style)
        elif column.name in follow:
            sheet.formula(row, col, follow[column.name], LOOKUP, style)
        else:
            sheet.put(row, col, 0 if column.name in ZERO_COLUMNS else "", style)
    for offset, tag in enumerate(tags):
        live = extra.nutrients.get(tag)
        if live is None:
            sheet.put(row, len(COLUMNS) + offset, "", "calc general small")
        else:
            sheet.formula(row, len(COLUMNS) + offset, live[0], live[1], "calc general small")


def _put_food(sheet: Sheet, row: int, food: Food, row_of: dict[str, int], offers: tuple[int, int],
              measures: tuple[int, int], racc_g: float | None, more: Sequence[float | str | None]) -> None:
    cells: tuple[float | int | str | None, ...] = (
        row - FIRST + 1, food.name, food.synonyms, food.group, food.state, food.role, food.source_number,
        food.source_description, food.source_id, food.provenance, food.refuse_pct, food.refuse_what, food.g_per_ml,
        offers[0], offers[1], measures[0], measures[1], row_of.get(food.counterpart_id, 0), int(is_water(food)),
        int(food.mfp), int(food.heme), food.allergens, food.diet, food.salt_ingredient, food.sugar_ingredient,
        food.cautions, food.colour, food.aisle, food.cup_eq_g, food.oz_eq_g, food.whole_grain_pct,
        food.digestibility, food.nitrogen_factor or None, racc_g, food.id, search_words(food.name, food.synonyms),
        *more,
    )
    for col, (value, column) in enumerate(zip(cells, COLUMNS, strict=True)):
        sheet.put(row, col, "" if value is None else value, column.style)


def put_measures(book: Book, kitchen: Kitchen, extras: Sequence[ExtraFood] = ()) -> Sheet:
    """Measures: food x unit -> grams, in the order of Foods."""
    sheet = book.add("Measures")
    put_frame(sheet, "Measures", "Grams of one household unit of each food, edible portion. Cups, spoons and other "
              "volumes not listed here come from the food's weight per mL (sheet Foods) and the units on Tables.", 5)
    heads = (("Food", 38), ("Unit", 30), ("Grams", 10), ("Number", 8), ("Source", 16), ("Note", 52))
    for col, (head, width) in enumerate(heads):
        sheet.put(HEAD, col, head, "head")
        sheet.widths[col] = width
    row = FIRST
    for food in kitchen.fixed_foods:
        for measure in kitchen.measures_by_food.get(food.id, ()):
            sheet.put(row, 0, food.name, "fixed")
            sheet.put(row, 1, measure.unit, "fixed")
            sheet.put(row, 2, measure.grams, "fixed n2")
            sheet.put(row, 3, measure.number, "fixed n0")
            sheet.put(row, 4, measure.source_id, "fixed small")
            sheet.put(row, 5, measure.note, "fixed small")
            row += 1
    for extra in extras:
        for number, (unit, grams) in enumerate(extra.measures, 1):
            name = extra.cells["food_name"]
            sheet.formula(row, 0, name[0], name[1], "calc")
            sheet.formula(row, 1, unit[0], unit[1], "calc")
            sheet.formula(row, 2, grams[0], grams[1], "calc n2")
            sheet.put(row, 3, number, "calc n0")
            sheet.band(row, 4, 5, "calc small")
            row += 1
    last = max(row - 1, FIRST)
    book.name_range("meas_unit", sheet, FIRST, 1, last, 1)
    book.name_range("meas_g", sheet, FIRST, 2, last, 2)
    sheet.freeze = (FIRST, 1)
    sheet.filters = (HEAD, 0, last, 5)
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return sheet
