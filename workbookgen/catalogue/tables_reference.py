"""Loads and checks the reference tables: daily values, label rounding, plate models, energy factors."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.model.tables import (
    Nutrient,
    PlateGroup,
    PlateModel,
    ReferenceSet,
    ReferenceValue,
    RoundingRule,
)

ROLES = (
    "protein",
    "legume",
    "nuts and seeds",
    "whole grain",
    "refined grain",
    "vegetable",
    "starchy vegetable",
    "fruit",
    "dairy",
    "fat",
    "liquid",
    "seasoning",
)
LEFT_OUT = "(left out)"
KCAL = ("protein_kcal_g", "fat_kcal_g", "carbohydrate_kcal_g", "alcohol_kcal_g", "fibre_kcal_g")
#: Published factors lie inside these bounds; a figure outside is a slip.
KCAL_MOST, NITROGEN_FACTORS = 10.0, (5.0, 7.0)
PER_CENT = 100.0
#: Sums of per cent may miss 100 by binary noise only.
NOISE = 1e-9
SUREST_FIRST = ("seen", "derived", "memory")


@dataclass(frozen=True, slots=True)
class EnergyFactor:
    """Energy by one system for one food or component.

    ``kcal`` maps "protein_kcal_g", "fat_kcal_g" ... to kcal per gram; what the system is silent about has
    no entry. ``nitrogen_factor`` is grams of protein per gram of nitrogen, None where it is not told.
    """

    system: str
    food: str
    nitrogen_factor: float | None
    kcal: Mapping[str, float]
    source_id: str
    status: str
    note: str = ""


def load_reference_sets(
    folder: Path, nutrients: Sequence[Nutrient], sources: Container[str]
) -> tuple[ReferenceSet, ...]:
    """Daily reference values by set, each in the nutrient's own unit."""
    columns = ("set_id", "set_name", "tag", "value", "unit", "kind", *PROVEN)
    rows = read_rows(folder / "reference_sets.csv", columns)
    only_once(rows, "set_id", "tag")
    units = {nutrient.tag: nutrient.unit for nutrient in nutrients}
    names: dict[str, str] = {}
    values: dict[str, dict[str, ReferenceValue]] = {}
    for row in rows:
        tag, set_id = row.choice("tag", tuple(units)), row.text("set_id")
        if row.text("unit") != units[tag]:
            raise row.bad(f"'{tag}' is counted in {units[tag]}; convert the value to that unit")
        _same_name(row, names, set_id, "set_name")
        values.setdefault(set_id, {})[tag] = ReferenceValue(
            tag, row.positive("value"), row.text("kind"), *proof(row, sources), row.text("note", blank=True)
        )
    return tuple(ReferenceSet(set_id, names[set_id], held) for set_id, held in values.items())


def load_rounding(
    folder: Path, nutrients: Sequence[Nutrient], sources: Container[str]
) -> dict[str, RoundingRule]:
    """Label rounding rules by key, by tag (amounts) and by "%" and tag (per cent Daily Values)."""
    limits = ("zero_below", "text_below", "text_amount", "upto_1", "step_1", "upto_2", "step_2", "step_3")
    columns = ("key", "name", "unit", *limits, "text_at", "tags", "applies_to", *PROVEN)
    rows = read_rows(folder / "label_rounding.csv", columns)
    only_once(rows, "key")
    tags = tuple(nutrient.tag for nutrient in nutrients)
    rules: dict[str, RoundingRule] = {}
    by_tag: dict[str, RoundingRule] = {}
    for row in rows:
        rule = _rounding_rule(row, sources)
        rules[rule.key] = rule
        mark = "%" if row.choice("applies_to", ("amount", "pct")) == "pct" else ""
        for tag in row.items("tags", tags):
            if mark + tag in by_tag:
                raise row.bad(f"'{tag}' is rounded by another row already; name it in one of them")
            by_tag[mark + tag] = rule
    return rules | by_tag


def _rounding_rule(row: Row, sources: Container[str]) -> RoundingRule:
    upto_1, upto_2 = row.positive("upto_1"), row.positive("upto_2")
    if upto_1 > upto_2:
        raise row.bad("'upto_1' is above 'upto_2'; put the smaller limit first")
    source_id, status = proof(row, sources)
    return RoundingRule(
        key=row.text("key"),
        unit=row.text("unit", blank=True),
        zero_below=row.number_in("zero_below", 0),
        text_below=row.number_in("text_below", 0),
        text_at=row.yes("text_at"),
        text_amount=row.number_in("text_amount", 0),
        upto_1=upto_1,
        step_1=row.positive("step_1"),
        upto_2=upto_2,
        step_2=row.positive("step_2"),
        step_3=row.positive("step_3"),
        source_id=source_id,
        status=status,
    )


def load_plate_models(folder: Path, sources: Container[str]) -> tuple[PlateModel, ...]:
    """Plate models, in which every role stands once and the shares add up to 100."""
    columns = ("model_id", "model_name", "group", "target_pct", "roles", *PROVEN)
    rows = read_rows(folder / "plate_models.csv", columns)
    only_once(rows, "model_id", "group")
    names: dict[str, str] = {}
    for row in rows:
        _same_name(row, names, row.text("model_id"), "model_name")
    return tuple(
        _plate_model(model_id, name, [row for row in rows if row.cells["model_id"] == model_id], sources)
        for model_id, name in names.items()
    )


def _plate_model(model_id: str, name: str, rows: Sequence[Row], sources: Container[str]) -> PlateModel:
    roles = [role for row in rows for role in row.items("roles", ROLES)]
    if sorted(roles) != sorted(ROLES):
        raise rows[0].bad(f"model '{model_id}' must name each plate role once, '{LEFT_OUT}' included")
    groups = tuple(
        PlateGroup(row.text("group"), row.number_in("target_pct", 0, PER_CENT), row.items("roles", ROLES))
        for row in rows
        if row.text("group") != LEFT_OUT
    )
    if abs(sum(group.target_pct for group in groups) - PER_CENT) > NOISE:
        raise rows[0].bad(f"the shares of model '{model_id}' do not add up to 100; correct 'target_pct'")
    proofs = [proof(row, sources) for row in rows]
    weakest = max((status for _, status in proofs), key=SUREST_FIRST.index)
    notes = [f"{row.cells['group']}: {row.cells['note']}" for row in rows if row.cells["note"]]
    return PlateModel(model_id, name, groups, proofs[0][0], weakest, "; ".join(notes))


def load_energy_factors(folder: Path, sources: Container[str]) -> tuple[EnergyFactor, ...]:
    """Atwater factors, general and specific, and those of labels elsewhere."""
    rows = read_rows(folder / "energy_factors.csv", ("system", "food", "nitrogen_factor", *KCAL, *PROVEN))
    only_once(rows, "system", "food")
    return tuple(
        EnergyFactor(
            row.text("system"),
            row.text("food"),
            row.number_or_none("nitrogen_factor", *NITROGEN_FACTORS),
            {
                column: kcal
                for column in KCAL
                if (kcal := row.number_or_none(column, 0, KCAL_MOST)) is not None
            },
            *proof(row, sources),
            row.text("note", blank=True),
        )
        for row in rows
    )


def _same_name(row: Row, names: dict[str, str], key: str, column: str) -> None:
    """Remember the name that belongs to ``key``; rows of one key must not disagree about it."""
    if names.setdefault(key, row.text(column)) != row.text(column):
        raise row.bad(f"'{key}' is called '{names[key]}' above; use one name")
