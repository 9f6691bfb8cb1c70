"""From a file to its TOML table: encoding, size and syntax, each fault in one sentence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput

LARGEST_FILE = 200_000
"""Bytes: some thirty times a long recipe."""

_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
# each dot of a key costs the parser memory for all dots before it, so a long chain would fill any machine
_CHAIN = re.compile(r"""(?<![\w"'-])(?:["'\w-]+\s*\.\s*){20}""")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


def read_text(path: Path) -> str:
    """The text of the recipe file at ``path``: UTF-8, a byte-order mark accepted, line ends as ``\\n``.

    Raises ``BadInput`` when the file is missing, no plain file, unreadable, too large or in another encoding.
    """
    name = path.name or str(path)
    try:
        if path.is_dir():
            raise BadInput(name, "this is a folder; name a recipe file (*.toml)")
        if not path.is_file():
            raise BadInput(name, "there is no such file; check the name and the folder")
        if path.stat().st_size > LARGEST_FILE:
            raise BadInput(name, f"the file is above {LARGEST_FILE:,} bytes; a recipe is a short text")
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise BadInput(name, f"the file cannot be read ({reason}); check its permissions") from error
    if raw.startswith(_UTF16):
        raise BadInput(name, "the file is UTF-16 text; save it again with the encoding UTF-8")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        row = raw.count(b"\n", 0, error.start) + 1
        what = f"byte {raw[error.start]:#04x} is not UTF-8 text; save the file again with the encoding UTF-8"
        raise BadInput(f"{name}, line {row}", what) from error


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """The table that TOML ``text`` of the file ``name`` holds; ``BadInput`` names line and column."""
    chain = _CHAIN.search(text)
    if chain:
        row = text.count("\n", 0, chain.start()) + 1
        raise BadInput(f"{name}, line {row}", "too many words are joined by dots; take some of the dots out")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_fault(str(error), text, name) from error
    except RecursionError as error:
        raise BadInput(name, "the brackets are nested too deeply; a recipe needs two levels") from error
    except (ValueError, OverflowError) as error:
        raise BadInput(name, "a number or date cannot be read; write amounts in quotes") from error


def _syntax_fault(message: str, text: str, name: str) -> BadInput:
    """The parser's message in a cook's words."""
    match = _AT.search(message)
    row = int(match[1]) if match and match[1] else text.count("\n") + 1
    column = f", column {match[2]}" if match and match[2] else ""
    reason = _AT.sub("", message)
    lines = text.split("\n")
    key = lines[row - 1].split("=")[0].strip()[:40] if row <= len(lines) else ""
    if "overwrite" in reason or "mutate immutable" in reason:
        return BadInput(f"{name}, line {row}", f'the key "{key}" is written twice; keep one of the two')
    if "twice" in reason or "Cannot declare" in reason or "Cannot redefine" in reason:
        what = f"the table {key} is written twice; [[double]] brackets begin a list"
        return BadInput(f"{name}, line {row}", what)
    if "Expected '=' after a key" in reason or "Invalid statement" in reason:
        what = 'this is not "key = value" (multi-word text needs "quotes"); mend the line'
    elif "Invalid value" in reason:
        what = 'the value is not understood; put words and fractions in "quotes"'
    elif "Unterminated" in reason or "Illegal character '\\n'" in reason:
        what = 'a text does not end; close it with "'
    elif "Illegal character" in reason:
        what = "the line holds a control character; delete it and type the words again"
    elif "Unclosed" in reason:
        what = "a list does not end; separate its parts by commas and close it with ]"
    else:
        what = f"the file is not valid TOML ({reason[0].lower()}{reason[1:]}); mend the line"
    return BadInput(f"{name}, line {row}{column}", what)
