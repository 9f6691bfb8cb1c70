"""Rows of the tables behind the sheets Person and Day: life stages, energy equations, reference intakes, limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from workbookgen.model.science import Figure

#: In the order in which the sheets number them, from 1.
SEXES = ("female", "male")
GROUPS = ("none", "pregnant", "breastfeeding")
KINDS = ("reach", "limit", "aim")


@dataclass(frozen=True, slots=True)
class Proof:
    """Where a row comes from."""

    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Stage:
    """A life stage: ages in years from ``age_from`` to below ``age_below``; ``sex`` "any" where it does not matter."""

    id: str
    name: str
    sex: str
    group: str
    age_from: float
    age_below: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class State:
    """Pregnancy or breastfeeding: its group of life stages and the kcal a day that the equation of 2005 adds."""

    id: str
    name: str
    group: str
    extra_kcal: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Activity:
    """A level of activity: physical activity level from ``pal_from`` on, and the factor on resting energy."""

    id: str
    name: str
    words: str
    pal_from: float
    factor: float
    factor_source: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class Equation:
    """kcal a day = constant + per_year x age + pa x (per_kg x kg + per_cm x cm)."""

    key: str
    name: str
    constant: float
    per_year: float
    pa: float
    per_kg: float
    per_cm: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Intake:
    """Reference intake of a life stage in the nutrient's unit: ``kind`` is RDA or AI, ``upper`` None where none is set."""

    kind: str
    value: float
    upper: float | None
    upper_status: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class Upper:
    """What an upper level counts: the tag it is held against ("" where foods do not count), in words."""

    compared: str
    words: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class EnergyShare:
    """Share of energy in per cent for an age band; ``use`` is "range" or "limit"."""

    tag: str
    use: str
    age_from: float
    age_below: float
    low_pct: float
    high_pct: float
    kcal_per_g: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Pace:
    """Published pace of losing weight for a span of body mass index: kcal a day less, kg a week."""

    bmi_from: float
    bmi_below: float
    cut_low: float
    cut_high: float
    kg_low: float
    kg_high: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Gain:
    """Weight gain in pregnancy for a span of body mass index before it: kg in all, kg a week from the 2nd trimester on."""

    bmi_from: float
    bmi_below: float
    total_low: float
    total_high: float
    rate_low: float
    rate_high: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Reason:
    """Why no figure is given; ``hides`` is "all" or "energy"."""

    id: str
    hides: str
    text: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class DayNutrient:
    """A nutrient of the day and how it is held against a reference intake and against a label value (of `KINDS`)."""

    tag: str
    kind: str
    label_kind: str


@dataclass(frozen=True, slots=True)
class DayRow:
    """A row that the sheet Day starts with: a recipe by title, or a food."""

    meal: str
    recipe: str
    servings: float | None
    food: str
    amount: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class PersonInput:
    """What is typed about a person. Height in cm and weight in kg; before pregnancy where there is one. ``cut`` is the
    energy cut considered, kcal a day. Personal: it stays in the file it was typed into."""

    sex: str = "female"
    age: float = 0.0
    state: str = "none"
    height_cm: float = 0.0
    weight_kg: float = 0.0
    activity: str = "inactive"
    disorder: bool = False
    kidney: bool = False
    liver: bool = False
    cut: float = 0.0


@dataclass(frozen=True, slots=True)
class PersonTables:
    """All of them; empty where the sheets are left out. ``intakes`` by life stage and tag."""

    stages: tuple[Stage, ...] = ()
    states: tuple[State, ...] = ()
    activities: tuple[Activity, ...] = ()
    equations: tuple[Equation, ...] = ()
    limits: Mapping[str, Figure] = field(default_factory=dict)
    intakes: Mapping[tuple[str, str], Intake] = field(default_factory=dict)
    uppers: Mapping[str, Upper] = field(default_factory=dict)
    shares: tuple[EnergyShare, ...] = ()
    paces: tuple[Pace, ...] = ()
    gains: tuple[Gain, ...] = ()
    reasons: tuple[Reason, ...] = ()
    nutrients: tuple[DayNutrient, ...] = ()
    meals: tuple[str, ...] = ()
    start: PersonInput = field(default_factory=PersonInput)
    day: tuple[DayRow, ...] = ()

    def limit(self, name: str) -> float:
        """Value of a limit by its id."""
        return self.limits[name].value
