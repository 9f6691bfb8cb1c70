"""Cards as PDF: only the card sheets print, and every failure is one sentence."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
import xlsxwriter

from tests.dishes import line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.exchange.export_pdf import NOTHING, cards_to_pdf, copy_with_only, find_cards
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.session import default_settings, load_kitchen
from workbookgen.verify import libreoffice_engine
from workbookgen.verify.package import open_package, read_layout
from workbookgen.workbook.build import Spares, build_workbook
from workbookgen.workbook.look import load_look

ROWS = 300  # enough for several pages of a sheet that must not print


def a_book(path: Path, titles: tuple[str, ...] = ("Soup", "Stew"), areas: bool = True) -> Path:
    """A workbook shaped like a built one: other sheets before, between and after the cards."""
    book = xlsxwriter.Workbook(path)
    for number, title in enumerate(titles):
        data = book.add_worksheet(f"It's {number}")
        data.write_column(0, 0, [title, *range(ROWS)])
        data.print_area(0, 0, ROWS, 3)
        data.repeat_rows(0)
        card = book.add_worksheet(f"Card {number}")
        name = data.get_name().replace("'", "''")
        shown = f"Card: {title or 'empty recipe'}"
        card.write_formula(0, 0, f'="Card: "&IF(\'{name}\'!A1="","empty recipe",\'{name}\'!A1)', None, shown)
        card.write_column(2, 0, [f"text of {title}", *range(ROWS)])
        if areas:
            card.print_area(2, 0, 5, 3)
    book.add_worksheet("Card rules").write(0, 0, "Card: rules")
    book.close()
    return path


def pages(pdf: Path) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf.read_bytes()))


@pytest.mark.libreoffice
def test_only_the_cards_with_a_recipe_print(tmp_path: Path) -> None:
    book = a_book(tmp_path / "book.xlsx", ("Soup", "", "Stew"))
    assert cards_to_pdf(book, tmp_path / "cards.pdf") == 2
    assert pages(tmp_path / "cards.pdf") == 2
    assert cards_to_pdf(book, tmp_path / "one.pdf", "Stew") == 1
    assert pages(tmp_path / "one.pdf") == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == ["book.xlsx", "cards.pdf", "one.pdf"]


def test_cards_are_known_by_their_first_cell_and_not_by_their_tab(tmp_path: Path) -> None:
    with open_package(a_book(tmp_path / "book.xlsx", ("Salt & pepper <soup>", "", "Card: x"))) as package:
        cards = find_cards(package, read_layout(package))
    assert cards.titles == {"Card 0": "Salt & pepper <soup>", "Card 2": "Card: x"}
    assert cards.waiting == 1


def test_the_cards_of_a_built_workbook_are_found_with_their_print_areas(tmp_path: Path) -> None:
    kitchen = small_kitchen(load_kitchen(), "Kale, raw")
    recipe = Recipe(title="Kale & more", servings=2, lines=(line("Kale, raw"),))
    path = tmp_path / "book.xlsx"
    settings, look = default_settings(), load_look()
    build_workbook(kitchen, constant_rows(), [recipe], settings, look, path, spares=Spares(1, 0))
    with open_package(path) as package:
        layout = read_layout(package)
        cards = find_cards(package, layout)
    assert list(cards.titles.values()) == ["Kale & more"]
    assert cards.waiting == 1
    areas = {name.sheet for name in layout.names if name.name == "_xlnm.Print_Area"}
    assert set(cards.titles) <= areas


def test_in_the_copy_every_other_sheet_prints_an_empty_cell(tmp_path: Path) -> None:
    book = a_book(tmp_path / "book.xlsx")
    copy_with_only(book, tmp_path / "copy.xlsx", ["Card 1"])
    with open_package(tmp_path / "copy.xlsx") as package:
        layout = read_layout(package)
    areas = {n.sheet: n.text for n in layout.names if n.name == "_xlnm.Print_Area"}
    assert set(areas) == {sheet.name for sheet in layout.sheets}
    assert {sheet for sheet, text in areas.items() if not text.endswith(NOTHING)} == {"Card 1"}
    assert areas["It's 0"] == f"'It''s 0'!{NOTHING}"
    assert not [n for n in layout.names if n.name == "_xlnm.Print_Titles"]


def test_without_libreoffice_one_sentence_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = a_book(tmp_path / "book.xlsx")
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(
        BadInput, match=r"not installed here .* install LibreOffice Calc, or open the workbook"
    ) as e:
        cards_to_pdf(book, tmp_path / "cards.pdf")
    assert "\n" not in str(e.value)
    assert not (tmp_path / "cards.pdf").exists()


@pytest.mark.parametrize(
    ("titles", "areas", "sentence"),
    [
        ((), True, "no card with a recipe is found; build a workbook"),
        (("", ""), True, r"no card with a recipe is found \(its cards still wait for a recipe\)"),
        (
            ("Soup",),
            False,
            "book.xlsx, sheet 'Card 0': the card has lost its print area; .* set the print area",
        ),
    ],
)
def test_a_workbook_without_cards_that_can_print_is_refused(
    tmp_path: Path, titles: tuple[str, ...], areas: bool, sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        cards_to_pdf(a_book(tmp_path / "book.xlsx", titles, areas), tmp_path / "cards.pdf")


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x.xlsx").write_text("no", encoding="utf-8")
    with pytest.raises(BadInput, match=r"not an \.xlsx workbook"):
        cards_to_pdf(tmp_path / "x.xlsx", tmp_path / "cards.pdf")


@pytest.mark.skipif(os.name != "posix", reason="the stand-in is a shell script")
@pytest.mark.parametrize(
    ("script", "sentence"),
    [
        ("echo no filter found", "saved no pdf copy: no filter found"),
        ("sleep 30", "did not finish within 0.5 seconds"),
    ],
)
def test_a_failing_or_hanging_libreoffice_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, script: str, sentence: str
) -> None:
    tools = tmp_path / "tools"
    tools.mkdir()
    fake = tools / "soffice"
    fake.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tools}{os.pathsep}{os.environ['PATH']}")
    rules = {"libreoffice": {"programs": ["soffice"], "default_locale": "en-US", "timeout_seconds": 0.5}}
    monkeypatch.setattr(libreoffice_engine, "load_rules", lambda name: rules)
    with pytest.raises(BadInput, match=sentence):
        cards_to_pdf(a_book(tmp_path / "book.xlsx"), tmp_path / "cards.pdf")
    assert not (tmp_path / "cards.pdf").exists()
