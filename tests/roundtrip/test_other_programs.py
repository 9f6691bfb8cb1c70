"""Workbooks that other programs saved, tabs that were renamed, sheets that were copied."""

from __future__ import annotations

import shutil
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from tests.generate import random_recipe
from tests.roundtrip.conftest import Edit, Small, build_small
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.check import resolve_recipes
from workbookgen.roundtrip.extract import extract
from workbookgen.roundtrip.foods_map import foods_of, map_foods
from workbookgen.roundtrip.refresh import rebuild
from workbookgen.verify import libreoffice_engine, verify

POT = "Bean pot"


def test_a_renamed_tab_is_still_its_recipe(small_book: Small, tmp_path: Path) -> None:
    path = tmp_path / "renamed.xlsx"
    with zipfile.ZipFile(small_book.path) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name.endswith((".xml", ".rels")):
                data = data.replace(b"'Bean pot'!", b"'Pot of beans'!").replace(b'name="Bean pot"', b'name="Pot of beans"')
            new.writestr(name, data)
    found = extract(path, small_book.kitchen)
    assert found.edited.record.tabs[POT].now == "Pot of beans"
    assert found.changes == []
    assert [c for c in found.locked if "row" not in c.cell] == []  # links name tabs in words, formulas were followed
    assert replace(found.recipes["a-pot.toml"], path="") == replace(small_book.recipes[0], path="")


@pytest.mark.long
def test_openpyxl_keeps_what_extract_reads_and_a_copied_sheet_is_a_recipe(small_book: Small, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(small_book.path)
    copy = book.copy_worksheet(book[POT])
    copy.title = "Bean pot (2)"
    book["Bean pot (2)"]["D13"].value = 0.25
    own = book.create_sheet("My notes")
    own["A1"] = "=not a formula, a thought"
    own["A1"].data_type = "s"
    book.save(tmp_path / "saved.xlsx")
    found = extract(tmp_path / "saved.xlsx", small_book.kitchen)
    assert (found.changes, found.locked) == ([], [])
    assert [replace(r, path="") for r in list(found.recipes.values())[:2]] == [replace(r, path="") for r in small_book.recipes]
    copied = list(found.recipes.values())[2]
    assert copied.title == "Bean pot (2)"
    assert [line.amount for line in copied.lines] == [3.0, 0.25, 1 / 3, 150.0]
    assert [(x.sheet, x.value) for x in found.left] == [("My notes", "=not a formula, a thought")]


@pytest.mark.long
@pytest.mark.libreoffice
def test_libreoffice_keeps_what_extract_reads(small_book: Small, edited: Edit, tmp_path: Path) -> None:
    source = tmp_path / "lo" / "book.xlsx"
    source.parent.mkdir()
    shutil.copy(edited({(POT, "line.amount 2"): 0.75, (POT, "method 2"): "=never a formula", ("Find", "B5"): "kale"}), source)
    saved = libreoffice_engine.convert(libreoffice_engine.program(), source, "en-US")
    found = extract(saved, small_book.kitchen)
    assert found.locked == []
    assert {(c.sheet, c.field, c.new) for c in found.changes} == {
        (POT, "line.amount", 0.75), (POT, "method", "=never a formula"), ("Find", "", "kale")}  # fmt: skip
    assert found.recipes["a-pot.toml"].lines[2] == small_book.recipes[0].lines[2]


@pytest.mark.long
@pytest.mark.parametrize("first", [0, 5])
def test_generated_recipes_come_back_the_same_and_refresh_to_the_same_bytes(kitchen: Kitchen, first: int, tmp_path: Path) -> None:
    drawn = [random_recipe(kitchen, seed) for seed in range(first, first + 5)]
    recipes = resolve_recipes(drawn, kitchen.table, kitchen.tables)
    path, out = tmp_path / "book.xlsx", tmp_path / "again.xlsx"
    build_small(kitchen, recipes, path)
    found = extract(path, kitchen)
    assert (found.changes, found.locked, found.left, found.said) == ([], [], [], [])
    assert list(found.recipes.values()) == recipes
    assert rebuild(found, kitchen, map_foods(foods_of(found.edited.book), kitchen), out, None) == []
    assert verify(out, ["formualizer"]).ok
