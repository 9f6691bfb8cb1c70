"""Contrast of the colours that meet in the workbook.

Source: Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation, terms "relative luminance" and "contrast
ratio"; success criteria 1.4.3 (text) and 1.4.11 (what one must see to use a part).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path

COLUMNS = ("front", "back", "least", "where", "source_id", "status", "note")
#: Share of red, green and blue in luminance, and the limit below which sRGB is linear (WCAG 2.2, relative luminance).
SHARES, LINEAR_TO, LINEAR, OFFSET, GAMMA = (0.2126, 0.7152, 0.0722), 0.04045, 12.92, 0.055, 2.4
GLARE = 0.05


@dataclass(frozen=True, slots=True)
class Pair:
    """Two colours of the palette that meet, and the least contrast they need."""

    front: str
    back: str
    least: float
    where: str


def luminance(colour: str) -> float:
    """Relative luminance (0 black to 1 white) of a colour of six hexadecimal digits.

    >>> luminance("FFFFFF"), luminance("000000")
    (1.0, 0.0)
    """
    parts = [int(colour[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    light = [p / LINEAR if p <= LINEAR_TO else ((p + OFFSET) / (1 + OFFSET)) ** GAMMA for p in parts]
    return sum(share * value for share, value in zip(SHARES, light, strict=True))


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, whichever is the lighter.

    >>> round(contrast("000000", "FFFFFF"), 1)
    21.0
    """
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + GLARE) / (darker + GLARE)


def pairs() -> tuple[Pair, ...]:
    """The pairs of data/contrast_pairs.csv."""
    rows = read_rows(data_path("contrast_pairs.csv"), COLUMNS)
    return tuple(Pair(r.text("front"), r.text("back"), r.number_in("least", 1, 21), r.text("where")) for r in rows)


def too_weak(palette: Mapping[str, str]) -> list[tuple[Pair, float]]:
    """Pairs whose colours stand out too little, with the contrast they have; nothing is rounded up."""
    found = [(pair, contrast(palette[pair.front], palette[pair.back])) for pair in pairs()]
    return [(pair, ratio) for pair, ratio in found if ratio < pair.least]
