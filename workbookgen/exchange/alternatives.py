"""Choices that a line leaves: "butter or margarine", "vegetable or canola oil", "milk (whole or 2%)"."""

from __future__ import annotations

import re

from workbookgen.exchange.lexicon import Lexicon

LONGEST_CHOICE = 6  # words of a comment that names a choice
_BETWEEN = re.compile(r"\s+(?:and/or|or)\s+|(?<=[a-z])\s*/\s*(?=[a-z])", re.I)
_AMOUNT = re.compile(
    r"^(?:[\d/. ]+|an?\s+)"
    r"(?:(?:cups?|tablespoons?|tbsp|teaspoons?|tsp|oz|ounces?|g|lbs?|pounds?|cans?)\b\.?\s+)?",
    re.I,
)
_NUMBER = re.compile(r"\d(?![\d.]*\s*(?:%|/|-?in(?:ch)?\b))")


def alternatives(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The foods of "butter or margarine", and beside each what it may borrow from the last one.

    >>> alternatives("vegetable or canola oil")
    (('vegetable', 'canola oil'), ('vegetable oil', ''))
    """
    name = re.sub(r"^or\s+", "", name, flags=re.I)
    parts = [part.strip(" ,/") for part in _BETWEEN.split(name) if part.strip(" ,/")]
    if not parts:
        return (), ()
    if len(parts) == 1:
        return (parts[0],), ("",)
    # "or 1 cup margarine": the amount of the other choice is not needed to find it
    last = _AMOUNT.sub("", parts[-1])
    return (*parts[:-1], last), (*(_borrowing(part.split(), last.split()) for part in parts[:-1]), "")


def _borrowing(short: list[str], last: list[str]) -> str:
    """``short`` with the end of ``last``; "" when there is nothing to borrow."""
    if len(last) <= len(short) or short[-1].rstrip("s") == last[-1].rstrip("s"):
        return ""
    return " ".join([*short, *last[len(short) :]])


def choices_left(name: str, comment: str, words: Lexicon) -> tuple[str, ...]:
    """Doubts about a second amount in the food words and a choice in the comment ("whole or 2%")."""
    doubts = ["another amount stands in the line"] if _NUMBER.search(re.sub(r"\d+/\d+", "", name)) else []
    for piece in comment.split("; "):
        said = re.findall(r"[A-Za-z%\d]+", piece.lower())
        cutting = all(word in words.prep or word == "or" or word.isdigit() for word in said)
        if "or" in said and len(said) <= LONGEST_CHOICE and not cutting:
            doubts.append(f'the line leaves a choice: "{piece}"')
    return tuple(doubts)
