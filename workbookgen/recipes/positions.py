"""Which line of a TOML file a key stands on, so that messages can point to it."""

from __future__ import annotations

import re
from collections.abc import Mapping

Positions = Mapping[tuple[str, int, str], int]
"""Line numbers (from 1) by table name, number of the table of that name (from 0) and key ("" = header)."""

_LONGEST_HEADER = 200
_HEADER = re.compile(r"\s*(\[\[|\[)\s*([A-Za-z0-9_.\- ]+?)\s*\]")
_KEY = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_\-]+))\s*=""")
_STRING = re.compile(r"""\"\"\"|'''|"(?:\\.|[^"\\])*"|'[^']*'|\#.*""")


def find_positions(text: str) -> Positions:
    """Where tables and keys begin in TOML ``text``; several tables of one name are numbered in turn.

    The text need not be valid. What stands inside multi-line strings is passed over.

    >>> find_positions('title = "Soup"\\n[[ingredient]]\\nfood = "Kale, raw"')["ingredient", 0, "food"]
    3
    """
    found: dict[tuple[str, int, str], int] = {}
    counts: dict[str, int] = {}
    table, number, open_quotes = "", 0, ""
    for row, line in enumerate(text.split("\n"), 1):
        if not open_quotes:
            header, key = _HEADER.match(line[:_LONGEST_HEADER]), _KEY.match(line)
            if header:
                table = header[2].replace(" ", "")
                number = counts.get(table, 0)
                counts[table] = number + 1
                found[table, number, ""] = row
            elif key:
                found.setdefault((table, number, key[1] or key[2] or key[3] or ""), row)
        open_quotes = _open_quotes(line, open_quotes)
    return found


def _open_quotes(line: str, open_quotes: str) -> str:
    """The quotes of the multi-line string that is open at the end of ``line``, "" for none."""
    at = 0
    while True:
        if open_quotes:
            at = line.find(open_quotes, at)
            if at < 0:
                return open_quotes
            at += 3
            open_quotes = ""
        match = _STRING.search(line, at)
        if not match:
            return ""
        at = match.end()
        if match[0] in ('"""', "'''"):
            open_quotes = match[0]
