"""One recipe, one sheet: head with inputs and live figures, ingredients, results, method."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.dish import DEFAULT_ROLE
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, block
from workbookgen.workbook.frame import START
from workbookgen.workbook.handout_blocks import put_handout_blocks
from workbookgen.workbook.recipe_about import put_about
from workbookgen.workbook.recipe_balance import put_checks, put_targets
from workbookgen.workbook.recipe_facts import put_colour_column, put_facts, put_likely_ranges, spreads_of
from workbookgen.workbook.recipe_hold_back import put_hold_back
from workbookgen.workbook.recipe_iron import put_iron
from workbookgen.workbook.recipe_layout import (
    ATTENTION_ROW,
    HEAD_ROW,
    INPUT_HINT_ROW,
    INPUT_LABEL_ROW,
    INPUT_ROW,
    TILE_FOOT_ROW,
    TILE_HEAD_ROW,
    TILE_ROW,
    RecipeLayout,
)
from workbookgen.workbook.recipe_lines import put_lines
from workbookgen.workbook.recipe_notes import put_input_notes
from workbookgen.workbook.recipe_panel import put_panel
from workbookgen.workbook.recipe_plate import put_plate
from workbookgen.workbook.recipe_protein import put_protein
from workbookgen.workbook.recipe_results import put_results, servings_cell, weight_cell
from workbookgen.workbook.recipe_review import put_review
from workbookgen.workbook.recipe_statements import put_statements
from workbookgen.workbook.recipe_states import put_states
from workbookgen.workbook.recipe_totals import put_nutrients
from workbookgen.workbook.words import in_words, key_text, tidy

#: Tiles of the head: first column, last column, nutrient tag.
TILES = (("amount", "unit", "ENERC_KCAL"), ("basis", "basis", "PROCNT"), ("treat", "treat", "FIBTG"),
         ("share", "water", "NA"), ("grams", "dish", "FE"))

#: Blocks a link in the head leads to.
JUMPS = (("iron", "Iron"), ("protein", "Protein"), ("allergens", "Allergens"), ("cautions", "Ask first"), ("panel", "Label"),
         ("says", "Statements"), ("keeping", "Keeping"), ("review", "Sign-off"))


@dataclass(frozen=True, slots=True)
class RecipeSheet:
    """A recipe sheet with its layout, for the sheets that read it."""

    sheet: Sheet
    lay: RecipeLayout
    recipe: Recipe | None
    analysis: Analysis | None


def put_recipe(book: Book, kitchen: Kitchen, tab: str, lay: RecipeLayout, recipe: Recipe | None,
               analysis: Analysis | None) -> RecipeSheet:
    """Lay out one recipe sheet; an empty one (``recipe`` None) waits for a colleague."""
    sheet = book.add(tab)
    sheet.widths = dict(lay.widths)
    by_tag = {n.tag: n for n in kitchen.tables.nutrients}
    _put_head(sheet, lay, kitchen, recipe)
    _put_read_head(sheet, lay, recipe)
    put_lines(sheet, lay, recipe, analysis)
    put_nutrients(sheet, lay, analysis)
    put_plate(sheet, lay, kitchen, recipe, analysis)
    put_targets(sheet, lay, recipe, analysis, by_tag)
    put_checks(sheet, lay, analysis)
    put_results(sheet, lay, analysis)
    put_iron(sheet, lay, kitchen, recipe, analysis)
    put_protein(sheet, lay, kitchen, recipe, analysis)
    put_colour_column(sheet, lay, analysis)
    put_facts(sheet, lay, kitchen, analysis)
    put_likely_ranges(sheet, lay, kitchen, analysis, spreads_of(kitchen))
    put_handout_blocks(sheet, lay, kitchen, recipe, analysis)
    put_panel(sheet, lay, kitchen, analysis)
    put_hold_back(sheet, lay, kitchen, analysis)
    put_about(sheet, lay, kitchen, recipe)
    put_states(sheet, lay, kitchen, analysis)
    put_review(sheet, lay, kitchen, recipe, analysis)
    if kitchen.tables.claims.statements:
        put_statements(sheet, lay, kitchen, recipe, analysis)
    _put_tiles(sheet, lay, kitchen, analysis)
    _put_attention(sheet, lay)
    _put_method(sheet, lay, recipe)
    _put_jumps(sheet, lay)
    put_input_notes(sheet, lay)
    _put_page(sheet, lay)
    return RecipeSheet(sheet, lay, recipe, analysis)


def _put_head(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None) -> None:
    sheet.heights |= {0: 30, 1: 18, INPUT_LABEL_ROW: 16, INPUT_ROW: 27, INPUT_HINT_ROW: 24}
    title = lay.at("r_food", INPUT_ROW)
    sheet.formula(0, 0, f'=IF({title}="","Empty recipe: type a title below",{title})', LOOKUP, "title")
    sheet.band(0, 1, lay.front_last, "title")
    sheet.band(0, lay.front_last, lay.front_last, "title")
    sheet.link(1, lay.front_last, START, "Back to Start", "link")
    sheet.put(1, 0, "Change any framed yellow cell; everything else follows. Columns to the right show the working.", "purpose")
    sheet.merges.append((1, 0, 1, lay.front_last - 2))
    model = kitchen.plate_model_by_id[recipe.plate_model].name if recipe and recipe.plate_model else ""
    inputs: tuple[tuple[str, str, Value, str, str], ...] = (
        ("food", "Title", recipe.title if recipe else "", "input bold", "shown on every sheet and on the card"),
        ("amount", "Servings", recipe.servings if recipe else "", "input amount", ""),
        ("unit", "One serving is", recipe.serving_text if recipe else "", "input small flow", "in kitchen words"),
        ("basis", "Legumes as", recipe.legumes_as if recipe else "", "input small", "protein or vegetable"),
        ("treat", "Plate model", model, "input small", "empty: as on Start"),
        ("share", "Pot, g", recipe.cooked_weight_g or "" if recipe else "", "input n0", "weighed"),
        ("water", "Cup, g", recipe.cup_weight_g or "" if recipe else "", "input n0", "weighed"),
    )
    for key, label, value, style, hint in inputs:
        sheet.put(INPUT_LABEL_ROW, lay.col[key], label, "label")
        sheet.put(INPUT_ROW, lay.col[key], value, style)
        sheet.put(INPUT_HINT_ROW, lay.col[key], hint, "hint")
    if lay.is_dish:
        sheet.put(INPUT_LABEL_ROW, lay.col["message"], "As an ingredient it counts as", "label")
        sheet.put(INPUT_ROW, lay.col["message"], recipe.counts_as if recipe else "", "input small")
        sheet.put(INPUT_HINT_ROW, lay.col["message"], "its role on the plate of other recipes", "hint")
        sheet.choose_from(INPUT_ROW, lay.col["message"], INPUT_ROW, lay.col["message"], "=list_role", "Counts as", "Empty: seasoning.")
    sheet.choose_from(INPUT_ROW, lay.col["basis"], INPUT_ROW, lay.col["basis"], "=list_legume", "Legumes count as",
                      "protein or vegetable: each portion counts once.")
    sheet.choose_from(INPUT_ROW, lay.col["treat"], INPUT_ROW, lay.col["treat"], "=plate_model", "Plate model",
                      "Empty: the model chosen on Start.")
    sheet.put(HEAD_ROW - 1, 0, "Ingredients", "section")
    sheet.band(HEAD_ROW - 1, 0, lay.front_last, "section")
    sheet.heights[HEAD_ROW] = 30
    sheet.first_input = (INPUT_ROW, lay.col["food"])


def _put_read_head(sheet: Sheet, lay: RecipeLayout, recipe: Recipe | None) -> None:
    """The head's inputs as read, in the row of the inputs above the "as read" columns."""

    def x(key: str) -> str:
        col = lay.col[key]
        return f"INDEX({block(INPUT_LABEL_ROW, col, INPUT_HINT_ROW, col)},2)"

    def weight(key: str) -> str:
        return (f"=IF(ISLOGICAL({x(key)}),0,IF(ISNUMBER({x(key)}),IF(AND({x(key)}>0,{x(key)}<=const_weight_max),{x(key)},0),0))")

    def text(key: str, longest: str) -> str:
        return f'=IF(ISTEXT({x(key)}),IF(LEN({x(key)})>{longest},LEFT({tidy(x(key))},{longest}),{tidy(x(key))}),"")'

    formulas: dict[str, tuple[str, str, Value | None]] = {
        "r_food": ("Title", text("food", "const_title_letters"), None),
        "r_amount": ("Servings", f"=IF(ISLOGICAL({x('amount')}),0,IF(ISNUMBER({x('amount')}),IF(AND({x('amount')}>=const_servings_min,"
                                 f"{x('amount')}<=const_servings_max),{x('amount')},0),0))", recipe.servings if recipe else 0.0),
        "r_basis": ("Serving", text("unit", "const_words_letters"), None),
        "r_unit": ("Legumes as", f'=IF(ISTEXT({x("basis")}),IF(LOWER({tidy(x("basis"))})="vegetable","vegetable","protein"),"protein")',
                   recipe.legumes_as if recipe else "protein"),
        "r_treat": ("Plate model no.", f'=IF(ISTEXT({x("treat")}),IF(LEN({x("treat")})>100,set_plate,'
                                       f'IFERROR(MATCH({key_text(x("treat"))},plate_model,0),set_plate)),set_plate)', None),
        "r_share": ("Pot, g", weight("share"), (recipe.cooked_weight_g or 0.0) if recipe else 0.0),
        "r_water": ("Cup, g", weight("water"), (recipe.cup_weight_g or 0.0) if recipe else 0.0),
    }
    if lay.is_dish:
        words = key_text(x("message"))
        formulas["r_role"] = ("Counts as", f'=IF(ISTEXT({x("message")}),IF(LEN({x("message")})>100,"{DEFAULT_ROLE}",IFERROR(INDEX(list_role,'
                              f'MATCH({words},list_role,0)),"{DEFAULT_ROLE}")),"{DEFAULT_ROLE}")', (recipe.counts_as if recipe else "") or DEFAULT_ROLE)
    for key, (label, formula, value) in formulas.items():
        sheet.put(INPUT_LABEL_ROW, lay.col[key], label, "workhead")
        sheet.formula(INPUT_ROW, lay.col[key], formula, LOOKUP if value is None else value, "work")


def _put_tiles(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """The live figures in the head, always in sight."""
    rows = lay.result_rows()
    servings, weight = servings_cell(lay), weight_cell(lay)
    serving_g = f"{weight}/{servings}"
    c = lay.col["food"]
    sheet.put(TILE_HEAD_ROW, c, "One serving weighs", "tilehead")
    sheet.formula(TILE_ROW, c, f'=IF({servings}=0,"-",{in_words(serving_g, 0)}&" g")',
                  f"{shown(analysis.serving_g, 0)} g" if analysis else LOOKUP, "tile")
    words = lay.at("r_basis", INPUT_ROW)
    sheet.formula(TILE_FOOT_ROW, c, f'={words}&""', LOOKUP, "tilefoot")
    for first, last, tag in TILES:
        nutrient = kitchen.nutrient_by_tag[tag]
        left, right = lay.col[first], lay.col[last]
        reading, dv = lay.at("unit", rows[tag]), lay.at("share", rows[tag])
        sheet.put(TILE_HEAD_ROW, left, nutrient.name, "tilehead")
        sheet.formula(TILE_ROW, left, f"={reading}", LOOKUP, "tile")
        sheet.formula(TILE_FOOT_ROW, left, f'=IF(OR({servings}=0,ISTEXT({dv})),"",{in_words(dv, 0)}&" % DV")',
                      LOOKUP, "tilefoot")
        if right > left:
            for row, style in ((TILE_HEAD_ROW, "tilehead"), (TILE_ROW, "tile"), (TILE_FOOT_ROW, "tilefoot")):
                sheet.merges.append((row, left, row, right))
                sheet.blank(row, left, style)
    m = lay.col["message"]
    verdicts = block(lay.target_first, lay.col["treat"], lay.target_last, lay.col["treat"])
    sheet.put(TILE_HEAD_ROW, m, "Targets met", "tilehead")
    sheet.formula(TILE_ROW, m, f'=COUNTIF({verdicts},"met")&" of "&(COUNTIF({verdicts},"met")+COUNTIF({verdicts},"not met")'
                               f'+COUNTIF({verdicts},"cannot be judged"))', LOOKUP, "tile")
    plate = block(lay.plate_first, lay.col["treat"], lay.plate_last, lay.col["treat"])
    sheet.formula(TILE_FOOT_ROW, m, f'="plate: "&COUNTIF({plate},"as planned")&" of "&(COUNTIF({plate},"as planned")'
                                    f'+COUNTIF({plate},"add more")+COUNTIF({plate},"more than planned"))&" groups as planned"',
                  LOOKUP, "tilefoot")
    sheet.heights |= {TILE_HEAD_ROW: 16, TILE_ROW: 24, TILE_FOOT_ROW: 16, ATTENTION_ROW: 28}


def _put_attention(sheet: Sheet, lay: RecipeLayout) -> None:
    """One sentence on top that says what is missing or doubtful."""
    bad, servings = lay.at("bad", lay.total), servings_cell(lay)
    dry, most = lay.at("dry", lay.total), lay.at("most", lay.total)
    title = lay.at("r_food", INPUT_ROW)
    water = lay.at("treat", lay.check_first + 3)
    used = f'SUMPRODUCT(({lay.column("r_food")}<>"")*1)'
    text = (
        f'=IF(AND({title}="",{used}=0),"",IF({title}="","Type a title. ","")&IF({servings}=0,"Servings: type a number from 0 1/2 to 1000. ","")'
        f'&IF({bad}>0,{bad}&IF({bad}=1," line needs"," lines need")&" mending: totals read at least. ","")'
        f'&IF(AND({bad}=0,{dry}=0),"No ingredient is counted yet. ","")'
        f'&IF({water}="ok","","Grains take up more water than the lines give. ")'
        f'&IF({most}>0,"Energy and fat read at most: drained meat without a cooked row. ","")'
        f'&IF({lay.at("r_share", INPUT_ROW)}=0,"Weight of the dish is estimated: weigh the pot for a better serving weight.",""))'
    )
    sheet.formula(ATTENTION_ROW, 0, text, LOOKUP, "attention")
    sheet.merges.append((ATTENTION_ROW, 0, ATTENTION_ROW, lay.front_last))


def _put_method(sheet: Sheet, lay: RecipeLayout, recipe: Recipe | None) -> None:
    """Method and keeping: free texts the card prints."""
    sheet.put(lay.method_title, 0, "Method and keeping", "section")
    sheet.band(lay.method_title, 0, lay.front_last, "section")
    sheet.put(lay.method_head, lay.col["food"], "One step in each row", "head")
    sheet.band(lay.method_head, lay.col["food"], lay.front_last, "head")
    steps: Sequence[str] = recipe.method if recipe else ()
    for i in range(lay.method_last - lay.method_first + 1):
        row = lay.method_first + i
        text = steps[i] if i < len(steps) else ""
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.put(row, lay.col["food"], text, "input wrap")
        sheet.band(row, lay.col["amount"], lay.front_last, "input wrap")
        sheet.merges.append((row, lay.col["food"], row, lay.front_last))
        sheet.heights[row] = 15 * max(1, -(-len(text) // 130)) + 4
    sheet.put(lay.method_edge, lay.col["food"], "end of the method", "edge")


def _put_jumps(sheet: Sheet, lay: RecipeLayout) -> None:
    """Links to the blocks further down, in the heading of the ingredients."""
    blocks = [("Plate", lay.plate_title), ("Targets", lay.target_title), ("Nutrients", lay.main_title)]
    blocks += [(words, lay.section[key]) for key, words in JUMPS if key in lay.section]
    blocks.append(("Method", lay.method_title))
    for (words, row), key in zip(blocks, ("amount", "unit", "basis", "treat", "share", "water", "grams", "dish", "message", "role", "mark",
                                          "heading", "note"), strict=False):
        sheet.link(HEAD_ROW - 1, lay.col[key], sheet.name, words, "section jump", f"A{row + 1}")


def _put_page(sheet: Sheet, lay: RecipeLayout) -> None:
    sheet.landscape = True
    sheet.freeze = (ATTENTION_ROW, 0)
    sheet.print_area = (0, 0, lay.last_row, lay.front_last)
    sheet.page_breaks = lay.pages
    verdicts = ((lay.plate_first, lay.plate_last), (lay.target_first, lay.target_last))
    for first, last in verdicts:
        for word in ("add more", "more than planned", "not met", "cannot be judged"):
            sheet.conditions.append((first, lay.col["treat"], last, lay.col["treat"],
                                     {"type": "cell", "criteria": "==", "value": f'"{word}"'}, "attention"))

