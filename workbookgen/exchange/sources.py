"""Reads a recipe from a text file, a JSON file or a saved web page; one sentence for what cannot be read."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

from workbookgen.exchange.language import is_english
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.plain_text import read_text
from workbookgen.exchange.raw import RawRecipe
from workbookgen.exchange.structured import recipes_in
from workbookgen.exchange.web_page import read_page
from workbookgen.model.errors import BadInput

LARGEST = 5_000_000  # bytes; recipe pages are mostly under 1 MB
MOST_LINES = 200  # ingredients of one recipe
NAMED_AT_MOST = 8
_PAGE = re.compile(r"^\s*(?:<!doctype\s+html|<html|<\?xml[^>]*>\s*<html|<!--)", re.I)
_CHARSET = re.compile(rb"charset\s*=\s*[\"']?\s*([A-Za-z0-9_\-]+)", re.I)
_BINARY = {
    b"%PDF": "a PDF",
    b"PK\x03\x04": "an Office or zip file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"GIF8": "a picture",
}


def read_source(
    path: Path, words: Lexicon, known: Callable[[str], bool], data: Path, which: str = ""
) -> RawRecipe:
    """The recipe in the file at ``path``.

    ``which`` chooses among several: a number from 1, or part of a title. ``known`` says whether a word
    stands in the food table. Raises ``BadInput`` with one sentence.
    """
    found, broken = _recipes(path, words)
    found = [raw for raw in found if raw.lines]
    if not found:
        raise BadInput(path.name, _nothing_found(path, broken))
    raw = _choose(path, found, which)
    if len(raw.lines) > MOST_LINES:
        raise BadInput(
            path.name,
            f"{len(raw.lines)} ingredient lines are more than {MOST_LINES}; split it into recipes",
        )
    if not is_english(raw, known, data):
        raise BadInput(
            path.name, "English only: the ingredient lines are not in English; translate them first"
        )
    return raw


def _recipes(path: Path, words: Lexicon) -> tuple[list[RawRecipe], int]:
    text = _text(path)
    suffix = path.suffix.lower()
    if suffix in (".html", ".htm", ".xhtml", ".mhtml") or (suffix != ".json" and _PAGE.match(text)):
        objects, language, broken = read_page(text)
        found = _once(list(recipes_in(objects)), by_title=True)
        for raw in found:
            raw.language = raw.language or language
        return found, broken
    if suffix in (".json", ".jsonld") or (suffix not in (".txt", ".md") and text.lstrip()[:1] in "{["):
        try:
            return _once(list(recipes_in(json.loads(text)))), 0
        except json.JSONDecodeError as error:
            mend = "mend that line, or paste the recipe into a .txt file"
            what = f"not proper JSON (line {error.lineno}: {error.msg}); {mend}"
            raise BadInput(path.name, what) from error
        except RecursionError as error:
            raise BadInput(
                path.name, "the JSON is nested too deeply for a recipe; save the recipe alone"
            ) from error
    return [read_text(text, words, path.stem.replace("_", " ").replace("-", " "))], 0


def _text(path: Path) -> str:
    if not path.exists():
        raise BadInput(path.name, "the file does not exist; check the name")
    if path.is_dir():
        raise BadInput(path.name, "this is a folder; name the recipe file in it")
    size = path.stat().st_size
    if size > LARGEST:
        mend = "save the page without its pictures, or the recipe alone"
        what = f"the file has {size / 1e6:.0f} MB, more than {LARGEST / 1e6:.0f} MB; {mend}"
        raise BadInput(path.name, what)
    raw = path.read_bytes()
    for start, what in _BINARY.items():
        if raw.startswith(start):
            raise BadInput(path.name, f"the file is {what}, not text; copy the recipe into a .txt file")
    text = _decoded(raw, path.name)
    if not text.strip():
        raise BadInput(path.name, "the file is empty; put the ingredient lines in it")
    return text


def _decoded(raw: bytes, name: str) -> str:
    declared = _CHARSET.search(raw[:4096])
    bom = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else ""
    for encoding in filter(None, (bom, "utf-8-sig", declared[1].decode("ascii") if declared else "")):
        try:
            return raw.decode(encoding)
        except (UnicodeDecodeError, LookupError):
            continue
    raise BadInput(name, "the file is not UTF-8 text; save it again as UTF-8")


def _once(found: list[RawRecipe], by_title: bool = False) -> list[RawRecipe]:
    """Without repeats; ``by_title``: a page often tells its recipe as JSON-LD and again as microdata."""
    seen: dict[tuple[str, tuple[str, ...]], RawRecipe] = {}
    for raw in found:
        lines = tuple(re.sub(r"\W+", "", t).lower() for _, t in raw.lines)
        title = re.sub(r"\W+", "", raw.title).lower()
        seen.setdefault((title, () if by_title and title else lines), raw)
    return list(seen.values())


def _choose(path: Path, found: list[RawRecipe], which: str) -> RawRecipe:
    named = ", ".join(f'{n} "{raw.title or "no title"}"' for n, raw in enumerate(found[:NAMED_AT_MOST], 1))
    named += f" and {len(found) - NAMED_AT_MOST} more" if len(found) > NAMED_AT_MOST else ""
    if which:
        fit = [raw for n, raw in enumerate(found, 1) if which == str(n)]
        fit = fit or [raw for raw in found if which.lower() in raw.title.lower()]
        if len(fit) == 1:
            return fit[0]
        fits = f'"{which}" fits {len(fit) or "none"} of its recipes ({named})'
        what = f"{fits}; choose one with --which and its number"
        raise BadInput(path.name, what)
    if len(found) > 1:
        what = f"the file holds {len(found)} recipes ({named}); choose one with --which and its number"
        raise BadInput(path.name, what)
    return found[0]


def _nothing_found(path: Path, broken: int) -> str:
    if path.suffix.lower() in (".txt", ".md"):
        return "no ingredient lines are found; write one a line, each starting with its amount"
    if broken:
        return (
            "no recipe is found: its recipe data are broken JSON; copy the ingredient lines into a .txt file"
        )
    if path.suffix.lower() == ".json":
        return 'no recipe is found; it needs a list "recipeIngredient" or "ingredients"'
    return (
        "no recipe is found: the page holds no schema.org Recipe; copy the ingredient lines into a .txt file"
    )
