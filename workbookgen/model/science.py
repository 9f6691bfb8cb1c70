"""Rows of the tables behind iron, protein, readings and ranges: figures with their source and status."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

#: Indispensable amino acids as scoring patterns list them; SAA and AAA are sums.
AMINO = ("HIS", "ILE", "LEU", "LYS", "SAA", "AAA", "THR", "TRP", "VAL")
AMINO_PARTS: Mapping[str, tuple[str, ...]] = {"SAA": ("MET", "CYS"), "AAA": ("PHE", "TYR")}
AMINO_NAMES: Mapping[str, str] = {
    "HIS": "Histidine", "ILE": "Isoleucine", "LEU": "Leucine", "LYS": "Lysine", "SAA": "Methionine + cystine",
    "AAA": "Phenylalanine + tyrosine", "THR": "Threonine", "TRP": "Tryptophan", "VAL": "Valine",
}


def amino_parts(amino: str) -> tuple[str, ...]:
    """Nutrient tags that a row of a scoring pattern sums up."""
    return AMINO_PARTS.get(amino, (amino,))


#: Tags of every amino acid a score needs.
AMINO_TAGS = tuple(tag for amino in AMINO for tag in amino_parts(amino))


@dataclass(frozen=True, slots=True)
class Figure:
    """One coefficient: ``value`` in ``unit``."""

    id: str
    name: str
    value: float
    unit: str
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class IronStores:
    """Iron taken up at one level of body stores (mg): nonheme % = base + slope x ln((EF + 100) / 100), at the
    cap of EF ``cap_pct``; heme ``heme_pct``."""

    stores_mg: float
    base_pct: float
    slope_pct: float
    cap_pct: float
    heme_pct: float
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class IronNeed:
    """Recommended daily iron (mg) of a life stage and the per cent of it supposed to be taken up."""

    id: str
    name: str
    iron_mg: float
    absorbed_pct: float
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ListedFood:
    """A food of the catalogue that a help list names."""

    food_id: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ProteinPattern:
    """A reference protein: mg of each of `AMINO` per g of protein (N x 6.25). ``use`` is "regulation",
    "default" or ""."""

    id: str
    name: str
    use: str
    mg_per_g: Mapping[str, float]
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """From this figure on a reading says ``words``."""

    start: float
    words: str
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """How a figure reads: rounded to ``decimals``, the last step reached counts."""

    id: str
    decimals: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class RangeDivisor:
    """With at least ``samples`` samples, (largest - smallest) / ``divisor`` estimates their standard deviation."""

    samples: int
    divisor: float
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class Science:
    """All of them; empty where a food table is used without them."""

    iron: Mapping[str, Figure] = field(default_factory=dict)
    stores: tuple[IronStores, ...] = ()
    needs: tuple[IronNeed, ...] = ()
    iron_help: tuple[ListedFood, ...] = ()
    patterns: tuple[ProteinPattern, ...] = ()
    partners: tuple[ListedFood, ...] = ()
    readings: Mapping[str, Reading] = field(default_factory=dict)
    divisors: tuple[RangeDivisor, ...] = ()

    def pattern_no(self, use: str) -> int:
        """Position (from 0) of the pattern for ``use``."""
        return next(i for i, pattern in enumerate(self.patterns) if pattern.use == use)
