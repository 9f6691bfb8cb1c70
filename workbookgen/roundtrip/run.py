"""The commands: extract, refresh, diff, audit. Each returns what it prints."""

from __future__ import annotations

from pathlib import Path

from workbookgen.roundtrip.extract import Extracted, extract, unplaced
from workbookgen.roundtrip.words import shown
from workbookgen.roundtrip.write_folder import write_folder
from workbookgen.session import load_kitchen
from workbookgen.verify.rules import load_rules

_WIDTH = 60


def extract_file(path: Path, folder: Path, personal: bool, overwrite: bool, foods: str) -> str:
    """Read a changed workbook into a recipe folder and tell what changed."""
    found = extract(path, load_kitchen(foods), personal)
    written = write_folder(found, folder, overwrite)
    names = ", ".join(p.name for p in written if p.suffix != ".toml" or p.stem == "settings")
    told = f"{folder}: {len(found.recipes)} recipes" + (f", {names}" if names else "")
    return "\n".join([told, *changes_told(found)])


def changes_told(found: Extracted) -> list[str]:
    """What was edited, in words: cells with their old and new content, then everything that needs a look."""
    lines = []
    if not (found.changes or found.locked or found.said):
        return ["Nothing was changed since the workbook was built."]
    if found.changes:
        lines.append(f"{len(found.changes):,} input cells were changed:")
        lines += [f"  {c.sheet}!{c.cell}{f' ({c.field})' if c.field else ''}: {_short(shown(c.old))} -> {_short(shown(c.new))}"
                  for c in found.changes]
    lines += found.said
    lines += _locked_told(found)
    left = unplaced(found)
    if left:
        lines.append(f"{len(left):,} contents fit no file as they stand; left_over.csv lists them with the reason:")
        lines += [f"  {x.sheet}!{x.cell}{f' ({x.field})' if x.field else ''}: {_short(x.value)}: {x.why}" for x in left[:_examples()]]
        if len(left) > _examples():
            lines.append(f"  and {len(left) - _examples():,} more")
    return lines


def _locked_told(found: Extracted) -> list[str]:
    if not found.locked:
        return []
    lines = [f"WARNING: {len(found.locked):,} locked cells or rows were changed; the files do not hold such changes:"]
    lines += [f"  {c.sheet}!{c.cell}: now {_short(c.now)}" for c in found.locked[:_examples()]]
    if len(found.locked) > _examples():
        lines.append(f"  and {len(found.locked) - _examples():,} more")
    return lines


def _examples() -> int:
    return int(load_rules("audit_rules")["report"]["examples"])


def _short(text: str) -> str:
    flat = " ".join(text.split())
    return "(empty)" if not flat else flat if len(flat) <= _WIDTH else flat[: _WIDTH - 3] + "..."
