"""As served and as frozen: the numbers with and without the lines marked "hold back"."""

from __future__ import annotations

from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.hold_back import as_frozen, serving_as_frozen
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import LOOKUP, Sheet, a1
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.words import in_words

SECTION = "hold_back"
HEADS = (("food", "Nutrient"), ("amount", "Unit"), ("unit", "As served"), ("basis", "As frozen, exact"),
         ("treat", "As frozen, without held-back lines"), ("share", "Weight known"), ("water", "Held back, %"))
BEFORE = 4
ENERGY = "ENERC_KCAL"
HELD = '"hold back"'
LINES = 15
HOLD_BACK_ROWS = BEFORE + LINES


def put_hold_back(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """Lay out the block for the nutrients of the label panel."""
    top = lay.section[SECTION]
    tags = [ENERGY, *(row.tag for row in load_panel_rules().us)]
    sheet.put(top, 0, "Held back when freezing: one serving as served and as frozen", "section")
    sheet.band(top, 0, lay.front_last, "section")
    marks = lay.column("r_mark")
    said = (f'=IF(COUNTIF({marks},{HELD})=0,"No line is marked hold back: both columns are the same.",'
            f'COUNTIF({marks},{HELD})&IF(COUNTIF({marks},{HELD})=1," line is"," lines are")&'
            '" held back when freezing and added on reheating.")')
    sheet.formula(top + 1, lay.col["food"], said, LOOKUP, "purpose")
    sheet.merges.append((top + 1, lay.col["food"], top + 1, lay.front_last))
    sheet.put(top + 2, 0, "No.", "head")
    sheet.put(top + 2, 1, "Reads", "head")
    for key, head in HEADS:
        sheet.put(top + 2, lay.col[key], head, "head")
    sheet.heights[top + 2] = 30
    _put_weight(sheet, lay, top + 3, analysis)
    for i, tag in enumerate(tags):
        _put_row(sheet, lay, kitchen, top + BEFORE + i, tag, analysis)


def _put_weight(sheet: Sheet, lay: RecipeLayout, row: int, analysis: Analysis | None) -> None:
    servings, weight = servings_cell(lay), weight_cell(lay)
    held = f'SUMIF({lay.column("r_mark")},{HELD},{lay.column("dish")})'
    sheet.put(row, lay.col["food"], "One serving weighs", "calc")
    sheet.put(row, lay.col["amount"], "g", "calc small")
    sheet.formula(row, lay.col["unit"], f'=IF({servings}=0,"-",{in_words(f"{weight}/{servings}", 0)}&" g")', LOOKUP, "calc right")
    sheet.formula(row, lay.col["basis"], f"=IF({servings}=0,0,({weight}-{held})/{servings})",
                  serving_as_frozen(analysis) if analysis else LOOKUP, "calc n1")
    here = lay.cell("basis", row)
    sheet.formula(row, lay.col["treat"], f'=IF({servings}=0,"-",{in_words(here, 0)}&" g")', LOOKUP, "calc right")
    sheet.band(row, 0, lay.front_last, "calc")


def _put_row(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, row: int, tag: str, analysis: Analysis | None) -> None:
    nutrient, at = kitchen.nutrient_by_tag[tag], lay.result_rows()[tag]
    found = as_frozen(analysis, tag) if analysis else None
    values, marks, servings = lay.column("n_" + tag), lay.column("r_mark"), servings_cell(lay)
    total, unknown = lay.at("n_" + tag, lay.total), lay.at("n_" + tag, lay.unknown)
    dry = f'({lay.at("dry", lay.total)}-SUMIF({marks},{HELD},{lay.column("dry")}))'
    missing = f'({unknown}-SUMPRODUCT(({marks}={HELD})*({values}="?")*{lay.column("dry")}))'
    bad, most, no = lay.at("bad", lay.total), lay.at("most", lay.total), a1(at, 0, True, True)
    held_most = f'SUMIF({marks},{HELD},{lay.column("most")})'
    cover = lay.cell("share", row)
    reads, exact = a1(row, 1, fix_col=True), lay.cell("basis", row)
    sheet.put(row, 0, row - lay.section[SECTION] - BEFORE + 1, "calc small centre")
    sheet.formula(row, 1, f'=IF(OR(AND({dry}>0,ROUND({cover},9)<1),{bad}>0),"at least",'
                          f'IF(AND({most}-{held_most}>0,INDEX(nut_drains,{no})=1),"at most",""))',
                  found.reads if found else LOOKUP, "calc small")
    sheet.put(row, lay.col["food"], nutrient.name, "calc")
    sheet.put(row, lay.col["amount"], nutrient.unit, "calc small")
    sheet.formula(row, lay.col["unit"], f'={lay.at("unit", at)}', LOOKUP, "calc right")
    sheet.formula(row, lay.col["basis"], f'=IF({servings}=0,0,({total}-SUMIF({marks},{HELD},{values}))/{servings})',
                  found.frozen if found else LOOKUP, "calc n2")
    words = (f"{found.reads} " if found and found.reads else "") + (f"{shown(found.frozen, nutrient.decimals)} {nutrient.unit}" if found else "")
    sheet.formula(row, lay.col["treat"],
                  f'=IF({servings}=0,"-",IF({reads}="","",{reads}&" ")&{in_words(exact, nutrient.decimals)}&" {nutrient.unit}")',
                  words if found else LOOKUP, "calc right")
    sheet.formula(row, lay.col["share"], f"=IF({dry}<=0,0,1-{missing}/{dry})", found.coverage if found else LOOKUP, "calc share")
    sheet.formula(row, lay.col["water"], f'=IF({total}=0,0,SUMIF({marks},{HELD},{values})/{total}*100)',
                  found.held_pct if found else LOOKUP, "calc n0")
    sheet.band(row, 0, lay.front_last, "calc")
