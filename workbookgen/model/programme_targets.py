"""Targets that a programme sets for one serving of every recipe."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProgrammeTarget:
    """One row of programme_targets.csv: ``sign`` is ">=" or "<=", ``basis`` "amount" (in ``unit``) or "%DV".

    ``value`` is the limit at first, None where the target is not used; ``near_pct`` says how far beside the limit
    still counts as near, in per cent of it.
    """

    id: str
    name: str
    tag: str
    sign: str
    basis: str
    unit: str
    value: float | None
    near_pct: float
    source_id: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class VerdictWord:
    """How a verdict is printed: its code (4 pass, 3 near, 2 fail, 1 open), sign, word and meaning."""

    code: int
    sign: str
    word: str
    meaning: str

    @property
    def shown(self) -> str:
        return f"{self.sign} {self.word}"


@dataclass(frozen=True, slots=True)
class ProgrammeRules:
    """All targets and the words for their verdicts, words by rising code."""

    targets: tuple[ProgrammeTarget, ...]
    words: tuple[VerdictWord, ...]
