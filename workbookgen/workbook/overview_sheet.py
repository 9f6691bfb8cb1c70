"""Overview: all recipes side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.handout_hub import overview_formulas
from workbookgen.workbook.hub_sheets import FIRST as HUB_FIRST
from workbookgen.workbook.hub_sheets import Hub
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import in_words

HEAD = 4
FIRST = 5
KEY_TAGS = ("ENERC_KCAL", "PROCNT", "FIBTG", "FASAT", "NA", "K", "CA", "FE")
PLATE_SHOWN = 3
ROW_POINTS, SPARE_POINTS = 48, 40
PRINT_SCALE = 50  # figures on one page, plate and words on the next


def add_overview(book: Book) -> Sheet:
    """Reserve the tab after Start; rows follow once the hubs exist."""
    return book.add("Overview")


def put_overview(sheet: Sheet, kitchen: Kitchen, hub: Hub, recipes: Sequence[RecipeSheet],
                 cards: Mapping[str, str] | None = None) -> None:
    """One row per recipe: serving, key nutrients with % DV, plate shares, targets, what to mend.

    ``cards`` maps recipe tabs to the tabs of their cards."""
    heads: list[tuple[str, str, float]] = [("tab", "Open", 24), ("card", "Card", 7), ("title", "Recipe", 30), ("servings", "Servings", 8),
                                           ("serving", "Serving, g", 9)]
    for tag in KEY_TAGS:
        nutrient = kitchen.nutrient_by_tag[tag]
        heads.append((tag, f"{nutrient.name}, {nutrient.unit}", 11))
    heads += [(f"plate{g}", f"Plate group {g}", 17) for g in range(1, PLATE_SHOWN + 1)]
    if kitchen.safety.allergens:
        heads += [("contains", "Contains", 28), ("ask", "Who should ask first", 24)]
    if "say_short" in hub.col:
        heads.append(("say_short", "Statements that hold", 56))
    heads += [("targets", "Targets met", 8), ("mend", "What to mend", 18)]
    last_col = len(heads) - 1
    put_frame(sheet, "Overview", "All recipes, figures of one serving. % DV by the reference values chosen on Start. "
              "\"at least\" figures carry a plus sign, \"at most\" a minus sign.", last_col)
    col = {key: i for i, (key, _, _) in enumerate(heads)}
    for key, head, width in heads:
        sheet.put(HEAD, col[key], head, "head")
        sheet.widths[col[key]] = width
    sheet.heights[HEAD] = 42
    for i, recipe in enumerate(recipes):
        _put_row(sheet, kitchen, col, FIRST + i, hub, HUB_FIRST + i, recipe)
    last = FIRST + len(recipes) - 1
    for i, recipe in enumerate(recipes):
        if card := (cards or {}).get(recipe.sheet.name):
            sheet.link(FIRST + i, col["card"], card, "Card", "link flow")
    sheet.freeze = (FIRST, 3)
    sheet.landscape = True
    sheet.print_area = (0, 0, last, last_col)
    sheet.repeat_columns, sheet.repeat_rows = (0, col["title"]), (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = PRINT_SCALE, [col["plate1"]]
    sheet.first_input = (FIRST, 0)


def _put_row(sheet: Sheet, kitchen: Kitchen, col: dict[str, int], row: int, hub: Hub, at: int, recipe: RecipeSheet) -> None:
    def ref(key: str) -> str:
        return hub.sheet.ref(at, hub.col[key])

    def put(key: str, formula: str, style: str, value: Value | None = None) -> None:
        sheet.formula(row, col[key], formula, LOOKUP if value is None else value, f"calc {style}".strip())

    analysis = recipe.analysis
    title = ref("title")
    sheet.heights[row] = ROW_POINTS if recipe.recipe else SPARE_POINTS
    sheet.link(row, col["tab"], recipe.sheet.name, recipe.sheet.name, "link flow")
    put("title", f'={title}&""', "bold flow")
    put("servings", f'=IF({title}="","",{ref("servings")})', "n1", analysis.servings if analysis else None)
    put("serving", f'=IF({title}="","",{ref("serving_g")})', "n0", analysis.serving_g if analysis else None)
    numbers = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    for tag in KEY_TAGS:
        value, reads = ref("v_" + tag), ref("r_" + tag)
        decimals = kitchen.nutrient_by_tag[tag].decimals
        sign = f'IF({reads}="at least","+",IF({reads}="at most","-",""))'
        dv = f"INDEX(nut_dv,{numbers[tag]})"
        pct = f'IF(ISNUMBER({dv}),CHAR(10)&{in_words(f"{value}/{dv}*100", 0)}&" % DV","")'
        put(tag, f'=IF({title}="","",{in_words(value, decimals)}&{sign}&{pct})', "right flow",
            _figure(analysis, tag, decimals) if analysis else None)
    for g in range(1, PLATE_SHOWN + 1):
        group, share, verdict = (ref(f"{key}_{g}") for key in ("group", "share", "verdict"))
        put(f"plate{g}", f'=IF(OR({title}="",{group}=""),"",{group}&" "&ROUND(ROUND({share},9),0)&" %: "&{verdict})', "small flow")
    if "contains" in col:
        formulas = overview_formulas(ref("contains"), ref("open"), ref("ask"), title)
        put("contains", formulas[0], "small flow")
        put("ask", formulas[1], "small flow")
    if "say_short" in col:
        put("say_short", f'=IF({title}="","",{ref("say_short")})', "small flow")
    put("targets", f'=IF({title}="","",{ref("met")}&" of "&({ref("met")}+{ref("not_met")}+{ref("unsure")}))', "centre")
    put("mend", f'=IF({title}="","",IF({ref("servings")}=0,"servings missing. ","")&IF({ref("bad")}>0,{ref("bad")}&" lines to mend",""))',
        "small flow")


def _figure(analysis: Analysis, tag: str, decimals: int) -> str:
    result = analysis.nutrients[tag]
    sign = {"at least": "+", "at most": "-", "": ""}[result.reads]
    pct = "" if result.dv_pct is None else f"\n{shown(result.dv_pct, 0)} % DV"
    return f"{shown(result.serving, decimals)}{sign}{pct}"
