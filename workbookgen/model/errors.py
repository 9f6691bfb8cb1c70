"""The one error that users see."""

from __future__ import annotations


class BadInput(Exception):
    """Something a user gave cannot be used; ``str(error)`` is one sentence with place and mend.

    ``place`` names file, line or row ("beans.toml, ingredient 4"), ``what`` says what is wrong and
    how to mend it.
    """

    def __init__(self, place: str, what: str) -> None:
        super().__init__(f"{place}: {what}")
        self.place = place
        self.what = what


class BadInputs(BadInput):
    """Several independent faults of one input, each a sentence of its own, printed one per line."""

    def __init__(self, errors: list[BadInput]) -> None:
        Exception.__init__(self, "\n".join(str(e) for e in errors))
        self.errors = errors
        self.place = errors[0].place
        self.what = errors[0].what
