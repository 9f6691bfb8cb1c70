"""From a chosen point back to a recipe: amounts as a cook writes them, a recipe file, or a variant in a copy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from workbookgen.adjust.items import ADDITION, AS_IS, LINE, OUT, STEPS, Item, Mode
from workbookgen.adjust.solve import Choice
from workbookgen.adjust.space import Space
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Change, IngredientLine, Recipe, Review, Target, Variant
from workbookgen.nutrition.kitchen import NO_TREATMENT
from workbookgen.recipes.text import LONGEST_TITLE

ADJUSTED = "adjusted"
WRITTEN_AS_FRACTION = 16  # largest denominator a cook reads; others are written as decimals


def amount_words(amount: Fraction) -> str:
    """An amount as a recipe file writes it: "1 1/4", or "" where a bare number reads better.

    >>> amount_words(Fraction(5, 4)), amount_words(Fraction(2)), amount_words(Fraction(1, 20))
    ('1 1/4', '', '')
    """
    whole, rest = divmod(amount, 1)
    if rest == 0 or rest.denominator > WRITTEN_AS_FRACTION:
        return ""
    return f"{whole} {rest}" if whole else str(rest)


def chosen_line(item: Item, mode: Mode) -> IngredientLine | None:
    """The line of an item in its mode without its amount of steps; None when it is out."""
    if mode.kind == OUT:
        return None
    return replace(item.slots[mode.slot].line, include=True)


def _with_amount(line: IngredientLine, amount: Fraction) -> IngredientLine:
    return replace(
        line, amount=float(amount), amount_text=amount_words(amount), amount_low=None, amount_high=None
    )


def lines_of(space: Space, choice: Choice) -> tuple[IngredientLine, ...]:
    """All lines of the adjusted recipe. A line that goes leaves its heading to the next one; new foods come last."""
    by_place: dict[int, IngredientLine | None] = {}
    new: list[IngredientLine] = []
    for k, item in enumerate(space.items):
        mode = item.modes[choice.modes[k]]
        line = chosen_line(item, mode)
        if line is not None and mode.kind == STEPS:
            slot = space.first[k] + mode.slot
            line = _with_amount(line, mode.step * round(choice.amounts[slot] / float(mode.step)))
        elif line is not None and mode.kind == AS_IS and mode.slot == 0 and item.kind == LINE:
            assert item.place is not None
            line = space.analysis.recipe.lines[item.place]
        if item.kind == ADDITION:
            new += [line] if line is not None else []
        elif item.place is not None and not (line is None and item.start == "absent"):
            by_place[item.place] = line
    found: list[IngredientLine] = []
    heading = ""
    for place, written in enumerate(space.analysis.recipe.lines):
        kept = by_place.get(place, written)
        if kept is None:
            heading = heading or written.section
            continue
        found.append(replace(kept, section=kept.section or heading))
        heading = ""
    return (*found, *new)


def adjusted_recipe(space: Space, choice: Choice, targets: Sequence[Target]) -> Recipe:
    """The adjusted recipe as one of its own, to be compared with the first. A weighed pot and a sign-off belong to the
    old amounts and go."""
    recipe = space.analysis.recipe
    title = f"{recipe.title}, {ADJUSTED}"
    if len(title) > LONGEST_TITLE:
        title = f"{recipe.title[: LONGEST_TITLE - len(ADJUSTED) - 2].rstrip()}, {ADJUSTED}"
    return replace(
        recipe, title=title, lines=lines_of(space, choice), targets=tuple(targets), variants=(), cooked_weight_g=None,
        compare_with=recipe.title, review=Review(), path="",
    )  # fmt: skip


def as_variant(space: Space, choice: Choice) -> Variant:
    """The same as a set of changes inside the recipe file; new foods are added.

    Raises BadInput where changes cannot say it: one food on two lines that end up differently.
    """
    changes: dict[str, Change | None] = {}
    added: list[Change] = []
    for k, item in enumerate(space.items):
        mode = item.modes[choice.modes[k]]
        if item.start == "absent":
            line = chosen_line(item, mode)
            if line is not None:
                added.append(_added(line, float(choice.amounts[space.first[k] + mode.slot])))
            continue
        change = _change(space, choice, k, item, mode)
        key = item.name.lower()
        if key in changes and changes[key] != change:
            what = f"{item.name} stands on several lines that change differently; write a recipe of its own with --to"
            raise BadInput("--variant-in", what)
        changes[key] = change
    found = (*(c for c in changes.values() if c is not None), *added)
    if not found:
        raise BadInput("--variant-in", "nothing changes, so there is no variant to write; leave it out")
    return Variant(ADJUSTED, found)


def _added(line: IngredientLine, amount: float) -> Change:
    treatment = "" if line.treatment == NO_TREATMENT else line.treatment
    return Change("add", line.food, "", amount, line.unit, treatment, line.water)


def _change(space: Space, choice: Choice, k: int, item: Item, mode: Mode) -> Change | None:
    if mode.kind == AS_IS and mode.slot == 0:
        return None
    if mode.kind == OUT:
        return Change("leave out", item.name)
    slot = item.slots[mode.slot]
    amount = float(choice.amounts[space.first[k] + mode.slot])
    if mode.slot:
        return Change("replace", item.name, slot.food.name, amount, slot.line.unit)
    return Change("change amount", item.name, "", amount, slot.line.unit)


def with_variant(recipe: Recipe, variant: Variant) -> Recipe:
    """A copy of the recipe that holds the variant, in the place of an older one of the same name."""
    others = tuple(v for v in recipe.variants if v.name.casefold() != variant.name.casefold())
    return replace(recipe, variants=(*others, variant))
