"""The ways to name a food: its kitchen name and each of its synonyms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.exchange.food_words import Speller
from workbookgen.exchange.states import Degree, take_degrees
from workbookgen.model.food import Food


@dataclass(frozen=True, slots=True)
class Face:
    """One way to name a food: ``head`` the words before the first comma, ``rest`` those behind it.

    Words of degree ("low sodium") stand in ``degrees`` by group and not among the words.
    """

    food: Food
    head: tuple[str, ...]
    rest: tuple[str, ...]
    degrees: Mapping[str, Degree]
    synonym: bool


def faces_of(food: Food, spell: Speller, degrees: Sequence[Degree]) -> list[Face]:
    """The name of ``food`` and its synonyms; behind a synonym stand the words of the name."""
    head, _, rest = food.name.partition(",")
    faces = [_face(food, head, rest, False, spell, degrees)]
    for synonym in food.synonyms.split(";"):
        if synonym.strip():
            own_head, _, own_rest = synonym.strip().partition(",")
            faces.append(_face(food, own_head, f"{own_rest} {food.name}", True, spell, degrees))
    return faces


def _face(food: Food, head: str, rest: str, synonym: bool, spell: Speller, degrees: Sequence[Degree]) -> Face:
    flat_head, in_head = take_degrees(spell.same(head), degrees)
    flat_rest, in_rest = take_degrees(spell.same(rest), degrees)
    heads = spell.tokens(flat_head)
    rests = tuple(token for token in spell.tokens(flat_rest) if token not in heads)
    return Face(food, heads, rests, {**in_rest, **in_head}, synonym)
