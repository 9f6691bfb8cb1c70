"""Loads and checks the tables that turn measured amounts into kitchen words."""

from __future__ import annotations

from collections.abc import Container, Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.handout import KitchenStep, KitchenWords, MetricStep

KINDS = ("volume", "mass", "piece")
METRIC_KINDS = ("weight", "metric_g", "metric_ml", "serving", "servings")
#: Sizes at which a unit begins are kept to as many digits as formulas compare.
DIGITS = 9
JOINERS = {"": " ", "plus": " + "}


@cache
def load_kitchen_words() -> KitchenWords:
    """All kitchen tables of data/; raises BadInput naming file and row of a fault."""
    folder, sources = data_path(), load_tables().sources
    steps = _steps(folder / "kitchen_steps.csv", sources)
    metric = _metric(folder / "metric_steps.csv", sources)
    plurals = read_rows(folder / "kitchen_plurals.csv", ("one", "many"))
    only_once(plurals, "one")
    pour = read_rows(folder / "kitchen_pour.csv", ("ending", "poured"))
    only_once(pour, "ending")
    return KitchenWords(
        steps,
        metric,
        {row.text("one"): row.text("many") for row in plurals},
        tuple(row.text("ending") for row in pour if row.yes("poured")),
        tuple(row.text("ending") for row in pour if not row.yes("poured")),
    )


def _steps(path: Path, sources: Container[str]) -> tuple[KitchenStep, ...]:
    columns = ("kind", "one", "many", "size", "from_units", "fractions", "finer", "split_from", "split_keeps",
               "joiner", "least")
    rows = read_rows(path, (*columns, *PROVEN))
    only_once(rows, "kind", "one")
    steps = [_step(row, sources) for row in rows]
    for before, row, step in zip([None, *steps], rows, steps, strict=False):
        first = before is None or before.kind != step.kind
        if first and (step.from_size != 0 or step.finer):
            raise row.bad("the first unit of a kind starts at 0; set from_units 0, finer no")
        if not first and before is not None and step.from_size <= before.from_size:
            raise row.bad("units must stand from small to large; reorder the rows or mend from_units")
    _kinds_in_order(rows, KINDS)
    return tuple(steps)


def _step(row: Row, sources: Container[str]) -> KitchenStep:
    size = row.positive("size")
    parts = row.items("fractions")
    values = [_fraction(row, part) for part in parts]
    if values != sorted(values):
        raise row.bad("fractions must rise; reorder them")
    source_id, status = proof(row, sources)
    return KitchenStep(
        kind=row.choice("kind", KINDS),
        one=row.text("one", blank=True),
        many=row.text("many", blank=True),
        size=size,
        from_size=round(row.number_in("from_units", 0.0) * size, DIGITS),
        fractions=tuple(zip(values, parts, strict=True)),
        finer=row.yes("finer"),
        split_from=row.number_or_none("split_from", 0.0),
        keeps_fraction=row.choice("split_keeps", ("", "whole", "fraction")) == "fraction",
        joiner=JOINERS[row.choice("joiner", tuple(JOINERS))],
        least=row.text("least"),
        source_id=source_id,
        status=status,
    )


def _fraction(row: Row, part: str) -> float:
    try:
        value = Fraction(part)
    except (ValueError, ZeroDivisionError):
        raise row.bad(f"'{part}' is no fraction; write it like 1/4") from None
    if not 0 < value < 1:
        raise row.bad(f"'{part}' must lie between 0 and 1")
    return float(value)


def _metric(path: Path, sources: Container[str]) -> tuple[MetricStep, ...]:
    rows = read_rows(path, ("kind", "from", "step", "divisor", "unit", *PROVEN))
    only_once(rows, "kind", "from")
    _kinds_in_order(rows, METRIC_KINDS)
    steps: list[MetricStep] = []
    for row in rows:
        start = row.number_in("from", 0.0)
        first = not steps or steps[-1].kind != row.cells["kind"]
        if (start != 0) if first else (start <= steps[-1].start):
            raise row.bad("each kind starts at 0 and rises; mend 'from'")
        proven = proof(row, sources)
        steps.append(MetricStep(row.text("kind"), start, row.positive("step"), row.positive("divisor"),
                                row.text("unit"), *proven))
    return tuple(steps)


def _kinds_in_order(rows: Sequence[Row], kinds: Sequence[str]) -> None:
    places = [kinds.index(row.choice("kind", kinds)) for row in rows]
    for row, place, before in zip(rows, places, [0, *places], strict=False):
        if place < before:
            raise row.bad(f"rows of one kind stand together, in the order {', '.join(kinds)}")
    if set(places) != set(range(len(kinds))):
        raise rows[0].bad(f"a kind is missing; all of {', '.join(kinds)} are needed")
