"""Where everything stands on a card: type sizes and boxes worked out from the lengths of the texts.

The page is two columns on a fine grid of rows. Type sizes are tried from large to small until both columns fit;
what is left over becomes room for texts typed later. Blocks that may stand in either column (keeping, notes) go
where the page comes out shortest.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import product
from typing import Any

from workbookgen.catalogue.paths import template_path
from workbookgen.workbook.fit import CELL_PADDING, GENEROUS_EM, pitch, text_width, wrapped_lines

LEFT, RIGHT = "left", "right"
FLOATS = ("keeping", "notes")
#: Boxes whose room for later lines goes last.
SAFETY = ("contains", "rest", "ask")
MOST_ROWS = 5
#: Share of an ingredient row that its widest known text may fill, so that another program's letters fit too.
FULL = 0.97
#: Shorter texts tell little about the width of letters.
TELLING = 12
COLUMNS = ("amount", "food", "food_b", "weight", "gutter", "name", "figure", "share")


@cache
def card_look() -> dict[str, Any]:
    """The layout file templates/card.toml."""
    return tomllib.loads(template_path("card.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class CardTexts:
    """Texts known when the book is built: ingredient texts, how many headings stand above them, one serving in
    words, and per box the lists of parts it may hold (the allergen lines differ by reference set). All empty for a
    sheet that waits for its recipe."""

    lines: Sequence[str] = ()
    headings: int = 0
    boxes: Mapping[str, Sequence[Sequence[str]]] = field(default_factory=dict)
    serving: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A box: column, first grid unit, height in units, type size and the lines of text it holds."""

    side: str
    first: int
    units: int
    size: float
    lines: int
    bold: bool = False


@dataclass(frozen=True, slots=True)
class CardPlan:
    """A laid-out card. ``fits`` is False when even the smallest type needs more than the page."""

    text: float
    small: float
    row_units: int
    slots: int
    places: Mapping[str, Place]
    units: int
    serving_lines: int
    fact_lines: int
    fact_size: float
    fits: bool


def width_of(*keys: str) -> float:
    """Width in points of neighbouring columns."""
    return float(sum(card_look()["columns"][k] for k in keys))


def side_width(side: str) -> float:
    """Width of the left or right column in points."""
    at = COLUMNS.index("gutter")
    return width_of(*(COLUMNS[:at] if side == LEFT else COLUMNS[at + 1 :]))


def fact_height(lines: int) -> float:
    """Height of the values in the facts strip, points."""
    page = card_look()["page"]
    needed = lines * pitch(page["fact_small"]) + 2 if lines > 1 else 0
    return float(max(page["fact_value"], needed))


def grid_units(fact_lines: int) -> int:
    """Grid rows between the facts strip and the footer."""
    page = card_look()["page"]
    head = page["title"] + page["intro_line"] + page["fact_label"] + fact_height(fact_lines) + page["gap"]
    return int((page["height"] - head - page["footer_line"] * page["footer_lines"]) / page["unit"])


def units_for(lines: int, size: float) -> int:
    """Grid units that hold so many lines of text."""
    unit = float(card_look()["page"]["unit"])
    return math.ceil(round(lines * pitch(size) / unit, 6))


def panel_units(serving_lines: int) -> int:
    """Height of the label panel in grid units."""
    p = card_look()["panel"]
    serving = units_for(serving_lines, p["servings_size"])
    return int(p["title"] + p["servings"] + serving + p["per"] + p["energy"] + p["head"] + PANEL_LINES * p["line"]
               + p["note_lines"] * p["line"])


def row_capacity(lines: Sequence[str], size: float) -> int:
    """Letters that fit the food column: by the widest letters among the known texts, with a little room."""
    room = (width_of("food", "food_b") - CELL_PADDING) * FULL
    widest = max([text_width(t, size) / len(t) for t in lines if len(t) >= TELLING] or [0.0])
    return int(room / max(widest, GENEROUS_EM * size))


def split_rows(text: str, capacity: int) -> list[str]:
    """A text on rows of so many letters, broken at blanks: the rule of the card's formulas. What is left after
    ``MOST_ROWS`` rows is the last item."""
    rows: list[str] = []
    while text and len(rows) < MOST_ROWS:
        cut = len(text)
        if cut > capacity:
            head = text[: capacity + 1]
            cut = head.rindex(" ") if " " in head else capacity
        rows.append(text[:cut])
        text = text[cut:].strip()
    return [*rows, text] if text else rows


@dataclass
class _Item:
    """A block in a column: room above it, its height, and how it grows."""

    key: str
    gap: int
    units: int
    size: float
    lines: int = 0
    bold: bool = False
    most: int = 0


def plan_card(texts: CardTexts) -> CardPlan:
    """Choose type sizes and boxes: the largest type at which everything fits."""
    tries = card_look()["try"]
    for attempt in tries:
        plan = _attempt(texts, attempt)
        if plan.fits:
            return plan
    return plan


def _attempt(texts: CardTexts, attempt: Mapping[str, Any]) -> CardPlan:
    look = card_look()
    text, small, row = float(attempt["text"]), float(attempt["small"]), int(attempt["row"])
    blocks, least = look["blocks"], look["least" if texts.lines else "empty"]
    page, panel = look["page"], look["panel"]
    serving = max(1, wrapped_lines(f"Serving size: {texts.serving}", panel["servings_size"], side_width(RIGHT), True))
    room = width_of("food_b", "weight", "gutter") - INDENT
    fact_size = page["fact_size"] if wrapped_lines(texts.serving, page["fact_size"], room, True) <= 1 else page["fact_small"]
    facts = max(1, wrapped_lines(texts.serving, fact_size, room, True))
    units = grid_units(facts)
    capacity = row_capacity(texts.lines, text)
    split = [split_rows(t, capacity) for t in texts.lines]
    rows = texts.headings + sum(len(r) for r in split)
    slots = max(rows + blocks["spare_slots"] if attempt["spare"] == "all" else rows, least["slots"])
    best: tuple[list[_Item], list[_Item]] | None = None
    for sides in product((LEFT, RIGHT), repeat=len(FLOATS)):
        made = _columns(texts, attempt, slots * row, panel_units(serving), dict(zip(FLOATS, sides, strict=True)))
        if best is None or max(map(_height, made)) < max(map(_height, best)):
            best = made
    assert best is not None
    fits = max(map(_height, best)) <= units and all(len(r) <= MOST_ROWS for r in split)
    units = max(units, *map(_height, best))
    places: dict[str, Place] = {}
    for side, column in zip((LEFT, RIGHT), best, strict=True):
        places |= _placed(side, _spread(column, units))
    return CardPlan(text, small, row, slots, places, units, serving, facts, fact_size, fits)


def _columns(texts: CardTexts, attempt: Mapping[str, Any], slot_units: int, panel: int,
             sides: Mapping[str, str]) -> tuple[list[_Item], list[_Item]]:
    """Both columns with their blocks in order."""
    look, text, small = card_look(), float(attempt["text"]), float(attempt["small"])
    blocks, least = look["blocks"], look["least" if texts.lines else "empty"]
    gap, heading = int(blocks["gap"]), int(blocks["heading"])

    def box(key: str, side: str, size: float, room: int = 0, bold: bool = False) -> _Item:
        lists = texts.boxes.get(key, ())
        known = max((sum(wrapped_lines(t, size, side_width(side), bold) for t in parts) for parts in lists), default=0)
        roomy = attempt["spare"] == "all" or (attempt["spare"] == "safety" and key in SAFETY)
        lines = int(max(known + (look["spare"][key] if roomy else 0), least[key] if roomy or not known else 0))
        most = int(look["grows"].get(key, 0))
        most = min(most, *(len(parts) - 1 for parts in lists)) if key == "method" and lists else most
        return _Item(key, room, units_for(lines, size), size, lines, bold, most)

    def head(key: str, room: int = gap) -> _Item:
        return _Item(f"{key}_head", room, heading, float(blocks["heading_size"]))

    left = [head("ingredients", 0), _Item("slots", 0, slot_units, text), head("method"), box("method", LEFT, text)]
    size = max(float(blocks["contains_size"]), small)
    right = [_Item("panel", 0, panel, small), box("under", RIGHT, small), box("contains", RIGHT, size, gap, True),
             box("rest", RIGHT, small, 1), head("ask"), box("ask", RIGHT, small)]
    right[2].units += 1  # the frame
    for key, side in sides.items():
        (left if side == LEFT else right).extend([head(key), box(key, side, small)])
    return left, right


def _height(items: Sequence[_Item]) -> int:
    return sum(item.gap + item.units for item in items)


def _spread(items: Sequence[_Item], units: int) -> list[_Item]:
    """Give left-over units to the boxes that grow, a line at a time in turn, then to the gaps above headings."""
    grown = [replace(item) for item in items]
    before = {item.key: item.lines for item in items}
    for item in grown:  # an empty line between all steps of the method, or none at all
        if item.key == "method" and units_for(item.lines + item.most, item.size) - item.units > units - _height(grown):
            item.most = min(item.most, 1)
    while True:
        growing = [i for i in grown if i.lines - before[i.key] < i.most]
        growing = [i for i in growing if units_for(i.lines + 1, i.size) - units_for(i.lines, i.size) <= units - _height(grown)]
        if not growing:
            break
        item = min(growing, key=lambda i: (i.key != "method", i.lines - before[i.key]))
        item.units += units_for(item.lines + 1, item.size) - units_for(item.lines, item.size)
        item.lines += 1
    gaps = [item for item in grown if item.gap > 1]
    room = min(units - _height(grown), card_look()["blocks"]["most_gap"] * len(gaps))
    for number in range(max(0, room)):
        gaps[number % len(gaps)].gap += 1
    return grown


def _placed(side: str, items: Sequence[_Item]) -> dict[str, Place]:
    places, at = {}, 0
    for item in items:
        at += item.gap
        places[item.key] = Place(side, at, item.units, item.size, item.lines, item.bold)
        at += item.units
    return places


PANEL_LINES = 14
#: Room that an indent takes of a cell, points.
INDENT = 9.0
