"""The look file: palette, fonts, paper, programme name. Missing keys fall back to templates/workbook.toml."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from workbookgen.catalogue.paths import template_path
from workbookgen.model.errors import BadInput


def load_look(path: Path | None = None) -> dict[str, dict[str, Any]]:
    """Settings of the built-in look, overlaid with ``path``; raises BadInput for a bad value."""
    look: dict[str, dict[str, Any]] = tomllib.loads(template_path("workbook.toml").read_text(encoding="utf-8"))
    if path is not None:
        for section, values in _read(path).items():
            if section not in look or not isinstance(values, dict):
                raise BadInput(str(path), f"there is no section [{section}]; known: {', '.join(look)}")
            for key, value in values.items():
                if key not in look[section]:
                    raise BadInput(str(path), f"[{section}] has no key {key!r}; known: {', '.join(look[section])}")
                look[section][key] = value
    _check(look, str(path or "workbook.toml"))
    return look


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(str(path), f"cannot be read ({error.__class__.__name__}); give a UTF-8 TOML file") from None
    except tomllib.TOMLDecodeError as error:
        raise BadInput(str(path), f"is not valid TOML: {error}") from None


def _check(look: dict[str, dict[str, Any]], place: str) -> None:
    for name, colour in look["palette"].items():
        if not isinstance(colour, str) or len(colour) != 6 or any(c not in "0123456789abcdefABCDEF" for c in colour):
            raise BadInput(place, f"[palette] {name} = {colour!r} is not a colour; write six hexadecimal digits")
    if look["paper"]["size"] not in ("letter", "a4"):
        raise BadInput(place, f"[paper] size = {look['paper']['size']!r}; choose letter or a4")
    for key in ("size", "title_size"):
        if not isinstance(look["fonts"][key], int) or not 6 <= look["fonts"][key] <= 36:
            raise BadInput(place, f"[fonts] {key} must be a whole number from 6 to 36")
