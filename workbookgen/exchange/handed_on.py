"""What every exported recipe says in words: ingredients, allergens, who should ask first, keeping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.card_words import line_words
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.fractions import split_unit
from workbookgen.nutrition.keeping import keeping_lines
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.card_texts import card_sentences
from workbookgen.workbook.texts import read_sections


@dataclass(frozen=True, slots=True)
class HandedLine:
    """An ingredient line: heading above it, household amount, weight ("" when there is none), the rest."""

    section: str
    amount: str
    weight: str
    text: str

    @property
    def full(self) -> str:
        """The line in one text: "1/4 cup (36 g) Raisins (not packed)"."""
        weight = f"({self.weight})" if self.weight and self.weight != self.amount else ""
        return " ".join(part for part in (self.amount, weight, self.text) if part)


@dataclass(frozen=True, slots=True)
class Handed:
    """Sentences of an exported recipe; ``words`` are those of templates/export.md and templates/card.md."""

    lines: tuple[HandedLine, ...]
    allergens: tuple[str, ...]
    suitability: str
    cautions: tuple[str, ...]
    cooking: tuple[str, ...]
    keeping: tuple[str, ...]
    words: Mapping[str, str]


def hand_on(kitchen: Kitchen, analysis: Analysis) -> Handed:
    """Everything in words that goes with the figures.

    Raises ``ValueError`` for a kitchen without safety rules: a page without allergens would look complete.
    """
    safety = kitchen.safety
    if not safety.allergens:
        raise ValueError("the kitchen holds no allergens and cautions; load it with workbookgen.session")
    words = dict(card_sentences(kitchen).by_key)
    words |= {key: " ".join(lines) for key, lines in read_sections("export.md")}
    report = allergen_report(safety, analysis)
    may = analysis.recipe.may_contain
    cautions = caution_report(kitchen, analysis)
    heat = [f"{t.name}: {t.words}." for t, foods in cautions.temperatures if foods]
    return Handed(
        lines=tuple(_line(kitchen, line, words) for line in analysis.lines if _printed(line)),
        allergens=tuple(
            text
            for text in (
                report.contains,
                report.unchecked,
                report.apart,
                f"May contain (the cook's note): {may}" if may else "",
            )
            if text
        ),
        suitability=" ".join(f"{s.name}: {s.state}." for s in report.suitability if s.state != "-"),
        cautions=cautions.card_lines,
        cooking=(" ".join([words["cook to"], *heat]), safety.raw_handling) if heat else (),
        keeping=keeping_lines(safety, analysis),
        words=words,
    )


def _printed(line: LineResult) -> bool:
    """True for a line in the dish, and for one left out of the figures that someone may add back."""
    written = line.line
    return written.include or written.optional or written.garnish or written.held_back


def _line(kitchen: Kitchen, line: LineResult, words: Mapping[str, str]) -> HandedLine:
    written = line.line
    said = line_words(kitchen, load_kitchen_words(), line, 1.0)
    tail = split_unit(written.unit)[1]
    mark = "garnish" if written.garnish else "hold back" if written.held_back else "optional"
    parts = [
        line.food.name + (f" ({tail})" if tail else ""),
        words[mark] if written.garnish or written.held_back or written.optional else "",
        "" if written.include else words["not counted"],
        written.note,
    ]
    return HandedLine(written.section, said.household, said.weight, "; ".join(part for part in parts if part))
