"""The balance of the plate: shares of groups on as-served weight, and what would mend them.

Published models mean the area of a plate; weight stands in for it here, and the sheet says so.
"""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.analysis import LineResult, PlateResult
from workbookgen.model.tables import PlateModel
from workbookgen.nutrition.label import half_up

ADD_MORE = "add more"
TOO_MUCH = "more than planned"
AS_PLANNED = "as planned"


def plate_role(line: LineResult, legumes_as: str) -> str:
    """The role a line plays on the plate; legumes count once, as the recipe says."""
    if line.role == "legume" and legumes_as == "vegetable":
        return "vegetable"
    return line.role


def group_grams(model: PlateModel, lines: Sequence[LineResult], legumes_as: str) -> list[float]:
    """Grams in the finished dish of each group of the model."""
    return [
        sum(line.cooked for line in lines if plate_role(line, legumes_as) in group.roles)
        for group in model.groups
    ]


def plate_results(model: PlateModel, grams: Sequence[float], tolerance: float) -> tuple[PlateResult, ...]:
    """Shares, verdicts and mending grams of each group.

    With c_i grams and target shares t_i: adding to group i alone reaches its share after
    (t_i S - c_i) / (1 - t_i) grams, S the sum; all groups are exact after adding up to
    N = max(c_i / t_i), or taking down to N = min(c_i / t_i).
    """
    total = sum(grams)
    shares = [g.target_pct / 100 for g in model.groups]
    most = max((c / t for c, t in zip(grams, shares, strict=True)), default=0.0)
    least = min((c / t for c, t in zip(grams, shares, strict=True)), default=0.0)
    found = []
    for group, c, t in zip(model.groups, grams, shares, strict=True):
        share = c / total * 100 if total else 0.0
        alone = max(0.0, (t * total - c) / (1 - t)) if t < 1 else 0.0
        found.append(
            PlateResult(
                group=group.name,
                grams=c,
                share_pct=share,
                target_pct=group.target_pct,
                verdict=_verdict(share, group.target_pct, tolerance) if total else "-",
                add_alone=half_up(alone, 9),
                add_all=half_up(t * most - c, 9),
                take_all=half_up(c - t * least, 9),
            )
        )
    return tuple(found)


def _verdict(share: float, target: float, tolerance: float) -> str:
    if half_up(share, 9) < half_up(target - tolerance, 9):
        return ADD_MORE
    if half_up(share, 9) > half_up(target + tolerance, 9):
        return TOO_MUCH
    return AS_PLANNED
