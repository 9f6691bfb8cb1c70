"""Kitchen sense as tables: how far amounts may change, in which steps, what may be added, swapped, never added."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.analysis import LineResult
from workbookgen.model.food import Food
from workbookgen.model.recipe import WATER_FATES
from workbookgen.model.safety import FoodSelector, has_word

KINDS = ("volume", "mass", "piece")
NOT_THERE = "-"
_MOST = 1e6


@dataclass(frozen=True, slots=True)
class Bound:
    """How far lines of one kind may change: shares of the written amount, a ceiling in edible grams of one serving,
    whether they may go altogether, and what a change by the whole written amount costs."""

    id: str
    selector: FoodSelector
    roles: tuple[str, ...]
    water: str
    least: float
    most: float
    most_g: float | None
    leave_out: bool
    weight: float

    def fits(self, line: LineResult) -> bool:
        """True when every condition of the row holds for a worked-out line."""
        return (
            (not self.roles or line.food.role in self.roles)
            and (not self.water or line.line.water == self.water)
            and self.selector.fits(line.food)
        )


@dataclass(frozen=True, slots=True)
class Step:
    """Amounts that can be measured: multiples of ``step`` from ``low`` to ``high`` of a unit."""

    kind: str
    unit: str
    groups: tuple[str, ...]
    words: tuple[str, ...]
    step: Fraction
    low: Fraction
    high: Fraction

    def fits(self, food: Food) -> bool:
        return (not self.groups or food.group in self.groups) and (
            not self.words or any(has_word(food.name, word) for word in self.words)
        )


@dataclass(frozen=True, slots=True)
class Addition:
    """A food that may be added: usual and largest amount of one serving, treatment in a cooked and in an uncooked
    dish ("-" where it does not belong), whether it suits sweet dishes."""

    food: str
    unit: str
    usual: float
    most: float
    hot: str
    cold: str
    sweet: bool


@dataclass(frozen=True, slots=True)
class Blocked:
    """Foods never added unless named: by caution mark, by words, or by much of a nutrient in some groups."""

    id: str
    marks: tuple[str, ...]
    words: tuple[str, ...]
    groups: tuple[str, ...]
    tag: str
    from_per_100g: float
    reason: str


@dataclass(frozen=True, slots=True)
class AdjustRules:
    """All tables of the adjuster."""

    bounds: tuple[Bound, ...]
    steps: tuple[Step, ...]
    additions: tuple[Addition, ...]
    swaps: Mapping[str, tuple[str, ...]]
    blocked: tuple[Blocked, ...]
    costs: Mapping[str, float]
    price_steps: Mapping[str, float]
    words: Mapping[str, str]

    def bound_of(self, line: LineResult) -> Bound:
        """The first row of bounds that fits; the last row fits every line."""
        return next(b for b in self.bounds if b.fits(line))

    def steps_of(self, food: Food, kind: str, unit: str) -> tuple[Step, ...]:
        """All steps of the first rule that fits: rows for the unit go before rows for the rest of its kind."""
        fitting = [s for s in self.steps if s.kind == kind and s.fits(food) and s.unit in (unit, "")]
        named = [s for s in fitting if s.unit] or fitting
        first = named[0]
        return tuple(s for s in named if (s.unit, s.groups, s.words) == (first.unit, first.groups, first.words))


@cache
def load_rules() -> AdjustRules:
    """All adjuster tables of data/; raises BadInput naming file and row of a fault."""
    folder, sources = data_path(), load_tables().sources

    def rows(name: str, columns: Sequence[str]) -> list[Row]:
        found = read_rows(folder / name, (*columns, *PROVEN))
        for row in found:
            proof(row, sources)
        return found

    swaps: dict[str, tuple[str, ...]] = {}
    for row in rows("adjust_swaps.csv", ("food", "with")):
        key = row.text("food").lower()
        swaps[key] = (*swaps.get(key, ()), row.text("with"))
    costs = rows("adjust_costs.csv", ("id", "value", "unit", "words"))
    only_once(costs, "id")
    prices = rows("adjust_price_steps.csv", ("unit", "step"))
    only_once(prices, "unit")
    return AdjustRules(
        bounds=_bounds(rows("adjust_bounds.csv", _BOUND_COLUMNS)),
        steps=tuple(_step(row) for row in rows("adjust_steps.csv", _STEP_COLUMNS)),
        additions=tuple(_addition(row) for row in rows("adjust_additions.csv", _ADDITION_COLUMNS)),
        swaps=swaps,
        blocked=tuple(_blocked(row) for row in rows("adjust_blocked.csv", _BLOCKED_COLUMNS)),
        costs={row.text("id"): row.number_in("value", 0, _MOST) for row in costs},
        price_steps={row.text("unit", blank=True): row.positive("step") for row in prices},
        words=_words(folder / "adjust_words.csv"),
    )


_BOUND_COLUMNS = ("id", "groups", "roles", "states", "words", "but", "water", "least", "most", "most_g", "leave_out", "weight")
_STEP_COLUMNS = ("kind", "unit", "groups", "words", "step", "from", "to")
_ADDITION_COLUMNS = ("food", "unit", "usual", "most", "hot", "cold", "sweet")
_BLOCKED_COLUMNS = ("id", "marks", "words", "groups", "tag", "from_per_100g", "reason")


def _bounds(rows: Sequence[Row]) -> tuple[Bound, ...]:
    only_once(rows, "id")
    found = []
    for row in rows:
        least = row.number_in("least", 0, 1)
        found.append(
            Bound(
                id=row.text("id"),
                selector=FoodSelector(
                    groups=row.items("groups"), states=row.items("states"), words=row.items("words"), but=row.items("but")
                ),
                roles=row.items("roles"),
                water=row.choice("water", ("", *WATER_FATES)),
                least=least,
                most=row.number_in("most", 1, _MOST),
                most_g=row.number_or_none("most_g", 0, _MOST),
                leave_out=row.yes("leave_out"),
                weight=row.positive("weight"),
            )
        )
    last = found[-1]
    if last.selector != FoodSelector() or last.roles or last.water:
        raise rows[-1].bad("the last row must fit every food; leave its conditions empty")
    return tuple(found)


def _fraction(row: Row, column: str) -> Fraction:
    try:
        value = Fraction(row.text(column))
    except (ValueError, ZeroDivisionError):
        raise row.bad(f"'{column}' is '{row.cells[column]}', which is no fraction; write it like 1/4") from None
    if value <= 0:
        raise row.bad(f"'{column}' must be more than 0")
    return value


def _step(row: Row) -> Step:
    step, low, high = (_fraction(row, column) for column in ("step", "from", "to"))
    if high < low or low % step:
        raise row.bad("'from' must be a multiple of 'step' and not above 'to'")
    return Step(row.choice("kind", KINDS), row.text("unit", blank=True), row.items("groups"), row.items("words"), step, low, high)


def _addition(row: Row) -> Addition:
    usual = row.positive("usual")
    return Addition(
        food=row.text("food"),
        unit=row.text("unit"),
        usual=usual,
        most=row.number_in("most", usual, _MOST),
        hot=row.text("hot"),
        cold=row.text("cold"),
        sweet=row.yes("sweet"),
    )


def _blocked(row: Row) -> Blocked:
    tag = row.text("tag", blank=True)
    return Blocked(
        row.text("id"), row.items("marks"), row.items("words"), row.items("groups"), tag,
        row.positive("from_per_100g") if tag else 0.0, row.text("reason"),
    )  # fmt: skip


def _words(path: Path) -> dict[str, str]:
    rows = read_rows(path, ("typed", "means"))
    only_once(rows, "typed")
    return {row.text("typed").casefold(): row.text("means") for row in rows}
