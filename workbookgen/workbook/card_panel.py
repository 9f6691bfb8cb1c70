"""The label panel on a card: the vertical format of 21 CFR 101.9(d), or the EU declaration in the same frame."""

from __future__ import annotations

from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.nutrition.panel import AMOUNT
from workbookgen.workbook.book import LOOKUP, Sheet
from workbookgen.workbook.card_lines import CardWork
from workbookgen.workbook.card_plan import CardPlan, card_look, units_for
from workbookgen.workbook.card_styles import size_word
from workbookgen.workbook.recipe_panel import LINES, PanelBlock, panel_block
from workbookgen.workbook.recipe_sheet import RecipeSheet

NAME, FIGURE, SHARE = 5, 6, 7
#: Lines of the US panel above which a thick bar stands: before the vitamins, (d)(8).
VITAMINS = 10


def put_card_panel(sheet: Sheet, work: CardWork, recipe: RecipeSheet, plan: CardPlan, row: int) -> None:
    """Lay out the panel from grid row ``row``."""
    look, block = card_look()["panel"], panel_block(recipe.lay)
    small = size_word(card_look()["panel"]["size"])
    eu = f'{work.theirs(block.which)}="eu"'

    def wide(units: int, formula: str, style: str, edges: str = "bl br") -> None:
        nonlocal row
        sheet.formula(row, NAME, formula, LOOKUP, f"page {style} {edges}")
        sheet.merges.append((row, NAME, row + units - 1, SHARE))
        row += units

    wide(look["title"], f'=IF({eu},"Nutrition declaration","Nutrition Facts")', f"bold shrink {size_word(look['title_size'])}", "bl br bt")
    wide(look["servings"], f"={work.theirs(block.servings)}", f"{size_word(look['servings_size'])} hair shrink")
    wide(units_for(plan.serving_lines, look["servings_size"]), f'=IF({eu},"One portion: ","Serving size: ")&{work.theirs(block.serving)}',
         f"bold {size_word(look['servings_size'])} wrapped")
    wide(look["per"], f'=IF({eu},"Energy of one portion","Amount per serving")', f"bold {small} bar low")
    row = _put_energy(sheet, work, block, eu, look, row)
    row = _put_rows(sheet, work, recipe, plan, eu, row)
    note = look["note_lines"] * look["line"]
    style = f"top {small} bl br bb bar"
    sheet.formula(row, NAME, f"={work.theirs(block.note)}", LOOKUP, style)
    sheet.merges.append((row, NAME, row + note - 1, SHARE))


def _put_energy(sheet: Sheet, work: CardWork, block: PanelBlock, eu: str, look: dict[str, int], row: int) -> int:
    """Calories in large type; the sign stands in for "at least" there."""
    last = row + look["energy"] - 1
    label = f"page bold bl {size_word(look['energy_label_size'])}"
    figure = f"page bold br shrink {size_word(look['energy_size'])} rind"
    sheet.formula(row, NAME, f'=IF({eu},"kcal","Calories")', LOOKUP, label)
    sheet.merges.append((row, NAME, last, NAME))
    kcal = f'SUBSTITUTE(INDEX({work.theirs(block.eu_portion)},2)," kcal","")'
    said = f"IF({eu},{kcal},{work.theirs(block.energy)})"
    sheet.formula(row, FIGURE, f'=SUBSTITUTE(SUBSTITUTE({said},"at least ","≥"),"at most ","≤")', LOOKUP, figure)
    sheet.merges.append((row, FIGURE, last, SHARE))
    return last + 1


def _put_rows(sheet: Sheet, work: CardWork, recipe: RecipeSheet, plan: CardPlan, eu: str, row: int) -> int:
    look, block = card_look()["panel"], panel_block(recipe.lay)
    small = size_word(look["size"])
    rules = load_panel_rules()

    def line(units: int, texts: tuple[str, str, str], edge: str, bold: str, strong: bool = False) -> None:
        nonlocal row
        styles = (f"page shrink {small} bl {edge}", f"page shrink {small} {edge}", f"page shrink {small} br {edge} right")
        for col, text, style in zip((NAME, FIGURE, SHARE), texts, styles, strict=True):
            heavy = f"{style} bold" if strong else style
            sheet.formula(row, col, text, LOOKUP, heavy)
            sheet.merges.append((row, col, row + units - 1, col))
        if bold:
            sheet.conditions.append((row, NAME, row + units - 1, NAME, {"type": "formula", "criteria": bold}, "bold"))
        row += units

    line(look["head"], ('=""', f'=IF({eu},"100 g","")', f'=IF({eu},"portion","% DV*")'), "thick", "", True)
    sheet.cells[row - look["head"], SHARE].style = f"page {small} br thick right bold"
    place, numbers = work.theirs(block.place), work.theirs(block.numbers)
    for i in range(LINES):
        def of(cells: str, i: int = i) -> str:
            return f'INDEX({work.theirs(cells)},{i + 1})&""'

        def eu_of(cells: str, i: int = i) -> str:
            return f'IFERROR(INDEX({work.theirs(cells)},MATCH(INDEX({numbers},{i + 1}),{place},0))&"","")'

        us_amount = '""' if AMOUNT in rules.us[i].name else of(block.us_amount)
        def short(text: str) -> str:
            signed = f'SUBSTITUTE(SUBSTITUTE({text},"at least ","≥"),"at most ","≤")'
            return f'IF(LEN({text})>{work.cells["figure_letters"]},{signed},{text})'

        us_amount = us_amount if us_amount == '""' else short(us_amount)
        texts = (f"=IF({eu},{eu_of(block.eu_name)},{of(block.us_name)})", f"=IF({eu},{short(eu_of(block.eu_100g))},{us_amount})",
                 f"=IF({eu},{short(eu_of(block.eu_portion))},{of(block.us_pct)})")
        edge = "bar" if i == VITAMINS else "hair"
        strong = {True: "TRUE", False: "FALSE"}
        eu_bold = rules.eu[i].indent == 0 and rules.eu[i].kind != "vitamin"
        bold = f"=IF({work.theirs(block.which)}=\"eu\",{strong[eu_bold]},{strong[rules.us[i].bold]})"
        line(look["line"], texts, edge, bold)
    return row
