"""Recipes and workbooks in other formats: schema.org JSON-LD, CSV, Markdown, PDF."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from workbookgen.api import Cookbook, analyse, build, load
from workbookgen.model.errors import BadInput
from workbookgen.model.place import check_place, put_bytes
from workbookgen.model.recipe import Recipe

JSON_LD, CSV, MARKDOWN, PDF = "json-ld", "csv", "md", "pdf"
FORMATS = (JSON_LD, CSV, MARKDOWN, PDF)
WORKBOOKS = (".xlsx", ".xlsm")
Progress = Callable[[str], None]


def export_file(
    source: Path,
    format: str,
    out: Path | None = None,
    foods: str = "kitchen",
    using: Sequence[Path] = (),
    style: Path | None = None,
    progress: Progress = lambda _: None,
) -> str:
    """Export a recipe file, or the cards of a workbook (PDF only); returns what to print.

    Without ``out`` the text formats are returned and a PDF is named after the source. ``using`` are files and
    folders with recipes that this one uses as foods. Raises ``BadInput``.
    """
    if format not in FORMATS:
        raise BadInput("--format", f"there is no format '{format}'; choose one of {', '.join(FORMATS)}")
    target = out if out is not None or format != PDF else Path(source.stem + ".pdf")
    if target is not None and target.resolve() == source.resolve():
        raise BadInput(source.name, "the export would replace its own source; choose another --out")
    if source.suffix.lower() in WORKBOOKS:
        return _workbook(source, format, target, progress)
    if source.is_dir():
        raise BadInput(source.name or str(source), "this is a folder; name one recipe file in it")
    book, recipe = _load(source, using, foods)
    if format == PDF:
        assert target is not None
        return _card(book, recipe, target, style, progress)
    text = _text(book, recipe, format)
    if target is None:
        return text.rstrip("\n")
    put_bytes(target, text.encode("utf-8-sig" if format == CSV else "utf-8"))
    return f"{target}: {recipe.title}"


def _load(source: Path, using: Sequence[Path], foods: str) -> tuple[Cookbook, Recipe]:
    """The recipe of the file ``source`` with the recipes it may use; the file may lie in one of those folders."""
    place = source.resolve()
    others = [path for path in using if path.resolve() != place]
    inside = source.is_file() and any(path.is_dir() and path.resolve() == place.parent for path in others)
    book = load(*([] if inside else [source]), *others, foods=foods)
    for recipe in book:
        if Path(recipe.path).resolve() == place:
            return book, recipe
    raise BadInput(source.name, "this file holds no recipe; name a recipe file")


def _text(book: Cookbook, recipe: Recipe, format: str) -> str:
    from workbookgen.exchange.export_csv import as_csv
    from workbookgen.exchange.export_jsonld import as_json_ld
    from workbookgen.exchange.export_markdown import as_markdown

    write = {JSON_LD: as_json_ld, CSV: as_csv, MARKDOWN: as_markdown}[format]
    return write(book.kitchen, analyse(book, recipe.title))


def _card(book: Cookbook, recipe: Recipe, target: Path, style: Path | None, progress: Progress) -> str:
    """The card of one recipe: a workbook is built for the purpose and printed."""
    from workbookgen.exchange.export_pdf import cards_to_pdf, printer

    printer()
    check_place(target)
    with tempfile.TemporaryDirectory(prefix="workbookgen-export-") as folder:
        path = Path(folder) / "book.xlsx"
        progress("building a workbook for the card")
        build(book, path, style, spares=False)
        progress("printing the card with LibreOffice")
        cards_to_pdf(path, target, recipe.title)
    return f"{target}: card of {recipe.title}"


def _workbook(source: Path, format: str, target: Path | None, progress: Progress) -> str:
    if format != PDF or target is None:
        what = "of a workbook only the cards can be exported, as pdf; for other formats name the recipe file"
        raise BadInput(source.name, what)
    from workbookgen.exchange.export_pdf import cards_to_pdf

    progress("printing the cards with LibreOffice")
    count = cards_to_pdf(source, target)
    return f"{target}: {count} card{'' if count == 1 else 's'}"
