"""Import a food table: find its layout, read, convert, report, save."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from pathlib import Path

from workbookgen.catalogue.authoring_rows import Authored
from workbookgen.catalogue.food_words import load_food_words
from workbookgen.catalogue.foods import FOOD_FIELDS
from workbookgen.catalogue.foods_gates import Finding, load_limits
from workbookgen.catalogue.foods_gates import findings as gate_findings
from workbookgen.catalogue.importers.convert import convert, load_converter
from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.fdc import is_fdc, read_fdc
from workbookgen.catalogue.importers.files import FileSet, open_files
from workbookgen.catalogue.importers.raw import RawTable
from workbookgen.catalogue.importers.rules import ImportRules, load_import_rules
from workbookgen.catalogue.importers.save import save
from workbookgen.catalogue.importers.sr import is_sr, read_sr_table
from workbookgen.catalogue.importers.template import read_template
from workbookgen.catalogue.importers.values import ValueReader
from workbookgen.catalogue.importers.words import load_word_rules
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_nutrients
from workbookgen.model.collector import collector_paused
from workbookgen.model.errors import BadInput
from workbookgen.model.food import FoodTable
from workbookgen.model.tables import Nutrient

#: Reads one layout: files, rules, nutrients, selection, value reader, findings.
Layout = Callable[
    [FileSet, ImportRules, Collection[Nutrient], Collection[str] | None, ValueReader, Findings], RawTable
]
GROUP_AT = FOOD_FIELDS.index("group")


def import_foods(
    path: Path, to: Path, select: Path | None = None, own_rules: Path | None = None, keep_good: bool = False
) -> str:
    """Import the table at ``path`` (folder, zip or CSV template) into ``to``; returns the report.

    ``select`` is a list of food numbers, one a line; ``own_rules`` a rule table that goes before the
    built-in one. Raises `BadInputs` with a sentence for each faulty row, unless ``keep_good``.
    """
    with collector_paused():
        return _import(path, to, select, own_rules, keep_good)


def _import(path: Path, to: Path, select: Path | None, own_rules: Path | None, keep_good: bool) -> str:
    data = data_path()
    rules = load_import_rules(data)
    nutrients = load_nutrients(data)
    findings = Findings(rules.examples)
    most = load_food_words(data, whole_table=True).most
    reader = ValueReader(rules, most, findings)
    wanted = None if select is None else read_selection(select)
    words = load_word_rules(data, own_rules, rules.as_eaten)
    with open_files(path, rules.limits) as files:
        read = _layout(files, rules)
        table = read(files, rules, nutrients, wanted, reader, findings)
    rows = convert(table.foods, load_converter(data, rules, words, findings))
    if not keep_good:
        findings.stop_if_bad()
    if not rows:
        raise BadInput(path.name, "gives no usable food; nothing is written")
    limits = load_limits(data)

    def report(saved: FoodTable) -> str:
        odd = [finding for finding in gate_findings(saved.foods, limits, {})]
        return report_text(table, rows, findings, odd, rules)

    return save(rows, table.sources, nutrients, report, to)


def read_selection(path: Path) -> dict[str, None]:
    """Food numbers of a list: the first cell of each line; lines that start with # are remarks."""
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(str(path), f"the list cannot be read ({error}); give a UTF-8 text file") from None
    found = {line.split(",")[0].strip().strip('"'): None for line in lines if not line.startswith("#")}
    found.pop("", None)
    if not found:
        raise BadInput(path.name, "lists no food; write one number a line")
    return found


def _layout(files: FileSet, rules: ImportRules) -> Layout:
    if is_fdc(files):
        return read_fdc
    if is_sr(files):
        return read_sr_table
    if len(files.members) == 1 and next(iter(files.members)).endswith(".csv"):
        return read_template
    needed = ", ".join(rules.fdc["needed"])
    what = f"holds no known food table: neither {needed}, nor FOOD_DES.txt and NUT_DATA.txt, nor one CSV file"
    raise BadInput(files.label, what)


def report_text(
    table: RawTable, rows: Sequence[Authored], findings: Findings, odd: Sequence[Finding], rules: ImportRules
) -> str:
    """What was kept, what was decided by rule, and what could not be used."""
    values = sum(1 for row in rows for text in row.food[len(FOOD_FIELDS) :] if text)
    measures = sum(len(row.measures) for row in rows)
    details = sum(len(row.details) for row in rows)
    lines = [
        f"{table.label}: {table.layout}",
        *(f"source {source.id}: {source.citation}" for source in table.sources),
        f"kept: {len(rows):,} foods, {values:,} values, {details:,} with data points or range, "
        f"{measures:,} household measures",
        "groups: " + ", ".join(f"{group} {count}" for group, count in sorted(_groups(rows).items())),
    ]
    if any(food.as_eaten for food in table.foods):
        lines.append(f"CAUTION: {rules.fdc['survey_warning']}")
    for what, remark in sorted(findings.remarks.items()):
        lines += _counted(what, remark.count, remark.examples)
    for gate in dict.fromkeys(finding.gate for finding in odd):
        cases = [finding.text for finding in odd if finding.gate == gate]
        lines += _counted(f"looks odd, {gate}", len(cases), cases[: rules.examples])
    if findings.fault_count:
        lines.append(f"left out because faulty: {findings.fault_count:,}")
        lines += [f"  {fault}" for fault in findings.faults]
    return "\n".join(lines) + "\n"


def _counted(what: str, count: int, examples: Sequence[str]) -> list[str]:
    more = "    ..." if len(examples) < count else ""
    return [f"{what}: {count:,}", *(f"    {e}" for e in examples), *([more] if examples and more else [])]


def _groups(rows: Sequence[Authored]) -> Counter[str]:
    return Counter(row.food[GROUP_AT] for row in rows)
