"""A food table as it was read: figures still the text of the file, in the units of ``nutrients.csv``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Context, Decimal

from workbookgen.catalogue.sr_ascii import SrValue, SrWeight
from workbookgen.model.tables import Source


@dataclass(slots=True)
class RawFood:
    """One food of a file. ``number`` is what people look it up by; ``ndb`` its five-digit number in USDA's
    Standard Reference, empty when it has none. ``values`` are by INFOODS tag, per 100 g edible portion;
    ``given`` holds kitchen words that the file itself states."""

    code: str
    id: str
    number: str
    place: str
    source_id: str
    source_group: str
    description: str
    ndb: str = ""
    name: str = ""
    synonyms: str = ""
    refuse_pct: str = ""
    refuse_what: str = ""
    nitrogen_factor: str = ""
    counterpart: str = ""
    as_eaten: bool = False
    given: Mapping[str, str] = field(default_factory=dict)
    values: dict[str, SrValue] = field(default_factory=dict)
    weights: list[SrWeight] = field(default_factory=list)


@dataclass(slots=True)
class RawTable:
    """Foods in file order and the sources they name."""

    label: str
    layout: str
    foods: list[RawFood]
    sources: list[Source]


def is_amount(text: str) -> bool:
    """True for a plain finite number; a decimal comma or a word is none.

    >>> is_amount("0.85"), is_amount("1,5"), is_amount("tr"), is_amount("nan")
    (True, False, False, False)
    """
    try:
        value = float(text)
    except ValueError:
        return False
    return value - value == 0 and "_" not in text


def times(text: str, factor: Decimal, digits: int) -> str:
    """The number times ``factor`` in plain digits: untouched when the factor is 1, exact when it is a power
    of ten, else with ``digits`` significant digits (half to even).

    >>> times("85.0", Decimal(1), 6), times("0.0021", Decimal(1000), 6), times("100", Decimal("0.239006"), 3)
    ('85.0', '2.1', '23.9')
    """
    text = text.strip()
    if factor == 1 and text.replace(".", "", 1).isdecimal():
        return text
    value = Decimal(text) * factor
    if factor.normalize().as_tuple().digits != (1,):
        value = Context(prec=digits, rounding=ROUND_HALF_EVEN).plus(value)
    return format(value if factor == 1 else value.normalize(), "f")
