"""The written rules of ``data/food_rules.toml`` as typed objects."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from pathlib import Path
from typing import Any

from workbookgen.catalogue.csvread import read_rows
from workbookgen.model.errors import BadInput

RULES_FILE = "food_rules.toml"


@dataclass(frozen=True, slots=True)
class ZeroRule:
    """Tags that are known zeros in foods that match every condition given (empty = any)."""

    name: str
    why: str
    tags: tuple[str, ...]
    but: tuple[str, ...]
    foods: frozenset[str]
    groups: frozenset[str]
    diet: frozenset[str]
    salt_ingredient: frozenset[str]
    least: Mapping[str, Decimal]

    def applies_to(
        self, number: str, group: str, diet: str, salt: str, values: Mapping[str, Decimal]
    ) -> bool:
        """Say whether the food matches; ``diet`` is its semicolon list, all of which must be allowed."""
        in_it = {word for word in diet.split(";") if word}
        return (
            (not self.foods or number in self.foods)
            and (not self.groups or group in self.groups)
            and (not self.diet or (bool(in_it) and in_it <= self.diet))
            and (not self.salt_ingredient or salt in self.salt_ingredient)
            and all(values.get(tag, Decimal(-1)) >= least for tag, least in self.least.items())
        )


@dataclass(frozen=True, slots=True)
class FoodRules:
    """Everything the authoring step needs to know besides the foods."""

    decimals: Mapping[str, int]
    significant_digits: int
    tryptophan_per_niacin: Decimal
    dfe_factor: Decimal
    provenance_order: tuple[str, ...]
    derivation_word: Mapping[str, str]
    source_word: Mapping[str, str]
    zeros: tuple[ZeroRule, ...]
    part_zeros: tuple[tuple[str, tuple[str, ...]], ...]
    unfortified_groups: frozenset[str]
    folate_total: str
    sweetener_groups: frozenset[str]
    not_all_added: frozenset[str]

    def provenance_word(self, source: str, derivation: str) -> str:
        """Word for USDA's codes of one value; the derivation code tells more than the source code."""
        word = self.derivation_word.get(derivation) or self.source_word.get(source)
        if word is None:
            raise BadInput(RULES_FILE, f'no provenance word for source "{source}", derivation "{derivation}"')
        return word

    def rounded(self, tag: str, value: Decimal) -> str:
        """Text of a derived figure after the written rounding (half to even)."""
        return str(value.quantize(Decimal(1).scaleb(-self.decimals[tag]), rounding=ROUND_HALF_EVEN))

    def significant(self, value: Decimal) -> str:
        """Text of a quotient to the written number of significant digits, without trailing zeros."""
        shown = Context(prec=self.significant_digits, rounding=ROUND_HALF_EVEN).plus(value).normalize()
        return format(shown, "f")


def load_rules(data: Path) -> FoodRules:
    """Read ``food_rules.toml`` and the two constants it refers to."""
    try:
        raw = tomllib.loads((data / RULES_FILE).read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise BadInput(RULES_FILE, f"is not valid TOML ({error})") from error
    constants = _constants(data / "constants.csv")
    rounding = dict(raw["rounding"])
    digits = int(rounding.pop("significant_digits"))
    return FoodRules(
        decimals=rounding,
        significant_digits=digits,
        tryptophan_per_niacin=constants["tryptophan_per_niacin"],
        dfe_factor=constants["dfe_factor"],
        provenance_order=tuple(raw["provenance"]["order"]),
        derivation_word=_inverted(raw["provenance"]["derivation"]),
        source_word=_inverted(raw["provenance"]["source"]),
        zeros=tuple(_zero_rule(rule) for rule in raw["zero"]),
        part_zeros=tuple((rule["whole"], tuple(rule["parts"])) for rule in raw["part_zero"]),
        unfortified_groups=frozenset(raw["folate"]["unfortified_groups"]),
        folate_total=raw["folate"]["usda_total"],
        sweetener_groups=frozenset(raw["added_sugar"]["sweetener_groups"]),
        not_all_added=frozenset(raw["added_sugar"]["but_foods"]),
    )


def _constants(path: Path) -> dict[str, Decimal]:
    columns = ("id", "name", "value", "unit", "kind", "source_id", "status", "note")
    return {row.text("id"): Decimal(row.text("value")) for row in read_rows(path, columns)}


def _inverted(words: Mapping[str, list[str]]) -> dict[str, str]:
    return {code: word for word, codes in words.items() for code in codes}


def _zero_rule(rule: Mapping[str, Any]) -> ZeroRule:
    return ZeroRule(
        name=rule["name"],
        why=rule["why"],
        tags=tuple(rule["tags"]),
        but=tuple(rule.get("but", ())),
        foods=frozenset(rule.get("foods", ())),
        groups=frozenset(rule.get("groups", ())),
        diet=frozenset(rule.get("diet", ())),
        salt_ingredient=frozenset(rule.get("salt_ingredient", ())),
        least={tag: Decimal(str(value)) for tag, value in rule.get("least", {}).items()},
    )
