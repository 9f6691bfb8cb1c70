"""The commands: extract, refresh, diff, audit. Each returns what it prints."""

from __future__ import annotations

from pathlib import Path

from workbookgen.model.errors import BadInput
from workbookgen.model.place import check_place, put_bytes
from workbookgen.roundtrip.audit import audit
from workbookgen.roundtrip.audit_page import audit_json, audit_page
from workbookgen.roundtrip.extract import Extracted, extract, unplaced
from workbookgen.roundtrip.figures import Figures, differences, is_untouched, read_figures, table
from workbookgen.roundtrip.foods_map import FoodMap, foods_of, map_foods
from workbookgen.roundtrip.record import read_edited
from workbookgen.roundtrip.refresh import rebuild
from workbookgen.roundtrip.safe import read_safely
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


def refresh_file(path: Path, out: Path, foods: str, style: Path | None) -> str:
    """Build a changed workbook anew and tell what became of its recipes, foods and figures."""
    if out.exists() and path.exists() and out.samefile(path):
        raise BadInput(str(out), "the new workbook would take the place of the changed one; choose another --out")
    check_place(out)
    kitchen = load_kitchen(foods)
    found = extract(path, kitchen, personal=True)
    mapped = map_foods(foods_of(found.edited.book), kitchen)
    clean = not (found.changes or found.locked) and is_untouched(found.edited)
    old = read_figures(found.edited.book, proven=clean)
    lost = rebuild(found, kitchen, mapped, out, style)
    new = read_figures(read_safely(out), proven=True)
    told = [f"{out}: {len(new.recipes)} recipes", *_foods_told(found, mapped), *found.said]
    if lost:
        told += ["Needs a look:", *(f"  {line}" for line in lost)]
    told += _locked_told(found)
    return "\n".join([*told, *_stale(old, path), *table(differences(old, new))])


def diff_files(one: Path, other: Path) -> str:
    """What two workbooks say differently of their recipes."""
    opened = [read_edited(path) for path in (one, other)]
    old, new = (read_figures(each.book, proven=is_untouched(each)) for each in opened)
    return "\n".join([*_stale(old, one), *_stale(new, other), *table(differences(old, new))])


def audit_file(path: Path, json_file: Path | None) -> tuple[int, str]:
    """The audit page, written as JSON too when asked for; the first is 1 when there are faults, else 0."""
    found = audit(path)
    if json_file is not None:
        put_bytes(json_file, audit_json(found).encode(), "another --json")
    return int(bool(found.faults)), audit_page(found)


def _stale(figures: Figures, path: Path) -> list[str]:
    return [] if figures.fresh else [f"{path.name}: could not be recalculated; its stored values are compared"]


def _foods_told(found: Extracted, foods: FoodMap) -> list[str]:
    """Foods of the recipes that have another name in the table, or none."""
    used = dict.fromkeys(line.food for r in found.recipes.values() for line in r.lines)
    lines = [f"The food '{name}' is called '{foods.name(name)}' now." for name in used if foods.name(name) != name]
    return lines + [f"The food '{name}' is gone from the food table." for name in used if name.casefold() in foods.gone]


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
