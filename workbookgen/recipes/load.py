"""Recipe files (TOML) to recipes; ``templates/recipe.toml`` documents every key.

Nothing is computed and no food is looked up here: ``recipes.check`` does that with the tables.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.recipe import KINDS, LEGUMES_AS, Recipe, Review, Variant
from workbookgen.recipes import parts
from workbookgen.recipes.positions import find_positions
from workbookgen.recipes.reader import Reader
from workbookgen.recipes.source import parse_toml, read_text
from workbookgen.recipes.text import LONGEST_NAME, LONGEST_TITLE, Faults, shown

KEYS = (
    "title", "version", "servings", "makes_cups", "serving_cups", "serving_g", "serving", "cup_weight_g",
    "cooked_weight_g", "kind", "racc_g", "racc", "prep_minutes", "cook_minutes", "plate_model", "legumes_as",
    "soup", "component", "counts_as", "compare_with", "may_contain", "statements", "switches", "targets",
    "method", "storage", "review", "settings", "ingredient", "note", "variant",
)  # fmt: skip
SETTINGS_FILE = "settings.toml"

LEAST_SERVINGS, MOST_SERVINGS = 0.5, 1_000.0
_LEAST, _MOST_GRAMS, _MOST_CUPS = 0.001, 1_000_000.0, 10_000.0
_MOST_MINUTES = 10_080.0  # a week: longer times are slips
_MOST_VERSION = 1_000_000_000  # a date such as 20260331 fits; beyond it, write words
_SAME_SERVINGS = 0.01  # cups are measured to a hundredth at best


def load_recipe(path: Path | str) -> Recipe:
    """The recipe in the TOML file at ``path``.

    Raises ``BadInput`` when the file cannot be read as TOML and ``BadInputs`` with one sentence for each
    fault in it; every sentence names file and line.
    """
    path = Path(path)
    return recipe_from_text(read_text(path), path.name, str(path))


def load_recipes(paths: Iterable[Path | str]) -> list[Recipe]:
    """The recipes of files and folders in the order given; a folder stands for its ``*.toml`` by name.

    ``settings.toml`` in a folder is no recipe. Raises ``BadInputs`` with the faults of all files together;
    two recipes with one title are a fault.
    """
    recipes: list[Recipe] = []
    errors: list[BadInput] = []
    for path in _files(map(Path, paths)):
        try:
            recipes.append(load_recipe(path))
        except BadInputs as many:
            errors += many.errors
        except BadInput as one:
            errors.append(one)
    errors += same_titles(recipes)
    if errors:
        raise BadInputs(errors)
    return recipes


def recipe_from_text(text: str, name: str, path: str = "") -> Recipe:
    """The recipe in TOML ``text``; ``name`` is the file name in messages. Errors as ``load_recipe``."""
    faults = Faults()
    data = parse_toml(text, name)
    recipe = _recipe(Reader(data, name, "", 0, "", find_positions(text), faults), path)
    faults.finish()
    return recipe


def same_titles(recipes: Iterable[Recipe]) -> list[BadInput]:
    """One error for each recipe whose title (capital or small letters alike) an earlier one has."""
    first: dict[str, str] = {}
    errors = []
    for recipe in recipes:
        key, place = recipe.title.casefold(), Path(recipe.path).name or recipe.title
        if key in first:
            what = f'the title "{recipe.title}" is also that of {first[key]}; give each recipe its own title'
            errors.append(BadInput(place, what))
        first.setdefault(key, place)
    return errors


def _files(paths: Iterable[Path]) -> list[Path]:
    """The recipe files meant by files and folders."""
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        try:
            inside = sorted(entry for entry in os.listdir(path) if entry.lower().endswith(".toml"))
        except OSError as error:
            raise BadInput(str(path), f"the folder cannot be read ({error.strerror})") from error
        files = [path / entry for entry in inside if entry.lower() != SETTINGS_FILE]
        if not files:
            raise BadInput(path.name or str(path), "the folder holds no recipe file; add one named *.toml")
        found += files
    return found


def _recipe(reader: Reader, path: str) -> Recipe:
    reader.refuse_unknown(KEYS)
    title = reader.text("title", LONGEST_TITLE)
    if not title and _blank(reader.data.get("title", "")):
        reader.fault("title", 'the title is missing; write title = "..." on top')
    lines = tuple(parts.read_line(inner) for inner in _inner(reader, "ingredient"))
    if not lines and not reader.data.get("ingredient"):
        reader.fault("", "the recipe has no ingredients; add an [[ingredient]] table for each")
    targets = [parts.read_target(text, reader) for text in reader.texts("targets")]
    return Recipe(
        title=title,
        lines=lines,
        serving_text=reader.text("serving"),
        kind=reader.choice("kind", KINDS, "main dish"),
        racc_g=reader.number_or_none("racc_g", _LEAST, _MOST_GRAMS),
        racc_text=reader.text("racc"),
        prep_minutes=reader.number_or_none("prep_minutes", 0, _MOST_MINUTES),
        cook_minutes=reader.number_or_none("cook_minutes", 0, _MOST_MINUTES),
        method=reader.texts("method"),
        storage=reader.texts("storage"),
        notes=tuple(parts.read_note(inner) for inner in _inner(reader, "note")),
        targets=tuple(target for target in targets if target),
        variants=_variants(reader),
        plate_model=reader.text("plate_model", LONGEST_NAME),
        legumes_as=reader.choice("legumes_as", LEGUMES_AS, LEGUMES_AS[0]),
        soup=reader.flag("soup", False),
        may_contain=reader.text("may_contain"),
        statements=reader.texts("statements"),
        switches=reader.texts("switches"),
        compare_with=reader.text("compare_with", LONGEST_TITLE),
        component=reader.flag("component", False),
        counts_as=reader.text("counts_as", LONGEST_NAME).casefold(),
        review=_review(reader),
        version=_version(reader),
        path=path,
        settings=parts.read_settings(reader.inner("settings", reader.only_table("settings"), 0, "settings")),
        **_servings(reader),
    )


def _blank(value: Any) -> bool:
    return isinstance(value, str) and not value.strip()


def _inner(reader: Reader, key: str) -> list[Reader]:
    return [reader.inner(key, data, i, f"{key} {i + 1}") for i, data in enumerate(reader.tables(key))]


def _variants(reader: Reader) -> tuple[Variant, ...]:
    variants, changes = [], 0
    for inner in _inner(reader, "variant"):
        variants.append(parts.read_variant(inner, changes))
        changes += len(variants[-1].changes)
    names = [variant.name.casefold() for variant in variants]
    if len(set(names)) != len(names):
        reader.fault("variant", "two variants have one name; give each its own")
    return tuple(variants)


def _review(reader: Reader) -> Review:
    return parts.read_review(reader.inner("review", reader.only_table("review"), 0, "review"))


def _version(reader: Reader) -> str:
    """The version in words; a bare whole number is taken as words too."""
    value = reader.data.get("version", "1")
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _MOST_VERSION:
        return str(value)
    return reader.text("version", LONGEST_NAME) or "1"


def _servings(reader: Reader) -> dict[str, Any]:
    """The keys that say how much the dish gives: "servings", or "makes_cups" with the size of a serving.

    servings = makes_cups / serving_cups, or makes_cups x cup_weight_g / serving_g.
    """
    read = reader.number_or_none
    cups, serving_cups = read("makes_cups", _LEAST, _MOST_CUPS), read("serving_cups", _LEAST, _MOST_CUPS)
    serving_g, cup_g = read("serving_g", _LEAST, _MOST_GRAMS), read("cup_weight_g", _LEAST, _MOST_GRAMS)
    cooked_g = read("cooked_weight_g", _LEAST, _MOST_GRAMS)
    told = count_servings(cups, serving_cups, serving_g, cup_g)
    servings = _own_servings(reader)
    if serving_cups is not None and serving_g is not None:
        reader.fault("serving_g", "serving_cups and serving_g tell the serving twice; take one of them out")
    elif servings is not None and told is not None and abs(servings - told) > _SAME_SERVINGS * told:
        what = f"servings is {servings:g}, but makes_cups and the serving give {told:g}"
        reader.fault("servings", f"{what}; take servings out or mend it")
    if servings is None and "servings" not in reader.data:
        if told is None:
            reader.fault("servings", _servings_missing(cups, serving_g))
        elif not LEAST_SERVINGS <= told <= MOST_SERVINGS:
            reader.fault("makes_cups", f"makes_cups and the serving give {told:g} servings; check both")
        servings = told
    return {
        "servings": servings or 1.0, "makes_cups": cups, "serving_cups": serving_cups, "serving_g": serving_g,
        "cup_weight_g": cup_g, "cooked_weight_g": cooked_g,
    }  # fmt: skip


def count_servings(
    cups: float | None, serving_cups: float | None, serving_g: float | None, cup_weight_g: float | None
) -> float | None:
    """Servings of a dish that makes ``cups`` cups; None when the figures do not settle it.

    >>> count_servings(8, 2, None, None), count_servings(8, None, 300, 240)
    (4.0, 6.4)
    """
    if cups is not None and serving_cups is not None:
        return cups / serving_cups
    if cups is not None and serving_g is not None and cup_weight_g is not None:
        return cups * cup_weight_g / serving_g
    return None


def _own_servings(reader: Reader) -> float | None:
    value = reader.data.get("servings")
    if isinstance(value, int | float) and not isinstance(value, bool) and value <= 0:
        reader.fault("servings", f"servings is {shown(value)}; write how many the dish gives, above 0")
        return None
    return reader.number_or_none("servings", LEAST_SERVINGS, MOST_SERVINGS)


def _servings_missing(cups: float | None, serving_g: float | None) -> str:
    if cups is not None and serving_g is not None:
        return "makes_cups with serving_g needs cup_weight_g, one weighed cup of the finished dish in grams"
    if cups is not None:
        return "makes_cups needs the size of a serving; write serving_cups = ... or serving_g = ..."
    return "the number of servings is missing; write servings = ... or makes_cups with serving_cups"
