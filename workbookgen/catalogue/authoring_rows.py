"""Rows of foods.csv, measures.csv and food_values.csv for the selected foods."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from workbookgen.catalogue.authoring_measures import (
    Cleaned,
    MeasureRow,
    WordStep,
    agreeing,
    clean_measures,
    decimal_text,
    density,
    measure_rows,
)
from workbookgen.catalogue.authoring_rules import FoodRules
from workbookgen.catalogue.authoring_selection import Choice
from workbookgen.catalogue.authoring_values import Figures, FoodFacts, food_figures, provenance_text
from workbookgen.catalogue.foods import FOOD_FIELDS
from workbookgen.catalogue.sr_ascii import SrTable
from workbookgen.model.tables import Nutrient

SR_SOURCE = "usda_sr28"
ID_PREFIX = "sr"


@dataclass(frozen=True, slots=True)
class Sources:
    """All inputs of the authoring step."""

    sr: SrTable
    nutrients: Sequence[Nutrient]
    rules: FoodRules
    word_steps: Sequence[WordStep]
    volumes: Mapping[str, Fraction]
    extra_measures: Mapping[str, Sequence[MeasureRow]]
    phytate_g: Mapping[str, Decimal]
    digestibility_pct: Mapping[str, Decimal]


@dataclass(frozen=True, slots=True)
class Authored:
    """Rows of one food as texts."""

    food: tuple[str, ...]
    measures: tuple[MeasureRow, ...]
    details: tuple[tuple[str, ...], ...]
    factors: tuple[str, ...]


def author_food(choice: Choice, sources: Sources) -> Authored:
    """Put together the rows of one chosen food."""
    number, cells, sr = choice.number, choice.cells, sources.sr
    facts = FoodFacts(
        number, cells["group"], cells["diet"], cells["salt_ingredient"], cells["sugar_ingredient"]
    )
    figures = food_figures(
        facts, sr.values[number], sources.nutrients, sources.rules, sources.phytate_g.get(number)
    )
    cleaned = clean_measures(sr.weights[number], cells["state"], sources.word_steps)
    g_per_ml = density(
        sr.weights[number], cells["density_seq"], sources.word_steps, sources.volumes, choice.place
    )
    return Authored(
        food=_food_row(choice, figures, g_per_ml, sources),
        measures=tuple(_measures(number, cleaned, cells["density_seq"], sources)),
        details=tuple(_details(number, figures, sources)),
        factors=_factors(number, sources),
    )


def _measures(
    number: str, cleaned: Sequence[Cleaned], density_seq: str, sources: Sources
) -> list[MeasureRow]:
    return measure_rows(
        ID_PREFIX + number,
        agreeing(cleaned, sources.volumes),
        density_seq,
        sources.extra_measures.get(number, ()),
        SR_SOURCE,
        sources.rules,
    )


def _food_row(
    choice: Choice, figures: Figures, g_per_ml: Fraction | None, sources: Sources
) -> tuple[str, ...]:
    food, cells = sources.sr.foods[choice.number], choice.cells
    partner = cells["counterpart_ndb"]
    pct = sources.digestibility_pct.get(cells["digest_key"])
    row = {
        **{name: cells[name] for name in FOOD_FIELDS if name in cells},
        "id": ID_PREFIX + choice.number,
        "counterpart_id": ID_PREFIX + partner if partner else "",
        "source_id": SR_SOURCE,
        "source_number": choice.number,
        "source_description": food.description,
        "provenance": provenance_text(figures, sources.nutrients, sources.rules),
        "refuse_pct": food.refuse_pct or "0",
        "refuse_what": food.refuse_what,
        "g_per_ml": "" if g_per_ml is None else decimal_text(g_per_ml, sources.rules),
        "digestibility": "" if pct is None else str(pct),
        "nitrogen_factor": food.nitrogen_factor,
    }
    texts = [row[name] for name in FOOD_FIELDS]
    return tuple(texts + [figures.texts.get(n.tag, "") for n in sources.nutrients])


def _factors(number: str, sources: Sources) -> tuple[str, ...]:
    """Energy factors USDA used for the food; empty when it prints none or not all three."""
    food = sources.sr.foods[number]
    factors = (food.protein_kcal, food.fat_kcal, food.carbohydrate_kcal)
    return (ID_PREFIX + number, *factors) if all(factors) else ()


def _details(number: str, figures: Figures, sources: Sources) -> list[tuple[str, ...]]:
    """What USDA prints beside each value that the row takes over unchanged."""
    printed = sources.sr.values[number]
    rows: list[tuple[str, ...]] = []
    for nutrient in sources.nutrients:
        value = printed.get(nutrient.usda_no)
        if nutrient.usda_no and value is not None and figures.texts.get(nutrient.tag) == value.text:
            code = f"{value.source} {value.derivation}".strip()
            rows.append(
                (
                    ID_PREFIX + number,
                    nutrient.tag,
                    value.points or "0",
                    value.standard_error,
                    value.minimum,
                    value.maximum,
                    code,
                )
            )
    return rows
