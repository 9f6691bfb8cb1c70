"""One printable card per recipe: a strip of inputs, the page, and its working beneath the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.nutrition.card_words import line_words
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.panel import serving_words
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.card_lines import COLUMNS as LINE_COLUMNS
from workbookgen.workbook.card_lines import CardWork, put_card_lines, put_slots
from workbookgen.workbook.card_page import PageCells, put_page
from workbookgen.workbook.card_plan import COLUMNS, CardPlan, CardTexts, card_look, plan_card
from workbookgen.workbook.card_read import put_boxes, put_inputs, put_read
from workbookgen.workbook.card_texts import box_texts, card_sentences, line_text
from workbookgen.workbook.fit import column_chars
from workbookgen.workbook.recipe_sheet import RecipeSheet

PREFIX = "Card "
LONGEST_TAB = 31
PAGE_TOP = 9
WORK_WIDTH = 12.0
NO_CARD = "no card"


@dataclass(frozen=True, slots=True)
class CardSheet:
    """A card with the recipe sheet it reads."""

    sheet: Sheet
    recipe: RecipeSheet
    plan: CardPlan
    check: str


def card_tab(tab: str, taken: Sequence[str]) -> str:
    """Tab of the card that belongs to a recipe tab: "Card " before it, shortened and made unique."""
    names = {name.lower() for name in taken}
    name, number = (PREFIX + tab)[:LONGEST_TAB].rstrip(), 2
    while name.lower() in names:
        tail = f" {number}"
        name, number = (PREFIX + tab)[: LONGEST_TAB - len(tail)].rstrip() + tail, number + 1
    return name


def put_card(book: Book, kitchen: Kitchen, recipe: RecipeSheet, tab: str, programme: Mapping[str, Any]) -> CardSheet:
    """Lay out the card of one recipe sheet, empty ones included."""
    sheet = book.add(tab)
    texts = _texts(kitchen, recipe)
    plan = plan_card(texts)
    _set_columns(sheet)
    words = card_sentences(kitchen)
    bottom = PAGE_TOP + 5 + plan.units + int(card_look()["page"]["footer_lines"])
    work = CardWork(sheet, recipe.sheet, recipe.lay, 0)
    put_inputs(sheet, recipe, tab, programme)
    at = put_read(work, kitchen, recipe, words, plan, texts, bottom + 3)
    work.first = at + 2
    known = None
    if recipe.analysis:
        kitchen_words = load_kitchen_words()
        known = [line_words(kitchen, kitchen_words, line, 1.0) for line in recipe.analysis.lines]
    put_card_lines(work, known)
    slots = put_slots(work, work.last + 4, plan.slots)
    boxes = put_boxes(work, kitchen, recipe, plan, texts, words, work.last + 4 + plan.slots + 2)
    cells = PageCells(work, slots, boxes, programme)
    check = put_page(sheet, recipe, plan, cells, PAGE_TOP)
    _set_page(sheet, PAGE_TOP, bottom)
    return CardSheet(sheet, recipe, plan, check)


PutCard = Callable[[Book, Kitchen, RecipeSheet, str, Mapping[str, Any]], CardSheet]


def put_cards(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], programme: Mapping[str, Any],
              put: PutCard = put_card) -> list[CardSheet]:
    """Cards of all recipe sheets but those switched off, each right after its recipe sheet and linked from it.

    ``put`` lays a card out, or keeps its place in a large book."""
    cards = []
    for recipe in recipes:
        if recipe.recipe and NO_CARD in recipe.recipe.switches:
            continue
        card = put(book, kitchen, recipe, card_tab(recipe.sheet.name, [s.name for s in book.sheets]), programme)
        book.sheets.pop()
        book.sheets.insert(next(i for i, s in enumerate(book.sheets, 1) if s is recipe.sheet), card.sheet)
        link_card(recipe, card)
        cards.append(card)
    return cards


def link_card(recipe: RecipeSheet, card: CardSheet) -> None:
    """Lead from the head of the recipe sheet to its card."""
    recipe.sheet.link(1, recipe.lay.front_last - 1, card.sheet.name, "Card", "link")


def _texts(kitchen: Kitchen, recipe: RecipeSheet) -> CardTexts:
    """What is known of the texts when the book is built; nothing for an empty recipe sheet."""
    if recipe.analysis is None or recipe.recipe is None:
        return CardTexts()
    boxes = box_texts(kitchen, recipe.analysis)
    sentences = card_sentences(kitchen)
    lines = [line for line in recipe.recipe.lines if line.include or line.optional or line.garnish or line.held_back]
    headings = sum(1 for i, line in enumerate(lines) if line.section and (i == 0 or line.section != lines[i - 1].section))
    return CardTexts([line_text(line, sentences) for line in lines], headings, boxes,
                     serving_words(recipe.recipe.serving_text, recipe.analysis.serving_g, load_kitchen_words()))


def _set_columns(sheet: Sheet) -> None:
    look = card_look()["columns"]
    for i, key in enumerate(COLUMNS):
        sheet.widths[i] = column_chars(look[key])
    for i in range(len(COLUMNS), len(LINE_COLUMNS)):
        sheet.widths[i] = WORK_WIDTH


def _set_page(sheet: Sheet, first: int, last: int) -> None:
    margin = card_look()["page"]["margin"] / 72
    sheet.print_area = (first, 0, last, len(COLUMNS) - 1)
    sheet.fit_pages = (1, 1)
    sheet.margins = (margin, margin, margin, margin)
    sheet.footer = "&C "
    sheet.centre = True
    sheet.first_input = (3, 0)
