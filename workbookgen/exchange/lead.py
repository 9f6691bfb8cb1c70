"""The amount at the head of an ingredient line: "2 (14.5-ounce) cans", "1 lb 4 oz", "200g/7oz", "3 large"."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

from workbookgen.exchange.lexicon import Lexicon, UnitWord
from workbookgen.exchange.quantities import Quantity, read_range, read_unit

MEASURED = ("mass", "volume")
_TOKEN = re.compile(r"\s*\[(\d+)\]")
_SAME = re.compile(r"\s*(?:/|\||;|=)\s*(?:about\s+)?")
_PLUS = re.compile(r"\s*(?:plus|\+|and|&)\s+", re.I)
_ONE_OF = frozenset({"pinch", "dash", "handful", "bunch", "splash", "drizzle", "squeeze", "knob", "sprinkle",
                     "dollop", "glug"})  # fmt: skip
ONE = Fraction(1)


@dataclass
class Lead:
    """What was read at the head; ``rest`` is the remaining text."""

    amounts: list[Quantity] = field(default_factory=list)
    each: Quantity | None = None
    size: str = ""
    same_as: list[Quantity] = field(default_factory=list)
    each_of: bool = False
    undecided: str = ""
    doubts: list[str] = field(default_factory=list)
    packing: str = ""
    rest: str = ""


def settle(
    low: Fraction, high: Fraction | None, unit: UnitWord | None, doubt: str, words: Lexicon
) -> Quantity:
    """A quantity in a unit of the units table: decilitres, gallons and the like become mL or g."""
    if unit and unit.factor:
        own = words.units[unit.name.lower()]
        if own.factor != unit.factor:
            scale = Fraction(unit.factor / own.factor).limit_denominator(10**6)
            low, high, unit = low * scale, high * scale if high else None, own
    return Quantity(low, high, unit, doubt)


def read_quantity(text: str, words: Lexicon) -> tuple[Quantity, str] | None:
    """A number with its unit at the start of ``text`` and what follows; None when no number stands there."""
    text = drop_about(text, words)
    found = read_range(text, words)
    if found is None:
        return None
    low, high, end = found
    rest = drop_about(text[end:].lstrip(" -"), words)
    unit = read_unit(rest, words)
    if unit is None:
        return Quantity(low, high, None), rest
    tail = re.match(r"\s*-?\s*to\s+|\s*-\s*", rest[unit[1] :])
    if tail and high is None:  # "3-pound to 4-pound"
        second = (
            read_quantity(rest[unit[1] + tail.end() :], words)
            if re.match(r"\d", rest[unit[1] + tail.end() :])
            else None
        )
        if second and second[0].unit == unit[0] and second[0].low > low:
            return settle(low, second[0].low, unit[0], unit[2], words), second[1]
    return settle(low, high, unit[0], unit[2], words), rest[unit[1] :]


def drop_about(text: str, words: Lexicon) -> str:
    """``text`` without leading words such as "about" or "heaping"."""
    while True:
        match = words.phrase("about").match(text)
        if not match or match[0].lower() == "each":
            return text
        text = text[match.end() :].lstrip(" -,")


def read_lead(text: str, brackets: list[str], words: Lexicon) -> Lead | None:
    """The amount at the head of ``text``; None when the line does not start with one.

    Brackets stand in ``text`` as "[0]", "[1]"; those that tell the size of a container or the same amount
    otherwise are used up (set to "" in ``brackets``).
    """
    text = drop_about(text, words)
    few = words.phrase("few").match(text)
    if few:
        return _few(text, few, words)
    found = read_range(text, words)
    if found is None:
        return _one_of(text, words)
    low, high, end = found
    lead = Lead()
    rest = drop_about(text[end:].lstrip(" -"), words)
    rest = _each_before(rest, brackets, lead, words)
    rest = _size(rest, lead, words)
    rest = _each_before(rest, brackets, lead, words)
    rest = _packing(rest, lead, words)
    unit = read_unit(rest, words)
    if unit and unit[0].kind in (*MEASURED, "length") and lead.each is None:
        boxed = re.match(r"[\s-]+", rest[unit[1] :])
        inner = read_unit(rest[unit[1] + boxed.end() :], words) if boxed else None
        if inner and inner[0].kind == "container" and high is None:
            # "15-oz can": the number is the size of the one container.
            lead.each = settle(low, None, unit[0], unit[2], words)
            low, rest, unit = ONE, rest[unit[1] + boxed.end() :] if boxed else rest, inner
    if unit is None or (unit[0].kind == "piece" and not rest[unit[1] :].strip(" ,.")):
        # "2 eggs", or a word that is the food itself ("4 chops")
        lead.amounts.append(Quantity(low, high, unit[0] if unit and unit[0].keep else None))
        lead.rest = _after(rest, brackets, lead, words)
        return lead
    amount = settle(low, high, unit[0], unit[2], words)
    lead.amounts.append(amount)
    after = rest[unit[1] :]
    if unit[0].keep:
        after = f" {rest[: unit[1]]}{after}" if not re.match(r"\s*(?:of\b|\[)", after) else after
    lead.rest = _after(after, brackets, lead, words)
    lead.doubts += [amount.doubt] if amount.doubt else []
    return lead


def _few(text: str, match: re.Match[str], words: Lexicon) -> Lead:
    rest = text[match.end() :].lstrip()
    unit = read_unit(rest, words)
    if unit:
        rest = rest[unit[1] :]
    return Lead(undecided=match[0].lower(), rest=_of(rest))


def _one_of(text: str, words: Lexicon) -> Lead | None:
    """ "Pinch of salt", "Handful spinach": one of it."""
    unit = read_unit(text, words)
    if unit is None or unit[2]:
        return None
    rest = text[unit[1] :]
    if unit[0].name in _ONE_OF or (
        unit[0].kind in ("container", "piece") and re.match(r"\s+of\s", rest, re.I)
    ):
        return Lead(amounts=[Quantity(ONE, None, unit[0])], rest=_of(rest))
    return None


def _each_before(rest: str, brackets: list[str], lead: Lead, words: Lexicon) -> str:
    """Reads the size that stands between the count and the container: "(15 oz)", "10-oz", "x 400 g"."""
    if lead.each is not None:
        return rest
    token = _TOKEN.match(rest)
    if token:
        inside = read_quantity(brackets[int(token[1])], words)
        if inside and inside[0].unit and inside[0].unit.kind in (*MEASURED, "length"):
            lead.each = inside[0]
            brackets[int(token[1])] = ""
            return rest[token.end() :].lstrip()
        return rest
    times = re.match(r"x\s*(?=[\d.])", rest, re.I)
    start = times.end() if times else 0
    if not re.match(r"\d", rest[start:]):
        return rest
    inside = read_quantity(rest[start:], words)
    if inside and inside[0].unit and inside[0].unit.kind in (*MEASURED, "length"):
        lead.each = inside[0]
        return inside[1].lstrip(" -")
    return rest


def _size(rest: str, lead: Lead, words: Lexicon) -> str:
    match = words.phrase("sizes").match(rest)
    if not match:
        return rest
    after = rest[match.end() :].lstrip(" -,")
    second = words.phrase("sizes").match(re.sub(r"^(?:to|or)\s+", "", after))
    if second and re.match(r"(?:to|or)\s", after):  # "medium to large"
        after = after[after.index(second[0]) + len(second[0]) :].lstrip(" -,")
    lead.size = words.sizes.get(match[0].lower(), match[0].lower())
    return after


def _packing(rest: str, lead: Lead, words: Lexicon) -> str:
    match = words.phrase("packing").match(rest)
    if match:
        lead.packing = match[0].lower()
        return rest[match.end() :].lstrip(" -,")
    return rest


def _after(rest: str, brackets: list[str], lead: Lead, words: Lexicon) -> str:
    """Reads what may follow the unit: a bracket, the same amount otherwise, a second amount, "each", "of"."""
    while True:
        token = _TOKEN.match(rest)
        inside = read_quantity(brackets[int(token[1])], words) if token else None
        if token and inside and inside[0].unit and _use_bracket(inside[0], inside[1], lead):
            brackets[int(token[1])] = ""
            rest = rest[token.end() :]
            continue
        same = _SAME.match(rest)
        second = read_quantity(rest[same.end() :], words) if same else None
        if second and second[0].unit and second[0].unit.kind in MEASURED:
            lead.same_as.append(second[0])
            rest = second[1]
            continue
        plus = _PLUS.match(rest) or re.match(r"\s*,?\s*(?=\d)", rest)
        second = read_quantity(rest[plus.end() :], words) if plus and lead.amounts else None
        if (
            second
            and second[0].unit
            and second[0].unit.kind in MEASURED
            and _adds(lead.amounts[-1], second[0], plus)
        ):
            lead.amounts.append(second[0])
            lead.doubts += [second[0].doubt] if second[0].doubt else []
            rest = second[1]
            continue
        break
    each = re.match(r"\s*each\b(?:\s+of)?\s*", rest, re.I)
    if each:
        lead.each_of, rest = True, rest[each.end() :]
    if not lead.size:
        rest = (
            _size(_of(rest), lead, words)
            if lead.amounts[0].unit is None or lead.amounts[0].unit.kind == "piece"
            else rest
        )
    return _of(_packing(_of(rest), lead, words))


def _use_bracket(inside: Quantity, tail: str, lead: Lead) -> bool:
    """Puts the amount of a bracket where it belongs; False when it says something else."""
    unit = lead.amounts[0].unit
    if inside.unit is None or (inside.unit.kind not in MEASURED and inside.unit.kind != "piece"):
        return False
    if re.search(r"\beach\b", tail) or (unit is not None and unit.kind == "container" and lead.each is None):
        if inside.unit.kind not in MEASURED or lead.each is not None:
            return False
        lead.each = inside
    else:
        lead.same_as.append(inside)
    return True


def _adds(first: Quantity, second: Quantity, plus: re.Match[str] | None) -> bool:
    """True when the second amount is added to the first: same kind, and smaller when no word joins them."""
    if first.unit is None or second.unit is None or first.unit.kind != second.unit.kind:
        return False
    joined = bool(plus and re.search(r"plus|\+|and|&", plus[0], re.I))
    return joined or second.unit.factor < first.unit.factor


def _of(rest: str) -> str:
    return re.sub(r"^\s*(?:of\s+)?(?:(?:the|an?)\s+)?", "", rest, flags=re.I).lstrip(" -,.:") if rest else ""


def scale(quantity: Quantity, by: Fraction) -> Quantity:
    """``quantity`` times ``by``."""
    return replace(quantity, low=quantity.low * by, high=quantity.high * by if quantity.high else None)
