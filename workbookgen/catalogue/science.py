"""Loads and checks the tables behind iron, protein, readings and ranges."""

from __future__ import annotations

from collections.abc import Container, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.model.errors import BadInput
from workbookgen.model.science import (
    AMINO,
    Figure,
    IronNeed,
    IronStores,
    ListedFood,
    ProteinPattern,
    RangeDivisor,
    Reading,
    Science,
    Step,
)

PER_CENT = 100.0
MOST_PARTNERS = 40
USES = ("regulation", "default", "")
#: Coefficients that the equations name; a missing one is an error when the table is read, not later.
IRON_IDS = (
    "heme_share", "heme_absorbed", "mfp_low", "mfp_high", "vitc_low", "vitc_high", "low_pct", "medium_pct",
    "high_pct", "cooked_to_raw", "ef_cap", "stores_default", "hh_base", "hh_phytate", "hh_phosphorus",
    "hh_vitc_linear", "hh_vitc_exponent", "hh_meat", "hh_meat_phytate", "hh_calcium_floor", "hh_calcium_range",
    "hh_calcium_middle", "hh_calcium_slope", "hh_egg", "hh_soy", "hh_heme", "egg_weight", "vegetarian_factor",
)
READING_IDS = (
    "energy_density", "fibre_1000", "protein_share", "fat_share", "carbohydrate_share", "saturated_share",
    "added_sugar_share", "sodium_1000", "sodium_potassium", "unsaturated_saturated", "epa_dha",
)


def load_science(folder: Path, sources: Container[str]) -> Science:
    """Read the tables of ``folder``; raises BadInput naming the first faulty row and its mend."""
    return Science(
        iron=_iron(folder, sources),
        stores=_stores(folder, sources),
        needs=_needs(folder, sources),
        iron_help=_listed(folder, "iron_help.csv"),
        patterns=_patterns(folder, sources),
        partners=_partners(folder),
        readings=_readings(folder, sources),
        divisors=_divisors(folder, sources),
    )


def _iron(folder: Path, sources: Container[str]) -> dict[str, Figure]:
    rows = read_rows(folder / "iron.csv", ("id", "name", "value", "unit", *PROVEN))
    only_once(rows, "id")
    found = {
        row.text("id"): Figure(row.text("id"), row.text("name"), row.positive("value"), row.text("unit", blank=True),
                               *proof(row, sources), note=row.text("note", blank=True))
        for row in rows
    }
    _all_there("iron.csv", found, IRON_IDS)
    return found


def _all_there(file: str, found: Container[str], needed: Sequence[str]) -> None:
    missing = [name for name in needed if name not in found]
    if missing:
        raise BadInput(file, f"has no row '{missing[0]}'; put it back")


def _stores(folder: Path, sources: Container[str]) -> tuple[IronStores, ...]:
    columns = ("stores_mg", "base_pct", "slope_pct", "cap_pct", "heme_pct")
    rows = read_rows(folder / "iron_stores.csv", (*columns, *PROVEN))
    found = tuple(
        IronStores(*(row.number_in(column, 0) for column in columns), *proof(row, sources),  # type: ignore[arg-type, call-arg, misc]
                   note=row.text("note", blank=True))
        for row in rows
    )
    levels = [row.stores_mg for row in found]
    if not levels or levels != sorted(set(levels)):
        raise BadInput("iron_stores.csv", "the levels of stores must rise from row to row")
    return found


def _needs(folder: Path, sources: Container[str]) -> tuple[IronNeed, ...]:
    rows = read_rows(folder / "iron_needs.csv", ("id", "name", "iron_mg", "absorbed_pct", *PROVEN))
    only_once(rows, "id")
    only_once(rows, "name")
    if not rows:
        raise BadInput("iron_needs.csv", "holds no life stage; add one")
    return tuple(
        IronNeed(row.text("id"), row.text("name"), row.positive("iron_mg"),
                 row.number_in("absorbed_pct", 1, PER_CENT), *proof(row, sources), note=row.text("note", blank=True))
        for row in rows
    )


def _listed(folder: Path, file: str) -> tuple[ListedFood, ...]:
    rows = read_rows(folder / file, ("food_id", "note"))
    only_once(rows, "food_id")
    return tuple(ListedFood(row.text("food_id"), row.text("note", blank=True)) for row in rows)


def _partners(folder: Path) -> tuple[ListedFood, ...]:
    found = _listed(folder, "partners.csv")
    if len(found) > MOST_PARTNERS:
        raise BadInput("partners.csv", f"lists {len(found)} foods; keep at most {MOST_PARTNERS}")
    return found


def _patterns(folder: Path, sources: Container[str]) -> tuple[ProteinPattern, ...]:
    rows = read_rows(folder / "protein_patterns.csv", ("id", "name", "use", *AMINO, *PROVEN))
    only_once(rows, "id")
    only_once(rows, "name")
    found = tuple(
        ProteinPattern(row.text("id"), row.text("name"), row.choice("use", USES),
                       {amino: row.positive(amino) for amino in AMINO}, *proof(row, sources),
                       note=row.text("note", blank=True))
        for row in rows
    )
    for use in USES[:2]:
        if sum(pattern.use == use for pattern in found) != 1:
            raise BadInput("protein_patterns.csv", f"exactly one row must have '{use}' in 'use'")
    return found


def _readings(folder: Path, sources: Container[str]) -> dict[str, Reading]:
    rows = read_rows(folder / "readings.csv", ("id", "decimals", "from", "words", *PROVEN))
    by_id: dict[str, list[Row]] = {}
    for row in rows:
        by_id.setdefault(row.text("id"), []).append(row)
    found: dict[str, Reading] = {}
    for name, steps in by_id.items():
        starts = [row.number_in("from", 0) for row in steps]
        if starts[0] != 0 or starts != sorted(set(starts)):
            raise steps[0].bad(f"the steps of '{name}' must start at 0 and rise")
        decimals = {int(row.number_in("decimals", 0, 3)) for row in steps}
        if len(decimals) != 1:
            raise steps[0].bad(f"the steps of '{name}' must share one number of decimals")
        found[name] = Reading(name, decimals.pop(), tuple(
            Step(start, row.text("words"), *proof(row, sources), note=row.text("note", blank=True))
            for start, row in zip(starts, steps, strict=True)
        ))
    _all_there("readings.csv", found, READING_IDS)
    return found


def _divisors(folder: Path, sources: Container[str]) -> tuple[RangeDivisor, ...]:
    rows = read_rows(folder / "range_divisors.csv", ("samples", "divisor", *PROVEN))
    found = tuple(RangeDivisor(int(row.number_in("samples", 2)), row.positive("divisor"), *proof(row, sources))
                  for row in rows)
    if [d.samples for d in found] != sorted({d.samples for d in found}):
        raise BadInput("range_divisors.csv", "the numbers of samples must rise from row to row")
    return found
