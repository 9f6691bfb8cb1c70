"""The sheet Person follows what is typed, agrees with the core, and shows nothing where it must not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.workbook.person_books import sheet_of, small_book, typed
from workbookgen.model.person import PersonInput
from workbookgen.nutrition.person import Reference, assess, held_against, servings_that_fit, share_words
from workbookgen.workbook.person_energy import ENERGY_HEAD, REASON_ROW, ROWS, WEIGHT_ROW
from workbookgen.workbook.person_inputs import ENTRY, LABEL, MESSAGE, READ, row_of
from workbookgen.workbook.person_sheet import HELD, REFERENCE_FIRST, UPPER, WORDS
from workbookgen.workbook.stored import agree

TABLES = small_book()[2].person
START = TABLES.start
FIT_FIRST = REFERENCE_FIRST + len(TABLES.nutrients) + 3
STATES = {s.id: s.name for s in TABLES.states}
LEVELS = {a.id: a.name for a in TABLES.activities}


def entries(person: PersonInput, **more: object) -> dict[tuple[int, int], object]:
    told: dict[str, object] = {
        "sex": person.sex, "age": person.age, "state": STATES[person.state], "units": "cm and kg", "height": person.height_cm,
        "weight": person.weight_kg, "activity": LEVELS[person.activity], "cut": person.cut, "share": 30,
        **{k: "yes" if getattr(person, k) else "no" for k in ("disorder", "kidney", "liver")},
    }  # fmt: skip
    return {(row_of(key), ENTRY): value for key, value in (told | more).items()}


def differences(person: PersonInput, **more: object) -> list[tuple[object, object, object]]:
    """Type a person and compare every figure of the sheet with the core."""
    live, found = typed(), assess(TABLES, person)
    live.type("Person", entries(person, **more))
    wanted: list[tuple[int, int, object]] = [
        (REASON_ROW, LABEL, next((r.text for r in TABLES.reasons if r.id == found.reason), "")),
        (WEIGHT_ROW, LABEL, found.weight_words),
    ]
    core = dict(zip(ROWS, (found.bmi, found.mifflin, found.basal_2005, found.mifflin_day, found.eer_2005, found.eer_2023, found.energy,
                           found.protein_by_weight), strict=True))  # fmt: skip
    wanted += [(ENERGY_HEAD + 1 + i, READ, "-" if core[key] is None else core[key]) for i, key in enumerate(ROWS)]
    for i, nutrient in enumerate(TABLES.nutrients):
        one = found.references.get(nutrient.tag, Reference())
        held = held_against(TABLES, nutrient.tag, one)
        for col, value in ((READ, one.value), (UPPER, one.upper), (WORDS, one.upper_words), (HELD, held)):
            wanted.append((REFERENCE_FIRST + i, col, "" if value is None else value))
    for i, dish in enumerate(small_book()[1]):
        kcal = dish.nutrients["ENERC_KCAL"]
        fits = servings_that_fit(found.energy, 30, kcal.serving)
        wanted.append((FIT_FIRST + i, READ + 1, share_words(kcal.serving, kcal.reads, found.energy) or "-"))
        if fits is None:
            wanted.append((FIT_FIRST + i, READ + 2, "-"))
    told = [(at, want, live.at("Person", at[0], at[1])) for *at, want in wanted]
    return [(at, want, got) for at, want, got in told if not agree(want, got)]


def test_the_book_agrees_with_the_core_as_built() -> None:
    assert small_book()[3] == ()
    assert sheet_of("Person").cells[ENERGY_HEAD + 1 + ROWS.index("energy"), READ].value == assess(TABLES, START).energy


@pytest.mark.parametrize(
    "person",
    [
        replace(START, sex="male", age=78), replace(START, age=78.5), replace(START, age=0.4), replace(START, age=3), replace(START, age=18.99),
        replace(START, age=19, weight_kg=60, state="pregnant_3"), replace(START, age=51, state="pregnant_1"),
        replace(START, weight_kg=60, state="breastfeeding_2"), replace(START, state="pregnant_2", weight_kg=90),
        replace(START, state="pregnant_2", weight_kg=60, cut=100.0), replace(START, disorder=True), replace(START, kidney=True),
        replace(START, liver=True, age=10), replace(START, weight_kg=50), replace(START, weight_kg=110), replace(START, cut=1.0),
        replace(START, weight_kg=80, cut=500.0), replace(START, weight_kg=80, cut=500.5), replace(START, height_cm=145, weight_kg=76, cut=1000.0),
        replace(START, sex="male", state="pregnant_1"), replace(START, height_cm=39), replace(START, weight_kg=301),
    ],
    ids=lambda p: f"{p.sex} {p.age:g} y, {p.state}, {p.height_cm:g} cm, {p.weight_kg:g} kg, cut {p.cut:g}",
)  # fmt: skip
def test_figures_follow_the_entries(person: PersonInput) -> None:
    assert differences(person) == []


@pytest.mark.parametrize("bmi", [18.5 - 1e-6, 18.5, 25 - 1e-6, 25, 27 - 1e-6, 27, 35 - 1e-6, 35, 40 - 1e-6, 40])
@pytest.mark.parametrize("cut", [0.0, 10.0])
def test_limits_of_the_body_mass_index_by_the_sheet(bmi: float, cut: float) -> None:
    assert differences(replace(START, height_cm=200, weight_kg=bmi * 4, cut=cut)) == []


@settings(max_examples=25, deadline=None)
@given(
    st.builds(
        PersonInput, sex=st.sampled_from(["female", "male"]), age=st.floats(0, 120).map(lambda x: round(x, 2)),
        state=st.sampled_from(list(STATES)), height_cm=st.floats(60, 220).map(lambda x: round(x, 1)),
        weight_kg=st.floats(5, 200).map(lambda x: round(x, 1)), activity=st.sampled_from(list(LEVELS)),
        cut=st.sampled_from([0.0, 0.0, 250.0, 600.0]),
    )
)  # fmt: skip
def test_generated_persons_agree(person: PersonInput) -> None:
    assert differences(person) == []


def test_the_comparison_notices_another_person() -> None:
    assert len(differences(START, age=52)) > 3


def test_inches_and_pounds_are_turned() -> None:
    person = replace(START, height_cm=65 * 2.54, weight_kg=150 * 0.45359237)
    assert differences(person, units="inches and pounds", height=65, weight=150) == []


@pytest.mark.parametrize("key", ["sex", "age", "state", "units", "height", "weight", "activity", "disorder", "kidney", "liver"])
@pytest.mark.parametrize("nonsense", [None, "  ", "maybe*?~", -1, 1e9, True, "=1", "x" * 300])
def test_nonsense_gives_words_and_no_energy(key: str, nonsense: object) -> None:
    live = typed()
    live.type("Person", entries(START, **{key: nonsense}))
    assert live.at("Person", row_of(key), MESSAGE) != ""
    assert live.at("Person", ENERGY_HEAD + 1 + ROWS.index("energy"), READ) == "-"
    assert live.at("Person", REASON_ROW, LABEL) != ""


@pytest.mark.parametrize("nonsense", ["maybe", -1, 2000.5, True])
def test_a_cut_that_cannot_be_read_gives_no_energy(nonsense: object) -> None:
    live = typed()
    live.type("Person", entries(START, cut=nonsense))
    assert live.at("Person", row_of("cut"), MESSAGE) == "type kcal a day, 0 to 2000"
    assert live.at("Person", ENERGY_HEAD + 1 + ROWS.index("energy"), READ) == "-"


@pytest.mark.parametrize("nonsense", [None, "maybe", 0.5, 101, True])
def test_a_share_that_cannot_be_read_falls_back_and_says_so(nonsense: object) -> None:
    live = typed()
    live.type("Person", entries(START, share=nonsense))
    assert live.at("Person", row_of("share"), READ) == 30
    assert live.at("Person", row_of("share"), MESSAGE) == "type per cent, 1 to 100: 30 is taken"


@pytest.mark.parametrize("key", ["disorder", "kidney", "liver", "sex", "age", "state"])
def test_an_open_question_hides_the_reference_intakes_too(key: str) -> None:
    live = typed()
    live.type("Person", entries(START, **{key: None}))
    assert {live.at("Person", REFERENCE_FIRST + i, READ) for i in range(len(TABLES.nutrients))} == {""}


def test_the_demo_person_is_called_invented() -> None:
    words = " ".join(str(c.value) for c in sheet_of("Person").cells.values())
    assert "invented" in words
    assert "not a medical record" in words
