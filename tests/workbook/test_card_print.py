"""Cards as LibreOffice prints them: one page on both papers, no text below 8 point, every word there."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest

from tests.dishes import small_kitchen
from tests.workbook.cards import LONG, STEPS, LiveCard, live_card, write
from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import with_variants
from workbookgen.recipes.load import load_recipes
from workbookgen.session import default_settings, load_checked
from workbookgen.verify import verify
from workbookgen.verify.libreoffice_engine import convert, program
from workbookgen.workbook.book import Book, Cell, Sheet
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.card_read import INPUT, SERVINGS, UNITS
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

pytestmark = pytest.mark.libreoffice
PAPERS = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}
SMALLEST = 8.0
#: Height of a word's box in ems, as poppler tells it for Liberation Sans (the stand-in for Arial).
BOX_EMS = 1.286
ROUNDING = 0.02
WORD = re.compile(r'<word xMin="[\d.]+" yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)</word>')


def is_card(name: str) -> bool:
    return name.startswith("Card ") and name != "Card rules"


def only_cards(source: Path, target: Path) -> Path:
    """The same workbook with all sheets but the cards hidden and kept from printing; formulas stay."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            content = old.read(part.filename)
            if part.filename == "xl/workbook.xml":
                content = _hide(content.decode()).encode()
            elif part.filename.startswith("xl/worksheets/sheet"):
                content = content.replace(b' tabSelected="1"', b"")
            new.writestr(part, content)
    return target


def _hide(text: str) -> str:
    names = [html.unescape(name) for name in re.findall(r'<sheet name="([^"]*)"', text)]
    kept = {str(i) for i, name in enumerate(names) if is_card(name)}
    first = min(int(k) for k in kept)
    text = re.sub(r'<sheet (name="([^"]*)")', lambda m: m.group(0) if is_card(html.unescape(m.group(2)))
                  else f'<sheet state="hidden" {m.group(1)}', text)  # fmt: skip
    text = re.sub(r'<definedName name="_xlnm.Print_Area" localSheetId="(\d+)">[^<]*</definedName>',
                  lambda m: m.group(0) if m.group(1) in kept else "", text)  # fmt: skip
    return re.sub(r"<workbookView [^>]*/>", f'<workbookView activeTab="{first}"/>', text)


def pages(pdf: Path) -> tuple[int, float, float]:
    """Number of pages, width and height in points."""
    said = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", said)
    count = re.search(r"Pages:\s+(\d+)", said)
    assert size is not None
    assert count is not None
    return int(count.group(1)), float(size.group(1)), float(size.group(2))


def words_of(pdf: Path, page: int) -> list[tuple[str, float]]:
    """Words of a page with their type sizes in points."""
    said = subprocess.run(
        ["pdftotext", "-bbox-layout", "-f", str(page), "-l", str(page), str(pdf), "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return [(html.unescape(m[3]), (float(m[2]) - float(m[1])) / BOX_EMS) for m in WORD.finditer(said)]


def check_page(pdf: Path, page: int, texts: list[str]) -> None:
    """Every word of ``texts`` stands on the page, none smaller than 8 point."""
    found = words_of(pdf, page)
    small = [(word, round(size, 2)) for word, size in found if size < SMALLEST - ROUNDING]
    assert small == []
    printed = "".join(word for word, _ in found)
    missing = [word for text in texts for word in text.split() if word not in printed]
    assert missing == []


def to_pdf(source: Path) -> Path:
    return convert(program(), source, "en-US", "pdf")


@pytest.fixture(scope="module")
def long_card(kitchen: Kitchen) -> LiveCard:
    return live_card(kitchen, LONG)


def test_eu_card_scaled_and_metric_is_one_page_too(kitchen: Kitchen, tmp_path: Path) -> None:
    found = live_card(kitchen, LONG, "eu_nrv")
    found.type_in(INPUT, SERVINGS, 37)
    found.type_in(INPUT, UNITS, "metric")
    found.work_out()
    write(found, tmp_path / "book.xlsx", "a4")
    (tmp_path / "print").mkdir()
    pdf = to_pdf(only_cards(tmp_path / "book.xlsx", tmp_path / "print" / "cards.xlsx"))
    assert pages(pdf)[0] == 1
    check_page(pdf, 1, found.printed())
    assert found.says() == "All texts fit."


def test_the_long_recipe_is_as_long_as_promised() -> None:
    assert len(LONG.lines) == 18
    assert sum(map(len, STEPS)) >= 1800


@pytest.mark.parametrize("paper", PAPERS)
def test_long_recipe_is_recalculated_and_printed_on_one_page(
    long_card: LiveCard, tmp_path: Path, paper: str
) -> None:
    write(long_card, tmp_path / "book.xlsx", paper)
    (tmp_path / "print").mkdir()
    pdf = to_pdf(only_cards(tmp_path / "book.xlsx", tmp_path / "print" / "cards.xlsx"))
    count, width, height = pages(pdf)
    assert count == 1
    assert (width, height) == pytest.approx(PAPERS[paper], abs=1)
    check_page(pdf, 1, long_card.printed())
    assert long_card.says() == "All texts fit."


def test_libreoffice_computes_the_same_card(long_card: LiveCard, tmp_path: Path) -> None:
    write(long_card, tmp_path / "book.xlsx", "letter")
    (result,) = verify(tmp_path / "book.xlsx", ["libreoffice"]).results
    assert result.failure is None or result.failure == ""
    assert result.compared > len(long_card.card.cells)
    assert [d for d in result.differing if d.sheet in (long_card.card.name, long_card.sheet.name)] == []


@pytest.fixture(scope="module")
def demo_book(kitchen: Kitchen) -> Book:
    """The cards of all demo recipes as plain values, so that one conversion prints them all."""
    small = small_kitchen(kitchen, *{x.food for r in with_variants(load_recipes([data_path("demo")])) for x in r.lines})
    recipes = load_checked(small, [data_path("demo")])
    book, _ = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), Spares(0, 0))
    differing = [d for d in fill(book) if is_card(d.sheet)]
    assert differing == []
    cards = [sheet for sheet in book.sheets if is_card(sheet.name)]
    for sheet in cards:
        for at, cell in sheet.cells.items():
            sheet.cells[at] = Cell(cell.value, cell.style)
        sheet.validations, sheet.links, sheet.conditions = [], {}, []
    book.sheets, book.names = cards, {}
    return book


def page_texts(sheet: Sheet) -> list[str]:
    assert sheet.print_area is not None
    top, left, bottom, right = sheet.print_area
    return [str(c.value) for (row, col), c in sheet.cells.items() if top <= row <= bottom and left <= col <= right]


@pytest.mark.parametrize("paper", PAPERS)
def test_every_demo_card_is_one_page_with_all_its_words(demo_book: Book, tmp_path: Path, paper: str) -> None:
    look = load_look()
    demo_book.paper = paper
    write_book(demo_book, tmp_path / "cards.xlsx", look)
    pdf = to_pdf(tmp_path / "cards.xlsx")
    count, width, height = pages(pdf)
    assert count == len(demo_book.sheets) == 12
    assert (width, height) == pytest.approx(PAPERS[paper], abs=1)
    for number, sheet in enumerate(demo_book.sheets, 1):
        assert sheet.cells[3, 5].value == "All texts fit."
        check_page(pdf, number, page_texts(sheet))


def test_poppler_is_there() -> None:
    """Debian's poppler-utils counts pages and reads words; these tests fail where it is missing."""
    assert shutil.which("pdftotext")
    assert shutil.which("pdfinfo")
