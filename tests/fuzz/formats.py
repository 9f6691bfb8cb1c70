"""Input formats, each with seeds and a way to feed any bytes to the real reader.

A reader may answer with a result or with ``BadInput``; everything else is a fault: another exception, a hang, a file
written where none belongs.
"""

from __future__ import annotations

import io
import os
import shutil
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.model.errors import BadInput, BadInputs

SAMPLES = Path(__file__).parents[1] / "catalogue" / "samples"
Reader = Callable[[Path], object]


@dataclass(frozen=True)
class Format:
    """A format: the file it arrives in, seeds, reader; ``parts`` names the members of a packed file or folder."""

    name: str
    file: str
    seeds: Callable[[], list[bytes]]
    reader: Callable[[], Reader]
    parts: Callable[[], dict[str, bytes]] | None = None
    packed: bool = False
    longest: int = 4096


def texts(*paths: Path) -> Callable[[], list[bytes]]:
    return lambda: [path.read_bytes() for path in paths]


@cache
def _kitchen() -> object:
    from workbookgen.session import load_kitchen

    return load_kitchen()


def _recipe() -> Reader:
    from workbookgen.recipes.check import resolve_recipe
    from workbookgen.recipes.load import load_recipe

    kitchen = _kitchen()
    return lambda path: resolve_recipe(load_recipe(path), kitchen.table, kitchen.tables)  # type: ignore[attr-defined]


def _beside(name: str) -> Callable[[], Reader]:
    def reader() -> Reader:
        from workbookgen.recipes import folder

        kitchen = _kitchen()
        readers: dict[str, Reader] = {
            "own_foods": lambda p: folder.load_own_foods(p, kitchen), "labels": lambda p: folder.load_labels(p, kitchen),  # type: ignore[arg-type]
            "own_measures": folder.load_own_measures, "prices": folder.load_prices,
            "settings": lambda p: folder.load_settings(p, kitchen.tables),  # type: ignore[attr-defined]
        }  # fmt: skip
        return readers[name]

    return reader


def _draft() -> Reader:
    from workbookgen.exchange.draft import LineDrafter, draft_recipe
    from workbookgen.exchange.sources import read_source
    from workbookgen.recipes.save import save_recipe

    drafter = LineDrafter(_kitchen())  # type: ignore[arg-type]

    def read(path: Path) -> object:
        raw = read_source(path, drafter.words, drafter.matcher.knows, data_path())
        draft = draft_recipe(raw, drafter)
        save_recipe(draft.recipe, path.with_name("out.toml"))
        return draft

    return read


def _choices() -> Reader:
    from workbookgen.exchange.choices import load_choices

    names = {food.name: food for food in _kitchen().table.foods}  # type: ignore[attr-defined]
    return lambda path: load_choices(path, names)


def _foods() -> Reader:
    from workbookgen.catalogue.importers.run import import_foods

    return lambda path: import_foods(path, path.parent / "out")


def _look() -> Reader:
    from workbookgen.workbook.look import load_look

    return load_look


def _workbook() -> Reader:
    from workbookgen.roundtrip.audit import audit
    from workbookgen.roundtrip.record import read_edited

    def read(path: Path) -> object:
        audit(path)
        return read_edited(path)

    return read


@cache
def small_workbook() -> bytes:
    """A workbook with text, numbers, formulas, a list, a link and a protected sheet."""
    import xlsxwriter

    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        sheet = book.add_worksheet("Soup")
        sheet.write_row(0, 0, ["Food", "Grams", True, 0.5])
        sheet.write_formula(1, 1, "=B1*2", None, 2)
        sheet.write_formula(2, 1, "=B2*2", None, 4)
        sheet.write_url(3, 0, "internal:'Other'!A1")
        sheet.data_validation(4, 0, 4, 0, {"validate": "list", "source": ["a", "b"]})
        sheet.protect()
        book.add_worksheet("Other").write(0, 0, "x")
        book.define_name("food_name", "=Soup!$A$1:$A$3")
    return out.getvalue()


def _parts_of(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        return {name: package.read(name) for name in package.namelist()}


def _folder(path: Path) -> Callable[[], dict[str, bytes]]:
    return lambda: {p.name: p.read_bytes() for p in sorted(path.iterdir()) if p.is_file()}


DEMO = data_path("demo")
FORMATS = (
    Format("recipe file", "r.toml", texts(*sorted(DEMO.glob("*-*.toml"))[:3], template_path("recipe.toml")), _recipe, longest=6000),
    Format("own foods", "own_foods.csv", texts(DEMO / "own_foods.csv"), _beside("own_foods")),
    Format("own measures", "own_measures.csv", texts(DEMO / "own_measures.csv"), _beside("own_measures")),
    Format("labels", "labels.csv", texts(DEMO / "labels.csv"), _beside("labels")),
    Format("prices", "prices.csv", texts(DEMO / "prices.csv"), _beside("prices")),
    Format("settings", "settings.toml", texts(DEMO / "settings.toml"), _beside("settings")),
    Format("look file", "look.toml", texts(template_path("workbook.toml")), _look),
    Format("text to draft", "d.txt", lambda: [b"Soup\nServes 4\n1 1/2 cups onions, chopped\n2 (15 oz) cans beans, drained\nSalt to taste\n\nBoil for 10 minutes.\n"],
           _draft, longest=1500),
    Format("web page to draft", "d.html", lambda: [
        b'<html><script type="application/ld+json">{"@type":"Recipe","name":"Soup","recipeIngredient":["1 cup onions","2 tbsp oil"]}</script></html>',
        b'<div itemscope itemtype="https://schema.org/Recipe"><b itemprop="name">Soup</b><i itemprop="recipeIngredient">1 cup kale</i></div>'], _draft, longest=2000),
    Format("JSON to draft", "d.json", lambda: [
        b'{"@graph":[{"@type":["Recipe"],"name":"Soup","recipeYield":"4 servings","recipeIngredient":["1 cup onions"],"totalTime":"PT1H"}]}'], _draft, longest=2000),
    Format("choice file", "choices.txt", lambda: [b"# choices\nred onion = Onions, raw\nkale [raw] = Kale, raw\n"], _choices),
    Format("food table, CSV template", "food_table.csv", texts(template_path("food_table.csv")), _foods),
    Format("food table, FoodData Central", "fdc", lambda: [], _foods, _folder(SAMPLES / "foundation")),
    Format("food table, FoodData Central zipped", "fdc.zip", lambda: [], _foods, _folder(SAMPLES / "sr_legacy"), packed=True),
    Format("food table, SR ASCII", "sr", lambda: [], _foods, _folder(SAMPLES / "sr_ascii")),
    Format("workbook", "w.xlsx", lambda: [small_workbook()], _workbook, longest=9000),
    Format("workbook, XML inside", "x.xlsx", lambda: [], _workbook, lambda: _parts_of(small_workbook()), packed=True, longest=6000),
)  # fmt: skip


def seeds_of(form: Format) -> list[bytes]:
    """Seeds; those of packed formats begin with the number of the member they replace."""
    if form.parts is None:
        return form.seeds()
    return [bytes([i]) + content for i, content in enumerate(form.parts().values())]


def feed(form: Format, reader: Reader, data: bytes, room: Path) -> bool:
    """Give ``data`` to the reader inside the empty folder ``room``; True when it was understood.

    Raises whatever a reader raises that is not ``BadInput``, and AssertionError for a file out of place.
    """
    path = room / form.file
    if form.parts is None:
        path.write_bytes(data)
    else:
        parts = form.parts()
        names = list(parts)
        if data:
            parts[names[data[0] % len(names)]] = data[1:]
        if form.packed:
            with zipfile.ZipFile(path, "w") as package:
                for name, content in parts.items():
                    package.writestr(name, content)
        else:
            path.mkdir()
            for name, content in parts.items():
                (path / name).write_bytes(content)
    before = sorted(os.listdir(room.parent))
    try:
        reader(path)
        understood = True
    except (BadInput, BadInputs) as error:
        understood = False
        said: Sequence[BadInput] = error.errors if isinstance(error, BadInputs) else [error]
        assert all(str(e).strip() for e in said), "a refusal without a word"
    assert sorted(os.listdir(room.parent)) == before, "something was written outside"
    assert set(os.listdir(room)) <= {form.file, "out", "out.toml"}, f"left behind: {os.listdir(room)}"
    for left in room.iterdir():
        shutil.rmtree(left) if left.is_dir() else left.unlink()
    return understood
