"""Guesses a treatment from words of preparation ("walnuts, toasted") and what becomes of water."""

from __future__ import annotations

import re
from pathlib import Path

from workbookgen.catalogue.csvread import read_rows
from workbookgen.exchange.food_words import flat
from workbookgen.exchange.lexicon import FOLDER, Lexicon
from workbookgen.model.food import Food
from workbookgen.nutrition.kitchen import NO_TREATMENT, Kitchen

UNCOOKED = ("raw", "dry", "frozen")


def load_treatment_words(data: Path) -> tuple[tuple[str, str], ...]:
    """Pairs of a word and a treatment, in the order in which they are tried."""
    rows = read_rows(data / FOLDER / "treatment_words.csv", ("word", "treatment"))
    return tuple((flat(row.text("word")), row.text("treatment")) for row in rows)


def water_fate(said: str, words: Lexicon) -> str:
    """What becomes of the water that a line names: "absorbed", "stays", "poured off", or "" when untold."""
    for fate, phrases in words.water.items():
        if any(phrase in said.lower() for phrase in phrases):
            return fate
    return ""


def guess_treatment(kitchen: Kitchen, food: Food, said: str, pairs: tuple[tuple[str, str], ...]) -> str:
    """The treatment that ``said`` tells of and the food offers, else "none".

    Foods that are cooked or canned already get none, so that nothing is cooked twice on paper.
    """
    if food.state not in UNCOOKED:
        return NO_TREATMENT
    offered = {t.name for t in kitchen.offers(food.keep_group, food.state)}
    words = flat(said)
    for word, treatment in pairs:
        if treatment in offered and re.search(rf"(?<!\S){re.escape(word)}(?!\S)", words):
            return treatment
    return NO_TREATMENT
