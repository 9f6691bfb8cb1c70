"""Text from outside stays text: in every field of every input, in the workbook and in what is exported."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from tests.dishes import small_kitchen
from tests.fuzz.formats import FORMATS, Format, feed
from workbookgen.catalogue.constants import constant_rows
from workbookgen.cli import main
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.load import load_recipe
from workbookgen.roundtrip.write_folder import safe_name
from workbookgen.session import load_checked, open_folders
from workbookgen.workbook.book import Book, a1
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
MARK = "EVIL"
FOODS = ("Kale, raw", "Olive oil", "Water, tap")
#: What spreadsheets take for a formula, a link to other data or a command when a cell or a CSV field begins so
#: (OWASP, CSV Injection; from memory).
STARTS = ("=HYPERLINK(EVIL)", "+cmd|' /C EVIL'!A0", "@SUM(EVIL)", "-1+1 EVIL", "=1+EVIL", "{=EVIL}", "http://EVIL.example/", "''=EVIL",
          "&LEVIL&\"x\"", "<f>EVIL</f>", "internal:'EVIL'!A1", "＝EVIL", "_x000D_=EVIL")

RECIPE = """
title = {0}
servings = 2
serving = {1}
version = {2}
racc = {3}
racc_g = 100
may_contain = {4}
method = [{0}, {1}, {2}]
storage = [{3}, {5}]
targets = ["FE >= 1 mg"]

[settings]
keeps_like = {7}
mood = {8}

[review]
reviewer = {9}
comment = {10}

[[note]]
text = {0}
source = "cfr_101_9"

[[ingredient]]
food = "Kale, raw"
amount = "100 g"
note = {2}
section = {3}

[[ingredient]]
food = {food}
amount = "10 g"
note = {11}

[[ingredient]]
food = "Kale, raw"
amount = 1
unit = {unit}

[[variant]]
name = {5}
[[variant.change]]
do = "change amount"
food = "Kale, raw"
amount = "90 g"
"""


def toml(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def cells(*values: str) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(values)
    return out.getvalue()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A recipe folder with a harmful start in every text it can hold."""
    room = tmp_path_factory.mktemp("harm")
    food, unit = "=EVIL greens", "@EVIL bunch"
    (room / "own_foods.csv").write_text(
        cells("name", "group", "state", "role", "cooks_like", "source", "ENERC_KCAL", "FE")
        + cells(food, "Vegetables", "raw", "vegetable", "none", STARTS[1], "20", "1"), encoding="utf-8")
    (room / "own_measures.csv").write_text(cells("food", "unit", "grams") + cells("Kale, raw", unit, "50"), encoding="utf-8")
    (room / "labels.csv").write_text(
        cells("name", "serving_amount", "serving_unit", "serving_g", "words", "ENERC_KCAL")
        + cells("+EVIL crackers", "5", "@EVIL piece", "30", "", "130"), encoding="utf-8")
    (room / "prices.csv").write_text(
        cells("food", "price", "amount", "unit", "note") + cells("Kale, raw", "1", "100", "g", STARTS[1]), encoding="utf-8")
    text = RECIPE.format(*map(toml, STARTS), food=toml(food), unit=toml(unit))
    for key in ("keeps_like", "racc_g", "racc"):  # answered by a list or by rules: tried without when refused
        try:
            load_recipe_text(room, text)
        except BadInput:
            text = re.sub(rf"(?m)^{key} = .*\n", "", text)
    load_recipe_text(room, text)
    (room / "look").mkdir()
    (room / "look" / "look.toml").write_text(
        f"[programme]\nname = {toml(STARTS[0])}\nplace = {toml(STARTS[2])}\nnote = {toml(STARTS[3])}\ncurrency = \"=EVIL\"\n", encoding="utf-8")
    return room


def load_recipe_text(room: Path, text: str) -> None:
    (room / "pot.toml").write_text(text, encoding="utf-8")
    load_recipe(room / "pot.toml")


@pytest.fixture(scope="module")
def built(kitchen: Kitchen, folder: Path) -> tuple[Book, Path]:
    joined, settings = open_folders(small_kitchen(kitchen, *FOODS), [folder])
    recipes = load_checked(joined, [folder])
    assert {STARTS[0], f"{STARTS[0]}: {STARTS[5]}"} <= {r.title for r in recipes} | {f"{STARTS[0]}: {v.name}" for r in recipes for v in r.variants}
    look = load_look(folder / "look" / "look.toml")
    book, _ = lay_out(joined, constant_rows(), recipes, settings, look, Spares(0, 0))
    assert fill(book) == []
    write_book(book, folder / "harm.xlsx", look)
    return book, folder / "harm.xlsx"


def sheet_parts(path: Path) -> Iterator[tuple[str, bytes]]:
    """Sheets of a workbook in tab order."""
    with zipfile.ZipFile(path) as package:
        tabs = [s.get("name", "") for s in ElementTree.fromstring(package.read("xl/workbook.xml")).iter(f"{MAIN}sheet")]
        for number, tab in enumerate(tabs, 1):
            yield tab, package.read(f"xl/worksheets/sheet{number}.xml")


def test_harm_from_every_field_is_in_the_book(built: tuple[Book, Path]) -> None:
    """The test below means something: the texts did arrive."""
    held = {str(c.value) for s in built[0].sheets for c in s.cells.values()}
    for text in (*STARTS[:4], "=EVIL greens", "@EVIL bunch", "+EVIL crackers", STARTS[11]):
        assert any(text in value for value in held), text


def test_every_formula_in_the_file_is_one_the_program_put_there(built: tuple[Book, Path]) -> None:
    book, path = built
    for sheet, (tab, xml) in zip(book.sheets, sheet_parts(path), strict=True):
        assert sheet.name == tab
        found = {c.get("r"): c.find(f"{MAIN}f") for c in ElementTree.fromstring(xml).iter(f"{MAIN}c") if c.find(f"{MAIN}f") is not None}
        meant = {a1(*at): cell.formula[1:] for at, cell in sheet.cells.items() if cell.formula}
        assert {at: f.text for at, f in found.items() if f is not None} == meant, tab


def test_no_formula_holds_text_from_outside_but_between_quotes(built: tuple[Book, Path]) -> None:
    for sheet in built[0].sheets:
        for cell in sheet.cells.values():
            if MARK in cell.formula:
                assert MARK not in re.sub(r'"(?:[^"]|"")*"|\'(?:[^\']|\'\')*\'!', "", cell.formula), cell.formula


def test_nothing_in_the_file_leads_out_of_it(built: tuple[Book, Path]) -> None:
    with zipfile.ZipFile(built[1]) as package:
        for name in package.namelist():
            assert "externalLink" not in name
            assert not name.lower().endswith((".bin", ".vml"))
            content = package.read(name)
            assert b'TargetMode="External"' not in content, name
            assert b"ddeLink" not in content, name
            for source in re.findall(rb"<formula1>(.*?)</formula1>|<definedName [^>]*>(.*?)</definedName>", content):
                assert MARK.encode() not in re.sub(rb"'(?:[^']|'')*'!|\"[^\"]*\"", b"", b"".join(source)), name


def test_exported_tables_begin_no_cell_like_a_formula(folder: Path, built: tuple[Book, Path]) -> None:
    result = CliRunner().invoke(main, ["export", str(folder / "pot.toml"), "--format", "csv"])
    assert result.exit_code == 0, result.output
    assert MARK in result.output
    for row in csv.reader(io.StringIO(result.output)):
        for cell in row:
            if not re.fullmatch(r"-?[\d.]+(e-?\d+)?", cell):
                assert cell.lstrip()[:1] not in ("=", "+", "-", "@", "\t", "\r", "＝"), cell


#: Ways in which the bytes of any text file arrive spoilt.
SPOILT = {
    "UTF-16 with mark": lambda t: t.decode("utf-8", "replace").encode("utf-16"),
    "UTF-16 without mark": lambda t: t.decode("utf-8", "replace").encode("utf-16-le"),
    "byte order mark": lambda t: b"\xef\xbb\xbf" + t,
    "two byte order marks": lambda t: b"\xef\xbb\xbf\xef\xbb\xbf" + t,
    "cp1252": lambda t: t.replace(b"o", b"\xe9\x93"),
    "old line ends": lambda t: t.replace(b"\n", b"\r"),
    "Windows line ends": lambda t: t.replace(b"\n", b"\r\n"),
    "control characters": lambda t: t.replace(b"a", b"a\x00\x1b\x08"),
    "escape sequences": lambda t: t.replace(b"a", b"\x1b]0;x\x07"),
    "right to left": lambda t: t.replace(b"a", "\u202e\u2066a\u200f".encode()),
    "decimal commas": lambda t: re.sub(rb"(\d)\.(\d)", rb"\1,\2", t),
    "no numbers": lambda t: re.sub(rb"\d+(\.\d+)?", b"nan", t),
    "infinite": lambda t: re.sub(rb"\d+(\.\d+)?", b"inf", t),
    "1e999": lambda t: re.sub(rb"\d+(\.\d+)?", b"1e999", t),
    "huge digits": lambda t: re.sub(rb"\d+", b"9" * 5000, t, count=3),
    "formula starts": lambda t: re.sub(rb"(?m)([\",>])(\w)", rb"\1=\2", t),
    "deep lists": lambda t: t + b"\nx = " + b"[" * 100_000,
    "deep objects": lambda t: b'{"a":' * 50_000 + t,
    "deep tags": lambda t: b"<div>" * 50_000 + t,
    "a name of 10 MB": lambda t: re.sub(rb"[a-z]{4,}", b"x" * 10_000_000, t, count=1),
    "one line of 10 MB": lambda t: t.replace(b"\n", b" ") + b"y," * 5_000_000,
    "a lone surrogate": lambda t: t.replace(b"e", b"\xed\xa0\x80", 3),
    "nothing": lambda t: b"",
}


@pytest.mark.parametrize("form", [f for f in FORMATS if not f.packed], ids=lambda f: f.name)
def test_spoilt_files_are_understood_or_refused_in_a_sentence(form: Format, tmp_path: Path) -> None:
    reader, room = form.reader(), tmp_path / "room"
    room.mkdir()
    seeds = form.seeds() if form.parts is None else [bytes([i]) + content for i, content in enumerate(form.parts().values())]
    for seed in seeds[:2]:
        head, body = (b"", seed) if form.parts is None else (seed[:1], seed[1:])
        for spoil in SPOILT.values():
            feed(form, reader, head + spoil(body), room)


@pytest.mark.parametrize("target", ["/etc/hostname", "loop.toml", "/dev/zero", "/proc/self/environ", "."])
def test_links_to_other_places_are_read_as_no_recipe_and_tell_nothing(target: str, tmp_path: Path) -> None:
    secret = Path(target).read_text(encoding="utf-8", errors="replace").strip()[:40] if target == "/etc/hostname" else "PATH="
    (tmp_path / "loop.toml").symlink_to(target)
    result = CliRunner().invoke(main, ["analyse", str(tmp_path / "loop.toml")])
    assert result.exit_code == 2, result.output
    assert secret not in result.output
    assert "Traceback" not in result.output


@pytest.mark.parametrize(("told", "safe"), [
    ("../../x.toml", "x.toml"), ("/etc/x", "x.toml"), ("..\\..\\x.toml", "x.toml"), ("NUL.toml", "recipe-NUL.toml"), ("com1", "recipe-com1.toml"),
    ("con.a.toml", "recipe-con.a.toml"), ("..", "recipe.toml"), ("", "recipe.toml"), (".toml", "recipe.toml"), (".hidden.toml", "hidden.toml"),
    ("x" * 300, "x" * 120 + ".toml"), ("é" * 300, "é" * 60 + ".toml"), ("a\u202eb\n.toml", "ab.toml"), ("settings.toml", "settings-2.toml"),
    ("SETTINGS.toml", "SETTINGS-2.toml"), ("a:b?.toml", "ab.toml"),
])  # fmt: skip
def test_file_names_of_a_workbook_lead_nowhere_else(told: str, safe: str) -> None:
    assert safe_name(told, {"settings.toml"}) == safe


def test_two_recipes_never_share_a_file() -> None:
    taken: set[str] = set()
    assert [safe_name(name, taken) for name in ("a/pot.toml", "b/Pot.toml", "pot")] == ["pot.toml", "Pot-2.toml", "pot-3.toml"]
