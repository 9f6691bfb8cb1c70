"""USDA's Standard Reference in its ASCII layout, any release, in a folder or zipped."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from decimal import Decimal

from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.files import FileSet
from workbookgen.catalogue.importers.raw import RawFood, RawTable, is_amount
from workbookgen.catalogue.importers.rules import Candidate, ImportRules
from workbookgen.catalogue.importers.values import ValueReader
from workbookgen.catalogue.sr_ascii import ENCODING, SrNutrient, SrTable, SrValue, SrWeight, read_sr_files
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient, Source

LAYOUT = "USDA Standard Reference, ASCII"
FOODS, VALUES = "FOOD_DES.txt", "NUT_DATA.txt"
NOT_NEEDED = ("FOOTNOTE.txt",)
ID_PREFIX = "sr"


def is_sr(files: FileSet) -> bool:
    """Say whether the files look like the SR ASCII layout."""
    return FOODS in files or VALUES in files


def read_sr_table(
    files: FileSet,
    rules: ImportRules,
    nutrients: Collection[Nutrient],
    select: Collection[str] | None,
    reader: ValueReader,
    findings: Findings,
) -> RawTable:
    """Read a release. ``select`` limits to NDB numbers.

    Raises `BadInput` for missing files; faulty lines go to ``findings``.
    """

    def opened(name: str) -> Iterator[str]:
        if name in NOT_NEEDED and name not in files:
            return iter(())
        if name not in files:
            raise BadInput(files.label, f"lacks {name}; give the complete download")
        return files.lines(name, ENCODING)

    candidates = {candidate.number: candidate for candidate in rules.candidates}
    sr = read_sr_files(opened, candidates, findings.fault)
    factors = _factors(sr.nutrients, candidates, rules, {n.tag: n.unit for n in nutrients}, findings)
    wanted = sr.foods if select is None else _wanted(sr, select, findings)
    foods = [_food(sr, number, rules, candidates, factors, reader) for number in wanted]
    citation = f"{rules.sr.citation} (read from {files.label})"
    return RawTable(files.label, LAYOUT, foods, [Source(rules.sr.source_id, citation, "", rules.licence)])


def _wanted(sr: SrTable, select: Collection[str], findings: Findings) -> list[str]:
    for number in select:
        if number not in sr.foods:
            findings.bad("--select", f"there is no food {number} in the release; write the five digits")
    return [number for number in sr.foods if number in select]


def _factors(
    printed: Mapping[str, SrNutrient],
    candidates: Mapping[str, Candidate],
    rules: ImportRules,
    units: Mapping[str, str],
    findings: Findings,
) -> dict[str, Decimal]:
    """Multiplier of each nutrient number that is used and that the release defines."""
    factors: dict[str, Decimal] = {}
    for number, nutrient in printed.items():
        if number not in candidates:
            findings.remark("nutrients of the file that are not used", nutrient.name)
            continue
        ours = units[candidates[number].tag]
        factor = rules.factor(nutrient.unit, ours)
        if factor is None:
            what = f'is in "{nutrient.unit}", which is not known or does not convert to {ours}'
            findings.bad(f"NUTR_DEF.txt, nutrient {number}", what)
        else:
            factors[number] = factor
    return factors


def _weights(sr: SrTable, number: str, findings: Findings) -> list[SrWeight]:
    """Household weights of a food; a line that counts nothing or weighs nothing is reported and left out."""
    good = []
    for weight in sr.weights[number]:
        told = all(is_amount(text) and float(text) > 0 for text in (weight.amount, weight.grams))
        if told:
            good.append(weight)
        else:
            what = f'"{weight.words}" has the amount {weight.amount or "blank"} and weighs {weight.grams or "blank"} g; both must be above 0'
            findings.bad(f"WEIGHT.txt, food {number}, line {weight.seq}", what)
    return good


def _food(
    sr: SrTable,
    number: str,
    rules: ImportRules,
    candidates: Mapping[str, Candidate],
    factors: Mapping[str, Decimal],
    reader: ValueReader,
) -> RawFood:
    food = sr.foods[number]
    values: dict[str, SrValue] = {}
    usable = [n for n in sr.values[number] if n in factors]
    for printed in sorted(usable, key=lambda n: candidates[n].order):
        tag, factor, value = candidates[printed].tag, factors[printed], sr.values[number][printed]
        if tag not in values:
            amount = reader.amount(tag, value.text, factor, f"{VALUES}, food {number}")
            if amount is not None:
                values[tag] = value._replace(
                    text=amount,
                    standard_error=reader.beside(value.standard_error, factor),
                    minimum=reader.beside(value.minimum, factor),
                    maximum=reader.beside(value.maximum, factor),
                )
    return RawFood(
        code=number, id=ID_PREFIX + number, number=number, ndb=number, place=f"{FOODS}, food {number}",
        source_id=rules.sr.source_id, source_group=sr.groups.get(food.group, ""),
        description=food.description,
        synonyms=food.common_names.lower().replace(",", ";"), refuse_pct=food.refuse_pct,
        refuse_what=food.refuse_what, nitrogen_factor=food.nitrogen_factor, values=values,
        weights=_weights(sr, number, reader.findings),
    )  # fmt: skip
