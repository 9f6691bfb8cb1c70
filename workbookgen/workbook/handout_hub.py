"""What Results and Overview tell about allergens, suitability and cautions of each recipe."""

from __future__ import annotations

from collections.abc import Mapping

from workbookgen.model.safety import Safety
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.workbook.book import LOOKUP, Sheet, Value
from workbookgen.workbook.handout_layout import CAUTIONS, Handout
from workbookgen.workbook.recipe_sheet import RecipeSheet

Head = tuple[str, str, float]


def handout_heads(safety: Safety) -> list[Head]:
    """Columns of Results: key, heading, width. None without rules."""
    if not safety.allergens:
        return []
    heads: list[Head] = [
        ("contains", "Contains line", 40),
        ("unchecked", "Not checked", 40),
        ("open", "Listed allergens not checked", 9),
        ("apart", "Gluten", 30),
        ("ask", "Who should ask first", 30),
    ]
    return heads + [(f"fit_{rule.id}", rule.name, 12) for rule in safety.suitability]


def put_handout_row(
    sheet: Sheet, col: Mapping[str, int], row: int, safety: Safety, recipe: RecipeSheet
) -> None:
    """One recipe's cells in these columns."""
    if not safety.allergens:
        return
    h, lay, source = Handout(recipe.lay, safety), recipe.lay, recipe.sheet
    report = allergen_report(safety, recipe.analysis) if recipe.analysis else None

    def put(key: str, at: int, column: str, value: Value | None = None) -> None:
        formula = f'={source.ref(at, lay.col[column])}&""'
        sheet.formula(row, col[key], formula, LOOKUP if value is None else value, "calc small")

    put("contains", h.contains, "unit", report.contains if report else None)
    put("unchecked", h.unchecked, "unit", report.unchecked if report else None)
    put("apart", h.apart, "unit", report.apart if report else None)
    put("ask", lay.section[CAUTIONS] + 2, "r_unit")
    flags = source.ref(h.allergen_first, lay.col["r_share"])
    last = source.ref(h.allergen_last, lay.col["r_share"]).rsplit("!", 1)[1]
    sheet.formula(row, col["open"], f"=SUM({flags}:{last})", LOOKUP, "calc small n0")
    for i, rule in enumerate(safety.suitability):
        put(f"fit_{rule.id}", h.suit_first + i, "unit", report.suitability[i].state if report else None)


def overview_formulas(contains: str, asked: str, ask: str, title: str) -> tuple[str, str]:
    """Formulas of the two columns of Overview from the addresses in Results."""
    more = f'IF({asked}=0,"",CHAR(10)&"Not checked: "&{asked}&" more on the list")'
    return f'=IF({title}="","",{contains}&{more})', f'=IF({title}="","",{ask}&"")'
