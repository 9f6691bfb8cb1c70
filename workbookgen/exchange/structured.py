"""Recipes told as objects: schema.org/Recipe (https://schema.org/Recipe) and plain JSON with ingredients."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from typing import Any

from workbookgen.exchange.raw import RawRecipe, Yield, minutes, read_yield

MOST_DEPTH = 30
_TAG = re.compile(r"<[^>]{0,300}>")
_BREAK = re.compile(r"<\s*/?\s*(?:br|p|li|div|tr|h\d)\b[^>]{0,300}>", re.I)
_INGREDIENTS = ("recipeIngredient", "ingredients", "ingredient")
_TITLE = ("name", "title", "headline")
_METHOD = ("recipeInstructions", "instructions", "directions", "method", "steps")
_YIELD = ("recipeYield", "yield", "servings", "serves")


def recipes_in(value: Any, depth: int = 0) -> Iterator[RawRecipe]:
    """Every recipe in ``value``, outermost first: an object that lists ingredients, at any depth."""
    if depth > MOST_DEPTH:
        return
    if isinstance(value, Mapping):
        if _is_recipe(value):
            yield read_object(value)
            return
        for inner in value.values():
            if isinstance(inner, (Mapping, list)):
                yield from recipes_in(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            yield from recipes_in(inner, depth + 1)


def _is_recipe(value: Mapping[str, Any]) -> bool:
    kinds = value.get("@type", [])
    kinds = [kinds] if isinstance(kinds, str) else kinds if isinstance(kinds, list) else []
    named = any(isinstance(k, str) and k.rpartition("/")[2] == "Recipe" for k in kinds)
    has_lines = any(value.get(key) for key in _INGREDIENTS)
    return has_lines and (
        named
        or (not kinds and any(value.get(k) for k in (*_TITLE, *_METHOD)))
        or (not kinds and isinstance(value.get("ingredients"), list))
    )


def read_object(value: Mapping[str, Any]) -> RawRecipe:
    """The recipe an object tells."""
    raw = RawRecipe(title=_text(_first(value, _TITLE)))
    # Older pages use "ingredients" for some or all of them; what stands in both is one line.
    told = [entry for key in _INGREDIENTS for entry in _list(value.get(key))]
    raw.lines = list(dict.fromkeys(pair for entry in told for pair in _lines(entry, "")))
    raw.method = [step for entry in _list(_first(value, _METHOD)) for step in _steps(entry)]
    raw.gives = _yield(_list(_first(value, _YIELD)))
    raw.prep_minutes = _time(value, "prepTime", "prep_time", "prep_minutes")
    raw.cook_minutes = _time(value, "cookTime", "cook_time", "cook_minutes")
    raw.total_minutes = _time(value, "totalTime", "total_time", "total_minutes")
    raw.language = _text(_first(value, ("inLanguage", "language")))
    return raw


def _first(value: Mapping[str, Any], keys: tuple[str, ...]) -> Any:
    return next((value[key] for key in keys if value.get(key) not in (None, "", [])), None)


def _list(value: Any) -> list[Any]:
    return [] if value is None else value if isinstance(value, list) else [value]


def _text(value: Any) -> str:
    """Plain words of a value: tags and entities gone; the first one of a list, the name of an object."""
    if isinstance(value, list):
        value = value[0] if value else ""
    if isinstance(value, Mapping):
        value = value.get("text") or value.get("name") or value.get("@value") or ""
    if not isinstance(value, (str, int, float)) or isinstance(value, bool):
        return ""
    return " ".join(html.unescape(_TAG.sub(" ", html.unescape(str(value)))).split())


def _plain_lines(entry: str) -> list[str]:
    """The lines of a text with mark-up: breaks and paragraphs part lines, other tags fall away."""
    return html.unescape(_TAG.sub("", _BREAK.sub("\n", html.unescape(entry)))).splitlines()


def _lines(entry: Any, section: str) -> Iterator[tuple[str, str]]:
    if isinstance(entry, Mapping):
        inner = _first(entry, ("ingredients", "items", "itemListElement"))
        if isinstance(inner, list):
            title = _text(_first(entry, ("name", "title", "section", "group")))
            for one in inner:
                yield from _lines(one, title)
            return
        words = described(entry)
        if words:
            yield section, words
    elif isinstance(entry, str):
        for line in _plain_lines(entry):
            if line.strip():
                yield section, " ".join(line.split())


def described(entry: Mapping[str, Any]) -> str:
    """An ingredient told in parts (amount, unit, food) as one line."""
    whole = _text(_first(entry, ("text", "original", "line", "raw")))
    if whole:
        return whole
    amount = _first(entry, ("amount", "quantity", "qty"))
    unit = _text(_first(entry, ("unit", "units", "measure")))
    food = _text(_first(entry, ("food", "name", "ingredient", "item", "description")))
    note = _text(_first(entry, ("note", "notes", "preparation", "comment")))
    said = (
        f"{amount:g}" if isinstance(amount, (int, float)) and not isinstance(amount, bool) else _text(amount)
    )
    if unit.lower() in ("each", "piece", "pieces", "unit", "whole"):
        unit = ""
    line = " ".join(part for part in (said, unit, food) if part)
    return f"{line}, {note}" if note and line else line


def _steps(entry: Any) -> Iterator[str]:
    if isinstance(entry, Mapping):
        inner = entry.get("itemListElement") or entry.get("steps")
        if inner:
            for one in _list(inner):
                yield from _steps(one)
            return
        words = _text(entry.get("text") or entry.get("name") or entry.get("description"))
        if words:
            yield words
    elif isinstance(entry, str):
        for line in _plain_lines(entry):
            words = re.sub(r"^\s*(?:step\s*)?\d+\s*[.):]\s*", "", line, flags=re.I).strip()
            if words:
                yield " ".join(words.split())


def _yield(values: list[Any]) -> Yield:
    """The first value that tells servings, else cups."""
    told = [
        read_yield(f"{v:g}" if isinstance(v, (int, float)) and not isinstance(v, bool) else _text(v))
        for v in values
    ]
    return next((y for y in told if y.servings), next((y for y in told if y.cups), Yield()))


def _time(value: Mapping[str, Any], *keys: str) -> float | None:
    found = _first(value, keys)
    if isinstance(found, (int, float)) and not isinstance(found, bool):
        return float(found) if found > 0 else None
    text = _text(found)
    return float(text) if text.isdigit() else minutes(text) if text else None
