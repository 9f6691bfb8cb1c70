"""A food in another state: cooked from dry or raw, drained from the can."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drained:
    """What draining leaves of a can: ``share`` (0 to 1) of its contents, ``number`` the source number of the drained
    row ("" when the table has none)."""

    canned: str
    number: str
    share: float
    source_id: str
    status: str
