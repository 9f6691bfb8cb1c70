"""What was wrong with a file, and what could not be used: collected, counted, told in sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from workbookgen.model.errors import BadInput, BadInputs

MOST_NAMED = 20

OnFault = Callable[[BadInput], None]


@dataclass(slots=True)
class Remark:
    """Something a person should know: how often it happened and the first few cases."""

    count: int = 0
    examples: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Findings:
    """Faults (each a bad row) and remarks (what was left out or decided by a rule)."""

    examples: int
    faults: list[BadInput] = field(default_factory=list)
    fault_count: int = 0
    remarks: dict[str, Remark] = field(default_factory=dict)

    def fault(self, error: BadInput) -> None:
        """A row that cannot be right; the first `MOST_NAMED` are kept word for word."""
        self.fault_count += 1
        if len(self.faults) < MOST_NAMED:
            self.faults.append(error)

    def bad(self, place: str, what: str) -> None:
        """As `fault`, from place and sentence."""
        self.fault(BadInput(place, what))

    def remark(self, what: str, example: str = "", count: int = 1) -> None:
        """Count one case of ``what``."""
        found = self.remarks.setdefault(what, Remark())
        found.count += count
        if example and len(found.examples) < self.examples and example not in found.examples:
            found.examples.append(example)

    def stop_if_bad(self) -> None:
        """Raise everything that was wrong, with the way out."""
        if self.faults:
            more = self.fault_count - len(self.faults)
            rest = f"{more} more rows cannot be used; " if more else ""
            way_out = BadInput(
                "import", rest + "mend the rows, or import the good ones alone with --keep-good"
            )
            raise BadInputs([*self.faults, way_out])
