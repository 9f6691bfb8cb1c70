"""A recipe as schema.org/Recipe with NutritionInformation, in JSON-LD.

The vocabulary gives Mass and Energy the form "number unit", with no room for "at least". A figure that has to
be read so therefore does not stand there bare: it stands in words in the description of the nutrition.

>>> from workbookgen import analyse, load
>>> book = load()
>>> told = recipe_object(book.kitchen, analyse(book, "Fruit and walnut slaw"))
>>> told["recipeYield"], told["prepTime"], told["nutrition"]["fiberContent"]
('6 servings', 'PT25M', '4.5 g')
>>> "transFatContent" in told["nutrition"]
False
"""

from __future__ import annotations

import json
from typing import Any

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.cells import EXACT, amount_words, reading
from workbookgen.exchange.export_csv import citation, every_source
from workbookgen.exchange.handed_on import Handed, hand_on
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.panel import serving_words

PROPERTIES = ("exchange", "nutrition_properties.csv")


def as_json_ld(kitchen: Kitchen, analysis: Analysis) -> str:
    """The recipe as JSON text; no ``<`` stands in it, so that it can lie inside a page's script element."""
    text = json.dumps(recipe_object(kitchen, analysis), indent=2, ensure_ascii=False)
    return text.replace("<", "\\u003c") + "\n"


def recipe_object(kitchen: Kitchen, analysis: Analysis) -> dict[str, Any]:
    """The recipe in the terms of schema.org, release 29.3; properties without a value are left out."""
    recipe, handed = analysis.recipe, hand_on(kitchen, analysis)
    prep, cook = recipe.prep_minutes, recipe.cook_minutes
    told = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": recipe.title,
        "description": _description(handed),
        "inLanguage": "en",
        "version": recipe.version,
        "recipeYield": f"{shown(analysis.servings, 2)} serving{'' if analysis.servings == 1 else 's'}",
        "prepTime": duration(prep),
        "cookTime": duration(cook),
        "totalTime": duration(prep + cook) if prep is not None and cook is not None else "",
        "recipeIngredient": [line.full for line in handed.lines],
        "recipeInstructions": [{"@type": "HowToStep", "text": step} for step in recipe.method],
        "nutrition": nutrition_object(kitchen, analysis, handed),
        "citation": _sources(kitchen, analysis),
    }
    return {key: value for key, value in told.items() if value not in ("", [])}


def duration(minutes: float | None) -> str:
    """Minutes as an ISO 8601 duration; "" for None.

    >>> duration(75), duration(0.5), duration(None)
    ('PT75M', 'PT30S', '')
    """
    if minutes is None:
        return ""
    whole, seconds = divmod(round(minutes * 60), 60)
    return "PT" + (f"{whole}M" if whole or not seconds else "") + (f"{seconds}S" if seconds else "")


def nutrition_object(kitchen: Kitchen, analysis: Analysis, handed: Handed) -> dict[str, str]:
    """NutritionInformation of one serving: exact figures as "number unit", the others in the description."""
    told = {
        "@type": "NutritionInformation",
        "servingSize": serving_words(analysis.recipe.serving_text, analysis.serving_g, load_kitchen_words()),
    }
    bounded: list[str] = []
    for row in read_rows(data_path(*PROPERTIES), ("property", "name", "tags", "note")):
        results = [analysis.nutrients[tag] for tag in row.items("tags")]
        nutrients = [kitchen.nutrient_by_tag[tag] for tag in row.items("tags")]
        if all(reading(result) == EXACT for result in results):
            amount = shown(sum(result.serving for result in results), nutrients[0].decimals)
            told[row.text("property")] = f"{amount} {nutrients[0].unit}"
        else:
            bounded.append(f"{row.text('name')} {amount_words(results, nutrients[0])}")
    parts = [handed.words["per serving"], handed.words["calculated"]]
    parts += [f"{handed.words['bounded']} {'; '.join(bounded)}."] if bounded else []
    told["description"] = " ".join(parts)
    return told


def _description(handed: Handed) -> str:
    """Allergens, who should ask first, and what the figures are not for: a reader must meet them first."""
    return " ".join([*handed.allergens, *handed.cautions, handed.words["ask"], handed.words["disclaimer"]])


def _sources(kitchen: Kitchen, analysis: Analysis) -> list[str]:
    """Citations of the tables behind the figures and of the notes."""
    notes = [citation(kitchen, note.source) for note in analysis.recipe.notes if note.source]
    return list(dict.fromkeys([*every_source(kitchen, analysis), *notes]))
