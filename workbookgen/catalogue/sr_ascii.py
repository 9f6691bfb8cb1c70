"""Reader of the official ASCII layout of USDA's National Nutrient Database for Standard Reference.

The layout (USDA, "Composition of Foods Raw, Processed, Prepared", documentation of Release 28, section
"Relational Files"): one record a line, fields parted by ``^``, texts between ``~``, Latin-1. Figures stay
the text USDA printed, so that nothing is rounded on the way.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from workbookgen.model.errors import BadInput

FOOD_FIELDS = 14
VALUE_FIELDS = 18
WEIGHT_FIELDS = 7
FOOTNOTE_FIELDS = 5
GROUP_FIELDS = 2
NUTRIENT_FIELDS = 6


class SrFood(NamedTuple):
    """One line of FOOD_DES: the description and the factors USDA used for protein and energy."""

    number: str
    group: str
    description: str
    common_names: str
    manufacturer: str
    refuse_what: str
    refuse_pct: str
    scientific_name: str
    nitrogen_factor: str
    protein_kcal: str
    fat_kcal: str
    carbohydrate_kcal: str


class SrValue(NamedTuple):
    """One line of NUT_DATA: ``text`` per 100 g edible portion with data points and codes."""

    text: str
    points: str
    standard_error: str
    source: str
    derivation: str
    minimum: str
    maximum: str


class SrWeight(NamedTuple):
    """One line of WEIGHT: ``grams`` of ``amount`` ``words`` (edible portion)."""

    seq: str
    amount: str
    words: str
    grams: str


class SrNutrient(NamedTuple):
    """One line of NUTR_DEF: unit and printed decimals of a nutrient number."""

    number: str
    unit: str
    tag: str
    name: str
    decimals: str


@dataclass(frozen=True, slots=True)
class SrTable:
    """A whole release; ``values`` maps food number to nutrient number to value."""

    foods: Mapping[str, SrFood]
    values: Mapping[str, Mapping[str, SrValue]]
    weights: Mapping[str, tuple[SrWeight, ...]]
    footnotes: Mapping[str, tuple[str, ...]]
    groups: Mapping[str, str]
    nutrients: Mapping[str, SrNutrient]


def read_sr(folder: Path, nutrient_numbers: Container[str] | None = None) -> SrTable:
    """Read a folder of SR ASCII files.

    ``nutrient_numbers`` limits the values kept (``None`` keeps all). Raises `BadInput` when a file is
    missing, a line has the wrong number of fields, a number is none, or a food number is used twice.
    """
    foods = _foods(folder)
    return SrTable(
        foods=foods,
        values=_values(folder, foods, nutrient_numbers),
        weights=_weights(folder, foods),
        footnotes=_footnotes(folder),
        groups={code: name for code, name in _records(folder, "FD_GROUP.txt", GROUP_FIELDS)},
        nutrients={
            f[0]: SrNutrient(f[0], f[1].replace("\N{MICRO SIGN}g", "mcg"), f[2], f[3], f[4])
            for f in _records(folder, "NUTR_DEF.txt", NUTRIENT_FIELDS)
        },
    )


def _lines(folder: Path, name: str) -> Iterator[tuple[int, str]]:
    """Numbered lines of one file, line ends and the text marks ``~`` removed."""
    path = folder / name
    if not path.is_file():
        raise BadInput(
            name, f"not found in the folder {folder.name}; give the folder with the SR ASCII files"
        )
    with path.open(encoding="latin-1", newline="") as stream:
        for number, line in enumerate(stream, start=1):
            text = line.rstrip("\r\n").replace("~", "")
            if text and text != "\x1a":
                yield number, text


def _records(folder: Path, name: str, fields: int) -> Iterator[list[str]]:
    """Split lines, each with exactly ``fields`` fields."""
    for number, text in _lines(folder, name):
        record = text.split("^")
        if len(record) != fields:
            raise BadInput(
                f"{name}, line {number}", f"has {len(record)} fields where the layout has {fields}"
            )
        yield record


def _foods(folder: Path) -> dict[str, SrFood]:
    foods: dict[str, SrFood] = {}
    for line, f in enumerate(_records(folder, "FOOD_DES.txt", FOOD_FIELDS), start=1):
        if f[0] in foods:
            raise BadInput(f"FOOD_DES.txt, line {line}", f"food number {f[0]} is used twice")
        for text in (f[8], *f[10:14]):
            _check_number(text, "FOOD_DES.txt", f[0])
        foods[f[0]] = SrFood(
            number=f[0],
            group=f[1],
            description=f[2].strip(),
            common_names=f[4].strip(),
            manufacturer=f[5].strip(),
            refuse_what=f[7].strip(),
            refuse_pct=f[8],
            scientific_name=f[9].strip(),
            nitrogen_factor=f[10],
            protein_kcal=f[11],
            fat_kcal=f[12],
            carbohydrate_kcal=f[13],
        )
    if not foods:
        raise BadInput("FOOD_DES.txt", "holds no food")
    return foods


def _values(
    folder: Path, foods: Mapping[str, SrFood], wanted: Container[str] | None
) -> dict[str, dict[str, SrValue]]:
    values: dict[str, dict[str, SrValue]] = {number: {} for number in foods}
    for line, text in _lines(folder, "NUT_DATA.txt"):
        f = text.split("^")
        if len(f) != VALUE_FIELDS:
            raise BadInput(
                f"NUT_DATA.txt, line {line}", f"has {len(f)} fields where the layout has {VALUE_FIELDS}"
            )
        if wanted is not None and f[1] not in wanted:
            continue
        row = values.get(f[0])
        if row is None:
            raise BadInput(f"NUT_DATA.txt, line {line}", f"food {f[0]} is not in FOOD_DES.txt")
        if f[1] in row:
            raise BadInput(f"NUT_DATA.txt, line {line}", f"food {f[0]} has nutrient {f[1]} twice")
        _check_number(f[2], "NUT_DATA.txt", f[0], blank_ok=False)
        row[f[1]] = SrValue(f[2], f[3], f[4], f[5], f[6], f[10], f[11])
    return values


def _weights(folder: Path, foods: Mapping[str, SrFood]) -> dict[str, tuple[SrWeight, ...]]:
    weights: dict[str, list[SrWeight]] = {number: [] for number in foods}
    for f in _records(folder, "WEIGHT.txt", WEIGHT_FIELDS):
        if f[0] not in weights:
            raise BadInput("WEIGHT.txt", f"food {f[0]} is not in FOOD_DES.txt")
        _check_number(f[2], "WEIGHT.txt", f[0], blank_ok=False)
        _check_number(f[4], "WEIGHT.txt", f[0], blank_ok=False)
        weights[f[0]].append(SrWeight(f[1].strip(), f[2], " ".join(f[3].split()), f[4]))
    return {number: tuple(rows) for number, rows in weights.items()}


def _footnotes(folder: Path) -> dict[str, tuple[str, ...]]:
    notes: dict[str, list[str]] = {}
    for f in _records(folder, "FOOTNOTE.txt", FOOTNOTE_FIELDS):
        notes.setdefault(f[0], []).append(f"{f[3]}: {f[4]}" if f[3] else f[4])
    return {number: tuple(rows) for number, rows in notes.items()}


def _check_number(text: str, file: str, food: str, *, blank_ok: bool = True) -> None:
    """Refuse what is not a plain non-negative decimal."""
    if not text and blank_ok:
        return
    if not text.replace(".", "", 1).isdecimal():
        raise BadInput(f"{file}, food {food}", f'"{text}" is not a non-negative number')
