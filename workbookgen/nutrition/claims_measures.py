"""What statements measure in a dish: known amounts, upper bounds, flags, food group equivalents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.claims import ClaimRules, Quantity, Racc, UpperBound
from workbookgen.model.food import Food
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.protein import protein_of_serving
from workbookgen.nutrition.totals import DRAINED_TAGS

FATTY_ACIDS = ("FASAT", "FAMS", "FAPU")
ENERGY = "ENERC_KCAL"
YES, UNKNOWN = "yes", "unknown"
FAT_ROLE = "fat"
FLESH_GROUPS = ("Meat", "Poultry")
NOT_CUP = "mixed_not_cup"
USABLE, MISSING, NOT_ASKED = 1, 0, 2


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity in the whole dish.

    ``known`` counts what is known, ``most`` adds an upper bound for the unknown; ``short`` says that
    something is unknown, ``open`` that it has no upper bound, ``loose`` that the known figure may itself be
    too high, ``drained`` that fat which was poured off is still counted. ``decides`` names the unknown food
    that weighs most.
    """

    known: float
    most: float
    short: bool = False
    open: bool = False
    loose: bool = False
    drained: bool = False
    decides: str = ""


@dataclass(frozen=True, slots=True)
class Basis:
    """Factor from the whole dish to a basis; can it be used: 1 yes, 0 a figure is missing, 2 not asked."""

    factor: float
    state: int


@lru_cache(maxsize=2)
def group_most(kitchen: Kitchen) -> Mapping[tuple[str, str], float]:
    """Largest known value per 100 g of each (food group, tag) with an upper bound; group "" is the table.

    Only rows of the fixed table count; with ``use_within`` a food of unknown value counts with the nutrient
    it is part of (added sugars with sugars).
    """
    found: dict[tuple[str, str], float] = {}
    for bound in kitchen.tables.claims.bounds:
        for food in kitchen.fixed_foods:
            value = food.values.get(bound.tag)
            if value is None and bound.use_within:
                value = food.values.get(bound.within)
            if value is not None:
                for group in (food.group, ""):
                    found[group, bound.tag] = max(found.get((group, bound.tag), 0.0), value)
    return found


def line_most(line: LineResult, bound: UpperBound, most: Mapping[tuple[str, str], float]) -> float:
    """Upper bound of what a line adds beyond its known amount: 0 when known; the food's own value without
    losses when only the loss is unknown; else the largest of its group, never more than the nutrient it is
    part of."""
    food, value = line.source_food, line.values[bound.tag]
    everything = most.get(("", bound.tag), 0.0)
    if line.source_grams == 0 or line.weight_without_water == 0:
        return 0.0
    if value is not None:
        part_unknown = food.known is not None and half_up(food.known.get(bound.tag, 1.0), 9) < 1
        return line.source_grams / 100 * everything if part_unknown else 0.0
    own = food.values.get(bound.tag)
    if own is not None:
        return line.source_grams / 100 * own
    per_100g = most.get((food.group, bound.tag), everything)
    within = food.values.get(bound.within) if bound.within else None
    return line.source_grams / 100 * (per_100g if within is None else min(per_100g, within))


def flag_of(food: Food, flag: str) -> str:
    """yes, no or unknown: does the food carry salt, sugar, fat or meat as an ingredient?"""
    if flag == "salt":
        return food.salt_ingredient
    if flag == "sugar":
        return food.sugar_ingredient
    if food.known is not None:  # a dish of this book: what is in it is not looked through
        return UNKNOWN
    if flag == "fat":
        return YES if food.role == FAT_ROLE else "no"
    return YES if food.group in FLESH_GROUPS else "no"


@dataclass(frozen=True)
class Dish:
    """A worked-out recipe as the rules look at it."""

    kitchen: Kitchen
    analysis: Analysis
    racc_g: float
    racc: Racc | None = None
    most: Mapping[tuple[str, str], float] | None = None

    @property
    def rules(self) -> ClaimRules:
        return self.kitchen.tables.claims

    @cached_property
    def lines(self) -> tuple[LineResult, ...]:
        return self.analysis.lines

    @cached_property
    def bounds(self) -> dict[str, UpperBound]:
        return {b.tag: b for b in self.rules.bounds}

    @cached_property
    def group_most(self) -> Mapping[tuple[str, str], float]:
        return group_most(self.kitchen) if self.most is None else self.most

    def line_bounds(self, tag: str) -> list[float]:
        """Upper bound of each line for one tag."""
        return [line_most(line, self.bounds[tag], self.group_most) for line in self.lines]

    def unknown_most(self, tag: str) -> float:
        """Upper bound of everything unknown in the dish."""
        return sum(self.line_bounds(tag)) if tag in self.bounds else 0.0

    def short(self, tag: str) -> bool:
        """True while some counted weight has no value."""
        return half_up(self.analysis.nutrients[tag].coverage, 9) < 1

    def decides(self, tag: str) -> str:
        """The unknown food that weighs most, "" when nothing is unknown."""
        weights = [line.weight_without_water if line.values[tag] is None else 0.0 for line in self.lines]
        heaviest = max(weights, default=0.0)
        return self.lines[weights.index(heaviest)].food.name if heaviest > 0 else ""

    def drained(self, tags: Sequence[str]) -> bool:
        return any(line.at_most for line in self.lines) and any(t in DRAINED_TAGS for t in tags)

    @cached_property
    def mls(self) -> float | None:
        """Millilitres of the reference amount when it is told in cups or spoons."""
        return self.racc.ml if self.racc is not None else None

    @cached_property
    def equivalents(self) -> tuple[tuple[float, ...], bool]:
        """Food group equivalents by group of the word healthy, and whether a line has none known."""
        totals = [0.0] * len(self.rules.healthy_groups)
        unknown = False
        for line in self.lines:
            group, amount = line_equivalents(self.kitchen, line)
            if group and amount is None:
                unknown = True
            elif group and amount is not None:
                totals[group - 1] += amount
        needed = [g.one_equivalent for g in self.rules.healthy_groups]
        return tuple(t / n for t, n in zip(totals, needed, strict=True)), unknown


def line_equivalents(kitchen: Kitchen, line: LineResult) -> tuple[int, float | None]:
    """Group of the word healthy (0 = none) and cup- or ounce-equivalents of a line, None when not known.

    Grains count their whole-grain share. Raw flesh counts by its cooked row and cooked weight.
    """
    rules = kitchen.tables.claims
    group = rules.healthy_map.get((line.food.group, line.food.role), 0)
    if not group or line.edible == 0:
        return 0, None
    cup = rules.healthy_groups[group - 1].unit == "cup"
    food, pair = line.food, kitchen.counterpart(line.food)
    own = food.cup_eq_g if cup else food.oz_eq_g
    other = (pair.cup_eq_g if cup else pair.oz_eq_g) if pair is not None else None
    if own is not None:
        amount = line.edible / own
    elif other is not None:
        amount = line.cooked / other
    else:
        return group, None
    if rules.healthy_groups[group - 1].id == "grain":
        if food.whole_grain_pct is None:
            return group, None
        amount = amount * food.whole_grain_pct / 100
    return group, amount


def basis_of(dish: Dish, name: str) -> Basis:
    """Factor and state of a basis (21 CFR 101.12, 101.13(h)(1); Regulation (EC) No 1924/2006 Annex)."""
    a, c = dish.analysis, dish.kitchen.constants
    weight = a.cooked_weight
    racc = dish.racc_g
    spoon = dish.mls
    if name == "none":
        return Basis(1.0, USABLE)
    if name == "serving":
        return Basis(1 / a.servings, USABLE)
    if weight == 0 and name != "100 kcal":
        return Basis(0.0, MISSING)
    if name == "100 g":
        return Basis(100 / weight, USABLE)
    if name == "100 mL":
        cup = a.recipe.cup_weight_g
        return (
            Basis(100 * (cup / dish.kitchen.unit_by_name["cup"].factor) / weight, USABLE)
            if cup
            else Basis(0.0, MISSING)
        )
    if name == "100 kcal":
        energy = a.nutrients[ENERGY].dish
        return Basis(0.0, MISSING) if dish.short(ENERGY) or energy <= 0 else Basis(100 / energy, USABLE)
    if racc <= 0:
        return Basis(0.0, MISSING)
    if name == "small 50 g":
        small = racc <= c["small_racc_g"] or (spoon is not None and spoon <= c["small_racc_ml"])
        return Basis(c["small_basis_g"] / weight, USABLE) if small else Basis(0.0, NOT_ASKED)
    if name == "healthy amount":
        small = racc <= c["healthy_small_g"] or (spoon is not None and spoon <= c["healthy_small_ml"])
        return Basis(c["small_basis_g"] / weight if small else racc / weight, USABLE)
    return Basis(racc / weight, USABLE)


def measure(dish: Dish, quantity: Quantity, fge_basis: str = "serving") -> Measured:
    """Measure one quantity of the dish (statements and typed inputs are measured by their callers)."""
    kind = quantity.kind
    if kind in ("sum", "energy share", "fat share"):
        return _amount(dish, quantity)
    if kind == "ingredients":
        return _ingredients(dish, quantity.terms[0][0])
    if kind == "roles":
        roles = [role for role, _ in quantity.terms]
        grams = sum(sum(line.cooked for line in dish.lines if line.role == role) for role in roles)
        return Measured(grams, grams)
    if kind == "equivalents":
        totals, unknown = dish.equivalents
        return Measured(sum(totals), sum(totals), short=unknown, open=unknown)
    if kind == "equivalent groups":
        totals, unknown = dish.equivalents
        basis = basis_of(dish, fge_basis)
        share = float(quantity.terms[0][0])
        enough = float(sum(half_up(t * basis.factor, 9) >= share for t in totals))
        return Measured(enough, enough, short=unknown, open=unknown)
    if kind == "category":
        is_one = float(dish.racc is not None and dish.racc.id == NOT_CUP)
        return Measured(is_one, is_one)
    if kind == "part":
        return _part(dish, quantity.terms[0][0])
    if kind == "corrected protein":
        return _protein(dish)
    raise ValueError(f"{quantity.id} is not measured in a dish")


def _amount(dish: Dish, quantity: Quantity) -> Measured:
    tags = [tag for tag, _ in quantity.terms]
    known = sum(factor * dish.analysis.nutrients[tag].dish for tag, factor in quantity.terms)
    most = known + sum(factor * dish.unknown_most(tag) for tag, factor in quantity.terms if factor > 0)
    short = any(dish.short(tag) for tag in tags)
    unbounded = any(
        dish.short(tag) and (tag not in dish.bounds or factor < 0) for tag, factor in quantity.terms
    )
    loose = any(dish.short(tag) and factor < 0 for tag, factor in quantity.terms)
    decides = next((name for tag in tags if (name := dish.decides(tag))), "")
    whole = 1.0
    if quantity.kind == "energy share":
        whole = dish.analysis.nutrients[ENERGY].dish
        loose = short or dish.short(ENERGY)
        short = loose
    elif quantity.kind == "fat share":
        whole = sum(dish.analysis.nutrients[tag].dish for tag in FATTY_ACIDS)
        loose = short = any(dish.short(tag) for tag in FATTY_ACIDS)
    if quantity.kind != "sum":
        known, most = (0.0, 0.0) if whole <= 0 else (known / whole * 100, most / whole * 100)
    return Measured(known, most, short, unbounded, loose, dish.drained(tags), decides)


def _ingredients(dish: Dish, flag: str) -> Measured:
    counted = [line for line in dish.lines if line.edible > 0]
    yes = [line.food.name for line in counted if flag_of(line.food, flag) == YES]
    unknown = [line.food.name for line in counted if flag_of(line.food, flag) == UNKNOWN]
    named = [*yes, *unknown, ""]
    return Measured(float(len(yes)), float(len(yes)) + len(unknown), short=bool(unknown), decides=named[0])


def part_line(dish: Dish, tag: str) -> int | None:
    """Place of the line that brings most of a nutrient, the earlier on a tie; None when none brings any."""
    values = [line.values[tag] or 0.0 for line in dish.lines]
    largest = max(values, default=0.0)
    return values.index(largest) if largest > 0 else None


def food_racc_g(kitchen: Kitchen, food: Food) -> float | None:
    """A food's own reference amount in g as eaten, None when unconfirmed or without weight per mL."""
    racc = kitchen.tables.claims.racc_of(food.racc_hint, food.state)
    if racc is None:
        return None
    if racc.grams is not None:
        return racc.grams
    return None if racc.ml is None or food.g_per_ml is None else racc.ml * food.g_per_ml


def _part(dish: Dish, tag: str) -> Measured:
    """Amount in the reference amount of the ingredient that brings most, as it lies in the dish."""
    place = part_line(dish, tag)
    if place is None:
        return Measured(0.0, 0.0, short=dish.short(tag), open=dish.short(tag))
    line = dish.lines[place]
    grams = food_racc_g(dish.kitchen, line.food)
    if grams is None or line.cooked <= 0:
        return Measured(0.0, 0.0, short=True, open=True, decides=line.food.name)
    amount = (line.values[tag] or 0.0) / line.cooked * grams
    return Measured(amount, amount, decides=line.food.name)


def _protein(dish: Dish) -> Measured:
    """Protein corrected for its quality; while not known, the uncorrected figure, which may be too high."""
    short = dish.short("PROCNT")
    decides = dish.decides("PROCNT")
    corrected = None
    if dish.kitchen.tables.science.patterns:
        corrected = protein_of_serving(dish.kitchen, dish.analysis)
    if corrected is None or corrected.corrected_g is None:
        raw = dish.analysis.nutrients["PROCNT"].dish
        return Measured(raw, raw, short=short, open=short, loose=True, decides=decides)
    known = corrected.corrected_g * dish.analysis.servings
    short = short or half_up(corrected.covered, 9) < 1
    return Measured(known, known, short=short, open=short, decides=decides)
