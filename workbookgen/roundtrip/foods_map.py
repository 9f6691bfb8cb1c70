"""Which food of another table an ingredient of a workbook is: by id, never by likeness of names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from workbookgen.model.recipe import Change, IngredientLine, Recipe, Variant
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.verify.read import Book

_HEADS = ("Food", "Id", "Source number")


@dataclass(frozen=True, slots=True)
class FoodKey:
    """A fixed food of a workbook: its name there, its id and the number its source gives it."""

    name: str
    id: str
    number: str


@dataclass(frozen=True, slots=True)
class FoodMap:
    """``new`` maps names of the workbook (small letters) to names of the table; ``gone`` are names it lacks."""

    new: Mapping[str, str]
    gone: frozenset[str]

    def name(self, old: str) -> str:
        """The name in the new table; the old one where nothing is known."""
        return self.new.get(old.casefold(), old)


def foods_of(book: Book) -> list[FoodKey]:
    """Fixed foods on the sheet Foods, [] when it is missing or was changed beyond reading."""
    sheet = book.sheets.get("Foods")
    if sheet is None:
        return []
    for row in sorted({r for r, _ in sheet.values})[:20]:
        heads = {sheet.values.get((row, c)): c for c in range(1, 60)}
        if all(h in heads for h in _HEADS):
            break
    else:
        return []
    name, food_id, number = (heads[h] for h in _HEADS)
    keys = []
    for r in sorted({r for r, c in sheet.values if r > row and c == food_id}):
        if (r, name) not in sheet.formulas and isinstance(sheet.values.get((r, name)), str):
            keys.append(FoodKey(str(sheet.values[r, name]), _plain(sheet.values[r, food_id]), _plain(sheet.values.get((r, number)))))
    return keys


def _plain(value: object) -> str:
    return str(int(value)) if isinstance(value, float) and value.is_integer() else "" if value is None else str(value)


def map_foods(old: list[FoodKey], kitchen: Kitchen) -> FoodMap:
    """Each food of the workbook in the table: by id, else by its source's number."""
    by_id = {f.id: f.name for f in kitchen.fixed_foods}
    by_number = {f.source_number: f.name for f in kitchen.fixed_foods if f.source_number}
    found = {k.name.casefold(): by_id.get(k.id) or by_number.get(k.number) for k in old}
    return FoodMap({name: new for name, new in found.items() if new}, frozenset(name for name, new in found.items() if not new))


def renamed_recipe(recipe: Recipe, foods: FoodMap) -> Recipe:
    """The recipe with the names of the new table in lines, variants and choices."""
    settings = tuple((k, foods.name(v) if k.startswith("plate_mend_") else v) for k, v in recipe.settings)
    return replace(recipe, lines=tuple(_line(line, foods) for line in recipe.lines),
                   variants=tuple(_variant(v, foods) for v in recipe.variants), settings=settings)


def _line(line: IngredientLine, foods: FoodMap) -> IngredientLine:
    return replace(line, food=foods.name(line.food))


def _variant(variant: Variant, foods: FoodMap) -> Variant:
    return replace(variant, changes=tuple(_change(c, foods) for c in variant.changes))


def _change(change: Change, foods: FoodMap) -> Change:
    return replace(change, food=foods.name(change.food), with_food=foods.name(change.with_food) if change.with_food else "")


def renamed_table(text: str, column: str, foods: FoodMap) -> str:
    """A table of a folder with the new names in one column."""
    import csv
    import io

    rows = list(csv.DictReader(io.StringIO(text)))
    if not rows or column not in rows[0]:
        return text
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows({**row, column: foods.name(row[column])} for row in rows)
    return out.getvalue()
