"""Words of the handout: Markdown files with a heading per id and lines "key | text"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from workbookgen.model.errors import BadInput

_NAME = re.compile(r"\{([a-z_]+)\}")


def read_words(path: Path) -> dict[str, dict[str, str]]:
    """Texts by heading and key. Lines before the first ``##`` are remarks for authors.

    Raises ``BadInput`` for a missing file, text that is not UTF-8, a line without ``|`` and a heading or
    key that stands twice.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        what = f"cannot be read ({error.__class__.__name__}); save it as UTF-8 text"
        raise BadInput(path.name, what) from None
    found: dict[str, dict[str, str]] = {}
    section: dict[str, str] | None = None
    for number, line in enumerate(lines, 1):
        if line.startswith("## "):
            heading = line[3:].strip()
            if heading in found:
                what = f"the heading '{heading}' stands twice; keep one"
                raise BadInput(f"{path.name} line {number}", what)
            section = found[heading] = {}
        elif line.strip() and section is not None:
            key, bar, text = (part.strip() for part in line.partition("|"))
            if not bar or not key or not text:
                raise BadInput(f"{path.name} line {number}", "write a key, an upright bar and the text")
            if key in section:
                raise BadInput(f"{path.name} line {number}", f"the key '{key}' stands twice; keep one")
            section[key] = text
    return found


def fill_in(text: str, figures: Mapping[str, str], place: str, keep: tuple[str, ...] = ()) -> str:
    """``text`` with every ``{name}`` replaced by its figure; names in ``keep`` stay.

    Raises ``BadInput`` for a name that is not known.
    """

    def figure(match: re.Match[str]) -> str:
        name = match[1]
        if name in keep:
            return match[0]
        if name not in figures:
            raise BadInput(place, f"{{{name}}} is not known; add it to handling.csv or correct the name")
        return figures[name]

    return _NAME.sub(figure, text)
