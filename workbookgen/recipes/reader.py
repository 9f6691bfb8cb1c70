"""Typed reading of one TOML table: every fault is collected with its line, nothing is guessed."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from workbookgen.recipes.positions import Positions
from workbookgen.recipes.text import (
    LONGEST_TEXT,
    MOST_FAULTS,
    Faults,
    clean,
    listed,
    nearest,
    shown,
    text_fault,
)

_LIKENESS = 70.0  # "amout" reaches 91 against "amount"; unrelated keys stay below 60


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads the keys of ``data``; ``what`` names the table in messages ("ingredient 4")."""

    data: dict[str, Any]
    file: str
    table: str
    number: int
    what: str
    positions: Positions
    faults: Faults

    def row(self, key: str = "") -> int:
        """The line of ``key`` (or of the table itself), 0 when it is not known."""
        header = self.positions.get((self.table, self.number, ""), 0)
        return self.positions.get((self.table, self.number, key), header)

    def place(self, key: str = "") -> str:
        """File, line and table as messages name them."""
        row = self.row(key)
        parts = [self.file, f"line {row}" if row else "", self.what]
        return ", ".join(part for part in parts if part)

    def fault(self, key: str, what: str) -> None:
        """Note that ``key`` cannot be used."""
        self.faults.add(self.place(key), what)

    def refuse_unknown(self, known: Sequence[str]) -> None:
        """Note every key that is not one of ``known``, with the nearest known one."""
        for key in [key for key in self.data if key not in known][:MOST_FAULTS]:
            near = nearest(key, known, 1, _LIKENESS, whole=True)
            mend = f'did you mean "{near[0]}"?' if near else f"known keys: {listed(known)}"
            self.fault(key, f"the key {shown(key)} is not known; {mend}")

    def text(self, key: str, longest: int = LONGEST_TEXT) -> str:
        """The words of ``key``, "" when it is absent."""
        value = self.data.get(key, "")
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            value = value.isoformat()
        if not isinstance(value, str):
            self.fault(key, f'{key} is {_kind(value)}; write words in "quotes"')
            return ""
        return self._checked(key, value, longest)

    def texts(self, key: str) -> tuple[str, ...]:
        """The list of words of ``key``; one text alone counts as a list of one."""
        value = self.data.get(key, [])
        parts = [value] if isinstance(value, str) else value
        if not isinstance(parts, list) or not all(isinstance(part, str) for part in parts):
            self.fault(key, f'{key} must be a list of texts; write ["...", "..."]')
            return ()
        words = tuple(self._checked(key, part, LONGEST_TEXT) for part in parts)
        if any(not part.strip() for part in parts):
            self.fault(key, f"{key} holds an empty text; write the words or take it out")
        return words

    def choice(self, key: str, allowed: Sequence[str], default: str) -> str:
        """The word of ``key``, one of ``allowed`` in capital or small letters."""
        if key not in self.data:
            return default
        word = self.text(key).casefold()
        if word in allowed:
            return word
        self.fault(key, f"{key} {shown(self.data[key])} is not known; use {listed(allowed)}")
        return default

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self.data.get(key, default)
        if isinstance(value, bool):
            return value
        self.fault(key, f"{key} is {shown(value)}; write true or false without quotes")
        return default

    def number_or_none(self, key: str, low: float, high: float) -> float | None:
        """The number of ``key`` between ``low`` and ``high``, None when the key is absent."""
        if key not in self.data:
            return None
        value = plain_number(self.data[key])
        if value is None:
            self.fault(key, f"{key} is {shown(self.data[key])}; write a number without quotes")
        elif not low <= value <= high:
            self.fault(key, f"{key} is {shown(self.data[key])}; it must lie between {low:g} and {high:,.15g}")
        else:
            return value
        return None

    def tables(self, key: str) -> list[dict[str, Any]]:
        """The ``[[key]]`` tables, in order."""
        value = self.data.get(key, [])
        if isinstance(value, list) and all(isinstance(part, dict) for part in value):
            return value
        self.fault(key, f"{key} must be written as [[{key}]] tables")
        return []

    def only_table(self, key: str) -> dict[str, Any]:
        """The one ``[key]`` table, empty when it is absent."""
        value = self.data.get(key, {})
        if isinstance(value, dict):
            return value
        self.fault(key, f"{key} must be written as a [{key}] table")
        return {}

    def inner(self, key: str, data: dict[str, Any], number: int, what: str, table: str = "") -> Reader:
        """A reader for ``data`` below ``key``, the ``number``-th (from 0) table of its name in the file."""
        return Reader(data, self.file, table or key, number, what, self.positions, self.faults)

    def _checked(self, key: str, value: str, longest: int) -> str:
        fault = text_fault(value, longest)
        if fault:
            self.fault(key, f"{key} {fault}")
            return ""
        return clean(value)


def plain_number(value: Any) -> float | None:
    """``value`` as a finite float when TOML gave a number, else None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _kind(value: Any) -> str:
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return f"{shown(value)} without quotes"
