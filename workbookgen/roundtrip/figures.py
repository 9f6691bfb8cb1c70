"""What a workbook says about its recipes, read from its sheet Results and worked out afresh."""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.roundtrip.locked import locked_changes
from workbookgen.roundtrip.record import Edited
from workbookgen.roundtrip.words import same
from workbookgen.verify.formualizer_engine import recalculate
from workbookgen.verify.read import Book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.values import ErrorValue, NotEvaluated
from workbookgen.workbook.hub_sheets import HEAD

SHEET = "Results"
FIGURE, VERDICT, WORDS, CODE = "figure", "verdict", "words", "code"
_CODES = {1.0: "holds", 0.0: "cannot be judged", -1.0: "does not hold"}
_TITLE = "Recipe"

Told = float | str | None


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that two workbooks say differently of a recipe; None: one of them does not say it."""

    recipe: str
    what: str
    kind: str
    old: Told
    new: Told


@dataclass(frozen=True, slots=True)
class Figures:
    """By recipe title: what -> (kind, content). ``fresh`` is False when stored values had to be taken as they are."""

    recipes: Mapping[str, Mapping[str, tuple[str, Told]]]
    fresh: bool


@functools.cache
def _columns() -> tuple[tuple[re.Pattern[str], str, str], ...]:
    rows = read_rows(data_path("audit_results.csv"), ("pattern", "kind", "shown"))
    return tuple((re.compile(r.text("pattern")), r.choice("kind", (FIGURE, VERDICT, WORDS, CODE)), r.text("shown")) for r in rows)


def is_untouched(edited: Edited) -> bool:
    """Whether a workbook holds what was built, so that its stored values are those that were proven then."""
    inputs = all(same(now, built) for b in edited.record.blocks for now, built in zip(edited.values(b), b.built, strict=True))
    stored = not any(sheet.unstored for sheet in edited.book.sheets.values())
    return inputs and stored and not locked_changes(edited)


def read_figures(book: Book, proven: bool = False) -> Figures:
    """Everything comparable. Unless the stored values are ``proven``, every formula is recalculated first: they may be
    stale or missing in a file that another program saved. Raises ``BadInput`` for a workbook without the sheet
    Results."""
    sheet = book.sheets.get(SHEET)
    heads = {c: str(v) for (r, c), v in sheet.values.items() if r == HEAD + 1} if sheet else {}
    title = next((c for c, head in heads.items() if head == _TITLE), None)
    if sheet is None or title is None:
        raise BadInput(book.path.name, "the workbook has no sheet Results of ours, so it cannot be compared")
    try:
        found, fresh = {} if proven else recalculate(book.path, book), True
    except Exception:  # the engine has errors of its own for books that were changed beyond its understanding
        found, fresh = {}, False

    def at(row: int, column: int) -> Told:
        value = found.get((SHEET, row, column), sheet.values.get((row, column))) if (row, column) in sheet.formulas else (
            sheet.values.get((row, column)))
        if isinstance(value, ErrorValue | NotEvaluated):
            return str(value)
        return float(value) if isinstance(value, bool) else value

    chosen = {c: told for c, head in heads.items() if (told := _kind(head))}
    recipes: dict[str, dict[str, tuple[str, Told]]] = {}
    for row in sorted({r for r, c in sheet.formulas if r > HEAD + 1}):
        name = at(row, title)
        if isinstance(name, str) and name:
            recipes[name] = {what: (kind, _CODES.get(v, v) if kind == CODE and isinstance(v := at(row, c), float) else at(row, c))
                             for c, (kind, what) in chosen.items()}
    return Figures(recipes, fresh)


def _kind(head: str) -> tuple[str, str] | None:
    for pattern, kind, shown in _columns():
        if found := pattern.match(head):
            return kind, found.expand(shown)
    return None


def differences(old: Figures, new: Figures) -> list[Difference]:
    """What changed from one to the other, recipe by recipe in the order of the first; recipes pair by title."""
    by_title = {title.casefold(): title for title in new.recipes}
    found: list[Difference] = []
    seen = set()
    for title, told in old.recipes.items():
        partner = by_title.get(title.casefold())
        if partner is None:
            found.append(Difference(title, "the recipe", WORDS, "there", None))
            continue
        seen.add(partner)
        other = new.recipes[partner]
        for what in dict.fromkeys((*told, *other)):
            kind, before = told.get(what, ("", None))
            kind_now, after = other.get(what, (kind, None))
            if not alike(before, after):
                found.append(Difference(partner, what, kind or kind_now, before, after))
    return found + [Difference(title, "the recipe", WORDS, None, "there") for title in new.recipes if title not in seen]


def alike(one: Told, other: Told) -> bool:
    """Whether two contents say the same; an empty text is nothing."""
    if isinstance(one, float) and isinstance(other, float):
        tolerance = load_rules("audit_rules")["change_table"]["tolerance"]
        return math.isclose(one, other, rel_tol=tolerance, abs_tol=tolerance)
    return (one if one is not None else "") == (other if other is not None else "")


def table(found: list[Difference]) -> list[str]:
    """The change table in words, recipe by recipe; verdicts that flipped come first."""
    if not found:
        return ["No figure and no verdict differs."]
    lines = []
    flips = [d for d in found if d.kind in (VERDICT, CODE)]
    lines.append(f"{len(found):,} differences in {len({d.recipe for d in found})} recipes, {len(flips):,} of them verdicts.")
    for recipe in dict.fromkeys(d.recipe for d in found):
        lines.append(f"{recipe}:")
        own = sorted((d for d in found if d.recipe == recipe), key=lambda d: d.kind not in (VERDICT, CODE))
        lines += [f"  {d.what}: {_shown(d.old)} -> {_shown(d.new)}{_percent(d)}" for d in own]
    return lines


def _shown(value: Told) -> str:
    return "(nothing)" if value in (None, "") else f"{value:.4g}" if isinstance(value, float) else str(value)


def _percent(d: Difference) -> str:
    if d.kind == FIGURE and isinstance(d.old, float) and isinstance(d.new, float) and d.old:
        return f" ({(d.new - d.old) / d.old * 100:+.1f} %)"
    return ""
