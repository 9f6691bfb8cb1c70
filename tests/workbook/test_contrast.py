"""Colours that meet in a book are listed, measured by WCAG 2.2 and strong enough."""

from __future__ import annotations

from typing import Any

import pytest

from tests.dishes import dish, line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.recipe import Target
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.book import Book
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.contrast import contrast, luminance, pairs, too_weak
from workbookgen.workbook.look import load_look
from workbookgen.workbook.styles import Styles

SOURCE = "wcag_22"


class NoWorkbook:
    def add_format(self, properties: dict[str, Any]) -> dict[str, Any]:
        return properties


@pytest.mark.parametrize(("one", "other", "ratio"), [
    ("000000", "FFFFFF", 21.0),  # WCAG 2.2: ratios run from 1 to 21
    ("FFFFFF", "FFFFFF", 1.0),
    ("767676", "FFFFFF", 4.54),  # grey known as the lightest on white for 4.5 : 1 (memory)
    ("777777", "FFFFFF", 4.48),
])  # fmt: skip
def test_contrast_by_the_formula_of_wcag(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == contrast(other, one) == pytest.approx(ratio, abs=0.005)


def test_the_linear_part_of_srgb_joins_the_curve() -> None:
    assert luminance("0A0A0A") == pytest.approx(10 / 255 / 12.92)  # 10 / 255 = 0.0392 lies below 0.04045
    assert luminance("0B0B0B") == pytest.approx(((11 / 255 + 0.055) / 1.055) ** 2.4)
    assert luminance("FF0000") == pytest.approx(0.2126)


def test_the_built_in_palette_is_strong_enough() -> None:
    assert too_weak(load_look()["palette"]) == []


def test_a_pair_just_below_its_limit_is_named() -> None:
    palette = load_look()["palette"] | {"ink": "777777"}
    assert {(p.front, p.back) for p, _ in too_weak(palette)} >= {("ink", "paper")}
    assert ("ink", "paper") not in {(p.front, p.back) for p, _ in too_weak(palette | {"ink": "767676"})}


def test_the_source_is_listed() -> None:
    assert f"\n{SOURCE}," in data_path("sources.csv").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def book(kitchen: Kitchen) -> Book:
    foods = ("Kale, raw", "Salt, table", "Water, tap")
    first = dish(small_kitchen(kitchen, *foods), *(line(f) for f in foods), targets=(Target("FE", ">=", 20.0, "%DV"),), statements=())
    return lay_out(small_kitchen(kitchen, *foods), constant_rows(), [first.recipe], default_settings(), load_look(), Spares(1, 1))[0]


def test_every_text_and_fill_that_meet_in_a_book_are_listed(book: Book) -> None:
    look = load_look()
    names = {"#" + colour: name for name, colour in look["palette"].items()}
    styles = Styles(NoWorkbook(), look["palette"], look["fonts"])
    listed = {(p.front, p.back) for p in pairs()}
    met: dict[tuple[str, str], str] = {}
    for sheet in book.sheets:
        fills: dict[tuple[int, int], str] = {}
        for at, cell in sheet.cells.items():
            looks = styles.properties(cell.style)
            fills[at] = names[looks.get("bg_color", "#FFFFFF")]
            if cell.value != "" or cell.formula:
                met[names[looks["font_color"]], fills[at]] = f"{sheet.name} {at} {cell.style}"
        for first_row, first_col, last_row, last_col, _, style in sheet.conditions:
            looks = styles.properties(style)
            for (row, col), fill in fills.items():
                if first_row <= row <= last_row and first_col <= col <= last_col:
                    fill = names[looks["bg_color"]] if "bg_color" in looks else fill
                    met[names[looks["font_color"]], fill] = f"{sheet.name} {(row, col)} when {style}"
    assert {pair: where for pair, where in met.items() if pair not in listed} == {}
    assert len(met) >= 8
