"""Which sheets of a changed workbook hold recipes: those of the build, spares that were filled, and copies."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from workbookgen.model.recipe import Recipe
from workbookgen.recipes.load import recipe_from_text
from workbookgen.roundtrip.record import Block, Edited
from workbookgen.verify.read import Sheet
from workbookgen.workbook.record_sheet import CARD, RECIPE, SHEET, SPARE, VARIANT

RECIPE_KINDS = (RECIPE, VARIANT, SPARE)
_HEAD_ROWS = 11
"""Rows of a recipe sheet's head with the headings of the ingredients: alike on all of them."""
_ALIKE = 0.9


@dataclass(frozen=True, slots=True)
class Source:
    """A sheet that may hold a recipe: where it is now ("" when deleted), its kind, the recipe it was built from, that
    recipe's file, the parent's file and the variant's name of a variant, the tab of its card."""

    tab: str
    now: str
    kind: str
    recipe: Recipe | None = None
    file: str = ""
    parent: str = ""
    variant: str = ""
    card: str = ""
    copied: bool = False


def recipe_sources(edited: Edited) -> Iterator[Source]:
    """Recipe sheets in the order of the build, then copies of them."""
    record = edited.record
    cards = {tab.parts[0]: tab.name for tab in record.tabs.values() if tab.kind == CARD and tab.parts}
    built: list[Source] = []
    for tab in record.tabs.values():
        if tab.kind not in RECIPE_KINDS:
            continue
        file = tab.parts[0] if tab.parts else ""
        recipe = recipe_from_text(record.files[file], file) if file else None
        parent, variant = (tab.parts[1], tab.parts[2]) if tab.kind == VARIANT else ("", "")
        source = Source(tab.name, tab.now, tab.kind, recipe, file, parent, variant, cards.get(tab.name, ""))
        built.append(source)
        yield source
    for name in strangers(edited):
        like = next((s for s in built if s.now and is_copy(edited.book.sheets[name], edited.book.sheets[s.now],
                                                           record.blocks_of(s.tab))), None)
        if like is not None:
            yield replace(like, now=name, kind=SPARE, recipe=None, file="", parent="", variant="", card="", copied=True)


def strangers(edited: Edited) -> list[str]:
    """Sheets that the build did not make."""
    known = {tab.now for tab in edited.record.tabs.values()} | {SHEET}
    return [name for name in edited.book.sheets if name not in known]


def is_copy(sheet: Sheet, like: Sheet, blocks: list[Block]) -> bool:
    """Whether a sheet is laid out like a recipe sheet: the same words in the same cells of its head, and the same
    number of rows for ingredients."""
    inputs = {place for block in blocks for place in block.places}
    heads = {p: v for p, v in like.values.items() if p[0] <= _HEAD_ROWS and isinstance(v, str) and p not in inputs
             and p not in like.formulas}
    found = sum(1 for place, value in heads.items() if sheet.values.get(place) == value)
    last = max((p[0] for b in blocks if b.field == "line.food" for p in b.places), default=0)
    edge = {p for p in like.values if p[0] == last + 1 and p not in inputs}
    return bool(heads) and found >= _ALIKE * len(heads) and all(sheet.values.get(p) == like.values[p] for p in edge)
