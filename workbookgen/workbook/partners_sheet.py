"""Partners: which foods raise the amino-acid score of a chosen recipe, and what each of its lines is worth."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.science import AMINO, AMINO_NAMES, amino_parts
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.protein import partner_foods, partners
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block, column_name, quoted
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_picker import before_hubs, chosen_cell, line_cell, put_picker
from workbookgen.workbook.recipe_protein import pattern_cell
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.science_layout import INPUTS, TABLE_FIRST

NO, FOOD, GRAMS, SCORE, GAIN, LIMIT, ALLERGENS, DIET = range(8)
WORK = 9  # first working column
BASE_ROW = 4
TOP, TOP_HEAD, TOP_FIRST = 5, 9, 10
ALL_HEAD = TOP_FIRST + TOP + 2
ALL_FIRST = ALL_HEAD + 1
HUB = WORK + 16  # per recipe: protein, pattern, amino acids


def put_partners(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet | None:
    """Lay out the sheet; None without the tables behind it."""
    foods = partner_foods(kitchen)
    if not foods or not kitchen.tables.science.patterns:
        return None
    sheet = book.add("Partners")
    before_hubs(book)
    put_frame(sheet, "Partners", "What would round off the protein of a recipe: 10 g of protein from each listed food is added to one serving, "
              "and the amino-acid score worked out anew. Choose a recipe; ask about allergies before you add a food.", DIET)
    for col, width in enumerate((5, 34, 11, 11, 11, 24, 44, 18)):
        sheet.widths[col] = width
    slot = put_picker(sheet, recipes, FOOD, WORK)
    _put_hub(sheet, recipes)
    base = _put_base(sheet, kitchen, recipes, slot)
    analysis = recipes[0].analysis
    pattern_no = kitchen.tables.science.pattern_no("default")
    tried = partners(kitchen, analysis, kitchen.tables.science.patterns[pattern_no]) if analysis and _default(recipes[0]) else None
    _heads(sheet, ALL_HEAD, "All foods tried")
    for i, food in enumerate(foods):
        _put_partner(sheet, kitchen, ALL_FIRST + i, i + 1, food.id, base, tried[i].grams if tried else None,
                     tried[i].score if tried else None, AMINO_NAMES[tried[i].limiting] if tried else None)
    _heads(sheet, TOP_HEAD, "The five that help most")
    for m in range(TOP):
        _put_top(sheet, TOP_FIRST + m, m, len(foods))
    _put_lines(sheet, ALL_FIRST + len(foods) + 1, recipes, slot)
    sheet.freeze = (TOP_HEAD, 0)
    sheet.landscape = True
    sheet.page_breaks = [ALL_HEAD, ALL_FIRST + len(foods) + 1]
    last = ALL_FIRST + len(foods) + 3 + max(r.lay.lines for r in recipes)
    sheet.print_area = (0, 0, last, DIET)
    sheet.first_input = (4, FOOD)
    return sheet


def _default(recipe: RecipeSheet) -> bool:
    """True where the recipe file chooses no pattern of its own."""
    return not any(key == "protein_pattern" for key, _ in (recipe.recipe.settings if recipe.recipe else ()))


def _heads(sheet: Sheet, row: int, title: str) -> None:
    for col, head in ((NO, "No."), (FOOD, title), (GRAMS, "Grams to add to a serving"), (SCORE, "Score with it"), (GAIN, "Change"),
                      (LIMIT, "Limits then"), (ALLERGENS, "Allergens of the food"), (DIET, "Made from")):
        sheet.put(row, col, head, "head")
    sheet.heights[row] = 44


def _put_hub(sheet: Sheet, recipes: Sequence[RecipeSheet]) -> None:
    """One row per recipe: pattern, covered protein and amino acids of one serving."""
    heads = ("Pattern no.", "Protein, g", *(f"{AMINO_NAMES[a]}, mg" for a in AMINO))
    for offset, head in enumerate(heads):
        sheet.put(BASE_ROW - 1, HUB + offset, head, "workhead")
    for i, recipe in enumerate(recipes):
        lay, tab = recipe.lay, quoted(recipe.sheet.name)
        top = lay.section["protein"]
        servings = f"{tab}!{servings_cell(lay)}"
        row = BASE_ROW + i

        def per_serving(cell: str, servings: str = servings) -> str:
            return f"=IF({servings}=0,0,{cell}/{servings})"

        sheet.formula(row, HUB, f"={tab}!{pattern_cell(lay)}", LOOKUP, "work n0")
        sheet.formula(row, HUB + 1, per_serving(recipe.sheet.ref(top + INPUTS, lay.col["r_amount"])), LOOKUP, "work n2")
        for k in range(len(AMINO)):
            sheet.formula(row, HUB + 2 + k, per_serving(recipe.sheet.ref(top + TABLE_FIRST + k, lay.col["r_unit"])), LOOKUP, "work n1")


def _put_base(sheet: Sheet, kitchen: Kitchen, recipes: Sequence[RecipeSheet], slot: str) -> dict[str, str]:
    """The chosen recipe's figures and its score alone; returns their addresses."""
    last = BASE_ROW + len(recipes) - 1
    found: dict[str, str] = {}
    for offset, key in enumerate(("pattern", "protein", *AMINO)):
        column = block(BASE_ROW, HUB + offset, last, HUB + offset)
        sheet.put(BASE_ROW - 1, WORK + 2 + offset, key, "workhead")
        found[key] = sheet.formula(BASE_ROW, WORK + 2 + offset, f"=INDEX({column},{slot})", LOOKUP, "work n1")
    ratios = ",".join(f"{found[a]}/{found['protein']}/INDEX(pattern_{a},{found['pattern']})" for a in AMINO)
    sheet.put(3, GRAMS, "Protein, g", "label")
    sheet.put(3, SCORE, "Score alone", "label")
    sheet.put(3, LIMIT, "Pattern", "label")
    sheet.formula(4, GRAMS, f"={found['protein']}", LOOKUP, "calc n1")
    found["alone"] = sheet.formula(4, SCORE, f'=IF({found["protein"]}=0,"-",MIN({ratios}))', LOOKUP, "calc n2 bold right")
    sheet.formula(4, LIMIT, f"=INDEX(pattern_name,{found['pattern']})", LOOKUP, "calc small flow")
    sheet.put(7, 0, "Score: the lowest ratio of an amino acid to the pattern, shown uncut; from 1 on every amino acid reaches it. Counts protein "
              "whose amino acids are all known. Foods need not share one meal to round each other off (common practice, no source). "
              "Read the package of every food you add: no allergen in a row of the table does not mean free from it. With kidney disease the "
              "care team sets the protein.", "hint")
    sheet.merges.append((7, 0, 7, DIET))
    sheet.heights[7] = 26
    return found


def _put_partner(sheet: Sheet, kitchen: Kitchen, row: int, number: int, food_id: str, base: dict[str, str], grams: float | None,
                 score: float | None, limiting: str | None) -> None:
    """One partner: row in Foods, grams, ratio of every amino acid with it, lowest ratio."""
    at = a1(row, WORK, fix_col=True)
    sheet.put(row, NO, number, "calc small centre")
    sheet.put(row, WORK + 1, food_id, "work")
    sheet.formula(row, WORK, f"=IFERROR(MATCH({a1(row, WORK + 1, fix_col=True)},food_id,0),0)", LOOKUP, "work n0")

    def food(name: str) -> str:
        return f"INDEX(food_{name},{at})"

    sheet.formula(row, FOOD, f"={food('name')}", LOOKUP, "calc small flow")
    g = a1(row, GRAMS, fix_col=True)
    sheet.formula(row, GRAMS, f"=const_partner_protein/{food('PROCNT')}*100", LOOKUP if grams is None else grams, "calc n0")
    factor = food("nfactor")
    protein = (f"({base['protein']}+const_partner_protein*IF(ISNUMBER({factor}),IF({factor}>0,const_protein_factor/{factor},1),1))")
    cells = []
    for k, amino in enumerate(AMINO):
        added = "+".join(food(column_name(tag)) for tag in amino_parts(amino))
        col = WORK + 2 + k
        sheet.formula(row, col, f"=({base[amino]}+({added})*1000*{g}/100)/{protein}/INDEX(pattern_{amino},{base['pattern']})", LOOKUP, "work n2")
        cells.append(a1(row, col, fix_col=True))
    ratios = f"{cells[0]}:{cells[-1]}"
    sheet.formula(row, SCORE, f"=MIN({ratios})", LOOKUP if score is None else score, "calc n2 bold")
    here = a1(row, SCORE, fix_col=True)
    sheet.formula(row, GAIN, f'=IF(ISNUMBER({base["alone"]}),{here}-{base["alone"]},"-")', LOOKUP, "calc n2 right")
    sheet.formula(row, LIMIT, f"=INDEX(amino_name,MATCH({here},{ratios},0))", LOOKUP if limiting is None else limiting, "calc small flow")
    marks = food("alg")
    words = (f'SUBSTITUTE(SUBSTITUTE(SUBSTITUTE(SUBSTITUTE(SUBSTITUTE(SUBSTITUTE(LEFT({marks},LEN({marks})-1),"?*","others not known"),"+","contains "),'
             f'"?","not known: "),"_"," "),";","; "),"("," (")')
    sheet.formula(row, ALLERGENS, f'=IF(ISTEXT({marks}),IF({marks}="-;","none of the listed",IF(LEN({marks})<2,"not known",{words})),"not known")',
                  LOOKUP, "calc small flow")
    sheet.formula(row, DIET, f'=SUBSTITUTE(SUBSTITUTE({food("diet")}&"",";","; "),"?","more not known")', LOOKUP, "calc small flow")
    sheet.heights[row] = 15


def _put_top(sheet: Sheet, row: int, m: int, count: int) -> None:
    last = ALL_FIRST + count - 1
    scores, numbers = (block(ALL_FIRST, col, last, col) for col in (SCORE, NO))
    sheet.formula(row, WORK, f"=LARGE({scores},{m + 1})", LOOKUP, "work n2")
    after = f"(ROWS({numbers})+1)"
    value, here = (a1(row, WORK + k, True, True) for k in (0, 1))
    others = "".join(f"*({numbers}<>{a1(TOP_FIRST + k, WORK + 1, True, True)})" for k in range(m))
    sheet.formula(row, WORK + 1, f"={after}-SUMPRODUCT(MAX(({scores}={value}){others}*({after}-{numbers})))", LOOKUP, "work n0")
    sheet.put(row, NO, m + 1, "calc small centre")
    for col, style in ((FOOD, "calc bold flow"), (GRAMS, "calc n0"), (SCORE, "calc n2 bold"), (GAIN, "calc n2 right"), (LIMIT, "calc small flow"),
                       (ALLERGENS, "calc small flow"), (DIET, "calc small flow")):
        sheet.formula(row, col, f"=INDEX({block(ALL_FIRST, col, last, col)},{here})", LOOKUP, style)
    sheet.heights[row] = 24


def _put_lines(sheet: Sheet, row: int, recipes: Sequence[RecipeSheet], slot: str) -> None:
    """Every line of the chosen recipe: protein it brings and the score without it."""
    sheet.put(row, NO, "No.", "head")
    for col, head in ((FOOD, "Without one ingredient"), (GRAMS, "Protein of the dish, g"), (SCORE, "Score without it"), (GAIN, ""),
                      (LIMIT, "Limits then"), (ALLERGENS, ""), (DIET, "")):
        sheet.put(row, col, head, "head")
    sheet.heights[row] = 32
    for i in range(max(r.lay.lines for r in recipes)):
        at = row + 1 + i
        sheet.put(at, NO, i + 1, "calc small centre")
        for col, key, style in ((FOOD, "r_food", "calc small flow"), (GRAMS, "p_ref", "calc z1"), (SCORE, "p_without", "calc n2 right"),
                                (LIMIT, "p_limits", "calc small")):
            value: Value | _Lookup = LOOKUP
            sheet.formula(at, col, f'={chosen_cell(slot, [line_cell(r, key, i) for r in recipes])}', value, style)
