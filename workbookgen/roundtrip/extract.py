"""From a workbook that colleagues changed back to the files it was built from.

Nothing is guessed: the build record in the workbook says which cell stands for which field and what it held. A
field that was not touched keeps the words of its file, one that was touched is read as the sheet reads it, and
what no file can take is listed in ``left_over.csv`` or, for inputs that no file holds (search boxes, texts of
cards, choices), in ``sheets.csv``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.folder import LABELS, OWN_FOODS, OWN_MEASURES, PRICES
from workbookgen.recipes.load import SETTINGS_FILE, recipe_from_text
from workbookgen.recipes.save import recipe_text
from workbookgen.roundtrip.locked import LockedChange, locked_changes
from workbookgen.roundtrip.recipe_back import parts_of, recipe_back
from workbookgen.roundtrip.record import Edited, Plain, cell_of, read_edited
from workbookgen.roundtrip.settings import built_settings, default_values
from workbookgen.roundtrip.sheets_back import Source, recipe_sources, strangers
from workbookgen.roundtrip.tables_back import (
    labels_text,
    own_foods_text,
    own_measures_text,
    prices_text,
    settings_text,
)
from workbookgen.roundtrip.words import LeftOver, Taken, same, shown
from workbookgen.verify.rules import load_rules
from workbookgen.workbook.record_fields import CARD_CHOICES
from workbookgen.workbook.record_sheet import LOOK, SHEET, SPARE, VARIANT, plain_stem

TABLES = {OWN_FOODS: "Own foods", OWN_MEASURES: "Own measures", LABELS: "Labels", PRICES: "Prices", SETTINGS_FILE: "Start"}


@dataclass(frozen=True, slots=True)
class Change:
    """An input cell that was edited: field ("" where no file holds it), content when built and now."""

    sheet: str
    cell: str
    field: str
    old: Plain
    new: Plain


@dataclass(frozen=True, slots=True)
class Kept:
    """An edited input that no file holds: the sheet's tab when built, cell, content."""

    sheet: str
    cell: str
    value: Plain


@dataclass
class Extracted:
    """Everything a changed workbook gives: ``recipes`` by file name, ``tables`` the other files' texts by name,
    ``tabs`` the file of each recipe sheet by tab, ``rows`` the sheet rows of a recipe's lines by file, ``origin`` the
    tab a file's sheet is laid out like (its name when built) and the tab it is on now."""

    edited: Edited
    recipes: dict[str, Recipe] = field(default_factory=dict)
    tables: dict[str, str] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    locked: list[LockedChange] = field(default_factory=list)
    left: list[LeftOver] = field(default_factory=list)
    kept: list[Kept] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    tabs: dict[str, str] = field(default_factory=dict)
    rows: dict[str, tuple[int, ...]] = field(default_factory=dict)
    origin: dict[str, tuple[str, str]] = field(default_factory=dict)
    look: Mapping[str, Any] = field(default_factory=dict)


def extract(path: Path, kitchen: Kitchen, personal: bool = False) -> Extracted:
    """Read a changed workbook. ``kitchen`` brings the tables that words are looked up in; ``personal`` reads sheets
    with data of a person, too. Raises ``BadInput`` for what is no workbook of ours."""
    edited = read_edited(path)
    found = Extracted(edited, look=_look(edited))
    found.locked = locked_changes(edited)
    found.said += [f"{tab}: its check sums were changed, so changes of locked cells cannot be told" for tab in dict.fromkeys(edited.record.unsummed)]
    _Recipes(found, kitchen).read()
    _read_tables(found, kitchen)
    _read_changes(found, personal)
    _read_strangers(found)
    return found


def _look(edited: Edited) -> dict[str, Any]:
    return {k.removeprefix(LOOK): json.loads(v) for k, v in edited.record.facts.items() if k.startswith(LOOK)}


class _Recipes:
    """Recipes of all sheets, with file names and titles of their own."""

    def __init__(self, found: Extracted, kitchen: Kitchen) -> None:
        self.found, self.kitchen = found, kitchen
        self.dropped: list[Source] = []

    def read(self) -> None:
        for source in recipe_sources(self.found.edited):
            if not source.now:
                self._gone(source, "was deleted")
            else:
                self._read_sheet(source)
        for source in self.dropped:
            self._drop_variant(source)

    def _read_sheet(self, source: Source) -> None:
        edited, sheet = self.found.edited, self.found.edited.book.sheets[source.now]
        parts = parts_of(edited, edited.record.blocks_of(source.tab), sheet)
        if "title" not in parts or "line.food" not in parts:
            raise BadInput(edited.path.name, f"the sheet '{SHEET}' does not tell the inputs of '{source.tab}'; take that sheet from "
                                             "the workbook as it was built")
        card = None
        if source.card and edited.record.tabs[source.card].now:
            card = parts_of(edited, edited.record.blocks_of(source.card)).get(CARD_CHOICES)
        taken = Taken(source.now)
        back = recipe_back(parts, source.recipe, self.kitchen, taken, source.now, card)
        self.found.left += taken.left
        if source.kind == VARIANT and not back.changed:
            return
        if back.recipe is None:
            if source.kind != SPARE:
                self._gone(source, "was emptied")
            return
        recipe = back.recipe
        if source.kind == SPARE and "counts_as" in parts and not source.copied:
            recipe = replace(recipe, component=True)
        self._keep(source, recipe, back.rows)

    def _keep(self, source: Source, recipe: Recipe, rows: tuple[int, ...]) -> None:
        titles = {r.title.casefold() for r in self.found.recipes.values()}
        if recipe.title.casefold() in titles:
            title = source.now if source.now.casefold() not in titles else f"{recipe.title} ({source.now})"
            self.found.said.append(f"{source.now}: another recipe has the title '{recipe.title}' too; this one is called '{title}' now")
            recipe = replace(recipe, title=title)
        try:
            recipe_from_text(recipe_text(recipe), source.file or source.now)
        except BadInput as error:
            self._unusable(source, error.what)
            return
        name = source.file or self._new_name(plain_stem(recipe.title))
        self.found.recipes[name] = recipe
        self.found.tabs[source.now], self.found.rows[name] = name, rows
        self.found.origin[name] = source.tab, source.now
        if source.kind == VARIANT:
            self.dropped.append(source)
            self.found.said.append(f"{source.now}: the variant was changed on its sheet, so it is a recipe of its own now ({name}) and no "
                                   f"longer a variant in {source.parent}")
        elif source.kind == SPARE:
            what = "a copied sheet" if source.copied else "a spare sheet"
            self.found.said.append(f"{source.now}: {what} holds a recipe, written to {name}")

    def _new_name(self, stem: str) -> str:
        taken = {*self.found.recipes, *self.found.edited.record.files}
        name, number = f"{stem}.toml", 2
        while name in taken or name == SETTINGS_FILE:
            name, number = f"{stem}-{number}.toml", number + 1
        return name

    def _gone(self, source: Source, how: str) -> None:
        if source.kind == SPARE:
            return
        if source.kind == VARIANT:
            self.dropped.append(source)
            self.found.said.append(f"{source.tab}: the sheet of the variant '{source.variant}' {how}; the variant is taken out of {source.parent}")
        else:
            self.found.said.append(f"{source.tab}: the sheet {how}; {source.file} is not written")

    def _unusable(self, source: Source, why: str) -> None:
        self.found.said.append(f"{source.now}: cannot stand as a recipe file ({why}); its contents are in left_over.csv")
        edited = self.found.edited
        sheet = edited.book.sheets[source.now]
        for block in edited.record.blocks_of(source.tab):
            for place, value in zip(block.places, edited.values(block, sheet), strict=True):
                if value is not None:
                    self.found.left.append(LeftOver(source.now, cell_of(place), block.field, shown(value), why))

    def _drop_variant(self, source: Source) -> None:
        parent = self.found.recipes.get(source.parent)
        if parent is not None:
            rest = tuple(v for v in parent.variants if v.name != source.variant)
            self.found.recipes[source.parent] = replace(parent, variants=rest)


def _read_tables(found: Extracted, kitchen: Kitchen) -> None:
    """Files beside the recipes; sheets that are gone leave their files out and say so."""
    edited = found.edited
    built = edited.record.files.get(PRICES, "")
    defaults = default_values()
    for name, tab in TABLES.items():
        if tab not in edited.record.tabs:
            if name == PRICES and built:
                found.tables[PRICES] = built
            continue
        if not edited.record.tabs[tab].now:
            found.said.append(f"{tab}: the sheet was deleted; {name} is written as when built")
        taken = Taken(edited.record.tabs[tab].now or tab)
        parts = parts_of(edited, edited.record.blocks_of(tab))
        if name == OWN_FOODS:
            text = own_foods_text(parts, kitchen, taken)
        elif name == OWN_MEASURES:
            text = own_measures_text(parts, taken)
        elif name == LABELS:
            text = labels_text(parts, kitchen, taken)
        elif name == PRICES:
            text = prices_text(parts, built, taken)
        else:
            text = settings_text(parts, defaults, kitchen, taken, built_settings(edited.record, defaults))
        if text:
            found.tables[name] = text
        found.left += taken.left


def _read_changes(found: Extracted, personal: bool) -> None:
    """All edited cells; those of sheets about a person only when asked for."""
    private = set(load_rules("audit_rules")["personal"]["sheets"])
    edited, silent = found.edited, set()
    for block in edited.record.blocks:
        sheet = edited.sheet(block.tab)
        if sheet is None:
            continue
        for place, now, built in zip(block.places, edited.values(block), block.built, strict=True):
            if same(now, built):
                continue
            if block.tab in private and not personal:
                silent.add(block.tab)
                continue
            found.changes.append(Change(sheet.name, cell_of(place), block.field, built, now))
            if not block.field:
                found.kept.append(Kept(block.tab, cell_of(place), now))
            if place in sheet.formulas:
                found.left.append(LeftOver(sheet.name, cell_of(place), block.field, "=" + sheet.formulas[place],
                                           "a formula was typed; its result is read"))
    for tab in sorted(silent):
        found.said.append(f"{tab}: holds data of a person and was left out; ask for it with --personal")


def _read_strangers(found: Extracted) -> None:
    """Constants of sheets the build did not make and that hold no recipe."""
    for name in strangers(found.edited):
        if name in found.tabs:
            continue
        sheet = found.edited.book.sheets[name]
        cells = {p: v for p, v in sheet.values.items() if v is not None and p not in sheet.formulas}
        found.said.append(f"{name}: a sheet of someone's own; its {len(cells):,} values are in left_over.csv")
        for place, value in sorted(cells.items()):
            text = value if isinstance(value, str | float | bool) else str(value)
            found.left.append(LeftOver(name, cell_of(place), "", shown(text), "a sheet the build did not make"))


def unplaced(found: Extracted) -> Sequence[LeftOver]:
    """What is left over, sorted by sheet and cell, each once."""
    return sorted(dict.fromkeys(found.left), key=lambda x: (x.sheet, x.cell, x.why))
