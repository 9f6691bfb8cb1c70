"""Rules for statements as plain rows: what may be said of a dish, and what must be said with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

US, EU, HEALTH = "us", "eu", "health"
SETS = (US, EU)
#: Reference values each rule set counts per cent in, whatever set is chosen for per cent Daily Value.
REFERENCE_SET = {US: "us_4plus", EU: "eu_nrv"}
US_DISHES = ("food", "main dish", "meal")
EU_DISHES = ("solid", "liquid")
SIGNS = ("<=", "<", ">=", ">", "< known")
#: Ceilings must hold with upper bounds for what is unknown; the last sign looks at the known amount only.
CEILINGS, KNOWN, STRICT = ("<=", "<"), "< known", ("<", ">", "< known")
BASES = ("none", "reference", "serving", "100 g", "100 mL", "100 kcal", "small 50 g", "healthy amount")
QUANTITY_KINDS = (
    "sum",
    "energy share",
    "fat share",
    "ingredients",
    "roles",
    "equivalents",
    "equivalent groups",
    "category",
    "corrected protein",
    "part",
    "say",
    "input",
)


@dataclass(frozen=True, slots=True)
class Proof:
    """Where a rule stands: source id, section, status (seen, memory, derived) and a remark."""

    source_id: str
    section: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Statement:
    """A statement a rule set may define. Empty words mean that the set has no such statement.

    ``part_words`` serves US main dishes and meals, where only a named ingredient carries it; "{food}" stands
    for the ingredient. ``shown`` is False for levels that only other rules refer to.
    """

    id: str
    group: str
    kind: str
    words: Mapping[str, str]
    part_words: str = ""
    shown: bool = True


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a condition measures. ``terms`` are (tag or word, factor); ``unit`` as printed."""

    id: str
    words: str
    kind: str
    terms: tuple[tuple[str, float], ...]
    unit: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Condition:
    """One comparison. ``limit`` stands in the quantity's unit, or in per cent of the reference value of
    ``dv_tag`` when that is set. ``path`` 0 always counts; other numbers are alternatives."""

    quantity: str
    basis: str
    sign: str
    limit: float
    dv_tag: str
    path: int
    proof: Proof


@dataclass(frozen=True, slots=True)
class Rule:
    """All conditions of one statement for one kind of dish in one rule set."""

    statement: str
    rule_set: str
    dish: str
    conditions: tuple[Condition, ...]
    disclosure: str = ""

    @property
    def confirmed(self) -> bool:
        """False while a figure of the rule is only remembered."""
        return all(c.proof.status != "memory" for c in self.conditions)

    @property
    def paths(self) -> tuple[int, ...]:
        """Numbers of the alternatives; (0,) when every condition counts."""
        return tuple(sorted({c.path for c in self.conditions if c.path})) or (0,)


@dataclass(frozen=True, slots=True)
class Disclosure:
    """A sentence, or for id ``level`` a word, that stands beside a statement unless statement ``unless`` holds."""

    id: str
    words: str
    unless: str
    tag: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class DishKind:
    """What a US main dish or meal must be: grams of a serving, portions of so many grams, groups."""

    name: str
    least_serving_g: float
    portion_g: float
    portions: float
    groups: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Racc:
    """A reference amount as eaten: ``grams``, or ``ml`` when it is told in cups and spoons."""

    id: str
    category: str
    grams: float | None
    ml: float | None
    hints: tuple[str, ...]
    states: tuple[str, ...]
    names: tuple[str, ...]
    proof: Proof


@dataclass(frozen=True, slots=True)
class HealthyGroup:
    """A food group of the word healthy: size of one equivalent in cup- or ounce-equivalents, limits in % DV."""

    id: str
    name: str
    unit: str
    one_equivalent: float
    sodium_dv: float
    added_sugars_dv: float
    saturated_fat_dv: float
    proof: Proof


@dataclass(frozen=True, slots=True)
class Comparison:
    """A statement that compares a dish with a reference dish."""

    id: str
    rule_set: str
    dish: str
    words: str
    quantity: str
    change: str
    least: float
    counted: str
    reference_not: str
    also: str
    also_limit: float | None
    proof: Proof


@dataclass(frozen=True, slots=True)
class UpperBound:
    """A nutrient whose unknown values get an upper bound; ``within`` names the nutrient it is part of."""

    tag: str
    within: str
    use_within: bool


@dataclass(frozen=True)
class ClaimRules:
    """Every rule about statements."""

    statements: tuple[Statement, ...] = ()
    quantities: Mapping[str, Quantity] = field(default_factory=dict)
    rules: Mapping[tuple[str, str, str], Rule] = field(default_factory=dict)
    health: tuple[tuple[str, Rule], ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    disclosures: tuple[Disclosure, ...] = ()
    kinds: tuple[DishKind, ...] = ()
    raccs: tuple[Racc, ...] = ()
    healthy_groups: tuple[HealthyGroup, ...] = ()
    healthy_map: Mapping[tuple[str, str], int] = field(default_factory=dict)
    bounds: tuple[UpperBound, ...] = ()

    def rule(self, rule_set: str, dish: str, statement: str) -> Rule | None:
        """The rule for a statement, None when the set does not define it for this kind of dish."""
        return self.rules.get((rule_set, dish, statement))

    def racc_of(self, hint: str, state: str) -> Racc | None:
        """Reference amount of a food by its hint and state, None when none is confirmed."""
        for racc in self.raccs:
            if (
                hint
                and hint in racc.hints
                and (not racc.states or state in racc.states)
                and racc.proof.status != "memory"
            ):
                return racc
        return None
