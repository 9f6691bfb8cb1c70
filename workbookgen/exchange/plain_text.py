"""A recipe in plain text: title, servings, times, ingredient lines with headings, method, notes."""

from __future__ import annotations

import re

from workbookgen.exchange.ingredient_grammar import starts_with_number
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.raw import RawRecipe, minutes, read_yield

_YIELD = re.compile(r"^\s*(?:\*\*)?(?:serves|servings?|yields?|makes|portions)\b", re.I)
_TIME = re.compile(
    r"^\s*(?:\*\*)?(prep(?:aration)?|cook(?:ing)?|bak(?:e|ing)|total|active|hands-on)(?:\s+time)?\s*[:\-–]?\s*(?=.*\d)(.+)$",
    re.I,
)
_HEADING_MARK = re.compile(r"^\s*(?:#{1,6}\s*|\*\*)(.+?)(?:\*\*)?\s*:?\s*$")
_STEP = re.compile(r"^\s*(?:step\s*)?\d{1,2}\s*[.):]\s*", re.I)
_BULLET = re.compile(r"^\s*[-*•▢☐·]\s+")
LONG_LINE = 12  # words: a sentence of a method, not an ingredient


def read_text(text: str, words: Lexicon, stem: str) -> RawRecipe:
    """The recipe in ``text``; ``stem`` becomes the title when the text has none.

    Without an "Ingredients" heading, lines that start with an amount are ingredients and what follows in
    sentences is the method.
    """
    raw = RawRecipe()
    lines = [line.rstrip() for line in text.splitlines()]
    headed = any(_section(line, words) == "ingredients" for line in lines)
    where = "head" if headed else "loose"
    group = ""
    for line in lines:
        if not line.strip():
            continue
        section = _section(line, words)
        if section:
            where, group = section, ""
            continue
        if _meta(line, raw):
            continue
        if where == "head":
            raw.title = raw.title or _title(line)
        elif where == "loose":
            where, group = _loose(line, raw, words, group)
        elif where == "ingredients":
            heading = _group(line, words)
            if heading is not None:
                group = heading
            else:
                raw.lines.append((group, line.strip()))
        elif where == "method":
            raw.method.append(_STEP.sub("", _BULLET.sub("", line)).strip())
        else:
            raw.notes.append(_BULLET.sub("", line).strip())
    raw.title = raw.title or stem
    raw.method = [step for step in raw.method if step]
    return raw


def _loose(line: str, raw: RawRecipe, words: Lexicon, group: str) -> tuple[str, str]:
    """A line of a text without headings."""
    ingredient = starts_with_number(line, words) and not (_STEP.match(line) and len(line.split()) > LONG_LINE)
    step = (
        _STEP.match(line) and raw.lines and re.match(r"[A-Z]", _STEP.sub("", line)) and len(line.split()) > 3
    )
    if not ingredient and not raw.lines and not raw.title and not _BULLET.match(line):
        raw.title = _title(line)
        return "loose", group
    if step or (raw.lines and len(line.split()) >= LONG_LINE and line.rstrip().endswith((".", "!"))):
        raw.method.append(_STEP.sub("", line).strip())
        return "method", group
    heading = _group(line, words)
    if heading is not None:
        return "loose", heading
    raw.lines.append((group, line.strip()))
    return "loose", group


def _title(line: str) -> str:
    match = _HEADING_MARK.match(line)
    return " ".join((match[1] if match else line).replace("Title:", "").split())


def _section(line: str, words: Lexicon) -> str:
    """ "ingredients", "method" or "notes" when the line is such a heading, else ""."""
    bare = re.sub(r"^[#*\s]+|[*\s:.\-–]+$", "", line).lower()
    return next((name for name, titles in words.sections.items() if bare in titles), "")


def _group(line: str, words: Lexicon) -> str | None:
    """The heading of a group of ingredients ("For the dressing:"); None for an ingredient."""
    match = _HEADING_MARK.match(line)
    bare = (match[1] if match else line).strip().strip("*").strip()
    if starts_with_number(bare, words) or _BULLET.match(line):
        return None
    if match or bare.endswith(":") or re.match(r"^for (?:the|serving the)\b(?!.*\bto taste)", bare, re.I):
        return bare.rstrip(":").strip()
    return bare if bare.isupper() and len(bare.split()) <= 5 else None


def _meta(line: str, raw: RawRecipe) -> bool:
    """Takes servings and times; False when the line is something else."""
    bare = line.strip().strip("*").strip()
    if _YIELD.match(line) and re.search(r"\d", line) and len(bare.split()) <= 8:
        raw.gives = read_yield(bare)
        return True
    time = _TIME.match(bare)
    told = minutes(time[2]) if time else None
    if time and told is not None and len(bare.split()) <= 10:
        kind = time[1].lower()
        if kind.startswith(("prep", "active", "hands")):
            raw.prep_minutes = told
        elif kind.startswith("total"):
            raw.total_minutes = told
        else:
            raw.cook_minutes = told
        return True
    return False
