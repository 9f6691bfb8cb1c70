"""What is refused, in one sentence each with the row; nothing half-written; good rows kept when asked."""

from __future__ import annotations

import contextlib
import io
import struct
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.catalogue.importers.conftest import SAMPLES, Import, zipped
from workbookgen.catalogue.importers.files import open_files
from workbookgen.catalogue.importers.rules import load_import_rules
from workbookgen.catalogue.importers.run import import_foods
from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.model.errors import BadInput, BadInputs

LIMITS = load_import_rules(data_path()).limits
Spoiled = Callable[[str, str, str, str], Path]

ROWS = [
    ("food_nutrient.csv", '"8","916014","1003","21.6"', '"8","916014","1003","-21.6"', "row 9", "below 0"),
    ("food_nutrient.csv", '"1003","21.6"', '"1003","216"', "row 9", "slip of the decimal"),
    ("food_nutrient.csv", '"1003","21.6"', '"1003","21,6"', "row 9", "decimal point"),
    ("food_nutrient.csv", '"1003","21.6"', '"1003","tr"', "row 9", "leave unknowns blank"),
    ("food_nutrient.csv", '"1003","21.6"', '"1003","nan"', "row 9", "leave unknowns blank"),
    ("food_nutrient.csv", '"9","916014","1004"', '"9","916014","1003"', "row 10", "twice"),
    ("food_nutrient.csv", '"9","916014",', '"9",', "row 10", "cells"),
    ("food.csv", '"911091","sr_legacy', '"911090","sr_legacy', "row 5", "used twice"),
    ("food.csv", '"911091","sr_legacy', '"x1","sr_legacy', "row 5", "whole number"),
    ("nutrient.csv", '"Protein","G"', '"Protein","LB"', "row 2", '"LB"'),
    ("nutrient.csv", '"Protein","G"', '"Protein","KCAL"', "row 2", "does not convert to g"),
    ("food_portion.csv", '"cup","194.0"', '"cup","0"', "row 5", "more than 0 g"),
    ("food_portion.csv", '"4","916014","1","1.0","9999"', '"4","916014","1","1.0","77"', "row 5", "unit 77"),
]


@pytest.mark.parametrize(("file", "old", "new", "row", "words"), ROWS, ids=[f"{r[0]} {r[4]}" for r in ROWS])
def test_a_bad_row_stops_the_import_and_is_named(
    spoiled: Spoiled, tmp_path: Path, file: str, old: str, new: str, row: str, words: str
) -> None:
    folder = spoiled("sr_legacy", file, old, new)
    with pytest.raises(BadInputs) as caught:
        import_foods(folder, tmp_path / "out")
    sentences = str(caught.value).splitlines()
    assert any(file in line and row in line and words in line for line in sentences), sentences
    assert "--keep-good" in sentences[-1]
    assert not (tmp_path / "out").exists()
    assert not list(tmp_path.glob(".workbookgen-*"))


@pytest.mark.parametrize(("file", "old", "new", "row", "words"), ROWS, ids=[f"{r[0]} {r[4]}" for r in ROWS])
def test_good_rows_are_kept_when_asked_and_bad_ones_named(
    spoiled: Spoiled, imported: Import, file: str, old: str, new: str, row: str, words: str
) -> None:
    made = imported(spoiled("sr_legacy", file, old, new), keep_good=True)
    assert len(made.table.foods) >= 3
    assert "left out because faulty" in made.report
    assert words in made.report
    beans = made.by_number["16014"]
    assert beans.values["ENERC_KCAL"] == 341
    assert beans.values.get("PROCNT", 21.6) == 21.6


def test_a_bad_value_leaves_the_value_unknown_not_zero(spoiled: Spoiled, imported: Import) -> None:
    made = imported(spoiled("sr_legacy", "food_nutrient.csv", '"1003","21.6"', '"1003","-3"'), keep_good=True)
    assert "PROCNT" not in made.by_number["16014"].values


@pytest.mark.parametrize("file", ["food.csv", "nutrient.csv", "food_nutrient.csv"])
def test_a_missing_file_is_named(spoiled: Spoiled, tmp_path: Path, file: str) -> None:
    folder = spoiled("sr_legacy", "food.csv", "Butter", "Butter")
    (folder / file).unlink()
    with pytest.raises(BadInput, match=file):
        import_foods(folder, tmp_path / "out")


def test_a_missing_column_is_named(spoiled: Spoiled, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"nutrient\.csv: lacks the column unit_name"):
        import_foods(spoiled("sr_legacy", "nutrient.csv", "unit_name", "unit"), tmp_path / "out")


def test_semicolons_and_other_encodings_are_told_apart(tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    good = template_path("food_table.csv").read_text(encoding="utf-8")
    cases = {
        good.encode("utf-16"): "UTF-16",
        good.replace("Marsh kale, raw", "Gr\u00fcnkohl, roh").encode("latin-1"): "not UTF-8",
        good.replace(",", ";").encode(): "semicolons",
        good.replace("# table: example2026\n", "").encode(): "# table:",
        good.replace("# table: example2026", "# table: My Table").encode(): "lower-case",
        good.replace("\nA2,", "\nA1,").encode(): "code A1 is used twice",
        good.replace("WATER", "Water content").encode(): "neither one of the template nor a tagname",
        good.replace("WATER", "WATER (lb)").encode(): "does not convert",
        good.replace("leaf = 12", "leaf").encode(): "unit = grams",
        good.replace(",greens,A2", ",cabbages,A2").encode(): "keep_group",
        good.replace(',28,"stems"', ",128,stems").encode(): "refuse_pct",
        b"": "header",
    }
    for content, words in cases.items():
        assert content != good.encode(), words
        table.write_bytes(content)
        with pytest.raises(BadInput, match=words):
            import_foods(table, tmp_path / "out")
        assert not (tmp_path / "out").exists()


def test_a_spreadsheets_way_of_saving_the_template_is_read(imported: Import, tmp_path: Path) -> None:
    """Remarks filled up with commas and put into quotes, a byte-order mark, CR LF."""
    lines = template_path("food_table.csv").read_text(encoding="utf-8").splitlines()
    width = lines[-1].count(",")
    saved = [f'"{line}"' + "," * width if line.startswith("#") and "," in line else line for line in lines]
    saved = [line + "," * width if line.startswith("#") else line for line in saved]
    table = tmp_path / "saved.csv"
    table.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(saved).encode())
    assert len(imported(table).table.foods) == 2


# --- archives ---------------------------------------------------------------------------------------


def test_a_zip_that_is_none(tmp_path: Path) -> None:
    file = tmp_path / "download.zip"
    file.write_bytes(b"<html>not found</html>")
    with pytest.raises(BadInput, match="neither a folder, a CSV file nor a zip file"):
        import_foods(file, tmp_path / "out")


def test_a_truncated_zip(tmp_path: Path) -> None:
    file = zipped(SAMPLES / "sr_legacy", tmp_path / "download.zip")
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    with pytest.raises(BadInput, match="zip"):
        import_foods(file, tmp_path / "out")


def test_a_damaged_member(tmp_path: Path) -> None:
    file = zipped(SAMPLES / "sr_legacy", tmp_path / "download.zip")
    content = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as archive:
        info = archive.getinfo("food_nutrient.csv")
    at = info.header_offset + 30 + len(info.filename) + info.compress_size // 2
    content[at : at + 4] = b"\xff\x00\xff\x00"
    file.write_bytes(content)
    with pytest.raises(BadInput, match=r"food_nutrient\.csv"):
        import_foods(file, tmp_path / "out")


def test_a_bomb_by_ratio(tmp_path: Path) -> None:
    file = tmp_path / "bomb.zip"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("food.csv", b"0" * (8 << 20))
    with pytest.raises(BadInput, match="times its size"):
        import_foods(file, tmp_path / "out")


def test_a_bomb_by_size_or_number_of_files(tmp_path: Path) -> None:
    file = zipped(SAMPLES / "sr_legacy", tmp_path / "download.zip")
    with pytest.raises(BadInput, match="unpacks to"):
        open_files(file, replace(LIMITS, most_bytes=1000))
    with pytest.raises(BadInput, match="at most 3"):
        open_files(file, replace(LIMITS, most_members=3))


def test_a_bomb_that_lies_about_its_size_gives_no_more_than_it_declares(tmp_path: Path) -> None:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("food.csv", b"a,b\n" * 500_000)
        size = archive.getinfo("food.csv").file_size
    lie = raw.getvalue().replace(struct.pack("<L", size), struct.pack("<L", 1000))
    file = tmp_path / "bomb.zip"
    file.write_bytes(lie)
    with pytest.raises(BadInput), open_files(file, LIMITS) as files:
        assert sum(len(line) for line in files.lines("food.csv")) <= 1000


def test_the_same_file_twice_in_a_zip(tmp_path: Path) -> None:
    file = tmp_path / "two.zip"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a/food.csv", "x")
        archive.writestr("b/food.csv", "x")
    with pytest.raises(BadInput, match=r"food\.csv twice"):
        import_foods(file, tmp_path / "out")


def test_no_path_at_all(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        import_foods(tmp_path / "nothing", tmp_path / "out")


def test_a_folder_without_a_table(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("hello", encoding="utf-8")
    with pytest.raises(BadInput, match="no known food table"):
        import_foods(tmp_path, tmp_path / "out")


# --- selections, rules, targets -----------------------------------------------------------------------


def test_a_selected_number_that_is_not_there(tmp_path: Path) -> None:
    chosen = tmp_path / "mine.txt"
    chosen.write_text("16014\n12345\n", encoding="utf-8")
    with pytest.raises(BadInput, match="no food 12345"):
        import_foods(SAMPLES / "sr_legacy", tmp_path / "out", select=chosen)


def test_an_empty_selection(tmp_path: Path) -> None:
    chosen = tmp_path / "mine.txt"
    chosen.write_text("# nothing yet\n", encoding="utf-8")
    with pytest.raises(BadInput, match="lists no food"):
        import_foods(SAMPLES / "sr_legacy", tmp_path / "out", select=chosen)


def test_an_own_rule_with_a_word_that_is_not_allowed(tmp_path: Path) -> None:
    rules = tmp_path / "rules.csv"
    rules.write_text(
        "field,source_groups,own_groups,words,but,value,why\ngroup,,,fernbroccoli,,Cabbages,\n",
        encoding="utf-8",
    )
    with pytest.raises(BadInput, match='group "Cabbages"'):
        import_foods(SAMPLES / "sr_legacy", tmp_path / "out", own_rules=rules)


def test_a_target_in_a_folder_that_does_not_exist(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="does not exist"):
        import_foods(SAMPLES / "sr_legacy", tmp_path / "no" / "out")


def test_an_earlier_import_survives_a_failed_one(spoiled: Spoiled, tmp_path: Path) -> None:
    import_foods(SAMPLES / "sr_legacy", tmp_path / "out")
    before = {file.name: file.read_bytes() for file in (tmp_path / "out").iterdir()}
    folder = spoiled("sr_legacy", "food_nutrient.csv", '"1003","21.6"', '"1003","-3"')
    with pytest.raises(BadInputs):
        import_foods(folder, tmp_path / "out")
    assert {file.name: file.read_bytes() for file in (tmp_path / "out").iterdir()} == before


SR_LINES = [
    ("NUT_DATA.txt", "~203~^3.15^", "~203~^-3.15^", "non-negative"),
    ("NUT_DATA.txt", "~203~^3.15^", "~203~^315^", "slip of the decimal"),
    ("NUT_DATA.txt", "~99002~^~203~", "~99009~^~203~", "not in FOOD_DES"),
    ("NUT_DATA.txt", "^5.42^11^", "^5.42^", "fields"),
    ("FOOD_DES.txt", "~99002~^~1100~", "~99001~^~1100~", "used twice"),
    ("NUTR_DEF.txt", "~303~^~mg~", "~303~^~oz~", '"oz"'),
    ("WEIGHT.txt", "^244^", "^x^", "non-negative"),
    ("WEIGHT.txt", "^1^1^~cup~^244", "^1^0^~cup~^244", "both must be above 0"),
]


@pytest.mark.parametrize(("file", "old", "new", "words"), SR_LINES, ids=[f"{r[0]} {r[3]}" for r in SR_LINES])
def test_bad_lines_of_sr_ascii(
    spoiled: Spoiled, tmp_path: Path, file: str, old: str, new: str, words: str
) -> None:
    folder = spoiled("sr_ascii", file, old, new)
    with pytest.raises(BadInput, match=words):
        import_foods(folder, tmp_path / "out")
    if file != "FOOD_DES.txt":
        assert words in import_foods(folder, tmp_path / "out", keep_good=True)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_whatever_is_cut_or_changed_ends_in_a_sentence_or_a_table(
    tmp_path: Path, data: st.DataObject
) -> None:
    """A file of a download with a random piece replaced: never another error than BadInput."""
    files = sorted((SAMPLES / "foundation").iterdir())
    chosen = data.draw(st.sampled_from(files))
    content = chosen.read_bytes()
    at = data.draw(st.integers(0, len(content)))
    cut = data.draw(st.integers(0, 40))
    piece = data.draw(st.binary(max_size=8) | st.sampled_from([b'"', b",", b"\n", b"-1", b"1e99", b"\x00"]))
    archive = tmp_path / "download.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        for file in files:
            changed = content[:at] + piece + content[at + cut :]
            packed.writestr(file.name, changed if file == chosen else file.read_bytes())
    for keep_good in (False, True):
        with contextlib.suppress(BadInput):
            assert import_foods(archive, tmp_path / "out", keep_good=keep_good)
