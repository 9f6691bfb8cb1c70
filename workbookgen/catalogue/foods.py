"""The food tables: the kitchen catalogue and USDA's whole table, read and checked row by row."""

from __future__ import annotations

import io
import lzma
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Literal

from workbookgen.catalogue.csvread import csv_records
from workbookgen.catalogue.food_words import FoodWords, load_food_words
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.food import Food, FoodTable, Measure, ValueDetail

Which = Literal["kitchen", "usda"]

FOOD_FIELDS = tuple(f.name for f in fields(Food) if f.name not in ("values", "own", "known"))
MEASURE_FIELDS = ("food_id", "unit", "grams", "number", "source_id", "note")
DETAIL_FIELDS = ("food_id", "tag", "points", "standard_error", "minimum", "maximum", "source_code")
OPTIONAL_NUMBERS = ("g_per_ml", "cup_eq_g", "oz_eq_g", "whole_grain_pct", "digestibility", "nitrogen_factor")
YES_NO = {"yes": True, "no": False, "": False}
MOST_ERRORS = 20
# file of foods, file of measures, title of the table
FILES: Mapping[str, tuple[str, str, str]] = {
    "kitchen": ("foods.csv", "measures.csv", "Kitchen catalogue"),
    "usda": (
        "usda_sr28.csv.xz",
        "usda_sr28_measures.csv.xz",
        "USDA National Nutrient Database for Standard Reference, Release 28 (2015)",
    ),
}
DETAILS_FILE = "food_values.csv"


def load_foods(which: Which = "kitchen", data: Path | None = None) -> FoodTable:
    """Read the kitchen catalogue (``"kitchen"``) or USDA's whole table (``"usda"``).

    Values are per 100 g edible portion in the units of ``nutrients.csv``; a blank cell is unknown. Raises
    `BadInputs` with a sentence for each faulty row (at most `MOST_ERRORS`). Value details are left out;
    `load_details` reads them.
    """
    folder = data or data_path()
    if which not in FILES:
        raise BadInput("foods", f'there is no food table "{which}"; use {" or ".join(FILES)}')
    foods_file, measures_file, title = FILES[which]
    words = load_food_words(folder, whole_table=which == "usda")
    foods = read_foods(folder / foods_file, words)
    measures = read_measures(folder / measures_file, foods)
    return FoodTable(title, foods, measures)


def read_foods(path: Path, words: FoodWords) -> tuple[Food, ...]:
    """Read one food file; its columns are `FOOD_FIELDS` and the nutrient tags, in any order."""
    table = _table(path)
    header = next(table, [])
    where = {name: i for i, name in enumerate(header)}
    missing = [name for name in (*FOOD_FIELDS, *words.most) if name not in where]
    if missing:
        raise BadInput(path.name, f"lacks the columns {', '.join(missing)}")
    reader = _FoodReader(path.name, where, words, {tag: where[tag] for tag in words.most})
    foods: list[Food] = []
    errors: list[BadInput] = []
    for number, cells in enumerate(table, start=2):
        try:
            if len(cells) != len(header):
                raise BadInput(
                    f"{path.name} row {number}", f"has {len(cells)} cells, the header {len(header)}"
                )
            foods.append(reader.food(number, cells))
        except BadInput as error:
            errors.append(error)
    errors += _repeats(path.name, foods)
    if errors:
        raise BadInputs(errors[:MOST_ERRORS])
    if not foods:
        raise BadInput(path.name, "holds no food")
    return tuple(foods)


def read_measures(path: Path, foods: Sequence[Food]) -> tuple[Measure, ...]:
    """Read one measure file: grouped by food in the order of ``foods``, numbered from 1 in each."""
    order = {food.id: i for i, food in enumerate(foods)}
    table = _table(path)
    header = next(table, [])
    if tuple(header) != MEASURE_FIELDS:
        raise BadInput(path.name, f"must have the columns {', '.join(MEASURE_FIELDS)}")
    measures: list[Measure] = []
    errors: list[BadInput] = []
    last, count = -1, 0
    seen: set[tuple[str, str]] = set()
    for number, cells in enumerate(table, start=2):
        place = f"{path.name} row {number}"
        try:
            food_id, unit, grams, running, source, note = cells
        except ValueError:
            errors.append(BadInput(place, f"has {len(cells)} cells where {len(MEASURE_FIELDS)} belong"))
            continue
        position = order.get(food_id, -1)
        weight = _amount(grams)
        key = (food_id, unit.casefold())
        count = count + 1 if position == last else 1
        if position < 0:
            errors.append(BadInput(place, f'there is no food with the id "{food_id}"'))
        elif position < last:
            errors.append(BadInput(place, "stands out of order; sort measures as the foods are sorted"))
        elif not unit or key in seen:
            errors.append(BadInput(place, f'unit "{unit}" is blank or given twice for {food_id}'))
        elif weight is None or weight == 0:
            errors.append(BadInput(place, f'grams "{grams}" must be a number above 0'))
        elif running != str(count):
            errors.append(BadInput(place, f'number "{running}" should be {count}'))
        else:
            measures.append(Measure(food_id, unit, weight, count, source, note))
        last = position
        seen.add(key)
    if errors:
        raise BadInputs(errors[:MOST_ERRORS])
    return tuple(measures)


def load_details(data: Path | None = None) -> dict[tuple[str, str], ValueDetail]:
    """Read what the source prints beside each value of the kitchen catalogue, by food id and tag."""
    return read_details((data or data_path()) / DETAILS_FILE)


def read_details(path: Path) -> dict[tuple[str, str], ValueDetail]:
    """Read one file of value details; its columns are `DETAIL_FIELDS`."""
    table = _table(path)
    if tuple(next(table, [])) != DETAIL_FIELDS:
        raise BadInput(path.name, f"must have the columns {', '.join(DETAIL_FIELDS)}")
    details: dict[tuple[str, str], ValueDetail] = {}
    for number, cells in enumerate(table, start=2):
        try:
            food_id, tag, points, error, low, high, code = cells
            details[food_id, tag] = ValueDetail(
                int(points),
                float(error) if error else None,
                float(low) if low else None,
                float(high) if high else None,
                code,
            )
        except ValueError as problem:
            raise BadInput(f"{path.name} row {number}", f"cannot be read ({problem})") from problem
    return details


def _table(path: Path) -> Iterator[list[str]]:
    """Rows of a CSV file, compressed when its name ends in ``.xz``."""
    try:
        content = path.read_bytes()
        text = (lzma.decompress(content) if path.suffix == ".xz" else content).decode("utf-8-sig")
    except FileNotFoundError as error:
        raise BadInput(path.name, "is missing; put it back or install the package again") from error
    except (lzma.LZMAError, UnicodeDecodeError) as error:
        raise BadInput(path.name, f"is damaged ({error}); install the package again") from error
    return csv_records(io.StringIO(text, newline=""), path.name)


def _amount(text: str) -> float | None:
    """Non-negative finite number, ``None`` when the text is none."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if 0 <= value < float("inf") and "_" not in text else None


def _repeats(file: str, foods: Sequence[Food]) -> list[BadInput]:
    """Errors for ids and names used twice and for counterparts that do not exist."""
    errors: list[BadInput] = []
    ids: set[str] = set()
    names: dict[str, str] = {}
    for food in foods:
        if food.id in ids:
            errors.append(BadInput(file, f'the id "{food.id}" is used twice; ids must differ'))
        ids.add(food.id)
        name = food.name.casefold()
        if name in names:
            errors.append(BadInput(file, f'"{food.name}" names both {names[name]} and {food.id}; rename one'))
        names.setdefault(name, food.id)
    errors += [
        BadInput(file, f'counterpart "{food.counterpart_id}" of "{food.name}" is not in the table')
        for food in foods
        if food.counterpart_id and food.counterpart_id not in ids
    ]
    return errors


@dataclass(frozen=True, slots=True)
class _FoodReader:
    """Turns the cells of one row into a food; ``where`` maps column names to positions."""

    file: str
    where: Mapping[str, int]
    words: FoodWords
    tags: Mapping[str, int]

    def food(self, number: int, cells: Sequence[str]) -> Food:
        """Read and check one row."""
        place = f"{self.file} row {number}"
        text = {name: cells[i].strip() for name, i in self.where.items() if name not in self.tags}
        text.pop("", None)
        for fault in self.words.faults(text):
            raise BadInput(place, fault)
        plain: dict[str, object] = {
            name: text[name]
            for name in FOOD_FIELDS
            if name not in OPTIONAL_NUMBERS and name not in ("mfp", "heme", "refuse_pct")
        }
        numbers = {name: self._number(place, name, text[name]) for name in OPTIONAL_NUMBERS}
        refuse = self._number(place, "refuse_pct", text["refuse_pct"]) or 0.0
        if refuse >= 100:
            raise BadInput(place, f"refuse_pct is {refuse:g}; it must stay below 100")
        flags = {name: YES_NO[text[name]] for name in ("mfp", "heme")}
        values = self._values(place, cells)
        return Food(**plain, **numbers, **flags, refuse_pct=refuse, values=values)  # type: ignore[arg-type]

    def _number(self, place: str, name: str, text: str) -> float | None:
        if not text:
            return None
        value = _amount(text)
        if value is None:
            raise BadInput(place, f'{name} is "{text}" where a number (0 or more) or a blank belongs')
        return value

    def _values(self, place: str, cells: Sequence[str]) -> dict[str, float]:
        values: dict[str, float] = {}
        most = self.words.most
        for tag, i in self.tags.items():
            text = cells[i]
            if text:
                value = _amount(text)
                if value is None:
                    raise BadInput(place, f'{tag} is "{text}" where a number (0 or more) or a blank belongs')
                if value > most[tag]:
                    raise BadInput(place, f"{tag} is {text} per 100 g; more than {most[tag]:g} cannot be")
                values[tag] = value
        return values
