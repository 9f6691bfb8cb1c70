"""Hubs: Results (one row per recipe) and Lines (recipe x ingredient); other sheets read only these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, column_name
from workbookgen.workbook.compare_hub import compare_heads, name_compare_ranges, put_compare_row
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.handout_hub import handout_heads, put_handout_row
from workbookgen.workbook.recipe_layout import FIRST_LINE, INPUT_ROW
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.statements_hub import (
    LINE_COLUMNS,
    name_statement_ranges,
    put_statement_row,
    statement_heads,
)
from workbookgen.workbook.tables_sheet import PLATE_GROUPS

HEAD = 4
FIRST = 5
MOST_SLOTS = 60


@dataclass(frozen=True, slots=True)
class Hub:
    """A hub with its columns by key and its last row."""

    sheet: Sheet
    col: dict[str, int]
    last: int


def put_results_hub(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Hub:
    """One row per recipe sheet: title, weights, verdict counts, every nutrient per serving and per 100 g."""
    sheet = book.add("Results")
    put_frame(sheet, "Results", "One row per recipe sheet, read by Overview and the other sheets. Nothing to type here.", 9)
    col: dict[str, int] = {}
    heads: list[tuple[str, str, float]] = [
        ("slot", "No.", 5), ("tab", "Sheet", 24), ("title", "Recipe", 34), ("pick", "Name in lists", 30), ("servings", "Servings", 9),
        ("serving_words", "One serving is", 22), ("serving_g", "Serving, g", 9), ("dish_g", "Dish, g", 9),
        ("bad", "Lines to mend", 8), ("met", "Targets met", 8), ("not_met", "Targets not met", 8),
        ("unsure", "Targets open", 8),
    ]
    for g in range(1, PLATE_GROUPS + 1):
        heads += [(f"group_{g}", f"Plate group {g}", 18), (f"share_{g}", f"Share {g}, %", 8), (f"verdict_{g}", f"Verdict {g}", 14)]
    heads += handout_heads(kitchen.safety)
    for n in kitchen.tables.nutrients:
        heads.append(("v_" + n.tag, f"{n.name}, {n.unit} per serving", 10))
    for n in kitchen.tables.nutrients:
        heads.append(("h_" + n.tag, f"{n.name}, {n.unit} per 100 g", 10))
    for n in kitchen.tables.nutrients:
        heads.append(("r_" + n.tag, f"{n.name} reads", 9))
    heads += compare_heads(kitchen)
    heads += statement_heads(kitchen)
    for key, head, width in heads:
        col[key] = len(col)
        sheet.put(HEAD, col[key], head, "head")
        sheet.widths[col[key]] = width
    sheet.heights[HEAD] = 54
    for i, recipe in enumerate(recipes):
        _put_result_row(sheet, col, FIRST + i, i + 1, recipe)
        put_handout_row(sheet, col, FIRST + i, kitchen.safety, recipe)
        put_statement_row(sheet, col, FIRST + i, kitchen, recipe)
        put_compare_row(sheet, col, FIRST + i, kitchen, recipe)
    last = FIRST + max(len(recipes), 1) - 1
    book.name_range("res_title", sheet, FIRST, col["pick"], last, col["pick"])
    for key in ("tab", "servings", "serving_g", *(key for key, _, _ in handout_heads(kitchen.safety))):
        book.name_range("res_" + key, sheet, FIRST, col[key], last, col[key])
    for n in kitchen.tables.nutrients:
        for prefix in ("v_", "h_", "r_"):
            book.name_range(f"res_{prefix}{column_name(n.tag)}", sheet, FIRST, col[prefix + n.tag], last, col[prefix + n.tag])
    name_statement_ranges(book, sheet, col, FIRST, last, kitchen)
    name_compare_ranges(book, sheet, col, FIRST, last)
    sheet.freeze = (FIRST, 3)
    sheet.landscape = True
    sheet.print_area = (0, 0, last, col[f"verdict_{PLATE_GROUPS}"])
    sheet.first_input = (FIRST, 0)
    return Hub(sheet, col, last)


def _put_result_row(sheet: Sheet, col: dict[str, int], row: int, slot: int, recipe: RecipeSheet) -> None:
    lay, source, analysis = recipe.lay, recipe.sheet, recipe.analysis

    def ref(key: str, at: int) -> str:
        return source.ref(at, lay.col[key])

    def put(key: str, formula: str, style: str, value: Value | None = None) -> None:
        sheet.formula(row, col[key], formula, LOOKUP if value is None else value, f"calc small {style}".strip())

    sheet.put(row, col["slot"], slot, "calc small centre")
    sheet.link(row, col["tab"], source.name, source.name)
    put("title", f'={ref("r_food", INPUT_ROW)}&""', "", recipe.recipe.title if recipe.recipe else None)
    pick = f"SUBSTITUTE(SUBSTITUTE(SUBSTITUTE({ref('r_food', INPUT_ROW)},\"*\",\"_\"),\"?\",\"_\"),\"~\",\"_\")"
    put("pick", f"={pick}", "")  # MATCH takes * ? ~ for wildcards, so lists offer titles without them
    put("servings", f"={ref('r_amount', INPUT_ROW)}", "n1", analysis.servings if analysis else None)
    put("serving_words", f'={ref("r_basis", INPUT_ROW)}&""', "")
    servings, weight = (source.ref(*_at(c)) for c in (servings_cell(lay), weight_cell(lay)))
    put("serving_g", f"=IF({servings}=0,0,{weight}/{servings})", "n0", analysis.serving_g if analysis else None)
    put("dish_g", f"={weight}", "n0", analysis.cooked_weight if analysis else None)
    put("bad", f"={ref('bad', lay.total)}", "n0")
    verdicts = f"{source.ref(lay.target_first, lay.col['treat'])}:{_tail(source.ref(lay.target_last, lay.col['treat']))}"
    for key, word in (("met", "met"), ("not_met", "not met"), ("unsure", "cannot be judged")):
        value = float(sum(t.verdict == word and t.value is not None for t in analysis.targets)) if analysis else None
        put(key, f'=COUNTIF({verdicts},"{word}")', "n0", value)
    for g in range(PLATE_GROUPS):
        at = lay.plate_first + g
        put(f"group_{g + 1}", f'={ref("food", at)}&""', "")
        put(f"share_{g + 1}", f"={ref('unit', at)}", "n0")
        put(f"verdict_{g + 1}", f'={ref("treat", at)}&""', "")
    for tag, at in lay.result_rows().items():
        found = analysis.nutrients[tag] if analysis else None
        put("v_" + tag, f"={ref('basis', at)}", "n2", found.serving if found else None)
        put("h_" + tag, f"={ref('water', at)}", "n2", found.per_100g if found else None)
        put("r_" + tag, f'={source.ref(at, 1)}&""', "", found.reads if found else None)


def _at(fixed: str) -> tuple[int, int]:
    """Zero-based row and column of a fixed address."""
    from xlsxwriter.utility import xl_cell_to_rowcol

    row, col = xl_cell_to_rowcol(fixed)
    return int(row), int(col)


def _tail(ref: str) -> str:
    return ref.rsplit("!", 1)[1]


def put_lines_hub(book: Book, recipes: Sequence[RecipeSheet]) -> Hub:
    """One row per recipe sheet and ingredient line."""
    sheet = book.add("Lines")
    put_frame(sheet, "Lines", "One row per recipe and ingredient line, read by sheets that add up over recipes. Nothing to type here.", 8)
    heads = (("slot", "Recipe no.", 8), ("title", "Recipe", 32), ("line", "Line", 6), ("food", "Food", 34), ("row", "Row in Foods", 8),
             ("purchased", "Weight as measured, g", 10), ("grams", "Edible weight, g", 10), ("dish", "In the dish, g", 10),
             ("count", "Counted (1 = yes)", 8), *LINE_COLUMNS)
    col = {key: i for i, (key, _, _) in enumerate(heads)}
    for key, head, width in heads:
        sheet.put(HEAD, col[key], head, "head")
        sheet.widths[col[key]] = width
    sheet.heights[HEAD] = 40
    row = FIRST
    for slot, recipe in enumerate(recipes, 1):
        row = _put_line_rows(sheet, col, row, slot, recipe)
    last = max(row - 1, FIRST)
    for key in ("slot", "food", "row", "purchased", "grams", "dish", "count", *(key for key, _, _ in LINE_COLUMNS)):
        book.name_range("line_" + key, sheet, FIRST, col[key], last, col[key])
    sheet.freeze = (FIRST, 3)
    sheet.filters = (HEAD, 0, last, len(heads) - 1)
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.first_input = (FIRST, 0)
    return Hub(sheet, col, last)


def _put_line_rows(sheet: Sheet, col: dict[str, int], row: int, slot: int, recipe: RecipeSheet) -> int:
    lay, source, analysis = recipe.lay, recipe.sheet, recipe.analysis
    for i in range(lay.lines):
        at = FIRST_LINE + i
        result = analysis.lines[i] if analysis and i < len(analysis.lines) else None

        def put(key: str, from_key: str, style: str, value: Value | None, text: bool = False, at: int = at, to: int = row + i) -> None:
            ref = source.ref(at, lay.col[from_key])
            sheet.formula(to, col[key], f'={ref}&""' if text else f"={ref}", LOOKUP if value is None else value,
                          f"calc small {style}".strip())

        sheet.put(row + i, col["slot"], slot, "calc small centre")
        sheet.formula(row + i, col["title"], f'={source.ref(INPUT_ROW, lay.col["r_food"])}&""', LOOKUP, "calc small")
        sheet.put(row + i, col["line"], i + 1, "calc small centre")
        put("food", "r_food", "", None, text=True)
        put("row", "row", "n0", None)
        put("purchased", "purchased", "n1", result.grams if result else (0.0 if analysis else None))
        put("grams", "grams", "n1", result.edible if result else (0.0 if analysis else None))
        put("dish", "dish", "n1", result.cooked if result else (0.0 if analysis else None))
        put("count", "r_count", "n0", None)
        for key, _, _ in LINE_COLUMNS:
            put(key, key, "n1", None)
    return row + lay.lines
