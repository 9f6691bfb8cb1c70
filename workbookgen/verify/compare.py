"""Compares what a workbook stores with what independent engines compute from its formulas.

Agreement: numbers within 2e-9, relative or absolute; texts and truth values exactly; nothing stored and
an empty text are the same. An error value is a failure even where engine and file show the same one,
and so is a formula without a result.
"""

from __future__ import annotations

import math
import re
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from workbookgen.model.errors import BadInput
from workbookgen.verify import formualizer_engine, formulas_engine, ironcalc_engine, libreoffice_engine
from workbookgen.verify.read import Book, read_book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.values import (
    EngineFailed,
    EngineMissing,
    ErrorValue,
    NotEvaluated,
    Results,
    Value,
    cell_name,
)

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Difference:
    """A formula cell that fails, with the stored and the recomputed value and a phrase saying why."""

    sheet: str
    cell: str
    formula: str
    stored: Value
    recomputed: Value
    why: str


@dataclass(frozen=True)
class EngineResult:
    """What one engine found. ``failure`` is a sentence when it gave no result at all, otherwise empty."""

    engine: str
    version: str
    compared: int
    agreeing: int
    differing: tuple[Difference, ...]
    seconds: float
    failure: str = ""

    @property
    def ok(self) -> bool:
        """Whether the engine ran, compared something and every cell agrees."""
        return not self.failure and self.compared > 0 and self.agreeing == self.compared


@dataclass(frozen=True)
class Report:
    """All engines' results for one workbook; ``faults`` are sentences about the file itself."""

    path: Path
    formulas: int
    results: tuple[EngineResult, ...]
    faults: tuple[str, ...] = field(default=())

    @property
    def ok(self) -> bool:
        """Whether at least one engine ran, all agree everywhere and the file has no fault."""
        return bool(self.results) and all(result.ok for result in self.results) and not self.faults


_COMMA_IN_NUMBER = re.compile(r"(?<=\d),(?=\d)")


def _point(text: str) -> str:
    return _COMMA_IN_NUMBER.sub(".", text)


def disagreement(
    stored: Value, recomputed: Value, *, bool_is_number: bool = False, decimal_comma: bool = False
) -> str:
    """Why two values do not agree, as a phrase; empty when they do.

    ``bool_is_number`` lets TRUE stand for 1 and FALSE for 0 (LibreOffice has no type of its own for
    them); ``decimal_comma`` compares texts after turning commas between digits into points.
    """
    if isinstance(stored, ErrorValue):
        return "the stored value is an error"
    if isinstance(recomputed, ErrorValue):
        return "the recomputed value is an error"
    if isinstance(recomputed, NotEvaluated):
        return str(recomputed)
    if isinstance(stored, NotEvaluated):
        return "no value is stored"
    if bool_is_number and isinstance(stored, bool) != isinstance(recomputed, bool):
        stored = float(stored) if isinstance(stored, bool) else stored
        recomputed = float(recomputed) if isinstance(recomputed, bool) else recomputed
    if isinstance(stored, bool) or isinstance(recomputed, bool):
        same = isinstance(stored, bool) and isinstance(recomputed, bool) and stored == recomputed
        return "" if same else "truth values differ"
    if isinstance(stored, float) and isinstance(recomputed, float):
        tolerance = float(load_rules("verify_rules")["agree"]["tolerance"])
        close = math.isclose(stored, recomputed, rel_tol=tolerance, abs_tol=tolerance)
        return "" if close and math.isfinite(stored) else "numbers differ"
    if isinstance(stored, float) or isinstance(recomputed, float):
        return "one is a number, the other is not"
    one, other = stored or "", recomputed or ""
    if decimal_comma:
        one, other = _point(one), _point(other)
    return "" if one == other else "texts differ"


def compare(
    book: Book,
    results: Results,
    *,
    bool_is_number: bool = False,
    decimal_comma: bool = False,
    whole: bool = True,
) -> tuple[int, tuple[Difference, ...]]:
    """Number of formula cells compared, and those that fail, in file order.

    With ``whole`` every formula of the book counts, one that the engine left out as not evaluated;
    otherwise only the cells in ``results`` are compared (a sample).
    """
    compared, failing = 0, []
    for sheet in book.sheets.values():
        for place, formula in sheet.formulas.items():
            address = (sheet.name, *place)
            if address not in results and not whole:
                continue
            compared += 1
            stored: Value = sheet.values.get(place)
            if place in sheet.unstored:
                stored = NotEvaluated("no value is stored")
            recomputed = results.get(address, NotEvaluated("the engine left the cell out"))
            why = disagreement(stored, recomputed, bool_is_number=bool_is_number, decimal_comma=decimal_comma)
            if why:
                cell = cell_name(*place)
                failing.append(Difference(sheet.name, cell, "=" + formula, stored, recomputed, why))
    return compared, tuple(failing)


def book_faults(book: Book) -> tuple[str, ...]:
    """Sentences about what no comparison of formulas would show."""
    found = [] if book.formula_count else ["the workbook holds no formula, so there is nothing to verify"]
    for sheet in book.sheets.values():
        where = f"sheet '{sheet.name}', cell"
        for place, value in sheet.values.items():
            if isinstance(value, ErrorValue) and place not in sheet.formulas:
                found.append(f"{where} {cell_name(*place)} holds the error {value} without a formula")
        for place, area in sorted(sheet.arrays.items()):
            if ":" in area:
                found.append(
                    f"{where} {cell_name(*place)} fills {area} with one formula, which is not compared"
                )
    return tuple(found)


def choose_engines(engine: str | None, formulas: int) -> list[str]:
    """Names of the engines to run: one by name, ``all``, or the usual ones for the workbook's size.

    None and ``default`` both mean the usual ones.
    """
    rules = load_rules("verify_rules")["engines"]
    if engine in (None, "default"):
        return list(rules["thorough"] if formulas <= rules["small_book_formulas"] else rules["quick"])
    if engine == "all":
        return list(rules["names"])
    if engine not in rules["names"]:
        known = ", ".join(rules["names"])
        raise BadInput(f"engine '{engine}'", f"there is no engine of that name; choose one of {known} or all")
    return [engine]


def verify(
    path: Path | str,
    engines: Sequence[str] | None = None,
    locale: str | None = None,
    progress: Progress | None = None,
    sample: int | None = None,
    seed: int = 0,
) -> Report:
    """Recompute a workbook with each engine and compare every formula cell with its stored value.

    ``engines`` None takes the usual ones for the workbook's size. ``locale`` (such as ``de-DE``) is for
    LibreOffice, the only engine that knows locales. An engine that is not installed becomes a failure
    in the report. ``sample`` limits the slow engine `formulas` to so many sheets, drawn with ``seed``;
    the number compared in its result tells. ``BadInput`` is raised for a file that cannot be read or an
    unknown engine.
    """
    book = read_book(path)
    names = choose_engines(None, book.formula_count) if engines is None else list(engines)
    for name in names:
        choose_engines(name, 0)
    tell = progress or (lambda message: None)
    results = []
    for name in names:
        tell(f"{name}: {book.formula_count} formulas")
        results.append(_run(name, book, _Options(locale, tell, sample, seed)))
    return Report(book.path, book.formula_count, tuple(results), book_faults(book))


@dataclass(frozen=True)
class _Options:
    locale: str | None
    progress: Progress
    sample: int | None
    seed: int


def _run(name: str, book: Book, options: _Options) -> EngineResult:
    start = time.perf_counter()
    version, comma, bool_is_number = "", False, name == libreoffice_engine.NAME
    try:
        if name == formulas_engine.NAME:
            version = formulas_engine.version()
            results = formulas_engine.recalculate(
                book.path, book, options.sample, options.seed, progress=options.progress
            )
        elif name == formualizer_engine.NAME:
            version = formualizer_engine.version()
            results = formualizer_engine.recalculate(book.path, book)
        elif name == ironcalc_engine.NAME:
            version = ironcalc_engine.version()
            results = ironcalc_engine.recalculate(book.path, book)
        else:
            chosen = libreoffice_engine.check_locale(options.locale)
            comma = not chosen.startswith("en")
            version = libreoffice_engine.version()
            results = libreoffice_engine.recalculate(book.path, book, chosen)
    except (EngineMissing, EngineFailed) as failure:
        return EngineResult(name, version, 0, 0, (), time.perf_counter() - start, str(failure))
    except BaseException as failure:
        if type(failure).__name__ != "PanicException":  # how a library written in Rust breaks off
            raise
        sentence = f"{name}: the engine broke off ({failure})"
        return EngineResult(name, version, 0, 0, (), time.perf_counter() - start, sentence)
    whole = name != formulas_engine.NAME or options.sample is None
    compared, failing = compare(
        book, results, bool_is_number=bool_is_number, decimal_comma=comma, whole=whole
    )
    seconds = time.perf_counter() - start
    return EngineResult(name, version, compared, compared - len(failing), failing, seconds)
