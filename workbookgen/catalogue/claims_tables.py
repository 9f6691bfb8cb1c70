"""Smaller rule tables: comparisons, disclosures, kinds of dish, reference amounts, food groups, bounds."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import STATUSES, Row, only_once, proof, read_rows
from workbookgen.model.claims import (
    EU,
    US,
    US_DISHES,
    Comparison,
    Disclosure,
    DishKind,
    HealthyGroup,
    Proof,
    Quantity,
    Racc,
    UpperBound,
)
from workbookgen.model.tables import Nutrient

COMPARISON = (
    "id",
    "rule_set",
    "dish",
    "words",
    "quantity",
    "change",
    "least",
    "counted",
    "reference_not",
    "also",
    "also_limit",
    "source_id",
    "section",
    "status",
    "note",
)
DISCLOSURE = ("id", "words", "unless", "tag", "shows", "section", "source_id", "status")
KIND = (
    "kind",
    "words",
    "least_serving_g",
    "portion_g",
    "portions",
    "groups",
    "source_id",
    "section",
    "status",
    "note",
)
RACC = ("id", "category", "grams", "ml", "hints", "states", "names", "source_id", "status", "note")
HEALTHY = (
    "id",
    "group",
    "unit",
    "one_equivalent",
    "least_equivalents",
    "sodium_dv",
    "added_sugars_dv",
    "saturated_fat_dv",
    "status",
    "note",
)
HEALTHY_MAP = ("food_group", "role", "group")
BOUND = ("tag", "within", "use_within")
ALSO = ("", "sat_2g", "fat_below_half", "energy_not_higher", "source")


def row_proof(row: Row, sources: Container[str], section: str = "section") -> Proof:
    """Source, section, status and remark of a row."""
    source_id, status = proof(row, sources)
    return Proof(source_id, row.text(section) if section else "", status, row.cells.get("note", ""))


def read_comparisons(
    folder: Path,
    ids: Container[str],
    quantities: Mapping[str, Quantity],
    units: Mapping[str, Nutrient],
    sources: Container[str],
) -> tuple[Comparison, ...]:
    """Statements that compare two dishes."""
    rows = read_rows(folder / "claims_compare.csv", COMPARISON)
    only_once(rows, "id")
    found = []
    for row in rows:
        if row.text("quantity") not in quantities:
            raise row.bad(f"quantity '{row.text('quantity')}' is not known")
        if row.cells["reference_not"] and row.cells["reference_not"] not in ids:
            raise row.bad(f"statement '{row.cells['reference_not']}' is not in statements.csv")
        found.append(
            Comparison(
                row.text("id"),
                row.choice("rule_set", (US, EU)),
                row.choice("dish", ("any", *US_DISHES)),
                row.text("words"),
                row.text("quantity"),
                row.choice("change", ("less", "more")),
                row.positive("least"),
                row.choice("counted", ("%", "points of % DV")),
                row.cells["reference_not"],
                row.choice("also", ALSO),
                row.number_or_none("also_limit", 0),
                row_proof(row, sources),
            )
        )
    return tuple(found)


def read_disclosures(
    folder: Path, ids: Container[str], units: Mapping[str, Nutrient], sources: Container[str]
) -> tuple[Disclosure, ...]:
    """Sentences that must stand beside a statement."""
    found = []
    for row in read_rows(folder / "disclosures.csv", DISCLOSURE):
        if row.text("unless") not in ids:
            raise row.bad(f"statement '{row.cells['unless']}' is not in statements.csv")
        if row.cells["tag"] and row.cells["tag"] not in units:
            raise row.bad(f"'{row.cells['tag']}' is no tag of nutrients.csv")
        found.append(
            Disclosure(
                row.text("id"),
                row.text("words"),
                row.text("unless"),
                row.cells["tag"],
                row_proof(row, sources),
            )
        )
    return tuple(found)


def read_kinds(folder: Path, sources: Container[str]) -> tuple[DishKind, ...]:
    """What a food, a main dish and a meal are, in the order of the rules."""
    rows = read_rows(folder / "dish_kinds.csv", KIND)
    by_name = {row.text("kind"): row for row in rows}
    return tuple(
        DishKind(
            kind,
            by_name[kind].number_in("least_serving_g", 0),
            by_name[kind].number_in("portion_g", 0),
            by_name[kind].number_in("portions", 0),
            by_name[kind].number_in("groups", 0),
            row_proof(by_name[kind], sources),
        )
        for kind in US_DISHES
    )


def read_raccs(folder: Path, sources: Container[str]) -> tuple[Racc, ...]:
    """Reference amounts."""
    rows = read_rows(folder / "racc.csv", RACC)
    only_once(rows, "id")
    only_once(rows, "category")
    found = []
    for row in rows:
        grams, ml = row.number_or_none("grams", 0), row.number_or_none("ml", 0)
        if (grams is None) == (ml is None):
            raise row.bad("give either grams or ml")
        found.append(
            Racc(
                row.text("id"),
                row.text("category"),
                grams,
                ml,
                row.items("hints"),
                row.items("states"),
                row.items("names"),
                row_proof(row, sources, ""),
            )
        )
    return tuple(found)


def read_healthy(folder: Path, sources: Container[str]) -> tuple[HealthyGroup, ...]:
    """Food groups of the word healthy."""
    rows = read_rows(folder / "healthy_us.csv", HEALTHY)
    only_once(rows, "id")
    return tuple(
        HealthyGroup(
            row.text("id"),
            row.text("group"),
            row.choice("unit", ("cup", "oz")),
            row.positive("one_equivalent"),
            row.number_in("sodium_dv", 0),
            row.number_in("added_sugars_dv", 0),
            row.number_in("saturated_fat_dv", 0),
            Proof("fr_89_106064", "101.65(d)(3)(ii)", row.choice("status", STATUSES), row.cells["note"]),
        )
        for row in rows
    )


def read_healthy_map(folder: Path, groups: Sequence[HealthyGroup]) -> dict[tuple[str, str], int]:
    """Number (from 1) of the group each food group and role counts to."""
    number = {g.id: i for i, g in enumerate(groups, 1)}
    rows = read_rows(folder / "healthy_groups.csv", HEALTHY_MAP)
    only_once(rows, "food_group", "role")
    return {
        (row.text("food_group"), row.text("role")): number[row.choice("group", tuple(number))] for row in rows
    }


def read_bounds(folder: Path, units: Mapping[str, Nutrient]) -> tuple[UpperBound, ...]:
    """Nutrients with an upper bound for unknown values."""
    rows = read_rows(folder / "upper_bounds.csv", BOUND)
    only_once(rows, "tag")
    return tuple(
        UpperBound(row.choice("tag", tuple(units)), row.choice("within", ("", *units)), row.yes("use_within"))
        for row in rows
    )
