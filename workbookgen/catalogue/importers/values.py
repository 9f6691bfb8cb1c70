"""One printed value on its way into the table: unit, sign, physical bounds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from workbookgen.catalogue.importers.faults import Findings
from workbookgen.catalogue.importers.raw import is_amount, times
from workbookgen.catalogue.importers.rules import ImportRules

ZERO = "0"


@dataclass(frozen=True, slots=True)
class ValueReader:
    """Checks values; ``most`` is the most of each tag that 100 g can hold, in the tag's unit."""

    rules: ImportRules
    most: Mapping[str, float]
    findings: Findings

    def amount(self, tag: str, text: str, factor: Decimal, place: str) -> str | None:
        """The value in the tag's unit; None (and a fault) when it cannot be one."""
        if not is_amount(text):
            comma = " with a decimal point" if "," in text else ""
            self.findings.bad(place, f'{tag} is "{text}" where a number{comma} belongs; leave unknowns blank')
            return None
        value = times(text, factor, self.rules.digits)
        number = float(value)
        if number < 0:
            if -number <= self.rules.below_zero.get(tag, 0.0):
                self.findings.remark(f"{tag} by difference slightly below 0, read as 0", f"{place}: {text}")
                return ZERO
            self.findings.bad(place, f"{tag} is {text}; an amount cannot be below 0")
            return None
        if number > self.most[tag]:
            what = f"{tag} is {value} per 100 g; more than {self.most[tag]:g} cannot be"
            self.findings.bad(place, what + " (another unit, or a slip of the decimal point?)")
            return None
        return value

    def beside(self, text: str, factor: Decimal) -> str:
        """Minimum, maximum or standard error: in the tag's unit, blank when it is no number."""
        return times(text, factor, self.rules.digits) if text and is_amount(text) and float(text) >= 0 else ""
