"""What a food row says about allergens, diet and cautions, brought into one shape.

A marker is ``+`` (contains) or ``?`` (unknown), an allergen id and perhaps a kind: ``+fish(salmon)``;
``?*`` leaves every other allergen open. A caution mark is an id such as ``raw_egg``; ``raw_egg!`` says that
the line is not cooked. ``?`` stands for a food whose cautions nobody looked at.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from workbookgen.model.analysis import LineResult
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine
from workbookgen.model.safety import Allergen, Safety, has_word
from workbookgen.nutrition.kitchen import NO_TREATMENT

ANYTHING_ELSE = "?*"
NOTHING = "-"
IN_DISH = "<"
"""Begins every caution mark of a finished dish."""
NOT_LOOKED_AT = "?"
UNTREATED = "!"
UNKNOWN_WORD = "unknown"
UNKNOWN_SHOWN = "an ingredient that does not tell"


def line_counts(line: IngredientLine) -> bool:
    """True when a line counts for allergens and cautions: included, or optional, garnish or held back.

    A line left out of the sums counts all the same when it carries one of these marks, because someone
    may add it back; a line left out without a mark is not in the dish.
    """
    return line.include or line.optional or line.garnish or line.held_back


def allergen_markers(food: Food, safety: Safety) -> tuple[str, ...]:
    """Markers of a food, one kind each. A cereal without a kind takes it from the food's name, or from
    another allergen of the row (a food with wheat has gluten of wheat)."""
    found: list[str] = []
    written = [m.strip() for m in food.allergens.split(";") if m.strip() not in ("", NOTHING)]
    for marker in written:
        head, _, rest = marker.partition("(")
        kinds = [k.strip() for k in rest.rstrip(")").split(",") if k.strip()]
        if not kinds and head.startswith("+"):
            kinds = [
                k.kind
                for k in safety.kinds
                if k.allergen == head[1:]
                and (f"+{k.beside}" in written or any(has_word(food.name, w) for w in k.words))
            ]
        found += [f"{head}({kind})" for kind in kinds] or [head]
    return tuple(dict.fromkeys(found))


def marker_text(food: Food, safety: Safety) -> str:
    """The markers as the workbook stores them; a food without any reads ``-;``, so that an empty cell can
    mean that nothing is said."""
    return "".join(f"{m};" for m in allergen_markers(food, safety) or (NOTHING,))


def as_told(food: Food, safety: Safety) -> Food:
    """The food with its markers, diet words and caution marks as the workbook prints them on Foods; as it is
    when no rules are loaded."""
    if not safety.allergens:
        return food
    return replace(
        food,
        allergens=marker_text(food, safety),
        diet=";".join(diet_words(food)),
        cautions=";".join(caution_marks(food, safety) or (NOTHING,)),
    )


def diet_words(food: Food) -> tuple[str, ...]:
    """Words of the diet column ("meat", "plant", ...); ``?`` when the row says nothing."""
    return tuple(w.strip() for w in food.diet.split(";") if w.strip()) or (NOT_LOOKED_AT,)


def caution_marks(food: Food, safety: Safety) -> tuple[str, ...]:
    """Caution marks of a food row: its own, those told by its name, and its safe temperature.

    A dish used as an ingredient carries the marks of its lines in ``<>``; other foods a programme added carry
    those that were typed, ``-`` for none, and read ``?`` where nothing was said.
    """
    if IN_DISH in food.cautions:
        return tuple(m for m in food.cautions.replace(IN_DISH, "").split(">") if m)
    if food.own and not food.cautions:
        return (NOT_LOOKED_AT,)
    marks = [m.strip() for m in food.cautions.split(";") if m.strip()]
    if food.own:
        return tuple(m for m in marks if m != NOTHING)
    marks += [rule.mark for rule in safety.caution_foods if rule.selector.fits(food)]
    heat = next((t.id for t in safety.temperatures if t.selector.fits(food)), "")
    return tuple(dict.fromkeys(marks + [heat] * bool(heat)))


def line_marks(line: LineResult, safety: Safety) -> tuple[str, ...]:
    """Caution marks of a line: each mark of its food, and once more with ``!`` when nothing is done to it.
    Marks of a dish come as they are, since its own sheet says how it was cooked."""
    marks = caution_marks(line.food, safety)
    if IN_DISH in line.food.cautions or marks == (NOT_LOOKED_AT,) or line.line.treatment.lower() != NO_TREATMENT:
        return marks
    return marks + tuple(f"{m}{UNTREATED}" for m in marks)


def dish_marks(lines: Iterable[LineResult], safety: Safety) -> tuple[str, str, str]:
    """Allergen, diet and caution texts of a finished dish, for its use as an ingredient.

    Allergens come as on the sheet of the dish: those it contains or leaves open in the order of the rules,
    then their kinds, then ``-;``. Without rules nothing is said.
    """
    counted = [line for line in lines if line_counts(line.line)]
    told = {m for line in counted for m in allergen_markers(line.food, safety)}
    diet = dict.fromkeys(w for line in counted for w in diet_words(line.food))
    cautions = dict.fromkeys(m for line in counted for m in line_marks(line, safety))
    kinds = [m for k in safety.kinds if (m := f"+{k.allergen}({k.kind})") in told]
    marks = [m for a in safety.allergens for m in _dish_marks_of(a, told, kinds)] + kinds
    return (
        "".join(f"{m};" for m in [*marks, NOTHING]) if safety.allergens else "",
        ";".join(diet),
        "".join(f"<{m}>" for m in cautions) or f"<{NOTHING}>",
    )


def _dish_marks_of(allergen: Allergen, told: Iterable[str], kinds: Iterable[str]) -> list[str]:
    """``+id`` where a line contains the allergen without a known kind, ``?id`` where one only leaves it open."""
    sure = {m for m in told if m.partition("(")[0] == f"+{allergen.id}"}
    if sure:
        return [f"+{allergen.id}"] if not allergen.kinds or sure - set(kinds) else []
    asked = any(m == ANYTHING_ELSE or m.partition("(")[0] == f"?{allergen.id}" for m in told)
    return [f"?{allergen.id}"] if asked else []
