"""The balance of the plate: shares of groups by weight, cups or energy, and what would mend them.

Published models mean the area of a plate; weight, cups or energy stand in for it here, and the sheet says so.
A group with target 0 (refined grain where a model asks for whole grain) counts in the sum, so that it takes its
share from the others, and is never divided by.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult, PlateResult
from workbookgen.model.tables import PlateGroup, PlateModel
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

ADD_MORE = "add more"
TOO_MUCH = "more than planned"
AS_PLANNED = "as planned"
#: Ways to compare the groups, with the unit of the amounts.
BY_UNITS: Mapping[str, str] = {"weight": "g", "cups": "cups", "energy": "kcal"}
GRAINS = ("whole grain", "refined grain")
PROTEIN, LIQUID = "protein", "liquid"
CANNOT_SAY = "cannot be judged"


@dataclass(frozen=True, slots=True)
class Lean:
    """Fat, saturated fat (g) and cholesterol (mg) in 100 g of the protein part, and the verdict."""

    fat: float
    saturated: float
    cholesterol: float
    verdict: str


@dataclass(frozen=True, slots=True)
class Mend:
    """Grams of one ingredient, weighed as on its line, that mend one group: ``line`` counts from 0, None when
    the group is empty."""

    line: int | None
    add_alone: float
    take_alone: float
    add_all: float
    take_all: float


@dataclass(frozen=True, slots=True)
class PlateBalance:
    """The plate block: groups in the unit of ``by``, their shares with legumes counted the other way, and facts.

    ``unknown_g`` is plate weight whose cups are not known, ``liquid_pct`` the liquid's share of the dish,
    ``whole_pct`` whole grain in per cent of all grain (None without grain).
    """

    by: str
    groups: tuple[PlateResult, ...]
    other_pct: tuple[float, ...]
    amounts: tuple[float, ...]
    cups: tuple[float | None, ...]
    unknown_g: float
    liquid_pct: float
    whole_pct: float | None
    lean: Lean
    mends: tuple[Mend, ...]


def plate_role(line: LineResult, legumes_as: str) -> str:
    """The role a line plays on the plate; legumes count once, as the recipe says."""
    if line.role == "legume" and legumes_as == "vegetable":
        return "vegetable"
    return line.role


def group_grams(model: PlateModel, lines: Sequence[LineResult], legumes_as: str) -> list[float]:
    """Grams in the finished dish of each group of the model."""
    return _group_sums(model, lines, legumes_as, [line.cooked for line in lines])


def _group_sums(model: PlateModel, lines: Sequence[LineResult], legumes_as: str,
                amounts: Sequence[float]) -> list[float]:
    return [
        sum(a for line, a in zip(lines, amounts, strict=True) if plate_role(line, legumes_as) in group.roles)
        for group in model.groups
    ]


def plate_results(model: PlateModel, amounts: Sequence[float], tolerance: float) -> tuple[PlateResult, ...]:
    """Shares, verdicts and mending amounts of each group, in the unit of ``amounts``.

    With c_i the amounts, t_i the target shares and S the sum: group i alone reaches its share after adding
    (t_i S - c_i) / (1 - t_i), or after taking the opposite of it. All groups are exact at the sum
    N = max(c_i / t_i) by adding and N = min(c_i / t_i) by taking, over the groups with t_i > 0; a group with
    t_i = 0 is left out altogether in both.
    """
    total = sum(amounts)
    shares = [g.target_pct / 100 for g in model.groups]
    ratios = [c / t for c, t in zip(amounts, shares, strict=True) if t > 0]
    most, least = max(ratios, default=0.0), min(ratios, default=0.0)
    found = []
    for group, c, t in zip(model.groups, amounts, shares, strict=True):
        share = c / total * 100 if total else 0.0
        alone = (t * total - c) / (1 - t) if t < 1 else 0.0
        found.append(
            PlateResult(
                group=group.name,
                grams=c,
                share_pct=share,
                target_pct=group.target_pct,
                verdict=_verdict(share, group.target_pct, tolerance) if total else "-",
                add_alone=half_up(max(0.0, alone), 9),
                add_all=half_up(t * most - c, 9),
                take_all=half_up(c - t * least, 9),
                take_alone=half_up(max(0.0, -alone), 9),
            )
        )
    return tuple(found)


def _verdict(share: float, target: float, tolerance: float) -> str:
    if half_up(share, 9) < half_up(target - tolerance, 9):
        return ADD_MORE
    if half_up(share, 9) > half_up(target + tolerance, 9):
        return TOO_MUCH
    return AS_PLANNED


def cups_of(kitchen: Kitchen, line: LineResult) -> float | None:
    """Cups of one line as served, None when they are not known.

    In this order: grams of a cup-equivalent (dry pulses count at their cooked cup); half a cup per ounce-equivalent
    of grain (USDA MyPlate); weight per mL; a chopped cup of meat or fish.
    """
    food, c = line.food, kitchen.constants
    if line.edible == 0:
        return 0.0
    if food.cup_eq_g is not None:
        return line.edible / food.cup_eq_g
    if food.role in GRAINS and food.oz_eq_g is not None:
        return line.edible / food.oz_eq_g * c["grain_cups_per_oz"]
    if food.g_per_ml is not None:
        return line.cooked / (food.g_per_ml * kitchen.unit_by_name["cup"].factor)
    return line.cooked / c["meat_cup_g"] if food.role == PROTEIN else None


def amounts_by(kitchen: Kitchen, lines: Sequence[LineResult], by: str) -> list[float]:
    """Amount of each line in grams in the dish, cups or kcal; unknown cups or energy count 0."""
    if by == "cups":
        return [cups_of(kitchen, line) or 0.0 for line in lines]
    if by == "energy":
        return [line.values["ENERC_KCAL"] or 0.0 for line in lines]
    return [line.cooked for line in lines]


def plate_balance(kitchen: Kitchen, analysis: Analysis, by: str = "weight") -> PlateBalance:
    """Everything the plate block shows; ``by`` is "weight", "cups" or "energy"."""
    recipe, lines, settings = analysis.recipe, analysis.lines, analysis.settings
    model = kitchen.plate_model_by_id[recipe.plate_model or settings.plate_model]
    amounts = amounts_by(kitchen, lines, by)
    groups = plate_results(model, _group_sums(model, lines, recipe.legumes_as, amounts), settings.plate_tolerance)
    other = "protein" if recipe.legumes_as == "vegetable" else "vegetable"
    other_sums = _group_sums(model, lines, other, amounts)
    cups = tuple(cups_of(kitchen, line) for line in lines)
    on_plate = {role for group in model.groups for role in group.roles}
    dish = sum(line.cooked for line in lines)
    whole, refined = (sum(line.cooked for line in lines if line.role == role) for role in GRAINS)
    return PlateBalance(
        by=by,
        groups=groups,
        other_pct=tuple(x / sum(other_sums) * 100 if sum(other_sums) else 0.0 for x in other_sums),
        amounts=tuple(amounts),
        cups=cups,
        unknown_g=sum(line.cooked for line, c in zip(lines, cups, strict=True)
                      if c is None and plate_role(line, recipe.legumes_as) in on_plate),
        liquid_pct=sum(line.cooked for line in lines if line.role == LIQUID) / dish * 100 if dish else 0.0,
        whole_pct=whole / (whole + refined) * 100 if whole + refined else None,
        lean=lean_test(kitchen, [ln for ln in lines
                                 if plate_role(ln, recipe.legumes_as) in _group_of(model, PROTEIN).roles]),
        mends=tuple(_mend(lines, amounts, group, result, recipe.legumes_as)
                    for group, result in zip(model.groups, groups, strict=True)),
    )


def _group_of(model: PlateModel, role: str) -> PlateGroup:
    return next(group for group in model.groups if role in group.roles)


def _mend(lines: Sequence[LineResult], amounts: Sequence[float], group: PlateGroup, result: PlateResult,
          legumes_as: str) -> Mend:
    """The group's largest line as the ingredient to add or take."""
    inside = [(a, -i) for i, (line, a) in enumerate(zip(lines, amounts, strict=True))
              if plate_role(line, legumes_as) in group.roles and a > 0]
    if not inside:
        return Mend(None, 0.0, 0.0, 0.0, 0.0)
    amount, place = max(inside)
    grams = lines[-place].edible / amount
    return Mend(-place, result.add_alone * grams, result.take_alone * grams, result.add_all * grams,
                result.take_all * grams)


def lean_test(kitchen: Kitchen, lines: Sequence[LineResult]) -> Lean:
    """Is the protein part lean? Limits per 100 g of 21 CFR 101.62(e)(1) and (4), which are stricter than those per
    reference amount (85 g). Unknown values and fat that could not be drained off leave it open."""
    c = kitchen.constants
    weight = sum(line.cooked for line in lines)
    if weight == 0:
        return Lean(0.0, 0.0, 0.0, "-")
    tags = ("FAT", "FASAT", "CHOLE")
    fat, saturated, cholesterol = (sum(line.values[tag] or 0.0 for line in lines) / weight * 100 for tag in tags)
    unknown = any(line.values[tag] is None and line.source_grams > 0 for line in lines for tag in tags)
    f, s, ch = half_up(fat, 9), half_up(saturated, 9), half_up(cholesterol, 9)
    lean = f < c["lean_fat"] and s <= c["lean_saturated"] and ch < c["lean_cholesterol"]
    extra = lean and f < c["extra_lean_fat"] and s < c["extra_lean_saturated"]
    if (lean and unknown) or (not lean and any(line.at_most for line in lines)):
        return Lean(fat, saturated, cholesterol, CANNOT_SAY)
    return Lean(fat, saturated, cholesterol, "extra lean" if extra else "lean" if lean else "not lean")
