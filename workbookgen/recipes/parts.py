"""The parts of a recipe file: ingredients, targets, notes, variants, sign-off."""

from __future__ import annotations

import datetime
import re

from workbookgen.model.recipe import (
    BASES,
    CHANGES,
    WATER_FATES,
    Change,
    IngredientLine,
    Note,
    Review,
    Target,
    Variant,
)
from workbookgen.recipes.amounts import Amount, AmountError, UndecidedAmount, check_limits, split_amount
from workbookgen.recipes.reader import Reader, plain_number
from workbookgen.recipes.text import LONGEST_NAME, LONGEST_TEXT, listed, shown, text_fault

INGREDIENT_KEYS = (
    "food", "amount", "use", "unit", "basis", "treatment", "share_eaten", "include", "optional", "role",
    "water", "note", "section", "held_back", "garnish", "review", "candidates",
)  # fmt: skip
CHANGE_KEYS = ("do", "food", "with", "amount", "unit", "treatment", "water")
REVIEW_KEYS = ("reviewer", "date", "comment", "check_number")
PER_DV = "%DV"

_TARGET = re.compile(r"(.+?)\s*(>=|=>|≥|<=|=<|≤)\s*([0-9]*\.?[0-9]+)\s*(%\s*DV|[^\W\d]+)", re.I)
_SIGNS = {">=": ">=", "=>": ">=", "≥": ">=", "<=": "<=", "=<": "<=", "≤": "<="}
_MOST_NUMBER = 1e12  # check numbers and targets stay far below; beyond it floats lose whole units


def read_line(reader: Reader) -> IngredientLine:
    """One ``[[ingredient]]``."""
    reader.refuse_unknown(INGREDIENT_KEYS)
    review = reader.flag("review", False)
    food = reader.text("food", LONGEST_NAME)
    if not food and not review:
        reader.fault("food", 'the food is missing; write food = "..."')
    amount, words, unit = _amount(reader, review)
    if amount and not unit and not review:
        mend = 'write unit = "..." or amount = "3/4 cup"'
        reader.fault("unit", f"the unit is missing; {mend}")
    return IngredientLine(
        food=food,
        amount=amount.value if amount else 0.0,
        amount_low=amount.low if amount else None,
        amount_high=amount.high if amount else None,
        amount_text=words,
        unit=unit,
        basis=reader.choice("basis", BASES, BASES[0]),
        treatment=reader.text("treatment", LONGEST_NAME) or "none",
        share_eaten_pct=_share(reader),
        include=reader.flag("include", True),
        optional=reader.flag("optional", False),
        role=reader.text("role", LONGEST_NAME).casefold(),
        water=reader.choice("water", WATER_FATES, ""),
        note=reader.text("note"),
        section=reader.text("section"),
        held_back=reader.flag("held_back", False),
        garnish=reader.flag("garnish", False),
        review=review,
        candidates=reader.texts("candidates"),
        row=reader.row(),
    )


def _share(reader: Reader) -> float:
    share = reader.number_or_none("share_eaten", 0, 100)
    return 100.0 if share is None else share


def _amount(reader: Reader, review: bool) -> tuple[Amount | None, str, str]:
    """The amount, its words ("" for a bare number) and the unit, which may stand in either key.

    A line under review may leave the amount undecided: its words are kept, the amount is None.
    """
    words, unit = "", reader.text("unit", LONGEST_NAME)
    use = reader.choice("use", ("low", "high"), "low")
    value = reader.data.get("amount", "")
    try:
        if not isinstance(value, str):
            number = plain_number(value)
            if number is None:
                raise AmountError(f'amount {shown(value)} is not a number; write it like 2, 0.5 or "3/4"')
            check_limits(number, value)
            amount, after = Amount(number), ""
        else:
            words = reader.text("amount", LONGEST_TEXT)
            if value.strip() and not words:
                return None, "", unit  # the fault is noted
            amount, after = split_amount(words, use)
            words = words[: len(words) - len(after)].strip()
    except UndecidedAmount as error:
        if not review:
            reader.fault("amount", str(error))
        return None, words, unit
    except AmountError as error:
        reader.fault("amount", str(error))
        return None, "", unit
    if after and unit and after.casefold() != unit.casefold():
        what = f"the amount already holds the unit {shown(after)}; take unit = {shown(unit)} out"
        reader.fault("unit", what)
    if "use" in reader.data and amount.low is None:
        reader.fault("use", 'use picks an end of a range; write the amount as "2-3" or take use out')
    if len(after) > LONGEST_NAME:
        reader.fault("amount", f"the unit is longer than {LONGEST_NAME} characters; shorten it")
    return amount, words, unit or after


def read_target(text: str, reader: Reader) -> Target | None:
    """A target such as "FE >= 20 %DV" or "NA <= 600 mg"."""
    match = _TARGET.fullmatch(text)
    if not match:
        mend = 'write it like "FE >= 20 %DV" or "NA <= 600 mg"'
        reader.fault("targets", f"target {shown(text)} is not understood; {mend}")
        return None
    value = float(match[3])
    if value > _MOST_NUMBER:
        reader.fault("targets", f"target {shown(text)} is too large; choose a larger unit")
        return None
    per_dv = match[4].replace(" ", "").upper() == PER_DV
    basis, unit = (PER_DV, "") if per_dv else ("amount", match[4])
    return Target(match[1], _SIGNS[match[2]], value, basis, unit)


def read_note(reader: Reader) -> Note:
    """One ``[[note]]``: a sentence and the id of its source."""
    reader.refuse_unknown(("text", "source"))
    text = reader.text("text")
    if not text:
        reader.fault("text", 'the note is empty; write text = "..." or take the note out')
    return Note(text, reader.text("source", LONGEST_NAME))


def read_variant(reader: Reader, first_change: int) -> Variant:
    """One ``[[variant]]`` with its ``[[variant.change]]`` steps, the first of which is the file's
    ``first_change``-th (from 0)."""
    reader.refuse_unknown(("name", "hold_back", "change"))
    hold_back = reader.flag("hold_back", False)
    name = reader.text("name", LONGEST_NAME)
    if not name:
        reader.fault("name", 'the variant has no name; write name = "..."')
    changes = reader.tables("change")
    if not changes and not hold_back:
        reader.fault("", "the variant changes nothing; add a [[variant.change]] or write hold_back = true")
    readers = [
        reader.inner("change", data, first_change + i, f"{reader.what}, change {i + 1}", "variant.change")
        for i, data in enumerate(changes)
    ]
    return Variant(name, tuple(_change(inner) for inner in readers), hold_back)


def _change(reader: Reader) -> Change:
    reader.refuse_unknown(CHANGE_KEYS)
    do = reader.choice("do", CHANGES, "")
    food, other = reader.text("food", LONGEST_NAME), reader.text("with", LONGEST_NAME)
    amount, unit = None, reader.text("unit", LONGEST_NAME)
    if "amount" in reader.data:
        found, _, unit = _amount(reader, review=False)
        amount = found.value if found else None
        if found and found.low is not None:
            reader.fault("amount", "a variant needs one amount, not a range; write the one to use")
    if not do and "do" not in reader.data:
        reader.fault("do", f"the change does not say what to do; write do = one of {listed(CHANGES)}")
    if not food:
        reader.fault("food", 'the change names no food; write food = "..." as in the ingredient')
    if do == "replace" and not other:
        reader.fault("with", 'the new food is missing; write with = "..."')
    if do == "change amount" and "amount" not in reader.data:
        reader.fault("amount", 'the new amount is missing; write amount = "..."')
    if do == "leave out" and (other or "amount" in reader.data):
        reader.fault("do", 'leaving out needs no food and amount; take "with" and "amount" out')
    water = reader.choice("water", WATER_FATES, "")
    if do == "add":
        _check_added(reader, amount, unit, other)
    elif water:
        reader.fault("water", "water is for added foods; a changed line keeps what becomes of its liquid")
    return Change(do, food, other, amount, unit, reader.text("treatment", LONGEST_NAME), water)


def _check_added(reader: Reader, amount: float | None, unit: str, other: str) -> None:
    """A food that joins needs an amount and a unit of its own."""
    if "amount" not in reader.data:
        reader.fault("amount", 'the amount of the added food is missing; write amount = "1 cup"')
    elif amount is not None and not unit:
        reader.fault("unit", 'the unit is missing; write unit = "..." or amount = "3/4 cup"')
    if other:
        reader.fault("with", 'adding takes the new food as food = "..."; take "with" out')


def read_review(reader: Reader) -> Review:
    """The ``[review]`` table."""
    reader.refuse_unknown(REVIEW_KEYS)
    date = reader.text("date", LONGEST_NAME)
    if date and not _is_date(date):
        reader.fault("date", f"date {shown(date)} is not understood; write it like 2026-03-31")
    number = reader.number_or_none("check_number", -_MOST_NUMBER, _MOST_NUMBER)
    return Review(reader.text("reviewer", LONGEST_NAME), date, reader.text("comment"), number)


def _is_date(text: str) -> bool:
    try:
        return datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def read_settings(reader: Reader) -> tuple[tuple[str, str], ...]:
    """The ``[settings]`` table: words by name, in the order of the file."""
    for key in reader.data:
        fault = text_fault(key, LONGEST_NAME)
        if fault:
            reader.fault("", f"the name of a setting {fault}")
    return tuple((key, reader.text(key)) for key in reader.data)
