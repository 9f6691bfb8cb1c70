"""The inputs of a card, how they are read, its sentences and the texts of its boxes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.card_boxes import BoxCells, put_box, put_box_heads
from workbookgen.workbook.card_lines import CardWork
from workbookgen.workbook.card_plan import (
    COLUMNS,
    INDENT,
    RIGHT,
    CardPlan,
    CardTexts,
    card_look,
    row_capacity,
    side_width,
    width_of,
)
from workbookgen.workbook.card_texts import BULLET, SWITCH, CardSentences
from workbookgen.workbook.fit import per_line
from workbookgen.workbook.frame import START
from workbookgen.workbook.handout_layout import card_cells
from workbookgen.workbook.recipe_about import NOTES, about_block
from workbookgen.workbook.recipe_layout import INPUT_ROW
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.statements_layout import CARD_STATEMENTS, SAY_CARD
from workbookgen.workbook.words import tidy

LABEL, INPUT, HINT = 2, 3, 4
TEXT_LABEL, TEXT_INPUT, TEXT_HINT = 5, 6, 7
SERVINGS, UNITS, CHOICES, INTRO, SOURCE = 0, 1, 2, 0, 5
INTRO_LAST, SOURCE_LAST = 3, 7
CHECK = 5
LONGEST_LINE = 250


def put_inputs(sheet: Sheet, recipe: RecipeSheet, tab: str, programme: Mapping[str, Any]) -> None:
    """The strip above the page: what to make, in which units, and two lines of text."""
    last = len(COLUMNS) - 1
    title = f"{recipe.sheet.ref(INPUT_ROW, recipe.lay.col['r_food'])}"
    sheet.heights |= {0: 30, 1: 18, LABEL: 16, INPUT: 22, HINT: 26, TEXT_LABEL: 16, TEXT_INPUT: 22, TEXT_HINT: 16, TEXT_HINT + 1: 10}
    sheet.formula(0, 0, f'="Card: "&IF({title}="","empty recipe",{title})', LOOKUP, "title")
    sheet.band(0, 1, last, "title")
    sheet.put(1, 0, "Everything here follows the recipe sheet. It prints on one page, Letter or A4.", "purpose")
    sheet.merges.append((1, 0, 1, SOURCE - 1))
    sheet.link(1, SOURCE, recipe.sheet.name, "Back to the recipe", "link")
    sheet.link(1, last - 1, START, "Back to Start", "link")
    written = recipe.recipe
    servings: Value = written.servings if written else ""
    inputs: tuple[tuple[int, str, Value, str, str], ...] = (
        (SERVINGS, "Servings to make", servings, "input amount", "empty: as the recipe"),
        (UNITS, "Measures", "household", "input small", "household or metric"),
        (CHOICES, "Carbohydrate choices", "yes" if written and SWITCH in written.switches else "no", "input small", "yes or no"),
    )
    for col, label, value, style, hint in inputs:
        sheet.put(LABEL, col, label, "label")
        sheet.put(INPUT, col, value, style)
        sheet.put(HINT, col, hint, "hint")
    sheet.choose_from(INPUT, UNITS, INPUT, UNITS, ["household", "metric"], "Measures", "household: cups, spoons, pounds; metric: g and mL")
    sheet.choose_from(INPUT, CHOICES, INPUT, CHOICES, ["yes", "no"], "Carbohydrate choices", "Print the number of 15 g choices.")
    source = f"{programme['name']}, {programme['place']}"
    for first, end, label, value, hint in ((INTRO, INTRO_LAST, "Line under the title", "", "printed in italics"),
                                           (SOURCE, SOURCE_LAST, "Source line", source, "printed at the foot")):
        sheet.put(TEXT_LABEL, first, label, "label")
        sheet.put(TEXT_INPUT, first, value, "input small")
        sheet.band(TEXT_INPUT, first, end, "input small")
        sheet.merges.append((TEXT_INPUT, first, TEXT_INPUT, end))
        sheet.put(TEXT_HINT, first, hint, "hint")
    sheet.put(LABEL, CHECK, "Does everything fit?", "label")


def put_read(work: CardWork, kitchen: Kitchen, recipe: RecipeSheet, words: CardSentences, plan: CardPlan, texts: CardTexts,
             first: int) -> int:
    """Inputs as read and sentences, each in a cell of its own; returns the next free row."""
    sheet, lay = work.sheet, recipe.lay
    servings = work.theirs(servings_cell(lay))
    x, u, c = (f"INDEX({block(LABEL, col, HINT, col)},2)" for col in (SERVINGS, UNITS, CHOICES))
    intro, source = (f"INDEX({block(TEXT_LABEL, col, TEXT_HINT, col)},2)" for col in (INTRO, SOURCE))
    at = first + 1
    make = a1(at, 1, True, True)
    rows: tuple[tuple[str, str, str, Value | None], ...] = (
        ("make", "Servings to make", f"=IF(ISLOGICAL({x}),{servings},IF(ISNUMBER({x}),IF(AND({x}>=const_servings_min,{x}<=const_servings_max),"
                                     f"{x},{servings}),{servings}))", recipe.analysis.servings if recipe.analysis else None),
        ("scale", "Times the recipe", f"=IF({servings}=0,1,{make}/{servings})", 1.0 if recipe.analysis else None),
        ("units", "Measures", f'=IF(ISTEXT({u}),IF(LOWER({tidy(u)})="metric","metric","household"),"household")', "household"),
        ("choices", "Carbohydrate choices (1 = yes)", f'=IF(ISTEXT({c}),IF(LOWER({tidy(c)})="yes",1,0),0)', None),
        ("intro", "Line under the title", f'=IF(ISTEXT({intro}),LEFT({tidy(intro)},{LONGEST_LINE}),"")', None),
        ("source", "Source line", f'=IF(ISTEXT({source}),LEFT({tidy(source)},{LONGEST_LINE}),"")', None),
    )
    sheet.put(first, 0, "Inputs as read, and sentences of the card", "label")
    for key, label, formula, value in rows:
        sheet.put(at, 0, label, "work")
        sheet.formula(at, 1, formula, LOOKUP if value is None else value, "work n2" if key in ("make", "scale") else "work")
        work.cells[key] = a1(at, 1, True, True)
        at += 1
    for key, label, letters in (("capacity", "Letters that fit an ingredient row", row_capacity(texts.lines, plan.text)),
                                ("figure_letters", "Letters of an amount on the panel", card_look()["panel"]["figure_letters"]),
                                ("serving_letters", "Letters of one serving in words", _serving_letters(texts, plan))):
        sheet.put(at, 0, label, "work")
        sheet.put(at, 1, letters, "work n0")
        work.cells[key] = a1(at, 1, True, True)
        at += 1
    for key, text in words.by_key.items():
        sheet.put(at, 0, f"Sentence: {key}", "work")
        sheet.put(at, 1, text, "work")
        work.words[key] = a1(at, 1, True, True)
        at += 1
    return at + 1


def _serving_letters(texts: CardTexts, plan: CardPlan) -> int:
    """Letters of a serving in words that both its places hold: at least those it has when the book is built."""
    look = card_look()
    label = len("Serving size: ")
    panel = per_line(look["panel"]["servings_size"], side_width(RIGHT)) * plan.serving_lines - label
    facts = per_line(plan.fact_size, width_of("food_b", "weight", "gutter") - INDENT) * plan.fact_lines
    return max(len(texts.serving), min(panel, facts))


def put_boxes(work: CardWork, kitchen: Kitchen, recipe: RecipeSheet, plan: CardPlan, texts: CardTexts, words: CardSentences,
              first: int) -> dict[str, BoxCells]:
    """The texts of all boxes, read from the recipe sheet."""
    sheet = work.sheet
    at, steps = _put_steps(work, recipe, first)
    at = put_box_heads(sheet, at)
    found: dict[str, BoxCells] = {}
    for key, parts in ({"method": steps} | _parts(work, kitchen, recipe)).items():
        known = texts.boxes.get(key, ())
        at, found[key] = put_box(sheet, at, key, parts, plan.places[key], work.words["longer"], known, airy=key == "method")
    return found


def _parts(work: CardWork, kitchen: Kitchen, recipe: RecipeSheet) -> dict[str, Sequence[str]]:
    """Formula pieces of the parts of each box."""
    lay = recipe.lay
    parts: dict[str, Sequence[str]] = {"under": _under(work, recipe)}
    notes = [f'INDEX({work.theirs(about_block(lay).notes)},{k})' for k in range(1, NOTES + 1)]
    parts["notes"] = [*_statements(work, recipe), *(f'IF({n}="","","{BULLET}"&{n})' for n in notes)]
    if not kitchen.safety.allergens:
        return parts | {key: ['""'] for key in ("contains", "rest", "ask", "keeping")}

    def cells(key: str) -> list[str]:
        return [recipe.sheet.ref(*where) for where in card_cells(lay, kitchen.safety)[key]]

    contains = cells("contains")
    names = [s.name for s in kitchen.safety.suitability]
    suitable = "&".join(f'"{" " if i else ""}{name}: "&{cell}&"."' for i, (name, cell) in
                        enumerate(zip(names, cells("suitability"), strict=True)))
    first = cells("suitability")[0]
    parts["contains"] = [f'{contains[0]}&""']
    parts["rest"] = [*(f'{cell}&""' for cell in contains[1:]), f'IF({first}="-","",{suitable})', *(f'{c}&""' for c in cells("alcohol"))]
    asks = cells("cautions")
    parts["ask"] = [*(f'IF({cell}="","","{BULLET}"&{cell})' for cell in asks), f'IF({contains[0]}="","",{work.words["ask"]})']
    heat, raw = cells("temperatures"), cells("raw_handling")[0]
    heated = "&".join(f'IF({cell}="",""," "&{cell}&".")' for cell in heat)
    keep = cells("keeping")
    kept = f'{keep[0]}&' + "&".join(f'IF({cell}="",""," "&{cell})' for cell in keep[1:])
    parts["keeping"] = [f'IF({heat[0]}="","",{work.words["cook to"]}&{heated})', f'{raw}&""', kept]
    return parts


def _put_steps(work: CardWork, recipe: RecipeSheet, first: int) -> tuple[int, list[str]]:
    """Steps of the method as read, numbered without gaps; returns the next row and the parts of the box."""
    sheet, lay = work.sheet, recipe.lay
    guard = work.theirs(block(lay.method_head, lay.col["food"], lay.method_edge, lay.col["food"]))
    sheet.put(first, 0, "Steps of the method", "label")
    for i, head in enumerate(("No.", "Step", "Number printed")):
        sheet.put(first + 1, i, head, "workhead")
    parts: list[str] = []
    for k in range(lay.method_last - lay.method_first + 1):
        row = first + 2 + k
        x = f"INDEX({guard},{a1(row, 0, fix_col=True)}+1)"
        text, number = a1(row, 1, True, True), a1(row, 2, True, True)
        above = f"COUNT({block(first + 2, 2, row - 1, 2)})+1" if k else "1"
        sheet.put(row, 0, k + 1, "work n0")
        sheet.formula(row, 1, f'=IF(ISTEXT({x}),{tidy(x)},"")', LOOKUP, "work")
        sheet.formula(row, 2, f'=IF({text}="","",{above})', LOOKUP, "work n0")
        parts.append(f'IF({text}="","",{number}&". "&{text})')
    return first + 3 + len(parts), parts


def _under(work: CardWork, recipe: RecipeSheet) -> list[str]:
    """What stands under the panel: how the figures came about, and carbohydrate choices where switched on."""
    lay = recipe.lay
    row = lay.result_rows()["CHOCDF"]
    grams, reads = (recipe.sheet.ref(row, col) for col in (lay.col["basis"], 1))
    halves = f"ROUND(ROUND({grams}/const_carb_choice*2,9),0)"
    whole = f"INT({halves}/2)"
    half = f"{halves}-2*{whole}"
    number = f'IF(AND({whole}=0,{half}=1),"1/2",{whole}&IF({half}=1," 1/2",""))'
    about = f'IF({reads}="","About",IF({reads}="at least","At least","At most"))'
    said = f'SUBSTITUTE(SUBSTITUTE({work.words["choices"]},"{{about}}",{about}),"{{choices}}",{number})'
    servings = work.theirs(servings_cell(lay))
    return [work.words["calculated"], f'IF(OR({work.cells["choices"]}=0,{servings}=0),"",{said})']


def _statements(work: CardWork, recipe: RecipeSheet) -> list[str]:
    """Statements that may be printed, with what must be said beside them, from the rows kept for them."""
    lay = recipe.lay
    if SAY_CARD not in lay.section:
        return ['""']
    first = lay.section[SAY_CARD] + 2
    cells = [recipe.sheet.ref(first + k, lay.col["food"]) for k in range(CARD_STATEMENTS)]
    return [f'IF({cell}="","","{BULLET}"&{cell})' for cell in cells]
