"""Every figure and rule that is still from memory: ``python -m tests.outside.memory_rows [--to FILE.md]``."""

from __future__ import annotations

import argparse
import csv
import re
from collections.abc import Iterator
from pathlib import Path

from workbookgen.catalogue.paths import data_path

MEMORY = "memory"
SHOWN = 5
HEAD = """# Figures and rules still from memory

Command: `python -m tests.outside.memory_rows`. Each row of `data/` that says `memory` in a status column was written down without
a published text in sight. The workbook marks them, the sheet Audit counts them, and a statement that rests on one is judged
but never printed on a card.

| table | rows from memory | of | which |
|---|---|---|---|
"""
_TOML_ROW = re.compile(r'^\s*"?([\w.]+)"?\s*=.*status\s*=\s*"memory"', re.M)


def csv_rows(path: Path) -> tuple[list[str], int]:
    """What the rows from memory are called (their first filled cells), and how many rows there are."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    states = [name for name in (rows[0] if rows else ()) if name.endswith("status")]
    found = []
    for row in rows:
        if any(row[name] == MEMORY for name in states):
            names = [value for name, value in row.items() if value and not name.endswith("status")][:2]
            found.append(" / ".join(names))
    return found, len(rows)


def tables() -> Iterator[tuple[str, list[str], int]]:
    """Tables with rows from memory, most first."""
    found = []
    for path in sorted(data_path().rglob("*.csv")):
        names, count = csv_rows(path)
        found.append((path.relative_to(data_path()).as_posix(), names, count))
    for path in sorted(data_path().rglob("*.toml")):
        text = path.read_text(encoding="utf-8")
        names = _TOML_ROW.findall(text)
        found.append((path.relative_to(data_path()).as_posix(), names, text.count("status =")))
    yield from sorted((row for row in found if row[1]), key=lambda row: (-len(row[1]), row[0]))


def report() -> str:
    lines = []
    for name, rows, count in tables():
        more = f" and {len(rows) - SHOWN} more" if len(rows) > SHOWN else ""
        lines.append(f"| {name} | {len(rows)} | {count} | {'; '.join(rows[:SHOWN]).replace('|', '/')}{more} |")
    return HEAD + "\n".join(lines) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path)
    options = parser.parse_args()
    if options.to:
        options.to.write_text(report(), encoding="utf-8")
    print(report())


if __name__ == "__main__":
    main()
