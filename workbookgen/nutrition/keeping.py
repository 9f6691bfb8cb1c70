"""How a dish keeps: the kind of dish and the lines a card prints."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.safety import Keeping, Safety
from workbookgen.nutrition.kitchen import NO_TREATMENT
from workbookgen.nutrition.markers import diet_words, line_counts, line_marks

SOUP = "soup"


def keeping_kind(safety: Safety, analysis: Analysis) -> Keeping:
    """The first kind of dish whose mark is found; a recipe marked as soup is one. Needs loaded rules."""
    lines = [line for line in analysis.lines if line_counts(line.line)]
    diet = {w for line in lines for w in diet_words(line.food)}
    marks = {m for line in lines for m in line_marks(line, safety)}
    cold = all(line.line.treatment.lower() == NO_TREATMENT for line in lines)
    for kind in safety.keeping:
        if kind.id == SOUP and analysis.recipe.soup:
            return kind
        if (
            (kind.kind == "cold" and cold)
            or (kind.kind == "caution" and kind.key in marks)
            or (kind.kind == "diet" and kind.key in diet)
        ):
            return kind
    return safety.keeping[-1]


def keeping_lines(safety: Safety, analysis: Analysis) -> tuple[str, ...]:
    """What a card prints: the recipe's own keeping lines, or else the published ones."""
    return analysis.recipe.storage or keeping_kind(safety, analysis).lines
