"""Recipes back to recipe files that read the same again."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import fields
from decimal import Decimal
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput
from workbookgen.model.place import put_bytes
from workbookgen.model.recipe import Change, IngredientLine, Recipe, Target
from workbookgen.recipes.amounts import AmountError, split_amount
from workbookgen.recipes.load import count_servings, recipe_from_text


def save_recipe(recipe: Recipe, path: Path | str) -> None:
    """Write ``recipe`` as a recipe file, complete or not at all: beside the target first, then in its place.

    Reading it gives the same recipe (``path`` apart). Raises ``BadInput`` when the folder or the file
    cannot be written, or when the recipe holds what a recipe file cannot (such as a blank title).
    """
    path = Path(path)
    put_bytes(path, checked_text(recipe, path.name).encode(), "another file")


def checked_text(recipe: Recipe, name: str) -> str:
    """``recipe`` as the text of the file ``name``. Raises ``BadInput`` for one that would not read back the same."""
    text = recipe_text(recipe)
    again = recipe_from_text(text, name, recipe.path)
    kept = [f.name for f in fields(Recipe) if f.name != "variant_of"]
    differing = [name for name in kept if getattr(again, name) != getattr(recipe, name)]
    if differing:
        what = f"{', '.join(differing)} would not read back the same; use plain one-line texts"
        raise BadInput(name, what)
    return text


def recipe_text(recipe: Recipe) -> str:
    """``recipe`` as the text of a recipe file; keys that say the usual are left out."""
    told = count_servings(recipe.makes_cups, recipe.serving_cups, recipe.serving_g, recipe.cup_weight_g)
    plain = Recipe(title="", servings=1, lines=())
    top = {
        "title": recipe.title,
        "version": recipe.version,
        "servings": None if recipe.servings == told else recipe.servings,
        "makes_cups": recipe.makes_cups,
        "serving_cups": recipe.serving_cups,
        "serving_g": recipe.serving_g,
        "serving": recipe.serving_text,
        "cup_weight_g": recipe.cup_weight_g,
        "cooked_weight_g": recipe.cooked_weight_g,
        "kind": recipe.kind,
        "racc_g": recipe.racc_g,
        "racc": recipe.racc_text,
        "prep_minutes": recipe.prep_minutes,
        "cook_minutes": recipe.cook_minutes,
        "plate_model": recipe.plate_model,
        "legumes_as": recipe.legumes_as,
        "soup": recipe.soup,
        "component": recipe.component,
        "counts_as": recipe.counts_as,
        "compare_with": recipe.compare_with,
        "may_contain": recipe.may_contain,
        "statements": recipe.statements,
        "switches": recipe.switches,
        "targets": tuple(map(_target, recipe.targets)),
        "method": recipe.method,
        "storage": recipe.storage,
    }
    usual = {"kind": plain.kind, "legumes_as": plain.legumes_as, "version": plain.version}
    review = recipe.review
    blocks = [_pairs(top, usual)]
    blocks += [_table("[settings]", dict(recipe.settings), keep_blank=True)] if recipe.settings else []
    blocks += [_table("[[ingredient]]", _line(line)) for line in recipe.lines]
    blocks += [_table("[[note]]", {"text": note.text, "source": note.source}) for note in recipe.notes]
    for variant in recipe.variants:
        blocks.append(_table("[[variant]]", {"name": variant.name, "hold_back": variant.hold_back}))
        blocks += [_table("[[variant.change]]", _change(change)) for change in variant.changes]
    signed = {
        "reviewer": review.reviewer, "date": review.date, "comment": review.comment,
        "check_number": review.check_number,
    }  # fmt: skip
    blocks += [_table("[review]", signed)] if any(v not in ("", None) for v in signed.values()) else []
    return "\n".join(blocks)


def _line(line: IngredientLine) -> dict[str, Any]:
    high = line.amount_low is not None and line.amount == line.amount_high
    return {
        "food": line.food,
        "amount": _amount(line),
        "use": "high" if high else "",
        "unit": line.unit,
        "basis": "" if line.basis == "edible" else line.basis,
        "treatment": "" if line.treatment == "none" else line.treatment,
        "share_eaten": None if line.share_eaten_pct == 100 else line.share_eaten_pct,
        "include": None if line.include else False,
        "optional": line.optional,
        "role": line.role,
        "water": line.water,
        "note": line.note,
        "section": line.section,
        "held_back": line.held_back,
        "garnish": line.garnish,
        "review": line.review,
        "candidates": line.candidates,
    }


def _amount(line: IngredientLine) -> str | float | None:
    """The amount as it was written when that still says the same, else the number."""
    if line.amount_text:
        try:
            amount, _ = split_amount(line.amount_text)
        except AmountError:
            return line.amount_text if line.review else line.amount
        ends = (amount.low, amount.high) if amount.low is not None else (amount.value, amount.value)
        if line.amount in ends and (amount.low, amount.high) == (line.amount_low, line.amount_high):
            return line.amount_text
    return None if line.review and line.amount == 0 else line.amount


def _target(target: Target) -> str:
    unit = f" {target.unit}" if target.basis == "amount" else " %DV"
    return f"{target.tag} {target.sign} {_number(float(target.value))}{unit}"


def _change(change: Change) -> dict[str, Any]:
    return {
        "do": change.do, "food": change.food, "with": change.with_food, "amount": change.amount,
        "unit": change.unit, "treatment": change.treatment, "water": change.water,
    }  # fmt: skip


def _table(header: str, pairs: Mapping[str, Any], keep_blank: bool = False) -> str:
    return f"{header}\n{_pairs(pairs, {}, keep_blank)}"


def _pairs(pairs: Mapping[str, Any], usual: Mapping[str, Any], keep_blank: bool = False) -> str:
    """``key = value`` lines without blank, absent and usual values; False only for "include"."""
    rows = []
    for key, value in pairs.items():
        absent = value is None or value == () or (value == "" and not keep_blank)
        if not absent and value != usual.get(key) and not (value is False and key != "include"):
            rows.append(f"{_key(key)} = {_value(value)}\n")
    return "".join(rows)


def _key(key: str) -> str:
    plain = key.isascii() and key.replace("_", "").replace("-", "").isalnum()
    return key if plain else _string(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return _number(float(value))
    if isinstance(value, str):
        return _string(value)
    return _list(value)


def _number(value: float) -> str:
    """The shortest digits that read back as the same float, without an exponent."""
    if not math.isfinite(value):
        return repr(value)
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return format(Decimal(repr(value)), "f")


def _list(values: Iterable[str]) -> str:
    return "[\n" + "".join(f"    {_string(value)},\n" for value in values) + "]"


def _string(text: str) -> str:
    """A basic TOML string; JSON escapes the same characters, but for DEL."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
