"""Chooses the unit of the food table that a line means, and checks it against the weight in brackets."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from workbookgen.exchange.measured import Kit, Measured, total
from workbookgen.exchange.parsed import ParsedLine
from workbookgen.exchange.piece_choice import choose_piece
from workbookgen.exchange.quantities import Quantity
from workbookgen.model.food import Food, Measure
from workbookgen.nutrition.amounts import grams_of_unit

VOLUME_WORDS = ("cup", "tbsp", "tsp", "fl oz", "pint", "quart")
DRAINED_STATES = ("drained", "rinsed")
FLESH = ("Meat", "Poultry", "Fish and seafood")
ONE = Fraction(1)


def choose_measure(line: ParsedLine, food: Food, own: Sequence[Measure], drained: bool, kit: Kit) -> Measured:
    """The amount of ``line`` for ``food``, whose household measures are ``own``.

    ``drained`` is true when the line asks for the drained food. A missing amount is never taken as zero.
    """
    if not line.amounts:
        said = f'"{line.undecided}"' if line.undecided else "no amount"
        return Measured(None, None, "", None, (f"{said} is told: measure it once and write a number",))
    told = _household(line, food, own, drained, kit)
    beside = [m for q in line.same_as if (m := _by_size(q, food, own, line, kit)) is not None]
    if told.low is None or told.grams is None:
        weighed = next((m for m in beside if m.grams is not None), None)
        if weighed is not None:
            remark = f"taken from the amount in brackets, since {told.doubts[0]}" if told.doubts else ""
            told = replace(weighed, remarks=(*weighed.remarks, *filter(None, [remark])))
    told = _cross_check(told, beside, line, kit)
    return _basis(told, line, food, kit)


def _household(line: ParsedLine, food: Food, own: Sequence[Measure], drained: bool, kit: Kit) -> Measured:
    amount = total(line.amounts)
    kind = amount.unit.kind if amount.unit else "count"
    if kind in ("mass", "volume"):
        found = _by_size(amount, food, own, line, kit)
        return found or Measured(
            None, None, "", None, (f"the food table gives no weight for a {_name(amount)}",)
        )
    if line.each is not None and line.each.unit is not None and line.each.unit.factor:
        return _container(amount, line.each, line, food, own, drained, kit)
    if kind in ("vague", "length"):
        return Measured(None, None, "", None, (f"a {_name(amount)} has no fixed weight",))
    return choose_piece(amount, line, food, own, kit)


def _name(amount: Quantity) -> str:
    return amount.unit.name if amount.unit else "piece"


def _by_size(
    amount: Quantity, food: Food, own: Sequence[Measure], line: ParsedLine, kit: Kit
) -> Measured | None:
    """A weight as it is; a volume by the measure of the right cut, else by the food's density."""
    if amount.unit is None:
        return None
    if amount.unit.kind == "mass":
        return Measured(amount.low, amount.high, amount.unit.name, amount.unit.factor)
    if amount.unit.kind != "volume":
        found = choose_piece(amount, line, food, own, kit)
        return found if found.low is not None and not found.doubts else None
    cut = _of_this_cut(amount, food, own, line, kit)
    if cut is not None:
        return cut
    unit = next(u for u in kit.words.measured if u.name == amount.unit.name)
    each = grams_of_unit(food, unit)
    if each is not None:
        return Measured(amount.low, amount.high, unit.name, each)
    return _any_cup(amount, own, kit)


def _volumes(own: Sequence[Measure]) -> list[tuple[str, str, Measure]]:
    """Measures such as "cup, chopped" as (cup, chopped, measure)."""
    out = []
    for measure in own:
        word = next((w for w in VOLUME_WORDS if re.match(rf"{w}\b", measure.unit)), None)
        if word:
            out.append((word, re.sub(r"\(.*?\)", "", measure.unit[len(word) :]).strip(" ,"), measure))
    return out


def _scaled(amount: Quantity, word: str, measure: Measure, kit: Kit) -> Measured:
    """``amount`` in the unit of ``measure``: 2 tbsp are 1/8 of a cup."""
    assert amount.unit is not None
    scale = Fraction(amount.unit.factor / kit.words.units[word].factor).limit_denominator(1000)
    return Measured(
        amount.low * scale, amount.high * scale if amount.high else None, measure.unit, measure.grams
    )


def _cuts(text: str, kit: Kit) -> frozenset[str]:
    same = kit.words.same_prep
    return frozenset(same[t] for t in re.findall(r"[a-z]+", text.lower()) if t in same)


def _of_this_cut(
    amount: Quantity, food: Food, own: Sequence[Measure], line: ParsedLine, kit: Kit
) -> Measured | None:
    """The volume measure whose words the line uses ("cup, shredded", "cup, cherry tomatoes")."""
    said = kit.spell.same(f"{line.name} {line.comment}")
    first = re.split(r";|\band\b", line.comment)[0]
    cuts = _cuts(f"{line.name} {line.comment}", kit)
    first_cuts = _cuts(f"{line.name} {first}", kit)
    named = set(kit.spell.tokens(food.name))
    best: tuple[float, int, str, Measure] | None = None
    for word, rest, measure in _volumes(own):
        has = _cuts(rest, kit) - ({"whole"} if "whole" in named else set())
        own_words = {t for t in kit.spell.tokens(rest) if t not in named and t not in kit.words.same_prep}
        points = (
            2.0 * len(has & first_cuts)
            + 1.0 * len(has & cuts)
            + sum(t in said.split() for t in own_words) * 2.0
        )
        points += 0.5 if amount.unit and word == amount.unit.name else 0.0
        if has & cuts or any(t in said.split() for t in own_words):
            key = (points, -measure.number, word, measure)
            if best is None or key[:2] > best[:2]:
                best = key
    return _scaled(amount, best[2], best[3], kit) if best else None


def _any_cup(amount: Quantity, own: Sequence[Measure], kit: Kit) -> Measured | None:
    """Some volume measure of a food without a plain one; a doubt unless all of them weigh nearly alike."""
    volumes = _volumes(own)
    if not volumes:
        return None
    word, _, measure = volumes[0]
    per_ml = [m.grams / kit.words.units[w].factor for w, _, m in volumes]
    found = _scaled(amount, word, measure, kit)
    if max(per_ml) <= min(per_ml) * (1 + kit.limits["same_cup"]):
        return found
    return replace(found, doubts=(f'the cut is not told: "{measure.unit}" is one of several measures',))


def _container(
    amount: Quantity,
    each: Quantity,
    line: ParsedLine,
    food: Food,
    own: Sequence[Measure],
    drained: bool,
    kit: Kit,
) -> Measured:
    """ "2 (15 oz) cans": the measure of that can, else its net weight, less the liquid when drained."""
    assert each.unit is not None
    can = amount.unit is not None and amount.unit.kind == "container"
    if can:
        for measure in own:
            size = re.search(r"\((\d[\d. /]*)\s*(oz|fl oz)\)", measure.unit)
            same = size and _near(each, size[1], size[2], kit) and measure.unit.startswith(_name(amount))
            if same and (not drained or food.state in DRAINED_STATES or _name(amount) not in ("can", "jar")):
                return Measured(amount.low, amount.high, measure.unit, measure.grams)
    net = Quantity(amount.low * each.low, _high(amount, each), each.unit)
    found = _by_size(net, food, own, line, kit)
    if found is None:
        return Measured(None, None, "", None, (f"the food table gives no weight for a {_name(each)}",))
    if not (
        can and drained and each.unit.kind == "mass" and amount.unit and amount.unit.name in ("can", "jar")
    ):
        return found
    share = kit.drained.get(("group", food.group))
    if share is None:
        return replace(found, doubts=("the weight told is with the liquid; the drained weight is not known",))
    low = Fraction(found.grams or 0).limit_denominator(1000) * Fraction(share).limit_denominator(100)
    grams = Fraction(round(float(low)))
    remark = f"{share:.0%} of the net weight is taken as drained food"
    return Measured(grams, None, "g", 1.0, found.doubts, (*found.remarks, remark))


def _near(each: Quantity, number: str, unit: str, kit: Kit) -> bool:
    """True when a can of this size counts as the can that was measured."""
    size = float(sum(Fraction(part) for part in number.split())) * kit.words.units[unit].factor
    base = each.base or 0.0
    if each.unit is not None and each.unit.kind != kit.words.units[unit].kind:
        return False
    return abs(base - size) <= kit.limits["can_size"] / 4 * size


def _high(amount: Quantity, each: Quantity) -> Fraction | None:
    if amount.high is None and each.high is None:
        return None
    return (amount.high or amount.low) * (each.high or each.low)


def _cross_check(told: Measured, beside: Sequence[Measured], line: ParsedLine, kit: Kit) -> Measured:
    """Reports a household measure and a weight in brackets that do not agree."""
    low, high = told.grams, told.grams_high
    if low is None or high is None:
        return told
    for other in beside:
        grams, top = other.grams, other.grams_high
        if grams is None or top is None or grams <= 0:
            continue
        rough = (
            2.0
            if other.unit not in ("g", "kg", "oz", "lb") and told.unit not in ("g", "kg", "oz", "lb")
            else 1.0
        )
        limit = kit.limits["conflict"] * rough
        if grams > high * (1 + limit) or top < low * (1 - limit):
            doubt = f"the amounts do not agree: {low:.0f} g by the measure, {grams:.0f} g as told in brackets"
            return replace(told, doubts=(*told.doubts, doubt))
    return told


def _basis(told: Measured, line: ParsedLine, food: Food, kit: Kit) -> Measured:
    """A bare weight of a food with much peel or shell is taken as bought; with bone it is asked for."""
    if food.refuse_pct <= 0 or told.unit not in ("g", "kg", "oz", "lb"):
        return told
    flesh = food.group in FLESH
    said, name = f"{line.name} {line.comment}".lower(), line.name.lower()
    if any(re.search(rf"\b{re.escape(w)}\b", said) for w in kit.words.bought):
        return replace(told, as_bought=True, remarks=(*told.remarks, "weight taken as bought"))
    edible = any(re.search(rf"\b{re.escape(w)}\b", said if flesh else name) for w in kit.words.bought_edible)
    if edible or food.refuse_pct < kit.limits["bone_pct" if flesh else "refuse_pct"]:
        return told
    what = f"{food.refuse_pct:g} % {food.refuse_what.lower() or 'waste'}"
    if flesh and not re.search(r"bone|shell", food.refuse_what, re.I):
        return told
    if flesh:
        doubt = f"with or without bone is not told ({what}); the weight is taken as without"
        return replace(told, doubts=(*told.doubts, doubt))
    return replace(told, as_bought=True, remarks=(*told.remarks, f"weight taken as bought ({what})"))
