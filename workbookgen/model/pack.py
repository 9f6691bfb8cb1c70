"""Packaged products as their label tells them, and the words printed on the front of a pack."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from workbookgen.model.claims import Proof

#: Amounts a condition may be judged on; the place in this row is the code the workbook uses.
PACK_BASES = ("none", "reference", "serving", "small 50 g", "100 g", "healthy amount")
#: What no pack tells: such a condition can never be judged from a label.
NOT_ON_LABEL = "not_on_label"
KINDS = ("food", "main dish", "meal")
MOST_WORDS = 5
MOST_CONDITIONS = 4


@dataclass(frozen=True, slots=True)
class Pack:
    """A packaged product, typed from its label.

    ``serving_g`` is the weight of one serving, told on the pack as ``serving_amount`` of ``serving_unit``.
    ``amounts`` maps tags to the declared amount of one serving in the unit of ``nutrients.csv``, ``percents`` to
    the printed per cent Daily Value; what is absent is not declared and unknown. ``contains`` are allergens in
    words; ``checked`` says that all others were looked for. ``salt``, ``sugar`` and ``fat`` say whether the
    ingredient list names one: "yes", "no" or "unknown". ``words`` are ids of pack words, ``compare`` the food the
    pack compares itself with, ``reference`` the id of its reference amount (21 CFR 101.12).
    """

    name: str
    serving_g: float
    serving_amount: float | None = None
    serving_unit: str = ""
    amounts: Mapping[str, float] = field(default_factory=dict)
    percents: Mapping[str, float] = field(default_factory=dict)
    words: tuple[str, ...] = ()
    compare: str = ""
    kind: str = "food"
    reference: str = ""
    contains: tuple[str, ...] = ()
    checked: bool = False
    salt: str = "unknown"
    sugar: str = "unknown"
    fat: str = "unknown"
    group: str = ""
    state: str = "ready"
    role: str = "seasoning"
    keep_group: str = "none"
    diet: str = ""


@dataclass(frozen=True, slots=True)
class PackCondition:
    """One condition of a word: ``quantity`` on ``basis`` compared with ``limit`` by ``sign``; ``asked`` says it in
    words. A word holds when all of its conditions do."""

    quantity: str
    basis: str
    sign: str
    limit: float
    asked: str
    proof: Proof


@dataclass(frozen=True, slots=True)
class PackWord:
    """A word of the list with its conditions per kind of product (no entry: not defined for that kind)."""

    id: str
    words: str
    note: str
    conditions: Mapping[str, tuple[PackCondition, ...]]


@dataclass(frozen=True, slots=True)
class PackRules:
    """All words in list order and the quantities their conditions use: (id, name, unit) in a fixed order.

    ``meets`` holds, per statement and kind of product, the conditions the compared product is held against.
    """

    words: tuple[PackWord, ...] = ()
    quantities: tuple[tuple[str, str, str], ...] = ()
    meets: Mapping[tuple[str, str], tuple[PackCondition, ...]] = field(default_factory=dict)

    def word(self, word_id: str) -> PackWord:
        """The word of an id; KeyError when there is none."""
        for word in self.words:
            if word.id == word_id:
                return word
        raise KeyError(word_id)
