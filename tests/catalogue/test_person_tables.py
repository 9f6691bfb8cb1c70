"""The tables behind Person and Day are checked while they are read; every fault names file, row and mend."""

from __future__ import annotations

import itertools
import shutil
from pathlib import Path

import pytest

from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.person_tables import load_person
from workbookgen.catalogue.tables import load_nutrients, load_sources
from workbookgen.model.errors import BadInput

SOURCES = load_sources(data_path())
TAGS = {n.tag for n in load_nutrients(data_path())}
FILES = ("reference_intakes.csv", "day_meals.csv", "day_nutrients.csv", "day_start.csv",
         *(f"person_{name}.csv" for name in ("activity", "equations", "gain", "limits", "pace", "reasons", "shares", "stages", "start",
                                             "states", "uppers")))  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in FILES:
        shutil.copy(data_path(name), tmp_path / name)
    return tmp_path


def test_the_tables_as_shipped_are_whole() -> None:
    tables = load_person(SOURCES, TAGS)
    assert len(tables.stages) == 22
    assert all((stage.id, tag) in tables.intakes for stage in tables.stages for tag in ("FE", "CA", "VITC", "PROCNT", "K"))
    assert {n.tag for n in tables.nutrients} >= {tag for _, tag in tables.intakes}
    assert set(tables.uppers) == {tag for (_, tag), row in tables.intakes.items() if row.upper is not None}


def test_stages_leave_no_age_out_and_none_twice() -> None:
    tables = load_person(SOURCES, TAGS)
    for sex in ("female", "male"):
        spans = sorted((s.age_from, s.age_below) for s in tables.stages if s.group == "none" and s.sex in ("any", sex))
        assert spans[0][0] == 0
        assert spans[-1][1] > tables.limit("age_max")
        assert all(a[1] == b[0] for a, b in itertools.pairwise(spans))


@pytest.mark.parametrize(
    ("file", "old", "new", "words"),
    [
        ("reference_intakes.csv", "infant_0,PROCNT", "infant_9,PROCNT", "infant_9"),
        ("reference_intakes.csv", "infant_0,PROCNT,AI,9.1", "infant_0,PROCNT,AI,x", "no number"),
        ("reference_intakes.csv", "infant_0,PROCNT,AI,9.1,,", "infant_0,PROCNT,AI,9.1,5,", "go together"),
        ("reference_intakes.csv", "infant_0,PROCNT", "infant_0,PROTEINS", "no tag"),
        ("person_limits.csv", "bmi_low,", "bmi_lowest,", "bmi_low"),
        ("person_equations.csv", "mifflin|female", "mifflin|women", "mifflin|female"),
        ("person_reasons.csv", "kidney,all", "kidneys,all", "in this order"),
        ("person_pace.csv", "27,35", "35,27", "not above"),
        ("person_stages.csv", "dri_tables", "dri_table", "sources.csv"),
        ("person_activity.csv", "common_practice,health", "practice,health", "sources.csv"),
        ("person_start.csv", "sex,female", "sex,woman", "woman"),
        ("day_meals.csv", "evening,Evening meal\n", "", "5 meals"),
        ("day_start.csv", "breakfast,", "brunch,", "brunch"),
    ],
)
def test_a_fault_names_file_and_mend(folder: Path, file: str, old: str, new: str, words: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(BadInput, match=file.removesuffix(".csv")) as fault:
        load_person(SOURCES, TAGS, folder)
    assert words in str(fault.value)
