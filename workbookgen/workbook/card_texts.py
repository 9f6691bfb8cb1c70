"""Texts of a card known when the book is built, from the core, so that boxes can be measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.allergens import allergen_report
from workbookgen.nutrition.card_words import carbohydrate_choices
from workbookgen.nutrition.cautions import caution_report
from workbookgen.nutrition.keeping import keeping_lines
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.texts import read_sections

BULLET = "• "
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


def suitability_sentence(names: list[str], states: list[str]) -> str:
    """"Vegan: no. Without pork: yes." """
    return " ".join(f"{name}: {state}." for name, state in zip(names, states, strict=True))


def box_texts(kitchen: Kitchen, analysis: Analysis, statements: int) -> dict[str, list[str]]:
    """The parts of each box as they stand when the book is built, the longer list of allergens counting.

    ``statements`` ticked statements are counted as two lines each: their words are worked out elsewhere.
    """
    recipe, safety, words = analysis.recipe, kitchen.safety, card_sentences(kitchen)
    boxes: dict[str, list[str]] = {
        "method": [f"{i}. {step}" for i, step in enumerate(recipe.method, 1)],
        "under": [words["calculated"]],
        "notes": [BULLET + _note(kitchen, n.text, n.source) for n in recipe.notes],
    }
    if SWITCH in recipe.switches:
        boxes["under"].append(choices_sentence(kitchen, analysis, words))
    if not safety.allergens:
        return boxes
    reports = [allergen_report(safety, _with_set(analysis, s.id)) for s in kitchen.tables.reference_sets]
    fullest = max(reports, key=lambda r: len(r.contains) + len(r.unchecked) + len(r.apart))
    suitable = suitability_sentence([s.name for s in safety.suitability], [s.state for s in fullest.suitability])
    note = f"May contain (the cook's note): {recipe.may_contain}" if recipe.may_contain else ""
    boxes["contains"] = [fullest.contains]
    boxes["rest"] = [t for t in (fullest.unchecked, fullest.apart, note, suitable) if t]
    cautions = caution_report(kitchen, analysis)
    boxes["ask"] = [*(BULLET + line for line in cautions.card_lines), words["ask"]]
    heat = [f"{t.name}: {t.words}." for t, foods in cautions.temperatures if foods]
    raw = [" ".join([words["cook to"], *heat]), safety.raw_handling] if heat else []
    boxes["keeping"] = [*raw, " ".join(keeping_lines(safety, analysis))]
    return boxes


def _with_set(analysis: Analysis, set_id: str) -> Analysis:
    return replace(analysis, settings=replace(analysis.settings, reference_set=set_id))


def _note(kitchen: Kitchen, text: str, source: str) -> str:
    cited = kitchen.tables.sources[source].citation if source in kitchen.tables.sources else source
    return f"{text} ({cited})" if cited else text


def choices_sentence(kitchen: Kitchen, analysis: Analysis, words: CardSentences) -> str:
    """The line on carbohydrate choices."""
    carbohydrate = analysis.nutrients["CHOCDF"]
    about = carbohydrate.reads or "about"
    return words["choices"].format(about=about, choices=carbohydrate_choices(kitchen, carbohydrate.serving))


def panel_note_longest() -> str:
    """The longest note under a panel, for the room it needs."""
    return max((note for _, note in load_panel_rules().sets.values()), key=len)
