"""Statements as conditions on the amounts: their limits become rows, their counts whole-number helpers.

Ceilings count an upper bound for everything unknown, floors what is known, as the verdicts do (`nutrition.claims`).
A condition on the ingredient that brings most of a nutrient (21 CFR 101.54(b)(2), (c)(2)) picks that ingredient by a
helper; "no salt added" and the like ask that flagged ingredients are left out; main dish and meal (21 CFR 101.13(l),
(m)) count whole portions by helpers. Alternatives of a rule are separate ways.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from workbookgen.adjust.linear import AT_LEAST, AT_MOST, corrected_ways, covered_protein, weight_row
from workbookgen.adjust.space import (
    AMOUNT,
    HELPER,
    PRESENT,
    Demand,
    Helper,
    Key,
    LogicRow,
    Row,
    Space,
    Vector,
)
from workbookgen.adjust.targets import STATEMENT_PLACE, Wish
from workbookgen.model.claims import CEILINGS, EU, KNOWN, REFERENCE_SET, STRICT, US, Condition, Quantity, Rule
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.claims import (
    DRINK,
    FOUR_GROUPS,
    kind_of,
    racc_category,
    racc_grams,
    rule_set_of,
    within,
)
from workbookgen.nutrition.claims_measures import (
    ENERGY,
    FATTY_ACIDS,
    NOT_ASKED,
    Dish,
    basis_of,
    flag_of,
    food_racc_g,
    line_equivalents,
    line_most,
    measure,
)

Ways = tuple[Demand, ...]
IMPOSSIBLE = "cannot be changed by amounts"
#: Bases whose figure is a share of the weight of the dish, so that the weight takes part in the row.
_OF_WEIGHT = ("100 g", "100 mL", "reference", "small 50 g", "healthy amount")
_BASIS_WORDS = {
    "none": "", "serving": " of a serving", "100 g": " in 100 g", "100 mL": " in 100 mL", "100 kcal": " in 100 kcal",
    "reference": " in the reference amount", "small 50 g": " in 50 g", "healthy amount": " in the reference amount",
}  # fmt: skip


@dataclass(frozen=True)
class Claim:
    """A statement wished for a dish, with what its rows are made of."""

    space: Space
    number: int
    wish: Wish

    @cached_property
    def dish(self) -> Dish:
        space = self.space
        recipe = space.analysis.recipe
        return Dish(space.kitchen, space.analysis, racc_grams(space.kitchen, recipe), racc_category(space.kitchen, recipe.racc_text))

    @cached_property
    def rule_set(self) -> str:
        return rule_set_of(self.space.analysis)

    @cached_property
    def word(self) -> str:
        recipe = self.space.analysis.recipe
        if self.rule_set == US:
            return recipe.kind
        return "liquid" if DRINK in recipe.switches else "solid"

    def refuse(self, why: str) -> BadInput:
        return BadInput(STATEMENT_PLACE, f"'{self.wish.text}' cannot be a target: {why}")

    def ways(self) -> Ways:
        """Every way in which the statement holds. Raises BadInput where no rule or no figure allows it."""
        return tuple(way + self._kind() for way in self._statement(self.wish.statement))

    def _statement(self, statement: str) -> Ways:
        rules = self.space.kitchen.tables.claims
        rule = rules.rule(self.rule_set, self.word, statement)
        if rule is None:
            raise self.refuse(f"the {self.rule_set.upper()} rules do not define it for a {self.word}")
        if not rule.confirmed:
            raise self.refuse("some of its figures are from memory and not confirmed yet")
        return tuple(way for path in rule.paths for way in self._path(rule, path))

    def _path(self, rule: Rule, path: int) -> Iterator[Demand]:
        conditions = [c for c in rule.conditions if c.path in (0, path)]
        parts: list[Ways] = [self._condition(c) for c in conditions if self._quantity(c).kind != "part"]
        tags = dict.fromkeys(self._quantity(c).terms[0][0] for c in conditions if self._quantity(c).kind == "part")
        parts += [(self._part(tag, [c for c in conditions if self._is_part(c, tag)]),) for tag in tags]
        for chosen in product(*parts):
            yield sum(chosen, start=Demand())

    def _quantity(self, condition: Condition) -> Quantity:
        return self.space.kitchen.tables.claims.quantities[condition.quantity]

    def _is_part(self, condition: Condition, tag: str) -> bool:
        quantity = self._quantity(condition)
        return quantity.kind == "part" and quantity.terms[0][0] == tag

    def limit(self, condition: Condition) -> float:
        """The limit in the quantity's unit."""
        if not condition.dv_tag:
            return condition.limit
        values = self.space.kitchen.reference_set_by_id[REFERENCE_SET[self.rule_set]].values
        return condition.limit / 100 * values[condition.dv_tag].value

    def _condition(self, condition: Condition) -> Ways:
        quantity, limit = self._quantity(condition), self.limit(condition)
        simple: dict[str, Callable[[], Demand]] = {
            "sum": lambda: self._amount(condition, quantity, limit),
            "energy share": lambda: self._amount(condition, quantity, limit),
            "fat share": lambda: self._amount(condition, quantity, limit),
            "ingredients": lambda: self._ingredients(condition, quantity, limit),
            "roles": lambda: self._roles(condition, quantity, limit),
            "equivalents": lambda: self._equivalents(condition, quantity, limit),
            "equivalent groups": lambda: self._groups(condition, quantity, limit),
            "category": lambda: self._category(condition, quantity, limit),
        }
        if quantity.kind in simple:
            return (simple[quantity.kind](),)
        if quantity.kind == "corrected protein":
            return self._protein(condition, limit)
        if quantity.kind == "say" and condition.sign == AT_MOST and limit == 0:
            return self._statement(quantity.terms[0][0])
        raise self.refuse(f"'{quantity.words}' is not a matter of amounts")

    def _row(self, condition: Condition, words: str, unit: str, num: Vector, limit: float, tag: str = "") -> Demand:
        """A row on the basis of the condition; none where the rule does not ask on this basis."""
        den, constant = self._basis(condition.basis)
        if den is None and constant == 0:
            return Demand()
        sign = AT_MOST if condition.sign in (*CEILINGS, KNOWN) else AT_LEAST
        return Demand((
            Row(
                self.number, f"{words}{_BASIS_WORDS[condition.basis]}", sign, num, limit, unit, den, constant,
                strict=condition.sign in STRICT, tag=tag if condition.basis == "serving" else "",
            ),
        ))  # fmt: skip

    def _basis(self, basis: str) -> tuple[Vector | None, float]:
        """What the amount is divided by: a vector on the amounts or a constant (0 = the rule does not ask)."""
        space = self.space
        if basis == "none":
            return None, 1.0
        if basis == "serving":
            return None, space.servings
        if basis == "100 kcal":
            return space.values(ENERGY) / 100, 1.0
        found = basis_of(self.dish, basis)
        if found.state == NOT_ASKED:
            return None, 0.0
        if found.factor <= 0:
            raise self.refuse(
                "the recipe tells no reference amount; write racc_g, or racc and for cups and spoons cup_weight_g"
                if basis != "100 mL"
                else "the recipe tells no weight of a cup; write cup_weight_g"
            )
        # the factor is grams of the basis over the weight of the dish
        return space.cooked / (found.factor * space.analysis.cooked_weight), 1.0

    def _most(self, tag: str) -> Vector:
        """Upper bound of what is unknown, per unit."""
        bound = self.dish.bounds.get(tag)
        if bound is None:
            return np.zeros(len(self.space.slots))
        return self.space.vector(lambda one: line_most(one, bound, self.dish.group_most))

    def _amount(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        space, num = self.space, np.zeros(len(self.space.slots))
        for tag, factor in quantity.terms:
            num = num + factor * space.values(tag)
            if condition.sign in CEILINGS and factor > 0:
                num = num + factor * self._most(tag)
        sign = AT_MOST if condition.sign in (*CEILINGS, KNOWN) else AT_LEAST
        strict = condition.sign in STRICT
        if quantity.kind == "sum":
            tag = quantity.terms[0][0] if len(quantity.terms) == 1 else ""
            return self._row(condition, quantity.words, quantity.unit, num, limit, tag)
        tags = (ENERGY,) if quantity.kind == "energy share" else FATTY_ACIDS
        whole = sum((space.values(t) for t in tags), start=np.zeros(len(space.slots)))
        return Demand((Row(self.number, quantity.words, sign, num, limit, quantity.unit, whole / 100, strict=strict),))

    def _ingredients(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        if condition.sign != AT_MOST:
            raise self.refuse(f"'{quantity.words}' is only understood as a ceiling")
        flag = quantity.terms[0][0]
        coefs: dict[Key, float] = {
            (PRESENT, i): 1.0
            for i, slot in enumerate(self.space.slots)
            if slot.one.edible > 0 and flag_of(slot.food, flag) != "no"
        }
        return Demand(logic=(LogicRow(self.number, quantity.words, coefs, None, limit),))

    def _roles(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        roles = {role for role, _ in quantity.terms}
        num = self.space.vector(lambda one: one.cooked if one.role in roles else 0.0)
        return self._row(condition, quantity.words, quantity.unit, num, limit)

    def _shares(self) -> list[Vector]:
        """Equivalents per unit of each group of the word healthy."""
        kitchen, groups = self.space.kitchen, self.space.kitchen.tables.claims.healthy_groups
        found = [line_equivalents(kitchen, slot.one) for slot in self.space.slots]
        return [
            np.array([(amount or 0.0) / g.one_equivalent if group == k else 0.0 for group, amount in found])
            for k, g in enumerate(groups, 1)
        ]

    def _equivalents(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        return self._row(condition, quantity.words, quantity.unit, sum(self._shares()[1:], start=self._shares()[0]), limit)

    def _groups(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        if self.word == "food":
            raise self.refuse("its count of food groups stands on a share of the weight, which is no linear form")
        least = float(quantity.terms[0][0]) * self.space.servings
        return self._count(quantity.words, self._shares(), least, limit, limit)

    def _count(self, words: str, parts: list[Vector], size: float, wholes: float, groups: float) -> Demand:
        """At least ``groups`` of ``parts`` reach ``size``, and their whole multiples add up to ``wholes``."""
        helpers, logic = [], []
        total: dict[Key, float] = {}
        some: dict[Key, float] = {}
        for k, part in enumerate(parts):
            whole, one = f"{self.number} {words} {k} whole", f"{self.number} {words} {k} one"
            helpers += [Helper(whole, 0, max(wholes, 1)), Helper(one, 0, 1)]
            amounts: dict[Key, float] = {(AMOUNT, i): float(c) for i, c in enumerate(part) if c}
            logic.append(LogicRow(self.number, words, amounts | {(HELPER, whole): -size}, 0, None, soft=False))
            logic.append(LogicRow(self.number, words, {(HELPER, whole): 1.0, (HELPER, one): -1.0}, 0, None, soft=False))
            total[HELPER, whole], some[HELPER, one] = 1.0, 1.0
        logic += [LogicRow(self.number, words, total, wholes, None), LogicRow(self.number, words, some, groups, None)]
        return Demand((), tuple(logic), tuple(helpers))

    def _category(self, condition: Condition, quantity: Quantity, limit: float) -> Demand:
        if within(condition.sign, measure(self.dish, quantity).known, limit):
            return Demand()
        raise self.refuse(f"{quantity.words.lower()}: {IMPOSSIBLE}")

    def _protein(self, condition: Condition, limit: float) -> Ways:
        if condition.sign == KNOWN:  # enough to stay below: the protein itself, never less than what is corrected
            found = self._row(condition, "Protein with known amino acids", "g", covered_protein(self.space), limit)
            return (replace(found, rows=tuple(replace(row, exact=False) for row in found.rows)),)
        if condition.sign != AT_LEAST:
            raise self.refuse("corrected protein is only understood as a floor")
        den, constant = self._basis(condition.basis)
        if den is None and constant == 0:
            return (Demand(),)
        ways = corrected_ways(self.space, self.number, limit * constant, weight=den)
        return tuple(Demand(tuple(rows)) for rows in ways)

    def _part(self, tag: str, conditions: list[Condition]) -> Demand:
        """The ingredient that brings most of a nutrient must hold by itself: a helper picks it among those that do."""
        space, values = self.space, self.space.values(tag)
        good: list[int] = []
        rest: list[int] = []
        for i in range(len(space.slots)):
            if values[i] > 0:
                (good if self._holds(i, tag, conditions) else rest).append(i)
        words = f"The ingredient that brings most {space.kitchen.nutrient_by_tag[tag].name.lower()}"
        names = {i: f"{self.number} {tag} {i}" for i in good}
        one: dict[Key, float] = {(HELPER, name): 1.0 for name in names.values()}
        logic = [LogicRow(self.number, words, one, 1, None)]
        tops = {i: values[i] * space.slots[i].most for i in rest}
        for i, name in names.items():
            # only an ingredient that is in the dish can bring most
            least = float(values[i] * min(space.slots[i].least, space.slots[i].base) or values[i] * 1e-3)
            logic.append(LogicRow(self.number, words, {(AMOUNT, i): float(values[i]), (HELPER, name): -least}, 0, None, soft=False))
            for j in rest:
                coefs: dict[Key, float] = {
                    (AMOUNT, i): float(values[i]), (AMOUNT, j): -float(values[j]), (HELPER, name): -float(tops[j]),
                }  # fmt: skip
                logic.append(LogicRow(self.number, words, coefs, -float(tops[j]), None, soft=False))
        return Demand((), tuple(logic), tuple(Helper(name, 0, 1) for name in names.values()))

    def _holds(self, i: int, tag: str, conditions: list[Condition]) -> bool:
        one = self.space.slots[i].one
        grams = food_racc_g(self.space.kitchen, one.food)
        if grams is None or one.cooked <= 0:
            return False
        amount = (one.values[tag] or 0.0) / one.cooked * grams
        return all(within(c.sign, amount, self.limit(c)) for c in conditions)

    def _kind(self) -> Demand:
        """What a main dish or meal must be; individual foods and EU dishes always are."""
        if self.rule_set == EU:
            return Demand()
        kind = kind_of(self.space.kitchen, self.space.analysis.recipe)
        if kind.portion_g == 0:
            return Demand()
        words = f"Portions of a {kind.name}"
        groups = [
            self.space.vector(lambda one, r=roles: one.cooked if one.role in r and not one.line.garnish else 0.0)  # type: ignore[misc]
            for roles in FOUR_GROUPS
        ]
        size = kind.portion_g * self.space.servings
        weight = weight_row(self.space, self.number, AT_LEAST, kind.least_serving_g, f"Weight of a {kind.name}")
        return Demand((weight,)) + self._count(words, groups, size, kind.portions, kind.groups)
