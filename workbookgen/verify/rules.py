"""Reads the rule files of this package from ``data/``, in a source tree and in an installed copy alike."""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput

_PACKAGE = Path(__file__).resolve().parent.parent


@functools.cache
def load_rules(name: str) -> dict[str, Any]:
    """Contents of ``data/<name>.toml``; ``BadInput`` when the file is missing or cannot be parsed."""
    for folder in (_PACKAGE / "_data", _PACKAGE.parent / "data"):
        path = folder / f"{name}.toml"
        if path.is_file():
            try:
                return tomllib.loads(path.read_text(encoding="utf-8"))
            except tomllib.TOMLDecodeError as error:
                raise BadInput(path.name, f"this rule file cannot be read: {error}") from error
    raise BadInput(f"{name}.toml", "this rule file is missing from this copy; install the package again")
