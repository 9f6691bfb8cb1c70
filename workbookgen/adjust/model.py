"""A problem as columns and rows for the solver: whole-number kitchen steps, or a continuous relaxation of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import csr_array

from workbookgen.adjust.items import AS_IS, FIXED, IN, OUT, STEPS, Item
from workbookgen.adjust.space import AMOUNT, HELPER, PRESENT, Demand, Key, LogicRow, Row, Space, Vector

#: Strict limits (below, above) keep this distance, in parts of the largest term of their row.
STRICT_GAP = 1e-6
INFINITE = np.inf
Chosen = tuple[int, ...]  # number of the chosen mode of each item


@dataclass(frozen=True)
class Options:
    """What kind of problem is built.

    ``continuous`` drops kitchen steps and the cost of touching things; ``structure`` also fixes which foods stand in
    and which amounts change. ``elastic`` targets may be missed at a price; ``tighten`` narrows the rows of a target by
    parts of their largest term. ``additions`` is how many foods may be added, ``barred`` items that may not.
    """

    continuous: bool = False
    structure: Chosen | None = None
    elastic: frozenset[int | str] = frozenset()
    tighten: Mapping[int | str, float] = field(default_factory=dict)
    additions: int = 0
    barred: frozenset[int] = frozenset()


@dataclass
class Model:
    """Columns with bounds, cost and integrality; rows low <= A x <= high."""

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)
    amount: dict[int, int] = field(default_factory=dict)
    present: dict[int, list[int]] = field(default_factory=dict)
    helper: dict[str, int] = field(default_factory=dict)
    mode: dict[tuple[int, int], int] = field(default_factory=dict)
    count: dict[tuple[int, int], int] = field(default_factory=dict)
    missed: dict[int | str, int] = field(default_factory=dict)
    #: row number, scale and sign of every target row, in the order the rows were given
    told: list[tuple[Row, int, float]] = field(default_factory=list)

    def column(self, low: float, high: float, cost: float = 0.0, whole: bool = False) -> int:
        self.low.append(low)
        self.high.append(high)
        self.cost.append(cost)
        self.whole.append(int(whole))
        return len(self.low) - 1

    def row(self, coefs: Mapping[int, float], low: float, high: float) -> int:
        number = len(self.row_low)
        self.entries += [(number, col, value) for col, value in coefs.items() if value]
        self.row_low.append(low)
        self.row_high.append(high)
        return number

    def matrix(self) -> csr_array:
        """The rows as a sparse matrix."""
        rows, cols, values = zip(*self.entries, strict=True) if self.entries else ((), (), ())
        shape = (len(self.row_low), len(self.low))
        return csr_array((values, (rows, cols)), shape=shape)

    def amounts(self, x: Sequence[float], slots: int) -> Vector:
        """Amounts of all slots at a solution."""
        return np.array([x[self.amount[i]] for i in range(slots)])


def build(space: Space, demands: Sequence[Demand], options: Options) -> Model:
    """Columns and rows of a problem: items, then everything the demands ask."""
    model = Model()
    for k, item in enumerate(space.items):
        _put_item(model, space, k, item, options)
    _limit_additions(model, space, options)
    for demand in demands:
        for helper in demand.helpers:
            model.helper[helper.name] = model.column(helper.low, helper.high, whole=not options.continuous)
        for row in demand.rows:
            _put_row(model, space, row, options)
        for logic in demand.logic:
            _put_logic(model, logic, options)
    return model


def _missed(model: Model, wish: int | str) -> int:
    """The column that says how far a target is missed, in parts of its limit."""
    if wish not in model.missed:
        model.missed[wish] = model.column(0.0, INFINITE)
    return model.missed[wish]


def scale_of(space: Space, row: Row) -> float:
    """The largest term of a row at the usual amounts, by which the row is divided."""
    terms = np.abs(row.coefficients() * space.bases)
    return float(terms.max()) if terms.size and terms.max() > 0 else 1.0


def _put_row(model: Model, space: Space, row: Row, options: Options) -> None:
    scale = scale_of(space, row)
    coefs = {model.amount[i]: float(c) / scale for i, c in enumerate(row.coefficients()) if c}
    right = row.right / scale
    gap = (STRICT_GAP if row.strict else 0.0) + options.tighten.get(row.wish, 0.0)
    if row.wish in options.elastic:
        size = abs(row.limit) * abs(row.below(space.bases if row.den is not None else space.start)) / scale
        coefs[_missed(model, row.wish)] = (size or 1.0) * (1.0 if row.sense == ">=" else -1.0)
    low, high = (right + gap, INFINITE) if row.sense == ">=" else (-INFINITE, right - gap)
    model.told.append((row, model.row(coefs, low, high), scale))


def _put_logic(model: Model, logic: LogicRow, options: Options) -> None:
    coefs: dict[int, float] = {}
    for (kind, what), value in logic.coefs.items():
        for col in _columns(model, (kind, what)):
            coefs[col] = coefs.get(col, 0.0) + value
    low = -INFINITE if logic.low is None else logic.low
    high = INFINITE if logic.high is None else logic.high
    if logic.wish in options.elastic and logic.soft:
        coefs[_missed(model, logic.wish)] = 1.0 if logic.low is not None else -1.0
    biggest = max((abs(v) for v in coefs.values()), default=1.0)
    model.row({c: v / biggest for c, v in coefs.items()}, low / biggest, high / biggest)


def _columns(model: Model, key: Key) -> list[int]:
    kind, what = key
    if kind == AMOUNT:
        return [model.amount[int(what)]]
    if kind == PRESENT:
        return model.present[int(what)]
    assert kind == HELPER
    return [model.helper[str(what)]]


def _put_item(model: Model, space: Space, k: int, item: Item, options: Options) -> None:
    first = space.first[k]
    if item.start == FIXED or (options.structure is not None and _unchanged(item, options.structure[k])):
        _put_fixed(model, first, item, options.structure[k] if options.structure else 0)
        return
    if options.continuous or options.structure is not None:
        _put_continuous(model, first, k, item, options)
    else:
        _put_steps(model, first, k, item, options)


def _unchanged(item: Item, mode: int) -> bool:
    """True where the chosen mode leaves nothing to turn: as written, or out."""
    kind = item.modes[mode].kind
    return kind == OUT or (kind == AS_IS and item.modes[mode].slot == 0 and item.start != "absent")


def _put_fixed(model: Model, first: int, item: Item, mode: int) -> None:
    """Amounts that do not move: as they are in the chosen mode."""
    chosen = item.modes[mode] if mode < len(item.modes) else item.modes[0]
    for s, slot in enumerate(item.slots):
        amount = slot.base if chosen.kind == AS_IS and chosen.slot == s else 0.0
        model.amount[first + s] = model.column(amount, amount)
        there = 1.0 if amount else 0.0
        model.present[first + s] = [model.column(there, there)]


def _change(model: Model, first: int, item: Item) -> None:
    """More and less, in parts of the usual amount: relative amount - 1 = more - less."""
    relative = {model.amount[first + s]: 1 / slot.base for s, slot in enumerate(item.slots)}
    more = model.column(0.0, INFINITE, item.weight)
    if item.start == IN:
        less = model.column(0.0, 1.0, item.weight)
        model.row(relative | {more: -1.0, less: 1.0}, 1.0, 1.0)
    else:
        model.row(relative | {more: -1.0}, 0.0, 0.0)


def _put_continuous(model: Model, first: int, k: int, item: Item, options: Options) -> None:
    """Amounts between their bounds; presence and the choice between siblings are parts of 1."""
    only = item.modes[options.structure[k]].slot if options.structure is not None else None
    firm = options.structure is not None
    present = []
    for s, slot in enumerate(item.slots):
        most = slot.most if only in (None, s) and k not in options.barred else 0.0
        x = model.column(0.0, most)
        model.amount[first + s] = x
        there = model.column(1.0 if firm and only == s else 0.0, 1.0 if most else 0.0)
        model.present[first + s] = [there]
        present.append(there)
        model.row({x: 1.0, there: -slot.most}, -INFINITE, 0.0)
        model.row({x: 1.0, there: -slot.least}, 0.0, INFINITE)
    if not firm:
        least = 0.0 if item.can_leave else 1.0
        model.row(dict.fromkeys(present, 1.0), least, 1.0)
    _change(model, first, item)


def _put_steps(model: Model, first: int, k: int, item: Item, options: Options) -> None:
    """Amounts on kitchen steps: a yes-or-no column for each mode, a whole number of steps.

    All steps of a mode lie on one side of the written amount, so the change is linear in them and its cost stands on
    the columns themselves: weight x (relative amount - 1) above, the opposite below.
    """
    parts: list[dict[int, float]] = [{} for _ in item.slots]
    all_modes = {}
    there: list[list[int]] = [[] for _ in item.slots]
    written = 0.0 if item.start == "absent" else 1.0
    for m, mode in enumerate(item.modes):
        barred = k in options.barred and mode.kind != OUT
        base = item.slots[mode.slot].base
        relative = 0.0 if mode.kind == OUT else 1.0 if mode.kind == AS_IS else float(mode.step * mode.high) / base
        side = item.weight if relative > written else -item.weight
        fixed = side * (relative - written) if mode.kind != STEPS else -side * written
        chosen = model.column(0.0, 0.0 if barred else 1.0, mode.cost + fixed, whole=True)
        model.mode[k, m] = chosen
        all_modes[chosen] = 1.0
        if mode.kind == OUT:
            continue
        there[mode.slot].append(chosen)
        if mode.kind == AS_IS:
            parts[mode.slot][chosen] = base
            continue
        number = model.column(0.0, float(mode.high), side * float(mode.step) / base, whole=True)
        model.count[k, m] = number
        model.row({number: 1.0, chosen: -float(mode.high)}, -INFINITE, 0.0)
        model.row({number: 1.0, chosen: -float(mode.low)}, 0.0, INFINITE)
        parts[mode.slot][number] = float(mode.step)
    model.row(all_modes, 1.0, 1.0)
    for s, slot in enumerate(item.slots):
        x = model.column(0.0, max(slot.most, slot.base))
        model.amount[first + s] = x
        model.present[first + s] = there[s]
        model.row({x: -1.0} | parts[s], 0.0, 0.0)


def _limit_additions(model: Model, space: Space, options: Options) -> None:
    """No more new foods than asked for."""
    new = [k for k, item in enumerate(space.items) if item.start == "absent"]
    if options.structure is not None or not new:
        return
    coefs = {
        col: 1.0
        for k in new
        for s in range(len(space.items[k].slots))
        for col in model.present[space.first[k] + s]
    }
    model.row(coefs, -INFINITE, float(options.additions))
