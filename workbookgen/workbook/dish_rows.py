"""Dishes of the book as food rows: live results of a recipe sheet, usable as an ingredient of later ones."""

from __future__ import annotations

import re

from workbookgen.nutrition.dish import DISH_GROUP, SERVING
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block, quoted
from workbookgen.workbook.foods_sheet import ExtraFood, Live
from workbookgen.workbook.handout_layout import ALLERGENS
from workbookgen.workbook.recipe_layout import INPUT_ROW
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet

_GROWS = re.compile(r'"(?:[^"]|"")*"|\b(?:food|meas|dish)_[A-Za-z0-9_]+\b')


def dish_row(dish: RecipeSheet) -> ExtraFood:
    """The live food row of one dish: values per 100 g as served and the share of them that is known."""
    lay, sheet = dish.lay, dish.sheet

    def ref(key: str, row: int) -> str:
        return sheet.ref(row, lay.col[key])

    def fixed(address: str) -> str:
        return f"{quoted(sheet.name)}!{address}"

    title, cup = ref("r_food", INPUT_ROW), ref("r_water", INPUT_ROW)
    weight, servings = fixed(weight_cell(lay)), fixed(servings_cell(lay))
    cup_ml = 'INDEX(unit_factor,MATCH("cup",unit_name,0))'
    cells: dict[str, Live] = {
        "food_name": (f'=IF(OR({weight}=0,LEN({title})>100),"",{title})', LOOKUP),
        "food_group": (f'="{DISH_GROUP}"', DISH_GROUP), "food_state": ('="ready"', "ready"),
        "food_role": (f"={ref('r_role', INPUT_ROW)}", LOOKUP),
        "food_no": (f'="{sheet.name}"', sheet.name), "Source description": ('="recipe of this book"', "recipe of this book"),
        "food_dens": (f'=IF({cup}>0,{cup}/{cup_ml},"")', LOOKUP),
        "food_offer1": ('=MATCH("none|ready",offer_key,0)', LOOKUP), "food_offern": ('=COUNTIF(offer_key,"none|ready")', LOOKUP),
        "food_mcount": (f"=IF({servings}>0,1,0)", LOOKUP),
        "food_salt": (_holds(dish, "salt"), LOOKUP), "food_sweet": (_holds(dish, "sugar"), LOOKUP),
    }
    if ALLERGENS in lay.section:  # what the dish says of itself when it is an ingredient
        said = lay.section[ALLERGENS]
        cells |= {"food_alg": (f"={ref('r_food', said)}", LOOKUP), "food_diet": (f"={ref('r_amount', said)}", LOOKUP),
                  "food_caution": (f"={ref('r_unit', said)}", LOOKUP)}
    rows = lay.result_rows()
    nutrients: dict[str, Live] = {tag: (f"={ref('water', row)}", LOOKUP) for tag, row in rows.items()}
    known: dict[str, Live] = {tag: (f"={ref('dish', row)}", LOOKUP) for tag, row in rows.items()}
    serving: Live = (f"=IF({servings}>0,{weight}/{servings},0)", LOOKUP)
    return ExtraFood(cells, nutrients, (((f'="{SERVING}"', SERVING), serving),), known)


def _holds(dish: RecipeSheet, flag: str) -> str:
    """Formula: whether the dish holds added salt or sugar; "no" only when every line is understood and none does."""
    lay = dish.lay
    if f"fl_{flag}" not in lay.col:
        return '="unknown"'
    first, last = lay.column(f"fl_{flag}").split(":")
    lines = f"{quoted(dish.sheet.name)}!{first}:{last}"
    bad = dish.sheet.ref(lay.total, lay.col["bad"])
    return (f'=IF(COUNTIF({lines},"yes")>0,"yes",IF(OR(COUNTIF({lines},"unknown")>0,{bad}>0,COUNTIF({lines},"no")=0),"unknown","no"))')


def keep_to_earlier(book: Book, sheet: Sheet, number: int, dishes: int) -> None:
    """Let dish ``number`` (1-based) see only the foods and dishes before it, so that no circle can arise:
    names that grow with the dishes become fixed addresses that end before its own row."""
    spelled: dict[str, str] = {}
    for name, (where, first_row, first_col, last_row, last_col) in book.names.items():
        if name.startswith(("food_", "meas_")):
            last_row -= dishes - number + 1
        elif name.startswith("dish_"):
            last_row = first_row + max(number - 2, 0)
        else:
            continue
        spelled[name.lower()] = f"{quoted(where)}!{block(first_row, first_col, last_row, last_col)}"
    for cell in sheet.cells.values():
        if cell.formula:
            cell.formula = _GROWS.sub(lambda m: spelled.get(m.group(0).lower(), m.group(0)), cell.formula)
    for _, _, _, _, options in sheet.validations:
        source = options.get("source")
        if isinstance(source, str):
            options["source"] = _GROWS.sub(lambda m: spelled.get(m.group(0).lower(), m.group(0)), source)

