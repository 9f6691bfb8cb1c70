"""One workbook per recipe, built side by side in separate processes."""

from __future__ import annotations

import os
import shutil
import tempfile
import unicodedata
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path

from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.model.place import DEVICES, PREFIX
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.load import SETTINGS_FILE, load_recipe
from workbookgen.session import (
    DEMO_FOLDER,
    BuiltFile,
    build_recipes,
    load_checked,
    load_kitchen,
    open_folders,
)

SUFFIX = ".xlsx"
LONGEST_STEM = 60
Step = Callable[[int, int], None]


@dataclass
class EachResult:
    """What came of it: workbooks in the order of the recipes, and one sentence per failure."""

    built: list[BuiltFile] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)


def file_stem(title: str, taken: set[str]) -> str:
    """A title as the stem of a file that no system misreads: small plain letters, digits and hyphens, new in ``taken``.

    >>> file_stem("../Crème & beans", set())
    'creme-beans'
    """
    letters = unicodedata.normalize("NFKD", title).lower()
    words = "".join(c if c.isascii() and c.isalnum() else "" if unicodedata.combining(c) else " " for c in letters).split()
    stem = "-".join(words)[:LONGEST_STEM].rstrip("-") or "recipe"
    stem = f"recipe-{stem}" if stem in DEVICES else stem
    name, number = stem, 2
    while name in taken:
        name, number = f"{stem}-{number}", number + 1
    taken.add(name)
    return name


def recipe_files(paths: Sequence[Path]) -> list[Path]:
    """The recipe files meant by files and folders, each once; raises BadInput for a path that is neither."""
    found: dict[Path, Path] = {}
    for path in paths:
        if path.is_dir():
            files = sorted(p for p in path.glob("*.toml") if p.name != SETTINGS_FILE)
        elif path.is_file():
            files = [path]
        else:
            raise BadInput(str(path), "is neither a recipe file nor a folder; mend the path")
        found |= {file.resolve(): file for file in files}
    if not found:
        raise BadInput(str(paths[0]) if paths else "build", "holds no recipe file (*.toml); name another folder")
    return list(found.values())


def build_each(paths: Sequence[Path], folder: Path, style: Path | None, foods: str, step: Step = lambda done, of: None,
               workers: int | None = None) -> EachResult:
    """Build one workbook per recipe file into ``folder``; dishes a recipe uses are taken from the files beside it.

    A recipe that fails leaves no file and one sentence; the others are built all the same. Files grow in a folder of
    their own and move into place when they are whole. ``step`` hears how many of how many are done. Raises BadInput
    for a folder that cannot be written.
    """
    from workbookgen.workbook.look import load_look

    files = recipe_files(list(paths) or [data_path(DEMO_FOLDER)])
    load_look(style)  # a fault of the look is told once, before anything starts
    try:
        folder.mkdir(exist_ok=True)
        growing = Path(tempfile.mkdtemp(prefix=f"{PREFIX}each-", dir=folder))
    except OSError as error:
        raise BadInput(str(folder), f"cannot be written as a folder ({error.strerror}); choose another --each") from None
    try:
        return _build_all(files, folder, growing, style, foods, step, workers)
    finally:
        shutil.rmtree(growing, ignore_errors=True)


def _build_all(files: Sequence[Path], folder: Path, growing: Path, style: Path | None, foods: str, step: Step,
               workers: int | None) -> EachResult:
    taken: set[str] = set()
    told: dict[int, BuiltFile | str] = {}
    meant: dict[int, Path] = {}
    for number, file in enumerate(files):
        try:
            meant[number] = growing / (file_stem(load_recipe(file).title, taken) + SUFFIX)
        except BadInput as error:
            told[number] = str(error)
    step(len(told), len(files))
    if meant:
        count = min(workers or os.cpu_count() or 1, len(meant))
        with ProcessPoolExecutor(count, get_context("spawn"), _open, (foods,)) as pool:
            waiting: dict[Future[BuiltFile | str], int] = {
                pool.submit(_build, files[number], target, style): number for number, target in meant.items()}
            for future in as_completed(waiting):
                number = waiting[future]
                told[number] = _moved(future, files[number], folder)
                step(len(told), len(files))
    result = EachResult()
    for number in range(len(files)):
        found = told[number]
        if isinstance(found, BuiltFile):
            result.built.append(found)
        else:
            result.failures.append(found)
    return result


def _moved(future: Future[BuiltFile | str], file: Path, folder: Path) -> BuiltFile | str:
    """The finished workbook in its place, or why there is none."""
    try:
        found = future.result()
        if isinstance(found, str):
            return found
        target = folder / found.path.name
        os.replace(found.path, target)
        return BuiltFile(target, found.recipes, found.formulas)
    except BrokenProcessPool:
        return f"{file.name}: the process that built it ended early, perhaps for want of memory; build it alone"
    except OSError as error:
        return f"{file.name}: the workbook cannot take its place ({error.strerror}); close it if it is open elsewhere"


_kitchen: Kitchen | None = None  # of this process: loaded once, used for every recipe it builds


def _open(foods: str) -> None:
    global _kitchen
    _kitchen = load_kitchen(foods)


def _build(file: Path, target: Path, style: Path | None) -> BuiltFile | str:
    """Runs in a process of its own; failures come back as words."""
    assert _kitchen is not None
    try:
        kitchen, settings = open_folders(_kitchen, [file])
        return build_recipes(kitchen, load_checked(kitchen, [file]), settings, target, style, lambda _: None, spares=False)
    except BadInput as error:
        return str(error).replace(str(target), target.name)
    except Exception as error:  # one recipe must not take the others along
        return f"{file.name}: the build stopped with {error.__class__.__name__} ({error}); please report this"
