"""Loads and checks the tables behind the sheets Person and Day."""

from __future__ import annotations

from collections.abc import Container, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, STATUSES, Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.errors import BadInput
from workbookgen.model.person import (
    GROUPS,
    KINDS,
    SEXES,
    Activity,
    DayNutrient,
    DayRow,
    EnergyShare,
    Equation,
    Gain,
    Intake,
    Pace,
    PersonInput,
    PersonTables,
    Proof,
    Reason,
    Stage,
    State,
    Upper,
)
from workbookgen.model.science import Figure

#: Limits that the sheets name; a missing one is an error when the table is read, not later.
LIMIT_IDS = (
    "adult_from", "mifflin_to", "bmi_low", "bmi_high", "bmi_normal", "protein_kg", "floor_female", "floor_male",
    "cm_per_inch", "kg_per_pound", "age_max", "height_min", "height_max", "weight_min", "weight_max", "cut_max",
    "share_min", "share_max", "share_start", "servings_max", "bar_max",
)  # fmt: skip
REASON_IDS = ("who", "eating_disorder", "kidney", "liver", "no_stage", "young", "body", "bmi_low", "bmi_high",
              "cut_pregnant", "no_equation", "cut_bmi", "cut_large", "floor")  # fmt: skip
START_IDS = ("sex", "age", "state", "units", "height", "weight", "activity", "disorder", "kidney", "liver", "cut")
MEALS = 5
DAY_ROWS = 20
KCAL = 1e5


def load_person(sources: Container[str], tags: Container[str], folder: Path | None = None) -> PersonTables:
    """Read the tables; raises BadInput naming the first faulty row and its mend."""
    data = folder if folder is not None else data_path()
    stages, states, activities = _stages(data, sources), _states(data, sources), _activities(data, sources)
    meals = _meals(data)
    return PersonTables(
        stages=stages,
        states=states,
        activities=activities,
        equations=_equations(data, sources, [a.id for a in activities]),
        limits=_limits(data, sources),
        intakes=_intakes(data, sources, tags, [s.id for s in stages]),
        uppers=_uppers(data, sources, tags),
        shares=_shares(data, sources, tags),
        paces=_paces(data, sources),
        gains=_gains(data, sources),
        reasons=_reasons(data, sources),
        nutrients=_nutrients(data, sources, tags),
        meals=tuple(meals.values()),
        start=_start(data, [s.id for s in states], [a.id for a in activities]),
        day=_day(data, meals),
    )


def _proof(row: Row, sources: Container[str]) -> Proof:
    return Proof(*proof(row, sources), row.text("note", blank=True))


def _span(row: Row, low: str, high: str) -> tuple[float, float]:
    first, below = row.number_in(low, 0), row.number_in(high, 0)
    if below <= first:
        raise row.bad(f"'{high}' is not above '{low}'; correct one of them")
    return first, below


def _stages(folder: Path, sources: Container[str]) -> tuple[Stage, ...]:
    rows = read_rows(folder / "person_stages.csv", ("id", "name", "sex", "group", "age_from", "age_below", *PROVEN))
    only_once(rows, "id")
    only_once(rows, "name")
    return tuple(
        Stage(row.text("id"), row.text("name"), row.choice("sex", ("any", *SEXES)), row.choice("group", GROUPS),
              *_span(row, "age_from", "age_below"), _proof(row, sources))
        for row in rows
    )  # fmt: skip


def _states(folder: Path, sources: Container[str]) -> tuple[State, ...]:
    rows = read_rows(folder / "person_states.csv", ("id", "name", "group", "extra_kcal", *PROVEN))
    only_once(rows, "id")
    only_once(rows, "name")
    return tuple(
        State(row.text("id"), row.text("name"), row.choice("group", GROUPS), row.number_in("extra_kcal", 0, KCAL),
              _proof(row, sources))
        for row in rows
    )  # fmt: skip


def _activities(folder: Path, sources: Container[str]) -> tuple[Activity, ...]:
    columns = ("id", "name", "words", "pal_from", "factor", "factor_source")
    rows = read_rows(folder / "person_activity.csv", (*columns, *PROVEN))
    only_once(rows, "id")
    only_once(rows, "name")
    found = []
    for row in rows:
        cited = row.text("factor_source")
        if cited not in sources:
            raise row.bad(f"source '{cited}' is not in sources.csv; add it there or correct the id")
        found.append(Activity(row.text("id"), row.text("name"), row.text("words"), row.positive("pal_from"),
                              row.positive("factor"), cited, _proof(row, sources)))  # fmt: skip
    return tuple(found)


def _equations(folder: Path, sources: Container[str], activities: Sequence[str]) -> tuple[Equation, ...]:
    columns = ("key", "name", "constant", "per_year", "pa", "per_kg", "per_cm")
    rows = read_rows(folder / "person_equations.csv", (*columns, *PROVEN))
    only_once(rows, "key")
    found = tuple(
        Equation(row.text("key"), row.text("name"), row.number_in("constant"), row.number_in("per_year"), row.positive("pa"),
                 row.positive("per_kg"), row.positive("per_cm"), _proof(row, sources))
        for row in rows
    )  # fmt: skip
    keys = [f"{name}|{sex}" for name in ("mifflin", "bee_2005") for sex in SEXES]
    keys += [f"{name}|{sex}|{level}" for name in ("eer_2005", "eer_2023") for sex in SEXES for level in activities]
    _all_there("person_equations.csv", [e.key for e in found], keys)
    return found


def _all_there(file: str, found: Container[str], needed: Sequence[str]) -> None:
    missing = [name for name in needed if name not in found]
    if missing:
        raise BadInput(file, f"has no row '{missing[0]}'; put it back")


def _limits(folder: Path, sources: Container[str]) -> dict[str, Figure]:
    rows = read_rows(folder / "person_limits.csv", ("id", "name", "value", "unit", *PROVEN))
    only_once(rows, "id")
    found = {
        row.text("id"): Figure(row.text("id"), row.text("name"), row.positive("value"), row.text("unit"), *proof(row, sources),
                               note=row.text("note", blank=True))
        for row in rows
    }  # fmt: skip
    _all_there("person_limits.csv", found, LIMIT_IDS)
    return found


def _tag(row: Row, column: str, tags: Container[str], blank: bool = False) -> str:
    tag = row.text(column, blank=blank)
    if tag and tag not in tags:
        raise row.bad(f"'{tag}' is no tag of nutrients.csv; correct it")
    return tag


def _intakes(folder: Path, sources: Container[str], tags: Container[str],
             stages: Sequence[str]) -> dict[tuple[str, str], Intake]:  # fmt: skip
    rows = read_rows(folder / "reference_intakes.csv", ("stage", "tag", "kind", "value", "upper", "upper_status", *PROVEN))
    only_once(rows, "stage", "tag")
    found = {}
    for row in rows:
        upper = row.number_or_none("upper", 0)
        status = row.choice("upper_status", ("", *STATUSES))
        if (upper is None) != (status == ""):
            raise row.bad("'upper' and 'upper_status' go together; fill in both or neither")
        found[row.choice("stage", stages), _tag(row, "tag", tags)] = Intake(
            row.choice("kind", ("RDA", "AI")), row.positive("value"), upper, status, _proof(row, sources))  # fmt: skip
    return found


def _uppers(folder: Path, sources: Container[str], tags: Container[str]) -> dict[str, Upper]:
    rows = read_rows(folder / "person_uppers.csv", ("tag", "compared", "words", *PROVEN))
    only_once(rows, "tag")
    return {
        _tag(row, "tag", tags): Upper(_tag(row, "compared", tags, blank=True), row.text("words"), _proof(row, sources))
        for row in rows
    }


def _shares(folder: Path, sources: Container[str], tags: Container[str]) -> tuple[EnergyShare, ...]:
    columns = ("tag", "use", "age_from", "age_below", "low_pct", "high_pct", "kcal_per_g")
    rows = read_rows(folder / "person_shares.csv", (*columns, *PROVEN))
    only_once(rows, "tag", "age_from")
    return tuple(
        EnergyShare(_tag(row, "tag", tags), row.choice("use", ("range", "limit")), *_span(row, "age_from", "age_below"),
                    *_span(row, "low_pct", "high_pct"), row.positive("kcal_per_g"), _proof(row, sources))
        for row in rows
    )  # fmt: skip


def _paces(folder: Path, sources: Container[str]) -> tuple[Pace, ...]:
    columns = ("bmi_from", "bmi_below", "cut_low", "cut_high", "kg_low", "kg_high")
    rows = read_rows(folder / "person_pace.csv", (*columns, *PROVEN))
    return tuple(
        Pace(*_span(row, "bmi_from", "bmi_below"), *_span(row, "cut_low", "cut_high"), *_span(row, "kg_low", "kg_high"),
             _proof(row, sources))
        for row in rows
    )  # fmt: skip


def _gains(folder: Path, sources: Container[str]) -> tuple[Gain, ...]:
    columns = ("bmi_from", "bmi_below", "total_low", "total_high", "rate_low", "rate_high")
    rows = read_rows(folder / "person_gain.csv", (*columns, *PROVEN))
    return tuple(
        Gain(*_span(row, "bmi_from", "bmi_below"), *_span(row, "total_low", "total_high"), *_span(row, "rate_low", "rate_high"),
             _proof(row, sources))
        for row in rows
    )  # fmt: skip


def _reasons(folder: Path, sources: Container[str]) -> tuple[Reason, ...]:
    rows = read_rows(folder / "person_reasons.csv", ("id", "hides", "text", *PROVEN))
    found = tuple(
        Reason(row.text("id"), row.choice("hides", ("all", "energy")), row.text("text"), _proof(row, sources)) for row in rows
    )
    if tuple(r.id for r in found) != REASON_IDS:
        raise BadInput("person_reasons.csv", f"must hold these rows in this order: {', '.join(REASON_IDS)}")
    if [r.hides for r in found] != sorted(r.hides for r in found):
        raise BadInput("person_reasons.csv", "the rows that hide all must come first")
    return found


def _nutrients(folder: Path, sources: Container[str], tags: Container[str]) -> tuple[DayNutrient, ...]:
    rows = read_rows(folder / "day_nutrients.csv", ("tag", "kind", "label_kind", *PROVEN))
    only_once(rows, "tag")
    for row in rows:
        proof(row, sources)
    return tuple(
        DayNutrient(_tag(row, "tag", tags), row.choice("kind", KINDS), row.choice("label_kind", KINDS)) for row in rows
    )


def _meals(folder: Path) -> dict[str, str]:
    rows = read_rows(folder / "day_meals.csv", ("id", "name"))
    only_once(rows, "id")
    only_once(rows, "name")
    if len(rows) != MEALS:
        raise BadInput("day_meals.csv", f"must name {MEALS} meals")
    return {row.text("id"): row.text("name") for row in rows}


def _start(folder: Path, states: Sequence[str], activities: Sequence[str]) -> PersonInput:
    rows = read_rows(folder / "person_start.csv", ("id", "value"))
    only_once(rows, "id")
    by_id = {row.text("id"): row for row in rows}
    _all_there("person_start.csv", by_id, START_IDS)
    by_id["units"].choice("value", ("cm and kg",))
    ticks = {name: by_id[name].yes("value") for name in ("disorder", "kidney", "liver")}
    return PersonInput(
        sex=by_id["sex"].choice("value", SEXES), age=by_id["age"].number_in("value", 0), state=by_id["state"].choice("value", states),
        height_cm=by_id["height"].positive("value"), weight_kg=by_id["weight"].positive("value"),
        activity=by_id["activity"].choice("value", activities), cut=by_id["cut"].number_in("value", 0), **ticks)  # fmt: skip


def _day(folder: Path, meals: dict[str, str]) -> tuple[DayRow, ...]:
    rows = read_rows(folder / "day_start.csv", ("meal", "recipe", "servings", "food", "amount", "unit"))
    if len(rows) > DAY_ROWS:
        raise BadInput("day_start.csv", f"has {len(rows)} rows; the sheet holds {DAY_ROWS}")
    return tuple(
        DayRow(meals[row.choice("meal", tuple(meals))], row.text("recipe", blank=True), row.number_or_none("servings", 0),
               row.text("food", blank=True), row.number_or_none("amount", 0), row.text("unit", blank=True))
        for row in rows
    )  # fmt: skip
