"""The order in which statements, rules, conditions and quantities stand on the sheets that judge them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from workbookgen.model.claims import BASES, ClaimRules, Condition, Quantity, Rule, Statement
from workbookgen.nutrition.claims import STEPS

BASIS_WORDS = {
    "none": "the dish", "reference": "reference amount", "serving": "serving", "100 g": "100 g", "100 mL": "100 mL",
    "100 kcal": "100 kcal", "small 50 g": "50 g of a small amount", "healthy amount": "reference amount",
}
SIGN_WORDS = {"<=": "at most", "<": "below", ">=": "at least", ">": "above", "< known": "below"}


@dataclass(frozen=True)
class ClaimPlan:
    """Rows of the rule tables, numbered from 1 as the formulas count them."""

    rules: ClaimRules

    @cached_property
    def statements(self) -> tuple[Statement, ...]:
        """Statements anyone may read first, levels that rules refer to last."""
        return tuple(s for s in self.rules.statements if s.shown) + tuple(s for s in self.rules.statements if not s.shown)

    @cached_property
    def shown(self) -> int:
        return sum(s.shown for s in self.statements)

    @cached_property
    def number(self) -> dict[str, int]:
        return {s.id: i for i, s in enumerate(self.statements, 1)}

    @cached_property
    def ordered(self) -> tuple[Rule, ...]:
        """Rules of both sets, statement by statement."""
        return tuple(sorted(self.rules.rules.values(), key=lambda r: self.number[r.statement]))

    @cached_property
    def first(self) -> dict[tuple[str, str], int]:
        """First condition row of each (statement, dish)."""
        found, at = {}, 1
        for rule in self.ordered:
            found[rule.statement, rule.dish] = at
            at += len(rule.conditions)
        return found

    @cached_property
    def conditions(self) -> tuple[tuple[Rule, Condition], ...]:
        return tuple((rule, c) for rule in self.ordered for c in rule.conditions)

    @cached_property
    def slots(self) -> dict[str, int]:
        """Most conditions any rule has for a statement: the working cells a row needs."""
        found = {s.id: 0 for s in self.statements}
        for rule in self.ordered:
            found[rule.statement] = max(found[rule.statement], len(rule.conditions))
        return found

    @cached_property
    def paths(self) -> dict[str, tuple[int, ...]]:
        """Alternatives of each statement over all its rules; () when none has any."""
        found: dict[str, set[int]] = {s.id: set() for s in self.statements}
        for rule in self.ordered:
            found[rule.statement] |= {c.path for c in rule.conditions if c.path}
        return {key: tuple(sorted(paths)) for key, paths in found.items()}

    @cached_property
    def quantities(self) -> tuple[Quantity, ...]:
        """Everything a recipe sheet measures, in order of first use. Verdicts on other statements are not among
        them: a range that held both would go in a circle."""
        ids = dict.fromkeys(c.quantity for _, c in self.conditions)
        return tuple(q for i in ids if (q := self.rules.quantities[i]).kind != "say")

    def said(self, statement: str, slot: int) -> str:
        """The statement that condition ``slot`` (from 0) refers to, "" when it measures something itself.

        Raises ValueError when the rules of one statement mix both in one place; reorder the rows then.
        """
        found = set()
        for rule in self.ordered:
            if rule.statement == statement and slot < len(rule.conditions):
                quantity = self.rules.quantities[rule.conditions[slot].quantity]
                found.add(quantity.terms[0][0] if quantity.kind == "say" else "")
        if len(found) != 1:
            raise ValueError(f"{statement}, condition {slot + 1}: rules for different dishes refer to different things")
        return found.pop()

    def by_part(self, statement: str) -> bool:
        """True when a named ingredient carries the statement in some dishes."""
        rules = (r for r in self.ordered if r.statement == statement)
        return any(self.rules.quantities[r.conditions[0].quantity].kind == "part" for r in rules)

    @cached_property
    def quantity_number(self) -> dict[str, int]:
        return {q.id: i for i, q in enumerate(self.quantities, 1)}


def basis_number(basis: str) -> int:
    return BASES.index(basis) + 1


def steps(quantity: Quantity) -> int:
    """1 for quantities that step: no per cent of error makes sense for them."""
    return int(quantity.kind in STEPS)


def limit_words(rules: ClaimRules, condition: Condition) -> str:
    """The limit as a reader says it: "at most 140 mg"."""
    quantity = rules.quantities[condition.quantity]
    if quantity.kind == "say":
        named = next(s for s in rules.statements if s.id == quantity.terms[0][0])
        return f"{named.words['us'] or named.words['eu']} holds"
    if quantity.kind == "ingredients":
        return "none"
    if quantity.kind == "category":
        return "this category"
    sign = SIGN_WORDS[condition.sign]
    if condition.dv_tag:
        return f"{sign} {condition.limit:g} % DV"
    return f"{sign} {condition.limit:g} {quantity.unit}".rstrip()


def quantity_words(rules: ClaimRules, condition: Condition) -> str:
    """What is compared, in words."""
    quantity = rules.quantities[condition.quantity]
    return "Another statement" if quantity.kind == "say" else quantity.words


def joined(parts: Sequence[str]) -> str:
    return "; ".join(dict.fromkeys(p for p in parts if p))
