"""Temperatures, times and limits against published guidance, typed here by hand.

FoodSafety.gov (USDA FSIS), safe minimum internal temperatures, chart of 12 April 2019; USDA National
Agricultural Library, leftovers; FoodSafety.gov, cold food storage chart; National Kidney Foundation leaflets
on potassium and phosphorus; IOM 2001 (upper level of vitamin A); ACOG 2010 (caffeine); FDA Bad Bug Book.
Degrees Celsius are worked out from Fahrenheit: a whole degree, rounded.
"""

from __future__ import annotations

import pytest

from workbookgen.session import load_kitchen

SAFETY = load_kitchen().safety
HEAT = {t.id: t for t in SAFETY.temperatures}
FIGURES = {f.id: f.value for f in SAFETY.handling}
TRIGGERS = {(t.caution, t.key): t for t in SAFETY.triggers}
# chart of 12 April 2019, deg F and minutes of rest
CHART = {
    "t_poultry": (165, 0),
    "t_ground": (160, 0),
    "t_whole": (145, 3),
    "t_fish": (145, 0),
    "t_egg": (160, 0),
}


@pytest.mark.parametrize(("id_", "figures"), CHART.items())
def test_temperatures_are_those_of_the_chart(id_: str, figures: tuple[int, int]) -> None:
    fahrenheit, rest = figures
    assert HEAT[id_].fahrenheit == fahrenheit
    assert (f"rest {rest} minutes" in HEAT[id_].words) is (rest > 0)


def test_foods_without_a_temperature_on_the_chart_name_its_sign() -> None:
    assert "pearly or white and opaque" in HEAT["t_shrimp"].words
    assert "shells open" in HEAT["t_clams"].words
    assert "opaque and firm" in HEAT["t_scallops"].words
    assert all(HEAT[i].fahrenheit is None for i in ("t_shrimp", "t_clams", "t_scallops"))


def test_celsius_is_fahrenheit_rounded() -> None:
    for heat in SAFETY.temperatures:
        if heat.fahrenheit is not None:
            assert heat.celsius == round((heat.fahrenheit - 32) / 1.8)
    for name in (
        "reheat",
        "egg_dish",
        "fridge",
        "danger_low",
        "danger_high",
        "hot",
        "freezer",
        "code_hot",
        "code_mid",
        "code_cold",
    ):
        assert FIGURES[f"{name}_c"] == round((FIGURES[f"{name}_f"] - 32) / 1.8), name


def test_times_and_cold_are_those_of_the_guidance() -> None:
    assert (FIGURES["out_hours"], FIGURES["out_hours_hot"], FIGURES["hot_f"]) == (2, 1, 90)
    assert (FIGURES["fridge_f"], FIGURES["freezer_f"], FIGURES["reheat_f"]) == (40, 0, 165)
    assert (FIGURES["danger_low_f"], FIGURES["danger_high_f"]) == (40, 140)


def test_food_service_figures_are_those_of_the_model_code() -> None:
    # Food Code 2022, 3-501.14 (cooling), 3-501.16 (holding), 3-403.11 (reheating for hot holding), memory
    assert (FIGURES["code_hot_f"], FIGURES["code_mid_f"], FIGURES["code_cold_f"]) == (135, 70, 41)
    assert (FIGURES["code_first_hours"], FIGURES["code_all_hours"]) == (2, 6)
    assert all(f.status != "seen" for f in SAFETY.handling if f.id.startswith("code_"))
    cooling = "135 °F (57 °C) to 70 °F (21 °C) within 2 hours and to 41 °F (5 °C) within 6 hours"
    assert cooling in SAFETY.service


def test_days_and_months_are_those_of_the_charts() -> None:
    lines = {k.id: k.lines for k in SAFETY.keeping}
    assert all("3 to 4 days" in line[1] for line in lines.values())
    assert "2 to 3 months" in lines["soup"][2]
    assert lines["cold"][2].startswith("Do not freeze")
    assert "3 to 4 months" in lines["plant"][2]


def test_limits_are_those_of_the_sources() -> None:
    # leaflets: potassium is high from 201 mg in a serving, phosphorus over 100 mg
    assert (TRIGGERS["kidney", "K"].sign, TRIGGERS["kidney", "K"].limit) == (">", 200)
    assert (TRIGGERS["kidney", "P"].sign, TRIGGERS["kidney", "P"].limit) == (">", 100)
    assert TRIGGERS["retinol", "RETOL"].per == FIGURES["retinol_ul_mcg"] == 3000
    assert TRIGGERS["caffeine", "CAFFN"].per == FIGURES["caffeine_mg"] == 200
    daily = load_kitchen().reference_set_by_id["us_4plus"].values
    for caution, tag in (("warfarin", "VITK1"), ("sodium", "NA"), ("iron", "FE")):
        assert TRIGGERS[caution, tag].per == daily[tag].value
        assert TRIGGERS[caution, tag].limit == 20  # high by the regulator's guide to per cent Daily Value
    assert (FIGURES["honey_months"], FIGURES["choking_years"]) == (12, 4)
    assert (FIGURES["bean_soak_hours"], FIGURES["bean_boil_min"]) == (5, 30)
    assert (FIGURES["fish_low_oz"], FIGURES["fish_high_oz"]) == (8, 12)
