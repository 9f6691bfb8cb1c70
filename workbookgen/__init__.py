"""Builds Excel workbooks with live, sourced nutrition figures for recipes.

For programs: ``from workbookgen import load, analyse, build, verify`` (described in ``workbookgen.api`` and
``workbookgen.verify``). Nothing is read or imported before one of them is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from workbookgen.api import Cookbook, analyse, build, load
    from workbookgen.model.errors import BadInput, BadInputs
    from workbookgen.verify import verify

__all__ = ["BadInput", "BadInputs", "Cookbook", "analyse", "build", "load", "verify"]

_PLACES = {
    "BadInput": "workbookgen.model.errors",
    "BadInputs": "workbookgen.model.errors",
    "Cookbook": "workbookgen.api",
    "analyse": "workbookgen.api",
    "build": "workbookgen.api",
    "load": "workbookgen.api",
}


def __getattr__(name: str) -> Any:
    """The function or class of that name, imported when it is first asked for."""
    if name == "verify":  # the package of that name, which can itself be called
        return import_module("workbookgen.verify")
    if name not in _PLACES:
        raise AttributeError(f"module 'workbookgen' has no attribute {name!r}")
    return getattr(import_module(_PLACES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
