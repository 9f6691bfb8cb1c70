"""A programme's own texts: a small, harmless part of Markdown, as headings with paragraphs."""

from __future__ import annotations

import re

Sections = list[tuple[str, list[str]]]
_HEADING = re.compile(r"#{1,6}\s+(.*?)\s*#*")
_BULLET = re.compile(r"[-*+]\s+(.*)")
_LINK = re.compile(r"!?\[([^\]]*)\]\(([^)\s]*)\)")
_EMPHASIS = re.compile(r"(\*\*|__|\*|`)(?=\S)(.+?)(?<=\S)\1")


def plain(text: str) -> str:
    """Words without marks: emphasis falls away, a link keeps its address behind its words.

    >>> plain("Read **this** on [our page](https://example.org).")
    'Read this on our page (https://example.org).'
    """
    text = _LINK.sub(lambda m: f"{m[1]} ({m[2]})" if m[1] and m[2] else m[1] or m[2], text)
    while (shorter := _EMPHASIS.sub(r"\2", text)) != text:
        text = shorter
    return " ".join(text.split())


def markdown_sections(text: str) -> Sections:
    """Sections of a text: (heading, paragraphs); what stands before the first heading has the heading "".

    Lines of a paragraph are joined, a blank line or a bullet starts the next one.
    """
    sections: Sections = [("", [])]
    open_paragraph = False
    for line in (raw.strip() for raw in text.splitlines()):
        heading, bullet = _HEADING.fullmatch(line), _BULLET.fullmatch(line)
        if heading:
            sections.append((plain(heading[1]), []))
            open_paragraph = False
        elif not line:
            open_paragraph = False
        elif bullet or not open_paragraph:
            sections[-1][1].append(f"\u2022 {bullet[1]}" if bullet else line)
            open_paragraph = True
        else:
            sections[-1][1][-1] += " " + line
    return [(heading, [plain(p) for p in under]) for heading, under in sections if heading or under]
