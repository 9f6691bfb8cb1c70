"""Energy and reference intakes of one person, or why none are given.

Energy: Mifflin et al. 1990 (resting, 19 to 78 y), Institute of Medicine 2002/2005 (basal, and the day of adults with a
body mass index of 18.5 to below 25), National Academies 2023 (the day of adults). Reference intakes: Dietary Reference
Intakes, for healthy people. Where an equation or a table does not apply, nothing is worked out: a reason stands instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbookgen.model.person import GROUPS, Equation, Gain, Pace, PersonInput, PersonTables, Stage, State
from workbookgen.nutrition.label import half_up, shown

ENERGY, PROTEIN = "ENERC_KCAL", "PROCNT"
CM_PER_M = 100
GUARD = 9  # decimals to which both sides of a limit are rounded


@dataclass(frozen=True, slots=True)
class Reference:
    """Reference of one nutrient for the day: ``value`` and ``upper`` None where there is none. ``kind`` says what the
    value is, ``upper_words`` what the upper level counts."""

    value: float | None = None
    kind: str = ""
    upper: float | None = None
    upper_words: str = ""


@dataclass(frozen=True, slots=True)
class PersonResult:
    """What is known about a person. Energies in kcal a day, None where the equation does not hold or nothing may be
    given; ``reason`` is the id of the row that says why ("" = all is given)."""

    reason: str
    stage: Stage | None
    bmi: float | None
    mifflin: float | None
    basal_2005: float | None
    mifflin_day: float | None
    eer_2005: float | None
    eer_2023: float | None
    energy: float | None
    energy_from: str
    protein_by_weight: float | None
    references: Mapping[str, Reference]
    weight_words: str


def energy_of(equation: Equation, person: PersonInput) -> float:
    """kcal a day by an equation of the table, for age in years, kg and cm."""
    size = equation.per_kg * person.weight_kg + equation.per_cm * person.height_cm
    return equation.constant + equation.per_year * person.age + equation.pa * size


def body_mass_index(person: PersonInput) -> float:
    """kg per square metre."""
    return person.weight_kg / (person.height_cm / CM_PER_M) ** 2


def stage_of(tables: PersonTables, person: PersonInput) -> Stage | None:
    """The life stage of the reference intakes; None where the tables have none."""
    group = state_of(tables, person).group
    for stage in tables.stages:
        if stage.group == group and stage.sex in ("any", person.sex) and stage.age_from <= person.age < stage.age_below:
            return stage
    return None


def state_of(tables: PersonTables, person: PersonInput) -> State:
    """The row of pregnancy or breastfeeding."""
    return next(s for s in tables.states if s.id == person.state)


def within(value: float, low: float, high: float) -> bool:
    """True from ``low`` to below ``high``, both sides rounded so that binary noise decides nothing."""
    return half_up(low, GUARD) <= half_up(value, GUARD) < half_up(high, GUARD)


def pace_of(tables: PersonTables, bmi: float) -> Pace | None:
    """Published pace of losing weight at this body mass index."""
    return next((p for p in tables.paces if within(bmi, p.bmi_from, p.bmi_below)), None)


def gain_of(tables: PersonTables, bmi: float) -> Gain | None:
    """Published weight gain in pregnancy at this body mass index before it."""
    return next((g for g in tables.gains if within(bmi, g.bmi_from, g.bmi_below)), None)


def assess(tables: PersonTables, person: PersonInput) -> PersonResult:
    """Everything about a person, or the first reason that forbids it."""
    stage = stage_of(tables, person)
    group = state_of(tables, person).group
    who = 0 <= person.age <= tables.limit("age_max") and not (group != GROUPS[0] and person.sex == "male")
    body = _body_known(tables, person)
    bmi = body_mass_index(person) if body else None
    adult = stage is not None and person.age >= tables.limit("adult_from") and bmi is not None
    by_key = {e.key: e for e in tables.equations}
    plain = group == GROUPS[0]
    mifflin = basal = eer_2005 = eer_2023 = None
    if adult and bmi is not None:
        level = f"{person.sex}|{person.activity}"
        if person.age <= tables.limit("mifflin_to") and plain:
            mifflin = energy_of(by_key["mifflin|" + person.sex], person)
        basal = energy_of(by_key["bee_2005|" + person.sex], person) if plain else None
        if within(bmi, tables.limit("bmi_low"), tables.limit("bmi_normal")):
            eer_2005 = energy_of(by_key["eer_2005|" + level], person) + state_of(tables, person).extra_kcal
        if plain:
            eer_2023 = energy_of(by_key["eer_2023|" + level], person)
    day, source = (eer_2023, "DRI 2023") if eer_2023 is not None else (eer_2005, "DRI 2005")
    reason = _reason(tables, person, who, stage, bmi, day)
    energy = None if reason or day is None else day - person.cut
    if reason:
        mifflin = basal = eer_2005 = eer_2023 = None
    activity = next(a for a in tables.activities if a.id == person.activity)
    hidden = reason != "" and next(r for r in tables.reasons if r.id == reason).hides == "all"
    return PersonResult(
        reason=reason,
        stage=None if hidden else stage,
        bmi=None if hidden else bmi,
        mifflin=mifflin,
        basal_2005=basal,
        mifflin_day=None if mifflin is None else mifflin * activity.factor,
        eer_2005=eer_2005,
        eer_2023=eer_2023,
        energy=energy,
        energy_from="" if energy is None else source + (" less the cut" if person.cut > 0 else ""),
        protein_by_weight=tables.limit("protein_kg") * person.weight_kg if energy is not None and plain else None,
        references={} if hidden or stage is None else _references(tables, person, stage, energy),
        weight_words="" if energy is None or bmi is None else weight_words(tables, group, bmi),
    )


def _body_known(tables: PersonTables, person: PersonInput) -> bool:
    height = tables.limit("height_min") <= person.height_cm <= tables.limit("height_max")
    weight = tables.limit("weight_min") <= person.weight_kg <= tables.limit("weight_max")
    return height and weight and 0 <= person.cut <= tables.limit("cut_max")


def _reason(tables: PersonTables, person: PersonInput, who: bool, stage: Stage | None, bmi: float | None,
            day: float | None) -> str:  # fmt: skip
    """The first reason that holds, in the order of the table; "" when all may be given."""
    ticks = {"eating_disorder": person.disorder, "kidney": person.kidney, "liver": person.liver}
    if not who:
        return "who"
    for reason, ticked in ticks.items():
        if ticked:
            return reason
    if stage is None:
        return "no_stage"
    if person.age < tables.limit("adult_from"):
        return "young"
    if bmi is None:
        return "body"
    if half_up(bmi, GUARD) < half_up(tables.limit("bmi_low"), GUARD):
        return "bmi_low"
    if half_up(bmi, GUARD) >= half_up(tables.limit("bmi_high"), GUARD):
        return "bmi_high"
    if stage.group != GROUPS[0] and person.cut > 0:
        return "cut_pregnant"
    if day is None:
        return "no_equation"
    return _cut_reason(tables, person, bmi, day) if person.cut > 0 else ""


def _cut_reason(tables: PersonTables, person: PersonInput, bmi: float, day: float) -> str:
    pace = pace_of(tables, bmi)
    if pace is None:
        return "cut_bmi"
    if half_up(person.cut, GUARD) > half_up(pace.cut_high, GUARD):
        return "cut_large"
    return "floor" if half_up(day - person.cut, GUARD) < half_up(tables.limit("floor_" + person.sex), GUARD) else ""


def limit_grams(tables: PersonTables, tag: str, age: float, energy: float | None) -> tuple[float, float] | None:
    """Grams a day and per cent of energy that a nutrient should stay below; None where no limit holds."""
    for row in tables.shares:
        if row.tag == tag and row.use == "limit" and row.age_from <= age < row.age_below and energy is not None:
            return energy * row.high_pct / 100 / row.kcal_per_g, row.high_pct
    return None


def _references(tables: PersonTables, person: PersonInput, stage: Stage, energy: float | None) -> dict[str, Reference]:
    """One reference for every nutrient of the day."""
    found: dict[str, Reference] = {}
    for nutrient in tables.nutrients:
        tag = nutrient.tag
        intake = tables.intakes.get((stage.id, tag))
        upper = tables.uppers.get(tag)
        if tag == ENERGY:
            found[tag] = Reference(energy, "energy" if energy is not None else "")
        elif intake is not None:
            counts = intake.upper is not None and upper is not None and upper.compared != ""
            found[tag] = Reference(intake.value, intake.kind, intake.upper if counts else None,
                                   upper.words if upper is not None and intake.upper is not None else "")  # fmt: skip
        elif limit := limit_grams(tables, tag, person.age, energy):
            found[tag] = Reference(limit[0], f"at most {shown(limit[1], 0)} % of energy")
        else:
            found[tag] = Reference()
    return found


def weight_words(tables: PersonTables, group: str, bmi: float) -> str:
    """Published range of weight change in words: gain in pregnancy, loss where a pace is published, else none."""
    if group == "pregnant":
        gain = gain_of(tables, bmi)
        return "" if gain is None else (
            f"Published gain with one child: {shown(gain.total_low, 1)} to {shown(gain.total_high, 1)} kg in all, "
            f"{shown(gain.rate_low, 2)} to {shown(gain.rate_high, 2)} kg a week from the 2nd trimester on."
        )  # fmt: skip
    if group == "breastfeeding":
        return "Losing weight while breastfeeding: ask the maternity care team."
    pace = pace_of(tables, bmi)
    return "No pace of losing weight is published for this body mass index." if pace is None else (
        f"Published pace: {shown(pace.kg_low, 2)} to {shown(pace.kg_high, 2)} kg a week with {shown(pace.cut_low, 0)} to "
        f"{shown(pace.cut_high, 0)} kcal a day less."
    )  # fmt: skip


def held_against(tables: PersonTables, tag: str, reference: Reference) -> float | None:
    """What a day is held against: the reference; for a nutrient to be limited that has an intake of its own (sodium)
    the intake above which less lowers risk, since an adequate intake is no limit."""
    kind = next((n.kind for n in tables.nutrients if n.tag == tag), "")
    own = any(t == tag for _, t in tables.intakes)
    return reference.upper if kind == "limit" and own else reference.value


def share_words(amount: float, reads: str, reference: float | None) -> str:
    """Per cent of a day's reference that a serving brings, with + for "at least" and - for "at most"; "" without one."""
    if reference is None or reference == 0:
        return ""
    sign = {"at least": "+", "at most": "-", "": ""}[reads]
    return shown(amount / reference * 100, 0) + sign


def servings_that_fit(energy: float | None, share_pct: float, kcal: float) -> float | None:
    """Servings whose energy is ``share_pct`` of the day's; None without energy or without a day."""
    return None if energy is None or kcal == 0 else energy * share_pct / 100 / kcal
