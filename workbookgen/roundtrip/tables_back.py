"""Own foods, own measures, labels, prices and settings of a workbook back to the files of a recipe folder.

The loaders of the folder judge what was typed: a cell they would refuse is taken out of its row and left over,
a row that cannot stand without it is left over whole.
"""

from __future__ import annotations

import csv
import io
import json
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.programme import NONE, stated_limits
from workbookgen.recipes.folder import (
    LABELS,
    OWN_FOODS,
    OWN_MEASURES,
    PRICES,
    load_labels,
    load_own_foods,
    load_own_measures,
    load_prices,
)
from workbookgen.recipes.text import clean
from workbookgen.roundtrip.recipe_back import Part
from workbookgen.roundtrip.record import Plain
from workbookgen.roundtrip.words import Taken, number_text, same, shown, typed_number
from workbookgen.workbook.record_fields import LABEL, OWN_FOOD, OWN_MEASURE, PRICED, PROGRAMME, SETTING
from workbookgen.workbook.record_sheet import PRICE_COLUMNS

#: Columns of the files by field where the names differ.
FOOD_COLUMNS = {
    "name": "name", "group": "group", "state": "state", "role": "role", "keep": "cooks_like", "refuse": "refuse_pct",
    "dens": "g_per_ml", "contains": "contains", "checked": "checked", "cautions": "cautions", "diet": "made_from", "salt": "salt_ingredient",
    "sweet": "sugar_ingredient", "source": "source",
}  # fmt: skip
LABEL_COLUMNS = {
    "name": "name", "s_amount": "serving_amount", "s_unit": "serving_unit", "s_g": "serving_g", "compare": "compare",
    "kind": "kind", "reference": "reference", "salt": "salt", "sugar": "sugar", "fat": "fat", "contains": "contains",
    "checked": "checked", "diet": "made_from", "group": "group", "state": "state", "role": "role", "keep": "cooks_like",
}  # fmt: skip
_WORDS = "words"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table row with its column in the file."""

    column: str
    value: Plain
    at: str
    field: str


Row = list[Cell]
Load = Callable[[Path], object]


def own_foods_text(parts: Mapping[str, Part], kitchen: Kitchen, taken: Taken) -> str:
    """The table of own foods, "" when there are none."""
    columns = {key: FOOD_COLUMNS.get(key, key) for key in _keys(parts, OWN_FOOD)}
    return _table(_rows(parts, OWN_FOOD, columns), OWN_FOODS, lambda path: load_own_foods(path, kitchen), ("name",), taken)


def labels_text(parts: Mapping[str, Part], kitchen: Kitchen, taken: Taken) -> str:
    """The table of packaged products; words of the front of the pack join in one cell."""
    columns = {}
    for key in _keys(parts, LABEL):
        columns[key] = (_WORDS if key.startswith("w") and key[1:].isdigit() else "%" + key[3:] if key.startswith("ip_")
                        else key[2:] if key.startswith("i_") else LABEL_COLUMNS.get(key, key))
    rows = [_words_joined(row) for row in _rows(parts, LABEL, columns)]
    return _table(rows, LABELS, lambda path: load_labels(path, kitchen), ("name", "serving_g"), taken)


def own_measures_text(parts: Mapping[str, Part], taken: Taken) -> str:
    """The table of own measures."""
    columns = {key: key for key in _keys(parts, OWN_MEASURE)}
    needed = ("food", "unit", "grams")
    return _table(_rows(parts, OWN_MEASURE, columns), OWN_MEASURES, load_own_measures, needed, taken, unique=("food", "unit"))


def prices_text(parts: Mapping[str, Part], built: str, taken: Taken) -> str:
    """The table of prices: rows as the file had them where nothing was typed, packages in grams elsewhere."""
    if not parts:
        return built
    old = list(csv.DictReader(io.StringIO(built))) if built else []
    columns = {"food": "food", "package": "amount", "price": "price", "pantry": "pantry_g", "sold_as": "sold_as", "note": "note"}
    rows: list[Row] = []
    for i, row in enumerate(_rows(parts, PRICED, columns, keep_empty=True)):
        changed = any(not same(p.now[i], p.built[i]) for p in parts.values())
        if i < len(old) and not changed:
            rows.append([Cell(c, old[i].get(c) or None, row[0].at, "") for c in PRICE_COLUMNS])
        elif any(c.value is not None for c in row):
            rows.append([*row, Cell("unit", "g", row[0].at, "")])
    needed = ("food", "price", "amount", "unit")
    return _table(rows, PRICES, load_prices, needed, taken, PRICE_COLUMNS, unique=("food",))


def settings_text(parts: Mapping[str, Part], defaults: Mapping[str, str | float], kitchen: Kitchen, taken: Taken,
                  built: Mapping[str, str | float]) -> str:
    """settings.toml with what differs from the built-in settings, "" when nothing does. ``built`` are the settings
    the workbook was built with; an input that cannot be read keeps its built one."""
    names = {s.name: s.id for s in kitchen.tables.reference_sets} | {m.name: m.id for m in kitchen.tables.plate_models}
    found: dict[str, str | float] = dict(built)
    for key, part in parts.items():
        name = key.removeprefix(SETTING)
        if not key.startswith(SETTING) or key.startswith(PROGRAMME) or not part.changed:
            continue
        value, default = part.now[0], defaults[name]
        if isinstance(default, str):
            word = taken.word(part.at[0], name, value, names, "", "?")
            found[name] = found[name] if word == "?" else names[word] if word else default
        else:
            number = taken.number(part.at[0], name, value, 0, 100, float(found[name]))
            found[name] = default if number is None else number
    found["programme_targets"] = programme_text(parts, str(found.get("programme_targets", "")), kitchen, taken)
    lines = [f"{name} = {json.dumps(value, ensure_ascii=False)}" if isinstance(value, str) else f"{name} = {number_text(float(value))}"
             for name, value in found.items() if value != defaults.get(name, "")]
    return "\n".join(lines) + "\n" if lines else ""


def programme_text(parts: Mapping[str, Part], built: str, kitchen: Kitchen, taken: Taken) -> str:
    """Limits of the programme's targets that are not those of the table, as settings.toml states them."""
    typed = {key.removeprefix(PROGRAMME): part for key, part in parts.items() if key.startswith(PROGRAMME)}
    if not any(part.changed for part in typed.values()):
        return built
    rules = load_programme_rules()
    before = stated_limits(built, rules, "Start")
    stated = []
    for target in rules.targets:
        limit, part = before.get(target.id, target.value), typed.get(target.id)
        if part is not None and part.changed:
            most = kitchen.constants["programme_target_max"]
            limit = taken.number(part.at[0], PROGRAMME + target.id, part.now[0], 0, most, limit)
        if limit != target.value:
            stated.append(f"{target.id} = {NONE if limit is None else number_text(limit)}")
    return "; ".join(stated)


def _keys(parts: Mapping[str, Part], prefix: str) -> list[str]:
    return [key.removeprefix(prefix) for key in parts if key.startswith(prefix)]


def _rows(parts: Mapping[str, Part], prefix: str, columns: Mapping[str, str], keep_empty: bool = False) -> list[Row]:
    if not columns:
        return []
    count = len(parts[prefix + next(iter(columns))].now)
    rows = [[Cell(column, parts[prefix + key].now[i], parts[prefix + key].at[i], prefix + key) for key, column in columns.items()]
            for i in range(count)]
    return rows if keep_empty else [row for row in rows if any(c.value is not None for c in row)]


def _words_joined(row: Row) -> Row:
    words = [c for c in row if c.column == _WORDS and c.value is not None]
    rest = [c for c in row if c.column != _WORDS]
    return rest + ([Cell(_WORDS, "; ".join(clean(shown(c.value)) for c in words), words[0].at, words[0].field)] if words else [])


def _table(rows: Sequence[Row], name: str, load: Load, needed: Sequence[str], taken: Taken, columns: Sequence[str] = (),
           unique: Sequence[str] = ("name",)) -> str:
    """Rows that the loader takes, as the text of the file."""
    kept: list[dict[str, str]] = []
    seen: set[tuple[str, ...]] = set()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        for row in rows:
            cells = _usable(row, path, load, needed, taken)
            key = tuple(cells.get(c, "").casefold() for c in unique) if cells else ()
            if cells and key in seen:
                _leave_row(row, taken, "the same name stands above; the first one counts")
            elif cells:
                seen.add(key)
                kept.append(cells)
    used = list(columns) or list(dict.fromkeys(c for cells in kept for c in cells))
    return _csv(used, kept) if kept else ""


def _usable(row: Row, path: Path, load: Load, needed: Sequence[str], taken: Taken) -> dict[str, str]:
    """Cells of a row without those that the loader refuses; {} when it cannot stand at all."""
    cells = {c.column: _cell_text(c.value) for c in row if c.value is not None}
    by_column = {c.column: c for c in row}
    while True:
        fault = _fault(cells, path, load, needed)
        if not fault:
            return cells
        guilty = next((c for c in cells if c not in needed and _fault(cells, path, load, needed, without=c) != fault), None)
        if guilty is None:
            _leave_row(row, taken, fault)
            return {}
        cell = by_column[guilty]
        taken.leave(cell.at, cell.field, cell.value, fault)
        del cells[guilty]


def _fault(cells: Mapping[str, str], path: Path, load: Load, needed: Sequence[str], without: str = "") -> str:
    tried = {c: v for c, v in cells.items() if c != without}
    for column in needed:
        if not tried.get(column):
            return f"'{column}' is empty"
    path.write_text(_csv(list(tried), [tried]), encoding="utf-8")
    try:
        load(path)
    except BadInput as error:
        return error.what
    return ""


def _leave_row(row: Row, taken: Taken, why: str) -> None:
    for cell in row:
        if cell.value is not None and cell.field:
            taken.leave(cell.at, cell.field, cell.value, why)


def _cell_text(value: Plain) -> str:
    if isinstance(value, str):
        number = None if value.strip()[:1].isalpha() else typed_number(value)
        return clean(value) if number is None else value.strip()
    return shown(value)


def _csv(columns: Sequence[str], rows: Sequence[Mapping[str, str]]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\n", extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
