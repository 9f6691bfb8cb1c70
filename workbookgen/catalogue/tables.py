"""Loads and checks the small tables of ``data/``: units, retention, treatments, yields, references.

One function per file, named after what it loads; ``load_tables`` puts them together. Every table is
checked while it is read (words, ranges, repeats, sources), so the rest of the program may trust it.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from pathlib import Path

from workbookgen.catalogue.claims import load_claims
from workbookgen.catalogue.csvread import PROVEN, Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.science import load_science
from workbookgen.catalogue.tables_reference import load_plate_models, load_reference_sets, load_rounding
from workbookgen.model.errors import BadInput
from workbookgen.model.tables import Nutrient, Retention, Source, Tables, Treatment, Unit, Yield

STATES = ("raw", "dry", "cooked", "canned", "drained", "rinsed", "frozen", "ready")
#: States in which the food has met water and heat already, so that no second boiling may be applied.
COOKED_STATES = ("cooked", "canned", "drained", "rinsed")
NO_TREATMENT = "none"
REHEATED = "reheated"
RINSED = "rinsed"
NOTHING_LOST = "0"
#: Total folate is published beside its two parts; the parts are what is applied.
TOTAL_FOLATE = "FOL"
PER_CENT = 100.0
#: Cooking neither shrinks a food to a tenth nor swells it tenfold: a factor outside is a slip.
YIELD_LEAST, YIELD_MOST = 0.1, 10.0


def load_tables(data: Path | None = None) -> Tables:
    """All small tables from the folder ``data`` (the installed one when None), checked.

    ``Tables.rounding`` holds each rule under its own key ("energy"), under the tags whose amount it rounds
    ("NA") and, for per cent Daily Values, under "%" and the tag ("%NA").
    Raises ``BadInput`` with file, row and mend.
    """
    folder = data if data is not None else data_path()
    sources = load_sources(folder)
    nutrients = load_nutrients(folder)
    retention = load_retention(folder, nutrients, sources)
    treatments = load_treatments(folder, {row.code for row in retention}, sources)
    reference_sets = load_reference_sets(folder, nutrients, sources)
    return Tables(
        nutrients=nutrients,
        units=load_units(folder, sources),
        retention=retention,
        treatments=treatments,
        yields=load_yields(folder, treatments, sources),
        reference_sets=reference_sets,
        rounding=load_rounding(folder, nutrients, sources),
        plate_models=load_plate_models(folder, sources),
        sources=sources,
        science=load_science(folder, sources),
        claims=load_claims(folder, nutrients, reference_sets, sources),
    )


def load_sources(folder: Path) -> dict[str, Source]:
    """Everything cited, by id."""
    rows = read_rows(folder / "sources.csv", ("id", "citation", "url", "licence"))
    only_once(rows, "id")
    return {
        row.text("id"): Source(
            row.text("id"), row.text("citation"), row.text("url", blank=True), row.text("licence", blank=True)
        )
        for row in rows
    }


def load_nutrients(folder: Path) -> tuple[Nutrient, ...]:
    """The nutrients in the order every sheet shows them."""
    columns = ("tag", "name", "unit", "decimals", "block", "usda_no", "keep", "main", "note")
    rows = read_rows(folder / "nutrients.csv", columns)
    only_once(rows, "tag")
    return tuple(
        Nutrient(
            tag=row.text("tag"),
            name=row.text("name"),
            unit=row.text("unit"),
            decimals=int(row.number_in("decimals", 0, 3)),
            block=row.text("block"),
            usda_no=row.text("usda_no", blank=True),
            keep=row.text("keep", blank=True),
            main=row.yes("main"),
            note=row.text("note", blank=True),
        )
        for row in rows
    )


def load_units(folder: Path, sources: Container[str]) -> tuple[Unit, ...]:
    """Mass units in g and volume units in mL, in the order of the drop-downs."""
    rows = read_rows(folder / "units.csv", ("name", "kind", "factor", "synonyms", "source_id", "status"))
    only_once(rows, "name")
    units: list[Unit] = []
    spelled: dict[str, str] = {}
    for row in rows:
        source_id, status = proof(row, sources)
        unit = Unit(
            name=row.text("name"),
            kind=row.choice("kind", ("mass", "volume")),
            factor=row.positive("factor"),
            synonyms=row.items("synonyms"),
            source_id=source_id,
            status=status,
        )
        for word in {unit.name.casefold(), *map(str.casefold, unit.synonyms)}:
            if word in spelled:
                raise row.bad(f"'{word}' means '{spelled[word]}' already; capitals do not tell units apart")
            spelled[word] = unit.name
        units.append(unit)
    return tuple(units)


def load_retention(
    folder: Path, nutrients: Sequence[Nutrient], sources: Container[str]
) -> tuple[Retention, ...]:
    """Per cent of each nutrient kept; the first row keeps everything. A blank cell gives no entry."""
    applied = dict.fromkeys(nutrient.keep for nutrient in nutrients if nutrient.keep)
    columns = (*applied, TOTAL_FOLATE)
    fixed = ("code", "group", "description", *PROVEN)
    rows = read_rows(folder / "retention.csv", (*fixed, *columns))
    only_once(rows, "code")
    found = []
    for row in rows:
        source_id, status = proof(row, sources)
        kept = {tag: row.number_or_none(tag, 0, PER_CENT) for tag in columns}
        found.append(
            Retention(
                code=row.text("code"),
                group=row.text("group"),
                description=row.text("description"),
                pct={tag: value for tag, value in kept.items() if value is not None},
                source_id=source_id,
                status=status,
            )
        )
    if not found or found[0].code != NOTHING_LOST or list(found[0].pct.values()) != [PER_CENT] * len(columns):
        raise BadInput("retention.csv", f"the first row must be code {NOTHING_LOST} with 100 in every column")
    return tuple(found)


def load_treatments(folder: Path, codes: Container[str], sources: Container[str]) -> tuple[Treatment, ...]:
    """What may be done to a food of a retention group in a state; nothing is boiled twice on paper."""
    columns = ("keep_group", "treatment", "states", "code", "drippings", *PROVEN)
    rows = read_rows(folder / "treatments.csv", columns)
    only_once(rows, "keep_group", "treatment")
    return tuple(_treatment(row, codes, sources) for row in rows)


def _treatment(row: Row, codes: Container[str], sources: Container[str]) -> Treatment:
    name, states, code = row.text("treatment"), row.items("states", STATES), row.text("code")
    proof(row, sources)
    if name == NO_TREATMENT:
        raise row.bad(f"'{NO_TREATMENT}' is offered always; take the row out")
    if not states:
        raise row.bad("'states' is empty; name at least one state")
    if code not in codes:
        raise row.bad(f"code '{code}' is not in retention.csv; add it there or correct it here")
    for state in states:
        allowed = (REHEATED, RINSED) if state == "drained" else (REHEATED,)
        if state in COOKED_STATES and name not in allowed:
            raise row.bad(f"a food that is {state} may not be {name} as well; take '{state}' out of 'states'")
    return Treatment(
        keep_group=row.text("keep_group"),
        name=name,
        states=states,
        code=code,
        drippings=row.choice("drippings", ("", "kept", "lost")),
        note=row.text("note", blank=True),
    )


def load_yields(folder: Path, treatments: Sequence[Treatment], sources: Container[str]) -> tuple[Yield, ...]:
    """Cooked grams per raw gram; every treatment of every retention group has a group row."""
    rows = read_rows(folder / "yields.csv", ("kind", "key", "treatment", "factor", *PROVEN))
    only_once(rows, "kind", "key", "treatment")
    offered = {(t.keep_group, t.name) for t in treatments}
    names = {t.name for t in treatments}
    for row in rows:
        kind, key, name = row.choice("kind", ("food", "group")), row.text("key"), row.text("treatment")
        if kind == "food" and not (key.isdigit() and name in names):
            raise row.bad(f"'{key}' with '{name}' is no food number with a treatment of treatments.csv")
        if kind == "group" and (key, name) not in offered:
            raise row.bad(f"treatments.csv offers no '{name}' for group '{key}'; add it there or correct it")
    missing = sorted(offered - {(row.cells["key"], row.cells["treatment"]) for row in rows})
    if missing:
        raise BadInput("yields.csv", f"there is no group row for {' | '.join(missing[0])}; add one")
    return tuple(
        Yield(
            row.text("kind"),
            row.text("key"),
            row.text("treatment"),
            row.number_in("factor", YIELD_LEAST, YIELD_MOST),
            *proof(row, sources),
            note=row.text("note", blank=True),
        )
        for row in rows
    )
