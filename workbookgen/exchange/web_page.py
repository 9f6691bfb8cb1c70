"""Recipes in a saved web page: schema.org/Recipe as JSON-LD or as microdata.

The page is read with Python's own HTML parser. The general library extruct was tried: it works offline, but
one broken JSON-LD block makes it drop every other block of the page, and it brings some twenty packages
(RDF, HTTP); the two syntaxes needed here take little code. Microdata follow the HTML standard, section
"Microdata: converting HTML to other formats" (property values by element).
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

_VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
)
_BREAKS = frozenset({"br", "p", "li", "div", "tr", "h1", "h2", "h3", "h4", "td"})
_SOURCES = ("audio", "embed", "iframe", "img", "source", "track", "video")
_URL_ATTRIBUTES = {"area": "href", "link": "href", "object": "data", **dict.fromkeys(_SOURCES, "src")}
# A start tag on the left ends an open element of the first list, unless one of the second lies between
# (HTML standard, "Optional tags").
_IMPLIED: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "li": (("li",), ("ul", "ol", "menu")),
    "dt": (("dt", "dd"), ("dl",)),
    "dd": (("dt", "dd"), ("dl",)),
    "tr": (("tr",), ("table",)),
    "td": (("td", "th"), ("tr", "table")),
    "th": (("td", "th"), ("tr", "table")),
    **dict.fromkeys(("p", "ul", "ol", "div", "table", "h1", "h2", "h3", "h4"), (("p",), ())),
}
MOST_DEPTH = 400


@dataclass
class _Item:
    type: str
    properties: dict[str, list[Any]] = field(default_factory=dict)


@dataclass
class _Open:
    """An element not closed yet: what it collects."""

    tag: str
    item: _Item | None = None
    names: tuple[str, ...] = ()
    text: list[str] | None = None


class _Reader(HTMLParser):
    """Collects JSON-LD blocks, top microdata items, the page's language and its title."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.blocks: list[str] = []
        self.items: list[_Item] = []
        self.language = ""
        self._stack: list[_Open] = []
        self._json: list[str] | None = None

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attributes}
        if tag == "html":
            self.language = self.language or at.get("lang", "")
        if tag == "script":
            self._json = [] if "ld+json" in at.get("type", "").lower() else None
            return
        if tag in _BREAKS:
            self._say("\n")
        self._close_implied(tag)
        item = _Item(at.get("itemtype", "")) if "itemscope" in at else None
        names = tuple(at.get("itemprop", "").split())
        simple = self._value(tag, at)
        owner = self._owner()
        if names and owner is not None:
            if item is not None:
                for name in names:
                    owner.properties.setdefault(name, []).append(item)
            elif simple is not None:
                for name in names:
                    owner.properties.setdefault(name, []).append(simple)
        elif item is not None:
            self.items.append(item)
        if tag in _VOID or len(self._stack) >= MOST_DEPTH:
            return
        wants_text = bool(names) and item is None and simple is None and owner is not None
        self._stack.append(_Open(tag, item, names, [] if wants_text else None))

    def handle_startendtag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attributes)
        if tag not in _VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            if self._json is not None:
                self.blocks.append("".join(self._json))
            self._json = None
            return
        if tag in _BREAKS:
            self._say("\n")
        if not any(o.tag == tag for o in self._stack):
            return
        while self._stack:
            closed = self._stack.pop()
            if closed.text is not None:
                owner = self._owner()
                value = "\n".join(
                    " ".join(line.split()) for line in "".join(closed.text).split("\n") if line.strip()
                )
                for name in closed.names if owner is not None else ():
                    assert owner is not None
                    owner.properties.setdefault(name, []).append(value)
            if closed.tag == tag:
                break

    def _close_implied(self, tag: str) -> None:
        """Ends what HTML lets a page leave open: an item before the next item, a paragraph before a block."""
        ends, within = _IMPLIED.get(tag, ((), ()))
        for element in reversed(self._stack):
            if element.tag in within:
                return
            if element.tag in ends:
                self.handle_endtag(element.tag)
                return

    def handle_data(self, data: str) -> None:
        if self._json is not None:
            self._json.append(data)
        else:
            self._say(data)

    def _say(self, text: str) -> None:
        for element in self._stack:
            if element.text is not None:
                element.text.append(text)

    def _owner(self) -> _Item | None:
        return next((o.item for o in reversed(self._stack) if o.item is not None), None)

    @staticmethod
    def _value(tag: str, at: dict[str, str]) -> str | None:
        """The value an attribute gives a property; None when the element's text is the value."""
        if tag == "meta" or (at.get("content") and "itemprop" in at):
            return at.get("content", "")
        if tag in _URL_ATTRIBUTES and "itemprop" in at:
            return at.get(_URL_ATTRIBUTES[tag], "")
        if tag == "time" and "datetime" in at:
            return at["datetime"]
        return at.get("value") if tag in ("data", "meter") else None


def read_page(html: str) -> tuple[list[dict[str, Any]], str, int]:
    """Objects found in the page (JSON-LD first), its language, and how many JSON-LD blocks were broken.

    Microdata items come as JSON-LD would word them: ``@type`` and lists of values.
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    found: list[dict[str, Any]] = []
    broken = 0
    for block in reader.blocks:
        try:
            value = json.loads(_bare(block), strict=False)
        except (ValueError, RecursionError):
            broken += 1
            continue
        found += [v for v in (value if isinstance(value, list) else [value]) if isinstance(v, dict)]
    found += [_as_object(item) for item in reader.items]
    return found, reader.language, broken


def _bare(block: str) -> str:
    """A JSON-LD block without the comment marks some pages put around it."""
    text = block.strip()
    for start, end in (("<!--", "-->"), ("//<![CDATA[", "//]]>"), ("<![CDATA[", "]]>")):
        if text.startswith(start):
            text = text[len(start) :].removesuffix(end)
    return text.strip().rstrip(";")


def _as_object(item: _Item) -> dict[str, Any]:
    out: dict[str, Any] = {"@type": item.type.rstrip("/").rpartition("/")[2]}
    for name, values in item.properties.items():
        out[name] = [_as_object(v) if isinstance(v, _Item) else v for v in values]
    return out
