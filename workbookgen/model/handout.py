"""Rules of the printed card: kitchen measures, the label panel, the widths of letters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KitchenStep:
    """One unit of a kitchen ladder.

    ``kind`` is "volume" (``size`` in mL), "mass" (g) or "piece" (1). The unit is used from ``from_size`` (in
    the same measure as ``size``) up. ``fractions`` are the parts of one unit that can be measured, ascending,
    with their words. ``finer``: try one unit down when the nearest is too far off; from ``split_from`` units
    up only the rest goes down (None: all of it) while whole units stay, with their fraction where
    ``keeps_fraction``; the two parts are joined by ``joiner``. ``least`` is said
    when nothing of the unit is left after rounding.
    """

    kind: str
    one: str
    many: str
    size: float
    from_size: float
    fractions: tuple[tuple[float, str], ...]
    finer: bool
    split_from: float | None
    keeps_fraction: bool
    joiner: str
    least: str
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class MetricStep:
    """From ``start`` (g or mL) up, amounts are multiples of ``step``, printed divided by ``divisor``."""

    kind: str
    start: float
    step: float
    divisor: float
    unit: str
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class KitchenWords:
    """Everything that turns a measured amount into kitchen words."""

    steps: tuple[KitchenStep, ...]
    metric: tuple[MetricStep, ...]
    plurals: Mapping[str, str]
    poured: tuple[str, ...]
    not_poured: tuple[str, ...]

    def of_kind(self, kind: str) -> tuple[KitchenStep, ...]:
        """Steps of one kind, small to large."""
        return tuple(step for step in self.steps if step.kind == kind)

    def metric_of(self, kind: str) -> tuple[MetricStep, ...]:
        """Metric steps of one kind, small to large."""
        return tuple(step for step in self.metric if step.kind == kind)


@dataclass(frozen=True, slots=True)
class UsPanelRow:
    """One line of the vertical panel of 21 CFR 101.9(d); ``{amount}`` in ``name`` takes the amount in.

    ``shows_pct``: a per cent Daily Value belongs to it; ``corrected``: only that of corrected protein.
    """

    name: str
    indent: int
    bold: bool
    tag: str
    shows_pct: bool
    corrected: bool = False


@dataclass(frozen=True, slots=True)
class EuPanelRow:
    """One line of the EU declaration (Regulation (EU) No 1169/2011 Annex XV) with its rounding.

    Up to ``low`` the amount reads "<low"; up to ``upto_1`` steps of ``step_1``, to ``upto_2`` of ``step_2``,
    above of ``step_3``. ``kind``: plain, kj, carbohydrate, salt, or vitamin (only where significant).
    """

    name: str
    indent: int
    kind: str
    tag: str
    unit: str
    low: float | None
    upto_1: float
    step_1: float
    upto_2: float
    step_2: float
    step_3: float


@dataclass(frozen=True, slots=True)
class PanelRules:
    """Rows of both panels; ``sets`` maps a reference set to its panel ("us" or "eu") and its note."""

    us: tuple[UsPanelRow, ...]
    eu: tuple[EuPanelRow, ...]
    sets: Mapping[str, tuple[str, str]]

    def panel_of(self, set_id: str) -> str:
        """Which panel the reference set prints."""
        return self.sets.get(set_id, ("us", ""))[0]

    def note_of(self, set_id: str) -> str:
        """The note under the panel; a set without one carries the note of US adults."""
        return self.sets.get(set_id, self.sets["us_4plus"])[1]
