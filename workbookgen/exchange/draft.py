"""From a scribbled recipe to a recipe file: drafts each line, asks or marks what is open."""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.constants import load_constants
from workbookgen.catalogue.foods import load_foods
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.exchange.choices import FILE_NAME, load_choices, save_choices
from workbookgen.exchange.draft_line import DraftedLine, LineDrafter
from workbookgen.exchange.ingredient_grammar import parse_line
from workbookgen.exchange.parsed import ParsedLine
from workbookgen.exchange.raw import RawRecipe
from workbookgen.exchange.sources import read_source
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import IngredientLine, Note, Recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.check import AS_WRITTEN
from workbookgen.recipes.load import load_recipe
from workbookgen.recipes.save import save_recipe
from workbookgen.recipes.text import LONGEST_TEXT, LONGEST_TITLE, clean

Answer = Callable[[str], str]
SERVINGS_UNTOLD = (
    "The source does not tell the servings; 1 was written. Change it before you use any figure per serving."
)
WRITTEN = re.compile(re.escape(AS_WRITTEN) + r" (.*)\)$", re.S)
MOST_MINUTES = 10_080.0  # a week, as in recipe files


@dataclass(frozen=True, slots=True)
class Draft:
    """A drafted recipe with its lines and what a reader of the report should know besides."""

    recipe: Recipe
    lines: tuple[DraftedLine, ...]
    remarks: tuple[str, ...]

    @property
    def open_lines(self) -> tuple[DraftedLine, ...]:
        """Lines a person must still decide."""
        return tuple(drafted for drafted in self.lines if drafted.line.review)


def load_kitchen() -> Kitchen:
    """The kitchen catalogue with its tables."""
    return Kitchen(load_foods("kitchen"), load_tables(), load_constants())


def draft_file(
    path: Path,
    out: Path,
    ask: bool = False,
    which: str = "",
    choices: Path | None = None,
    kitchen: Kitchen | None = None,
    answer: Answer | None = None,
    overwrite: bool = False,
) -> str:
    """Draft the recipe in ``path`` (text, JSON, web page) to the recipe file ``out``; returns the report.

    Lines that are not certain carry ``review = true`` with candidates. ``ask`` asks about them on a
    terminal, and only there: in a pipe nothing is ever asked. ``which`` chooses one of several recipes.
    ``choices`` is the file of earlier decisions (``choices.txt`` beside ``out`` when None); answers are
    added to it. ``answer`` replaces the terminal in programs. A file at ``out`` stays as it is unless
    ``overwrite`` is true. Raises ``BadInput``.
    """
    if path.resolve() == out.resolve():
        raise BadInput(out.name, "the draft would replace its own source; choose another --to")
    if out.exists() and not overwrite:
        raise BadInput(
            out.name, "the file exists and may hold decisions; choose another --to or give --overwrite"
        )
    kitchen = kitchen or load_kitchen()
    drafter = LineDrafter(kitchen)
    decisions = choices if choices is not None else out.parent / FILE_NAME
    drafter.choices = load_choices(decisions, drafter.matcher.by_name)
    raw = read_source(path, drafter.words, drafter.matcher.knows, data_path(), which)
    teller = answer or (_terminal() if ask else None)
    draft = draft_recipe(raw, drafter, teller)
    save_recipe(draft.recipe, out)
    if teller is not None:
        save_choices(decisions, drafter.choices)
    return report(draft, path.name, out.name, asked=ask and teller is None)


def _terminal() -> Answer | None:
    """Asks on the terminal; None when input or output is not one."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None

    def answer(question: str) -> str:
        try:
            return input(question)
        except EOFError:  # the reader has had enough: what is left stays under review
            return ""

    return answer


def draft_recipe(raw: RawRecipe, drafter: LineDrafter, answer: Answer | None = None) -> Draft:
    """Draft every line of ``raw``; with ``answer`` the foods that are not certain are asked."""
    lines: list[DraftedLine] = []
    for section, text in raw.lines:
        for parsed in parse_line(_safe(text), drafter.words, _safe(section)):
            for drafted in drafter.draft(parsed):
                lines.append(
                    _asked(drafted, parsed, drafter, answer) if answer and drafted.line.review else drafted
                )
    if not lines:
        raise BadInput(
            raw.title or "recipe",
            "no ingredient lines are found; write one a line, each starting with its amount",
        )
    recipe, remarks = _recipe(raw, lines)
    return Draft(recipe, tuple(lines), remarks)


def _safe(text: str) -> str:
    """``text`` on one line without control and direction characters."""
    kept = "".join(
        " " if c in "\t\r\n" else c
        for c in text
        if c in "\t\r\n" or unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Cn", "Co")
    )
    return clean(kept)[:LONGEST_TEXT]


def _asked(drafted: DraftedLine, parsed: ParsedLine, drafter: LineDrafter, answer: Answer) -> DraftedLine:
    """The line after one question about its food; an empty answer leaves it under review."""
    if not drafted.found or drafted.food_settled:
        return drafted
    foods = [f.food for f in drafted.found[: len(drafted.line.candidates) or 5]]
    listed = "\n".join(f"  {n} {food.name}" for n, food in enumerate(foods, 1))
    why = "; ".join(drafted.reasons)
    given = answer(
        f"{drafted.text}\n  {why}\n{listed}\n  number, a food's name, or Enter to decide later: "
    ).strip()
    by_name = {name.lower(): food for name, food in drafter.matcher.by_name.items()}
    food = (
        foods[int(given) - 1]
        if given.isdigit() and 1 <= int(given) <= len(foods)
        else by_name.get(given.lower())
    )
    if food is None:
        return drafted
    drafter.choices.learn(drafted.key, food.name)
    return drafter.decide(drafted, parsed, food)


def _recipe(raw: RawRecipe, lines: list[DraftedLine]) -> tuple[Recipe, tuple[str, ...]]:
    remarks: list[str] = []
    notes = [Note(_safe(text)) for text in raw.notes if _safe(text)]
    gives = raw.gives
    servings = gives.servings if gives.servings and 0.5 <= gives.servings <= 1000 else None
    if servings is None:
        remarks.append(SERVINGS_UNTOLD)
        notes.insert(0, Note(SERVINGS_UNTOLD))
    if gives.cups:
        told = f"The source gives the yield as {gives.cups:g} cups."
        notes.append(Note(told))
        remarks.append(f"{told} Write makes_cups with the serving, or servings.")
    prep, cook = raw.prep_minutes, raw.cook_minutes
    if raw.total_minutes and cook is None:
        cook = raw.total_minutes - (prep or 0) if raw.total_minutes > (prep or 0) else None
        if prep is None:
            remarks.append("Only the total time is told; it stands as cooking time.")
    recipe = Recipe(
        title=_safe(raw.title)[:LONGEST_TITLE].strip() or "Untitled recipe",
        servings=servings or 1.0,
        lines=tuple(drafted.line for drafted in lines),
        serving_text=gives.serving_text if servings else "",
        prep_minutes=_time(prep),
        cook_minutes=_time(cook),
        method=tuple(step for text in raw.method if (step := _safe(text))),
        notes=tuple(notes),
    )
    return recipe, tuple(remarks)


def _time(value: float | None) -> float | None:
    return value if value is not None and 0 <= value <= MOST_MINUTES else None


def report(draft: Draft, source: str, out: str, asked: bool = False) -> str:
    """What was drafted and what is left to decide, in plain text."""
    recipe, open_lines = draft.recipe, draft.open_lines
    counts = f"{recipe.servings:g} servings, {len(draft.lines)} ingredients, {len(open_lines)} to review"
    rows = [f'{source} -> {out}: "{recipe.title}", {counts}.']
    for drafted in draft.lines:
        line = drafted.line
        mark = "review" if line.review else "ok    "
        weight = f"{drafted.grams:.4g} g" if drafted.grams is not None else "weight not known"
        amount = f"{line.amount_text} {line.unit}".strip() if line.amount else line.amount_text or "no amount"
        rows.append(f"  {mark} {drafted.text}")
        rows.append(f"         {line.food}: {amount} ({weight})")
        rows += [f"         ? {reason}" for reason in drafted.reasons]
        if drafted.reasons and len(drafted.found) > 1 and not drafted.food_settled:
            scores = ", ".join(f"{f.food.name} ({f.score:.0f})" for f in drafted.found[:5])
            rows.append(f"           candidates: {scores}")
        rows += [f"         {remark}" for remark in drafted.remarks]
    rows += [f"  {remark}" for remark in draft.remarks]
    if asked:
        rows.append("  Nothing was asked, since this is no terminal.")
    if open_lines:
        rows.append(
            "  Decide the lines marked review in the file, then take their review and candidates out. Then "
            "`learn` remembers the foods you chose; after that shorten the notes: cards print them."
        )
    raw = [
        d
        for d in draft.lines
        if d.line.treatment == "none" and d.found and d.found[0].food.state in ("raw", "dry", "frozen")
    ]
    if raw:
        rows.append(
            f"  {len(raw)} raw, dry or frozen foods stand without a treatment: name how they are cooked."
        )
    return "\n".join(rows)


def learn_file(recipe: Path, choices: Path | None = None, kitchen: Kitchen | None = None) -> str:
    """Learn from a drafted recipe file whose lines a person has decided; returns what was learned.

    A decided line is one without ``review`` whose note still ends with "(as written: ...)". ``choices`` is
    the file of decisions (``choices.txt`` beside the recipe when None). Raises ``BadInput``.
    """
    drafter = LineDrafter(kitchen or load_kitchen())
    path = choices if choices is not None else recipe.parent / FILE_NAME
    drafter.choices = load_choices(path, drafter.matcher.by_name)
    by_text: dict[str, list[IngredientLine]] = {}
    for line in load_recipe(recipe).lines:
        written = WRITTEN.search(line.note)
        if written:
            by_text.setdefault(written[1], []).append(line)
    fresh = LineDrafter(drafter.kitchen)
    for text, lines in by_text.items():
        drafted = [d for d in draft_line(text, fresh) if d.line.review]
        if len(drafted) != len(lines):
            continue  # lines were added or taken out: which is which is not certain
        for line, one in zip(lines, drafted, strict=True):
            if not line.review and not one.food_settled and line.food in drafter.matcher.by_name:
                drafter.choices.learn(one.key, line.food)
    save_choices(path, drafter.choices)
    learned = [f"  {words} -> {food}" for words, food in sorted(drafter.choices.new.items())]
    return "\n".join([f"{recipe.name}: {len(learned)} decisions learned.", *learned])


def draft_line(text: str, drafter: LineDrafter) -> tuple[DraftedLine, ...]:
    """The drafted foods of one ingredient line."""
    return tuple(
        drafted for parsed in parse_line(_safe(text), drafter.words) for drafted in drafter.draft(parsed)
    )
