"""Variants of a recipe: the same dish with some changes, worked out as a recipe of its own.

What a variant keeps and what it does not:

* title "parent: variant"; servings, serving in words, weighed cup, kind, method, storage, targets, settings and
  marks of the lines (optional, garnish, hold back) stay;
* the weighed pot goes, since it is the weight of another dish: the variant's weight is estimated from yields;
* the sign-off goes and with it the statements ticked for the card: nobody has reviewed the variant yet;
* it is compared with its parent, and its first note says what was changed;
* it is an ordinary recipe even where its parent is a dish that other recipes use.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from workbookgen.model.recipe import Change, IngredientLine, Note, Recipe, Review, Variant
from workbookgen.nutrition.label import shown

SEPARATOR = ": "
LONGEST_NOTE = 560  # a note of a recipe sheet holds 600 letters


def variant_title(parent: str, name: str) -> str:
    """Title of a variant on sheets and in lists.

    >>> variant_title("Chili", "no salt added")
    'Chili: no salt added'
    """
    return f"{parent}{SEPARATOR}{name}"


def with_variants(recipes: Sequence[Recipe]) -> list[Recipe]:
    """Every recipe, each followed by its variants as recipes of their own."""
    found: list[Recipe] = []
    for recipe in recipes:
        found += [recipe, *(apply_variant(recipe, variant) for variant in recipe.variants)]
    return found


def apply_variant(recipe: Recipe, variant: Variant) -> Recipe:
    """``recipe`` with the changes of ``variant``; the module's text says what is kept."""
    lines = variant_lines(recipe, variant)
    told = Note(f'Changed against "{recipe.title}": {changes_in_words(recipe, variant)}.')
    return replace(
        recipe, title=variant_title(recipe.title, variant.name), lines=lines, notes=(told, *recipe.notes), variants=(),
        cooked_weight_g=None, statements=(), review=Review(), component=False, counts_as="",
        compare_with=recipe.title, variant_of=recipe.title,
    )  # fmt: skip


def variant_lines(recipe: Recipe, variant: Variant) -> tuple[IngredientLine, ...]:
    """Lines of the variant. Changes name foods as the parent holds them, each meets every line of its food, and
    leaving out wins over other changes; new foods come last. A line that goes leaves its heading to the next one."""
    out = {c.food.casefold() for c in variant.changes if c.do == "leave out"}
    found: list[IngredientLine] = []
    heading = ""
    for line in recipe.lines:
        if line.food.casefold() in out or (variant.hold_back and held_back(line)):
            heading = line.section or heading
            continue
        heading = line.section or heading
        changed = line
        for change in variant.changes:
            if change.food.casefold() == line.food.casefold():
                changed = changed_line(changed, change)
        found.append(replace(changed, section=heading))
        heading = ""
    return (*found, *(added_line(c) for c in variant.changes if c.do == "add"))


def held_back(line: IngredientLine) -> bool:
    """True for a line that is added on reheating; a garnish is added at the table anyway."""
    return line.held_back and not line.garnish


def changed_line(line: IngredientLine, change: Change) -> IngredientLine:
    """A line after "replace" or "change amount"; parts that the change does not name stay."""
    changed = replace(
        line, food=change.with_food or line.food, unit=change.unit or line.unit,
        treatment=change.treatment or line.treatment, row=0,
    )  # fmt: skip
    if change.amount is None:
        return changed
    return replace(changed, amount=change.amount, amount_text="", amount_low=None, amount_high=None)


def added_line(change: Change) -> IngredientLine:
    """The line of a food that joins the dish."""
    return IngredientLine(
        food=change.food, amount=change.amount or 0.0, unit=change.unit, treatment=change.treatment or "none", water=change.water
    )


def changes_in_words(recipe: Recipe, variant: Variant) -> str:
    """What the variant changes, for a reader: "Salt, table left out; ...". A long list is cut and says so."""
    said = ["held-back ingredients left out (" + "; ".join(x.food for x in recipe.lines if held_back(x)) + ")"] if variant.hold_back else []
    said += [_in_words(change) for change in variant.changes]
    kept: list[str] = []
    for number, words in enumerate(said):
        if len("; ".join([*kept, words])) > LONGEST_NOTE - len(recipe.title):
            return "; ".join([*kept, f"{len(said) - number} more changes"])
        kept.append(words)
    return "; ".join(kept)


def _in_words(change: Change) -> str:
    amount = "" if change.amount is None else f"{shown(change.amount, 2)} {change.unit}".rstrip()
    treated = f", {change.treatment}" if change.treatment not in ("", "none") else ""
    if change.do == "leave out":
        return f"{change.food} left out"
    if change.do == "add":
        return f"{change.food} added ({amount}{treated})"
    if change.do == "replace":
        detail = f"{amount}{treated}".removeprefix(", ")
        return f"{change.with_food} instead of {change.food}" + (f" ({detail})" if detail else "")
    return f"{change.food} now {amount}{treated}"
