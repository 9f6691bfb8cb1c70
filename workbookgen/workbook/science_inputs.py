"""Choices of single recipes (compare by, stores, life stage, pattern): read from the recipe file, typed in the sheet."""

from __future__ import annotations

from collections.abc import Mapping

from workbookgen.model.recipe import Recipe
from workbookgen.workbook.words import key_text

#: Names of the choices in the [settings] table of a recipe file.
CHOICES = ("plate_by", "plate_mend_1", "plate_mend_2", "plate_mend_3", "plate_mend_4", "plate_mend_5", "iron_stores",
           "iron_stage", "protein_pattern")


def choices_of(recipe: Recipe | None) -> Mapping[str, str]:
    """The choices that a recipe file makes; empty for a spare sheet."""
    return {key: value for key, value in recipe.settings if key in CHOICES} if recipe else {}


def choice_number(x: str, names: str, default: str) -> str:
    """Formula: position of the typed word ``x`` in the range ``names``, ``default`` when it is not there."""
    return f"=IF(ISTEXT({x}),IF(LEN({x})>100,{default},IFERROR(MATCH({key_text(x)},{names},0),{default})),{default})"
