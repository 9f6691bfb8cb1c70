"""The smallest recipe file, and reading what a user is told."""

from __future__ import annotations

from workbookgen.model.errors import BadInput, BadInputs

SOUP = """\
title = "Soup"
servings = 4

[[ingredient]]
food = "Kale, raw"
amount = "3/4 cup"
"""


def sentences(error: BadInput) -> list[str]:
    """The sentences a user sees, one for each fault."""
    return [str(one) for one in error.errors] if isinstance(error, BadInputs) else [str(error)]
