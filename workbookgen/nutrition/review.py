"""The check number of a sign-off: one short number over all inputs of a recipe that change its figures.

It is built from whole numbers only (foods by their source number, amounts, grams per unit, treatments,
servings, weights, nutrient totals), so that every spreadsheet program finds the same one. Row numbers take
no part: a table sorted anew leaves it as it was; new data change the totals and so the number.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

TREATMENT_NUMBERS = 10_007
NOT_REVIEWED, NAME_ONLY, AS_REVIEWED, CHANGED = (
    "not reviewed", "reviewed by name only: type the check number", "as reviewed", "changed since review")  # fmt: skip
ROLES = ("protein", "legume", "nuts and seeds", "whole grain", "refined grain", "vegetable", "starchy vegetable",
         "fruit", "dairy", "fat", "liquid", "seasoning")  # fmt: skip
FATES = ("absorbed", "stays", "poured off")
MARKS = ("optional", "garnish", "hold back")


def whole(value: float) -> int:
    """Nearest whole number, halves up, guarded against binary noise."""
    return int(half_up(half_up(value, 9)))


def treatment_number(name: str) -> int:
    """A number that stays with the name of a treatment (CRC-32 of its UTF-8 text, shortened)."""
    return zlib.crc32(name.encode()) % TREATMENT_NUMBERS


def food_number(food: Food, constants: Mapping[str, float]) -> int:
    """The source's number of a fixed food; rows that follow inputs are told by the length of name and allergens."""
    if not food.own:
        return int(food.source_number) if food.source_number.isdigit() else treatment_number(food.id)
    live = int(constants["check_live"])
    return live + len(food.allergens) * int(constants["words_letters"]) + len(food.name)


def mark_of(line: IngredientLine) -> str:
    """The mark a line carries on its sheet."""
    return "garnish" if line.garnish else "hold back" if line.held_back else "optional" if line.optional else ""


def place(word: str, words: tuple[str, ...]) -> int:
    """Place of a word from 1, 0 when it is none of them."""
    return words.index(word) + 1 if word in words else 0


def line_number(line: LineResult, c: Mapping[str, float]) -> int:
    """What one line adds, before it is weighted by its place."""
    told = line.line
    parts = (
        food_number(line.food, c), whole(told.amount * 1000), whole(line.grams_per_unit * 100),
        treatment_number(told.treatment.lower()), int(told.include), whole(told.share_eaten_pct * 10),
        int(told.basis == "as purchased"), place(told.water, FATES), place(told.role, ROLES),
        place(mark_of(told), MARKS),
    )  # fmt: skip
    return sum(part * int(c[f"check_w{i}"]) for i, part in enumerate(parts, 1))


def check_number(kitchen: Kitchen, analysis: Analysis) -> int:
    """The check number of a recipe."""
    c, recipe = kitchen.constants, analysis.recipe
    total = sum(i * line_number(line, c) for i, line in enumerate(analysis.lines, 1))
    total += sum(whole(r.dish * c["check_scale"]) for r in analysis.nutrients.values())
    total += whole(analysis.servings * 1000) * int(c["check_w1"])
    total += whole((recipe.cooked_weight_g or 0.0) * 10) * int(c["check_w2"])
    total += whole((recipe.cup_weight_g or 0.0) * 10) * int(c["check_w3"])
    total += int(recipe.legumes_as == "vegetable") * int(c["check_w4"])
    return total % int(c["check_modulus"])


def review_status(reviewer: str, typed: float | None, now: int) -> str:
    """What the sheet says beside the sign-off."""
    if typed is None:
        return NAME_ONLY if reviewer else NOT_REVIEWED
    return AS_REVIEWED if half_up(typed) == now else CHANGED
