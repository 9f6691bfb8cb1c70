"""Texts of the workbook: Markdown files in templates/, read as headings with lines."""

from __future__ import annotations

from workbookgen.catalogue.paths import template_path
from workbookgen.model.errors import BadInput


def read_sections(name: str) -> list[tuple[str, list[str]]]:
    """Sections of a template: (heading, lines). Lines before the first ``##`` are remarks for authors.

    Raises BadInput when the file is missing or not UTF-8.
    """
    path = template_path(name)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(name, f"cannot be read ({error.__class__.__name__}); save it as UTF-8 text") from None
    sections: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        if line.startswith("## "):
            sections.append((line[3:].strip(), []))
        elif line.strip() and sections:
            sections[-1][1].append(line.strip())
    return sections
