"""Food tables on disk beside the project's own: a folder, or a CSV file with its companions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from workbookgen.catalogue.csvread import only_once, read_rows
from workbookgen.catalogue.food_words import load_food_words
from workbookgen.catalogue.foods import load_details, load_foods, read_details, read_foods, read_measures
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.model.food import FoodTable
from workbookgen.model.tables import Source

SOURCE_FIELDS = ("id", "citation", "url", "licence")
CSV = ".csv"


@dataclass(frozen=True, slots=True)
class Place:
    """The files of one food table."""

    foods: Path
    measures: Path
    details: Path
    sources: Path
    report: Path

    def files(self) -> tuple[Path, ...]:
        """All of them, foods last: the table is there when its foods are."""
        return (self.measures, self.details, self.sources, self.report, self.foods)


def place_of(path: Path) -> Place:
    """Files of the table at ``path``: in a folder, or beside a file such as ``catalogue.csv``."""
    if path.suffix.lower() == CSV:
        stem = path.stem
        return Place(
            path, path.with_name(f"{stem}_measures{CSV}"), path.with_name(f"{stem}_values{CSV}"),
            path.with_name(f"{stem}_sources{CSV}"), path.with_name(f"{stem}_report.txt"),
        )  # fmt: skip
    return Place(
        path / "foods.csv", path / "measures.csv", path / "food_values.csv", path / "sources.csv",
        path / "import_report.txt",
    )  # fmt: skip


def open_table(name: str) -> tuple[FoodTable, dict[str, Source]]:
    """The table ``name``: "kitchen", "usda", or the path of an imported one; with the sources it adds.

    Raises `BadInput` when there is none of that name and nothing at that path.
    """
    if name == "kitchen":
        return replace(load_foods("kitchen"), details=load_details()), {}
    if name == "usda":
        return load_foods("usda"), {}
    path = Path(name)
    if not path.exists():
        what = f"there is no food table '{name}'; use kitchen, usda or the folder of an import"
        raise BadInput("--foods", what)
    return load_folder(path)


def load_folder(path: Path) -> tuple[FoodTable, dict[str, Source]]:
    """Read an imported food table with its value details and the sources its rows name.

    Raises `BadInput` when there is no table at ``path`` or a row is faulty, or names a source that is not
    among them.
    """
    place = place_of(path)
    if not place.foods.is_file():
        what = f"there is no food table here; {place.foods.name} is missing (make one with: foods import)"
        raise BadInput(str(path), what)
    foods = read_foods(place.foods, load_food_words(data_path(), whole_table=True))
    measures = read_measures(place.measures, foods)
    sources = _sources(place.sources)
    unknown = sorted({food.source_id for food in foods} - set(sources))
    if unknown:
        raise BadInput(place.foods.name, f"names the source {unknown[0]}, which {place.sources.name} lacks")
    details = read_details(place.details) if place.details.is_file() else {}
    title = "; ".join(source.citation for source in sources.values())
    return FoodTable(title, foods, measures, details), sources


def _sources(path: Path) -> dict[str, Source]:
    rows = read_rows(path, SOURCE_FIELDS)
    only_once(rows, "id")
    return {
        row.text("id"): Source(
            row.text("id"), row.text("citation"), row.text("url", blank=True), row.text("licence", blank=True)
        )
        for row in rows
    }
