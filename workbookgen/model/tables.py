"""Rows of the small reference tables: nutrients, units, retention, yields, reference values, sources."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from workbookgen.model.claims import ClaimRules
from workbookgen.model.science import Science


@dataclass(frozen=True, slots=True)
class Nutrient:
    """A nutrient by INFOODS tag. ``keep`` is the retention column that applies, "" = nothing is lost."""

    tag: str
    name: str
    unit: str
    decimals: int
    block: str
    usda_no: str
    keep: str
    main: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class Unit:
    """A mass (``factor`` in g) or volume (``factor`` in mL) unit."""

    name: str
    kind: str
    factor: float
    synonyms: tuple[str, ...]
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class Retention:
    """One row of the retention table; ``pct`` maps a retention column to per cent kept."""

    code: str
    group: str
    description: str
    pct: Mapping[str, float]
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class Treatment:
    """A treatment offered for a retention group in the listed states.

    ``code`` points to a retention row. ``drippings`` is "kept", "lost" or "" (no drippings).
    """

    keep_group: str
    name: str
    states: tuple[str, ...]
    code: str
    drippings: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Yield:
    """Cooked grams per raw gram for one food (``kind`` food) or a retention group (``kind`` group)."""

    kind: str
    key: str
    treatment: str
    factor: float
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReferenceValue:
    """A daily reference value of one set, in the nutrient's own unit."""

    tag: str
    value: float
    kind: str
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReferenceSet:
    """Daily reference values of one audience, such as US adults or the EU."""

    id: str
    name: str
    values: Mapping[str, ReferenceValue]


@dataclass(frozen=True, slots=True)
class RoundingRule:
    """How a label declares an amount (21 CFR 101.9(c)).

    Below ``zero_below`` the label says 0; below ``text_below`` (or at it when ``text_at``) it says
    "less than ``text_amount``"; up to ``upto_1`` steps of ``step_1``, up to ``upto_2`` of ``step_2``,
    above of ``step_3``.
    """

    key: str
    unit: str
    zero_below: float
    text_below: float
    text_at: bool
    text_amount: float
    upto_1: float
    step_1: float
    upto_2: float
    step_2: float
    step_3: float
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class PlateGroup:
    """One group of a plate model: its target share in per cent and the plate roles it counts."""

    name: str
    target_pct: float
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlateModel:
    """A plate model; roles in no group (liquids, fats, seasonings, dairy) are left out of the shares."""

    id: str
    name: str
    groups: tuple[PlateGroup, ...]
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """Something cited: ``id`` is what rows carry, ``citation`` what a reader needs to find it."""

    id: str
    citation: str
    url: str = ""
    licence: str = ""


@dataclass(frozen=True, slots=True)
class Tables:
    """All small tables together."""

    nutrients: tuple[Nutrient, ...]
    units: tuple[Unit, ...]
    retention: tuple[Retention, ...]
    treatments: tuple[Treatment, ...]
    yields: tuple[Yield, ...]
    reference_sets: tuple[ReferenceSet, ...]
    rounding: Mapping[str, RoundingRule]
    plate_models: tuple[PlateModel, ...]
    sources: Mapping[str, Source] = field(default_factory=dict)
    science: Science = field(default_factory=Science)
    claims: ClaimRules = field(default_factory=ClaimRules)
