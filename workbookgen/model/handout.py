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
