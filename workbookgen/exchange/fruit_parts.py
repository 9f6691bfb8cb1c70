"""Juice and zest of whole fruit: "juice of 1 lemon", "zest and juice of 2 limes", "1 lemon, juiced"."""

from __future__ import annotations

import re
from dataclasses import replace

from workbookgen.exchange.lead import Lead, read_lead, read_quantity
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.line_text import LineText
from workbookgen.exchange.parsed import JUICE, JUICE_OF, ZEST, ZEST_OF, ParsedLine
from workbookgen.exchange.quantities import Quantity

_PART = r"juice|zest|rind|peel"
_OF_FRUIT = re.compile(
    r"^(?:the\s+)?(?:finely\s+|freshly\s+)?(?:grated\s+|squeezed\s+)?"
    rf"(?P<one>{_PART})(?:\s*(?:and|&|\+)\s*(?:the\s+)?(?:finely\s+)?(?:grated\s+)?(?P<two>{_PART}))?"
    r"\s+(?:of|from)\s+(?P<rest>.+)$",
    re.I,
)


def parts_of_fruit(line: LineText, words: Lexicon) -> tuple[ParsedLine, ...]:
    """Lines for "juice of 1 lemon" and the like; empty for any other line."""
    match = _OF_FRUIT.match(line.text)
    if not match:
        return ()
    rest = re.sub(r"^the\s+", "", match["rest"], flags=re.I)
    lead = read_lead(rest, line.brackets, words) or Lead(rest=rest)
    found = re.search(rf"\b({'|'.join(words.fruits)})s?\b", lead.rest, re.I)
    if not found:
        return ()
    told = replace(line.base, size=lead.size, doubts=tuple(lead.doubts))
    # An amount beside it ("juice of 1 lemon (about 3 tablespoons)") is the juice's, not the zest's.
    beside = [q for text in line.brackets if (q := _measured(text, words)) is not None]
    parts = [JUICE if p.lower() == JUICE else ZEST for p in (match["one"], match["two"]) if p]
    return tuple(_one(told, part, found[1], lead.amounts, beside) for part in parts)


def parts_said_after(line: ParsedLine, name: str, words: Lexicon) -> tuple[ParsedLine, ...]:
    """Lines for "1 lemon, juiced" and "2 limes, zest and juice only"; empty for any other line."""
    fruit = re.fullmatch(rf"(?:\w+\s+)?({'|'.join(words.fruits)})s?", name, re.I)
    if not fruit or line.unit is not None or not line.amounts:
        return ()
    said = line.comment.lower()
    parts = [
        part
        for part, known in ((JUICE, words.juice), (ZEST, words.zest))
        if any(re.search(rf"\b{word}\b", said) for word in known)
    ]
    beside = [q for q in line.same_as if q.unit and q.unit.factor]
    plain = replace(line, comment="", same_as=())
    return tuple(_one(plain, part, fruit[1], list(line.amounts), beside) for part in parts)


def _one(
    line: ParsedLine, part: str, fruit: str, amounts: list[Quantity], beside: list[Quantity]
) -> ParsedLine:
    juice, fruit = part == JUICE, fruit.lower()
    unit = JUICE_OF if juice else ZEST_OF
    return replace(
        line,
        amounts=tuple(Quantity(q.low, q.high, unit) for q in amounts[:1]),
        same_as=tuple(beside) if juice else (),
        names=(f"squeezed {fruit} juice" if juice else f"{fruit} zest",),
        part=part,
    )


def _measured(text: str, words: Lexicon) -> Quantity | None:
    inside = read_quantity(text, words)
    return inside[0] if inside and inside[0].unit and inside[0].unit.factor else None
