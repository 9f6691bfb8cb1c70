"""The CSV template for any national table: INFOODS tagnames as columns (``templates/food_table.csv``)."""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from workbookgen.catalogue.csvread import csv_records
from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.files import FileSet
from workbookgen.catalogue.importers.raw import RawFood, RawTable, is_amount
from workbookgen.catalogue.importers.rules import ImportRules
from workbookgen.catalogue.importers.values import ValueReader
from workbookgen.catalogue.sr_ascii import SrValue, SrWeight
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient, Source

LAYOUT = "CSV template"
NEEDED = ("code", "name")
#: Columns that the food table holds under the same name.
WORDS = (
    "group", "state", "role", "keep_group", "allergens", "diet", "salt_ingredient", "sugar_ingredient", "mfp",
    "heme", "colour", "aisle", "cautions", "g_per_ml", "whole_grain_pct",
)  # fmt: skip
OTHERS = (
    *NEEDED, "description", "source_group", "cooked_code", "synonyms", "refuse_pct", "refuse_what",
    "nitrogen_factor", "known_by", "measures",
)  # fmt: skip
#: What may follow a tag: data points, standard error, minimum, maximum.
BESIDE = ("n", "se", "min", "max")
HEADING = re.compile(r"(?P<tag>[A-Z0-9_+\-]+)(?: \((?P<unit>[^)]+)\))?(?: (?P<beside>n|se|min|max))?")
REMARK = re.compile(r"#\s*(\w+)\s*:\s*(.*)")
TABLE_ID = re.compile(r"[a-z][a-z0-9_]*")
NONE = "none"


@dataclass(frozen=True, slots=True)
class _TagColumn:
    """A column of figures: place in the row, tag, multiplier to the tag's unit, tag to be added."""

    at: int
    heading: str
    tag: str
    factor: Decimal
    plus: str
    beside: Mapping[str, int]


def read_template(
    files: FileSet,
    rules: ImportRules,
    nutrients: Collection[Nutrient],
    select: Collection[str] | None,
    reader: ValueReader,
    findings: Findings,
) -> RawTable:
    """Read a filled template. ``select`` limits to codes of the file.

    Raises `BadInput` when the head lines or a needed column is missing; faulty rows go to ``findings``.
    """
    name = next(iter(files.members))
    told, header, rows = _parts(name, files.lines(name))
    source = _source(name, told, rules)
    where, tags = _columns(name, header, rules, {n.tag: n.unit for n in nutrients}, findings)
    foods: dict[str, RawFood] = {}
    for number, cells in rows:
        place = f"{name} row {number}"
        if len(cells) != len(header):
            findings.bad(place, f"has {len(cells)} cells, the header {len(header)}")
            continue
        text = {column: cells[at].strip() for column, at in where.items()}
        if select is not None and text["code"] not in select:
            continue
        if not text["code"] or not text["name"]:
            findings.bad(place, "code and name must be filled in")
        elif text["code"] in foods:
            findings.bad(place, f"code {text['code']} is used twice; codes must differ")
        else:
            if not text.get("group") and text.get("source_group") in rules.groups:
                text["group"] = text["source_group"]  # the file uses our own words
            food = _food(place, text, source, findings)
            food.values.update(_values(place, text.get("known_by", ""), cells, tags, reader))
            foods[text["code"]] = food
    for wanted in select or ():
        if wanted not in foods:
            findings.bad("--select", f"there is no usable food {wanted} in {name}")
    return RawTable(files.label, LAYOUT, list(foods.values()), [source])


def _parts(
    name: str, lines: Iterator[str]
) -> tuple[dict[str, str], list[str], Iterator[tuple[int, list[str]]]]:
    """Head lines by their first word, the header, and the rows as a spreadsheet numbers them."""
    told: dict[str, str] = {}
    number = 0
    for line in lines:
        number += 1
        if not line.lstrip('"').startswith("#"):
            break
        # a spreadsheet puts the line into quotes and fills up with commas
        match = REMARK.match(line.strip().strip('"').rstrip(",").strip('"'))
        if match and match[1].lower() not in told:
            told[match[1].lower()] = match[2].strip()
    else:
        raise BadInput(name, f"holds no header row; its columns start with {', '.join(NEEDED)}")
    header = [cell.strip() for cell in next(csv_records([line], name), [])]

    def rows() -> Iterator[tuple[int, list[str]]]:
        reader = csv.reader(lines, strict=True)
        try:
            for cells in reader:
                if any(cell.strip() for cell in cells):
                    yield number + reader.line_num, cells
        except csv.Error as error:
            what = f"is no proper CSV ({error}); check the quotes"
            raise BadInput(f"{name} row {number + reader.line_num}", what) from error

    return told, header, rows()


def _source(name: str, told: Mapping[str, str], rules: ImportRules) -> Source:
    for word in rules.template_needed:
        if not told.get(word):
            raise BadInput(
                name, f'needs a line "# {word}: ..." before the header; see templates/food_table.csv'
            )
    table = told["table"]
    if not TABLE_ID.fullmatch(table):
        raise BadInput(
            name, f'table is "{table}"; use lower-case letters, digits and underscores, a letter first'
        )
    return Source(table, told["citation"], told.get("url", ""), told.get("licence", ""))


def _columns(
    name: str, header: list[str], rules: ImportRules, units: Mapping[str, str], findings: Findings
) -> tuple[dict[str, int], list[_TagColumn]]:
    if len(header) == 1 and ";" in header[0]:
        raise BadInput(name, "is parted by semicolons; save it with commas")
    if len(set(header)) != len(header):
        twice = sorted({column for column in header if header.count(column) > 1})
        raise BadInput(name, f"has the column {', '.join(twice)} twice")
    missing = [column for column in NEEDED if column not in header]
    if missing:
        raise BadInput(name, f"lacks the column {', '.join(missing)}")
    where = {column: at for at, column in enumerate(header) if column in OTHERS or column in WORDS}
    tags: list[_TagColumn] = []
    for at, column in enumerate(header):
        match = HEADING.fullmatch(column)
        if column in where or (match and match["beside"]):
            continue
        if match is None:
            what = f'column "{column}" is neither one of the template nor a tagname; rename it or take it out'
            raise BadInput(name, what)
        found = _tag_column(at, column, match, header, rules, units, findings, name)
        if found is not None:
            tags.append(found)
    return where, tags


def _tag_column(
    at: int, column: str, match: re.Match[str], header: list[str], rules: ImportRules,
    units: Mapping[str, str], findings: Findings, name: str,
) -> _TagColumn | None:  # fmt: skip
    other = rules.other_tags.get(match["tag"])
    tag = other.tag if other else match["tag"]
    if tag not in units:
        findings.remark("tagnames that are not used", column)
        return None
    unit = match["unit"] or (other.unit if other else units[tag])
    factor = rules.factor(unit, units[tag])
    if factor is None:
        raise BadInput(name, f'column "{column}": {unit} is not known or does not convert to {units[tag]}')
    beside = {word: header.index(f"{column} {word}") for word in BESIDE if f"{column} {word}" in header}
    return _TagColumn(at, column, tag, factor, other.plus if other else "", beside)


def _food(place: str, text: Mapping[str, str], source: Source, findings: Findings) -> RawFood:
    code = text["code"]
    given = {word: text[word] for word in WORDS if text.get(word)}
    if given.get("allergens", "").casefold() == NONE:
        given["allergens"] = ""
    return RawFood(
        code=code, id=f"{source.id}_{code}", number=f"{source.id} {code}", place=place, source_id=source.id,
        source_group=text.get("source_group", ""), description=text.get("description") or text["name"],
        name=text["name"], synonyms=text.get("synonyms", ""), refuse_pct=text.get("refuse_pct", ""),
        refuse_what=text.get("refuse_what", ""), nitrogen_factor=text.get("nitrogen_factor", ""),
        counterpart=text.get("cooked_code", ""), given=given,
        weights=_weights(place, text.get("measures", ""), findings),
    )  # fmt: skip


def _weights(place: str, cell: str, findings: Findings) -> list[SrWeight]:
    """Measures of one cell, such as ``cup, chopped = 67; leaf = 12``."""
    weights: list[SrWeight] = []
    for part in filter(None, (part.strip() for part in cell.split(";"))):
        unit, _, grams = (piece.strip() for piece in part.rpartition("="))
        if unit and is_amount(grams) and float(grams) > 0:
            weights.append(SrWeight(str(len(weights) + 1), "1", unit, grams))
        else:
            findings.bad(place, f'measure "{part}" must read: unit = grams, such as: cup = 67')
    return weights


def _values(
    place: str, known_by: str, cells: list[str], tags: list[_TagColumn], reader: ValueReader
) -> dict[str, SrValue]:
    values: dict[str, SrValue] = {}
    plus: list[tuple[str, str]] = []
    for column in tags:
        text = cells[column.at].strip()
        if not text or column.tag in values:
            continue
        amount = reader.amount(column.tag, text, column.factor, place)
        if amount is None:
            continue
        beside = {word: cells[at].strip() for word, at in column.beside.items()}
        points = beside.pop("n", "")
        scaled = {word: reader.beside(value, column.factor) for word, value in beside.items()}
        values[column.tag] = SrValue(
            amount, points if points.isdecimal() else "", scaled.get("se", ""), "", known_by,
            scaled.get("min", ""), scaled.get("max", ""),
        )  # fmt: skip
        if column.plus:
            plus.append((column.tag, column.plus))
    for tag, added in plus:
        other = values.get(added)
        if other is None:
            del values[tag]  # the sum is unknown when a part is
        else:
            total = format(Decimal(values[tag].text) + Decimal(other.text), "f")
            values[tag] = SrValue(total, "", "", "", "calculated", "", "")
    return values
