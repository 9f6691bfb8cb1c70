"""Energy and reference intakes of a person: equations, every limit at, just under and just over, and what is hidden."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.model.person import PersonInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.person import assess, body_mass_index, held_against, servings_that_fit, share_words

WOMAN = PersonInput("female", 45, "none", 165, 68, "low_active")
STEP = 0.001  # kg or kcal: the smallest difference tried


def of_bmi(bmi: float, **more: object) -> PersonInput:
    """A person 100 cm tall weighs as many kg as the index says."""
    return replace(WOMAN, height_cm=100.0, weight_kg=bmi, **more)


def test_all_energies_of_a_plain_adult_are_given(kitchen: Kitchen) -> None:
    found = assess(kitchen.person, WOMAN)
    assert found.reason == ""
    assert found.mifflin == 10 * 68 + 6.25 * 165 - 5 * 45 - 161
    assert found.energy == found.eer_2023 == pytest.approx(575.77 - 7.01 * 45 + 6.6 * 165 + 12.14 * 68)
    assert found.mifflin_day == found.mifflin * 1.375
    assert found.protein_by_weight == pytest.approx(0.8 * 68)
    assert found.references["FE"].value == 18
    assert found.references["FASAT"].value == pytest.approx(found.energy * 0.1 / 9)


@pytest.mark.parametrize(("tick", "reason"), [("disorder", "eating_disorder"), ("kidney", "kidney"), ("liver", "liver")])
def test_a_tick_hides_everything(kitchen: Kitchen, tick: str, reason: str) -> None:
    found = assess(kitchen.person, replace(WOMAN, **{tick: True}))
    assert found.reason == reason
    assert (found.energy, found.mifflin, found.basal_2005, found.eer_2005, found.eer_2023, found.bmi) == (None,) * 6
    assert not found.references
    assert found.weight_words == ""


@pytest.mark.parametrize(("age", "reason", "shown"), [(18.999, "young", True), (19, "", True), (0.5, "young", True)])
def test_no_energy_under_nineteen(kitchen: Kitchen, age: float, reason: str, shown: bool) -> None:
    found = assess(kitchen.person, replace(WOMAN, age=age))
    assert found.reason == reason
    assert bool(found.references) is shown
    assert (found.energy is None) is (reason != "")


@pytest.mark.parametrize(("age", "given_"), [(78, True), (78.01, False)])
def test_mifflin_ends_with_the_oldest_person_measured(kitchen: Kitchen, age: float, given_: bool) -> None:
    found = assess(kitchen.person, replace(WOMAN, age=age))
    assert (found.mifflin is not None) is given_
    assert found.eer_2023 is not None


@pytest.mark.parametrize(
    ("bmi", "reason"),
    [(18.5 - STEP, "bmi_low"), (18.5, ""), (18.5 + STEP, ""), (40 - STEP, ""), (40, "bmi_high"), (40 + STEP, "bmi_high")],
)
def test_body_mass_index_extremes_give_no_energy(kitchen: Kitchen, bmi: float, reason: str) -> None:
    found = assess(kitchen.person, of_bmi(bmi))
    assert found.reason == reason
    assert (found.energy is None) is (reason != "")
    assert found.references["FE"].value == 18


@pytest.mark.parametrize(("bmi", "given_"), [(25 - STEP, True), (25, False), (25 + STEP, False)])
def test_equation_of_2005_holds_below_25(kitchen: Kitchen, bmi: float, given_: bool) -> None:
    assert (assess(kitchen.person, of_bmi(bmi)).eer_2005 is not None) is given_


@pytest.mark.parametrize("state", ["pregnant_1", "pregnant_2", "pregnant_3", "breastfeeding_1", "breastfeeding_2"])
def test_no_energy_cut_in_pregnancy_and_while_breastfeeding(kitchen: Kitchen, state: str) -> None:
    mother = replace(WOMAN, state=state, weight_kg=60)
    assert assess(kitchen.person, mother).reason == ""
    found = assess(kitchen.person, replace(mother, cut=STEP))
    assert (found.reason, found.energy) == ("cut_pregnant", None)
    assert found.references["FE"].value in (27, 9)


def test_pregnancy_adds_to_the_equation_of_2005_alone(kitchen: Kitchen) -> None:
    plain = assess(kitchen.person, replace(WOMAN, weight_kg=60))
    found = assess(kitchen.person, replace(WOMAN, weight_kg=60, state="pregnant_3"))
    assert found.energy == found.eer_2005 == plain.eer_2005 + 452
    assert (found.mifflin, found.basal_2005, found.eer_2023, found.protein_by_weight) == (None,) * 4
    assert "11.5 to 16 kg in all" in found.weight_words


def test_no_equation_for_a_pregnant_woman_above_the_range(kitchen: Kitchen) -> None:
    assert assess(kitchen.person, replace(WOMAN, state="pregnant_2")).reason == ""  # 24.98
    assert assess(kitchen.person, replace(WOMAN, state="pregnant_2", weight_kg=68.1)).reason == "no_equation"


@pytest.mark.parametrize(("age", "reason"), [(13.99, "no_stage"), (14, "young"), (50.99, ""), (51, "no_stage")])
def test_pregnancy_outside_the_tables_is_referred(kitchen: Kitchen, age: float, reason: str) -> None:
    assert assess(kitchen.person, replace(WOMAN, state="pregnant_1", age=age, weight_kg=60)).reason == reason


def test_a_pregnant_man_is_a_slip(kitchen: Kitchen) -> None:
    assert assess(kitchen.person, replace(WOMAN, sex="male", state="pregnant_1")).reason == "who"


@pytest.mark.parametrize(
    ("bmi", "cut", "reason"),
    [(27 - STEP, 1, "cut_bmi"), (27, 1, "floor"), (35 - STEP, 500 + STEP, "cut_large"), (35, 500 + STEP, "floor"),
     (35, 1000 + STEP, "cut_large")],
)  # fmt: skip
def test_cuts_outside_the_published_pace_are_referred(kitchen: Kitchen, bmi: float, cut: float, reason: str) -> None:
    assert assess(kitchen.person, of_bmi(bmi, cut=cut, activity="inactive", age=78)).reason == reason


@pytest.mark.parametrize(("sex", "floor"), [("female", 1200), ("male", 1500)])
def test_no_plan_below_the_least_published_energy(kitchen: Kitchen, sex: str, floor: float) -> None:
    person = PersonInput(sex, 70, "none", 145, 76, "inactive")  # body mass index 36
    day = assess(kitchen.person, person).eer_2023
    assert day is not None
    assert day - floor < 1000
    assert assess(kitchen.person, replace(person, cut=day - floor)).reason == ""
    assert assess(kitchen.person, replace(person, cut=day - floor + STEP)).reason == "floor"
    assert assess(kitchen.person, replace(person, cut=day - floor - STEP)).energy == pytest.approx(floor + STEP)


@pytest.mark.parametrize(
    "change",
    [{"height_cm": 39.9}, {"height_cm": 230.1}, {"weight_kg": 1.9}, {"weight_kg": 300.1}, {"cut": -1.0}, {"cut": 2000.1}],
)
def test_unreadable_bodies_give_no_energy(kitchen: Kitchen, change: dict[str, float]) -> None:
    assert assess(kitchen.person, replace(WOMAN, **change)).reason == "body"


def test_uppers_count_only_the_form_they_cover(kitchen: Kitchen) -> None:
    found = assess(kitchen.person, WOMAN).references
    for tag in ("MG", "NIAEQ", "TOCPHA"):
        assert found[tag].upper is None
        assert found[tag].upper_words.startswith("UL does not apply to food sources")
    assert (found["VITA_RAE"].upper, kitchen.person.uppers["VITA_RAE"].compared) == (3000, "RETOL")
    assert (found["FOLDFE"].upper, kitchen.person.uppers["FOLDFE"].compared) == (1000, "FOLAC")
    assert (found["K"].upper, found["K"].upper_words) == (None, "")
    assert found["NA"].upper == 2300


@given(
    age=st.floats(0, 120), sex=st.sampled_from(["female", "male"]), height=st.floats(100, 220), weight=st.floats(20, 250),
    state=st.sampled_from(["none", "pregnant_2", "breastfeeding_1"]), cut=st.floats(0, 2000),
    level=st.sampled_from(["inactive", "low_active", "active", "very_active"]),
)  # fmt: skip
def test_energy_is_given_only_inside_every_limit(kitchen: Kitchen, age: float, sex: str, height: float, weight: float, state: str,
                                                 cut: float, level: str) -> None:  # fmt: skip
    person = PersonInput(sex, age, state, height, weight, level, cut=cut)
    found = assess(kitchen.person, person)
    if found.energy is not None:
        assert found.reason == ""
        assert age >= 19
        assert 18.49 < body_mass_index(person) < 40
        assert state == "none" or (cut == 0 and sex == "female")
        assert cut == 0 or found.energy >= 1199.9
    assert (found.energy is None) == (found.reason != "")


def test_servings_that_fit_and_shares(kitchen: Kitchen) -> None:
    assert servings_that_fit(2000, 30, 400) == 1.5
    assert servings_that_fit(None, 30, 400) is None
    assert servings_that_fit(2000, 30, 0) is None
    assert (share_words(9, "at least", 18), share_words(9, "", None), share_words(1, "at most", 8)) == ("50+", "", "13-")
    assert math.isclose(body_mass_index(WOMAN), 24.977, abs_tol=0.001)


def test_a_day_is_held_against_the_sodium_limit_not_the_adequate_intake(kitchen: Kitchen) -> None:
    found = assess(kitchen.person, WOMAN).references
    assert held_against(kitchen.person, "NA", found["NA"]) == 2300
    assert held_against(kitchen.person, "FE", found["FE"]) == 18
    infant = assess(kitchen.person, replace(WOMAN, age=0.7)).references
    assert (infant["NA"].value, held_against(kitchen.person, "NA", infant["NA"])) == (370, None)
