"""What a printed card says of each ingredient line, for any number of servings."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.analysis import LineResult
from workbookgen.model.handout import KitchenWords
from workbookgen.nutrition.fractions import is_poured, kitchen_amount, metric_amount, plural, split_unit
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

PIECE = "piece"


@dataclass(frozen=True, slots=True)
class LineWords:
    """One line, scaled: ``shown`` 1 when it prints, the amount, and household, weight and metric words.

    ``grams`` is the weight as measured, before trimming. ``text`` is what stands beside the amount.
    """

    shown: int
    scaled: float
    household: str
    grams: float
    weight: str
    metric: str


def line_words(kitchen: Kitchen, words: KitchenWords, line: LineResult, scale: float) -> LineWords:
    """Words of one line. Lines left out print only when they are marked optional, garnish or held back."""
    written = line.line
    marked = written.optional or written.garnish or written.held_back
    head, _ = split_unit(written.unit)
    unit = kitchen.unit_by_name.get(head.lower())
    kind = unit.kind if unit else PIECE
    amount = written.amount * scale
    base = amount * (unit.factor if unit else 1.0)
    many = split_unit(plural(written.unit, words.plurals))[0]
    household = kitchen_amount(base, words.of_kind(kind), kitchen.constants["kitchen_off"],
                               head if kind == PIECE else "", many if kind == PIECE else "").text
    grams = line.grams * scale
    if kind == PIECE:
        metric = household
    elif kind == "volume" and is_poured(line.food, words):
        metric = metric_amount(base, words.metric_of("metric_ml")).text
    else:
        metric = metric_amount(grams, words.metric_of("metric_g")).text if grams else household
    weight = metric_amount(grams, words.metric_of("weight")).text if grams else ""
    return LineWords(int(written.include or marked), amount, household, grams, weight, metric)


def carbohydrate_choices(kitchen: Kitchen, carbohydrate_g: float) -> str:
    """Choices of 15 g carbohydrate to the nearest half, in words ("2 1/2").

    >>> half_up(37.0 / 15 * 2) / 2
    2.5
    """
    halves = half_up(half_up(carbohydrate_g / kitchen.constants["carb_choice"] * 2, 9))
    whole, half = divmod(int(halves), 2)
    parts = [str(whole)] if whole or not half else []
    return " ".join([*parts, "1/2"] if half else parts)
