"""Reader of the official ASCII layout of USDA's National Nutrient Database for Standard Reference.

The layout (USDA, "Composition of Foods Raw, Processed, Prepared", documentation of Release 28, section
"Relational Files"): one record a line, fields parted by ``^``, texts between ``~``, Latin-1. Figures stay
the text USDA printed, so that nothing is rounded on the way.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from workbookgen.model.errors import BadInput

ENCODING = "latin-1"
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


OpenText = Callable[[str], Iterator[str]]
OnFault = Callable[[BadInput], None]


def refuse(error: BadInput) -> None:
    """Stop at the first fault."""
    raise error


def folder_opener(folder: Path) -> OpenText:
    """Lines of a file of the folder by its name; raises `BadInput` when it is not there."""

    def lines(name: str) -> Iterator[str]:
        path = folder / name
        if not path.is_file():
            what = f"not found in the folder {folder.name}; give the folder with the SR ASCII files"
            raise BadInput(name, what)
        with path.open(encoding=ENCODING, newline="") as stream:
            yield from stream

    return lines


def read_sr(folder: Path, nutrient_numbers: Container[str] | None = None) -> SrTable:
    """Read a folder of SR ASCII files.

    ``nutrient_numbers`` limits the values kept (``None`` keeps all). Raises `BadInput` when a file is
    missing, a line has the wrong number of fields, a number is none, or a food number is used twice.
    """
    return read_sr_files(folder_opener(folder), nutrient_numbers)


def read_sr_files(
    opened: OpenText, nutrient_numbers: Container[str] | None = None, on_fault: OnFault = refuse
) -> SrTable:
    """As `read_sr`, from any place; a faulty line goes to ``on_fault`` and is left out."""
    reader = _Reader(opened, on_fault)
    foods = reader.foods()
    return SrTable(
        foods=foods,
        values=reader.values(foods, nutrient_numbers),
        weights=reader.weights(foods),
        footnotes=reader.footnotes(),
        groups={code: name for _, (code, name) in reader.records("FD_GROUP.txt", GROUP_FIELDS)},
        nutrients={
            f[0]: SrNutrient(f[0], f[1].replace("\N{MICRO SIGN}g", "mcg"), f[2], f[3], f[4])
            for _, f in reader.records("NUTR_DEF.txt", NUTRIENT_FIELDS)
        },
    )


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads one file after the other; faults go to ``on_fault``."""

    opened: OpenText
    on_fault: OnFault

    def bad(self, place: str, what: str) -> None:
        """Report one fault."""
        self.on_fault(BadInput(place, what))

    def records(self, name: str, fields: int) -> Iterator[tuple[int, list[str]]]:
        """Numbered lines split at ``^``, text marks ``~`` removed, each with exactly ``fields`` fields."""
        for number, line in enumerate(self.opened(name), start=1):
            text = line.rstrip("\r\n").replace("~", "")
            if text and text != "\x1a":
                record = text.split("^")
                if len(record) == fields:
                    yield number, record
                else:
                    what = f"has {len(record)} fields where the layout has {fields}"
                    self.bad(f"{name}, line {number}", what)

    def foods(self) -> dict[str, SrFood]:
        """FOOD_DES by food number."""
        foods: dict[str, SrFood] = {}
        for line, f in self.records("FOOD_DES.txt", FOOD_FIELDS):
            if f[0] in foods:
                self.bad(f"FOOD_DES.txt, line {line}", f"food number {f[0]} is used twice")
            elif self.numbers_fit("FOOD_DES.txt", f[0], f[8], *f[10:14]):
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

    def values(
        self, foods: Mapping[str, SrFood], wanted: Container[str] | None
    ) -> dict[str, dict[str, SrValue]]:
        """NUT_DATA by food and nutrient number."""
        values: dict[str, dict[str, SrValue]] = {number: {} for number in foods}
        for line, f in self.records("NUT_DATA.txt", VALUE_FIELDS):
            if wanted is not None and f[1] not in wanted:
                continue
            row = values.get(f[0])
            if row is None:
                self.bad(f"NUT_DATA.txt, line {line}", f"food {f[0]} is not in FOOD_DES.txt")
            elif f[1] in row:
                self.bad(f"NUT_DATA.txt, line {line}", f"food {f[0]} has nutrient {f[1]} twice")
            elif self.numbers_fit("NUT_DATA.txt", f[0], f[2], blank_ok=False):
                row[f[1]] = SrValue(f[2], f[3], f[4], f[5], f[6], f[10], f[11])
        return values

    def weights(self, foods: Mapping[str, SrFood]) -> dict[str, tuple[SrWeight, ...]]:
        """WEIGHT by food number, in file order."""
        weights: dict[str, list[SrWeight]] = {number: [] for number in foods}
        for line, f in self.records("WEIGHT.txt", WEIGHT_FIELDS):
            if f[0] not in weights:
                self.bad(f"WEIGHT.txt, line {line}", f"food {f[0]} is not in FOOD_DES.txt")
            elif self.numbers_fit("WEIGHT.txt", f[0], f[2], f[4], blank_ok=False):
                weights[f[0]].append(SrWeight(f[1].strip(), f[2], " ".join(f[3].split()), f[4]))
        return {number: tuple(rows) for number, rows in weights.items()}

    def footnotes(self) -> dict[str, tuple[str, ...]]:
        """FOOTNOTE by food number."""
        notes: dict[str, list[str]] = {}
        for _, f in self.records("FOOTNOTE.txt", FOOTNOTE_FIELDS):
            notes.setdefault(f[0], []).append(f"{f[3]}: {f[4]}" if f[3] else f[4])
        return {number: tuple(rows) for number, rows in notes.items()}

    def numbers_fit(self, file: str, food: str, *texts: str, blank_ok: bool = True) -> bool:
        """Report what is not a plain non-negative decimal."""
        for text in texts:
            if not (blank_ok and not text) and not text.replace(".", "", 1).isdecimal():
                self.bad(f"{file}, food {food}", f'"{text}" is not a non-negative number')
                return False
        return True
