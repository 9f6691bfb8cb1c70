"""Whether a recipe fits the food table: foods, units, treatments, water, targets.

``check_recipe`` tells what does not fit; ``resolve_recipe`` gives the recipe with every word as the tables
spell it ("Cups" becomes "cup", "kale, raw" "Kale, raw"), which is what the calculation needs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.food import Food, FoodTable
from workbookgen.model.recipe import Change, IngredientLine, Recipe, Target, Variant
from workbookgen.model.tables import Nutrient, Tables
from workbookgen.nutrition.variants import (
    added_line,
    changed_line,
    held_back,
    variant_lines,
    variant_title,
    with_variants,
)
from workbookgen.recipes.amounts import MOST
from workbookgen.recipes.load import same_titles
from workbookgen.recipes.parts import PER_DV
from workbookgen.recipes.text import LONGEST_TITLE, Faults, listed, nearest, shown
from workbookgen.recipes.units import NO_TREATMENT, Lookup, convert, make_lookup

MOST_LINE_G = 50_000.0
"""The greatest weight of one line, grams; more is a slip of the keyboard."""
SERVING = "serving"
LIQUID = "liquid"
WATER_AISLE = "Water"
AS_WRITTEN = "(as written:"
"""Begins what a drafted note keeps of its source."""


def check_recipe(
    recipe: Recipe, foods: FoodTable, tables: Tables, dishes: Collection[Recipe] = ()
) -> list[BadInput]:
    """What in ``recipe`` does not fit the tables, one sentence each, in the order of the file.

    ``dishes`` are the recipes whose titles may stand as foods.
    """
    return _Checker(recipe, make_lookup(foods, tables), _by_title(dishes)).run()[1]


def resolve_recipe(
    recipe: Recipe, foods: FoodTable, tables: Tables, dishes: Collection[Recipe] = ()
) -> Recipe:
    """``recipe`` with foods, units, treatments and targets as the tables spell them.

    Raises ``BadInputs`` with the sentences of ``check_recipe``.
    """
    resolved, errors = _Checker(recipe, make_lookup(foods, tables), _by_title(dishes)).run()
    if errors:
        raise BadInputs(errors)
    return resolved


def resolve_recipes(recipes: Sequence[Recipe], foods: FoodTable, tables: Tables) -> list[Recipe]:
    """All of one book's recipes resolved; each may use the others as foods.

    Raises ``BadInputs`` with the faults of all recipes, two with one title and circles among them.
    """
    lookup, dishes = make_lookup(foods, tables), _by_title(recipes)
    faults = Faults(same_titles(with_variants(recipes)))
    resolved = []
    for recipe in recipes:
        done, errors = _Checker(recipe, lookup, dishes).run()
        faults.errors += errors
        resolved.append(done)
    if not faults.errors:
        faults.errors += _circles(resolved)
    faults.finish()
    return resolved


def _by_title(recipes: Iterable[Recipe]) -> dict[str, Recipe]:
    return {recipe.title.casefold(): recipe for recipe in recipes}


def _file(recipe: Recipe) -> str:
    return Path(recipe.path).name or recipe.title


def _undecided(line: IngredientLine) -> str:
    """What a person must still decide about a drafted line; its note begins with the reason."""
    reason = line.note.partition(AS_WRITTEN)[0].strip()
    why = f" ({reason})" if reason else ""
    steps = [f"choose the food ({'; '.join(line.candidates)})"] if line.candidates else []
    if line.amount == 0:
        now = f" in place of {shown(line.amount_text)}" if line.amount_text else ""
        steps.append(f"write its amount{now}")
    steps = steps or ["settle it"]
    return f"this line still waits for a decision{why}; {' and '.join(steps)}, then take review = true out"


def _circles(recipes: Sequence[Recipe]) -> list[BadInput]:
    """An error for the first recipe that uses itself, be it through others."""
    titles = _by_title(recipes)
    for start in recipes:
        # every recipe reached from the start, with the titles on the way
        paths = [[start.title]]
        seen: set[str] = set()
        while paths:
            path = paths.pop()
            for line in titles[path[-1].casefold()].lines:
                used = titles.get(line.food.casefold())
                if used is start:
                    circle = " -> ".join([*path, start.title])
                    what = f"recipes use each other in a circle: {circle}; take one out"
                    return [BadInput(_file(start), what)]
                if used and used.title not in seen:
                    seen.add(used.title)
                    paths.append([*path, used.title])
    return []


@dataclass
class _Checker:
    """Checks one recipe; faults gather in ``faults``."""

    recipe: Recipe
    lookup: Lookup
    dishes: dict[str, Recipe]

    def __post_init__(self) -> None:
        self.faults = Faults()
        self.file = _file(self.recipe)

    def run(self) -> tuple[Recipe, list[BadInput]]:
        """The recipe as the tables spell it, and what does not fit."""
        r = self.recipe
        models = [m.id for m in self.lookup.tables.plate_models]
        if r.plate_model and r.plate_model not in models:
            what = f"plate_model {shown(r.plate_model)} is not known; use {listed(models)}"
            self.faults.add(self.file, what)
        if r.counts_as and r.counts_as not in self.lookup.roles:
            roles = listed(self.lookup.roles)
            self.faults.add(self.file, f"counts_as {shown(r.counts_as)} is no plate role; use {roles}")
        lines = tuple(self.line(line, f"ingredient {i}") for i, line in enumerate(r.lines, 1))
        targets = tuple(self.target(target) for target in r.targets)
        for i, note in enumerate(r.notes, 1):
            if note.source and note.source not in self.lookup.tables.sources:
                self.unknown_source(f"{self.file}, note {i}", note.source)
        resolved = replace(r, lines=lines, targets=targets)
        variants = tuple(self.variant(v, resolved) for v in r.variants)
        return replace(resolved, variants=variants), self.faults.errors

    def line(self, line: IngredientLine, what: str) -> IngredientLine:
        """One ingredient line."""
        row = f", line {line.row}" if line.row else ""
        place = f"{self.file}{row}, {what}" + (f" ({line.food[:60]})" if line.food else "")
        if line.review:
            self.faults.add(place, _undecided(line))
            return line
        food = self.lookup.food(line.food)
        if food is None:
            return self.dish_line(line, place)
        return replace(
            line,
            food=food.name,
            unit=self.unit(food, line.unit, line.amount, place),
            treatment=self.treatment(food, line.treatment, place),
            role=self.role(line, place),
            water=self.water(food, line, place),
        )

    def dish_line(self, line: IngredientLine, place: str) -> IngredientLine:
        """A line whose food is another recipe, or nothing that is known."""
        dish = self.dishes.get(line.food.casefold())
        if line.food.casefold() == self.recipe.title.casefold():
            self.faults.add(place, "the recipe is its own ingredient; take the line out")
            return line
        if dish is None:
            near = "; ".join(self.lookup.nearest_foods(line.food))
            self.faults.add(place, f"no food {shown(line.food)} is known; the nearest names are: {near}")
            return line
        unit = self.lookup.words.find(line.unit)
        units = self.lookup.tables.units
        known = [SERVING, *(u.name for u in units if u.kind == "mass" or dish.cup_weight_g)]
        name = unit.name if unit else SERVING if line.unit.casefold() in (SERVING, "servings") else ""
        if name not in known:
            mend = "write cup_weight_g into that recipe for cups"
            self.unknown_unit(place, line.unit, dish.title, known, mend)
        if line.treatment.casefold() != NO_TREATMENT:
            self.faults.add(place, f"{dish.title} is a finished recipe; take treatment out")
        if line.water:
            self.faults.add(place, f"{dish.title} is a finished recipe; take water out")
        role = self.role(line, place)
        return replace(line, food=dish.title, unit=name or line.unit, treatment=NO_TREATMENT, role=role)

    def unit(self, food: Food, text: str, amount: float, place: str) -> str:
        """The name of the unit; a fault when the food does not know it or the line weighs too much."""
        found = self.lookup.unit(food, text)
        if found is None:
            self.unknown_unit(place, text, food.name, self.lookup.known_units(food), "weigh it and use g")
            return text
        name, grams = found
        if not 0 < amount <= MOST or amount * grams > MOST_LINE_G:
            weight, most = f"{amount * grams / 1000:,.0f} kg", f"{MOST_LINE_G / 1000:g} kg"
            self.faults.add(
                place, f"{amount:g} {name} is {weight}; a line holds at most {most}; check the unit"
            )
        return name

    def unknown_unit(self, place: str, unit: str, food: str, known: Sequence[str], mend: str) -> None:
        """Note a unit that ``food`` does not know."""
        what = f"no unit {shown(unit)} is known for {food}; known: {'; '.join(known)}; or {mend}"
        self.faults.add(place, what)

    def treatment(self, food: Food, text: str, place: str) -> str:
        """The treatment as the table spells it."""
        allowed = self.lookup.allowed_treatments(food)
        for name in allowed:
            if name.casefold() == text.casefold():
                return name
        only = f"{food.state} food of this kind allows: {'; '.join(allowed)}"
        self.faults.add(place, f"treatment {shown(text)} is not offered for {food.name}; {only}")
        return text

    def role(self, line: IngredientLine, place: str) -> str:
        """The plate role that overrides the food's."""
        if line.role and line.role not in self.lookup.roles:
            roles = listed(self.lookup.roles)
            self.faults.add(place, f"role {shown(line.role)} is no plate role; use {roles}")
        return line.role

    def water(self, food: Food, line: IngredientLine, place: str) -> str:
        """What becomes of a liquid; plain water must say it."""
        if line.water and food.role != LIQUID:
            what = f"water = {shown(line.water)} is for liquids, and {food.name} is none; take it out"
            self.faults.add(place, what)
        if not line.water and food.aisle == WATER_AISLE:
            fates = '"absorbed", "stays" or "poured off"'
            self.faults.add(place, f"say what becomes of the water; write water = {fates}")
        return line.water

    def target(self, target: Target) -> Target:
        """A target in the nutrient's own unit."""
        words = f"{target.tag} {target.sign} {target.value:g} {target.unit or target.basis}"
        place = f"{self.file}, target {words}"
        nutrients = self.lookup.tables.nutrients
        names = {n.tag.casefold(): n for n in nutrients} | {n.name.casefold(): n for n in nutrients}
        nutrient = names.get(target.tag.casefold())
        if nutrient is None:
            near = nearest(target.tag, [n.name for n in nutrients], 3, 0.0)
            tags = "; ".join(f"{names[n.casefold()].tag} ({names[n.casefold()].name})" for n in near)
            self.faults.add(place, f"no nutrient {shown(target.tag)} is known; did you mean {tags}?")
            return target
        if target.basis == PER_DV:
            if not any(nutrient.tag in s.values for s in self.lookup.tables.reference_sets):
                what = f"{nutrient.name} has no Daily Value; give the target in {nutrient.unit}"
                self.faults.add(place, what)
            return replace(target, tag=nutrient.tag)
        return self.in_own_unit(target, nutrient, place)

    def in_own_unit(self, target: Target, nutrient: Nutrient, place: str) -> Target:
        """The target's amount in the unit of its nutrient."""
        value = convert(target.value, target.unit or nutrient.unit, nutrient.unit)
        if value is None:
            what = f"{nutrient.name} is told in {nutrient.unit}, not in {shown(target.unit)}; change it"
            self.faults.add(place, what)
            return target
        return replace(target, tag=nutrient.tag, value=value, unit=nutrient.unit)

    def unknown_source(self, place: str, source: str) -> None:
        """Note a source id that the sources table lacks."""
        known = list(self.lookup.tables.sources)
        near = nearest(source, known, 3, 0.0)
        self.faults.add(place, f"source {shown(source)} is not in the sources table; nearest: {listed(near)}")

    def variant(self, variant: Variant, resolved: Recipe) -> Variant:
        """The changes of a variant, against the recipe's resolved lines."""
        what = f"variant {variant.name}, change"
        changes = [self.change(c, resolved, f"{what} {i}") for i, c in enumerate(variant.changes, 1)]
        checked = replace(variant, changes=tuple(changes))
        place = f"{self.file}, variant {variant.name}"
        if len(variant_title(resolved.title, variant.name)) > LONGEST_TITLE:
            self.faults.add(place, f"title and variant together are longer than {LONGEST_TITLE} letters; shorten the name")
        if variant.hold_back and not any(map(held_back, resolved.lines)):
            self.faults.add(place, "no ingredient is held back; mark one held_back = true or take hold_back out")
        elif not any(line.include for line in variant_lines(resolved, checked)):
            self.faults.add(place, "no ingredient that counts is left; take a change out")
        return checked

    def change(self, change: Change, resolved: Recipe, what: str) -> Change:
        """One change: its food must stand in the recipe, the changed lines must be good lines."""
        if change.do == "add":
            new = self.line(added_line(change), what)
            return replace(change, food=new.food, unit=new.unit, treatment=new.treatment if change.treatment else "")
        old = next((x for x in resolved.lines if x.food.casefold() == change.food.casefold()), None)
        if old is None:
            foods = "; ".join(dict.fromkeys(line.food for line in resolved.lines))
            mend = f"its foods are: {foods}"
            fault = f"{shown(change.food)} is no ingredient of this recipe; {mend}"
            self.faults.add(f"{self.file}, {what}", fault)
            return change
        if change.do == "leave out":
            return replace(change, food=old.food)
        checked = self.line(changed_line(old, change), what)
        self.other_lines(change, old, resolved, what)
        return replace(
            change,
            food=old.food,
            with_food=checked.food if change.with_food else "",
            unit=checked.unit if change.unit else "",
            treatment=checked.treatment if change.treatment else "",
        )

    def other_lines(self, change: Change, first: IngredientLine, resolved: Recipe, what: str) -> None:
        """Check further lines of the same food that are measured or treated in another way."""
        seen = {(first.unit, first.treatment, first.role, first.water)}
        for line in resolved.lines:
            kind = (line.unit, line.treatment, line.role, line.water)
            if line.food == first.food and kind not in seen:
                seen.add(kind)
                self.line(changed_line(line, change), what)
