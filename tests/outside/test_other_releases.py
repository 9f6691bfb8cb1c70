"""The comparison with other releases: it finds what differs, and the kept tables hold together."""

from __future__ import annotations

import csv
import re
import zipfile
from pathlib import Path

import pytest

from tests.outside.other_releases import (
    RESULTS,
    compared,
    differences_by_food,
    read_dates,
    read_sr26,
    shares,
)
from workbookgen.catalogue.foods import load_foods


@pytest.fixture
def release(tmp_path: Path) -> Path:
    """Black beans of Release 26, with protein as in 28 and iron planted 11 % lower."""
    path = tmp_path / "release.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(
            "nutrient.csv", "id,name,unit_name,nutrient_nbr\n1,Protein,G,203\n2,Iron,MG,303\n3,X,G,999\n"
        )
        values = "id,fdc_id,nutrient_id,amount\n1,116014,1,21.6\n2,116014,2,4.5\n3,116014,3,1\n4,199999,1,1\n"
        archive.writestr("food_nutrient.csv", values)
    return path


def test_a_planted_difference_is_found_and_named(release: Path) -> None:
    found = compared(iter(load_foods().foods), read_sr26(release), by_number=True)
    assert [(d.tag, d.near) for d in found] == [("PROCNT", True), ("FE", False)]
    assert list(differences_by_food(found)) == ["| 16014 | Black beans, dry | FE 4.5 -> 5.02 |"]
    assert shares(found) == "1 | 2 | 1 | 50.00%"


def test_dates_of_change_are_read_by_food_and_tag(tmp_path: Path) -> None:
    line = "~16014~^~303~^5.02^28^0.566^~1~^~A~^~~^~~^^^^^^^~~^~~^05/2015^\n"
    (tmp_path / "NUT_DATA.txt").write_text(line.replace("^~~^05", "^05"), encoding="latin-1")
    assert read_dates(tmp_path) == {("16014", "FE"): "05/2015"}


def test_the_kept_table_reaches_97_per_cent_and_names_every_larger_difference() -> None:
    text = (RESULTS / "sr28_against_sr26.md").read_text(encoding="utf-8")
    whole = re.search(r"whole table \| ([\d,]+) \| ([\d,]+) \| ([\d,]+) \| ([\d.]+)%", text)
    assert whole is not None
    assert float(whole[4]) >= 97
    with (RESULTS / "sr28_against_sr26.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == int(whole[3].replace(",", ""))
    assert all(abs(float(r["ours"]) - float(r["release_26"])) > 0.1 * float(r["release_26"]) for r in rows)


def test_the_named_differences_are_figures_of_the_table_as_it_is() -> None:
    ours = {food.source_number: food.values for food in load_foods("usda").foods}
    with (RESULTS / "sr28_against_sr26.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            assert float(f"{ours[row['ndb']][row['tag']]:g}") == float(row["ours"])
