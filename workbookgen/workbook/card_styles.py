"""Words of the style vocabulary that only cards use."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

HALF_POINTS = range(16, 61)


def card_words(c: Mapping[str, str]) -> dict[str, Mapping[str, Any]]:
    """Styles of a card; ``c`` maps palette names to colours. ``s85`` is a type size of 8.5 points."""
    sizes: dict[str, Mapping[str, Any]] = {size_word(n / 2): {"font_size": n / 2} for n in HALF_POINTS}
    edges = {"bl": "left", "br": "right", "bt": "top", "bb": "bottom"}
    frames = {word: {side: 1, f"{side}_color": c["ink"]} for word, side in edges.items()}
    loud = {"r" + word: {side: 2, f"{side}_color": c["rust"]} for word, side in edges.items()}
    return {
        **sizes, **frames, **loud,
        "page": {"valign": "vcenter", "indent": 0},
        "top": {"valign": "top", "text_wrap": True},
        "low": {"valign": "bottom"},
        "shrink": {"shrink": True, "text_wrap": False},
        "band": {"bg_color": c["spruce"], "font_color": c["paper"], "valign": "vcenter"},
        "accent": {"bottom": 5, "bottom_color": c["honey_line"]},
        "fact": {"bg_color": c["oat"], "valign": "vcenter"},
        "factgap": {"left": 2, "left_color": c["paper"]},
        "factlabel": {"font_color": c["spruce"], "valign": "bottom", "align": "left", "indent": 1},
        "factvalue": {"bold": True, "valign": "top", "align": "left", "indent": 1},
        "chead": {"bold": True, "font_color": c["spruce"], "bottom": 2, "bottom_color": c["spruce"], "valign": "bottom"},
        "cask": {"bold": True, "font_color": c["rust"], "bottom": 2, "bottom_color": c["rust"], "valign": "bottom"},
        "rule": {"bottom": 4, "bottom_color": c["line"]},
        "spruce": {"font_color": c["spruce"]},
        "slotmark": {"bold": True, "font_color": c["spruce"], "bg_color": c["leaf"]},
        "hair": {"top": 1, "top_color": c["line"]},
        "bar": {"top": 5, "top_color": c["ink"]},
        "thick": {"top": 2, "top_color": c["ink"]},
        "foot": {"top": 1, "top_color": c["spruce"], "valign": "vcenter"},
        "italic": {"italic": True},
        "ind": {"align": "left", "indent": 1},
        "rind": {"align": "right", "indent": 1},
        "wrapped": {"text_wrap": True},
    }


def size_word(size: float) -> str:
    """The style word of a type size."""
    return f"s{round(size * 10)}"
