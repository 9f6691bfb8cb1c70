"""Allergens and suitability of a dish: contains, not known, no. Nothing is ever called free of anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.safety import APART, EU_LIST, LISTED, Allergen, Safety
from workbookgen.nutrition.markers import (
    ANYTHING_ELSE,
    NOT_LOOKED_AT,
    UNKNOWN_SHOWN,
    UNKNOWN_WORD,
    allergen_markers,
    diet_words,
    line_counts,
)

CONTAINS, NOT_KNOWN, NO, EMPTY = "contains", "not known", "no", "-"
YES = "yes"
KIND_NOT_NAMED = "kind not named"


@dataclass(frozen=True, slots=True)
class AllergenState:
    """One allergen: "contains", "not known" or "no"; the kinds named; the foods that bring it or leave it
    open."""

    allergen: Allergen
    state: str
    kinds: tuple[str, ...]
    foods: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SuitabilityState:
    """One claim such as vegan: "yes", "no" or "not known", and the words of the diet column that decided."""

    name: str
    state: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AllergenReport:
    """Allergens and suitability of a dish with the sentences of sheet and card."""

    which: str
    states: tuple[AllergenState, ...]
    contains: str
    unchecked: str
    apart: str
    suitability: tuple[SuitabilityState, ...]


def allergen_report(safety: Safety, analysis: Analysis) -> AllergenReport:
    """Report on ``analysis`` by the list that goes with its reference values.

    Lines count when they are included, optional, garnish or held back (`line_counts`). FD&C Act section
    201(qq) and 403(w); Regulation (EU) No 1169/2011, Annex II.
    """
    lines = [line for line in analysis.lines if line_counts(line.line)]
    which = safety.allergen_list(analysis.settings.reference_set)
    states = tuple(_state(safety, a, lines) for a in safety.allergens)
    return AllergenReport(
        which=which,
        states=states,
        contains=_contains(states, which),
        unchecked=_unchecked(safety, states, which, lines),
        apart=_apart(states, which),
        suitability=tuple(_suitability(safety, i, lines) for i in range(len(safety.suitability))),
    )


def place(allergen: Allergen, which: str) -> str:
    """Place of the allergen on the list ``which``: "list", "apart" or "no"."""
    return allergen.eu if which == EU_LIST else allergen.us


def _name(allergen: Allergen, which: str) -> str:
    return allergen.name_eu if which == EU_LIST else allergen.name_us


def _asks(markers: Sequence[str], allergen: str) -> bool:
    """True when the markers of a food leave the allergen open."""
    return any(m == ANYTHING_ELSE or m.partition("(")[0] == f"?{allergen}" for m in markers)


def _state(safety: Safety, allergen: Allergen, lines: Sequence[LineResult]) -> AllergenState:
    marked = [(line.food.name, allergen_markers(line.food, safety)) for line in lines]
    head = f"+{allergen.id}"
    sure = [(name, [m for m in markers if m.partition("(")[0] == head]) for name, markers in marked]
    if any(found for _, found in sure):
        kinds = _kinds(safety, allergen, [m for _, found in sure for m in found])
        return AllergenState(allergen, CONTAINS, kinds, tuple(name for name, found in sure if found))
    open_foods = tuple(name for name, markers in marked if _asks(markers, allergen.id))
    state = (NOT_KNOWN if open_foods else NO) if marked else EMPTY
    return AllergenState(allergen, state, (), open_foods)


def _kinds(safety: Safety, allergen: Allergen, markers: Sequence[str]) -> tuple[str, ...]:
    """Kinds to name, in table order; what is not told or not in the table reads "kind not named"."""
    if not allergen.kinds:
        return ()
    told = {m.partition("(")[2].rstrip(")") for m in markers}
    known = [k for k in safety.kinds if k.allergen == allergen.id]
    shown = [k.shown for k in known if k.kind in told]
    rest = told - {k.kind for k in known}
    return tuple(shown + [KIND_NOT_NAMED] * bool(rest))


def _with_kinds(state: AllergenState, which: str) -> str:
    return _name(state.allergen, which) + (f" ({', '.join(state.kinds)})" if state.kinds else "")


def _contains(states: Sequence[AllergenState], which: str) -> str:
    listed = [s for s in states if place(s.allergen, which) == LISTED]
    if all(s.state == EMPTY for s in listed):
        return ""
    found = [_with_kinds(s, which) for s in listed if s.state == CONTAINS]
    if found:
        return f"Contains: {', '.join(found)}."
    if any(s.state == NOT_KNOWN for s in listed):
        return "Contains: no listed allergen found so far."
    return "Contains: no listed allergen named in the ingredients."


def _unchecked(
    safety: Safety, states: Sequence[AllergenState], which: str, lines: Sequence[LineResult]
) -> str:
    asked = [s.allergen for s in states if place(s.allergen, which) == LISTED and s.state == NOT_KNOWN]
    if not asked:
        return ""
    foods = [
        line.food.name
        for line in lines
        if any(_asks(allergen_markers(line.food, safety), a.id) for a in asked)
    ]
    return f"Not checked: {', '.join(_name(a, which) for a in asked)} (read the package: {'; '.join(foods)})."


def _apart(states: Sequence[AllergenState], which: str) -> str:
    """The line on gluten where it is no listed allergen (US list)."""
    for s in states:
        if place(s.allergen, which) != APART or s.state == EMPTY:
            continue
        if s.state == CONTAINS:
            return f"Gluten: contains {_with_kinds(s, which)}."
        if s.state == NOT_KNOWN:
            return f"Gluten: not checked (read the package: {'; '.join(s.foods)})."
        return "Gluten: no gluten-containing grain named; not tested, so no gluten-free claim."
    return ""


def _suitability(safety: Safety, number: int, lines: Sequence[LineResult]) -> SuitabilityState:
    rule = safety.suitability[number]
    if not lines:
        return SuitabilityState(rule.name, EMPTY, ())
    written = {w for line in lines for w in diet_words(line.food)}
    present = [
        word
        for word in rule.answers
        if word in written
        or (word == UNKNOWN_WORD and any(w == NOT_LOOKED_AT or w not in rule.answers for w in written))
    ]
    shown = {word: UNKNOWN_SHOWN if word == UNKNOWN_WORD else word for word in present}
    no = tuple(shown[word] for word in present if rule.answers[word] == "no")
    ask = tuple(shown[word] for word in present if rule.answers[word] == "?")
    if no:
        return SuitabilityState(rule.name, NO, no)
    return SuitabilityState(rule.name, NOT_KNOWN if ask else YES, ask)
