"""What a recipe folder holds beside recipes: own foods and measures, labels, prices, settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from workbookgen.catalogue.csvread import Row, csv_records, only_once, read_rows
from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.model.analysis import Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food
from workbookgen.model.pack import KINDS, MOST_WORDS, Pack, PackRules
from workbookgen.model.programme import MOST_PER_100G, TRIMMED, WHOLE, OwnMeasure, Price, Programme
from workbookgen.model.tables import Tables
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.markers import NOTHING
from workbookgen.nutrition.pack import (
    ALLERGENS,
    FLESH,
    allergen_marks,
    daily_values,
    declared_tags,
    less_than_value,
)
from workbookgen.nutrition.programme import stated_limits
from workbookgen.recipes.load import SETTINGS_FILE
from workbookgen.recipes.source import parse_toml, read_text
from workbookgen.recipes.text import listed, nearest

OWN_FOODS, OWN_MEASURES, LABELS, PRICES = "own_foods.csv", "own_measures.csv", "labels.csv", "prices.csv"
MOST_OWN_FOODS, MOST_OWN_MEASURES, MOST_LABELS, MOST_PRICES = 20, 40, 30, 400
OWN_ID = "own"
PROGRAMME_TARGETS = "programme_targets"
WORKED_OUT = ("FOL", "FOLDFE", "NIAEQ")
LONGEST_NAME = 60
_KNOWN = ("yes", "no", "unknown", "")
_YES_NO = ("yes", "no", "")
FOOD_WORDS = (
    "group", "state", "role", "cooks_like", "refuse_pct", "g_per_ml", "contains", "checked", "cautions",
    "made_from", "salt_ingredient", "sugar_ingredient", "source",
)  # fmt: skip
LABEL_WORDS = (
    "serving_amount", "serving_unit", "words", "compare", "kind", "reference", "contains", "checked", "salt", "sugar",
    "fat", "group", "state", "role", "cooks_like", "made_from",
)  # fmt: skip
_HIGHEST = 1e7
NO_CAUTION = "none"


def load_programme(folder: Path, kitchen: Kitchen) -> Programme:
    """Everything of ``folder`` but its recipes; files that are absent bring nothing.

    Raises ``BadInput`` naming file, row and mend.
    """

    def path(name: str) -> Path | None:
        return folder / name if (folder / name).is_file() else None

    own = path(OWN_FOODS)
    foods = load_own_foods(own, kitchen) if own else ()
    labels = path(LABELS)
    packs = load_labels(labels, kitchen) if labels else ()
    _no_name_twice(folder, kitchen, foods, packs)
    measures, prices, settings = path(OWN_MEASURES), path(PRICES), path(SETTINGS_FILE)
    return Programme(
        own_foods=foods,
        own_measures=load_own_measures(measures) if measures else (),
        packs=packs,
        prices=load_prices(prices) if prices else (),
        settings=load_settings(settings, kitchen.tables) if settings else {},
    )


def join(programmes: Sequence[Programme]) -> Programme:
    """One programme from several folders; later settings win."""
    settings: dict[str, str | float] = {}
    for programme in programmes:
        settings |= programme.settings
    return Programme(
        tuple(f for p in programmes for f in p.own_foods),
        tuple(m for p in programmes for m in p.own_measures),
        tuple(k for p in programmes for k in p.packs),
        tuple(x for p in programmes for x in p.prices),
        settings,
    )


def _rows(path: Path, needed: Sequence[str], optional: Sequence[str], most: int) -> list[Row]:
    """Rows of a table whose optional columns may be left out; absent cells read as empty."""
    header = _header(path)
    unknown = [name for name in header if name not in (*needed, *optional)]
    if unknown:
        near = nearest(unknown[0], [*needed, *optional], 3, 0.0)
        raise BadInput(path.name, f"the column '{unknown[0]}' is not known; nearest: {listed(near)}")
    missing = [name for name in needed if name not in header]
    if missing:
        raise BadInput(path.name, f"the header lacks '{missing[0]}'; add the column")
    empty = dict.fromkeys((*needed, *optional), "")
    rows = [Row(r.file, r.number, empty | dict(r.cells)) for r in read_rows(path, header)]
    if len(rows) > most:
        raise rows[most].bad(f"the workbook has room for {most} rows of this table; take rows out")
    return rows


def _header(path: Path) -> list[str]:
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(path.name, "cannot be read; save it as CSV UTF-8") from error
    head = next((line for line in lines if line.strip() and not line.lstrip('"').startswith("#")), "")
    return [cell.strip() for cell in next(csv_records([head], path.name), [])]


def _name(row: Row, column: str = "name") -> str:
    """A name that fits the workbook: short, without the signs that a look-up takes for wildcards."""
    name = " ".join(row.text(column).split())
    if len(name) > LONGEST_NAME:
        raise row.bad(f"'{column}' has {len(name)} letters; at most {LONGEST_NAME} fit")
    if any(sign in name for sign in "*?~"):
        raise row.bad(f"'{column}' holds * ? or ~, which look-ups misread; take them out")
    return name


def _allergens(row: Row) -> tuple[str, ...]:
    """Allergens in words; raises for a word that is none."""
    known = {a.replace("_", ""): a for a in ALLERGENS}
    words = [w.strip() for w in row.cells["contains"].replace(";", ",").split(",") if w.strip()]
    for word in words:
        if word.lower().replace(" ", "").replace("_", "") not in known:
            raise row.bad(
                f"'contains' names '{word}', which is no allergen of the list: {listed(list(known))}"
            )
    return tuple(known[w.lower().replace(" ", "").replace("_", "")] for w in words)


def _cautions(row: Row, known: Sequence[str]) -> str:
    """Caution marks in words; empty when nobody looked, "-" for none; raises for a word that is no mark."""
    words = [w.strip().lower().replace(" ", "_") for w in row.cells["cautions"].replace(";", ",").split(",") if w.strip()]
    if words == [NO_CAUTION]:
        return NOTHING
    for word in words:
        if word not in known:
            raise row.bad(f"'cautions' names '{word}', which is no caution of the list: none; {listed(list(known))}")
    return ";".join(mark for mark in known if mark in words)


class _Words:
    """The words the food table uses in its columns."""

    def __init__(self, kitchen: Kitchen) -> None:
        foods = kitchen.fixed_foods
        self.groups = ("", *sorted({f.group for f in foods}))
        self.states = ("", *sorted({f.state for f in foods}))
        self.roles = ("", *sorted({f.role for f in foods}))
        self.keeps = ("", *sorted({f.keep_group for f in foods} | {"none"}))

    def read(self, row: Row) -> dict[str, Any]:
        return {
            "group": row.choice("group", self.groups),
            "state": row.choice("state", self.states) or "ready",
            "role": row.choice("role", self.roles) or "seasoning",
            "keep_group": row.choice("cooks_like", self.keeps) or "none",
        }


def load_own_foods(path: Path, kitchen: Kitchen) -> tuple[Food, ...]:
    """Foods per 100 g edible portion; an empty nutrient is unknown, 0 a known zero."""
    tags = [n.tag for n in kitchen.tables.nutrients if n.tag not in WORKED_OUT]
    words = _Words(kitchen)
    rows = _rows(path, ("name",), (*FOOD_WORDS, *tags), MOST_OWN_FOODS)
    constants, units = kitchen.constants, {n.tag: n.unit for n in kitchen.tables.nutrients}
    foods = []
    for number, row in enumerate(rows, 1):
        diet = ", ".join(
            w.strip().lower() for w in row.cells["made_from"].replace(";", ",").split(",") if w.strip()
        )
        flesh = any(word in diet for word in FLESH)
        values = {tag: row.number_or_none(tag, 0, MOST_PER_100G[units[tag]]) for tag in tags}
        foods.append(Food(
            id=f"{OWN_ID}{number}", name=_name(row), **words.read(row),
            values={tag: v for tag, v in values.items() if v is not None},
            source_number=f"{OWN_ID} {number}", source_description=row.cells["source"],
            refuse_pct=row.number_or_none("refuse_pct", 0, constants["refuse_max"]) or 0.0,
            g_per_ml=row.number_or_none("g_per_ml", constants["density_min"], constants["density_max"]),
            mfp=flesh, heme=flesh, diet=diet.replace(", ", ";") or "?",
            allergens=allergen_marks(_allergens(row), row.choice("checked", _YES_NO) == "yes"),
            cautions=_cautions(row, kitchen.safety.line_marks),
            salt_ingredient=row.choice("salt_ingredient", _KNOWN) or "unknown",
            sugar_ingredient=row.choice("sugar_ingredient", _KNOWN) or "unknown", own=True,
        ))  # fmt: skip
    return tuple(foods)


def load_own_measures(path: Path) -> tuple[OwnMeasure, ...]:
    """Units weighed by the programme: food, unit, grams of one."""
    rows = _rows(path, ("food", "unit", "grams"), (), MOST_OWN_MEASURES)
    only_once(rows, "food", "unit")
    return tuple(OwnMeasure(_name(r, "food"), _name(r, "unit"), r.positive("grams")) for r in rows)


def load_prices(path: Path) -> tuple[Price, ...]:
    """What was paid for an amount of a food."""
    rows = _rows(path, ("food", "price", "amount", "unit"), ("note", "sold_as", "pantry_g"), MOST_PRICES)
    only_once(rows, "food")
    return tuple(
        Price(
            _name(r, "food"),
            r.number_in("price", 0, _HIGHEST),
            r.positive("amount"),
            r.text("unit"),
            r.cells["note"],
            r.choice("sold_as", ("", WHOLE, TRIMMED)) or WHOLE,
            r.number_or_none("pantry_g", 0, _HIGHEST) or 0.0,
        )
        for r in rows
    )


def load_labels(path: Path, kitchen: Kitchen) -> tuple[Pack, ...]:
    """Packaged products: declared amounts by tag, printed per cent Daily Value by ``%`` and tag."""
    tables = kitchen.tables
    tags = declared_tags(tables)
    percents = [tag for tag in tags if tag in daily_values(tables)]
    optional = (*LABEL_WORDS, *tags, *("%" + tag for tag in percents))
    rows = _rows(path, ("name", "serving_g"), optional, MOST_LABELS)
    words = _Words(kitchen)
    return tuple(_label(row, kitchen, words, tags, percents) for row in rows)


def _label(row: Row, kitchen: Kitchen, words: _Words, tags: Sequence[str], percents: Sequence[str]) -> Pack:
    raccs = {r.id: r.id for r in kitchen.tables.claims.raccs} | {
        r.category: r.id for r in kitchen.tables.claims.raccs}  # fmt: skip
    reference = row.cells["reference"]
    if reference and reference not in raccs:
        raise row.bad(
            f"reference '{reference}' is no category; nearest: {listed(nearest(reference, list(raccs), 3, 0.0))}"
        )
    most = kitchen.constants["pack_serving_max"] / 100
    units = {n.tag: n.unit for n in kitchen.tables.nutrients}
    amounts = {tag: _declared(row, tag, kitchen.tables, MOST_PER_100G[units[tag]] * most) for tag in tags}
    shown = {tag: row.number_or_none("%" + tag, 0, kitchen.constants["pack_percent_max"]) for tag in percents}
    diet = ";".join(
        w.strip().lower() for w in row.cells["made_from"].replace(";", ",").split(",") if w.strip()
    )
    return Pack(
        name=_name(row), serving_g=row.number_in("serving_g", kitchen.constants["amount_min"], kitchen.constants["pack_serving_max"]),
        serving_amount=row.number_or_none("serving_amount", kitchen.constants["amount_min"], kitchen.constants["amount_max"]), serving_unit=_name(row, "serving_unit") if row.cells["serving_unit"] else "",
        amounts={tag: v for tag, v in amounts.items() if v is not None},
        percents={tag: v for tag, v in shown.items() if v is not None},
        words=_pack_words(row, kitchen.pack_rules), compare=row.cells["compare"],
        kind=row.choice("kind", ("", *KINDS)) or "food", reference=raccs.get(reference, ""),
        contains=_allergens(row), checked=row.choice("checked", _YES_NO) == "yes",
        salt=row.choice("salt", _KNOWN) or "unknown", sugar=row.choice("sugar", _KNOWN) or "unknown",
        fat=row.choice("fat", _KNOWN) or "unknown", diet=diet, **words.read(row),
    )  # fmt: skip


def _declared(row: Row, tag: str, tables: Tables, most: float) -> float | None:
    """A declared amount; "<1" and "less than 1" stand for the middle of what they allow."""
    text = row.cells[tag].lower().replace(" ", "").replace("lessthan", "<")
    rule = tables.rounding.get(tag)
    if rule is not None and text.startswith("<"):
        middle = less_than_value(rule)
        if middle is None or text != f"<{rule.text_amount:g}":
            raise row.bad(f"'{tag}' is '{row.cells[tag]}'; write the number of the label")
        return middle
    return row.number_or_none(tag, 0, most)


def _pack_words(row: Row, rules: PackRules) -> tuple[str, ...]:
    """Words of the front of the pack by id or as the list words them."""
    by_word = {w.id: w.id for w in rules.words} | {w.words: w.id for w in rules.words}
    found = row.items("words")
    for word in found:
        if word not in by_word:
            near = listed(nearest(word, [w.words for w in rules.words], 3, 0.0))
            raise row.bad(f"'words' names '{word}', which has no definition here; nearest: {near}")
    if len(found) > MOST_WORDS:
        raise row.bad(f"'words' names {len(found)} words; at most {MOST_WORDS} fit")
    return tuple(by_word[word] for word in found)


def load_settings(path: Path, tables: Tables) -> dict[str, str | float]:
    """Settings a folder states: keys of ``Settings`` with their limits."""
    data = parse_toml(read_text(path), path.name)
    kinds = {f.name: f for f in fields(Settings)}
    found: dict[str, str | float] = {}
    for key, value in data.items():
        if key not in kinds:
            raise BadInput(
                path.name,
                f"there is no setting '{key}'; nearest: {listed(nearest(key, list(kinds), 3, 0.0))}",
            )
        if key in ("reference_set", "plate_model"):
            ids = (
                [s.id for s in tables.reference_sets]
                if key == "reference_set"
                else [m.id for m in tables.plate_models]
            )
            if value not in ids:
                raise BadInput(path.name, f"{key} = {value!r} is not known; use {listed(ids)}")
            found[key] = str(value)
        elif key == PROGRAMME_TARGETS:
            if not isinstance(value, str):
                raise BadInput(path.name, f'{key} = {value!r} is no text; write it like "sodium = 500; protein = none"')
            stated_limits(value, load_programme_rules(), path.name)
            found[key] = value
        elif isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 100:
            raise BadInput(path.name, f"{key} = {value!r} is no number from 0 to 100; mend it")
        else:
            found[key] = float(value)
    return found


def _no_name_twice(folder: Path, kitchen: Kitchen, foods: Sequence[Food], packs: Sequence[Pack]) -> None:
    """Names of labels and own foods must be new: a look-up finds the first of a name."""
    taken: Mapping[str, str] = {f.name.lower(): "the food table" for f in kitchen.fixed_foods}
    seen = dict(taken)
    for file, names in ((LABELS, [p.name for p in packs]), (OWN_FOODS, [f.name for f in foods])):
        for name in names:
            if name.lower() in seen:
                raise BadInput(
                    f"{folder.name}/{file}",
                    f"'{name}' is already a name in {seen[name.lower()]}; choose another",
                )
            seen[name.lower()] = file
