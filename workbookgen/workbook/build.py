"""From recipes to a workbook: lay out every sheet, fill stored values, write the file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book, block
from workbookgen.workbook.checks_sheet import put_checks_sheet, put_disclaimer, put_sources
from workbookgen.workbook.cooking_sheet import put_cooking
from workbookgen.workbook.foods_sheet import FIRST, NAME_COL, put_foods, put_measures
from workbookgen.workbook.hub_sheets import MOST_SLOTS, put_lines_hub, put_results_hub
from workbookgen.workbook.own_sheets import put_own_foods, put_own_measures
from workbookgen.workbook.overview_sheet import add_overview, put_overview
from workbookgen.workbook.recipe_layout import recipe_layout, strip_lengths
from workbookgen.workbook.recipe_sheet import put_recipe
from workbookgen.workbook.start_sheet import finish_start, put_start
from workbookgen.workbook.stored import Disagreement, fill
from workbookgen.workbook.tables_sheet import put_tables
from workbookgen.workbook.write import write_book

FIXED_TABS = ("Start", "Overview", "Results", "Lines", "Own foods", "Own measures", "Foods", "Measures", "Cooking", "Tables", "Checks", "Sources", "Disclaimer")
TAB_LENGTH = 26
OWN_ID = "own"  # ids of foods a programme adds start so
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Built:
    """What a build made."""

    book: Book
    analyses: tuple[Analysis, ...]
    disagreements: tuple[Disagreement, ...]


def tab_names(titles: Sequence[str]) -> list[str]:
    """Unique tab names for recipe titles: forbidden signs dropped, shortened at a word, numbered on a clash."""
    taken = {name.lower() for name in FIXED_TABS}
    names = []
    for title in titles:
        base = re.sub(r"[\[\]:*?/\\%'\"]", " ", title)
        base = " ".join(base.split()) or "Recipe"
        if len(base) > TAB_LENGTH:
            base = base[:TAB_LENGTH].rsplit(" ", 1)[0] if " " in base[:TAB_LENGTH] else base[:TAB_LENGTH]
        if base.lower() == "history":  # a name Excel keeps for itself
            base = "Recipe history"
        name, number = base, 2
        while name.lower() in taken:
            name, number = f"{base} {number}", number + 1
        taken.add(name.lower())
        names.append(name)
    return names


def lay_out(kitchen: Kitchen, constants: Sequence[dict[str, str]], recipes: Sequence[Recipe], settings: Settings,
            look: Mapping[str, Any]) -> tuple[Book, list[Analysis]]:
    """Lay out the whole book. Raises BadInput for a recipe that cannot be worked out."""
    titles = [r.title.lower() for r in recipes]
    for i, title in enumerate(titles):
        if title in titles[:i]:
            raise BadInput(recipes[i].path or recipes[i].title, f"the title '{recipes[i].title}' stands twice; rename one")
    analyses = [analyse_recipe(kitchen, recipe, settings) for recipe in recipes]
    book = Book(paper=look["paper"]["size"], properties={
        "title": str(look["programme"]["name"]), "subject": "Recipes with live nutrition figures",
        "comments": "Calculated from food-composition tables, not analysed. Read the sheet Disclaimer.",
    })
    start = put_start(book, kitchen, settings, look["programme"])
    overview = add_overview(book)
    strips = strip_lengths(kitchen)
    sheets = [
        put_recipe(book, kitchen, tab, recipe_layout(kitchen, len(recipe.lines), strips), recipe, analysis)
        for tab, recipe, analysis in zip(tab_names([r.title for r in recipes]), recipes, analyses, strict=True)
    ]
    if len(sheets) <= MOST_SLOTS:
        hub = put_results_hub(book, kitchen, sheets)
        put_lines_hub(book, sheets)
        put_overview(overview, kitchen, hub, sheets)
    else:
        book.sheets.remove(overview)
    foods_at = len(book.sheets)
    offers = put_cooking(book, kitchen)
    fixed = f"'Foods'!{block(FIRST, NAME_COL, FIRST + len(kitchen.fixed_foods) - 1, NAME_COL)}"
    extras = put_own_foods(book, kitchen, [f for f in kitchen.table.foods if f.id.startswith(OWN_ID)], fixed)
    put_own_measures(book, kitchen.own_measures)
    foods = put_foods(book, kitchen, offers, extras)
    put_measures(book, kitchen, extras)
    cooking = book.sheets.pop(foods_at)
    book.sheets.append(cooking)
    put_tables(book, kitchen, constants)
    _, failing = put_checks_sheet(book, kitchen, sheets, foods)
    put_sources(book, kitchen)
    put_disclaimer(book)
    finish_start(book, start, kitchen, settings, sheets[0].sheet.name if sheets else "Foods", failing)
    return book, analyses


def build_workbook(kitchen: Kitchen, constants: Sequence[dict[str, str]], recipes: Sequence[Recipe], settings: Settings,
                   look: Mapping[str, Any], path: Path, progress: Progress = lambda _: None) -> Built:
    """Build ``path`` from recipes. Raises BadInput with one sentence per fault; nothing is half-written."""
    progress("laying out sheets")
    book, analyses = lay_out(kitchen, constants, recipes, settings, look)
    progress(f"working out stored values of {book.formula_count():,} formulas")
    disagreements = fill(book)
    progress("writing the file")
    write_book(book, path, look)
    return Built(book, tuple(analyses), tuple(disagreements))
