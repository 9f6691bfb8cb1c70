"""Loads and checks programme targets and the words for their verdicts."""

from __future__ import annotations

from functools import cache

from workbookgen.catalogue.csvread import PROVEN, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.errors import BadInput
from workbookgen.model.programme_targets import ProgrammeRules, ProgrammeTarget, VerdictWord

TARGETS, WORDS = "programme_targets.csv", "programme_words.csv"
CODES = (1, 2, 3, 4)
PER_DV, AMOUNT = "%DV", "amount"
MOST_VALUE, MOST_NEAR = 100_000.0, 50.0
"""Largest limit and widest margin (per cent) that make sense."""


@cache
def load_programme_rules() -> ProgrammeRules:
    """Both tables; raises BadInput naming file and row of a fault."""
    tables = load_tables()
    by_tag = {n.tag: n for n in tables.nutrients}
    columns = ("id", "name", "tag", "sign", "basis", "unit", "value", "near_pct", *PROVEN)
    rows = read_rows(data_path(TARGETS), columns)
    only_once(rows, "id")
    targets = []
    for row in rows:
        source, status = proof(row, tables.sources)
        tag, basis = row.choice("tag", tuple(by_tag)), row.choice("basis", (AMOUNT, PER_DV))
        unit = row.text("unit")
        wanted = by_tag[tag].unit if basis == AMOUNT else "% DV"
        if unit != wanted:
            raise row.bad(f"the unit is '{unit}'; write '{wanted}'")
        if basis == PER_DV and not any(tag in s.values for s in tables.reference_sets):
            raise row.bad(f"'{tag}' has no Daily Value; give the target as an amount")
        targets.append(ProgrammeTarget(
            row.text("id"), row.text("name"), tag, row.choice("sign", (">=", "<=")), basis, unit,
            row.number_or_none("value", 0, MOST_VALUE), row.number_in("near_pct", 0, MOST_NEAR), source, status,
            row.text("note", blank=True),
        ))  # fmt: skip
    words = sorted((VerdictWord(int(r.number_in("code", 1, len(CODES))), r.text("sign"), r.text("word"), r.text("meaning"))
                    for r in read_rows(data_path(WORDS), ("code", "sign", "word", "meaning"))), key=lambda w: w.code)  # fmt: skip
    if tuple(w.code for w in words) != CODES:
        raise BadInput(WORDS, "each of the codes 1 to 4 must stand there once; mend the table")
    return ProgrammeRules(tuple(targets), tuple(words))
