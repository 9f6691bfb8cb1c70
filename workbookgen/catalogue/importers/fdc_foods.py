"""Foods of a FoodData Central download: types, categories, USDA's own numbers, refuse, nitrogen factors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.files import FileSet
from workbookgen.catalogue.importers.raw import RawFood, is_amount
from workbookgen.catalogue.importers.rules import ImportRules

FOODS, CATEGORIES, SURVEY_CATEGORIES = "food.csv", "food_category.csv", "wweia_food_category.csv"
FOOD_COLUMNS = ("fdc_id", "data_type", "description", "food_category_id", "publication_date")
#: Files that give a food its number in USDA's own systems: file, column, digits of the number.
NUMBER_FILES = (
    ("sr_legacy_food.csv", "NDB_number", 5),
    ("foundation_food.csv", "NDB_number", 5),
    ("survey_fndds_food.csv", "food_code", 8),
)
NDB_DIGITS = 5
COMPONENTS, COMPONENT_COLUMNS = "food_component.csv", ("fdc_id", "name", "pct_weight", "is_refuse")
CONVERSIONS, PROTEIN = "food_nutrient_conversion_factor.csv", "food_protein_conversion_factor.csv"
YES = ("y", "yes", "true", "1")
WHOLE = 100.0


def read_foods(
    files: FileSet, rules: ImportRules, findings: Findings
) -> tuple[dict[str, RawFood], set[str], dict[str, str]]:
    """Foods of the known types by FoodData Central id, all ids, and dates of publication by source."""
    groups = dict(_categories(files))
    foods: dict[str, RawFood] = {}
    everything: set[str] = set()
    dates: dict[str, list[str]] = {}
    for number, cells in files.rows(FOODS, FOOD_COLUMNS):
        place = f"{FOODS} row {number}"
        if not cells:
            findings.bad(place, "has more or fewer cells than the header")
            continue
        fdc_id, kind, description, group, date = (cell.strip() for cell in cells)
        if not fdc_id.isdecimal():
            findings.bad(place, f'fdc_id is "{fdc_id}"; it must be a whole number')
        elif fdc_id in everything:
            findings.bad(place, f"fdc_id {fdc_id} is used twice; ids must differ")
        elif kind not in rules.types:
            findings.remark(f"foods of the type {kind or '(blank)'} are not read")
        elif not description:
            findings.bad(place, f"food {fdc_id} has no description")
        else:
            source = rules.types[kind].source_id
            foods[fdc_id] = RawFood(
                code=fdc_id, id=f"fdc{fdc_id}", number=fdc_id, place=place, source_id=source,
                source_group=groups.get(group, ""), description=description,
                as_eaten=kind == rules.fdc["survey"],
            )  # fmt: skip
            dates.setdefault(source, []).append(date)
        everything.add(fdc_id)
    _numbers(files, foods)
    spans = {source: _span(sorted(filter(None, found))) for source, found in dates.items()}
    return foods, everything, spans


def _span(dates: list[str]) -> str:
    if not dates:
        return "date not told"
    return dates[0] if dates[0] == dates[-1] else f"{dates[0]} to {dates[-1]}"


def _categories(files: FileSet) -> Iterator[tuple[str, str]]:
    """Food categories by the id that food.csv carries; survey foods have categories of their own."""
    if CATEGORIES in files:
        for _, cells in files.rows(CATEGORIES, ("id", "description")):
            if cells:
                yield cells[0].strip(), cells[1].strip()
    if SURVEY_CATEGORIES in files:
        header = next(iter(files.lines(SURVEY_CATEGORIES)), "").replace('"', "").strip().split(",")
        for _, cells in files.rows(SURVEY_CATEGORIES, header[:2]):
            if cells:
                yield cells[0].strip(), cells[1].strip()


def _numbers(files: FileSet, foods: dict[str, RawFood]) -> None:
    """Number of each food in USDA's own systems, with the leading zeros that the downloads drop."""
    for name, column, digits in NUMBER_FILES:
        if name in files:
            for _, cells in files.rows(name, ("fdc_id", column)):
                food = foods.get(cells[0].strip()) if cells else None
                if food is not None and cells[1].strip().isdecimal():
                    food.number = cells[1].strip().zfill(digits)
                    food.ndb = food.number if digits == NDB_DIGITS else ""


def read_refuse(files: FileSet, foods: Mapping[str, RawFood], findings: Findings) -> None:
    """Refuse in per cent of the purchased weight, where the download tells the parts of a food."""
    found: dict[str, float] = {}
    names: dict[str, list[str]] = {}
    if COMPONENTS in files:
        for number, cells in files.rows(COMPONENTS, COMPONENT_COLUMNS):
            if not cells or cells[0].strip() not in foods or cells[3].strip().lower() not in YES:
                continue
            fdc_id, name, share, _ = (cell.strip() for cell in cells)
            if not is_amount(share) or not 0 <= float(share) < WHOLE:
                findings.bad(f"{COMPONENTS} row {number}", f'pct_weight is "{share}"; it must be 0 to 100')
                continue
            found[fdc_id] = found.get(fdc_id, 0.0) + float(share)
            names.setdefault(fdc_id, []).append(name)
    for fdc_id, share_sum in found.items():
        foods[fdc_id].refuse_pct = f"{round(share_sum, 2):g}"
        foods[fdc_id].refuse_what = ", ".join(names[fdc_id])
    unknown = len(foods) - len(found)
    if unknown:
        findings.remark("refuse is not told: as purchased counts as edible", count=unknown)


def read_nitrogen_factors(files: FileSet, foods: Mapping[str, RawFood]) -> None:
    """Grams of protein per gram of nitrogen, where the download tells them."""
    if CONVERSIONS not in files or PROTEIN not in files:
        return
    of_food = {
        cells[0].strip(): cells[1].strip() for _, cells in files.rows(CONVERSIONS, ("id", "fdc_id")) if cells
    }
    for _, cells in files.rows(PROTEIN, ("food_nutrient_conversion_factor_id", "value")):
        food = foods.get(of_food.get(cells[0].strip(), "")) if cells else None
        if food is not None and is_amount(cells[1]):
            food.nitrogen_factor = cells[1].strip()
