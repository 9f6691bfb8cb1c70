"""What no addition or swap may bring unasked: allergens, cautions, meat, salts with potassium chloride."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from workbookgen.adjust.rules import AdjustRules, Blocked
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.food import Food
from workbookgen.model.safety import Trigger, has_word
from workbookgen.nutrition.allergens import CONTAINS, NO, NOT_KNOWN, YES, AllergenReport, allergen_report
from workbookgen.nutrition.cautions import caution_report, mark_trigger
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.markers import (
    NOT_LOOKED_AT,
    allergen_markers,
    caution_marks,
    line_counts,
    line_marks,
)

_ALLERGEN_RANK = {CONTAINS: 2, NOT_KNOWN: 1}
_SUIT_RANK = {YES: 2, NOT_KNOWN: 1, NO: 0}


@dataclass(frozen=True)
class Dish:
    """What a dish already contains and warns of, for comparing with what a food would bring."""

    kitchen: Kitchen
    rules: AdjustRules
    analysis: Analysis

    def brings(self, line: LineResult) -> tuple[str, ...]:
        """What ``line`` would bring that the dish does not have, in words; () when nothing.

        The dish as written is what counts: an ingredient that goes at the same time does not make room.
        """
        safety = self.kitchen.safety
        counted = replace(line, line=replace(line.line, include=True))
        alone = allergen_report(safety, replace(self.analysis, lines=(counted,)))
        return (
            *blocked_reasons(self.rules.blocked, line.food, self.kitchen),
            *self._allergens(alone, line),
            *self._suitability(alone),
            *self._cautions(counted),
        )

    @cached_property
    def _report(self) -> AllergenReport:
        return allergen_report(self.kitchen.safety, self.analysis)

    @cached_property
    def _markers(self) -> frozenset[str]:
        counted = (x for x in self.analysis.lines if line_counts(x.line))
        return frozenset(m for x in counted for m in allergen_markers(x.food, self.kitchen.safety))

    @cached_property
    def _marked(self) -> list[tuple[str, frozenset[str]]]:
        counted = (x for x in self.analysis.lines if line_counts(x.line))
        return [(x.food.name, frozenset(line_marks(x, self.kitchen.safety))) for x in counted]

    def _allergens(self, alone: AllergenReport, line: LineResult) -> list[str]:
        markers = allergen_markers(line.food, self.kitchen.safety)
        before = {s.allergen.id: s for s in self._report.states}
        new = {m.partition("(")[0][1:] for m in markers if m[0] == "+" and m not in self._markers}
        found = []
        for state in alone.states:
            old, name = before[state.allergen.id], state.allergen.name_us or state.allergen.name_eu
            if _ALLERGEN_RANK.get(state.state, 0) > _ALLERGEN_RANK.get(old.state, 0):
                words = "brings" if state.state == CONTAINS else "may bring"
                found.append(f"{words} {name.lower()}")
            elif state.state == CONTAINS and state.allergen.kinds and state.allergen.id in new:
                found.append(f"brings another kind of {name.lower()}")
        return found

    def _suitability(self, alone: AllergenReport) -> list[str]:
        before = {s.name: s.state for s in self._report.suitability}
        found = []
        for state in alone.suitability:
            old = before[state.name]
            if old in _SUIT_RANK and _SUIT_RANK[state.state] < _SUIT_RANK[old]:
                found.append(f"the dish would no longer read {old} for: {state.name.partition(' (')[0].lower()}")
        return found

    def _cautions(self, line: LineResult) -> list[str]:
        with_it = [(line.food.name, frozenset(line_marks(line, self.kitchen.safety)))]
        found = []
        for caution in self.kitchen.safety.cautions:
            triggers = [t for t in caution.triggers if not t.of_nutrient]
            before = any(mark_trigger(t, self._marked).fires for t in triggers)
            if not before and any(mark_trigger(t, with_it).fires for t in triggers):
                found.append(f"brings the caution {caution.id} ({caution.title.lower()})")
        looked = {m for _, marks in self._marked for m in marks}
        if NOT_LOOKED_AT in with_it[0][1] and NOT_LOOKED_AT not in looked:
            found.append("nobody has looked at its cautions")
        return found


def blocked_reasons(blocked: Sequence[Blocked], food: Food, kitchen: Kitchen) -> list[str]:
    """Why a food is never used unasked, [] when it may be."""
    marks = caution_marks(food, kitchen.safety)
    text = f"{food.name} {food.synonyms} {food.source_description}"
    found = []
    for rule in blocked:
        by_mark = any(m in marks for m in rule.marks)
        by_word = any(has_word(text, w) for w in rule.words)
        by_tag = bool(rule.tag) and food.values.get(rule.tag, 0.0) >= rule.from_per_100g
        if rule.groups and food.group not in rule.groups:
            continue
        if by_mark or by_word or by_tag:
            found.append(f"is {rule.reason}")
    return found[:1]


@dataclass(frozen=True, slots=True)
class QuietCaution:
    """A caution by figure that the dish does not fire yet."""

    id: str
    title: str
    trigger: Trigger

    @property
    def limit(self) -> float:
        """Limit in the nutrient's unit, of one serving."""
        t = self.trigger
        return t.limit / 100 * t.per if t.kind == "share" else t.limit


def quiet_cautions(kitchen: Kitchen, analysis: Analysis) -> list[QuietCaution]:
    """Cautions by figure that do not fire as written; a caution that fires by another trigger is there already."""
    found = []
    for result in caution_report(kitchen, analysis).cautions:
        if not result.fires:
            found += [
                QuietCaution(result.caution.id, result.caution.title, t.trigger)
                for t in result.triggers
                if t.trigger.of_nutrient and t.trigger.key in analysis.nutrients
            ]
    return found


def new_cautions(kitchen: Kitchen, before: Analysis, after: Analysis) -> dict[str, str]:
    """Cautions that fire after a change and did not before: who should ask, by id."""
    fired = {c.caution.id for c in caution_report(kitchen, before).cautions if c.fires}
    return {
        c.caution.id: c.caution.title
        for c in caution_report(kitchen, after).cautions
        if c.fires and c.caution.id not in fired
    }
