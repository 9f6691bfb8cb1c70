"""Where everything stands on a card: type sizes and boxes worked out from the lengths of the texts.

The page is two columns on a fine grid of rows. Type sizes are tried from large to small until both columns fit;
what is left over becomes room for texts typed later. Blocks that may stand in either column (keeping, notes) go
to the one that then ends higher.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from workbookgen.catalogue.paths import template_path
from workbookgen.workbook.fit import pitch, wrapped_lines

LEFT, RIGHT = "left", "right"
FLOATS = ("keeping", "notes")
COLUMNS = ("amount", "food", "food_b", "weight", "gutter", "name", "figure", "share")


@cache
def card_look() -> dict[str, Any]:
    """The layout file templates/card.toml."""
    return tomllib.loads(template_path("card.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class CardTexts:
    """Texts known when the book is built: ingredient rows needed, and the lines of each box."""

    rows: int = 0
    boxes: Mapping[str, Sequence[str]] = field(default_factory=dict)
    intro: str = ""


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
    intro_lines: int
    fits: bool


def width_of(*keys: str) -> float:
    """Width in points of neighbouring columns."""
    return float(sum(card_look()["columns"][k] for k in keys))


def side_width(side: str) -> float:
    """Width of the left or right column in points."""
    at = COLUMNS.index("gutter")
    return width_of(*(COLUMNS[:at] if side == LEFT else COLUMNS[at + 1 :]))


def plan_card(texts: CardTexts) -> CardPlan:
    """Choose type sizes and boxes."""
    tries = card_look()["try"]
    for i, attempt in enumerate(tries):
        plan = _attempt(texts, attempt, last=i == len(tries) - 1)
        if plan is not None:
            return plan
    raise AssertionError("the last attempt always gives a plan")


def grid_units(intro_lines: int) -> int:
    """Grid rows between the facts strip and the footer."""
    page = card_look()["page"]
    head = page["title"] + intro_lines * page["intro_line"] + page["fact_label"] + page["fact_value"] + page["gap"]
    return int((page["height"] - head - page["footer_line"] * page["footer_lines"]) / page["unit"])


def units_for(lines: int, size: float) -> int:
    """Grid units that hold so many lines of text."""
    return math.ceil(round(lines * pitch(size) / card_look()["page"]["unit"], 6))


def lines_in(units: int, size: float) -> int:
    """Lines of text that so many units hold."""
    return int(round(units * card_look()["page"]["unit"] / pitch(size), 6))


@dataclass
class _Column:
    side: str
    at: int = 0
    places: dict[str, Place] = field(default_factory=dict)

    def add(self, key: str, units: int, size: float, lines: int = 0, bold: bool = False) -> None:
        self.places[key] = Place(self.side, self.at, units, size, lines, bold)
        self.at += units


def _attempt(texts: CardTexts, attempt: Mapping[str, Any], last: bool) -> CardPlan | None:
    look = card_look()
    blocks = look["blocks"]
    text, small, row = float(attempt["text"]), float(attempt["small"]), int(attempt["row"])
    intro_lines = max(1, wrapped_lines(texts.intro, text, width_of(*COLUMNS)))
    units = grid_units(intro_lines)
    left, right = _Column(LEFT), _Column(RIGHT)

    def lines(key: str, side: str, size: float, bold: bool = False) -> int:
        width = side_width(side)
        known = sum(wrapped_lines(t, size, width, bold) for t in texts.boxes.get(key, ()))
        spare = look["spare"][key] if attempt["spare"] else 0
        return int(max(known + spare, look["least"][key] if attempt["spare"] or not known else 0))

    slots = max(texts.rows + (blocks["spare_slots"] if attempt["spare"] else 1), look["least"]["slots"])
    left.add("ingredients_head", blocks["heading"], blocks["heading_size"])
    left.add("slots", slots * row, text)
    left.at += blocks["gap"]
    left.add("method_head", blocks["heading"], blocks["heading_size"])
    n = lines("method", LEFT, text)
    left.add("method", units_for(n, text), text, n)
    right.add("panel", panel_units(), small)
    n = lines("under", RIGHT, small)
    right.add("under", units_for(n, small), small, n)
    right.at += blocks["gap"]
    size = max(float(blocks["contains_size"]), small)
    n = lines("contains", RIGHT, size, True)
    right.add("contains", units_for(n, size) + 1, size, n, True)
    n = lines("rest", RIGHT, small)
    right.add("rest", units_for(n, small) + 1, small, n)
    right.at += blocks["gap"]
    right.add("ask_head", blocks["heading"], blocks["heading_size"])
    n = lines("ask", RIGHT, small)
    right.add("ask", units_for(n, small), small, n)
    for key in FLOATS:
        column = _shorter(left, right, units, {s: units_for(lines(key, s, small), small) for s in (LEFT, RIGHT)})
        column.at += blocks["gap"]
        column.add(f"{key}_head", blocks["heading"], blocks["heading_size"])
        n = lines(key, column.side, small)
        column.add(key, units_for(n, small), small, n)
    fits = left.at <= units and right.at <= units
    if not fits and not last:
        return None
    for column in (left, right):
        _spread(column, max(units, left.at, right.at) - column.at)
    return CardPlan(text, small, row, slots, left.places | right.places, max(units, left.at, right.at), intro_lines, fits)


def _shorter(left: _Column, right: _Column, units: int, needs: Mapping[str, int]) -> _Column:
    """The column that ends higher once the block stands in it."""
    ends = [(c.at + needs[c.side], i) for i, c in enumerate((left, right))]
    return (left, right)[min(ends)[1]]


def panel_units() -> int:
    """Height of the label panel in grid units."""
    p = card_look()["panel"]
    return int(p["title"] + p["servings"] + p["serving"] + p["per"] + p["energy"] + p["head"] + PANEL_LINES * p["line"]
               + p["note_lines"] * p["line"])


PANEL_LINES = 14


def _spread(column: _Column, left_over: int) -> None:
    """Give left-over units to the boxes that grow, a line at a time, and move what stands below."""
    grown: dict[str, int] = {}
    while True:
        taken = False
        for key, most in card_look()["grows"].items():
            place = column.places.get(key)
            if place is None or grown.get(key, 0) >= most:
                continue
            need = units_for(place.lines + grown.get(key, 0) + 1, place.size) - units_for(place.lines + grown.get(key, 0), place.size)
            if need <= left_over:
                grown[key] = grown.get(key, 0) + 1
                left_over -= need
                taken = True
        if not taken:
            break
    shift = 0
    for key, place in list(column.places.items()):
        more = grown.get(key, 0)
        extra = units_for(place.lines + more, place.size) - units_for(place.lines, place.size) if more else 0
        column.places[key] = Place(place.side, place.first + shift, place.units + extra, place.size, place.lines + more, place.bold)
        shift += extra
    column.at += shift
