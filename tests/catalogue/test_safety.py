"""The safety tables: faults name file, row and mend; rows cite sources; every text hands over."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.catalogue.safety import load_safety
from workbookgen.catalogue.safety_cautions import HANDS_OVER
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.errors import BadInput
from workbookgen.model.food import Food
from workbookgen.model.safety import FoodSelector, Safety, has_word

TABLES = load_tables()
FILES = (
    "allergens",
    "allergen_kinds",
    "allergen_lists",
    "suitability",
    "cautions",
    "caution_foods",
    "temperatures",
    "keeping",
    "handling",
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the tables and texts, to be spoilt."""
    for name in FILES:
        shutil.copy(data_path(f"{name}.csv"), tmp_path)
    for name in ("cautions.md", "keeping.md"):
        shutil.copy(template_path(name), tmp_path)
    return tmp_path


def load(folder: Path) -> Safety:
    return load_safety(TABLES.sources, TABLES.nutrients, folder, folder)


def spoil(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_shipped_tables_load(folder: Path) -> None:
    assert load(folder) == load_safety(TABLES.sources, TABLES.nutrients)


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        (
            "allergens.csv",
            "milk,milk,milk,list",
            "milk,milk,milk,maybe",
            "allergens.csv row 5: 'us' is 'maybe'",
        ),
        (
            "allergens.csv",
            "fdc_act_201qq,seen,eu_1169_annex2,seen,\negg",
            "nowhere,seen,eu_1169_annex2,seen,\negg",
            "source 'nowhere'",
        ),
        ("allergen_kinds.csv", "fish,cod,", "fish,Cod,", "must be small letters"),
        ("allergen_kinds.csv", "crustacean,crab,", "fowl,crab,", "allergen 'fowl' is not in allergens.csv"),
        ("allergen_kinds.csv", "tree_nut,chestnut", "fish,chestnut", "'fish' stands further up"),
        ("allergen_lists.csv", "eu_nrv,eu", "eu_nrv,french", "'list' is 'french'"),
        ("suitability.csv", "vegan,Vegan,no", "vegan,Vegan,perhaps", "'meat' is 'perhaps'"),
        (
            "suitability.csv",
            "no,no,no,no,no,no,no,no,,,?,common",
            "no,no,no,no,no,no,no,no,,,,common",
            "what nobody knows cannot say yes",
        ),
        (
            "cautions.csv",
            "amount,K,potassium",
            "amount,KK,potassium",
            "nutrient 'KK' is not in nutrients.csv",
        ),
        ("cautions.csv", ">,200,", ">,lots,", "'limit' is 'lots', which is no number"),
        ("cautions.csv", "share,RETOL,retinol,>=,33,3000", "share,RETOL,retinol,>=,33,0", "'per' is 0"),
        (
            "cautions.csv",
            "ingredient,sprouts,,,",
            "ingredient,sprouts,sprouts,,",
            "an ingredient trigger has no name",
        ),
        (
            "cautions.csv",
            "kidney,ask first,amount,P",
            "kidney,take care,amount,P",
            "another answer further up",
        ),
        (
            "cautions.csv",
            "nkf_potassium,seen,nkf_potassium",
            "nkf_potassium,seen,nobody",
            "source 'nobody' is not in sources.csv",
        ),
        ("cautions.md", "## sprouts", "## shoots", "'shoots' has no trigger in cautions.csv"),
        ("cautions.md", "title | Kidney stones", "name | Kidney stones", "'stones' lacks the line title"),
        ("cautions.md", "{reheat_f}", "{reheat_g}", "{reheat_g} is not known"),
        (
            "cautions.md",
            "card | Kidney disease: no star fruit. Ask your own clinician or dietitian.",
            "card | Fine for all.",
            "must say one of",
        ),
        ("cautions.md", "title | Pregnancy\n", "title Pregnancy\n", "an upright bar"),
        ("temperatures.csv", "165,74", "165,", "write both 'fahrenheit' and 'celsius'"),
        ("temperatures.csv", "165,74", "1650,74", "must lie between 0 and 250"),
        ("keeping.csv", "rest,,3,4", "chosen,,3,4", "the last row must be of kind rest"),
        ("keeping.csv", "chosen,,3,4", "chosen,,4,3", "'days_high' is below 'days_low'"),
        ("keeping.md", "reheat | Reheat", "warm | Reheat", "lacks reheat"),
        ("handling.csv", "out_hours,2,", "out_hours,two,", "'value' is 'two'"),
    ],
)
def test_faults_name_file_and_mend(folder: Path, name: str, old: str, new: str, says: str) -> None:
    spoil(folder, name, old, new)
    with pytest.raises(BadInput) as error:
        load(folder)
    assert says in str(error.value)
    assert name.split(".")[0] in str(error.value)


def test_missing_words_are_told(folder: Path) -> None:
    (folder / "cautions.md").unlink()
    with pytest.raises(BadInput, match=r"cautions\.md: cannot be read"):
        load(folder)


def test_every_limit_has_a_source_and_our_own_say_so() -> None:
    safety = load_safety(TABLES.sources, TABLES.nutrients)
    for trigger in safety.triggers:
        assert trigger.source_id in TABLES.sources
        if trigger.of_nutrient:
            assert trigger.limit_source in TABLES.sources
            if trigger.limit_source == "common_practice":
                assert "common practice, no source" in trigger.note, trigger.caution


def test_every_text_hands_over_and_the_card_is_short() -> None:
    for caution in load_safety(TABLES.sources, TABLES.nutrients).cautions:
        for text in filter(None, (caution.sheet, caution.card)):
            assert any(phrase in text.lower() for phrase in HANDS_OVER)
            assert re.fullmatch(r"[^{}]*(\{why\}[^{}]*)*", text)
        assert len(caution.card) <= 140
        assert "free" not in caution.card.lower()


def test_whole_words_only() -> None:
    assert has_word("Nuts, coconut, shredded", "coconut")
    assert not has_word("Coconut water", "nut")
    assert FoodSelector(words=("rye",)).fits(_food("Rye flour, dark"))
    assert not FoodSelector(words=("rye",)).fits(_food("Butterrye"))
    assert not FoodSelector(words=("almond",), but=("oil",)).fits(_food("Almond oil"))


def _food(name: str) -> Food:
    return Food(id="x", name=name, group="", state="raw", role="", values={})
