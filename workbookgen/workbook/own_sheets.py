"""Own foods and own measures: unlocked rows, judged as typed, used everywhere at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from workbookgen.model.food import Food
from workbookgen.model.programme import MOST_PER_100G, OwnMeasure
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.markers import NOTHING
from workbookgen.nutrition.pack import ALLERGENS
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, a1, block, quoted
from workbookgen.workbook.foods_sheet import COLUMNS, ExtraFood, Live
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.typed import NONE, allergen_marks, caution_text, unknown_words, word_list
from workbookgen.workbook.words import key_text, tidy

HEAD = 5
LIMIT = 4
FIRST = 6
FOODS = 20
MEASURES = 40
DERIVED = ("FOL", "FOLDFE", "NIAEQ")
#: key, heading, width, list offered ("" for free text)
TEXT_COLUMNS = (
    ("name", "Food", 34, ""), ("message", "What to mend", 34, ""), ("group", "Group", 20, "list_group"),
    ("state", "State", 10, "list_state"), ("role", "On the plate", 16, "list_role"),
    ("keep", "Cooks like", 16, "list_keep"), ("refuse", "Refuse, % of purchased weight", 10, ""),
    ("dens", "Weight, g per mL", 9, ""), ("contains", "Contains these allergens (words with commas)", 28, ""),
    ("checked", "All other allergens checked: not in it", 12, "list_yes"),
    ("cautions", "Cautions (words below the table, with commas; none)", 26, ""), ("diet", "Made from (words with commas)", 20, ""),
    ("salt", "Salt ingredient", 10, "list_known"), ("sweet", "Sugar ingredient", 10, "list_known"),
    ("source", "Where the figures come from", 30, ""),
)


def message_columns() -> dict[str, str]:
    """Where both sheets say what to mend, by tab."""
    own_food = next(i for i, (key, *_) in enumerate(TEXT_COLUMNS) if key == "message")
    return {"Own foods": f"'Own foods'!{block(FIRST, own_food, FIRST + FOODS - 1, own_food)}",
            "Own measures": f"'Own measures'!{block(FIRST, 3, FIRST + MEASURES - 1, 3)}"}


def nutrient_tags(kitchen: Kitchen) -> list[str]:
    """Tags a person types; equivalents are worked out from them."""
    return [n.tag for n in kitchen.tables.nutrients if n.tag not in DERIVED]


def put_own_foods(book: Book, kitchen: Kitchen, foods: Sequence[Food], fixed_names: str, foods_row: int) -> list[ExtraFood]:
    """Lay out the sheet "Own foods"; returns the live rows for Foods. ``fixed_names`` is the address of the
    food names before them, so that a taken name is noticed, ``foods_row`` their first row on Foods (from 0)."""
    sheet = book.add("Own foods")
    put_frame(sheet, "Own foods", "Type a food that the table lacks, per 100 g edible portion: from a national table, an analysis, "
              "a supplier. An empty cell is unknown; write 0 only for a known zero. It can be chosen in every recipe at once.", 8)
    tags = nutrient_tags(kitchen)
    col = {key: i for i, (key, _, _, _) in enumerate(TEXT_COLUMNS)}
    col |= {tag: len(TEXT_COLUMNS) + i for i, tag in enumerate(tags)}
    by_tag = kitchen.nutrient_by_tag
    for key, head, width, _ in TEXT_COLUMNS:
        sheet.put(HEAD, col[key], head, "head")
        sheet.widths[col[key]] = width
    sheet.put(LIMIT, col["source"], "at most per 100 g", "label right")
    for tag in tags:
        sheet.put(HEAD, col[tag], f"{by_tag[tag].name}, {by_tag[tag].unit}", "head")
        sheet.put(LIMIT, col[tag], MOST_PER_100G[by_tag[tag].unit], "fixed n0 small")
        sheet.widths[col[tag]] = 11
    for i, head in enumerate(("Allergens as read", "Allergen words not known", "Allergen marks", "Cautions as read", "Caution words not known", "Caution marks"), len(col) + 1):
        sheet.put(HEAD, i, head, "workhead")
        sheet.widths[i] = 24
    sheet.heights[HEAD] = 54
    end = FIRST + FOODS
    for c in range(len(col)):
        sheet.put(end, c, "", "edge")
    sheet.put(end, 0, "end of the own foods", "edge")
    sheet.put(end + 2, 0, "Caution words", "label")
    sheet.put(end + 3, 0, ", ".join(mark.replace("_", " ") for mark in kitchen.safety.line_marks), "flow")
    sheet.merges.append((end + 3, 0, end + 3, col["source"]))
    sheet.heights[end + 3] = 30
    rows = [_put_own_food(sheet, kitchen, col, FIRST + i, i, end, foods[i] if i < len(foods) else None, fixed_names, foods_row + i)
            for i in range(FOODS)]
    for key, head, _, offered in TEXT_COLUMNS:
        if offered:
            sheet.choose_from(FIRST, col[key], end - 1, col[key], f"={offered}", head[:32], "Choose from the list.")
    sheet.freeze = (FIRST, 1)
    sheet.landscape = True
    sheet.print_area = (0, 0, end + 3, col["source"])
    sheet.first_input = (FIRST, 0)
    return rows


def _put_own_food(sheet: Sheet, kitchen: Kitchen, col: Mapping[str, int], row: int, index: int, end: int, food: Food | None,
                  fixed_names: str, foods_row: int) -> ExtraFood:
    inputs: dict[str, Value] = {}
    if food is not None:
        inputs = {
            "name": food.name, "group": food.group, "state": food.state, "role": food.role, "keep": food.keep_group,
            "refuse": food.refuse_pct, "dens": food.g_per_ml or "", "contains": contains_words(food.allergens),
            "checked": "no" if "?*;" in food.allergens else "yes",
            "cautions": NONE if food.cautions == NOTHING else food.cautions.replace(";", ", ").replace("_", " "), "diet": food.diet.replace(";", ", "),
            "salt": food.salt_ingredient, "sweet": food.sugar_ingredient, "source": food.source_description,
        }
    for key, c in col.items():
        if key == "message":
            continue
        value = inputs.get(key, "") if key in ("source", *inputs) or food is None else food.values.get(key, "")
        text = key in dict((k, 1) for k, *_ in TEXT_COLUMNS) and key not in ("refuse", "dens")
        sheet.put(row, c, value, "input small" if text else "input general small")
    guarded = {key: f"{quoted(sheet.name)}!{block(HEAD, c, end, c)}" for key, c in col.items()}

    def x(key: str) -> str:
        return f"INDEX({guarded[key]},{index + 2})"

    name = f'IF(ISTEXT({x("name")}),IF(LEN({x("name")})>const_words_letters,"",{key_text(x("name"))}),"")'
    taken = f"ISNUMBER(MATCH({name},{fixed_names},0))"
    above = f"{quoted(sheet.name)}!{block(HEAD, col['name'], row - 1, col['name'])}"
    twice = f"ISNUMBER(MATCH({name},{above},0))"  # COUNTIF would take a name like "<b" for a condition
    usable = f'IF({name}="","",IF(OR({taken},{twice}),"",{name}))'
    tags = nutrient_tags(kitchen)
    first, last = col[tags[0]], col[tags[-1]]
    typed = block(row, first, row, last)
    read = f"'Foods'!{block(foods_row, len(COLUMNS), foods_row, len(COLUMNS) + len(kitchen.tables.nutrients) - 1)}"
    # counted against what Foods read, since a cell may hold anything, an error value too
    faults = f"COLUMNS({typed})-COUNTBLANK({typed})-COUNT({read})"
    first_work = len(col) + 1
    here = f"{quoted(sheet.name)}!"
    listed, odd, marks, told, unsure, asks = (here + a1(row, first_work + i, True, True) for i in range(6))
    known = kitchen.safety.line_marks
    working = (word_list(x("contains")), unknown_words(listed, ALLERGENS), allergen_marks(listed, x("checked")),
               word_list(x("cautions")), unknown_words(told, (NONE, *known)), caution_text(told, known))
    for i, formula in enumerate(working):
        sheet.formula(row, first_work + i, f"={formula}", LOOKUP, "work")
    message = (
        f'=IF({name}="",IF(ISBLANK({x("name")}),"","type a name of at most "&const_words_letters&" letters"),IF({taken},"the food table has this name: choose another",'
        f'IF({twice},"this name stands above: choose another",IF({faults}>0,"a figure is below 0, above its limit or not a number: it counts as unknown",'
        f'IF(ISBLANK({x("role")}),"say what it is on the plate",IF(AND(ISBLANK({x("contains")}),ISBLANK({x("checked")})),'
        f'"allergens: say what it contains, or yes when checked",IF({odd}>0,"an allergen word is not of the list: all '
        f'others count as unknown",IF(ISBLANK({x("cautions")}),"cautions: type the words that fit, or none",IF({unsure}>0,'
        f'"a caution word is not of the list: cautions count as not looked at","")))))))))'
    )
    sheet.formula(row, col["message"], message, LOOKUP, "message")

    def number(key: str, low: str, high: str, other: str) -> str:
        return f"IF(ISLOGICAL({x(key)}),{other},IF(ISNUMBER({x(key)}),IF(AND({x(key)}>={low},{x(key)}<={high}),{x(key)},{other}),{other}))"

    def word(key: str, names: str, other: str) -> str:
        return f'IF(ISTEXT({x(key)}),IF(LEN({x(key)})>100,"{other}",IFERROR(INDEX({names},MATCH({key_text(x(key))},{names},0)),"{other}")),"{other}")'

    offer = f'IFERROR(MATCH({word("keep", "list_keep", "none")}&"|"&{word("state", "list_state", "ready")},offer_key,0),MATCH("none|ready",offer_key,0))'
    diet = f'IF(ISTEXT({x("diet")}),LOWER(LEFT({tidy(x("diet"))},100)),"")'
    flesh = "+".join(f'ISNUMBER(FIND("{w}",{diet}))*1' for w in ("meat", "poultry", "fish", "pork"))
    cells: dict[str, Live] = {
        "food_name": (f"={usable}", LOOKUP), "food_group": (f'={word("group", "list_group", "")}', LOOKUP),
        "food_state": (f'={word("state", "list_state", "ready")}', LOOKUP), "food_role": (f'={word("role", "list_role", "seasoning")}', LOOKUP),
        "food_no": (f'="own {index + 1}"', f"own {index + 1}"), "How known": (f'=IF(ISTEXT({x("source")}),LEFT({x("source")},const_words_letters*2),"")', LOOKUP),
        "food_refuse": (f'={number("refuse", "0", "const_refuse_max", "0")}', LOOKUP), "food_dens": (f'={number("dens", "const_density_min", "const_density_max", chr(34) * 2)}', LOOKUP),
        "food_offer1": (f"={offer}", LOOKUP), "food_offern": (f"=COUNTIF(offer_key,INDEX(offer_key,{offer}))", LOOKUP),
        "food_mfp": (f"=IF({flesh}>0,1,0)", LOOKUP), "food_heme": (f"=IF({flesh}>0,1,0)", LOOKUP),
        "food_alg": (f"={marks}", LOOKUP), "food_caution": (f"={asks}", LOOKUP), "food_diet": (f'=IF({diet}="","?",SUBSTITUTE({diet},", ",";"))', LOOKUP),
        "food_salt": (f'={word("salt", "list_known", "unknown")}', LOOKUP), "food_sweet": (f'={word("sweet", "list_known", "unknown")}', LOOKUP),
    }
    nutrients: dict[str, Live] = {}
    for tag in tags:
        limit = f"{quoted(sheet.name)}!{a1(LIMIT, col[tag], True, True)}"
        nutrients[tag] = (f'={number(tag, "0", limit, chr(34) * 2)}', LOOKUP)
    return ExtraFood(cells, nutrients)


def contains_words(markers: str) -> str:
    """``+milk;+tree_nut(walnut);?*;`` as words with commas."""
    found = [m[1:].split("(")[0] for m in markers.split(";") if m.startswith("+")]
    return ", ".join(dict.fromkeys(m.replace("_", "") for m in found))


def put_own_measures(book: Book, measures: Sequence[OwnMeasure]) -> None:
    """Lay out "Own measures" and name what the unit lists read."""
    sheet = book.add("Own measures")
    put_frame(sheet, "Own measures", "Weigh your own ladle, mug or bunch: type food, unit and grams of one. The unit joins the list of "
              "that food in every recipe (four for one food).", 4)
    heads = (("Food", 38), ("Unit", 28), ("Grams of one, edible", 12), ("What to mend", 40))
    for c, (head, width) in enumerate(heads):
        sheet.put(HEAD, c, head, "head")
        sheet.widths[c] = width
    for c, (head, width) in enumerate((("Food as read", 30), ("Unit as read", 22), ("Grams as read", 10), ("Running number", 30)), 5):
        sheet.put(HEAD, c, head, "workhead")
        sheet.widths[c] = width
    sheet.heights[HEAD] = 30
    end = FIRST + MEASURES
    for c in range(4):
        sheet.put(end, c, "end of the own measures" if c == 0 else "", "edge")
    for i in range(MEASURES):
        row = FIRST + i
        measure = measures[i] if i < len(measures) else None
        typed: tuple[Value, ...] = (measure.food, measure.unit, measure.grams) if measure else ("", "", "")
        for c, value in enumerate(typed):
            sheet.put(row, c, value, "input small" if c < 2 else "input general")
        x = [f"INDEX({block(HEAD, c, end, c)},{i + 2})" for c in range(3)]
        food, unit, grams = (a1(row, c, fix_col=True) for c in (5, 6, 7))
        for c in range(2):
            sheet.formula(row, 5 + c, f'=IF(ISTEXT({x[c]}),IF(LEN({x[c]})>100,"",{key_text(x[c])}),"")', LOOKUP, "work")
        sheet.formula(row, 7, f"=IF(ISLOGICAL({x[2]}),0,IF(ISNUMBER({x[2]}),IF(AND({x[2]}>0,{x[2]}<=const_weight_max),{x[2]},0),0))", LOOKUP, "work n2")
        good = f'AND({food}<>"",{unit}<>"",{grams}>0)'
        above = f"$J${FIRST + 1}:$J{row + 1}"
        sheet.formula(row, 9, f'=IF({good},{food},"")', LOOKUP, "work")
        sheet.formula(row, 8, f'=IF({a1(row, 9, fix_col=True)}="","",{food}&"|"&COUNTIF({above},{food}))', LOOKUP, "work")
        sheet.formula(row, 3, f'=IF(AND({food}="",{unit}="",ISBLANK({x[2]})),"",IF({food}="","choose a food",IF(ISNUMBER(MATCH({food},food_name,0))=FALSE,'
                              f'"food not in the list",IF({unit}="","name the unit",IF({grams}=0,"type grams above 0","")))))', LOOKUP, "message")
    sheet.put(HEAD, 9, "Counted for", "workhead")
    for name, c in (("own_unit", 6), ("own_g", 7), ("own_no", 8), ("own_food", 9)):
        book.name_range(name, sheet, FIRST, c, end - 1, c)
    sheet.choose_from(FIRST, 0, end - 1, 0, "=food_name", "Food", "Choose from the list.")
    sheet.print_area = (0, 0, end, 3)
    sheet.freeze = (FIRST, 0)
    sheet.first_input = (FIRST, 0)


