"""Targets as people write them: nutrients, plate, energy, weight, cost, protein score, statements.

``FE >= 20 %DV``, ``sodium <= 480 mg``, ``NA <= 120 mg per 100 g``, ``ENERC_KCAL 400..550``, ``plate within 5``,
``plate vegetables and fruit >= 45 %``, ``serving weight 350..450 g``, ``cost <= 2.50``, ``protein score >= 1``,
``corrected protein >= 10 g``; statements by their words or id.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.claims import Statement
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe, Target
from workbookgen.model.tables import PlateModel
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.text import nearest
from workbookgen.recipes.units import convert

PLACE, STATEMENT_PLACE = "--target", "--statement"
NUTRIENT, PLATE, WEIGHT, COST, SCORE, CORRECTED, STATEMENT = (
    "nutrient", "plate", "serving weight", "cost", "protein score", "corrected protein", "statement",
)  # fmt: skip
PER_SERVING, PER_100G, PER_DV = "serving", "100 g", "%DV"
EXAMPLES = (
    '"FE >= 20 %DV", "NA <= 480 mg", "ENERC_KCAL 400..550", "plate within 5", "serving weight >= 350 g", "cost <= 2.50"'
)

_NUMBER = r"[0-9]*\.?[0-9]+"
_SIGNS = {">=": ">=", "=>": ">=", "≥": ">=", "<=": "<=", "=<": "<=", "≤": "<="}
_RANGE = re.compile(rf"(?P<what>.*?)\s*(?P<low>{_NUMBER})\s*(?:\.\.+|…|\bto\b|-|–)\s*(?P<high>{_NUMBER})\s*(?P<unit>.*)", re.I)
_LIMIT = re.compile(rf"(?P<what>.*?)\s*(?P<sign>>=|=>|≥|<=|=<|≤)\s*(?P<value>{_NUMBER})\s*(?P<unit>.*)")
_WITHIN = re.compile(rf"plate\s+within\s+(?P<value>{_NUMBER})\s*(?:%|points|percentage points)?", re.I)
_PER_100 = re.compile(r"\s*(?:per|/|in)\s*100\s*g\s*$", re.I)
_PER_SERVING = re.compile(r"\s*(?:per|/)\s*serving\s*$", re.I)


@dataclass(frozen=True, slots=True)
class Wish:
    """One target. ``low`` and ``high`` stand in ``unit`` (None = no such limit); ``basis`` tells what of
    (nutrients only); ``group`` is a plate group, "" for all of them within ``tolerance`` percentage points."""

    text: str
    kind: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    tag: str = ""
    basis: str = ""
    group: str = ""
    tolerance: float = 0.0
    statement: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What targets are read against."""

    kitchen: Kitchen
    model: PlateModel
    reference_set: str
    rule_set: str
    words: Mapping[str, str]

    def tag(self, text: str) -> str:
        """The tag of a nutrient by tag or name; raises BadInput with the nearest names."""
        wanted = " ".join(text.split()).casefold()
        nutrients = self.kitchen.tables.nutrients
        by_word = {n.name.casefold(): n.tag for n in nutrients} | {n.tag.casefold(): n.tag for n in nutrients}
        meant = self.words.get(wanted, wanted)
        meant = self.words.get(meant, meant).casefold()  # "fibre" is spelled "fiber", which is FIBTG
        found = by_word.get(wanted) or by_word.get(meant)
        if found is None:
            near = nearest(text, [*by_word, *self.words], 3, 0.0)
            raise BadInput(PLACE, f"there is no nutrient '{text}'; the nearest are {', '.join(near)}")
        return found


def parse_wish(text: str, reading: Reading) -> Wish:
    """The target that ``text`` spells. Raises BadInput with one sentence that shows how to write it."""
    words = " ".join(text.split())
    within = _WITHIN.fullmatch(words)
    if within:
        return Wish(words, PLATE, tolerance=_positive(words, float(within["value"])), unit="%")
    limit = _LIMIT.fullmatch(words)
    span = None if limit else _RANGE.fullmatch(words)
    if limit:
        value = float(limit["value"])
        floor = _SIGNS[limit["sign"]] == ">="
        low, high = (value, None) if floor else (None, value)
    elif span:
        low, high = float(span["low"]), float(span["high"])
        if low > high:
            raise BadInput(PLACE, f"'{words}' runs downwards; write the smaller number first")
    else:
        raise BadInput(PLACE, f"'{words}' is not understood; write it like {EXAMPLES}")
    match = limit or span
    assert match is not None
    what, unit = match["what"].strip(), match["unit"].strip()
    if not what:
        raise BadInput(PLACE, f"'{words}' names no nutrient or figure; write it like {EXAMPLES}")
    return _of_what(words, what, low, high, unit, reading)


def _positive(words: str, value: float) -> float:
    if value <= 0:
        raise BadInput(PLACE, f"'{words}' asks for 0; write a number above 0")
    return value


def _of_what(words: str, what: str, low: float | None, high: float | None, unit: str, reading: Reading) -> Wish:
    head = what.casefold()
    if head in (WEIGHT, "serving"):
        grams = _converted(words, unit or "g", "g", low, high)
        return Wish(words, WEIGHT, *grams, unit="g")
    if head == COST:
        _no_unit(words, unit)
        return Wish(words, COST, low, high)
    if head == SCORE:
        _no_unit(words, unit)
        if high is not None:
            raise BadInput(PLACE, f"'{words}': a protein score can only be wished to be at least something; write >=")
        return Wish(words, SCORE, low)
    if head == CORRECTED:
        if high is not None:
            raise BadInput(PLACE, f"'{words}': corrected protein can only be wished to be at least something; write >=")
        return Wish(words, CORRECTED, *_converted(words, unit or "g", "g", low, high), unit="g")
    if head == PLATE or head.startswith(PLATE + " "):
        if unit not in ("", "%"):
            raise BadInput(PLACE, f"'{words}': a share of the plate is told in %; write %")
        return Wish(words, PLATE, low, high, unit="%", group=plate_group(what[len(PLATE) :].strip(), reading.model))
    return _nutrient(words, what, low, high, unit, reading)


def _no_unit(words: str, unit: str) -> None:
    if unit:
        raise BadInput(PLACE, f"'{words}': '{unit}' does not belong there; write the number alone")


def _nutrient(words: str, what: str, low: float | None, high: float | None, unit: str, reading: Reading) -> Wish:
    basis = PER_SERVING
    if _PER_100.search(unit):
        basis, unit = PER_100G, _PER_100.sub("", unit)
    unit = _PER_SERVING.sub("", unit).strip()
    nutrient = reading.kitchen.nutrient_by_tag[reading.tag(what)]
    if unit.replace(" ", "").upper() == PER_DV:
        if basis == PER_100G:
            raise BadInput(PLACE, f"'{words}': %DV is told of a serving; leave 'per 100 g' out or give an amount")
        if nutrient.tag not in reading.kitchen.reference_set_by_id[reading.reference_set].values:
            raise BadInput(PLACE, f"'{words}': {nutrient.name} has no Daily Value in this set; give {nutrient.unit} instead")
        return Wish(words, NUTRIENT, low, high, PER_DV, nutrient.tag, PER_DV)
    low, high = _converted(words, unit or nutrient.unit, nutrient.unit, low, high)
    return Wish(words, NUTRIENT, low, high, nutrient.unit, nutrient.tag, basis)


def _converted(
    words: str, from_unit: str, to_unit: str, low: float | None, high: float | None
) -> tuple[float | None, float | None]:
    """Both limits in ``to_unit``; raises BadInput where the unit is of another kind."""

    def one(value: float | None) -> float | None:
        if value is None or from_unit.casefold() == to_unit.casefold():
            return value
        found = convert(value, from_unit, to_unit)
        if found is None:
            raise BadInput(PLACE, f"'{words}': '{from_unit}' is no unit for this; write {to_unit}")
        return found

    return one(low), one(high)


def plate_group(text: str, model: PlateModel) -> str:
    """The group of the plate model that ``text`` names, by its beginning or a word of its own."""
    wanted = text.casefold()
    names = [g.name for g in model.groups]
    for name in names:
        if name.casefold() == wanted:
            return name
    found = [n for n in names if wanted and wanted in n.casefold()]
    if len(found) == 1:
        return found[0]
    raise BadInput(PLACE, f"the plate has no group '{text}'; its groups are {'; '.join(names)}")


def parse_statement(text: str, reading: Reading) -> Wish:
    """A statement by its words or id in the rule set in use. Raises BadInput with the nearest ones."""
    shown = {s.id: s for s in reading.kitchen.tables.claims.statements if s.shown}
    spelled = {typed: means for typed, means in reading.words.items() if means.islower()}
    wanted = " ".join(spelled.get(w, w) for w in text.casefold().split())
    by_words = _statement_words(list(shown.values()), reading.rule_set)
    found = by_words.get(wanted) or shown.get(text.strip())
    if found is None:
        near = nearest(wanted, list(by_words), 3, 0.0)
        raise BadInput(STATEMENT_PLACE, f"there is no statement '{text}'; the nearest are {'; '.join(near)}")
    return Wish(found.words[reading.rule_set] or found.id, STATEMENT, statement=found.id)


def _statement_words(statements: Sequence[Statement], rule_set: str) -> dict[str, Statement]:
    return {s.words[rule_set].casefold(): s for s in reversed(statements) if s.words[rule_set]}


def wish_of(target: Target, kitchen: Kitchen) -> Wish:
    """A target of a recipe file as a wish."""
    unit = PER_DV if target.basis == PER_DV else kitchen.nutrient_by_tag[target.tag].unit
    low, high = (target.value, None) if target.sign == ">=" else (None, target.value)
    text = f"{target.tag} {target.sign} {target.value:g} {unit}"
    return Wish(text, NUTRIENT, low, high, unit, target.tag, PER_DV if target.basis == PER_DV else PER_SERVING)


def targets_of(wishes: Sequence[Wish], recipe: Recipe, most: int) -> tuple[Target, ...]:
    """What of the wishes a recipe file can hold, before its own targets on other nutrients; at most ``most``."""
    found: list[Target] = []
    for wish in wishes:
        if wish.kind == NUTRIENT and wish.basis != PER_100G:
            basis = PER_DV if wish.basis == PER_DV else "amount"
            unit = "" if basis == PER_DV else wish.unit
            for sign, value in ((">=", wish.low), ("<=", wish.high)):
                if value is not None:
                    found.append(Target(wish.tag, sign, value, basis, unit))
    asked = {(t.tag, t.sign) for t in found}
    found += [t for t in recipe.targets if (t.tag, t.sign) not in asked]
    return tuple(found[:most])
