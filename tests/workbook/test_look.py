"""The look file: every fault is one sentence naming file, key and mend; what it brings shows in the book."""

from __future__ import annotations

import struct
import zipfile
import zlib
from dataclasses import replace
from pathlib import Path

import pytest

from tests.dishes import dish, line, small_kitchen
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.book import Book
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look, look_rules
from workbookgen.workbook.own_texts import markdown_sections, plain
from workbookgen.workbook.stored import fill
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.write import write_book

FOODS = ("Kale, raw", "Olive oil", "Water, tap")


def png(width: int = 80, height: int = 40) -> bytes:
    """A grey picture."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    rows = b"".join(b"\0" + b"\x80" * width for _ in range(height))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
            + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))


def style(folder: Path, text: str, **files: bytes) -> Path:
    for name, content in files.items():
        (folder / name.replace("_", ".")).write_bytes(content)
    path = folder / "house.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("text", "words"), [
    ("[programme]\nname = 3", "[programme] name"),
    ("[programme]\nname = ''", "1 to 60 letters"),
    ("[programme]\nname = 'two\\nlines'\nplace = \"a\\nb\"", "place"),
    ("[programme]\ncurrency = 'a long currency'", "0 to 8 letters"),
    ("[programme]\ncolour = 'x'", "no key 'colour'"),
    ("[palett]\nink = '000000'", "no section [palett]"),
    ("[palette]\nink = 'black'", "six hexadecimal digits"),
    ("[palette]\nink = '\u0660\u0661\u0662\u0663\u0664\u0665'", "six hexadecimal digits"),
    ("[palette]\nink = 0", "six hexadecimal digits"),
    ("[palette]\nink = '999999'", "ink = '999999' on paper = 'FFFFFF' (text) has a contrast of 2.84 : 1, less than 4.5 : 1"),
    ("[palette]\nhoney_line = 'DDDDDD'", "less than 3 : 1"),
    ("[paper]\nsize = 'a5'", "choose letter or a4"),
    ("[fonts]\nbody = '../x'", "no name of a font"),
    ("[fonts]\nsize = 40", "6 to 16"),
    ("[fonts]\nsize = true", "6 to 16"),
    ("[fonts]\nsize = 10.5", "6 to 16"),
    ("[sheets]\nleave_out = 'Partners'", "a list of sheet names"),
    ("[sheets]\nleave_out = ['Disclaimer']", "every workbook keeps"),
    ("[logo]\nfile = 'absent.png'", "no file beside the look file"),
    ("[logo]\nfile = '../house.toml'", "outside the folder"),
    ("[logo]\nfile = '/etc/hostname'", "outside the folder"),
    ("[logo]\nfile = 5", "name of a file"),
    ("[logo]\nfile = 'text.png'", "neither PNG nor JPEG"),
    ("[logo]\nfile = 'cut.png'", "damaged"),
    ("[logo]\nfile = 'large.png'", "more than 1,000,000 bytes"),
    ("[logo]\nfile = 'wide.png'", "measures 5000 x 1 pixels"),
    ("[texts]\nintroduction = 'latin.md'", "not UTF-8"),
    ("[texts]\ndisclaimer = 'long.md'", "too long"),
    ("[texts]\ndisclaimer = 'many.md'", "at most 30 fit"),
    ("not toml", "not valid TOML"),
])  # fmt: skip
def test_a_bad_value_is_named_with_file_key_and_mend(tmp_path: Path, text: str, words: str) -> None:
    path = style(tmp_path, text, text_png=b"no picture at all, but long enough to be read as one", cut_png=png()[:30],
                 large_png=png() + b"\0" * 1_000_000, wide_png=png(5000, 1), latin_md=b"caf\xe9", long_md=b"x" * 601, many_md=b"a\n\n" * 31)
    with pytest.raises(BadInput) as told:
        load_look(path)
    sentence = str(told.value)
    assert words in sentence
    assert "house.toml" in sentence
    assert "\n" not in sentence


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "logo.png").write_bytes(png())
    (inside / "logo.png").symlink_to(tmp_path / "logo.png")
    with pytest.raises(BadInput, match="outside the folder"):
        load_look(style(inside, "[logo]\nfile = 'logo.png'"))


def test_missing_keys_fall_back(tmp_path: Path) -> None:
    look, built_in = load_look(style(tmp_path, "[programme]\nname = 'Other kitchen'")), load_look()
    assert look["programme"] == built_in["programme"] | {"name": "Other kitchen"}
    assert {k: v for k, v in look.items() if k != "programme"} == {k: v for k, v in built_in.items() if k != "programme"}


def test_a_logo_fits_its_room(tmp_path: Path) -> None:
    logo = load_look(style(tmp_path, "[logo]\nfile = 'l.png'", l_png=png(80, 40))).logo
    assert logo is not None
    assert logo.fitted((96, 38)) == pytest.approx((0.95, 76, 38))
    assert logo.fitted((40, 38)) == pytest.approx((0.5, 40, 20))


def test_markdown_becomes_headings_and_paragraphs() -> None:
    text = "First\nline.\n\n## Our *rules* ##\n- **one**\n- two\n  goes on\n\nLast [page](https://example.org) with snake_case_word\n"
    assert markdown_sections(text) == [
        ("", ["First line."]),
        ("Our rules", ["\u2022 one", "\u2022 two goes on", "Last page (https://example.org) with snake_case_word"]),
    ]
    assert plain("2 * 3 * 4") == "2 * 3 * 4"
    assert markdown_sections("\n\n") == []


STYLE = """
[programme]
name = "=Kitchen & Co"
[palette]
ink = "000000"
[paper]
size = "a4"
[fonts]
body = "Liberation Sans"
[logo]
file = "logo.png"
[texts]
introduction = "hello.md"
disclaimer = "more.md"
[sheets]
leave_out = ["Partners", "Shopping", "Find"]
"""


@pytest.fixture(scope="module")
def styled(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> tuple[Book, Path]:
    folder = tmp_path_factory.mktemp("house")
    look = load_look(style(folder, STYLE, logo_png=png(), hello_md=b"# Hello\nWelcome.\n", more_md=b"Ask Fern Hollow first.\n"))
    small = small_kitchen(kitchen, *FOODS)
    recipe = replace(dish(small, *(line(f) for f in FOODS)).recipe, title="Pot")
    book, _ = lay_out(small, constant_rows(), [recipe], default_settings(), look, Spares(1, 0))
    assert fill(book) == []
    write_book(book, folder / "book.xlsx", look)
    return book, folder / "book.xlsx"


def texts(book: Book, tab: str) -> list[str]:
    return [str(c.value) for s in book.sheets if s.name == tab for c in s.cells.values()]


def test_sheets_left_out_are_gone_and_nothing_breaks(styled: tuple[Book, Path]) -> None:
    tabs = {s.name for s in styled[0].sheets}
    assert not tabs & {"Partners", "Shopping", "Costs", "Prices", "Buying", "Find"}
    assert {"Start", "Disclaimer", "Adjust", "Checks"} <= tabs
    links = [target for s in styled[0].sheets for target, _ in s.links.values()]
    assert not [t for t in links if t.split("'")[1] not in tabs]


def test_own_texts_are_added_and_the_disclaimer_stays_whole(styled: tuple[Book, Path]) -> None:
    book, _ = styled
    assert {"Hello", "Welcome."} <= set(texts(book, "Start"))
    said = texts(book, "Disclaimer")
    built_in = [text for heading, lines in read_sections("disclaimer.md") for text in (heading, *lines)]
    places = [said.index(text) for text in [*built_in, "Added by =Kitchen & Co", "Ask Fern Hollow first."]]
    assert places == sorted(places)


def test_the_logo_is_in_the_file_once_and_on_start_and_card(styled: tuple[Book, Path]) -> None:
    book, path = styled
    with_logo = [s.name for s in book.sheets if any(image == "logo.png" for _, _, image, _ in s.images)]
    assert with_logo[0] == "Start"
    assert with_logo[1:] == ["Card Pot", "Card Spare 1"]
    with zipfile.ZipFile(path) as package:
        assert [package.read(n) for n in package.namelist() if n.startswith("xl/media/")].count(png()) == 1
        assert b"Liberation Sans" in package.read("xl/styles.xml")
        assert b'paperSize="9"' in package.read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize(("name", "words"), [("Nowhere", "choose from"), ("Pot", "choose from"), ("Card Pot", "choose from"), ("Prices", "reads")])
def test_a_sheet_that_others_read_cannot_be_left_out(kitchen: Kitchen, tmp_path: Path, name: str, words: str) -> None:
    small = small_kitchen(kitchen, *FOODS)
    recipe = replace(dish(small, *(line(f) for f in FOODS)).recipe, title="Pot")
    look = load_look(style(tmp_path, f"[sheets]\nleave_out = ['{name}']"))
    with pytest.raises(BadInput, match=rf"house\.toml: \[sheets\] leave_out.*{words}"):
        lay_out(small, constant_rows(), [recipe], default_settings(), look, Spares(0, 0))


def test_rules_keep_what_the_figures_stand_on() -> None:
    assert {"Disclaimer", "Sources", "Checks", "Foods", "Start"} <= set(look_rules()["sheets"]["keep"])
