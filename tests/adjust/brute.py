"""Every point of a small problem, judged without the solver and without its rows: for comparison only."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from workbookgen.adjust.items import AS_IS, OUT, Item
from workbookgen.adjust.safety import quiet_cautions
from workbookgen.adjust.targets import PER_100G, PER_DV, Wish
from workbookgen.adjust.task import Task
from workbookgen.nutrition.plate import plate_role

Values = NDArray[np.float64]
MOST_POINTS = 400_000


@dataclass(frozen=True)
class Listed:
    """All points: amounts (points x items), cost of each, whether each fulfils everything."""

    amounts: Values
    cost: Values
    good: NDArray[np.bool_]

    @property
    def least(self) -> float | None:
        return float(self.cost[self.good].min()) if self.good.any() else None


def choices(item: Item) -> list[tuple[float, float]]:
    """(amount, cost) of every way a line without siblings may stand."""
    slot = item.slots[0]
    found = {}
    for mode in item.modes:
        if mode.kind == OUT:
            options = [0.0]
        elif mode.kind == AS_IS:
            options = [slot.base]
        else:
            options = [float(mode.step * n) for n in range(mode.low, mode.high + 1)]
        for amount in options:
            written = 0.0 if item.start == "absent" else 1.0
            cost = mode.cost + item.weight * abs(amount / slot.base - written)
            found[amount] = min(cost, found.get(amount, np.inf))
    return sorted(found.items())


def count_points(task: Task) -> int:
    total = 1
    for item in task.space.items:
        total *= len(choices(item))
    return total


def list_points(task: Task) -> Listed:
    """Every point; the dish must have one food a line and no water that is taken up."""
    assert all(len(item.slots) == 1 for item in task.space.items)
    lists = [choices(item) for item in task.space.items]
    grid = np.array(list(product(*(range(len(x)) for x in lists))))
    amounts = np.stack([np.array([a for a, _ in x])[grid[:, k]] for k, x in enumerate(lists)], axis=1)
    cost = sum(np.array([c for _, c in x])[grid[:, k]] for k, x in enumerate(lists))
    good = np.ones(len(grid), dtype=bool)
    for wish in task.wishes:
        good &= fulfils(task, wish, amounts)
    for quiet in quiet_cautions(task.space.kitchen, task.space.analysis):
        if any(row.wish == quiet.id for row in task.cautions.rows):
            value = np.round(per_serving(task, quiet.trigger.key, amounts), 9)
            fires = {">": value > quiet.limit, ">=": value >= quiet.limit, "<=": value <= quiet.limit}[quiet.trigger.sign]
            good &= ~fires
    return Listed(amounts, np.asarray(cost, dtype=float), good)


def per_serving(task: Task, tag: str, amounts: Values) -> Values:
    one = np.array([item.slots[0].one.values[tag] or 0.0 for item in task.space.items])
    return np.asarray(amounts @ one / task.space.servings)


def figure(task: Task, wish: Wish, amounts: Values) -> Values:
    """The figure of a target at every point."""
    items, servings = task.space.items, task.space.servings
    cooked = np.array([item.slots[0].one.cooked for item in items])
    if wish.kind == "serving weight":
        return np.asarray(amounts @ cooked / servings)
    if wish.kind == "plate":
        recipe = task.space.analysis.recipe
        model = task.space.kitchen.plate_model_by_id[recipe.plate_model or task.space.analysis.settings.plate_model]
        roles = {r for g in model.groups for r in g.roles}
        mine = next(g.roles for g in model.groups if g.name == wish.group)
        role = [plate_role(item.slots[0].one, recipe.legumes_as) for item in items]
        whole = amounts @ np.where([r in roles for r in role], cooked, 0.0)
        part = amounts @ np.where([r in mine for r in role], cooked, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.where(whole > 0, part / whole * 100, np.nan))
    value = per_serving(task, wish.tag, amounts)
    if wish.basis == PER_100G:
        return np.asarray(value * servings / (amounts @ cooked) * 100)
    if wish.basis == PER_DV:
        sets = task.space.kitchen.reference_set_by_id
        return np.asarray(value / sets[task.space.analysis.settings.reference_set].values[wish.tag].value * 100)
    return value


def fulfils(task: Task, wish: Wish, amounts: Values) -> NDArray[np.bool_]:
    value = np.round(figure(task, wish, amounts), 9)
    low = wish.low if wish.low is not None else -np.inf
    high = wish.high if wish.high is not None else np.inf
    return np.asarray((value >= round(low, 9)) & (value <= round(high, 9)))
