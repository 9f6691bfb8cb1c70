"""Whether one serving meets the programme's targets; what is unknown never turns into a pass."""

from __future__ import annotations

import re
from collections.abc import Mapping

from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.programme_targets import ProgrammeRules, ProgrammeTarget
from workbookgen.nutrition.label import half_up
from workbookgen.nutrition.totals import AT_LEAST, AT_MOST

PASS, NEAR, FAIL, OPEN, UNUSED = 4, 3, 2, 1, 0
NONE = "none"
_NUMBER = re.compile(r"\d{1,5}(\.\d{1,6})?")


def judge(sign: str, value: float | None, reads: str, limit: float | None, near_pct: float) -> int:
    """Verdict code on ``value`` (None: no figure at all) that reads "", "at least" or "at most".

    A floor is met once the known part reaches it; a ceiling is met only by a figure without an unknown part, or by
    one that reads "at most". Where the true figure may lie on either side the verdict is OPEN; FAIL needs a figure
    that is beyond the margin whatever the unknown part is. UNUSED without a limit.
    """
    if limit is None:
        return UNUSED
    if value is None:
        return OPEN
    v, edge = half_up(value, 9), half_up(limit, 9)
    floor = sign == ">="
    margin = half_up(limit * (1 - near_pct / 100 if floor else 1 + near_pct / 100), 9)
    holds = v >= edge if floor else v <= edge
    close = v >= margin if floor else v <= margin
    away = AT_LEAST if floor else AT_MOST  # the true figure may be better than shown
    if reads in (AT_LEAST, AT_MOST) and reads != away:
        return FAIL if not close else OPEN
    if holds:
        return PASS
    if reads == away:
        return OPEN
    return NEAR if close else FAIL


def target_value(target: ProgrammeTarget, analysis: Analysis) -> float | None:
    """What one serving holds in the target's terms; None where its per cent Daily Value is not defined."""
    result = analysis.nutrients[target.tag]
    return result.dv_pct if target.basis == "%DV" else result.serving


def judge_recipe(rules: ProgrammeRules, analysis: Analysis, limits: Mapping[str, float | None]) -> tuple[int, ...]:
    """Verdict codes on all targets in order; ``limits`` are those in use by target id."""
    return tuple(
        judge(t.sign, target_value(t, analysis), analysis.nutrients[t.tag].reads, limits[t.id], t.near_pct) for t in rules.targets
    )


def stated_limits(text: str, rules: ProgrammeRules, place: str) -> dict[str, float | None]:
    """Limits that a programme states, by target id; "none" switches a target off.

    ``text`` reads like "sodium = 500; added_sugars = none". Raises BadInput naming ``place``.
    """
    ids = [t.id for t in rules.targets]
    found: dict[str, float | None] = {}
    for part in filter(None, (p.strip() for p in text.split(";"))):
        name, sign, value = (word.strip() for word in part.partition("="))
        if name not in ids or name in found or not sign:
            raise BadInput(place, f"programme target '{part}' is not understood or stands twice; write it like sodium = 500 with one of: {', '.join(ids)}")
        if value != NONE and not _NUMBER.fullmatch(value):
            raise BadInput(place, f"programme target '{part}' has no limit; write a number of at least 0, or none")
        found[name] = None if value == NONE else float(value)
    return found


def limits_in_use(rules: ProgrammeRules, settings: Settings) -> dict[str, float | None]:
    """Limits by target id: those the settings state, else those of the table; None = not used."""
    stated = stated_limits(settings.programme_targets, rules, "settings")
    return {t.id: stated.get(t.id, t.value) for t in rules.targets}
