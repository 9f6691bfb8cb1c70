"""Random points of a problem, and whether its rows hold there."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np

from workbookgen.adjust.items import AS_IS, OUT
from workbookgen.adjust.model import Options, build
from workbookgen.adjust.solve import Choice, solve
from workbookgen.adjust.space import Demand, Space


def random_choice(space: Space, rng: random.Random, still: float = 0.4) -> Choice:
    """A random mode and amount for every item; about ``still`` of them stay as written."""
    modes, amounts = [], np.zeros(len(space.slots))
    for k, item in enumerate(space.items):
        plain = next((m for m, mode in enumerate(item.modes) if mode.kind == (OUT if item.start == "absent" else AS_IS)), 0)
        m = plain if rng.random() < still or (item.start == "absent" and rng.random() < 0.8) else rng.randrange(len(item.modes))
        mode = item.modes[m]
        modes.append(m)
        if mode.kind == AS_IS:
            amounts[space.first[k] + mode.slot] = item.slots[mode.slot].base
        elif mode.kind != OUT:
            amounts[space.first[k] + mode.slot] = float(mode.step * rng.randint(mode.low, mode.high))
    return Choice(tuple(modes), amounts)


def rows_hold(space: Space, demands: Sequence[Demand], choice: Choice) -> bool:
    """Do all rows hold at a point? Helpers are free, so the solver is asked with the point fixed."""
    model = build(space, demands, Options(additions=len(space.items)))
    for (k, m), column in model.mode.items():
        model.low[column] = model.high[column] = float(choice.modes[k] == m)
    for (k, m), column in model.count.items():
        mode = space.items[k].modes[m]
        number = round(choice.amounts[space.first[k] + mode.slot] / float(mode.step)) if choice.modes[k] == m else 0
        model.low[column] = model.high[column] = float(number)
    return solve(model, [0.0] * len(model.cost)).ok
