"""What was typed into an input cell, as the word or number a file takes; anything else is left over."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from workbookgen.recipes.text import LONGEST_TEXT, clean, text_fault
from workbookgen.roundtrip.record import Plain

_SAME = 1e-12
"""Programs that keep fifteen digits write 1/3 back within 1e-15 of itself; typed amounts differ by far more."""


def same(now: Plain, built: Plain) -> bool:
    """Whether a cell still holds what it held when built; blanks around and within a text do not count."""
    if isinstance(now, bool) or isinstance(built, bool):
        return now is built
    if isinstance(now, float) and isinstance(built, float):
        return math.isclose(now, built, rel_tol=_SAME, abs_tol=0)
    if isinstance(now, str) and isinstance(built, str):
        return now == built or clean(now) == clean(built)
    return now == built


def shown(value: Plain) -> str:
    """A cell's content in words of a list or a report."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return number_text(value) if isinstance(value, float) else value


def number_text(value: float) -> str:
    """The shortest digits that read back the same; whole numbers without a point."""
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Content of a cell that no file takes as it stands, and why."""

    sheet: str
    cell: str
    field: str
    value: str
    why: str


@dataclass
class Taken:
    """Reads words and numbers of one sheet; what does not fit joins ``left``."""

    sheet: str
    left: list[LeftOver] = field(default_factory=list)

    def leave(self, cell: str, name: str, value: Plain, why: str) -> None:
        """Put a content on the list of what is left over."""
        if value is not None:
            self.left.append(LeftOver(self.sheet, cell, name, shown(value), why))

    def text(self, cell: str, name: str, value: Plain, keep: str = "", longest: int = LONGEST_TEXT) -> str:
        """A text, cleaned; a number becomes its digits. ``keep`` stays for one that cannot be used."""
        if value is None:
            return ""
        fault = text_fault(shown(value), longest)
        if fault:
            self.leave(cell, name, value, f"the text {fault}")
            return keep
        return clean(shown(value))

    def number(self, cell: str, name: str, value: Plain, low: float, high: float, keep: float | None) -> float | None:
        """A number from ``low`` to ``high``, None for an empty cell, ``keep`` for anything else."""
        if value is None or (isinstance(value, str) and not value.strip()):
            return None
        found = typed_number(value)
        if found is None or not low <= found <= high:
            self.leave(cell, name, value, f"not a number from {low:g} to {high:g}")
            return keep
        return found

    def word(self, cell: str, name: str, value: Plain, allowed: Iterable[str], blank: str, keep: str) -> str:
        """One of ``allowed`` in capital or small letters; ``blank`` for an empty cell, ``keep`` for anything else."""
        if value is None or (isinstance(value, str) and not value.strip()):
            return blank
        by_word = {word.casefold(): word for word in allowed}
        found = by_word.get(clean(shown(value)).casefold())
        if found is None:
            self.leave(cell, name, value, "not one of the words of its list")
            return keep
        return found


def typed_number(value: Plain) -> float | None:
    """A number as a number cell holds it, or typed as text with a point."""
    if isinstance(value, bool) or value is None:
        return None
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    try:
        found = float(value.strip())
    except ValueError:
        return None
    return found if math.isfinite(found) else None
