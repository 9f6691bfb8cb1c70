"""Foods as text for the terminal: search both tables by words, print one row with its provenance."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.catalogue.folders import open_table
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.search import Hit, find_foods
from workbookgen.catalogue.tables import load_nutrients
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food, FoodTable, ValueDetail
from workbookgen.model.tables import Nutrient

KITCHEN, WHOLE = "kitchen", "usda"
MOST_FOUND = 12
MOST_NEAR = 3
#: Columns of the list of foods found: name, table, state, energy.
NAME_WIDTH, TABLE_WIDTH, STATE_WIDTH = 62, 9, 8
LABEL_WIDTH, VALUE_WIDTH, UNIT_WIDTH = 32, 10, 5


def find_text(words: str, other: str = "") -> str:
    """Foods that fit the typed words, best first: the kitchen's, then those of the whole table.

    ``other`` searches one table alone. Raises `BadInput` when nothing fits.
    """
    tables = [other] if other else [KITCHEN, WHOLE]
    lines: list[str] = []
    seen: set[str] = set()
    for name in tables:
        hits = find_foods(open_table(name)[0].foods, words, MOST_FOUND)
        fresh = [hit for hit in hits if hit.food.id not in seen]
        seen |= {hit.food.id for hit in fresh}
        lines += [_line(hit, name) for hit in fresh]
    if not lines:
        raise BadInput("foods find", f'no food fits "{words}"; type fewer letters or another word')
    head = f"{'Food':<{NAME_WIDTH}} {'table':<{TABLE_WIDTH}} {'state':<{STATE_WIDTH}} kcal per 100 g"
    return "\n".join([head, *lines])


def _line(hit: Hit, table: str) -> str:
    food = hit.food
    kcal = food.values.get("ENERC_KCAL")
    name = food.name if len(food.name) <= NAME_WIDTH else food.name[: NAME_WIDTH - 1] + "…"
    amount = "?" if kcal is None else f"{kcal:g}"
    return f"{name:<{NAME_WIDTH}} {table[-TABLE_WIDTH:]:<{TABLE_WIDTH}} {food.state:<{STATE_WIDTH}} {amount}"


def show_text(name: str, other: str = "") -> str:
    """One food with what is known of it: words, figures with data points and range, measures, source.

    ``name`` is the kitchen name (capitals ignored), the id or the source's number. The kitchen is asked
    before the whole table. Raises `BadInput` with the nearest names when there is none.
    """
    wanted = name.strip().casefold()
    tables = [open_table(table)[0] for table in ([other] if other else [KITCHEN, WHOLE])]
    for table in tables:
        for food in table.foods:
            if wanted in (food.name.casefold(), food.id.casefold(), food.source_number.casefold()):
                return "\n".join(_rows(food, table, load_nutrients(data_path())))
    near = _nearest(tables, name.split())
    what = f"nearest: {'; '.join(near)}" if near else "foods find TEXT searches"
    raise BadInput("foods show", f'there is no food "{name}"; {what}')


def _nearest(tables: Sequence[FoodTable], words: Sequence[str]) -> list[str]:
    """Names that fit as many of the first words as any does."""
    for count in range(len(words), 0, -1):
        typed = " ".join(words[:count])
        near = [hit.food.name for table in tables for hit in find_foods(table.foods, typed, MOST_NEAR)]
        if near:
            return list(dict.fromkeys(near))
    return []


def _rows(food: Food, table: FoodTable, nutrients: Sequence[Nutrient]) -> list[str]:
    by_id = {other.id: other for other in table.foods}
    cooked = by_id.get(food.counterpart_id)
    facts = (
        ("table", table.name),
        ("id", food.id),
        ("source", f"{food.source_id} {food.source_number}: {food.source_description}"),
        ("group, state, role", f"{food.group}, {food.state}, {food.role}"),
        ("cooked form", cooked.name if cooked else ""),
        ("retention group", food.keep_group),
        ("synonyms", food.synonyms),
        ("refuse", f"{food.refuse_pct:g} % {food.refuse_what}".strip() if food.refuse_pct else ""),
        ("weight", f"{food.g_per_ml:.4g} g per mL" if food.g_per_ml else ""),
        ("allergens", food.allergens),
        ("made from", food.diet),
        ("salt, sugar ingredient", f"{food.salt_ingredient}, {food.sugar_ingredient}"),
        ("cautions", food.cautions),
        ("how known", food.provenance),
    )
    lines = [food.name, *(f"  {label:<{LABEL_WIDTH}} {text}" for label, text in facts if text)]
    lines.append("Per 100 g edible portion (? = unknown; n = data points)")
    lines += [_value(food, nutrient, table.details.get((food.id, nutrient.tag))) for nutrient in nutrients]
    measures = [m for m in table.measures if m.food_id == food.id]
    lines.append("Household measures" if measures else "No household measures")
    lines += [
        f"  {m.unit:<{LABEL_WIDTH}} {m.grams:>{VALUE_WIDTH}.5g} g  {m.source_id}"
        + (f"  ({m.note})" if m.note else "")
        for m in measures
    ]
    return lines


def _value(food: Food, nutrient: Nutrient, detail: ValueDetail | None) -> str:
    value = food.values.get(nutrient.tag)
    amount = "?" if value is None else f"{value:g}"
    text = f"  {nutrient.name:<{LABEL_WIDTH}} {amount:>{VALUE_WIDTH}} {nutrient.unit if value is not None else '':<{UNIT_WIDTH}}"
    if detail is not None:
        text += f" n {detail.points}"
        text += f", se {detail.standard_error:g}" if detail.standard_error is not None else ""
        if detail.minimum is not None and detail.maximum is not None:
            text += f", {detail.minimum:g} to {detail.maximum:g}"
        text += f", source code {detail.source_code}" if detail.source_code else ""
    return text.rstrip()
