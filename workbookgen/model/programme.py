"""What a recipe folder holds beside its recipes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from workbookgen.model.food import Food
from workbookgen.model.pack import Pack

#: Largest believable amount in 100 g by unit: pure fat for energy, pure substance for grams.
MOST_PER_100G: Mapping[str, float] = {"kcal": 902.0, "g": 100.0, "mg": 100_000.0, "mcg": 10_000_000.0}


@dataclass(frozen=True, slots=True)
class OwnMeasure:
    """A household unit a programme weighed itself, for any food by name; grams of one, edible portion."""

    food: str
    unit: str
    grams: float


#: How a food is sold: with its peel, bone or core, or only the part that is eaten.
WHOLE, TRIMMED = "whole", "trimmed"


@dataclass(frozen=True, slots=True)
class Price:
    """What was paid: ``price`` for a package of ``amount`` of ``unit`` of a food, in the programme's currency.

    ``sold_as`` is "whole" (with refuse) or "trimmed"; ``pantry_g`` what is there already (g as bought).
    """

    food: str
    price: float
    amount: float
    unit: str
    note: str = ""
    sold_as: str = WHOLE
    pantry_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Programme:
    """A folder's own foods, units, packaged products, prices and settings (only those it states)."""

    own_foods: tuple[Food, ...] = ()
    own_measures: tuple[OwnMeasure, ...] = ()
    packs: tuple[Pack, ...] = ()
    prices: tuple[Price, ...] = ()
    settings: Mapping[str, str | float] = field(default_factory=dict)
