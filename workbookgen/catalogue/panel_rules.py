"""Loads and checks the rows of the two label panels."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.handout import EuPanelRow, PanelRules, UsPanelRow
from workbookgen.model.tables import Tables

EU_KINDS = ("plain", "kj", "carbohydrate", "salt", "vitamin")
PANELS = ("us", "eu")
STEPS = ("upto_1", "step_1", "upto_2", "step_2", "step_3")
INDENTS = (0, 2)
SHOWS = ("yes", "no", "corrected")


@cache
def load_panel_rules() -> PanelRules:
    """Both panels and the notes of the reference sets; raises BadInput naming file and row of a fault."""
    folder, tables = data_path(), load_tables()
    return PanelRules(_us(folder, tables), _eu(folder, tables), _sets(folder, tables))


def _us(folder: Path, tables: Tables) -> tuple[UsPanelRow, ...]:
    rows = read_rows(folder / "panel_us.csv", ("name", "indent", "bold", "tag", "shows_pct", *PROVEN))
    only_once(rows, "tag")
    tags = tuple(n.tag for n in tables.nutrients)
    found: list[UsPanelRow] = []
    for row in rows:
        proof(row, tables.sources)
        tag = row.choice("tag", tags)
        if tag not in tables.rounding:
            raise row.bad(f"'{tag}' has no rounding rule; add it to label_rounding.csv")
        shows = row.choice("shows_pct", SHOWS)
        indent = int(row.number_in("indent", *INDENTS))
        bold, corrected = row.yes("bold"), shows == "corrected"
        found.append(UsPanelRow(row.text("name"), indent, bold, tag, shows == "yes", corrected))
    return tuple(found)


def _eu(folder: Path, tables: Tables) -> tuple[EuPanelRow, ...]:
    columns = ("name", "indent", "kind", "tag", "unit", "low", *STEPS)
    rows = read_rows(folder / "panel_eu.csv", (*columns, *PROVEN))
    only_once(rows, "kind", "tag")
    tags = tuple(n.tag for n in tables.nutrients)
    found: list[EuPanelRow] = []
    for row in rows:
        proof(row, tables.sources)
        kind = row.choice("kind", EU_KINDS)
        if kind != "vitamin" and found and found[-1].kind == "vitamin":
            raise row.bad("vitamins and minerals stand last; move the row up")
        indent = int(row.number_in("indent", *INDENTS))
        found.append(EuPanelRow(
            row.text("name", blank=True), indent, kind, row.choice("tag", tags), row.text("unit"),
            row.number_or_none("low", 0.0), *(row.positive(column) for column in STEPS)))
    return tuple(found)


def _sets(folder: Path, tables: Tables) -> dict[str, tuple[str, str]]:
    rows = read_rows(folder / "panel_sets.csv", ("set_id", "panel", "note", *PROVEN[:2]))
    only_once(rows, "set_id")
    known = tuple(s.id for s in tables.reference_sets)
    for row in rows:
        proof(row, tables.sources)
    return {row.choice("set_id", known): (row.choice("panel", PANELS), row.text("note")) for row in rows}
