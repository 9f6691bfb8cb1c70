"""The page of a card: title, facts, ingredients, method, label panel, allergens, who should ask first, keeping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workbookgen.catalogue.paths import template_path
from workbookgen.workbook.book import LOOKUP, Sheet, a1
from workbookgen.workbook.card_boxes import BoxCells
from workbookgen.workbook.card_lines import CardWork, Slot
from workbookgen.workbook.card_panel import put_card_panel
from workbookgen.workbook.card_plan import (
    COLUMNS,
    MOST_ROWS,
    RIGHT,
    CardPlan,
    Place,
    card_look,
    fact_height,
    width_of,
)
from workbookgen.workbook.card_read import CHECK, HINT, INPUT
from workbookgen.workbook.card_styles import size_word
from workbookgen.workbook.fit import largest_fit
from workbookgen.workbook.look import look_rules
from workbookgen.workbook.recipe_about import about_block
from workbookgen.workbook.recipe_layout import INPUT_ROW
from workbookgen.workbook.recipe_panel import panel_block
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.statements_layout import SAY_CARD, struck_line_cell
from workbookgen.workbook.words import in_words

TITLE_SIZES = (24.0, 22.0, 20.0, 18.0, 16.0, 14.0)
AMOUNT, FOOD, FOOD_B, WEIGHT, GUTTER, NAME, FIGURE, SHARE = range(len(COLUMNS))
LAST = SHARE
NOT_GIVEN = "-"
#: The drawing at the end of the title: pixels from the left of its column, share of its own size, room it needs (points).
MARK_OFFSET, MARK_SCALE, TITLE_ROOM = 112, 0.33, 48.0
POINTS_PER_PIXEL, LOGO_GAP = 0.75, 4.0


#: The cell of a card that says whether everything fits.
CARD_CHECK_CELL = a1(INPUT, CHECK, True, True)


@dataclass(frozen=True, slots=True)
class PageCells:
    """What the page reads: the working, the printed rows, the boxes, the programme's words."""

    work: CardWork
    slots: list[Slot]
    boxes: Mapping[str, BoxCells]
    programme: Mapping[str, Any]


def put_page(sheet: Sheet, recipe: RecipeSheet, plan: CardPlan, cells: PageCells, top: int) -> str:
    """Lay out the page from row ``top``; returns the cell that says whether everything fits."""
    page = card_look()["page"]
    _put_title(sheet, recipe, plan, cells, top)
    _put_facts(sheet, recipe, plan, cells, top + 2)
    grid = top + 5
    sheet.heights[top + 4] = page["gap"]
    for row in range(grid, grid + plan.units):
        sheet.heights[row] = page["unit"]
    _put_ingredients(sheet, plan, cells, grid)
    put_card_panel(sheet, cells.work, recipe, plan, grid + plan.places["panel"].first)
    _put_blocks(sheet, plan, cells, grid)
    _put_footer(sheet, recipe, cells, grid + plan.units)
    return _put_check(sheet, recipe, plan, cells)


def merged(sheet: Sheet, row: int, col: int, last_row: int, last_col: int, style: str) -> None:
    """One printed cell over several grid cells; its content has been put at its first cell."""
    if (row, col) == (last_row, last_col):
        return
    sheet.blank(row, col, style)
    sheet.merges.append((row, col, last_row, last_col))


def _put_title(sheet: Sheet, recipe: RecipeSheet, plan: CardPlan, cells: PageCells, row: int) -> None:
    page = card_look()["page"]
    title = recipe.sheet.ref(INPUT_ROW, recipe.lay.col["r_food"])
    known = recipe.recipe.title if recipe.recipe else ""
    image, room = _title_picture(cells.programme)
    size = largest_fit(known, TITLE_SIZES, width_of("amount", "food", "food_b", "weight", "gutter", "name") - room, True)
    sheet.heights |= {row: page["title"], row + 1: page["intro_line"]}
    style = f"band accent bold wrapped {size_word(size)} ind"
    sheet.formula(row, AMOUNT, f'={title}&""', LOOKUP, style)
    merged(sheet, row, AMOUNT, row, NAME, style)
    sheet.put(row, FIGURE, str(cells.programme["name"]), "band accent wrapped s90 rind")
    merged(sheet, row, FIGURE, row, LAST, "band accent wrapped s90 rind")
    sheet.images.append((row, NAME, *image))
    intro = "page italic shrink spruce s95 ind"
    # a recipe made many times over carries the note on scaling there, in place of the line the user typed
    work = cells.work
    said = f'=IF(ROUND({work.cells["scale"]},9)>const_scale_most,{work.words["scaled"]},{work.cells["intro"]})'
    sheet.formula(row + 1, AMOUNT, said, LOOKUP, intro)
    merged(sheet, row + 1, AMOUNT, row + 1, LAST, intro)


def _title_picture(programme: Mapping[str, Any]) -> tuple[tuple[str, dict[str, Any]], float]:
    """Drawing at the end of the title, or the programme's logo there, and the room it takes (points)."""
    logo = programme.get("logo")
    if logo is None:
        return (str(template_path("card_mark.png")), {
            "x_offset": MARK_OFFSET, "y_offset": 0, "x_scale": MARK_SCALE, "y_scale": MARK_SCALE, "object_position": 2,
            "description": "A steaming bowl, drawn in white lines", "decorative": False}), TITLE_ROOM
    scale, width, height = logo.fitted(look_rules()["logo"]["card"])
    wide = width_of("name") / POINTS_PER_PIXEL
    options = logo.options(scale, str(programme["name"])) | {
        "x_offset": max(0.0, wide - width - LOGO_GAP), "y_offset": max(0.0, (card_look()["page"]["title"] / POINTS_PER_PIXEL - height) / 2)}
    return (logo.name, options), (width + 2 * LOGO_GAP) * POINTS_PER_PIXEL


def _put_facts(sheet: Sheet, recipe: RecipeSheet, plan: CardPlan, cells: PageCells, row: int) -> None:
    """Makes, one serving, hands-on and cooking time."""
    page, lay, work = card_look()["page"], recipe.lay, cells.work
    sheet.heights |= {row: page["fact_label"], row + 1: fact_height(plan.fact_lines)}
    servings, make, scale = work.theirs(servings_cell(lay)), work.cells["make"], work.cells["scale"]
    about, panel = about_block(lay), panel_block(lay)
    made = (f'=IF({servings}=0,"{NOT_GIVEN}",{in_words(make, 1)}&IF({in_words(make, 1)}=1," serving"," servings")&IF(ROUND({scale},9)=1,"",'
            f'" ("&{in_words(scale, 2)}&" times the recipe)"))')

    def time(address: str) -> str:
        return f'=IF({work.theirs(address)}="","{NOT_GIVEN}",{work.theirs(address)})'

    facts = ((AMOUNT, FOOD, "Makes", made),
             (FOOD_B, GUTTER, "One serving", f'=IF({work.theirs(panel.serving)}="","{NOT_GIVEN}",{work.theirs(panel.serving)})'),
             (NAME, NAME, "Hands-on", time(about.prep)), (FIGURE, SHARE, "Cooking", time(about.cook)))
    for first, last, label, formula in facts:
        gap = " factgap" if first else ""
        sheet.put(row, first, label, f"fact factlabel s80{gap}")
        merged(sheet, row, first, row, last, f"fact factlabel s80{gap}")
        size = size_word(plan.fact_size if first == FOOD_B else page["fact_size"])
        sheet.formula(row + 1, first, formula, LOOKUP, f"fact factvalue wrapped {size}{gap}")
        merged(sheet, row + 1, first, row + 1, last, f"fact factvalue wrapped {size}{gap}")


def _put_heading(sheet: Sheet, row: int, place: Place, col: int, last: int, text: str, style: str = "chead") -> None:
    full = f"{style} {size_word(place.size)}"
    if text.startswith("="):
        sheet.formula(row, col, text, LOOKUP, full)
    else:
        sheet.put(row, col, text, full)
    merged(sheet, row, col, row + place.units - 1, last, full)


def _put_ingredients(sheet: Sheet, plan: CardPlan, cells: PageCells, grid: int) -> None:
    work, units = cells.work, plan.row_units
    head = plan.places["ingredients_head"]
    _put_heading(sheet, grid + head.first, head, AMOUNT, FOOD, "Ingredients")
    made = (f'=IF({work.cells["make"]}=0,"","for "&{in_words(work.cells["make"], 1)}&IF({in_words(work.cells["make"], 1)}=1," serving"," servings")'
            f'&IF({work.cells["units"]}="metric",", metric",""))')
    note = "chead right s90"
    sheet.formula(grid + head.first, FOOD_B, made, LOOKUP, note)
    merged(sheet, grid + head.first, FOOD_B, grid + head.first + head.units - 1, WEIGHT, note)
    size = size_word(plan.text)
    for i, slot in enumerate(cells.slots):
        row = grid + plan.places["slots"].first + i * units
        last = row + units - 1
        for col, end, address, style in ((AMOUNT, AMOUNT, slot.amount, f"page rule bold shrink {size}"),
                                         (FOOD, FOOD_B, slot.text, f"page rule shrink {size}"),
                                         (WEIGHT, WEIGHT, slot.beside, f"page rule right shrink {size_word(max(8.0, plan.text - 1))}")):
            sheet.formula(row, col, f"={address}", LOOKUP, style)
            merged(sheet, row, col, last, end, style)
        sheet.conditions.append((row, AMOUNT, last, WEIGHT, {"type": "formula", "criteria": f"={slot.place}=0"}, "slotmark"))


def _put_blocks(sheet: Sheet, plan: CardPlan, cells: PageCells, grid: int) -> None:
    """Method, allergens, who should ask first, keeping, notes."""
    places, boxes = plan.places, cells.boxes

    def sides(place: Place) -> tuple[int, int]:
        return (NAME, SHARE) if place.side == RIGHT else (AMOUNT, WEIGHT)

    def box(key: str, style: str) -> None:
        place = places[key]
        first, last = sides(place)
        row = grid + place.first
        full = f"top {size_word(place.size)} {style}".strip()
        sheet.formula(row, first, f"={boxes[key].text}", LOOKUP, full)
        merged(sheet, row, first, row + place.units - 1, last, full)

    def heading(key: str, text: str, style: str = "chead") -> None:
        place = places[f"{key}_head"]
        _put_heading(sheet, grid + place.first, place, *sides(place), text, style)

    heading("method", "Method")
    box("method", "")
    box("under", "italic")
    box("contains", "bold rbt rbl rbr rbb page wrapped")
    box("rest", "")
    heading("ask", f'=IF({boxes["ask"].text}="","","Who should ask first")', "cask")
    box("ask", "")
    raw, kept = cells.work.words["cook to"], boxes["keeping"].text
    heading("keeping", f'=IF({kept}="","",IF(LEFT({kept},LEN({raw}))={raw},"Cook through and keep","Keeping"))')
    box("keeping", "")
    heading("notes", f'=IF({boxes["notes"].text}="","","Good to know")')
    box("notes", "")


def _put_footer(sheet: Sheet, recipe: RecipeSheet, cells: PageCells, row: int) -> None:
    page, work = card_look()["page"], cells.work
    about = about_block(recipe.lay)
    version, reviewer, date = (work.theirs(a) for a in (about.version, about.reviewer, about.date))
    said = (f'=IF({version}="","","Version "&{version}&". ")&IF({reviewer}="","Not reviewed yet. ","Reviewed by "&{reviewer}&'
            f'IF({date}="",". ",", "&{date}&". "))&{work.cells["source"]}')
    rounding = work.words["rounding"]
    lines = [(said, "foot s80 shrink"), (f"={rounding}", "page s80 shrink spruce")]
    if SAY_CARD in recipe.lay.section:  # ticked statements that no longer hold stand there, struck out
        struck = work.theirs(struck_line_cell(recipe.lay))
        lines[1] = (f'=IF({struck}="",{rounding},{struck})', "page s80 shrink spruce")
        sheet.conditions.append((row + 1, AMOUNT, row + 1, LAST, {"type": "formula", "criteria": f'={struck}<>""'}, "struck"))
    for i, (formula, style) in enumerate(lines):
        sheet.heights[row + i] = page["footer_line"]
        sheet.formula(row + i, AMOUNT, formula, LOOKUP, style)
        merged(sheet, row + i, AMOUNT, row + i, LAST, style)


def _put_check(sheet: Sheet, recipe: RecipeSheet, plan: CardPlan, cells: PageCells) -> str:
    """Which texts are longer than their boxes, beside the inputs."""
    work = cells.work
    total = a1(work.last, work.col("end"), True, True)
    names = {"method": "method", "under": "lines under the panel", "contains": "Contains line", "rest": "allergen lines",
             "ask": "who should ask first", "keeping": "keeping", "notes": "good to know"}
    parts = [f'IF({total}>{cells.slots[-1].number},"ingredients, ","")']
    left = work.column(f"rest{MOST_ROWS}")
    parts.append(f'IF(SUMPRODUCT(({left}<>"")*1)>0,"the text of an ingredient, ","")')
    parts.append(f'IF(LEN({work.theirs(panel_block(recipe.lay).serving)})>{work.cells["serving_letters"]},"one serving, ","")')
    parts += [f'IF({box.too_long}>0,"{names[key]}, ","")' for key, box in cells.boxes.items()]
    small = "" if plan.fits else '&"Texts are printed smaller than 8 point: shorten them. "'
    joined = "&".join(parts)
    formula = f'=IF({joined}="","All texts fit.","Longer than the box: "&{joined}&"shorten or rebuild.")'
    formula = formula if plan.fits else formula + small
    sheet.formula(INPUT, CHECK, formula, LOOKUP, "attention")
    sheet.merges.append((INPUT, CHECK, HINT, LAST))
    sheet.blank(INPUT, CHECK, "attention")
    return CARD_CHECK_CELL
