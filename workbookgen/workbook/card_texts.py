"""Texts of a card known when the book is built, from the core, so that boxes can be measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.card_words import carbohydrate_choices
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.fractions import split_unit
from workbookgen.nutrition.keeping import keeping_lines
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.recipe_about import cited
from workbookgen.workbook.texts import read_sections

BULLET = "• "
LONGEST_NOTE = 80
#: A ticked statement and what must be said beside it are worked out elsewhere; this much room is kept for each.
STATEMENT_ROOM = "x" * 150
SWITCH = "carbohydrate choices"


@dataclass(frozen=True, slots=True)
class CardSentences:
    """Sentences of templates/card.md with their figures filled in."""

    by_key: Mapping[str, str]

    def __getitem__(self, key: str) -> str:
        return self.by_key[key]


def card_sentences(kitchen: Kitchen) -> CardSentences:
    """The sentences; ``{about}`` and ``{choices}`` stay, the card fills them in."""
    kept = {"about": "{about}", "choices": "{choices}"}
    figures = {key: shown(value, 2) for key, value in kitchen.constants.items()} | kept
    return CardSentences({key: " ".join(lines).format(**figures) for key, lines in read_sections("card.md")})


def line_text(line: IngredientLine, words: CardSentences) -> str:
    """What stands beside the amount of an ingredient: food, what the unit adds, mark in words, note."""
    tail = split_unit(line.unit)[1]
    mark = "garnish" if line.garnish else "hold back" if line.held_back else "optional" if line.optional else ""
    parts = [line.food + (f" ({tail})" if tail else ""), words[mark] if mark else "",
             "" if line.include else words["not counted"], line.note[:LONGEST_NOTE]]
    return "; ".join(part for part in parts if part)


def suitability_sentence(names: list[str], states: list[str]) -> str:
    """"Vegan: no. Without pork: yes." """
    return " ".join(f"{name}: {state}." for name, state in zip(names, states, strict=True))


def box_texts(kitchen: Kitchen, analysis: Analysis) -> dict[str, list[list[str]]]:
    """Per box the lists of parts it may hold as the book stands: one list, or one per reference set."""
    recipe, safety, words = analysis.recipe, kitchen.safety, card_sentences(kitchen)
    under = [words["calculated"], choices_sentence(kitchen, analysis, words)]  # room for both: the second is a switch
    statements = [STATEMENT_ROOM] * len(recipe.statements)
    boxes = {
        "method": [[f"{i}. {step}" for i, step in enumerate(recipe.method, 1)]],
        "under": [under],
        "notes": [[*statements, *(BULLET + _note(kitchen, n.text, n.source) for n in recipe.notes)]],
    }
    if not safety.allergens:
        return boxes
    reports = [allergen_report(safety, _with_set(analysis, s.id)) for s in kitchen.tables.reference_sets]
    note = f"May contain (the cook's note): {recipe.may_contain}" if recipe.may_contain else ""
    names = [s.name for s in safety.suitability]
    boxes["contains"] = [[r.contains] for r in reports]
    boxes["rest"] = [
        [t for t in (r.unchecked, r.apart, note, suitability_sentence(names, [s.state for s in r.suitability])) if t]
        for r in reports
    ]
    cautions = caution_report(kitchen, analysis)
    boxes["ask"] = [[*(BULLET + line for line in cautions.card_lines), words["ask"]]]
    heat = [f"{t.name}: {t.words}." for t, foods in cautions.temperatures if foods]
    raw = [" ".join([words["cook to"], *heat]), safety.raw_handling] if heat else []
    boxes["keeping"] = [[*raw, " ".join(keeping_lines(safety, analysis))]]
    return boxes


def _with_set(analysis: Analysis, set_id: str) -> Analysis:
    return replace(analysis, settings=replace(analysis.settings, reference_set=set_id))


def _note(kitchen: Kitchen, text: str, source: str) -> str:
    named = cited(kitchen, source)
    return f"{text} ({named})" if named else text


def choices_sentence(kitchen: Kitchen, analysis: Analysis, words: CardSentences) -> str:
    """The line on carbohydrate choices."""
    carbohydrate = analysis.nutrients["CHOCDF"]
    about = (carbohydrate.reads or "about").capitalize()
    return words["choices"].format(about=about, choices=carbohydrate_choices(kitchen, carbohydrate.serving))
