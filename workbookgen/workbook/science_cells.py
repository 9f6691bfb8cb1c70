"""Small moves shared by the science blocks of a recipe sheet."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.workbook.book import Sheet, Value, _Lookup, block
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.science_inputs import choice_number
from workbookgen.workbook.science_layout import INPUT_HINTS, INPUT_LABELS, INPUTS


def put_title(sheet: Sheet, lay: RecipeLayout, key: str, title: str) -> int:
    """Section title; returns the block's first row."""
    top = lay.section[key]
    sheet.put(top, 0, title, "section")
    sheet.band(top, 0, lay.front_last, "section")
    return top


def put_choice(sheet: Sheet, lay: RecipeLayout, top: int, key: str, label: str, value: Value, hint: str, names: str,
               style: str = "input small") -> str:
    """One input of a block with its label above and hint below; returns the text the input holds, for formulas."""
    col = lay.col[key]
    sheet.put(top + INPUT_LABELS, col, label, "label")
    sheet.put(top + INPUTS, col, value, style)
    sheet.put(top + INPUT_HINTS, col, hint, "hint")
    sheet.heights[top + INPUTS] = 20
    sheet.heights[top + INPUT_HINTS] = 24
    sheet.choose_from(top + INPUTS, col, top + INPUTS, col, f"={names}", label[:32], hint)
    return f"INDEX({block(top + INPUT_LABELS, col, top + INPUT_HINTS, col)},2)"


def put_number(sheet: Sheet, lay: RecipeLayout, row: int, key: str, x: str, names: str, default: str,
               value: float | None) -> str:
    """Position of a typed word in a range, in a working cell; returns its address."""
    from workbookgen.workbook.book import LOOKUP

    return sheet.formula(row, lay.col[key], choice_number(x, names, default), LOOKUP if value is None else value, "work n0")


def put_heads(sheet: Sheet, lay: RecipeLayout, row: int, heads: Sequence[tuple[str, str]], height: float = 30) -> None:
    """Headings by column key."""
    for key, head in heads:
        sheet.put(row, lay.col[key], head, "head")
    sheet.heights[row] = height


def put_column(sheet: Sheet, lay: RecipeLayout, key: str, head: str, formulas: Sequence[str],
               values: Sequence[Value | _Lookup], style: str) -> None:
    """One working column: a formula and a value for each line."""
    sheet.put(FIRST_LINE - 1, lay.col[key], head, "workhead")
    for i, (formula, value) in enumerate(zip(formulas, values, strict=True)):
        sheet.formula(FIRST_LINE + i, lay.col[key], formula, value, style)


def put_text(sheet: Sheet, lay: RecipeLayout, row: int, text: str, style: str = "wrap small", letters: int = 190) -> None:
    """A sentence over the whole width of the front."""
    sheet.put(row, 0, text, style)
    sheet.merges.append((row, 0, row, lay.front_last))
    sheet.heights[row] = 14 * max(1, -(-len(text) // letters)) + 3
