"""Which input cell of the book stands for which field of the files it was built from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import At, Sheet
from workbookgen.workbook.card_read import CHOICES, INPUT
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.handout_layout import OWN_KEEPING_LINES, Handout
from workbookgen.workbook.labels_layout import FIRST as LABELS_FIRST
from workbookgen.workbook.labels_layout import WORDS, labels_layout
from workbookgen.workbook.own_sheets import FIRST as OWN_FIRST
from workbookgen.workbook.own_sheets import FOODS, MEASURES, TEXT_COLUMNS, nutrient_tags
from workbookgen.workbook.recipe_about import NOTES, SECTION, SOURCE_KEY
from workbookgen.workbook.recipe_layout import FIRST_LINE, FRONT, INPUT_ROW, MORE_INPUTS
from workbookgen.workbook.recipe_review import INPUTS as REVIEW_INPUTS
from workbookgen.workbook.recipe_review import SECTION as REVIEW
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.science_layout import INPUTS as SCIENCE_INPUTS
from workbookgen.workbook.shopping_prices import FIRST as PRICES_FIRST
from workbookgen.workbook.shopping_prices import FOOD, NOTE, PACKAGE, PANTRY, PRICE, SOLD, price_rows
from workbookgen.workbook.start_sheet import SETTINGS
from workbookgen.workbook.statements_layout import SAY_DISH, Places

#: Line inputs of a recipe sheet: part of the field name after "line.".
LINE_KEYS = tuple(key for key, _, _, style in FRONT + MORE_INPUTS if "input" in style)
TARGET_KEYS = (("nutrient", "food"), ("sign", "amount"), ("value", "unit"), ("basis", "basis"))
LINE, TARGET, LABEL, OWN_FOOD, OWN_MEASURE, SETTING = "line.", "target.", "label.", "own_food.", "own_measure.", "setting."
PRICED = "price."
PROGRAMME = SETTING + "programme."
PRICE_KEYS = (("food", FOOD), ("package", PACKAGE), ("price", PRICE), ("pantry", PANTRY), ("sold_as", SOLD), ("note", NOTE))
#: The one input of a card that a recipe file holds.
CARD_CHOICES = "card.choices"


@dataclass(frozen=True, slots=True)
class Field:
    """A run of cells under each other (zero-based) that holds one field; ``keys`` names each cell where the field
    has parts of its own, such as the statements that may be ticked."""

    name: str
    first: At
    count: int = 1
    keys: tuple[str, ...] = ()

    def cells(self) -> list[At]:
        """All cells from top to bottom."""
        row, col = self.first
        return [(row + i, col) for i in range(self.count)]


def recipe_fields(recipe: RecipeSheet, kitchen: Kitchen) -> list[Field]:
    """Fields of a recipe sheet; blocks that the book leaves out bring none."""
    lay = recipe.lay
    col = lay.col

    def one(name: str, row: int, key: str, count: int = 1) -> Field:
        return Field(name, (row, col[key]), count)

    fields = [one(LINE + key, FIRST_LINE, key, lay.lines) for key in LINE_KEYS]
    fields += [
        one("title", INPUT_ROW, "food"), one("servings", INPUT_ROW, "amount"), one("serving", INPUT_ROW, "unit"),
        one("legumes_as", INPUT_ROW, "basis"), one("plate_model", INPUT_ROW, "treat"),
        one("cooked_weight_g", INPUT_ROW, "share"), one("cup_weight_g", INPUT_ROW, "water"),
    ]  # fmt: skip
    if lay.is_dish:
        fields.append(one("counts_as", INPUT_ROW, "message"))
    fields += [one(TARGET + name, lay.target_first, key, lay.target_last - lay.target_first + 1) for name, key in TARGET_KEYS]
    fields.append(one("method", lay.method_first, "food", lay.method_last - lay.method_first + 1))
    fields += [one("plate_by", lay.plate_by, "unit"), one("plate_mend", lay.mend_first, "food", lay.mend_last - lay.mend_first + 1)]
    if (top := lay.section.get(SECTION)) is not None:
        fields += [one("prep_minutes", top + 2, "amount"), one("cook_minutes", top + 2, "unit"), one("version", top + 2, "basis"),
                   one("note.text", top + 5, "food", NOTES), one("note.source", top + 5, SOURCE_KEY, NOTES)]
    if (top := lay.section.get(REVIEW)) is not None:
        row = top + REVIEW_INPUTS
        fields += [one("review.reviewer", row, "food"), one("review.date", row, "unit"), one("review.comment", row, "treat"),
                   one("review.check_number", row, "message")]
    if (top := lay.section.get("iron")) is not None:
        fields += [one("iron_stores", top + SCIENCE_INPUTS, "food"), one("iron_stage", top + SCIENCE_INPUTS, "treat")]
    if (top := lay.section.get("protein")) is not None:
        fields.append(one("protein_pattern", top + SCIENCE_INPUTS, "food"))
    handout = Handout(lay, kitchen.safety)
    if "keeping" in lay.section:
        fields += [one("keeps_like", handout.keep_input, "unit"), one("storage", handout.own_first, "food", OWN_KEEPING_LINES)]
    if "allergens" in lay.section:
        fields.append(one("may_contain", handout.may_input, "unit"))
    if SAY_DISH in lay.section:
        plan = ClaimPlan(kitchen.tables.claims)
        places = Places(lay, plan)
        ids = tuple(s.id for s in plan.statements[: plan.shown])
        fields += [one("kind", places.input, "food"), one("racc", places.input, "treat"), one("racc_g", places.input, "grams"),
                   one("drink", places.input, "message"), Field("statement", (places.first, col["count"]), plan.shown, ids)]
    unlocked = {at for at, cell in recipe.sheet.cells.items() if is_input(cell.style)}
    return [f for f in fields if all(at in unlocked for at in f.cells())]


def own_food_fields(kitchen: Kitchen) -> list[Field]:
    """Columns of "Own foods" but the message, then the nutrients."""
    keys = [key for key, *_ in TEXT_COLUMNS] + nutrient_tags(kitchen)
    return [Field(OWN_FOOD + key, (OWN_FIRST, c), FOODS) for c, key in enumerate(keys) if key != "message"]


def own_measure_fields() -> list[Field]:
    """Columns of "Own measures"."""
    return [Field(OWN_MEASURE + key, (OWN_FIRST, c), MEASURES) for c, key in enumerate(("food", "unit", "grams"))]


def label_fields(kitchen: Kitchen) -> list[Field]:
    """Input columns of Labels."""
    lay = labels_layout(kitchen)
    keys = [key for key, *_ in WORDS if key not in ("no", "message")]
    keys += [key for key in lay.col if key.startswith(("i_", "ip_"))]
    return [Field(LABEL + key, (LABELS_FIRST, lay.col[key]), lay.products) for key in keys]


def price_fields(kitchen: Kitchen) -> list[Field]:
    """Columns of Prices."""
    return [Field(PRICED + key, (PRICES_FIRST, col), price_rows(kitchen.prices)) for key, col in PRICE_KEYS]


def setting_fields(sheet: Sheet) -> list[Field]:
    """Settings and programme targets on Start, found by the words beside them."""
    words = {label: field for _, label, field, _ in SETTINGS}
    words |= {"Reference values for % DV": "reference_set", "Plate model": "plate_model"}
    words |= {f"{t.name}, {t.unit}": PROGRAMME.removeprefix(SETTING) + t.id for t in load_programme_rules().targets}
    labels = {cell.value: at for at, cell in sheet.cells.items() if cell.style == "label" and cell.value in words}
    return [Field(SETTING + words[str(label)], (row, col + 1)) for label, (row, col) in sorted(labels.items(), key=lambda x: x[1])]


def is_input(style: str) -> bool:
    """Whether cells of a style are unlocked: the last of the words "input" and "locked" decides."""
    words = [word for word in style.split() if word in ("input", "locked")]
    return bool(words) and words[-1] == "input"


def other_inputs(sheet: Sheet, known: Sequence[Field]) -> list[Field]:
    """Unlocked cells of a sheet that no field covers, as runs under each other with an empty name."""
    taken = {at for field in known for at in field.cells()}
    hidden = {(r, c) for top, left, bottom, right in sheet.merges for r in range(top, bottom + 1)
              for c in range(left, right + 1)} - {(top, left) for top, left, _, _ in sheet.merges}
    free = sorted((col, row) for (row, col), cell in sheet.cells.items()
                  if is_input(cell.style) and not cell.formula and (row, col) not in taken and (row, col) not in hidden)
    runs: list[Field] = []
    for col, row in free:
        last = runs[-1] if runs else None
        if last and last.first[1] == col and last.first[0] + last.count == row:
            runs[-1] = Field("", last.first, last.count + 1)
        else:
            runs.append(Field("", (row, col)))
    return runs


def fields_by_sheet(sheets: Sequence[Sheet], recipes: Sequence[RecipeSheet], cards: Sequence[str],
                    kitchen: Kitchen) -> Mapping[str, list[Field]]:
    """Named fields of every sheet that has some, by tab; ``cards`` are the tabs of cards."""
    found = {r.sheet.name: recipe_fields(r, kitchen) for r in recipes}
    found |= {tab: [Field(CARD_CHOICES, (INPUT, CHOICES))] for tab in cards}
    for sheet in sheets:
        if sheet.name == "Start":
            found[sheet.name] = setting_fields(sheet)
        elif sheet.name == "Own foods":
            found[sheet.name] = own_food_fields(kitchen)
        elif sheet.name == "Own measures":
            found[sheet.name] = own_measure_fields()
        elif sheet.name == "Labels":
            found[sheet.name] = label_fields(kitchen)
        elif sheet.name == "Prices":
            found[sheet.name] = price_fields(kitchen)
    return found
