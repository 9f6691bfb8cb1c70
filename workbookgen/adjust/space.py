"""The space of one problem: amounts of every food that may stand in the dish, and sums over them as vectors."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from workbookgen.adjust.items import Item, Slot
from workbookgen.adjust.rules import AdjustRules
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.nutrition.kitchen import Kitchen

Vector = NDArray[np.float64]
#: Variables of a problem: amount of a slot, whether a slot is in the dish, a helper of one demand.
Key = tuple[str, int | str]
AMOUNT, PRESENT, HELPER = "amount", "present", "helper"


@dataclass(frozen=True)
class Space:
    """Items with their slots in one row; amounts stand in the unit of each slot."""

    kitchen: Kitchen
    rules: AdjustRules
    analysis: Analysis
    items: tuple[Item, ...]

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        return tuple(slot for item in self.items for slot in item.slots)

    @cached_property
    def first(self) -> tuple[int, ...]:
        """Number of the first slot of each item."""
        starts, at = [], 0
        for item in self.items:
            starts.append(at)
            at += len(item.slots)
        return tuple(starts)

    @property
    def servings(self) -> float:
        return self.analysis.servings

    def vector(self, of: Callable[[LineResult], float | None]) -> Vector:
        """What one unit of each slot brings; unknown counts 0."""
        return np.array([of(slot.one) or 0.0 for slot in self.slots])

    def values(self, tag: str) -> Vector:
        """Amount of a nutrient that one unit of each slot brings, after losses."""
        return self._tag_vectors.setdefault(tag, self.vector(lambda one: one.values[tag]))

    @cached_property
    def _tag_vectors(self) -> dict[str, Vector]:
        return {}

    @cached_property
    def cooked(self) -> Vector:
        """Grams in the finished dish of one unit of each slot."""
        return self.vector(lambda one: one.cooked)

    @cached_property
    def start(self) -> Vector:
        """Amounts as written: foods that are not in the dish stand at 0."""
        return np.array([
            slot.base if k == 0 and item.start != "absent" else 0.0
            for item in self.items for k, slot in enumerate(item.slots)
        ])  # fmt: skip

    @cached_property
    def bases(self) -> Vector:
        return np.array([slot.base for slot in self.slots])


@dataclass(frozen=True)
class Row:
    """num . amounts compared with limit x den, where den is a vector times the amounts plus a constant.

    The figure told is num / den, in ``unit``; ``wish`` is the number of the target (or the id of a caution) behind
    it. ``exact`` is False where the row asks for a little more than the target does.
    """

    wish: int | str
    label: str
    sense: str
    num: Vector
    limit: float
    unit: str
    den: Vector | None = None
    den_constant: float = 1.0
    strict: bool = False
    exact: bool = True
    tag: str = ""

    def coefficients(self) -> Vector:
        """Coefficients of the linear form num - limit x den (the constant is `offset`)."""
        return self.num if self.den is None else self.num - self.limit * self.den

    @property
    def right(self) -> float:
        """Right side of the linear form."""
        return 0.0 if self.den is not None else self.limit * self.den_constant

    def below(self, amounts: Vector) -> float:
        """Value of the denominator."""
        return float(self.den @ amounts) if self.den is not None else self.den_constant

    def value(self, amounts: Vector) -> float:
        """The figure at ``amounts``, 0 where the denominator is 0."""
        den = self.below(amounts)
        return float(self.num @ amounts) / den if den else 0.0


@dataclass(frozen=True)
class LogicRow:
    """A condition on helpers and presence, low <= sum <= high (None = open). ``soft`` is False for rows that only tie
    helpers to amounts: they hold even where a target may be missed."""

    wish: int | str
    label: str
    coefs: Mapping[Key, float]
    low: float | None
    high: float | None
    soft: bool = True


@dataclass(frozen=True)
class Helper:
    """A whole-number variable that belongs to one demand."""

    name: str
    low: float
    high: float


@dataclass(frozen=True)
class Demand:
    """One way to fulfil a target: all its rows together."""

    rows: tuple[Row, ...] = ()
    logic: tuple[LogicRow, ...] = ()
    helpers: tuple[Helper, ...] = ()

    def __add__(self, other: Demand) -> Demand:
        return Demand(self.rows + other.rows, self.logic + other.logic, self.helpers + other.helpers)
