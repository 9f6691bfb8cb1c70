"""Recipes and small books for the tests of the printed card."""

from __future__ import annotations

import copy
from dataclasses import dataclass, replace
from pathlib import Path

from tests.dishes import line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.recipe import Note, Recipe, Review
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.card_lines import COLUMNS
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_layout import RecipeLayout, recipe_layout, strip_lengths
from workbookgen.workbook.stored import Disagreement, fill
from workbookgen.workbook.write import write_book

STEPS = (
    "Rinse the barley in a sieve under cold water and let it drain while you cut the onion, carrots and celery into "
    "small dice of even size.",
    "Warm the oil in a wide, heavy pot over medium heat. Add onion, carrots and celery with a pinch of salt; cook and "
    "stir for 8 minutes until soft and golden at the edges.",
    "Stir in garlic, cumin, paprika and tomato paste. Cook 2 minutes more, until the paste darkens and smells sweet, "
    "scraping the bottom of the pot so that nothing catches.",
    "Add the barley, the tomatoes with their juice, water and broth. Bring to a boil, cover, turn the heat low and "
    "simmer for 30 minutes, stirring now and then.",
    "Rinse the beans under running water for half a minute to wash away part of the salt. Add them with the sweet "
    "potatoes to the pot and simmer without a lid for 15 minutes.",
    "Strip the kale from its stems, wash it well in plenty of cold water, shake it dry and cut it in ribbons as wide "
    "as a finger. Push the ribbons under the surface by the handful and let them wilt for 5 minutes.",
    "Toast the walnuts in a dry pan over low heat for 4 minutes, shaking the pan, until they smell nutty. Tip them on "
    "a board at once and chop them coarsely.",
    "Taste. Sharpen with lemon juice, and add pepper rather than more salt. If the pot is too thick, loosen it with a "
    "ladle of hot water.",
    "Let the pot stand off the heat, with the lid on, for a good 10 minutes before it goes to the table: barley goes "
    "on drinking, and the flavours come together. Stir once more from the bottom.",
    "Ladle into warm bowls. Scatter walnuts and grated cheese over each bowl, and put the rest of the lemon on the "
    "table so that everyone can add a little more to taste at the end.",
    "Serve with yogurt on the side for those who like it cooler, and with bread for those who came hungry; the pot "
    "keeps well, freezes well and is better still on the second day.",
)
LONG = Recipe(
    title="Harvest pot with barley, beans, sweet potato, kale and toasted walnuts",
    servings=8, serving_text="1 1/2 cups", prep_minutes=35, cook_minutes=75, soup=True, version="2",
    lines=(
        line("Barley, pearled, dry", 1, "cup", section="For the pot", treatment="boiled, water used"),
        line("Olive oil", 3, "tbsp"), line("Onions, raw", 2, "cup, chopped"), line("Carrots, raw", 3, "medium"),
        line("Celery, raw", 2, "cup, chopped"), line("Garlic, raw", 4, "clove", note="finely chopped"),
        line("Cumin seed", 1, "tsp, whole"), line("Paprika", 2, "tsp"),
        line("Tomato paste, canned, no salt added", 2, "tbsp"),
        line("Tomatoes, canned, in juice, no salt added", 1, "can (14.5 oz)"),
        line("Vegetable broth, ready to serve", 4, "cup"), line("Water, tap", 3, "cup", water="absorbed"),
        line("Red kidney beans, canned, drained", 2, "can (15.5 oz), drained"),
        line("Sweet potato, raw", 3, "cup, cubed"), line("Kale, raw", 6, "cup, 1 in pieces"),
        line("Walnuts, english, raw", 0.5, "cup, chopped", section="To finish"),
        line("Parmesan, grated", 0.5, "cup", held_back=True), line("Lemon juice, fresh", 2, "tbsp"),
    ),
    method=STEPS, may_contain="traces of peanut", switches=("carbohydrate choices",),
    notes=(Note("Beans bring iron; the vitamin C of lemon and kale helps the body take it up.", "hallberg_hulthen_2000"),),
    review=Review("Mara Lindqvist, RD", "2026-03-04"),
)  # fmt: skip
SHORT = Recipe(
    title="Kale and bean pan", servings=4, serving_text="1 cup", prep_minutes=10, cook_minutes=80,
    lines=(
        line("Olive oil", 2, "tbsp", section="Pan"), line("Onions, raw", 1, "cup, chopped"),
        line("Kale, raw", 4, "cup, 1 in pieces", include=False),
        line("Red kidney beans, canned, drained", 1, "can (15.5 oz), drained", include=False, optional=True),
        line("Parmesan, grated", 0.25, "cup", held_back=True, section="To finish", include=False),
        line("Lemon juice, fresh", 1, "tbsp", garnish=True), line("Walnuts, english, raw", 30, "g", note="toasted"),
    ),
    method=("Soften the onion in the oil.", "Add the rest and cook for 5 minutes."),
)  # fmt: skip
FOODS = tuple(
    {one.food for recipe in (LONG, SHORT) for one in recipe.lines} | {"Milk, whole", "Egg, whole, raw"}
)


@dataclass
class LiveCard:
    """A small book of one recipe that can be changed and worked out again by the fast engine."""

    book: Book
    sheet: Sheet
    card: Sheet
    lay: RecipeLayout
    differing: list[Disagreement]

    def fresh(self) -> LiveCard:
        """The same book with a recipe sheet and a card of its own; the other sheets only follow them."""
        sheet, card = copy.deepcopy(self.sheet), copy.deepcopy(self.card)
        sheets = [{self.sheet.name: sheet, self.card.name: card}.get(s.name, s) for s in self.book.sheets]
        return replace(self, book=replace(self.book, sheets=sheets), sheet=sheet, card=card)

    def type_in(self, row: int, col: int, value: Value) -> None:
        """Change an input of the card."""
        self.card.cells[row, col].value = value

    def type_on_recipe(self, key: str, row: int, value: Value) -> None:
        self.sheet.cells[row, self.lay.col[key]].value = value

    def work_out(self) -> None:
        for sheet in self.book.sheets:
            for cell in sheet.cells.values():
                if cell.formula:
                    cell.value = LOOKUP
        fill(self.book)

    def printed(self) -> list[str]:
        """Texts of the page from top to bottom, left to right, without empty ones."""
        area = self.card.print_area
        assert area is not None
        top, left, bottom, right = area
        cells = sorted(k for k in self.card.cells if top <= k[0] <= bottom and left <= k[1] <= right)
        return [str(v) for k in cells if (v := self.card.cells[k].value) != ""]

    def ingredients(self) -> list[tuple[str, str, str]]:
        """Printed rows of the ingredient block: amount, text, beside."""
        title = next(k[0] for k, c in sorted(self.card.cells.items()) if c.value == "Printed rows")
        rows = []
        at = title + 2
        while (at, 4) in self.card.cells and self.card.cells[at, 4].formula:
            texts = tuple(str(self.card.cells[at, col].value) for col in (3, 4, 5))
            if any(texts):
                rows.append(texts)
            at += 1
        return rows  # type: ignore[return-value]

    def entries(self) -> list[tuple[str, str, str]]:
        """Ingredients with texts that run over several rows put together again."""
        found: list[tuple[str, str, str]] = []
        for amount, text, beside in self.ingredients():
            if text.startswith(" ") and found:
                found[-1] = (found[-1][0], f"{found[-1][1]} {text.strip()}", found[-1][2])
            else:
                found.append((amount, text, beside))
        return found

    def line(self, number: int, key: str) -> Value:
        """A cell of the working of ingredient ``number`` (from 0)."""
        column = [k for k, *_ in COLUMNS].index(key)
        head = next(
            k[0]
            for k, c in self.card.cells.items()
            if c.value == "Ingredient lines in kitchen words (scaled)"
        )
        value = self.card.cells[head + 2 + number, column].value
        assert value is not LOOKUP
        return value  # type: ignore[return-value]

    def says(self) -> str:
        """What the check beside the inputs says."""
        return str(self.card.cells[3, 5].value)


def live_card(kitchen: Kitchen, recipe: Recipe, reference_set: str = "us_4plus") -> LiveCard:
    """A filled book of this recipe."""
    kitchen = small_kitchen(kitchen, *FOODS)
    settings = replace(default_settings(), reference_set=reference_set)
    book, _ = lay_out(kitchen, constant_rows(), [recipe], settings, load_look(), Spares(0, 0))
    card = next(s for s in book.sheets if s.name.startswith("Card ") and s.name != "Card rules")
    sheet = book.sheets[book.sheets.index(card) - 1]
    lay = recipe_layout(kitchen, len(recipe.lines), strip_lengths(kitchen), 0, False)
    differing = [d for d in fill(book) if d.sheet in (sheet.name, card.name)]
    return LiveCard(book, sheet, card, lay, differing)


def write(live: LiveCard, path: Path, paper: str) -> None:
    """Write the book for a paper size."""
    look = load_look()
    look["paper"]["size"] = paper
    live.book.paper = paper
    write_book(live.book, path, look)
