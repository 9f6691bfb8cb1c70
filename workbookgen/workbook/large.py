"""Books too large to be held whole: recipe sheets and their cards are made, worked out and written in batches.

Recipe sheets and cards read only themselves, the dishes and the fixed sheets (foods, tables, settings); what goes over
all recipes is left out of a large book. So the fixed sheets and dishes are laid out and worked out first. Then each
batch of recipe sheets is laid out, worked out beside the fixed sheets as constants, written, noted for the audit and
the build record, and freed. Last come the fixed sheets once more, with the few cells of recipe sheets that Checks,
Audit and Build record read. A cell of a fixed sheet that changes in this last step must be none that a batch has read:
that is checked. The bytes are those of a book held whole.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_cell_to_rowcol

from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.place import written_beside
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.audit_sheet import AuditNotes, audit_notes, not_carried, put_audit
from workbookgen.workbook.book import At, Book, Sheet, quoted
from workbookgen.workbook.card_page import CARD_CHECK_CELL
from workbookgen.workbook.card_plan import CardTexts, plan_card
from workbookgen.workbook.card_sheet import CardSheet, link_card, put_card
from workbookgen.workbook.food_list import narrow_food_lists
from workbookgen.workbook.house import card_logo, look_place, part_with
from workbookgen.workbook.recipe_layout import RecipeLayout
from workbookgen.workbook.recipe_sheet import RecipeSheet, put_recipe
from workbookgen.workbook.record_fields import fields_by_sheet
from workbookgen.workbook.record_sheet import RecordNotes, put_record
from workbookgen.workbook.record_sheet import record_notes as notes_for_record
from workbookgen.workbook.statements_layout import SAYS
from workbookgen.workbook.stored import Disagreement, Known, keep, known_cells, known_sheet, work_out
from workbookgen.workbook.write import BookWriter, Disk, book_writer, readable_faults

#: Recipe sheets held at a time: 10 need about 250 MiB; more are hardly quicker.
BATCH = 10
_REFERENCE = re.compile(r"'((?:[^']|'')+)'!\$?([A-Z]+)\$?(\d+)(?::\$?([A-Z]+)\$?(\d+))?")
Progress = Callable[[str], None]
Rectangle = tuple[int, int, int, int]


def analysed(kitchen: Kitchen, recipe: Recipe, settings: Settings) -> Analysis:
    """The analysis of a recipe. Raises BadInput for a dish that weighs nothing."""
    return weighing(analyse_recipe(kitchen, recipe, settings))


def weighing(analysis: Analysis) -> Analysis:
    """``analysis`` as it is. Raises BadInput for a dish that weighs nothing."""
    if analysis.cooked_weight <= 0:
        raise BadInput(analysis.recipe.path or analysis.recipe.title,
                       "no ingredient that counts weighs anything; count one and give it an amount")
    return analysis


@dataclass
class Waiting:
    """A recipe sheet that has its place in the book but no cells yet, and its card."""

    shell: RecipeSheet
    card: Sheet | None = None


@dataclass
class Later:
    """What a large book puts off while `lay_out` lays out the rest; ``kitchen``, ``sheets`` and ``cards`` are told by it."""

    settings: Settings
    look: Mapping[str, Any]
    kitchen: Kitchen
    waiting: dict[str, Waiting] = field(default_factory=dict)
    sheets: Sequence[RecipeSheet] = ()
    cards: Mapping[str, str] = field(default_factory=dict)

    def recipe(self, book: Book, tab: str, lay: RecipeLayout, recipe: Recipe | None) -> RecipeSheet:
        """Keep the place of a recipe sheet."""
        shell = RecipeSheet(book.add(tab), lay, recipe, None)
        self.waiting[tab] = Waiting(shell)
        return shell

    def card(self, book: Book, kitchen: Kitchen, recipe: RecipeSheet, tab: str, programme: Mapping[str, Any]) -> CardSheet:
        """Keep the place of a card; those of dishes are laid out."""
        if recipe.sheet.name not in self.waiting:
            return put_card(book, kitchen, recipe, tab, programme)
        sheet = self.waiting[recipe.sheet.name].card = book.add(tab)
        return CardSheet(sheet, recipe, plan_card(CardTexts()), CARD_CHECK_CELL)

    def write(self, book: Book, path: Path, progress: Progress) -> tuple[int, list[Disagreement]]:
        """Write the book; returns how many formulas it has and where core and engine disagree.

        Raises BadInput when the place cannot be written; nothing half-written stays.
        """
        with (written_beside(path, ".xlsx", "another --out") as beside, readable_faults(), beside.open("wb") as file,
              book_writer(Disk(file), book, self.look) as writer):
            return _Writing(self, book, writer, progress).whole()


class _Writing:
    """One large book while it is written."""

    def __init__(self, later: Later, book: Book, writer: BookWriter, progress: Progress) -> None:
        self.later, self.book, self.writer, self.progress = later, book, writer, progress
        shells = {tab for tab in later.waiting} | {w.card.name for w in later.waiting.values() if w.card}
        dishes = {s.sheet.name for s in later.sheets if s.sheet.name not in shells}
        self.ready = dishes | {later.cards[tab] for tab in dishes if tab in later.cards}
        self.shells = shells
        self.fixed = [s for s in book.sheets if s.name not in shells and s.name not in self.ready]
        self.at = 1  # the next tab to write; Start, the first one, is begun before and finished at the end
        self.formulas = 0
        self.differing: list[Disagreement] = []
        self.audit: dict[str, AuditNotes] = {}
        self.record: dict[str, RecordNotes] = {}
        self.wanted: dict[str, list[Rectangle]] = {}
        self.kept: list[Known] = []
        self.read: set[str] = set()

    def whole(self) -> tuple[int, list[Disagreement]]:
        self.writer.add_tabs()
        self.writer.begin(self.book.sheets[0])
        self.formulas = self.book.formula_count()
        self.progress(f"working out stored values of {self.formulas:,} formulas on fixed sheets")
        first, beside = self._work_out_fixed()
        for sheet in self.fixed:
            self._want(cell.formula for cell in sheet.cells.values() if cell.formula)
        tabs = list(self.later.waiting)
        for start in range(0, len(tabs), BATCH):
            self.progress(f"recipe sheets {start + 1} to {min(start + BATCH, len(tabs))} of {len(tabs)}")
            self._batch([self.later.waiting[tab] for tab in tabs[start : start + BATCH]], beside)
            gc.collect()  # sheets and formats point at each other
        self.progress("writing the file")
        self._last(first)
        return self.formulas, self.differing

    def _work_out_fixed(self) -> tuple[dict[str, dict[At, object]], list[Known]]:
        """Values of the fixed sheets before any recipe, and all that batches read; dishes get their stored values."""
        held = [s for s in self.book.sheets if s.name not in self.shells]
        found: dict[str, dict[At, object]] = {s.name: {} for s in held}
        dishes = []
        for sheet, at, value in work_out(self.book.names, held, [Known(tab, []) for tab in sorted(self.shells)]):
            found[sheet.name][at] = value if value is None or isinstance(value, bool | int | float | str) else None
            if sheet.name in self.ready:
                dishes.append((sheet, at, value))
        self.differing += keep(dishes)
        return found, [known_sheet(sheet, found[sheet.name]) for sheet in held]

    def _want(self, formulas: Any) -> None:
        """Note which cells of recipe sheets and cards some formulas read."""
        for formula in formulas:
            for tab, *ends in _REFERENCE.findall(formula):
                name = tab.replace("''", "'")
                if name in self.shells:
                    top, left = xl_cell_to_rowcol(ends[0] + ends[1])
                    bottom, right = xl_cell_to_rowcol(ends[2] + ends[3]) if ends[2] else (top, left)
                    self.wanted.setdefault(name, []).append((top, left, bottom, right))

    def _batch(self, batch: Sequence[Waiting], beside: Sequence[Known]) -> None:
        """Lay out, work out, note, write and free some recipe sheets with their cards."""
        later, kitchen = self.later, self.later.kitchen
        small = Book()
        for waiting in batch:
            shell = waiting.shell
            analysis = analysed(kitchen, shell.recipe, later.settings) if shell.recipe else None
            made = put_recipe(small, kitchen, shell.sheet.name, shell.lay, shell.recipe, analysis)
            if waiting.card is not None:
                card = put_card(small, kitchen, made, waiting.card.name, card_logo(later.look))
                if card.check != CARD_CHECK_CELL:
                    raise ValueError(f"{card.sheet.name}: the check of the card stands in {card.check}")
                link_card(made, card)
            if SAYS in made.lay.section:
                self._want([not_carried(made, kitchen)])
            fields = fields_by_sheet([], [made], [waiting.card.name] if waiting.card else [], kitchen)
            for sheet in small.sheets[-2:] if waiting.card else small.sheets[-1:]:
                if self.book.gone:
                    part_with(sheet, self.book.gone, self.book.lost, look_place(later.look))
                narrow_food_lists(Book([sheet]), len(kitchen.fixed_foods))
                self.audit[sheet.name] = audit_notes(sheet)
                self.record[sheet.name] = notes_for_record(sheet, fields[sheet.name])
                self._want([self.audit[sheet.name].memory, f"={quoted(sheet.name)}!$A$1"])
        self.formulas += small.formula_count()
        self.differing += keep(work_out(self.book.names, small.sheets, beside, self.read))
        filled = {sheet.name: sheet for sheet in small.sheets}
        for sheet in small.sheets:
            self.kept.append(known_cells(sheet.name, _cells(sheet, self.wanted.pop(sheet.name, []))))
        while self.at < len(self.book.sheets) and (tab := self.book.sheets[self.at].name) in filled.keys() | self.ready:
            self.writer.put(filled.get(tab, self.book.sheets[self.at]), settle=True)
            self.at += 1

    def _last(self, first: Mapping[str, Mapping[At, object]]) -> None:
        """The fixed sheets with what they read of recipe sheets; then all that is not written yet."""
        book, later = self.book, self.later
        before = list(book.sheets)
        put_audit(book, later.kitchen, later.sheets, self.audit)
        put_record(book, later.kitchen, later.sheets, later.cards, later.settings, later.look, self.record)
        added = book.sheets[len(before):]
        self.formulas += sum(1 for s in added for c in s.cells.values() if c.formula)
        beside = self.kept + [known_sheet(s, {at: c.value for at, c in s.cells.items() if c.formula})
                              for s in before if s.name in self.ready]
        changed: dict[str, list[At]] = {}
        results = []
        for sheet, at, value in work_out(book.names, [*self.fixed, *added], beside):
            results.append((sheet, at, value))
            if sheet.name in first and first[sheet.name][at] != value:
                changed.setdefault(sheet.name, []).append(at)
        self._must_not_be_read(changed)
        self.differing += keep(results)
        self.writer.add_tabs()
        self.writer.finish(book.sheets[0])
        for sheet in book.sheets[self.at:]:
            self.writer.put(sheet, settle=True)

    def _must_not_be_read(self, changed: Mapping[str, Sequence[At]]) -> None:
        """Raise ValueError when batches read a cell whose value was not final then."""
        for name, (tab, top, left, bottom, right) in self.book.names.items():
            if name.lower() in self.read:
                for row, col in changed.get(tab, ()):
                    if top <= row <= bottom and left <= col <= right:
                        raise ValueError(f"{name} depends on recipe sheets that read it")
        for tab in changed:
            if f"{quoted(tab)}!" in self.read:
                raise ValueError(f"recipe sheets read {tab}, which depends on them")


def _cells(sheet: Sheet, wanted: Sequence[Rectangle]) -> dict[At, object]:
    """Values of the cells within some rectangles; an empty formatted cell is None."""
    found: dict[At, object] = {}
    for top, left, bottom, right in wanted:
        for row in range(top, bottom + 1):
            for col in range(left, right + 1):
                if (cell := sheet.cells.get((row, col))) is not None:
                    found[row, col] = cell.value if cell.formula or cell.value != "" else None
    return found
