"""Nutrient values of one food row: USDA's figures as printed, logical zeros, derived figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from workbookgen.catalogue.authoring_rules import FoodRules
from workbookgen.catalogue.sr_ascii import SrValue
from workbookgen.model.tables import Nutrient

ZERO = "0"
LOGICAL_ZERO = "logical zero"
CALCULATED = "calculated"
BORROWED_PHYTATE = "borrowed from ifct_2017"
MG_PER_G = 1000


@dataclass(frozen=True, slots=True)
class FoodFacts:
    """What the value rules must know about a food besides USDA's figures (words of the selection)."""

    number: str
    group: str
    diet: str
    salt_ingredient: str
    sugar_ingredient: str


@dataclass(slots=True)
class Figures:
    """Figures of one food by tag, as text, each with its provenance word."""

    texts: dict[str, str] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)

    def put(self, tag: str, text: str, word: str) -> None:
        """Set one figure."""
        self.texts[tag] = text
        self.words[tag] = word

    def put_if_unknown(self, tag: str, text: str, word: str) -> None:
        """Set one figure unless it is known already."""
        if tag not in self.texts:
            self.put(tag, text, word)

    def number(self, tag: str) -> Decimal | None:
        """Figure as an exact decimal, ``None`` when unknown."""
        text = self.texts.get(tag)
        return None if text is None else Decimal(text)


def food_figures(
    facts: FoodFacts,
    printed: Mapping[str, SrValue],
    nutrients: Sequence[Nutrient],
    rules: FoodRules,
    phytate_g: Decimal | None = None,
) -> Figures:
    """Put together the figures of one food per 100 g edible portion.

    ``printed`` are USDA's values by nutrient number, ``phytate_g`` a borrowed phytate figure in g per 100 g.
    The order matters: printed figures first, then zeros that follow from the kind of food, then sums.
    """
    figures = Figures()
    for nutrient in nutrients:
        value = printed.get(nutrient.usda_no) if nutrient.usda_no else None
        if value is not None:
            figures.put(nutrient.tag, value.text, rules.provenance_word(value.source, value.derivation))
    if phytate_g is not None:
        figures.put("PHYTAC", rules.rounded("PHYTAC", phytate_g * MG_PER_G), BORROWED_PHYTATE)
    _put_added_sugar(figures, facts, rules)
    _put_logical_zeros(figures, facts, [n.tag for n in nutrients], rules)
    _put_folates(figures, facts, printed, rules)
    _put_niacin_equivalents(figures, rules)
    return figures


def _put_added_sugar(figures: Figures, facts: FoodFacts, rules: FoodRules) -> None:
    """All sugars of a sweetener are added, none of a food without a sugar ingredient, else unknown."""
    sugar = figures.number("SUGAR")
    if facts.sugar_ingredient == "no":
        figures.put("SUGAD", ZERO, LOGICAL_ZERO)
    elif (
        sugar is not None
        and facts.sugar_ingredient == "yes"
        and facts.group in rules.sweetener_groups
        and facts.number not in rules.not_all_added
    ):
        figures.put("SUGAD", rules.rounded("SUGAD", sugar), CALCULATED)


def _put_logical_zeros(figures: Figures, facts: FoodFacts, tags: Sequence[str], rules: FoodRules) -> None:
    known = {tag: Decimal(text) for tag, text in figures.texts.items()}
    for rule in rules.zeros:
        if rule.applies_to(facts.number, facts.group, facts.diet, facts.salt_ingredient, known):
            for tag in tags if rule.tags == ("*",) else rule.tags:
                if tag not in rule.but:
                    figures.put_if_unknown(tag, ZERO, LOGICAL_ZERO)
    for whole, parts in rules.part_zeros:
        if figures.number(whole) == 0:
            for tag in parts:
                figures.put_if_unknown(tag, ZERO, LOGICAL_ZERO)


def _put_folates(
    figures: Figures, facts: FoodFacts, printed: Mapping[str, SrValue], rules: FoodRules
) -> None:
    """Complete food folate, folic acid, their total and the dietary folate equivalents."""
    total_value = printed.get(rules.folate_total)
    total = None if total_value is None else Decimal(total_value.text)
    food, acid = figures.number("FOLFD"), figures.number("FOLAC")
    if total_value is not None and total is not None:
        word = rules.provenance_word(total_value.source, total_value.derivation)
        if total == 0:
            figures.put_if_unknown("FOLFD", ZERO, LOGICAL_ZERO)
            figures.put_if_unknown("FOLAC", ZERO, LOGICAL_ZERO)
        elif acid is None and (food == total or (food is None and facts.group in rules.unfortified_groups)):
            figures.put_if_unknown("FOLFD", total_value.text, word)
            figures.put("FOLAC", ZERO, LOGICAL_ZERO)
        elif food is None and acid is not None and acid <= total:
            figures.put("FOLFD", rules.rounded("FOLFD", total - acid), CALCULATED)
        elif acid is None and food is not None and food < total:
            figures.put("FOLAC", rules.rounded("FOLAC", total - food), CALCULATED)
        else:
            figures.put_if_unknown("FOL", total_value.text, word)
    food, acid = figures.number("FOLFD"), figures.number("FOLAC")
    if food is not None and acid is not None:
        figures.put("FOL", rules.rounded("FOL", food + acid), CALCULATED)
        figures.put("FOLDFE", rules.rounded("FOLDFE", food + rules.dfe_factor * acid), CALCULATED)


def _put_niacin_equivalents(figures: Figures, rules: FoodRules) -> None:
    niacin, tryptophan = figures.number("NIA"), figures.number("TRP")
    if niacin is not None and tryptophan is not None:
        value = niacin + tryptophan * MG_PER_G / rules.tryptophan_per_niacin
        figures.put("NIAEQ", rules.rounded("NIAEQ", value), CALCULATED)


def provenance_text(figures: Figures, nutrients: Sequence[Nutrient], rules: FoodRules) -> str:
    """Count the provenance words block by block, such as ``Fats: 6 analysed, 2 logical zero; ...``."""
    blocks: dict[str, Counter[str]] = {}
    for nutrient in nutrients:
        word = figures.words.get(nutrient.tag)
        if word is not None:
            blocks.setdefault(nutrient.block, Counter())[word] += 1
    return "; ".join(
        f"{block}: " + ", ".join(f"{counts[word]} {word}" for word in rules.provenance_order if counts[word])
        for block, counts in blocks.items()
    )
