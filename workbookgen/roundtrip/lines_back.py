"""Ingredient lines of a recipe sheet back to lines of a recipe file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from workbookgen.model.recipe import BASES, WATER_FATES, IngredientLine
from workbookgen.nutrition.kitchen import NO_TREATMENT
from workbookgen.recipes.amounts import AmountError, UndecidedAmount, check_limits, split_amount
from workbookgen.recipes.text import LONGEST_NAME
from workbookgen.roundtrip.record import Plain
from workbookgen.roundtrip.words import Taken, same, shown
from workbookgen.workbook.tables_sheet import MARKS

Cells = Mapping[str, Plain]
OPTIONAL, GARNISH, HOLD_BACK = MARKS
_WEIGHTY = ("food", "amount", "unit")


@dataclass(frozen=True, slots=True)
class Row:
    """One ingredient row: contents now and when built by column key, the address of each cell."""

    now: Cells
    built: Cells
    at: Mapping[str, str]

    @property
    def changed(self) -> bool:
        return any(not same(self.now[key], self.built[key]) for key in self.now)

    @property
    def empty(self) -> bool:
        """Whether neither food nor amount nor unit is typed."""
        return all(self.now.get(key) is None for key in _WEIGHTY)


def mark_of(line: IngredientLine) -> str:
    """The mark that the sheet shows for a line."""
    return GARNISH if line.garnish else HOLD_BACK if line.held_back else OPTIONAL if line.optional else ""


def lines_back(rows: Sequence[Row], old: Sequence[IngredientLine], taken: Taken) -> list[tuple[int, IngredientLine]]:
    """Lines in the order of the sheet, each with its row (from 0). A row that was not touched gives its line as the file had it; one that was
    moved keeps the words of its amount. A line that cannot be used as typed is kept for a person to decide
    (``review``), so that a build asks instead of leaving it out."""
    found = []
    for i, row in enumerate(rows):
        line = old[i] if i < len(old) else None
        if line is not None and not row.changed:
            found.append((i, line))
        elif row.empty:
            _leave_rest(row, taken)
        else:
            found.append((i, _line(row, line, old, taken)))
    return found


def _leave_rest(row: Row, taken: Taken) -> None:
    """Words that remain on a row whose ingredient was deleted."""
    for key, value in row.now.items():
        if value is not None and not same(value, row.built[key]):
            taken.leave(row.at[key], f"line.{key}", value, "the line has neither food nor amount")


def _line(row: Row, line: IngredientLine | None, old: Sequence[IngredientLine], taken: Taken) -> IngredientLine:
    now, at = row.now, row.at
    name = taken.text(at["food"], "line.food", now["food"], longest=LONGEST_NAME)
    if line is None or line.food.casefold() != name.casefold():
        line = next((o for o in old if o.food.casefold() == name.casefold() and same(now["amount"], o.amount)), line)
    base = line or IngredientLine("", 0.0, "")
    keep_words = line is not None and same(now["amount"], line.amount) and not line.review
    changed = replace(
        base,
        food=name,
        unit=taken.text(at["unit"], "line.unit", now["unit"], longest=LONGEST_NAME),
        basis=taken.word(at["basis"], "line.basis", now["basis"], BASES, BASES[0], base.basis),
        treatment=taken.text(at["treat"], "line.treat", now["treat"], longest=LONGEST_NAME) or NO_TREATMENT,
        water=taken.word(at["water"], "line.water", now["water"], WATER_FATES, "", base.water),
        include=taken.word(at["count"], "line.count", now["count"], ("yes", "no"), "yes", "yes") == "yes",
        role=taken.text(at["role"], "line.role", now["role"], longest=LONGEST_NAME).casefold(),
        note=taken.text(at["note"], "line.note", now["note"], base.note),
        section=taken.text(at["heading"], "line.heading", now["heading"], base.section),
        candidates=(), review=False, row=0,
    )  # fmt: skip
    share = taken.number(at["share"], "line.share", now["share"], 0, 100, base.share_eaten_pct)
    changed = replace(changed, share_eaten_pct=100.0 if share is None else share)
    changed = _marked(changed, row, base, taken)
    if keep_words:
        return _decided(changed)
    return _decided(_with_amount(changed, row, taken))


def _marked(line: IngredientLine, row: Row, base: IngredientLine, taken: Taken) -> IngredientLine:
    """A mark that reads as the old flags keeps them all; another one stands alone."""
    mark = taken.word(row.at["mark"], "line.mark", row.now["mark"], MARKS, "", mark_of(base))
    if mark == mark_of(base):
        return line
    return replace(line, optional=mark == OPTIONAL, garnish=mark == GARNISH, held_back=mark == HOLD_BACK)


def _with_amount(line: IngredientLine, row: Row, taken: Taken) -> IngredientLine:
    """The line with the amount typed: a number, or text a cook writes ("3/4", "2-3")."""
    value, at = row.now["amount"], row.at["amount"]
    bare = replace(line, amount=0.0, amount_text="", amount_low=None, amount_high=None)
    if value is None or isinstance(value, bool):
        taken.leave(at, "line.amount", value, "not an amount")
        return replace(bare, review=True)
    try:
        if isinstance(value, float):
            check_limits(value, value)
            return replace(bare, amount=value)
        amount, rest = split_amount(shown(value))
        unit = line.unit or rest
        if rest and rest.casefold() != unit.casefold():
            taken.leave(at, "line.amount", value, "the amount names another unit than the cell beside it")
            return replace(bare, review=True)
        words = shown(value)[: len(shown(value)) - len(rest)].strip()
        return replace(bare, amount=amount.value, amount_text=" ".join(words.split()), amount_low=amount.low,
                       amount_high=amount.high, unit=unit)
    except UndecidedAmount:
        return replace(bare, amount_text=" ".join(shown(value).split()), review=True)
    except AmountError as error:
        taken.leave(at, "line.amount", value, str(error))
        return replace(bare, review=True)


def _decided(line: IngredientLine) -> IngredientLine:
    """A line without food, amount or unit waits for a person."""
    complete = line.food and line.amount and line.unit
    return line if complete else replace(line, review=True)
