"""The label panel of one serving on a recipe sheet; the card prints these cells.

Both formats stand side by side; the reference set chosen on Start decides which one the card shows.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.model.analysis import Analysis
from workbookgen.model.handout import EuPanelRow, PanelRules, UsPanelRow
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared
from workbookgen.nutrition.panel import (
    AMOUNT,
    INDENT,
    NOT_KNOWN,
    eu_figures,
    eu_line,
    protein_dv,
    serving_words,
    servings_words,
    us_amount,
    us_line,
)
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.recipe_layout import INPUT_ROW, RecipeLayout
from workbookgen.workbook.recipe_protein import protein_dv_cell
from workbookgen.workbook.recipe_results import rounded, servings_cell, weight_cell
from workbookgen.workbook.words import in_words, to_step

SECTION = "panel"
HEADS = (
    ("count", "Place"), ("food", "US panel"), ("amount", "Declared"), ("unit", "As printed"), ("basis", "% DV as printed"),
    ("treat", "EU panel"), ("share", "100 g, exact"), ("water", "Portion, exact"), ("grams", "100 g"), ("dish", "One portion"),
    ("message", "EU reads"),
)
LINES = 14
BEFORE = 6
PANEL_ROWS = BEFORE + LINES + 1


@dataclass(frozen=True, slots=True)
class PanelBlock:
    """Fixed addresses of the block's cells, for the card; lists run over the panel's lines."""

    which: str
    servings: str
    serving: str
    energy: str
    note: str
    numbers: str
    place: str
    us_name: str
    us_amount: str
    us_pct: str
    eu_name: str
    eu_100g: str
    eu_portion: str


def panel_block(lay: RecipeLayout) -> PanelBlock:
    """Where the panel stands on a recipe sheet."""
    top = lay.section[SECTION]
    first, last = top + BEFORE, top + BEFORE + LINES - 1

    def lines(key: str) -> str:
        return block(first, lay.col[key], last, lay.col[key])

    return PanelBlock(
        which=lay.at("unit", top + 2), servings=lay.at("unit", top + 3), serving=lay.at("unit", top + 4),
        energy=lay.at("unit", top + 5), note=lay.at("food", last + 1), numbers=lines("no"), place=lines("count"),
        us_name=lines("food"), us_amount=lines("unit"), us_pct=lines("basis"), eu_name=lines("treat"),
        eu_100g=lines("grams"), eu_portion=lines("dish"),
    )


def put_panel(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """Lay out the block."""
    rules, top = load_panel_rules(), lay.section[SECTION]
    sheet.put(top, 0, "Label panel of one serving, calculated from food tables", "section")
    sheet.band(top, 0, lay.front_last, "section")
    sheet.put(top + 1, 0, "No.", "head")
    for key, head in HEADS:
        sheet.put(top + 1, lay.col[key], head, "head")
    sheet.heights[top + 1] = 30
    _put_head(sheet, lay, kitchen, rules, analysis)
    for i in range(LINES):
        row = top + BEFORE + i
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.heights[row] = 22
        _put_us(sheet, lay, kitchen, rules.us[i], row, analysis)
        _put_eu(sheet, lay, kitchen, rules.eu[i], row, i, analysis)
    note = top + BEFORE + LINES
    sheet.formula(note, lay.col["food"], "=INDEX(ref_panel_note,set_reference)", LOOKUP, "calc small flow")
    sheet.merges.append((note, lay.col["food"], note, lay.front_last))
    sheet.heights[note] = 26


def _put_head(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, rules: PanelRules, analysis: Analysis | None) -> None:
    top = lay.section[SECTION]
    servings, weight, words = servings_cell(lay), weight_cell(lay), lay.at("r_basis", INPUT_ROW)
    set_id = analysis.settings.reference_set if analysis else ""
    rounded_servings = metric_value(servings, "servings")
    grams = metric_text(f"{weight}/{servings}", "serving")
    household = analysis.recipe.serving_text if analysis else ""
    kitchen_words = load_kitchen_words()
    cells: tuple[tuple[str, str, Value | None], ...] = (
        ("Panel in use", "=INDEX(ref_panel,set_reference)", rules.panel_of(set_id) if analysis else None),
        ("Servings", f'=IF({servings}=0,"",IF(ROUND({rounded_servings},9)=ROUND({servings},9),"","about ")&'
                     f'{in_words(rounded_servings, 1)}&IF({in_words(rounded_servings, 1)}=1," serving per recipe"," servings per recipe"))',
         servings_words(analysis.servings, kitchen_words) if analysis else None),
        ("Serving size", f'=IF({servings}=0,"",IF({words}="",{grams},{words}&" ("&{grams}&")"))',
         serving_words(household, analysis.serving_g, kitchen_words) if analysis else None),
    )
    for i, (label, formula, value) in enumerate(cells):
        row = top + 2 + i
        sheet.put(row, lay.col["food"], label, "calc")
        sheet.band(row, 0, lay.front_last, "calc")
        sheet.formula(row, lay.col["unit"], formula, LOOKUP if value is None else value, "calc small")
        sheet.heights[row] = 18
    row = top + 5
    tag = "ENERC_KCAL"
    sheet.put(row, 0, "", "calc small")
    sheet.put(row, lay.col["food"], "Calories", "calc bold")
    sheet.band(row, 1, lay.front_last, "calc")
    found = analysis.nutrients[tag] if analysis else None
    rule = kitchen.tables.rounding[tag]
    _put_amount(sheet, lay, row, tag, "", declared(found.serving, rule) if found else None,
                us_amount(found, rule, "") if found else None)


def metric_step(x: str, kind: str) -> str:
    """Row in the metric table that applies to ``x``, counted within its kind."""
    return f"MATCH(ROUND({x},9),met_from_{kind},1)+MATCH(\"{kind}\",met_kind,0)-1"


def metric_value(x: str, kind: str) -> str:
    """``x`` rounded to the metric steps of ``kind``."""
    step = f"INDEX(met_step,{metric_step(x, kind)})"
    return f"ROUND(ROUND({x}/{step},9),0)*{step}"


def metric_text(x: str, kind: str) -> str:
    """``x`` as a scale or jug shows it."""
    at = metric_step(x, kind)
    step, divisor, unit = (f"INDEX(met_{name},{at})" for name in ("step", "div", "unit"))
    return (f'IF(AND(ROUND(ROUND({x}/{step},9),0)=0,{x}>0),"less than "&{in_words(f"{step}/{divisor}", 3)},'
            f'{in_words(f"{metric_value(x, kind)}/{divisor}", 3)})&" "&{unit}')


def _put_amount(sheet: Sheet, lay: RecipeLayout, row: int, tag: str, unit: str, figure: float | None,
                words: str | None) -> None:
    """Declared figure and its words on one line."""
    at = lay.result_rows()[tag]
    no, reads = a1(at, 0, True, True), a1(at, 1, True, True)
    exact, cover, servings = lay.at("basis", at), lay.at("dish", at), servings_cell(lay)
    sheet.formula(row, lay.col["amount"], f"={rounded('lab_', no, exact)}", LOOKUP if figure is None else figure, "calc general small")
    here = lay.cell("amount", row)
    less = (f"AND(ROUND({exact},9)>=INDEX(lab_zero_below,{no}),IF(INDEX(lab_text_at,{no})=1,"
            f"ROUND({exact},9)<=INDEX(lab_text_below,{no}),ROUND({exact},9)<INDEX(lab_text_below,{no})))")
    tail = f' {unit}' if unit else ""
    sheet.formula(
        row, lay.col["unit"],
        f'=IF({servings}=0,"-",IF(OR(ROUND({cover},9)<=0,AND({reads}="at least",OR(ROUND({here},9)=0,{less}))),"{NOT_KNOWN}",'
        f'IF({less},"less than "&INDEX(lab_text_amount,{no}),IF({reads}="","",{reads}&" ")&{in_words(here, 2)})&"{tail}"))',
        LOOKUP if words is None else words, "calc small")


def _put_us(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, rule: UsPanelRow, row: int, analysis: Analysis | None) -> None:
    found = analysis.nutrients[rule.tag] if analysis else None
    corrected = protein_dv(kitchen, analysis) if analysis and rule.corrected else None
    line = us_line(rule, found, kitchen, corrected) if found else None
    rounding, unit = kitchen.tables.rounding[rule.tag], kitchen.nutrient_by_tag[rule.tag].unit
    _put_amount(sheet, lay, row, rule.tag, unit, declared(found.serving, rounding) if found else None,
                us_amount(found, rounding, unit) if found else None)
    at = lay.result_rows()[rule.tag]
    no, reads, dv = a1(at, 0, True, True), a1(at, 1, True, True), lay.at("share", at)
    sign = f'IF({reads}="at least","≥",IF({reads}="at most","≤",""))'
    printed = lay.cell("unit", row)
    if rule.shows_pct:
        sheet.formula(row, lay.col["basis"],
                      f'=IF(OR({printed}="-",{printed}="{NOT_KNOWN}"),"",IF(AND(ISNUMBER({dv}),ISNUMBER(INDEX(pct_step_3,{no}))),'
                      f'{sign}&{in_words(rounded("pct_", no, dv), 0)}&"%",""))', line.second if line else LOOKUP, "calc small right")
    elif rule.corrected:
        quality = protein_dv_cell(lay)
        sheet.formula(row, lay.col["basis"], f'=IF(OR({printed}="-",{printed}="{NOT_KNOWN}",ISNUMBER({quality})=FALSE),"",'
                                             f'{sign}&{in_words(quality, 0)}&"%")', line.second if line else LOOKUP, "calc small right")
    else:
        sheet.put(row, lay.col["basis"], "", "calc small")
    name = INDENT * rule.indent + rule.name
    if AMOUNT not in name:
        sheet.put(row, lay.col["food"], name, "calc bold" if rule.bold else "calc")
        return
    before, after = (part.strip() for part in rule.name.split(AMOUNT))
    indent = INDENT * rule.indent
    # "less than 1 g" becomes "<1 g" inside the name, (d)(7)(i) allows the sign
    short = f'IF(LEFT({printed},9)="less than","<"&MID({printed},11,20),{sign}&{in_words(lay.cell("amount", row), 2)}&" {unit}")'
    sheet.formula(row, lay.col["food"],
                  f'=IF(OR({printed}="-",{printed}="{NOT_KNOWN}"),"{indent}{after}: "&{printed},"{indent}{before} "&{short}&" {after}")',
                  line.name if line else LOOKUP, "calc")


def _put_eu(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, rule: EuPanelRow, row: int, i: int, analysis: Analysis | None) -> None:
    rows = lay.result_rows()
    at = rows[rule.tag]
    no, cover, reads = a1(at, 0, True, True), lay.at("dish", at), a1(at, 1, True, True)
    exact = {"share": lay.at("water", at), "water": lay.at("basis", at)}
    factor = {"kj": "*const_kj_per_kcal", "salt": "*const_salt_per_sodium/1000"}.get(rule.kind, "")
    saying = f'=IF(ROUND({cover},9)<=0,"{NOT_KNOWN}",{reads}&"")'
    if rule.kind == "carbohydrate":
        fibre = rows["FIBTG"]
        exact = {key: f"MAX(0,{cell}-{lay.at(k, fibre)})" for (key, cell), k in zip(exact.items(), ("water", "basis"), strict=True)}
        other = a1(fibre, 1, True, True)
        saying = (f'=IF(OR(ROUND({cover},9)<=0,AND({reads}="at least",{other}="at least")),"{NOT_KNOWN}",'
                  f'IF({reads}<>"",{reads},IF({other}="at least","at most","")))')
    figures = eu_figures(kitchen, rule, analysis.nutrients) if analysis else None
    says = (figures[2] if figures[3] else NOT_KNOWN) if figures else LOOKUP
    sheet.put(row, lay.col["treat"], INDENT * rule.indent + rule.name, "calc")
    for j, (key, cell) in enumerate(exact.items()):
        sheet.formula(row, lay.col[key], f"={cell}{factor}", figures[j] if figures else LOOKUP, "calc n2 small")
    sheet.formula(row, lay.col["message"], saying, says, "calc small")
    share = f"{exact['share']}/INDEX(nut_dv,{no})*100"
    line = eu_line(kitchen, rule, analysis) if analysis else None
    for key, source, value in (("grams", "share", line.first if line else None), ("dish", "water", line.second if line else None)):
        text = _eu_text(lay, row, lay.cell(source, row), rule.unit)
        if rule.kind == "vitamin" and key == "grams":
            text += f'&IF(ISNUMBER(INDEX(nut_dv,{no}))," "&{in_words(share, 0)}&"%","")'
        sheet.formula(row, lay.col[key], text, LOOKUP if value is None else value, "calc small flow")
    if rule.kind != "vitamin":
        sheet.put(row, lay.col["count"], i + 1, "calc small centre")
        return
    above = block(lay.section[SECTION] + BEFORE, lay.col["count"], row - 1, lay.col["count"])
    sheet.formula(row, lay.col["count"],
                  f'=IF(ISNUMBER(INDEX(nut_dv,{no})),IF(ROUND({share},9)>=const_eu_significant,MAX({above})+1,""),"")', LOOKUP,
                  "calc small centre")


def _eu_text(lay: RecipeLayout, row: int, v: str, unit: str) -> str:
    says, servings = lay.cell("message", row), servings_cell(lay)

    def field(name: str) -> str:
        return f"INDEX(peu_{name},{a1(row, 0, fix_col=True)})"

    stepped = (f"IF(ROUND({v},9)<={field('upto_1')},{to_step(v, field('step_1'))},IF(ROUND({v},9)<={field('upto_2')},"
               f"{to_step(v, field('step_2'))},{to_step(v, field('step_3'))}))")
    return (f'=IF({servings}=0,"-",IF(OR({says}="{NOT_KNOWN}",AND({says}="at least",ROUND({v},9)<={field("low")})),"{NOT_KNOWN}",'
            f'IF(AND(ROUND({v},9)>0,ROUND({v},9)<={field("low")}),"<"&{in_words(field("least"), 2)},'
            f'IF({says}="","",{says}&" ")&{in_words(stepped, 2)})&" {unit}"))')
