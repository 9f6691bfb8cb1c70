"""Verdicts on statements: what may be said of a dish (21 CFR part 101, Regulation (EC) 1924/2006)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from workbookgen.model.analysis import Analysis
from workbookgen.model.claims import EU, REFERENCE_SET, US, Condition, DishKind, Racc, Rule, Statement
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.claims_measures import MISSING, NOT_ASKED, Basis, Dish, Measured, basis_of, measure
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

HOLDS, FAILS, CANNOT = "holds", "fails", "cannot be judged"
MEND, NOT_KIND, NOT_DEFINED, UNCONFIRMED = (
    "mend the lines first",
    "not for this kind of dish",
    "not in this rule set",
    "figures not confirmed",
)
NOTHING = "-"
CODES = {HOLDS: 1, CANNOT: 0, FAILS: -1}
WORDS = {1: HOLDS, 0: CANNOT, -1: FAILS}
ABSENT = 2
NEVER = 1e12
DRINK = "drink"


@dataclass(frozen=True, slots=True)
class Judged:
    """One condition judged: value on its basis, the same with upper bounds, limit, code (1 holds, 0 cannot be
    judged, -1 fails) and by how many per cent the value may be wrong before the code changes (1e12 = any)."""

    value: float
    most: float
    limit: float
    code: int
    flips: float
    missing: bool = False
    decides: str = ""


@dataclass(frozen=True, slots=True)
class StatementResult:
    """The verdict on one statement; ``governing`` is the place (from 0) of the condition that decides it."""

    statement: Statement
    rule: Rule | None
    verdict: str
    code: int
    judged: tuple[Judged, ...] = ()
    governing: int = 0

    @property
    def may_be_printed(self) -> bool:
        return self.verdict == HOLDS and self.statement.shown

    @property
    def decisive(self) -> Judged | None:
        return self.judged[self.governing] if self.judged else None


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Every statement of the rule set in use, in table order, with what they were judged on."""

    rule_set: str
    dish_word: str
    racc_g: float
    kind_ok: bool
    results: tuple[StatementResult, ...]
    by_id: Mapping[str, StatementResult] = field(default_factory=dict)


def within(sign: str, value: float, limit: float) -> bool:
    """Compare, both sides rounded to 9 decimals so that binary noise decides nothing.

    >>> within("<=", 0.1 + 0.2, 0.3), within("<", 5.0, 5.0), within(">=", 19.9999, 20)
    (True, False, False)
    """
    v, at = half_up(value, 9), half_up(limit, 9)
    if sign == "<=":
        return v <= at
    if sign in ("<", "< known"):
        return v < at
    return v >= at if sign == ">=" else v > at


#: Quantities that step rather than flow: a per cent by which they may be wrong means nothing.
STEPS = ("ingredients", "roles", "equivalent groups", "category", "say")


def judge_condition(sign: str, limit: float, measured: Measured, basis: Basis, steps: bool = False) -> Judged:
    """Judge one condition. Ceilings must hold with upper bounds for everything unknown; floors need only be
    reached by what is known; what is unknown or may be too high never turns into a pass."""
    if basis.state == MISSING:
        return Judged(0.0, 0.0, limit, 0, NEVER, missing=True)
    if basis.state == NOT_ASKED:
        return Judged(0.0, 0.0, limit, 1, NEVER)
    value, most = measured.known * basis.factor, measured.most * basis.factor
    if sign == "< known":
        code = 1 if within(sign, value, limit) else -1
        compared = value
    elif sign in ("<=", "<"):
        good, hopeless = within(sign, most, limit) and not measured.open, not within(sign, value, limit)
        doubt = measured.drained or measured.loose
        code = 1 if good else (-1 if hopeless and not doubt else 0)
        compared = most if code == 1 else value
    else:
        reached = within(sign, value, limit)
        code = (0 if measured.loose else 1) if reached else (0 if measured.short else -1)
        compared = value
    flips = NEVER if steps or code == 0 or compared <= 0 else abs(limit - compared) / compared * 100
    return Judged(value, most, limit, code, flips, decides=measured.decides)


def combine(rule: Rule, judged: Sequence[Judged]) -> tuple[int, int]:
    """Code of a rule and the place of its governing condition: the first that fails, else the first that
    cannot be judged, else the one that flips first (with alternatives the first that holds)."""
    codes = []
    for path in rule.paths:
        codes.append(min(j.code for c, j in zip(rule.conditions, judged, strict=True) if c.path in (0, path)))
    code = max(codes)
    if code == 1 and rule.paths != (0,):
        return code, [j.code for j in judged].index(1)
    if code == 1:
        flips = [j.flips if j.code == 1 else NEVER + 1 for j in judged]
        return code, flips.index(min(flips))
    return code, [j.code for j in judged].index(code)


def kind_of(kitchen: Kitchen, recipe: Recipe) -> DishKind:
    return next(k for k in kitchen.tables.claims.kinds if k.name == recipe.kind)


#: The four groups of 21 CFR 101.13(l) and (m) by role on the plate.
FOUR_GROUPS = (
    ("whole grain", "refined grain"),
    ("vegetable", "starchy vegetable", "fruit"),
    ("dairy",),
    ("protein", "legume", "nuts and seeds"),
)


def kind_test(analysis: Analysis, kind: DishKind) -> bool:
    """Is a serving what 21 CFR 101.13(l) or (m) call a meal or main dish? Individual foods always are."""
    grams = [
        sum(line.cooked for line in analysis.lines if line.role in roles and not line.line.garnish)
        / analysis.servings
        for roles in FOUR_GROUPS
    ]
    if kind.portion_g == 0:
        return True
    whole = [int(half_up(g / kind.portion_g, 9)) for g in grams]
    return (
        half_up(analysis.serving_g, 9) >= kind.least_serving_g
        and sum(whole) >= kind.portions
        and sum(w > 0 for w in whole) >= kind.groups
    )


def racc_category(kitchen: Kitchen, text: str) -> Racc | None:
    """The reference-amount category a recipe names: its id, its name, or words it begins with."""
    wanted = text.strip().lower()
    for racc in kitchen.tables.claims.raccs:
        if wanted and wanted in (racc.id, racc.category.lower()):
            return racc
    named = [
        (name, r) for r in kitchen.tables.claims.raccs for name in r.names if wanted.startswith(name.lower())
    ]
    return max(named, key=lambda pair: len(pair[0]))[1] if named else None


def racc_grams(kitchen: Kitchen, recipe: Recipe) -> float:
    """Grams of the reference amount: as given, or of the category; 0 when it cannot be told. Amounts in cups
    and spoons (a labelling cup is 240 mL) need the weight of one cup of the finished dish."""
    if recipe.racc_g is not None:
        return recipe.racc_g
    racc = racc_category(kitchen, recipe.racc_text)
    if racc is None:
        return 0.0
    if racc.grams is not None:
        return racc.grams
    cup = recipe.cup_weight_g
    return racc.ml * cup / kitchen.unit_by_name["cup"].factor if cup and racc.ml is not None else 0.0


def rule_set_of(analysis: Analysis) -> str:
    """EU rules when the EU reference values are chosen, else US rules."""
    return EU if analysis.settings.reference_set == REFERENCE_SET[EU] else US


def judge_statements(
    kitchen: Kitchen, analysis: Analysis, rule_set: str | None = None, dish: Dish | None = None
) -> Verdicts:
    """Judge every statement of a rule set for a worked-out recipe."""
    chosen = rule_set or rule_set_of(analysis)
    recipe = analysis.recipe
    racc = racc_category(kitchen, recipe.racc_text)
    seen = dish or Dish(kitchen, analysis, racc_grams(kitchen, recipe), racc)
    if chosen == US:
        word, ok = recipe.kind, kind_test(analysis, kind_of(kitchen, recipe))
    else:
        word, ok = ("liquid" if DRINK in recipe.switches else "solid"), True
    judge = _Judge(seen, chosen, word, ok)
    results = tuple(judge.statement(s) for s in kitchen.tables.claims.statements)
    return Verdicts(chosen, word, seen.racc_g, ok, results, {r.statement.id: r for r in results})


@dataclass
class _Judge:
    dish: Dish
    rule_set: str
    word: str
    kind_ok: bool
    done: dict[str, StatementResult] = field(default_factory=dict)

    def statement(self, statement: Statement) -> StatementResult:
        if statement.id not in self.done:
            self.done[statement.id] = self._judge(statement)
        return self.done[statement.id]

    def _judge(self, statement: Statement) -> StatementResult:
        rules = self.dish.rules
        rule = rules.rule(self.rule_set, self.word, statement.id)
        if not any(line.weight_without_water for line in self.dish.lines):
            return StatementResult(statement, rule, NOTHING, 0)
        if rule is None:
            other = any(key[0] == self.rule_set and key[2] == statement.id for key in rules.rules)
            return StatementResult(statement, None, NOT_KIND if other else NOT_DEFINED, 0)
        judged = tuple(self._condition(c) for c in rule.conditions)
        code, governing = combine(rule, judged)
        verdict = WORDS[code]
        if not self.kind_ok:
            verdict, code = NOT_KIND, 0
        elif not rule.confirmed:
            verdict = UNCONFIRMED
        return StatementResult(statement, rule, verdict, code, judged, governing)

    def _condition(self, condition: Condition) -> Judged:
        rules = self.dish.rules
        quantity = rules.quantities[condition.quantity]
        limit = condition.limit
        if condition.dv_tag:
            values = self.dish.kitchen.reference_set_by_id[REFERENCE_SET[self.rule_set]].values
            limit = condition.limit / 100 * values[condition.dv_tag].value
        if quantity.kind == "say":
            wanted = next(s for s in rules.statements if s.id == quantity.terms[0][0])
            measured = said(self.statement(wanted).code)
        else:
            measured = measure(self.dish, quantity, "healthy amount" if self.word == "food" else "serving")
        return judge_condition(
            condition.sign, limit, measured, basis_of(self.dish, condition.basis), quantity.kind in STEPS
        )


def said(code: int) -> Measured:
    """A verdict as a quantity: 0 when it holds, 1 when it fails, 0 to 1 when it cannot be judged."""
    return Measured(0.0 if code >= 0 else 1.0, 0.0 if code == 1 else 1.0)
