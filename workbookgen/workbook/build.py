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
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import variant_title, with_variants
from workbookgen.workbook.adjust_sheet import put_adjust
from workbookgen.workbook.audit_sheet import put_audit
from workbookgen.workbook.book import Book, block
from workbookgen.workbook.card_sheet import put_card, put_cards
from workbookgen.workbook.card_tables import put_card_tables
from workbookgen.workbook.checks_sheet import put_checks_sheet, put_disclaimer, put_sources
from workbookgen.workbook.claims_sheet import put_claims
from workbookgen.workbook.compare_sheet import put_compare
from workbookgen.workbook.cooking_sheet import put_cooking
from workbookgen.workbook.day_sheet import put_day
from workbookgen.workbook.dish_rows import dish_row, keep_to_earlier
from workbookgen.workbook.find_sheet import add_find, put_find
from workbookgen.workbook.food_list import narrow_food_lists
from workbookgen.workbook.foods_sheet import FIRST, NAME_COL, ExtraFood, FoodsLayout, put_foods, put_measures
from workbookgen.workbook.house import added_disclaimer, card_logo, leave_out, left_out, put_house, say_large
from workbookgen.workbook.hub_sheets import MOST_SLOTS, put_lines_hub, put_results_hub
from workbookgen.workbook.label_ranks import put_label_ranks
from workbookgen.workbook.label_view import put_label_view
from workbookgen.workbook.labels_layout import SHEET as LABELS
from workbookgen.workbook.labels_layout import labels_layout
from workbookgen.workbook.labels_sheet import put_labels
from workbookgen.workbook.large import Later, analysed, weighing
from workbookgen.workbook.least_most_sheet import put_least_most
from workbookgen.workbook.methods_sheet import put_methods, put_ranges
from workbookgen.workbook.overview_sheet import add_overview, put_overview
from workbookgen.workbook.own_sheets import message_columns, put_own_foods, put_own_measures
from workbookgen.workbook.pack_tables import put_pack_rules
from workbookgen.workbook.partners_sheet import put_partners
from workbookgen.workbook.person_rules_sheet import put_person_rules
from workbookgen.workbook.person_sheet import put_person
from workbookgen.workbook.programme_sheet import put_programme
from workbookgen.workbook.recipe_layout import recipe_layout, strip_lengths
from workbookgen.workbook.recipe_picker import before_hubs
from workbookgen.workbook.recipe_sheet import RecipeSheet, put_recipe
from workbookgen.workbook.record_sheet import put_record
from workbookgen.workbook.safety_sheet import put_safety
from workbookgen.workbook.shares_sheet import put_shares
from workbookgen.workbook.shopping_book import put_shopping_sheets
from workbookgen.workbook.start_sheet import finish_start, put_start
from workbookgen.workbook.statements_sheet import put_statements_sheet
from workbookgen.workbook.stored import Disagreement, fill
from workbookgen.workbook.tables_sheet import put_tables
from workbookgen.workbook.write import write_book

FIXED_TABS = ("Start", "Overview", "Partners", "Shares", "Adjust", "Compare", "Programme", "Shopping", "Costs", "Prices", "Person", "Day", "Reference intakes", "Results", "Lines", "Buying", "Find", "Labels", "Label view", "Label ranks", "Own foods", "Own measures", "Foods", "Measures", "Cooking", "Tables", "Pack rules", "Methods", "Ranges", "Claims", "Least and most", "Statements", "Safety", "Card rules", "Checks", "Sources", "Disclaimer", "Audit", "Build record")
TAB_LENGTH = 26
NO_LAST_WORD = frozenset(("a", "an", "and", "the", "with", "without", "of", "in", "on", "or", "for", "from", "to"))
OWN_ID = "own"  # ids of foods a programme adds start so
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Spares:
    """Empty sheets that wait for a colleague: recipes, and dishes that recipes may use."""

    recipes: int = 6
    dishes: int = 2


SPARES = Spares()


def fitting(spares: Spares, recipes: int) -> Spares:
    """As many spare sheets as the hubs have room for; a book too large for hubs keeps them all."""
    room = MOST_SLOTS - recipes
    if room < 0:
        return spares
    kept = min(spares.recipes, room)
    return Spares(kept, min(spares.dishes, room - kept))


@dataclass(frozen=True, slots=True)
class Built:
    """What a build made."""

    book: Book  # of a large book the fixed sheets and dishes only
    analyses: tuple[Analysis, ...]  # of a large book those of dishes
    disagreements: tuple[Disagreement, ...]
    recipes: int
    formulas: int


def tab_names(titles: Sequence[str]) -> list[str]:
    """Unique tab names for recipe titles: forbidden signs dropped, shortened at a word, numbered on a clash."""
    taken = {name.lower() for name in FIXED_TABS}
    names = []
    for title in titles:
        base = re.sub(r"[\[\]:*?/\\%'\"]", " ", title)
        base = " ".join(base.split()) or "Recipe"
        if len(base) > TAB_LENGTH:
            base = base[:TAB_LENGTH].rsplit(" ", 1)[0] if " " in base[:TAB_LENGTH] else base[:TAB_LENGTH]
            kept = base.split(" ")
            while len(kept) > 1 and kept[-1].lower() in NO_LAST_WORD:  # "Bean and greens pot with" reads as cut off
                kept.pop()
            base = " ".join(kept).rstrip(",;")
        if base.lower() == "history":  # a name Excel keeps for itself
            base = "Recipe history"
        name, number = base, 2
        while name.lower() in taken:
            name, number = f"{base} {number}", number + 1
        taken.add(name.lower())
        names.append(name)
    return names


def tab_title(recipe: Recipe) -> str:
    """What the tab is named after: the title; for a variant its own name first, which a short tab must show."""
    name = recipe.title.removeprefix(variant_title(recipe.variant_of, "")) if recipe.variant_of else ""
    return f"{name[:1].upper()}{name[1:]}, {recipe.variant_of}" if name else recipe.title


def lay_out(kitchen: Kitchen, constants: Sequence[dict[str, str]], recipes: Sequence[Recipe], settings: Settings,
            look: Mapping[str, Any], spares: Spares = SPARES, later: Later | None = None) -> tuple[Book, list[Analysis]]:
    """Lay out the whole book, variants after their recipes; a large one puts its recipe sheets off with ``later``.

    Raises BadInput for a recipe that cannot be worked out.
    """
    recipes = with_variants(recipes)
    titles = [r.title.lower() for r in recipes]
    for i, title in enumerate(titles):
        if title in titles[:i]:
            raise BadInput(recipes[i].path or recipes[i].title, f"the title '{recipes[i].title}' stands twice; rename one")
    dishes, others = in_order(recipes)
    kitchen, analyses = with_dishes(kitchen, dishes, settings)
    analyses = [weighing(a) for a in analyses]
    if later is None:
        analyses += [analysed(kitchen, recipe, settings) for recipe in others]
    else:
        later.kitchen = kitchen
    book = Book(paper=look["paper"]["size"], properties={
        "title": str(look["programme"]["name"]), "subject": "Recipes with live nutrition figures",
        "author": str(look["programme"]["name"]), "company": str(look["programme"]["place"]), "category": "Recipes and nutrition",
        "keywords": "recipes, nutrients, per cent Daily Value, plate, labels",
        "comments": "Calculated from food-composition tables, not analysed. Read the sheet Disclaimer.",
    })
    start = put_start(book, kitchen, settings, look["programme"])
    put_house(start, look)
    spares = fitting(spares, len(recipes))
    if len(recipes) > MOST_SLOTS:
        say_large(start, len(recipes), MOST_SLOTS)
    overview = add_overview(book)
    sheets, dish_sheets = _put_recipes(book, kitchen, dishes, others, analyses, spares, later)
    made = put_cards(book, kitchen, sheets, card_logo(look), later.card if later else put_card)
    cards = {c.recipe.sheet.name: (c.sheet.name, c.check) for c in made}
    listed = [s for s in sheets if s.recipe] + [s for s in sheets if not s.recipe]
    typed = {LABELS: labels_layout(kitchen).outside("message"), **message_columns()}
    if len(listed) <= MOST_SLOTS:
        hub = put_results_hub(book, kitchen, listed)
        put_lines_hub(book, listed)
        put_overview(overview, kitchen, hub, listed, {tab: card for tab, (card, _) in cards.items()})
        put_partners(book, kitchen, listed)
        put_shares(book, kitchen, listed)
        put_adjust(book, kitchen, listed)
        put_person(book, kitchen, listed)
        put_day(book, kitchen, settings, listed)
        put_compare(book, kitchen, listed, "Shopping" not in left_out(look))
        put_programme(book, kitchen, listed, settings)
        typed |= put_shopping_sheets(book, kitchen, listed, dish_sheets, analyses, str(look["programme"]["currency"]))
    else:
        book.sheets.remove(overview)
    finder = add_find(book)
    foods = _put_catalogue(book, kitchen, settings, [dish_row(d) for d in dish_sheets])
    put_find(finder, kitchen, foods, list(kitchen.table.foods))
    for number, dish in enumerate(dish_sheets, 1):
        keep_to_earlier(book, dish.sheet, number, len(dish_sheets))
    put_tables(book, kitchen, constants)
    if len(listed) <= MOST_SLOTS:
        put_person_rules(book, kitchen)
    put_pack_rules(book, kitchen)
    put_methods(book, kitchen)
    put_ranges(book, kitchen)
    if kitchen.tables.claims.statements:
        put_claims(book, kitchen)
        put_least_most(book, kitchen)
        if len(listed) <= MOST_SLOTS:
            put_statements_sheet(book, kitchen, listed)
            before_hubs(book)
    put_safety(book, kitchen)
    put_card_tables(book, kitchen)
    typed = leave_out(book, look, [*(s.sheet.name for s in sheets), *(tab for tab, _ in cards.values())], typed)
    _, failing = put_checks_sheet(book, kitchen, listed, foods, cards, typed)
    put_sources(book, kitchen)
    put_disclaimer(book, added_disclaimer(look))
    narrow_food_lists(book, len(kitchen.fixed_foods))
    finish_start(book, start, kitchen, settings, sheets[0].sheet.name if sheets else "Foods", failing,
                 next((s.sheet.name for s in sheets if s.recipe is None), ""))
    card_tabs = {tab: card for tab, (card, _) in cards.items()}
    if later is not None:  # the last two sheets tell of all others, so they wait with the recipe sheets
        later.sheets, later.cards = sheets, card_tabs
        return book, analyses
    put_audit(book, kitchen, sheets)
    put_record(book, kitchen, sheets, card_tabs, settings, look)
    return book, analyses


def _put_recipes(book: Book, kitchen: Kitchen, dishes: Sequence[Recipe], others: Sequence[Recipe],
                 analyses: Sequence[Analysis], spares: Spares, later: Later | None = None) -> tuple[list[RecipeSheet], list[RecipeSheet]]:
    """Recipe sheets in tab order (recipes, dishes used by others, spares) and the dishes among them."""
    strips = strip_lengths(kitchen)
    total = len(dishes) + spares.dishes
    names = tab_names([tab_title(r) for r in [*others, *dishes]] + [f"Spare {i + 1}" for i in range(spares.recipes)]
                      + [f"Spare dish {i + 1}" for i in range(spares.dishes)])

    def put(tab: str, recipe: Recipe | None, analysis: Analysis | None, usable: int, is_dish: bool) -> RecipeSheet:
        lay = recipe_layout(kitchen, len(recipe.lines) if recipe else 0, strips, usable, is_dish)
        if later is not None and not is_dish:
            return later.recipe(book, tab, lay, recipe)
        return put_recipe(book, kitchen, tab, lay, recipe, analysis)

    at = iter(names)
    theirs = analyses[len(dishes):] if later is None else [None] * len(others)
    sheets = [put(next(at), r, a, total, False) for r, a in zip(others, theirs, strict=True)]
    dish_sheets = [put(next(at), r, analyses[i], i, True) for i, r in enumerate(dishes)]
    empty = [put(next(at), None, None, total, False) for _ in range(spares.recipes)]
    dish_sheets += [put(next(at), None, None, len(dishes) + i, True) for i in range(spares.dishes)]
    return [*sheets, *dish_sheets[: len(dishes)], *empty, *dish_sheets[len(dishes):]], dish_sheets


def _put_catalogue(book: Book, kitchen: Kitchen, settings: Settings, dish_rows: Sequence[ExtraFood]) -> FoodsLayout:
    """Own foods, own measures, Foods, Measures, Cooking."""
    foods_at = len(book.sheets)
    offers = put_cooking(book, kitchen)
    last_fixed = FIRST + len(kitchen.fixed_foods) - 1
    labels, extras = put_labels(book, kitchen, f"'Foods'!{block(FIRST, NAME_COL, last_fixed, NAME_COL)}")
    put_label_view(book, kitchen, labels, settings)
    put_label_ranks(book, kitchen, labels, settings)
    taken = f"'Foods'!{block(FIRST, NAME_COL, last_fixed + labels.products, NAME_COL)}"
    extras += put_own_foods(book, kitchen, [f for f in kitchen.table.foods if f.id.startswith(OWN_ID)], taken,
                            last_fixed + labels.products + 1)
    put_own_measures(book, kitchen.own_measures)
    extras += dish_rows
    foods = put_foods(book, kitchen, offers, extras)
    put_measures(book, kitchen, extras)
    book.sheets.append(book.sheets.pop(foods_at))  # Cooking reads better after Measures
    return foods


def build_workbook(kitchen: Kitchen, constants: Sequence[dict[str, str]], recipes: Sequence[Recipe], settings: Settings,
                   look: Mapping[str, Any], path: Path, progress: Progress = lambda _: None, spares: Spares = SPARES) -> Built:
    """Build ``path`` from recipes. Raises BadInput with one sentence per fault; nothing is half-written."""
    progress("laying out sheets")
    written = len(with_variants(recipes))
    if written > MOST_SLOTS:
        later = Later(settings, look, kitchen)
        book, analyses = lay_out(kitchen, constants, recipes, settings, look, spares, later)
        formulas, differing = later.write(book, path, progress)
        return Built(book, tuple(analyses), tuple(differing), written, formulas)
    book, analyses = lay_out(kitchen, constants, recipes, settings, look, spares)
    progress(f"working out stored values of {book.formula_count():,} formulas")
    disagreements = fill(book)
    progress("writing the file")
    write_book(book, path, look)
    return Built(book, tuple(analyses), tuple(disagreements), written, book.formula_count())
