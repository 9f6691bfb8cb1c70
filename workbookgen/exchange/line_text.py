"""An ingredient line with its brackets and remarks ("optional", "to taste", "divided") taken apart."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.parsed import ParsedLine
from workbookgen.exchange.quantities import plain

LONGEST_LINE = 400
_BULLET = re.compile(r"^\s*(?:[-*•‣▢☐◦·●▪–—□✓✔]|\[ ?\]|\d+[.)](?=\s+\D))\s*")
_EXTRA = re.compile(
    r",?\s*\(?\b(?:plus|and|with|\+)\s+(?:a\s+(?:little|bit|few)\s+)?(?:more|extra|additional)\b[^,;()]*\)?",
    re.I,
)
_MORE_OR_LESS = re.compile(r",?\s*\bor (?:more|less|so)\b(?:\s+or\s+less)?", re.I)
# list of words.toml, field of ParsedLine
_REMARKS = (
    ("to_taste", "undecided"),
    ("as_needed", "undecided"),
    ("garnish", "garnish"),
    ("optional", "optional"),
    ("divided", "divided"),
    ("purpose", "undecided"),
)


@dataclass
class LineText:
    """The line without brackets (in their place stand "[0]", "[1]"), what was in them, and the remarks."""

    text: str
    brackets: list[str]
    base: ParsedLine
    remarks: dict[str, str] = field(default_factory=dict)


def read_line_text(written: str, section: str, words: Lexicon) -> LineText:
    """Cleans a line of bullets and typographic signs and takes brackets and remarks out."""
    written = " ".join(written.split())[:LONGEST_LINE]
    text, brackets = take_brackets(without_bullet(written))
    remarks: dict[str, str] = {}
    parts = [_take_remarks(part, remarks, words) for part in (text, *brackets)]
    base = ParsedLine(
        text=written,
        section=section,
        optional="optional" in remarks,
        divided="divided" in remarks,
        garnish="garnish" in remarks,
        undecided=remarks.get("undecided", ""),
        extra=remarks.get("extra", ""),
    )
    return LineText(parts[0], parts[1:], base, remarks)


def without_bullet(written: str) -> str:
    """The line with plain signs and without bullet, tick box, step number or Markdown stars."""
    return plain(_BULLET.sub("", written.replace("**", "").replace("__", "")))


def take_brackets(text: str) -> tuple[str, list[str]]:
    """Replaces "(...)" by "[0]", "[1]" ...; brackets inside brackets stay in the outer one."""
    text = text.replace("[", "(").replace("]", ")")
    brackets: list[str] = []
    out, depth, start = [], 0, 0
    for place, sign in enumerate(text):
        if sign == "(":
            depth += 1
            start = place + 1 if depth == 1 else start
        elif sign == ")" and depth:
            depth -= 1
            if depth == 0:
                out.append(f" [{len(brackets)}] ")
                brackets.append(text[start:place].replace("(", "").replace(")", "").strip())
        elif depth == 0 and sign != ")":
            out.append(sign)
    if depth:  # never closed
        out.append(f" [{len(brackets)}] ")
        brackets.append(text[start:].strip())
    return " ".join("".join(out).split()), brackets


def _take_remarks(part: str, remarks: dict[str, str], words: Lexicon) -> str:
    """``part`` without the remarks about the line as a whole, which go to ``remarks``."""
    extra = _EXTRA.search(part)
    if extra:
        remarks["extra"] = extra[0].strip(" ,()")
        part = part[: extra.start()] + part[extra.end() :]
    for name, target in _REMARKS:
        match = words.phrase(name).search(part)
        if match:
            remarks.setdefault(target, match[0].lower().removeprefix("or "))
            part = part[: match.start()] + " " + part[match.end() :]
    part = _MORE_OR_LESS.sub("", part)
    return re.sub(r"\s*,\s*(?=,|$)", "", " ".join(part.split())).strip(" ,;:")
