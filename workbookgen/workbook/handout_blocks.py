"""Allergens, cautions and keeping on a recipe sheet: one call lays out all three with their working."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Sheet
from workbookgen.workbook.handout_layout import Handout
from workbookgen.workbook.recipe_allergens import put_allergens
from workbookgen.workbook.recipe_cautions import put_cautions
from workbookgen.workbook.recipe_keeping import put_keeping
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_marks import put_marks


def put_handout_blocks(
    sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None, analysis: Analysis | None
) -> None:
    """Lay out the blocks; a kitchen without rules has none."""
    safety = kitchen.safety
    if not safety.allergens:
        return
    h = Handout(lay, safety)
    allergens = allergen_report(safety, analysis) if analysis else None
    cautions = caution_report(kitchen, analysis) if analysis else None
    put_marks(sheet, h, analysis, cautions)
    put_allergens(sheet, h, recipe, allergens)
    put_cautions(sheet, h, cautions)
    put_keeping(sheet, h, recipe, analysis)
