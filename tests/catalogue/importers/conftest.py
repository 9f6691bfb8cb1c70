"""Samples of each layout, imported into a fresh folder."""

from __future__ import annotations

import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from workbookgen.catalogue.folders import load_folder
from workbookgen.catalogue.importers.run import import_foods
from workbookgen.model.food import Food, FoodTable

SAMPLES = Path(__file__).parent.parent / "samples"


class Imported:
    """An imported sample: its table, foods by source number, report, folder."""

    def __init__(self, to: Path, report: str) -> None:
        self.to = to
        self.report = report
        self.table: FoodTable = load_folder(to)[0]
        self.by_number: dict[str, Food] = {food.source_number: food for food in self.table.foods}

    def measures(self, number: str) -> dict[str, float]:
        """Grams by unit of one food."""
        food_id = self.by_number[number].id
        return {m.unit: m.grams for m in self.table.measures if m.food_id == food_id}


Import = Callable[..., Imported]


@pytest.fixture
def imported(tmp_path: Path) -> Import:
    def run(path: Path | str, **options: object) -> Imported:
        source = SAMPLES / path if isinstance(path, str) else path
        report = import_foods(source, tmp_path / "out", **options)  # type: ignore[arg-type]
        return Imported(tmp_path / "out", report)

    return run


@pytest.fixture
def spoiled(tmp_path: Path) -> Callable[[str, str, str, str], Path]:
    """A copy of a sample in which ``old`` of one file became ``new``."""

    def copy(sample: str, file: str, old: str, new: str) -> Path:
        folder = tmp_path / "spoiled"
        shutil.copytree(SAMPLES / sample, folder)
        text = (folder / file).read_bytes().decode("latin-1")
        assert old in text
        (folder / file).write_bytes(text.replace(old, new, 1).encode("latin-1"))
        return folder

    return copy


def zipped(folder: Path, to: Path, inside: str = "") -> Path:
    """The files of a folder in a zip archive, below ``inside``."""
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(folder.iterdir()):
            archive.write(file, inside + file.name)
    return to
