"""A recipe as one Markdown page: what the printed card says, without its layout.

>>> from workbookgen import analyse, load
>>> book = load()
>>> page = as_markdown(book.kitchen, analyse(book, "Fruit and walnut slaw"))
>>> page.splitlines()[0]
'# Fruit and walnut slaw'
>>> [line for line in page.splitlines() if "Raisins" in line and "cup" in line]
['- **1/4 cup** (36 g) Raisins (not packed)']
"""

from __future__ import annotations

from workbookgen.catalogue.kitchen_words import load_kitchen_words
from workbookgen.catalogue.panel_rules import load_panel_rules
from workbookgen.exchange.cells import md_text
from workbookgen.exchange.export_csv import citation
from workbookgen.exchange.handed_on import Handed, HandedLine, hand_on
from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Note, Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.panel import Panel, make_panel

EM_SPACE = "\u2003"
HEADS = {"us": ("", "Amount", "% DV*"), "eu": ("", "100 g", "Portion")}


def as_markdown(kitchen: Kitchen, analysis: Analysis) -> str:
    """The page as CommonMark with one table; every text shows as written, whatever characters it holds."""
    recipe, handed = analysis.recipe, hand_on(kitchen, analysis)
    panel = make_panel(kitchen, analysis, load_panel_rules(), load_kitchen_words())
    blocks = [
        f"# {md_text(recipe.title)}",
        _facts(analysis, panel, handed),
        "## Ingredients",
        *_ingredients(handed.lines),
        *_part("Method", [f"{n}. {md_text(step)}" for n, step in enumerate(recipe.method, 1)]),
        "## Nutrition of one serving",
        _table(panel),
        md_text(panel.note),
        md_text(handed.words["calculated"]),
        *_part("Allergens", _bullets((*handed.allergens, handed.suitability))),
        *_part("Who should ask first", _bullets((*handed.cautions, handed.words["ask"]))),
        *_part("Cooking through", _bullets(handed.cooking)),
        *_part("Keeping", _bullets(handed.keeping)),
        *_part("Good to know", _bullets(tuple(_note(kitchen, note) for note in recipe.notes))),
        "## Disclaimer",
        md_text(handed.words["disclaimer"]),
        md_text(_signed(recipe, handed)),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _facts(analysis: Analysis, panel: Panel, handed: Handed) -> str:
    recipe = analysis.recipe
    weight = handed.words["weighed" if analysis.cooked_weight_weighed else "estimated"]
    facts = [panel.servings, f"one serving: {panel.serving}, {weight}"]
    for label, minutes in (("hands-on", recipe.prep_minutes), ("cooking", recipe.cook_minutes)):
        facts += [f"{label} {shown(minutes, 0)} min"] if minutes is not None else []
    return md_text("; ".join(facts) + ".")


def _ingredients(lines: tuple[HandedLine, ...]) -> list[str]:
    """Lists of ingredients, a new one under each heading."""
    blocks: list[list[str]] = [[]]
    for line in lines:
        if line.section:
            blocks += [[f"**{md_text(line.section)}**"], []]
        blocks[-1].append(f"- {_ingredient(line)}")
    return ["\n".join(block) for block in blocks]


def _ingredient(line: HandedLine) -> str:
    weight = f"({md_text(line.weight)})" if line.weight and line.weight != line.amount else ""
    return " ".join(p for p in (f"**{md_text(line.amount)}**", weight, md_text(line.text)) if p)


def _part(heading: str, rows: list[str]) -> list[str]:
    return [f"## {heading}", "\n".join(rows)] if rows else []


def _bullets(texts: tuple[str, ...]) -> list[str]:
    return [f"- {md_text(text)}" for text in texts if text]


def _table(panel: Panel) -> str:
    """The panel; each figure carries its "at least", "at most" or sign as it does on the card."""
    rows = [HEADS[panel.format], ("---", "---:", "---:")]
    rows += [("**Calories**", f"**{md_text(panel.energy)}**", "")] if panel.format == "us" else []
    for line in panel.lines:
        name = line.name.lstrip(" ")
        deep = EM_SPACE * ((len(line.name) - len(name)) // 2)
        text = f"**{md_text(name)}**" if line.bold and name else md_text(name)
        rows.append((deep + text, md_text(line.first), md_text(line.second)))
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _note(kitchen: Kitchen, note: Note) -> str:
    return f"{note.text} ({citation(kitchen, note.source)})" if note.source else note.text


def _signed(recipe: Recipe, handed: Handed) -> str:
    """Version and reviewer, as the foot of a card tells them."""
    version = f"Version {recipe.version}." if recipe.version else ""
    review = recipe.review
    if not review.reviewer:
        return f"{version} {handed.words['not reviewed']}".strip()
    dated = f", {review.date}" if review.date else ""
    return f"{version} Reviewed by {review.reviewer}{dated}.".strip()
