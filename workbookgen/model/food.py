"""Foods and their household measures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Food:
    """One row of the food-composition table.

    ``values`` maps INFOODS tags to amounts per 100 g edible portion in the unit of ``nutrients.csv``;
    a tag that is absent is unknown, 0 is a known zero. ``allergens`` is a marker text such as
    ``+milk;?wheat;`` (+ contains, ? unknown, absent = not). ``diet`` names what is in the food
    (meat, fish, plant ...; ``?`` when unknown). ``own`` marks rows that are not of the fixed table: foods a
    programme added, packaged products, dishes used as ingredients. ``known`` gives the share (0 to 1) of a
    dish's weight whose value is known, by tag; None means all of it.
    """

    id: str
    name: str
    group: str
    state: str
    role: str
    values: Mapping[str, float]
    keep_group: str = "none"
    counterpart_id: str = ""
    synonyms: str = ""
    source_id: str = ""
    source_number: str = ""
    source_description: str = ""
    provenance: str = ""
    refuse_pct: float = 0.0
    refuse_what: str = ""
    g_per_ml: float | None = None
    cup_eq_g: float | None = None
    oz_eq_g: float | None = None
    whole_grain_pct: float | None = None
    mfp: bool = False
    heme: bool = False
    allergens: str = ""
    diet: str = ""
    salt_ingredient: str = "unknown"
    sugar_ingredient: str = "unknown"
    colour: str = ""
    aisle: str = ""
    cautions: str = ""
    digestibility: float | None = None
    nitrogen_factor: float | None = None
    racc_hint: str = ""
    own: bool = False
    known: Mapping[str, float] | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """Grams of one household unit of one food, edible portion; ``number`` runs from 1 per food."""

    food_id: str
    unit: str
    grams: float
    number: int
    source_id: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ValueDetail:
    """What the source prints about one value: data points, standard error, range, source code."""

    points: int
    standard_error: float | None = None
    minimum: float | None = None
    maximum: float | None = None
    source_code: str = ""


@dataclass(frozen=True, slots=True)
class FoodTable:
    """Foods in table order with their measures (grouped by food, same order) and value details."""

    name: str
    foods: tuple[Food, ...]
    measures: tuple[Measure, ...]
    details: Mapping[tuple[str, str], ValueDetail] = field(default_factory=dict)
