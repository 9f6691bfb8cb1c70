"""Engine: the Python library `formulas`, over the whole workbook or a sample of its sheets."""

from __future__ import annotations

import importlib.metadata
import importlib.util
import multiprocessing
import random
from collections.abc import Callable, Iterable
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from workbookgen.verify.read import Book, read_book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.tokens import Area
from workbookgen.verify.values import Address, EngineFailed, EngineMissing, NotEvaluated, Results, Value

if TYPE_CHECKING:
    from workbookgen.verify.formulas_plan import Plan
    from workbookgen.verify.formulas_shape import Shape

NAME = "formulas"
Progress = Callable[[str], None]


def version() -> str:
    """Version of the library; ``EngineMissing`` when it is not installed."""
    if importlib.util.find_spec("formulas") is None:
        raise EngineMissing(NAME, "this engine is not installed; install the Python package 'formulas'")
    return importlib.metadata.version("formulas")


def recalculate(
    path: Path,
    book: Book | None = None,
    sample: int | None = None,
    seed: int = 0,
    processes: int | None = None,
    progress: Progress | None = None,
) -> Results:
    """Values of all formulas of the workbook, computed by the library `formulas`.

    ``sample`` limits the result to that many sheets drawn with ``seed`` (with whatever they rest on
    in other sheets computed too). ``processes`` defaults to the figures in ``verify_rules.toml``; where
    processes cannot be forked (Windows) it is always one.
    Stored results in the file are never read: a formula counts only by its text.
    """
    version()
    book = book or read_book(path)
    wanted = sample_sheets(book, sample, seed)
    targets = [(name, *place) for name in wanted for place in book.sheets[name].formulas]
    values = _calculate(book, targets, processes, progress or (lambda message: None))
    return {target: values[target] for target in targets}


def sample_sheets(book: Book, sample: int | None, seed: int) -> list[str]:
    """Names of the sheets to compute, in file order: all that have formulas, or a seeded draw of them."""
    names = [name for name, sheet in book.sheets.items() if sheet.formulas]
    if sample is None or sample >= len(names):
        return names
    drawn = set(random.Random(seed).sample(names, sample))
    return [name for name in names if name in drawn]


def _calculate(book: Book, targets: list[Address], processes: int | None, progress: Progress) -> Results:
    from workbookgen.verify.formulas_plan import Planner, Sharing, batches

    rules = load_rules("verify_rules")["formulas"]
    plan = Planner(book).plan(targets)
    total = sum(map(len, plan.levels))
    usual = int(rules["processes"]) if total >= rules["serial_below"] else 1
    count = usual if processes is None else processes
    if "fork" not in multiprocessing.get_all_start_methods():
        count = 1
    calculator = Calculator(book, plan)
    sharing = Sharing(plan, count, int(rules["compile_cost"])) if count > 1 else None
    work = batches(plan.levels, int(rules["small_level"]), sharing)
    if count == 1:
        for cells in (cells for batch in work for cells in batch):
            calculator.compute(cells)
        return calculator.results
    return _compute_in_processes(calculator, work, count, total, progress)


class Calculator:
    """Computes planned cells one after the other and remembers values, ranges and compiled shapes."""

    def __init__(self, book: Book, plan: Plan) -> None:
        from workbookgen.verify.formulas_shape import install_quick_index

        install_quick_index()
        self._plan = plan
        self._constants = {
            name: {place: value for place, value in sheet.values.items() if place not in sheet.formulas}
            for name, sheet in book.sheets.items()
        }
        self._sheet_ids = {name: f"S{number}" for number, name in enumerate(book.sheets)}
        self._shapes: dict[str, Shape | str] = {}
        self._ranges: dict[Area, Any] = {}
        self.results: Results = {cell: NotEvaluated(why) for cell, why in plan.refused.items()}

    def compute(self, cells: Iterable[Address]) -> list[Value]:
        """Values of cells whose references are known already; kept in ``results`` too."""
        done = []
        for cell in cells:
            value = self.results[cell] = self._value(cell)
            done.append(value)
        return done

    def _value(self, cell: Address) -> Value:
        from workbookgen.verify.formulas_shape import Shape, Unsupported

        reading = self._plan.readings[cell]
        shape = self._shapes.get(reading.shape)
        if shape is None:
            try:
                shape = Shape(reading.shape, reading.areas)
            except Unsupported as reason:
                shape = str(reason)
            self._shapes[reading.shape] = shape
        if isinstance(shape, str):
            return NotEvaluated(shape)
        return shape([self._range(area) for area in reading.areas])

    def _range(self, area: Area) -> Any:
        from workbookgen.verify.formulas_shape import from_value, make_range

        made = self._ranges.get(area)
        if made is None:
            sheet = area.sheet or ""
            constants, results, absent = self._constants[sheet], self.results, NotEvaluated("")
            array = np.empty((area.bottom - area.top + 1, area.right - area.left + 1), object)
            for row in range(area.top, area.bottom + 1):
                for column in range(area.left, area.right + 1):
                    computed = results.get((sheet, row, column), absent)
                    value = constants.get((row, column)) if computed is absent else computed
                    array[row - area.top, column - area.left] = from_value(value)
            made = self._ranges[area] = make_range(area, self._sheet_ids[sheet], array)
        return made


def _compute_in_processes(
    calculator: Calculator, work: list[list[list[Address]]], count: int, total: int, progress: Progress
) -> Results:
    """Compute batch after batch in forked copies of this process, telling each what the others found."""
    context = multiprocessing.get_context("fork")
    links: list[Connection] = []
    workers = []
    for _ in range(count):
        here, there = context.Pipe()
        worker = context.Process(target=_serve, args=(calculator, there), daemon=True)
        worker.start()
        there.close()
        links.append(here)
        workers.append(worker)
    news: list[Results] = [{} for _ in links]
    done, told = 0, 0
    try:
        for batch in work:
            for number, cells in enumerate(batch):
                links[number].send((news[number], cells))
                news[number] = {}
            for number, cells in enumerate(batch):
                fresh = dict(zip(cells, links[number].recv(), strict=True))
                calculator.results.update(fresh)
                for other in range(count):
                    if other != number:
                        news[other].update(fresh)
                done += len(cells)
            if done * 10 // max(total, 1) > told:
                told = done * 10 // total
                progress(f"{NAME}: {done} of {total} formulas")
    except (EOFError, OSError) as error:
        raise EngineFailed(NAME, "a process ended early; close other programs and run again") from error
    finally:
        for worker in workers:
            worker.terminate()  # each waits for work that never comes; nothing of it needs saving
            worker.join()
        for link in links:
            link.close()
    return calculator.results


def _serve(calculator: Calculator, link: Connection) -> None:
    """Work of one process, until it is ended: learn news, compute cells, send values."""
    while True:
        news, cells = link.recv()
        calculator.results.update(news)
        link.send(calculator.compute(cells))
