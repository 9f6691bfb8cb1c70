"""Unit words: spellings to one name, and what is known about a food's units.

Mass and volume units come from the units table with their synonyms; every other unit is a household
measure of its food ("clove", "cup, chopped"). Spelling is compared loosely: "Cups chopped" finds
"cup, chopped", "cloves" finds "clove".
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from workbookgen.model.food import Food, FoodTable, Measure
from workbookgen.model.tables import Tables, Treatment, Unit
from workbookgen.recipes.text import clean, nearest

NO_TREATMENT = "none"

_PINT_NAMES = {
    "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound", "mL": "milliliter", "L": "liter",
    "cup": "US_liquid_cup", "tbsp": "tablespoon", "tsp": "teaspoon", "fl oz": "US_fluid_ounce",
    "pint": "US_pint", "quart": "US_liquid_quart", "gallon": "US_liquid_gallon",
    "kcal": "kilocalorie", "kJ": "kilojoule", "mg": "milligram", "mcg": "microgram", "µg": "microgram",
}  # fmt: skip
_PINT_BASE = {"mass": "gram", "volume": "milliliter"}


class UnitWords:
    """The spellings of mass and volume units.

    A spelling is taken exactly as written first and without regard to case afterwards; a spelling that two
    units share only without case (such as T and t) is never guessed.
    """

    def __init__(self, units: tuple[Unit, ...]) -> None:
        self._exact: dict[str, Unit] = {}
        self._folded: dict[str, Unit | None] = {}
        for unit in units:
            for word in (unit.name, *unit.synonyms):
                self._exact.setdefault(word, unit)
        for word, unit in self._exact.items():
            folded = word.casefold()
            known = self._folded.get(folded, unit)
            self._folded[folded] = unit if known is unit else None

    def find(self, text: str) -> Unit | None:
        """The unit that ``text`` spells, None when there is none.

        >>> from workbookgen.model.tables import Unit
        >>> UnitWords((Unit("tbsp", "volume", 14.8, ("tablespoon",), "", ""),)).find("Tablespoon.").name
        'tbsp'
        """
        for words in (clean(text), clean(text).rstrip(".")):
            unit = self._exact.get(words) or self._folded.get(words.casefold())
            if unit:
                return unit
        return None

    def plain(self, text: str) -> str:
        """``text`` in a form for comparing: unit words by name, plural and singular alike, no punctuation."""
        words = [w for w in re.split(r"[\s,()]+", clean(text)) if w]
        for length in (2, 1):
            head = " ".join(words[:length])
            unit = self.find(head) if len(words) >= length else None
            if unit:
                return " ".join([unit.name.casefold(), *map(_stem, words[length:])])
        return " ".join(map(_stem, words))


def _stem(word: str) -> str:
    """``word`` without its plural, for comparing only.

    >>> [_stem(w) for w in ("leaves", "leaf", "berries", "berry", "cloves", "clove")]
    ['leaf', 'leaf', 'berri', 'berri', 'clof', 'clof']
    """
    stem = word.casefold().rstrip(".")
    if len(stem) > 3:
        if stem.endswith("s") and not stem.endswith("ss"):
            stem = stem[:-1]
        stem = stem.removesuffix("e")
        if stem.endswith("v"):
            stem = stem[:-1] + "f"
        if stem.endswith("y"):
            stem = stem[:-1] + "i"
    return stem


@dataclass(frozen=True, slots=True)
class Lookup:
    """A food table and the small tables, arranged for looking things up by name."""

    foods: FoodTable
    tables: Tables
    words: UnitWords
    by_name: Mapping[str, Food]
    measures: Mapping[str, tuple[Measure, ...]]
    treatments: Mapping[str, tuple[Treatment, ...]]
    roles: tuple[str, ...]
    names: tuple[str, ...] = field(repr=False)
    name_food: tuple[int, ...] = field(repr=False)

    def food(self, name: str) -> Food | None:
        """The food called ``name``, capital or small letters alike."""
        return self.by_name.get(name) or self.by_name.get(name.casefold())

    def nearest_foods(self, name: str, limit: int = 3) -> list[str]:
        """The ``limit`` kitchen names that look most like ``name`` (synonyms count), best first."""
        position = {words: self.name_food[i] for i, words in reversed(list(enumerate(self.names)))}
        found = nearest(name, self.names, limit * 4, 0.0)
        foods = dict.fromkeys(position[words] for words in found)
        return [self.foods.foods[i].name for i in foods][:limit]

    def known_units(self, food: Food) -> list[str]:
        """Every unit of ``food``: its measures, mass units, and volume units when its density is known."""
        own = [m.unit for m in self.measures.get(food.id, ())]
        plain = [u.name for u in self.tables.units if u.kind == "mass" or food.g_per_ml is not None]
        return list(dict.fromkeys(own + plain))

    def unit(self, food: Food, text: str) -> tuple[str, float] | None:
        """Name and grams of the unit that ``text`` spells for ``food``; None when it is not known.

        Exact names win over loose spellings, and the food's own measures over mass and volume units.
        """
        own = self.measures.get(food.id, ())
        for measure in own:
            if measure.unit == text:
                return measure.unit, measure.grams
        unit = self.words.find(text)
        grams = self._grams(unit, food) if unit else None
        if unit and grams is not None:
            return unit.name, grams
        plain = self.words.plain(text)
        for measure in own:
            if self.words.plain(measure.unit) == plain:
                return measure.unit, measure.grams
        return None

    def allowed_treatments(self, food: Food) -> list[str]:
        """The treatments that the state of ``food`` allows; "none" is always one of them."""
        offered = [t.name for t in self.treatments.get(food.keep_group, ()) if food.state in t.states]
        return list(dict.fromkeys([NO_TREATMENT, *offered]))

    @staticmethod
    def _grams(unit: Unit, food: Food) -> float | None:
        """Grams of one mass or volume ``unit`` of ``food``; None when the food's density is not known."""
        if unit.kind == "mass":
            return unit.factor
        return unit.factor * food.g_per_ml if food.g_per_ml is not None else None


def make_lookup(foods: FoodTable, tables: Tables) -> Lookup:
    """The look-up over ``foods`` and ``tables``; making one for many recipes saves time."""
    by_name: dict[str, Food] = {}
    for food in foods.foods:
        by_name.setdefault(food.name.casefold(), food)
    by_name.update({food.name: food for food in foods.foods})
    measures: dict[str, list[Measure]] = {}
    for measure in foods.measures:
        measures.setdefault(measure.food_id, []).append(measure)
    treatments: dict[str, list[Treatment]] = {}
    for treatment in tables.treatments:
        treatments.setdefault(treatment.keep_group, []).append(treatment)
    names = [(f.name, i) for i, f in enumerate(foods.foods)]
    names += [(s.strip(), i) for i, f in enumerate(foods.foods) for s in f.synonyms.split(";") if s.strip()]
    roles = {food.role for food in foods.foods}
    roles.update(role for model in tables.plate_models for group in model.groups for role in group.roles)
    return Lookup(
        foods, tables, UnitWords(tables.units), by_name,
        {k: tuple(v) for k, v in measures.items()}, {k: tuple(v) for k, v in treatments.items()},
        tuple(sorted(roles - {""})), tuple(n for n, _ in names), tuple(i for _, i in names),
    )  # fmt: skip


def same_kind(word: str, other: str) -> bool:
    """Whether two unit names spell the same unit for ``convert``, as "mcg" and "µg" do."""
    return word == other or (word in _PINT_NAMES and _PINT_NAMES[word] == _PINT_NAMES.get(other))


def convert(value: float, from_unit: str, to_unit: str) -> float | None:
    """``value`` in another unit of the same kind (mass, volume, energy), by pint; None when it has none.

    >>> convert(1.5, "g", "mg")
    1500.0
    """
    if same_kind(from_unit, to_unit):
        return value
    if from_unit not in _PINT_NAMES or to_unit not in _PINT_NAMES:
        return None
    import pint

    try:
        quantity = pint.UnitRegistry().Quantity(value, _PINT_NAMES[from_unit])
        return round(float(quantity.to(_PINT_NAMES[to_unit]).magnitude), 9)
    except pint.DimensionalityError:
        return None


def units_that_differ_from_pint(units: tuple[Unit, ...]) -> list[str]:
    """One sentence for each mass or volume unit whose factor is not pint's within 1e-9 relative.

    Units that pint does not define (pinch, dash) are passed over.
    """
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    differing: list[str] = []
    for unit in units:
        if unit.name in _PINT_NAMES:
            factor = float(registry.Quantity(1, _PINT_NAMES[unit.name]).to(_PINT_BASE[unit.kind]).magnitude)
            if abs(factor - unit.factor) > 1e-9 * factor:
                differing.append(f"{unit.name} is {unit.factor:.12g}, pint says {factor:.12g}")
    return differing
