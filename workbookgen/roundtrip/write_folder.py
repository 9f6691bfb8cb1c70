"""What was read back, as a recipe folder that builds again."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from workbookgen.model.errors import BadInput
from workbookgen.model.place import DEVICES, put_all
from workbookgen.recipes.load import SETTINGS_FILE
from workbookgen.recipes.save import checked_text
from workbookgen.roundtrip.extract import Extracted, unplaced
from workbookgen.roundtrip.words import shown

LEFT_OVER, SHEETS = "left_over.csv", "sheets.csv"
#: Bytes of a name before its suffix: every file system takes that many.
LONGEST_STEM = 120


def write_folder(found: Extracted, folder: Path, overwrite: bool = False) -> list[Path]:
    """Write every file, all of them or none; returns their paths. Raises ``BadInput`` for a folder that holds something
    already, unless ``overwrite`` allows its files to be replaced (others in it stay)."""
    if folder.exists() and not folder.is_dir():
        raise BadInput(str(folder), "this is a file; name a folder")
    if folder.is_dir() and any(folder.iterdir()) and not overwrite:
        raise BadInput(str(folder), "the folder is not empty; choose another one, or allow its files to be replaced with --overwrite")
    texts: dict[str, str] = {}
    taken = {SETTINGS_FILE, *found.tables}
    for name, recipe in found.recipes.items():
        safe = safe_name(name, taken)
        texts[safe] = checked_text(recipe, safe)
    texts |= found.tables
    left = [(x.sheet, x.cell, x.field, x.value, x.why) for x in unplaced(found)]
    if left:
        texts[LEFT_OVER] = table(("sheet", "cell", "field", "value", "why"), left)
    if found.kept:
        texts[SHEETS] = table(("sheet", "cell", "value"), [(k.sheet, k.cell, shown(k.value)) for k in found.kept])
    return put_all(folder, {name: text.encode() for name, text in texts.items()})


def safe_name(name: str, taken: set[str]) -> str:
    """A file name told by a workbook, without any way out of the folder, taken by no system and by no other file.

    ``taken`` holds the names in small letters that are used; the new one joins them.

    >>> safe_name("../../pot.toml", {"pot.toml"}), safe_name("NUL", set())
    ('pot-2.toml', 'recipe-NUL.toml')
    """
    plain = "".join(c for c in Path(name.replace("\\", "/")).name if c.isprintable() and c not in '<>:"|?*')
    stem = plain.removesuffix(".toml").strip(". ")
    stem = stem.encode()[:LONGEST_STEM].decode(errors="ignore").strip(". ") or "recipe"
    stem = f"recipe-{stem}" if stem.split(".")[0].lower() in DEVICES else stem
    found, number = f"{stem}.toml", 2
    while found.lower() in taken:
        found, number = f"{stem}-{number}.toml", number + 1
    taken.add(found.lower())
    return found


def table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV text."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue()
