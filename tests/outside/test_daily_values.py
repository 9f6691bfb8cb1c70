"""Daily values against the regulation's figures, typed here by hand from its two tables."""

from __future__ import annotations

import pytest

from workbookgen.catalogue.tables import load_tables
from workbookgen.model.tables import ReferenceSet

SETS = {held.id: held for held in load_tables().reference_sets}
UNITS = {nutrient.tag: nutrient.unit for nutrient in load_tables().nutrients}
US = ("us_4plus", "us_1_3", "us_pregnant")

# 21 CFR 101.9(c)(8)(iv), Reference Daily Intakes: adults and children of 4 and over; children of 1 to 3;
# pregnant and lactating women.
RDI = {
    "VITA_RAE": ("mcg", 900, 300, 1300),
    "VITC": ("mg", 90, 15, 120),
    "CA": ("mg", 1300, 700, 1300),
    "FE": ("mg", 18, 7, 27),
    "VITD": ("mcg", 20, 15, 15),
    "TOCPHA": ("mg", 15, 6, 19),
    "VITK1": ("mcg", 120, 30, 90),
    "THIA": ("mg", 1.2, 0.5, 1.4),
    "RIBF": ("mg", 1.3, 0.5, 1.6),
    "NIAEQ": ("mg", 16, 6, 18),
    "VITB6A": ("mg", 1.7, 0.5, 2.0),
    "FOLDFE": ("mcg", 400, 150, 600),
    "VITB12": ("mcg", 2.4, 0.9, 2.8),
    "PANTAC": ("mg", 5, 2, 7),
    "P": ("mg", 1250, 460, 1250),
    "MG": ("mg", 420, 80, 400),
    "ZN": ("mg", 11, 3, 13),
    "SE": ("mcg", 55, 20, 70),
    "CU": ("mg", 0.9, 0.3, 1.3),
    "MN": ("mg", 2.3, 1.2, 2.6),
    "CHOLN": ("mg", 550, 200, 550),
    "K": ("mg", 4700, 3000, 5100),
}
# 21 CFR 101.9(c)(9), Daily Reference Values, same three columns; protein of the third column is the RDI of
# (c)(7)(iii) and (c)(8)(iv).
DRV = {
    "FAT": ("g", 78, 39, 78),
    "FASAT": ("g", 20, 10, 20),
    "CHOLE": ("mg", 300, 300, 300),
    "CHOCDF": ("g", 275, 150, 275),
    "NA": ("mg", 2300, 1500, 2300),
    "FIBTG": ("g", 28, 14, 28),
    "SUGAD": ("g", 50, 25, 50),
    "PROCNT": ("g", 50, 13, 71),
}
# Regulation (EU) No 1169/2011, Annex XIII, Part A point 1 and Part B.
EU = {
    "VITA_RAE": 800,
    "VITD": 5,
    "TOCPHA": 12,
    "VITK1": 75,
    "VITC": 80,
    "THIA": 1.1,
    "RIBF": 1.4,
    "NIAEQ": 16,
    "VITB6A": 1.4,
    "FOL": 200,
    "VITB12": 2.5,
    "PANTAC": 6,
    "K": 2000,
    "CA": 800,
    "P": 700,
    "MG": 375,
    "FE": 14,
    "ZN": 10,
    "CU": 1,
    "MN": 2,
    "SE": 55,
    "ENERC_KCAL": 2000,
    "FAT": 70,
    "FASAT": 20,
    "SUGAR": 90,
    "PROCNT": 50,
}


@pytest.mark.parametrize("tag", [*RDI, *DRV])
def test_us_values_are_those_of_the_regulation(tag: str) -> None:
    unit, *values = (RDI | DRV)[tag]
    assert UNITS[tag] == unit
    assert [SETS[set_id].values[tag].value for set_id in US] == values


@pytest.mark.parametrize("set_id", US)
def test_us_sets_hold_no_other_values(set_id: str) -> None:
    """Total sugars and trans fat have no Daily Value: 21 CFR 101.9(c)(9) names none."""
    assert set(SETS[set_id].values) == {*RDI, *DRV, "ENERC_KCAL"}


def test_reference_energy() -> None:
    """21 CFR 101.9(c)(9) and (d)(9): 2,000 kcal; 1,000 kcal for children of 1 to 3 years."""
    assert [SETS[set_id].values["ENERC_KCAL"].value for set_id in US] == [2000, 1000, 2000]


@pytest.mark.parametrize("tag", EU)
def test_eu_values_are_those_of_annex_xiii(tag: str) -> None:
    assert SETS["eu_nrv"].values[tag].value == EU[tag]


def test_eu_salt_is_sodium_times_2_5() -> None:
    """Regulation (EU) No 1169/2011: salt 6 g (Annex XIII Part B), salt = sodium x 2.5 (Annex I)."""
    assert SETS["eu_nrv"].values["NA"].value * 2.5 == 6 * 1000
    assert set(SETS["eu_nrv"].values) == {*EU, "NA"}


def test_eu_carbohydrate_is_not_held_against_a_figure_with_fibre() -> None:
    assert "CHOCDF" not in SETS["eu_nrv"].values


def test_codex_copper_is_converted() -> None:
    """Codex CXG 2-1985, 3.4.4.1: copper 900 mcg; the table counts copper in mg."""
    assert UNITS["CU"] == "mg"
    assert SETS["codex"].values["CU"].value == pytest.approx(900 / 1000)


@pytest.mark.parametrize("held", SETS.values(), ids=SETS)
def test_every_value_says_how_sure_it_is(held: ReferenceSet) -> None:
    assert held.values
    for value in held.values.values():
        assert value.status in ("seen", "memory", "derived")
        assert value.kind
