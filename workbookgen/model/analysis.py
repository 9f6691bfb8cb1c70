"""What the science finds out about a recipe; every intermediate figure the workbook shows.

Unknown is ``None``, never 0. Grams are grams, nutrient amounts stand in the unit of ``nutrients.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine, Recipe


@dataclass(frozen=True, slots=True)
class Settings:
    """Choices that hold for the whole workbook. ``programme_targets`` states limits by target id in place of those
    of the table, such as "sodium = 500; added_sugars = none"; read by ``nutrition.programme``."""

    reference_set: str = "us_4plus"
    plate_model: str = "practice"
    plate_tolerance: float = 5.0
    low_practice: float = 5.0
    high_practice: float = 10.0
    low_regulator: float = 5.0
    high_regulator: float = 20.0
    water_boiled_off_pct: float = 8.0
    programme_targets: str = ""


@dataclass(frozen=True, slots=True)
class LineResult:
    """One ingredient line worked out.

    ``grams`` as measured, ``edible`` after trimming and leftovers, ``cooked`` as it lies in the dish.
    ``source_food`` is the row the nutrients are read from (the cooked counterpart where drippings are
    poured off), ``source_grams`` the grams of that row, ``keep_code`` the retention row applied.
    ``values`` maps tags to the amount this line brings, None where the food row does not say.
    """

    line: IngredientLine
    food: Food
    grams_per_unit: float
    grams: float
    edible: float
    yield_factor: float
    yield_from: str
    cooked: float
    source_food: Food
    source_grams: float
    keep_code: str
    weight_without_water: float
    role: str
    at_most: bool
    values: Mapping[str, float | None]


@dataclass(frozen=True, slots=True)
class NutrientResult:
    """Totals of one nutrient.

    ``coverage`` is the share (0-1) of ingredient weight, water left out, whose value is known;
    ``reads`` is "", "at least" or "at most". ``dv_pct`` is exact, ``label_*`` rounded as a label declares.
    """

    tag: str
    dish: float
    serving: float
    per_100g: float
    coverage: float
    reads: str
    dv_pct: float | None
    label_amount: float | None
    label_text: str
    label_dv_pct: float | None
    top: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class PlateResult:
    """One plate group: amount on the plate (g, or cups or kcal where those are compared), share of the counted
    amounts, and what would mend it in the same unit: this group alone, or all groups at once."""

    group: str
    grams: float
    share_pct: float
    target_pct: float
    verdict: str
    add_alone: float
    add_all: float
    take_all: float
    take_alone: float = 0.0


@dataclass(frozen=True, slots=True)
class TargetResult:
    """A target of the recipe file with the value reached and the verdict in words."""

    text: str
    value: float | None
    verdict: str


@dataclass(frozen=True, slots=True)
class Analysis:
    """A recipe, worked out."""

    recipe: Recipe
    settings: Settings
    lines: tuple[LineResult, ...]
    cooked_weight: float
    cooked_weight_weighed: bool
    servings: float
    serving_g: float
    water_short_g: float
    nutrients: Mapping[str, NutrientResult]
    plate: tuple[PlateResult, ...]
    plate_left_out_g: float
    plate_left_out_share_pct: float
    targets: tuple[TargetResult, ...]
    general_energy: float | None
