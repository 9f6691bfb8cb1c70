"""USDA's whole table in the shape of the kitchen catalogue: reviewed where selected, inferred elsewhere."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from workbookgen.catalogue.authoring_selection import COLUMNS, Choice
from workbookgen.catalogue.infer import InferRules, infer_words
from workbookgen.catalogue.sr_ascii import SrTable


def whole_table(
    selection: Sequence[Choice], sr: SrTable, rules: InferRules, forbidden: Collection[str]
) -> Iterator[Choice]:
    """One choice for every food of the release, in order of food number.

    A selected food keeps its reviewed words. Any other is named by its description without the letters
    ``forbidden``; a name that is taken already gets the food number behind it.
    """
    reviewed = {choice.number: choice for choice in selection}
    taken = {choice.cells["name"].casefold() for choice in selection}
    for number, food in sorted(sr.foods.items()):
        choice = reviewed.get(number)
        if choice is None:
            name = plain_name(food.description, forbidden)
            if name.casefold() in taken:
                name = f"{name} ({number})"
            taken.add(name.casefold())
            words = infer_words(sr.groups.get(food.group, ""), food.description, rules)
            cells = {column: words.get(column, "") for column in COLUMNS}
            cells |= {"ndb": number, "name": name, "synonyms": food.common_names.lower().replace(",", ";")}
            choice = Choice(number, cells, f"food {number}")
        yield choice


def plain_name(description: str, forbidden: Collection[str]) -> str:
    """A description without letters that look-ups cannot take."""
    inches = description.replace('"', " in")
    return " ".join("".join(letter for letter in inches if letter not in forbidden).split())
