"""How well drafting reads ingredient lines: foods, grams, share sent to review, wrong and unmarked."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from rapidfuzz import fuzz, process

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.draft import draft_line, load_kitchen
from workbookgen.exchange.draft_line import DraftedLine, LineDrafter
from workbookgen.exchange.structured import described
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen

LINES = ("tests", "exchange", "lines.csv")
FRESH = ("tests", "exchange", "fresh_lines.csv")
ANSWERS = ("tests", "outside", "published_lines.csv")
WITHIN = 0.10  # share by which grams may be off to count as right
SHOWN_AT_MOST = 40


@dataclass(frozen=True, slots=True)
class Expected:
    """A line with its right answer; ``foods`` empty: no row fits, only review is right."""

    text: str
    place: int
    foods: tuple[str, ...]
    grams: float | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What drafting made of one expected food."""

    expected: Expected
    drafted: DraftedLine | None
    plain: str

    @property
    def names(self) -> list[str]:
        """Foods by rank."""
        return [f.food.name for f in self.drafted.found] if self.drafted else []

    @property
    def review(self) -> bool:
        """True when the line is marked."""
        return self.drafted is None or self.drafted.line.review

    def right(self, rank: int) -> bool:
        """True when a right food is among the first ``rank``; with none to find, when the line is marked."""
        if not self.expected.foods:
            return self.review
        return any(name in self.expected.foods for name in self.names[:rank])

    @property
    def gram_error(self) -> float | None:
        """Relative error of the weight, None when it is not judged or not known."""
        right, drafted = self.expected.grams, self.drafted
        if right is None or drafted is None or drafted.grams is None or not self.right(1):
            return None
        return abs(drafted.grams - right) / right


def accuracy_report(
    published: Path | None = None,
    lines: Path | None = None,
    answers: Path | None = None,
    kitchen: Kitchen | None = None,
) -> str:
    """Measures drafting over the practice lines and, with ``published``, over the recipes of that JSON file.

    ``lines`` and ``answers`` are the tables of right answers (those of the source tree when None). Raises
    ``BadInput`` for files that are missing or do not fit together.
    """
    drafter = LineDrafter(kitchen or load_kitchen())
    if lines is not None:
        parts = [measure(f"Lines of {lines.name}", read_lines(lines), drafter)]
    else:
        parts = [
            measure("Lines written for the purpose (a regression set)", read_lines(_tree(LINES)), drafter),
            measure("Lines written later, answers settled first", read_lines(_tree(FRESH)), drafter),
        ]
    if published is not None:
        expected = read_published(published, answers or _tree(ANSWERS))
        parts.append(measure(f"Ingredient descriptions of {published.name}", expected, drafter))
    return "\n\n".join(parts)


def _tree(parts: tuple[str, ...]) -> Path:
    path = data_path().parent.joinpath(*parts)
    if not path.is_file():
        raise BadInput(
            parts[-1], "the file belongs to the source tree and is not in this copy; name a file of your own"
        )
    return path


def read_lines(path: Path) -> list[Expected]:
    """Practice lines; several rows of one text are its foods in order."""
    out: list[Expected] = []
    for row in read_rows(path, ("text", "food", "also_right", "grams", "why")):
        text = row.text("text")
        place = sum(e.text == text for e in out)
        out.append(
            Expected(
                text,
                place,
                _foods(row.text("food", blank=True), row.items("also_right")),
                row.number_or_none("grams", 0),
            )
        )
    return out


def _foods(first: str, more: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for name in (first, *more) if name)


def read_published(path: Path, answers: Path) -> list[Expected]:
    """The ingredient descriptions of a JSON list of recipes with the right answers of ``answers``."""
    try:
        recipes = json.loads(path.read_text(encoding="utf-8"))
        texts = {
            (r["id"], n): described(entry) for r in recipes for n, entry in enumerate(r["ingredients"], 1)
        }
    except FileNotFoundError as error:
        raise BadInput(path.name, "the file does not exist; check the name") from error
    except (ValueError, KeyError, TypeError) as error:
        raise BadInput(
            path.name, "not a JSON list of recipes with id and ingredients; check the file"
        ) from error
    rows = read_rows(answers, ("recipe", "line", "food", "also_right", "grams", "reason"))
    out = []
    for row in rows:
        key = (row.text("recipe"), int(row.number_in("line", 1)))
        if key in texts:
            foods = _foods(row.text("food", blank=True), row.items("also_right"))
            out.append(Expected(texts[key], 0, foods, row.number_or_none("grams", 0)))
    missing = len(texts) - len(out)
    if missing:
        raise BadInput(
            answers.name, f"{missing} lines of {path.name} have no right answer; add them before measuring"
        )
    return out


def outcomes(expected: Sequence[Expected], drafter: LineDrafter) -> Iterator[Outcome]:
    """Draft every line and set it beside its right answer."""
    names = [food.name for food in drafter.kitchen.table.foods]
    for one in expected:
        drafted = draft_line(one.text, drafter)
        plain = process.extractOne(one.text, names, scorer=fuzz.WRatio)
        yield Outcome(
            one, drafted[one.place] if one.place < len(drafted) else None, plain[0] if plain else ""
        )


def measure(title: str, expected: Sequence[Expected], drafter: LineDrafter) -> str:
    """The figures for one set of lines, then every line that is wrong."""
    done = list(outcomes(expected, drafter))
    every = len(done)
    if not every:
        raise BadInput(title, "there are no lines to measure")
    with_food = [o for o in done if o.expected.foods]
    top1, top3 = sum(o.right(1) for o in done), sum(o.right(3) for o in done)
    unmarked = [o for o in done if not o.right(1) and not o.review]
    review = sum(o.review for o in done)
    errors = [e for o in done if (e := o.gram_error) is not None]
    judged = sum(o.expected.grams is not None for o in done)
    off = [o for o in done if (o.gram_error or 0.0) > WITHIN]
    plain = sum(o.plain in o.expected.foods for o in with_food)
    rows = [
        title,
        f"  foods                        {every}",
        f"  right food first             {top1} = {top1 / every:.1%}",
        f"  right food among three       {top3} = {top3 / every:.1%}",
        f"  sent to review               {review} = {review / every:.1%}",
        f"  wrong food and not marked    {len(unmarked)} = {len(unmarked) / every:.1%}",
        f"  grams known                  {len(errors)} of {judged} judged",
        f"  grams within {WITHIN:.0%}             {sum(e <= WITHIN for e in errors)} of {len(errors)}",
        f"  median gram error            {median(errors):.2%}"
        if errors
        else "  median gram error            -",
        f"  grams off and not marked     {sum(not o.review for o in off)}",
        f"  by likeness of texts alone   {plain} of {len(with_food)} (rapidfuzz WRatio, for comparison)",
    ]
    wrong = [o for o in done if not o.right(1)]
    for heading, found in (("wrong first food", wrong), ("grams off", off)):
        rows += [f"  {heading}:"] if found else []
        rows += [_shown(o) for o in found[:SHOWN_AT_MOST]]
    return "\n".join(rows)


def _shown(o: Outcome) -> str:
    first = o.names[0] if o.names else "nothing"
    mark = "marked" if o.review else "NOT MARKED"
    grams = (
        f", {o.drafted.grams:.4g} g for {o.expected.grams:.4g} g"
        if o.drafted and o.drafted.grams and o.expected.grams
        else ""
    )
    return (
        f"    {mark}: {o.expected.text} -> {first}; right: {' or '.join(o.expected.foods) or 'review'}{grams}"
    )
