"""Labels: packaged products typed from their label, one row each, at once foods of every recipe."""

from __future__ import annotations

from workbookgen.model.pack import Pack
from workbookgen.model.programme import MOST_PER_100G
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import daily_values
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, a1, block, quoted
from workbookgen.workbook.foods_sheet import ExtraFood, Live
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.labels_layout import (
    FIRST,
    GROUP,
    HEAD,
    LIMIT,
    SHEET,
    WORDS,
    LabelsLayout,
    labels_layout,
)
from workbookgen.workbook.labels_words import put_word_heads, put_words
from workbookgen.workbook.labels_working import put_working, put_working_heads
from workbookgen.workbook.own_sheets import contains_words
from workbookgen.workbook.typed import phrase, word

SOURCE = "from the label of the pack"


def put_labels(book: Book, kitchen: Kitchen, fixed_names: str) -> tuple[LabelsLayout, list[ExtraFood]]:
    """Lay out the sheet; returns its layout and the live rows for Foods. ``fixed_names`` is the address of the
    fixed food names, so that a taken name is noticed."""
    lay = labels_layout(kitchen)
    sheet = book.add(SHEET)
    put_frame(
        sheet,
        SHEET,
        "Type a packaged product as its label tells it, one row each: it can be chosen in every recipe at once. "
        "An empty figure is unknown; type 0 only where the label says 0, and <1 where it says less than 1.",
        8,
    )
    sheet.widths = dict(lay.widths)
    _put_heads(sheet, lay, kitchen)
    put_working_heads(sheet, lay, kitchen)
    put_word_heads(sheet, lay, kitchen)
    rows = []
    for i in range(lay.products):
        pack = kitchen.packs[i] if i < len(kitchen.packs) else None
        row = FIRST + i
        _put_inputs(sheet, lay, kitchen, row, i, pack)
        put_working(sheet, lay, kitchen, row, i, pack, fixed_names)
        put_words(sheet, lay, kitchen, row, i, pack)
        _put_message(sheet, lay, row, i)
        rows.append(_food_row(sheet, lay, row, i))
    _put_choices(sheet, lay)
    sheet.freeze = (FIRST, 2)
    sheet.landscape = True
    sheet.print_area = (0, 0, lay.edge, lay.front_last)
    sheet.print_scale = 60
    sheet.column_breaks = [
        lay.col["compare"],
        lay.col["diet"],
        lay.col["i_CHOCDF"],
        lay.col["i_FAMS"],
        lay.col["i_RIBF"],
    ]
    sheet.repeat_rows = (GROUP, HEAD)
    sheet.first_input = (FIRST, lay.col["name"])
    return lay, rows


def _put_heads(sheet: Sheet, lay: LabelsLayout, kitchen: Kitchen) -> None:
    by_tag, values = kitchen.nutrient_by_tag, daily_values(kitchen.tables)
    most = kitchen.constants["pack_serving_max"] / 100
    for key, head, _, _, group in WORDS:
        sheet.put(HEAD, lay.col[key], head, "head")
        if group:
            sheet.put(GROUP, lay.col[key], group, "label")
    sheet.put(
        GROUP,
        lay.col["i_" + lay.tags[0]],
        "Declared for one serving, and the printed per cent Daily Value",
        "label",
    )
    sheet.put(LIMIT, lay.words_last, "most accepted / 100 % is", "label right")
    for tag in lay.tags:
        nutrient = by_tag[tag]
        sheet.put(HEAD, lay.col["i_" + tag], f"{nutrient.name}, {nutrient.unit}", "head")
        sheet.put(LIMIT, lay.col["i_" + tag], MOST_PER_100G[nutrient.unit] * most, "fixed n0 small")
        if tag in lay.percents:
            sheet.put(HEAD, lay.col["ip_" + tag], "% DV", "head")
            sheet.put(LIMIT, lay.col["ip_" + tag], values[tag], "fixed general small")
    for col in range(lay.front_last + 1):
        sheet.put(lay.edge, col, "", "edge")
    sheet.put(lay.edge, lay.col["name"], "end of the products", "edge")
    sheet.heights[HEAD] = 54


def _inputs(lay: LabelsLayout, kitchen: Kitchen, pack: Pack) -> dict[str, Value]:
    by_id = {w.id: w.words for w in kitchen.pack_rules.words}
    categories = {r.id: r.category for r in kitchen.tables.claims.raccs}
    known: dict[str, Value] = {
        "name": pack.name,
        "s_amount": "" if pack.serving_amount is None else pack.serving_amount,
        "s_unit": pack.serving_unit,
        "s_g": pack.serving_g,
        "compare": pack.compare,
        "kind": pack.kind,
        "reference": categories.get(pack.reference, ""),
        "salt": pack.salt,
        "sugar": pack.sugar,
        "fat": pack.fat,
        "contains": contains_words("".join(f"+{a};" for a in pack.contains)),
        "checked": "yes" if pack.checked else "no",
        "diet": pack.diet.replace(";", ", "),
        "group": pack.group,
        "state": pack.state,
        "role": pack.role,
        "keep": pack.keep_group,
    }
    known |= {f"w{i}": by_id[word_id] for i, word_id in enumerate(pack.words, 1)}
    known |= {"i_" + tag: value for tag, value in pack.amounts.items()}
    return known | {"ip_" + tag: value for tag, value in pack.percents.items() if tag in lay.percents}


def _put_inputs(
    sheet: Sheet, lay: LabelsLayout, kitchen: Kitchen, row: int, index: int, pack: Pack | None
) -> None:
    values = _inputs(lay, kitchen, pack) if pack else {}
    sheet.put(row, lay.col["no"], index + 1, "calc small centre")
    for key in (*(k for k, *_ in WORDS[1:]), *(k for k in lay.col if k.startswith(("i_", "ip_")))):
        if key != "message":
            number = key in ("s_amount", "s_g") or key.startswith(("i_", "ip_"))
            style = (
                "input amount" if key == "s_amount" else "input general small" if number else "input small"
            )
            sheet.put(row, lay.col[key], values.get(key, ""), style)


def _put_choices(sheet: Sheet, lay: LabelsLayout) -> None:
    first, last = FIRST, lay.last
    for key, head, _, offered, _ in WORDS:
        if offered:
            sheet.choose_from(
                first,
                lay.col[key],
                last,
                lay.col[key],
                f"={offered}",
                head[:32],
                HELP.get(key, "Choose from the list."),
            )
        elif key in HELP:
            sheet.explain(first, lay.col[key], last, lay.col[key], head[:32], HELP[key])
    col = lay.col["i_" + lay.tags[0]]
    sheet.explain(
        first,
        col,
        last,
        lay.front_last,
        "As the label declares it",
        "For one serving. Leave it empty when the label does not tell; type <1 for less than 1.",
    )


HELP = {
    "name": "A short name of your own. It joins the food list of every recipe.",
    "s_amount": "The household measure of one serving: 1/2 with unit cup, 5 with unit cracker.",
    "s_unit": "cup, tbsp, tsp, fl oz (label measures, a cup is 240 mL), or a piece such as slice.",
    "s_g": "The weight in grams printed beside the serving.",
    "compare": "The product a reduced or light one is compared with: any food of the list.",
    "reference": "Choose the category; empty: the serving stands in for the reference amount.",
    "contains": "milk, egg, fish, crustacean, tree nut, peanut, wheat, soy, sesame, gluten, celery, mustard, lupin, mollusc, sulphite",
    "checked": "yes only when the whole list was read and no other allergen is in it.",
    "diet": "What is in it, in words: plant, dairy, egg, meat, poultry, fish.",
}  # fmt: skip


def _put_message(sheet: Sheet, lay: LabelsLayout, row: int, index: int) -> None:
    """The first thing to mend, in words."""
    c = {key: lay.cell(key, row) for key in ("problem", "bad", "odd", "e_fit", "p_bad", "r_name")}
    blank = f"AND(ISBLANK({lay.typed('contains', index)}),ISBLANK({lay.typed('checked', index)}))"
    formula = (
        f'=IF({c["problem"]}<>"",{c["problem"]},IF({c["r_name"]}="","",IF({c["bad"]}>0,{c["bad"]}&" figures are no '
        f'number or out of range: they count as unknown",IF({c["odd"]}>0,"an allergen word is not of the list: all '
        f'others count as unknown",IF({blank},"allergens: say what it contains, or yes when checked",IF({c["e_fit"]}=0,'
        f'"energy does not fit 4-9-4: check what you typed",IF({c["p_bad"]}>0,"a printed % does not fit its amount: see '
        f'Label view","")))))))'
    )
    sheet.formula(row, lay.col["message"], formula, LOOKUP, "message")


def _food_row(sheet: Sheet, lay: LabelsLayout, row: int, index: int) -> ExtraFood:
    """The product as a row of Foods; every cell follows the sheet."""

    def here(key: str) -> str:
        return f"{quoted(sheet.name)}!{a1(row, lay.col[key], True, True)}"

    def typed(key: str) -> str:
        return f"INDEX({quoted(sheet.name)}!{block(HEAD, lay.col[key], lay.edge, lay.col[key])},{index + 2})"

    grams, own = here("r_g"), here("own")
    offer = (
        f'IFERROR(MATCH({word(typed("keep"), "list_keep", "none")}&"|"&{word(typed("state"), "list_state", "ready")},'
        f'offer_key,0),MATCH("none|ready",offer_key,0))'
    )
    diet = f"LOWER({phrase(typed('diet'), '100')})"
    flesh = "+".join(f'ISNUMBER(FIND("{w}",{diet}))*1' for w in ("meat", "poultry", "fish", "pork"))
    ready = f'AND({here("r_name")}<>"",{grams}>0)'
    cells: dict[str, Live] = {
        "food_name": (f'=IF({ready},{here("r_name")},"")', LOOKUP),
        "food_group": (f"={word(typed('group'), 'list_group', '')}", LOOKUP),
        "food_state": (f"={word(typed('state'), 'list_state', 'ready')}", LOOKUP),
        "food_role": (f"={word(typed('role'), 'list_role', 'seasoning')}", LOOKUP),
        "food_no": (f'="label {index + 1}"', f"label {index + 1}"),
        "Source description": (f'="{SOURCE}"', SOURCE),
        "food_dens": (f"={here('dens')}", LOOKUP),
        "food_offer1": (f"={offer}", LOOKUP),
        "food_offern": (f"=COUNTIF(offer_key,INDEX(offer_key,{offer}))", LOOKUP),
        "food_mcount": (f"=IF({ready},1+{own},0)", LOOKUP),
        "food_mfp": (f"=IF({flesh}>0,1,0)", LOOKUP),
        "food_heme": (f"=IF({flesh}>0,1,0)", LOOKUP),
        "food_alg": (f"={here('alg')}", LOOKUP),
        "food_diet": (f'=IF({diet}="","?",SUBSTITUTE({diet},", ",";"))', LOOKUP),
        "food_salt": (f"={word(typed('salt'), 'list_known', 'unknown')}", LOOKUP),
        "food_sweet": (f"={word(typed('sugar'), 'list_known', 'unknown')}", LOOKUP),
    }
    nutrients: dict[str, Live] = {}
    for tag in lay.tags:
        if tag not in ("FOLDFE", "NIAEQ", "FOLAC"):
            value = here("v_" + tag)
            nutrients[tag] = (f'=IF(AND({grams}>0,ISNUMBER({value})),{value}/{grams}*100,"")', LOOKUP)
    dfe, acid = here("v_FOLDFE"), here("v_FOLAC")
    known = f"IF(ISNUMBER({acid}),{acid},0)"
    nutrients["FOLAC"] = (
        f'=IF(AND({grams}>0,OR(ISNUMBER({dfe}),ISNUMBER({acid}))),{known}/{grams}*100,"")',
        LOOKUP,
    )
    nutrients["FOLFD"] = (
        f'=IF(AND({grams}>0,ISNUMBER({dfe})),MAX(0,{dfe}/{grams}*100-const_dfe_factor*{known}/{grams}*100),"")',
        LOOKUP,
    )
    serving: tuple[Live, Live] = (('="serving"', "serving"), (f"={grams}", LOOKUP))
    amount = here("r_sa")
    piece: tuple[Live, Live] = (
        (f'=IF({own}=1,{here("r_su")},"")', LOOKUP), (f"=IF({own}=1,{grams}/{amount},0)", LOOKUP))  # fmt: skip
    return ExtraFood(cells, nutrients, (serving, piece))
