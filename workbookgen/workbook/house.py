"""House style in the book: logo, own texts, sheets left out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence, Set
from typing import Any

from workbookgen.model.errors import BadInput
from workbookgen.workbook.book import Book, Sheet
from workbookgen.workbook.look import Look, look_rules
from workbookgen.workbook.own_texts import Sections
from workbookgen.workbook.start_sheet import _section, _wide
from workbookgen.workbook.texts import read_sections

LOGO_ROW, LOGO_COL = 2, 1
POINTS_PER_PIXEL = 0.75
ROOM = 8.0
_TAB = re.compile(r"'((?:[^']|'')+)'!")
_NAME = re.compile(r"\b[a-z][a-z0-9]*_\w+")
_QUOTED = re.compile(r'"(?:[^"]|"")*"')


def put_house(start: Sheet, look: Mapping[str, Any]) -> None:
    """Logo and the programme's own introduction on Start."""
    if not isinstance(look, Look):
        return
    programme = str(look["programme"]["name"])
    if look.logo is not None:
        scale, _, height = look.logo.fitted(look_rules()["logo"]["start"])
        start.heights[LOGO_ROW] = height * POINTS_PER_PIXEL + ROOM
        start.images.append((LOGO_ROW, LOGO_COL, look.logo.name, {**look.logo.options(scale, programme), "x_offset": 4, "y_offset": 4}))
    if look.introduction:
        row = max(r for r, _ in start.cells) + 2
        for heading, lines in look.introduction:
            row = _section(start, row, heading or f"About {programme}")
            for line in lines:
                row = _wide(start, row, line)
            row += 1


def say_large(start: Sheet, recipes: int, most: int) -> None:
    """On Start: what a book of more recipes than the hubs take leaves out."""
    row = _section(start, max(r for r, _ in start.cells) + 2, "A very large book")
    for line in dict(read_sections("start.md"))["large"]:
        row = _wide(start, row, line.replace("{recipes}", str(recipes)).replace("{most}", str(most)))


def added_disclaimer(look: Mapping[str, Any]) -> Sections:
    """What the programme adds to the disclaimer; the built-in text always stands above it."""
    if not isinstance(look, Look):
        return []
    return [(heading or f"Added by {look['programme']['name']}", lines) for heading, lines in look.disclaimer]


def card_logo(look: Mapping[str, Any]) -> dict[str, Any]:
    """The programme's words with its logo, for the cards."""
    return {**look["programme"], "logo": look.logo if isinstance(look, Look) else None}


def look_place(look: Mapping[str, Any]) -> str:
    """The name of the look file, for messages."""
    return look.place if isinstance(look, Look) else "look"


def left_out(look: Mapping[str, Any]) -> list[str]:
    """Sheets the look file leaves out, with those that go along."""
    together = look_rules()["sheets"]["together"]
    return [name for chosen in look["sheets"]["leave_out"] for name in (chosen, *together.get(chosen, ()))]


def leave_out(book: Book, look: Mapping[str, Any], cards: Sequence[str], typed: dict[str, str]) -> dict[str, str]:
    """Take sheets out that no other sheet reads; returns ``typed`` (messages by tab) without them.

    ``cards`` are recipe sheets and cards, which stay. Raises BadInput for a sheet that is not there or is read.
    """
    names = left_out(look)
    if not names:
        return typed
    place = look_place(look)
    tabs = [s.name for s in book.sheets]
    if "Results" not in tabs:  # a very large book: sheets about all recipes are not there to begin with
        names = [n for n in names if n in tabs]
    for name in look["sheets"]["leave_out"]:
        if (name not in tabs and "Results" in tabs) or name in cards:
            optional = [t for t in tabs if t not in cards and t not in look_rules()["sheets"]["keep"]]
            raise BadInput(place, f"[sheets] leave_out names {name!r}, which is no sheet that can be left out; choose from {', '.join(optional)}")
    gone = set(names)
    lost = {name.lower() for name, (tab, *_) in book.names.items() if tab in gone}
    for sheet in book.sheets:
        if sheet.name not in gone:
            part_with(sheet, gone, lost, place)
    book.gone, book.lost = frozenset(gone), frozenset(lost)
    book.sheets[:] = [s for s in book.sheets if s.name not in gone]
    book.names = {name: where for name, where in book.names.items() if where[0] not in gone}
    return {tab: where for tab, where in typed.items() if tab not in gone}


def part_with(sheet: Sheet, gone: Set[str], lost: Set[str], place: str) -> None:
    """Drop the links of a sheet to tabs that are gone. Raises BadInput (for ``place``) when it reads one of them."""
    _no_reader(sheet, gone, lost, place)
    for at in [at for at, (target, _) in sheet.links.items() if any(target.startswith(f"internal:'{n}'!") for n in gone)]:
        del sheet.links[at]


def _no_reader(sheet: Sheet, gone: Set[str], lost: Set[str], place: str) -> None:
    texts = [c.formula for c in sheet.cells.values() if c.formula] + [str(v[-1].get("source", "")) for v in sheet.validations]
    for text in texts:
        bare = _QUOTED.sub('""', text)
        read = [t for t in _TAB.findall(bare) if t in gone] or [n for n in _NAME.findall(bare) if n.lower() in lost]
        if read:
            raise BadInput(place, f"[sheets] leave_out: the sheet {sheet.name!r} reads {read[0]!r} of {', '.join(sorted(gone))}; leave that one out, too, or keep both")
