"""A changed workbook built anew: on the food table of today or another one, with every edit kept.

Edits that the files can hold go through the files, as if they had been written there. All others (search boxes,
texts of cards, choices, what was typed wrongly and waits to be mended) are put back into the cells of the new book
where the same input exists; what finds no place is told.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Settings
from workbookgen.model.collector import collector_paused
from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.check import check_recipe, resolve_recipes
from workbookgen.recipes.folder import LABELS, OWN_MEASURES, PRICES, load_programme
from workbookgen.roundtrip.extract import Extracted
from workbookgen.roundtrip.foods_map import FoodMap, renamed_recipe, renamed_table
from workbookgen.roundtrip.put_back import Aside, put_back
from workbookgen.session import default_settings, spelled_table, with_programme
from workbookgen.workbook.book import LOOKUP, Book
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.record_sheet import FILES, SPARE
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book


@dataclass
class Ready:
    """Recipes that can be built, and per file the lines that cannot (with the reason)."""

    recipes: list[Recipe]
    aside: dict[str, list[Aside]] = field(default_factory=dict)
    rows: dict[str, list[int]] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)


def open_extracted(found: Extracted, kitchen: Kitchen, foods: FoodMap) -> tuple[Kitchen, Settings]:
    """The kitchen with the workbook's own foods, measures, labels and prices, and its settings."""
    texts = dict(found.tables)
    for name, column in ((LABELS, "compare"), (OWN_MEASURES, "food"), (PRICES, "food")):
        if name in texts:
            texts[name] = renamed_table(texts[name], column, foods)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in texts.items():
            (Path(folder) / name).write_text(text, encoding="utf-8")
        programme = load_programme(Path(folder), kitchen)
    settings = replace(default_settings(), **programme.settings)  # type: ignore[arg-type]
    return with_programme(kitchen, programme), settings


def ready_recipes(found: Extracted, kitchen: Kitchen, foods: FoodMap) -> Ready:
    """Recipes with the names of the new table; lines that the table does not understand stand aside."""
    ready = Ready([])
    table, tables = spelled_table(kitchen), kitchen.tables
    renamed = {name: replace(renamed_recipe(r, foods), path=name) for name, r in found.recipes.items()}
    dishes = list(renamed.values())
    for name, recipe in renamed.items():
        lines, rows = [], []
        for i, line in enumerate(recipe.lines):
            alone = replace(recipe, lines=(line,), variants=(), targets=(), notes=())
            faults = check_recipe(alone, table, tables, dishes)
            if faults:
                ready.aside.setdefault(name, []).append(Aside(found.rows[name][i], line, faults[0].what))
            else:
                lines.append(line)
                rows.append(found.rows[name][i])
        kept = replace(recipe, lines=tuple(lines))
        kept = _variants_that_fit(kept, kitchen, dishes, ready)
        ready.recipes.append(kept)
        ready.rows[name] = rows
    return ready


def _variants_that_fit(recipe: Recipe, kitchen: Kitchen, dishes: Sequence[Recipe], ready: Ready) -> Recipe:
    table, fit = spelled_table(kitchen), []
    for variant in recipe.variants:
        faults = check_recipe(replace(recipe, variants=(variant,)), table, kitchen.tables, dishes)
        if faults:
            ready.said.append(f"{recipe.title}: the variant '{variant.name}' is left out: {faults[0].what}")
        else:
            fit.append(variant)
    return replace(recipe, variants=tuple(fit))


def rebuild(found: Extracted, kitchen: Kitchen, foods: FoodMap, out: Path, style: Path | None) -> list[str]:
    """Build ``out``; returns what could not be kept, in sentences. Raises ``BadInput`` with one sentence per fault."""
    kitchen, settings = open_extracted(found, kitchen, foods)
    ready = ready_recipes(found, kitchen, foods)
    try:
        recipes = resolve_recipes([r for r in ready.recipes if r.lines], spelled_table(kitchen), kitchen.tables)
    except BadInputs as many:
        raise BadInputs([BadInput(e.place, f"{e.what} (extract the workbook, mend the file and build it)") for e in many.errors]) from None
    if not recipes:
        raise BadInput(found.edited.path.name, "no recipe of the workbook can be built with this food table; extract it and mend the files")
    look = _look(found, style)
    with collector_paused():
        book, _ = lay_out(kitchen, constant_rows(), recipes, settings, look, _spares(found))
        _prove(book, out)
        lost, touched = put_back(book, found, foods, ready.aside, ready.rows)
        if touched:
            _work_out_again(book)
        write_book(book, out, look)
    empty = [f"{r.title}: none of its ingredients is understood; it is not built" for r in ready.recipes if not r.lines]
    if style is None and needs_style(found):
        lost.append("The logo and the texts of the look file are not in the workbook; give the look file with --style to have them again.")
    return [*ready.said, *empty, *lost]


def _look(found: Extracted, style: Path | None) -> Mapping[str, Any]:
    """The look of the workbook as a look file gives it: from ``style``, else from the build record. Files that a look
    file names (a logo, own texts) are not in the workbook."""
    if style is not None:
        return load_look(style)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "look.toml"
        path.write_text(_look_text(found.look), encoding="utf-8")
        try:
            return load_look(path)
        except BadInput as error:
            raise BadInput(found.edited.path.name, f"the look of the workbook is not understood ({error.what}); give a look file with --style") from error


def _look_text(look: Mapping[str, Any]) -> str:
    known, lines = load_look(), []
    for section, values in look.items():
        if section in known and section not in FILES and isinstance(values, dict):
            lines.append(f"[{section}]")
            lines += [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in values.items() if key in known[section]]
    return "\n".join(lines) + "\n"


def needs_style(found: Extracted) -> bool:
    """Whether the workbook was built with files of a look file, which only that file can bring back."""
    return any(value for section in FILES for value in dict(found.look.get(section) or {}).values())


def _spares(found: Extracted) -> Spares:
    """As many empty sheets as the workbook had."""
    record = found.edited.record
    spares = [t.name for t in record.tabs.values() if t.kind == SPARE]
    dishes = sum(1 for tab in spares if any(b.field == "counts_as" for b in record.blocks_of(tab)))
    return Spares(len(spares) - dishes, dishes)


def _prove(book: Book, out: Path) -> None:
    differing = fill(book)
    if differing:
        first = differing[0]
        raise BadInput(str(out), f"{len(differing)} cells disagree with the core, first {first.sheet}!{first.cell}; please report this")


def _work_out_again(book: Book) -> None:
    """Stored values after inputs were put back that the core does not read; the engine alone gives them."""
    for sheet in book.sheets:
        for cell in sheet.cells.values():
            if cell.formula:
                cell.value, cell.from_core = LOOKUP, False
    fill(book)
