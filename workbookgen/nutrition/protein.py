"""Protein quality of a recipe: amino acids against reference patterns, and corrected protein.

Each amino acid and the protein are summed over the ingredients first, then compared; scores are never
averaged (FAO 2013, section 4.2; FAO/WHO 1991, section 8). Patterns are mg per g of protein as nitrogen x 6.25,
so each food's protein is turned from its own factor to 6.25.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.food import Food
from workbookgen.model.science import AMINO, AMINO_TAGS, ProteinPattern, amino_parts
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up

ENOUGH, NOT_ENOUGH = "enough data", "not enough data"


@dataclass(frozen=True, slots=True)
class ProteinLine:
    """Protein of one line: ``total`` as the food table gives it (None = unknown), ``nitrogen`` the same nitrogen x
    6.25. ``reference`` and ``digested`` are that protein and its digested part where all amino acids are known,
    0 otherwise; ``published`` is ``reference`` where a digestibility is published; ``amino`` in mg."""

    total: float | None
    nitrogen: float
    reference: float
    digested: float
    published: float
    amino: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Score:
    """Amino acids (mg per g of protein) against one pattern: ratios, the lowest and its amino acid.

    ``score`` is None when no protein has known amino acids; ``limiting`` is "" then.
    """

    ratios: Mapping[str, float]
    score: float | None
    limiting: str
    reached: bool


@dataclass(frozen=True, slots=True)
class ProteinResult:
    """The protein block of one serving.

    ``covered`` is the share (0-1) of the protein whose amino acids are known, ``published`` the share of that with a
    published digestibility (the rest takes the lowest published one, so the figure errs low). ``corrected_g`` follows
    21 CFR 101.9(c)(7): protein (N x 6.25) x amino-acid score x digestibility, the product never above 1; it counts
    covered protein only and is None when too little is covered. ``without`` holds the score of the dish without each
    line, None where nothing would be left.
    """

    lines: tuple[ProteinLine, ...]
    serving_g: float
    reference_g: float
    covered: float
    published: float
    mg_per_g: Mapping[str, float]
    chosen: Score
    scores: tuple[Score, ...]
    regulation: Score
    digestibility: float | None
    corrected_score: float | None
    corrected_g: float | None
    dv_pct: float | None
    complete: str
    without: tuple[tuple[float | None, str], ...]


def reference_protein(food: Food, protein_g: float, reference_factor: float) -> float:
    """Protein as nitrogen x ``reference_factor`` (6.25) from protein by the food's own factor; a food without a
    factor of its own is taken as it stands."""
    own = food.nitrogen_factor
    return protein_g * reference_factor / own if own is not None and own > 0 else protein_g


def amino_mg(values: Mapping[str, float | None]) -> dict[str, float] | None:
    """Milligrams of each entry of a pattern from grams by tag; None when any amino acid is unknown."""
    found: dict[str, float] = {}
    for amino in AMINO:
        total = 0.0
        for tag in amino_parts(amino):
            value = values.get(tag)
            if value is None:
                return None
            total += value
        found[amino] = total * 1000
    return found


def protein_line(kitchen: Kitchen, line: LineResult) -> ProteinLine:
    """Protein and amino acids of one line."""
    if line.source_grams == 0:
        return ProteinLine(0.0, 0.0, 0.0, 0.0, 0.0, {})
    total = line.values["PROCNT"]
    amino = amino_mg({tag: line.values[tag] for tag in AMINO_TAGS})
    food, c = line.source_food, kitchen.constants
    nitrogen = 0.0 if total is None else reference_protein(food, total, c["protein_factor"])
    if total is None or amino is None:
        return ProteinLine(total, nitrogen, 0.0, 0.0, 0.0, {})
    known = food.digestibility is not None
    digestibility = food.digestibility if food.digestibility is not None else c["protein_digestibility_floor"]
    return ProteinLine(total, nitrogen, nitrogen, nitrogen * digestibility / 100, nitrogen if known else 0.0, amino)


def score(mg: Mapping[str, float], protein_g: float, pattern: ProteinPattern) -> Score:
    """Amino-acid score of ``mg`` (milligrams by amino acid) in ``protein_g`` grams against one pattern.

    score = lowest of (mg amino acid per g test protein) / (mg per g reference protein), not cut at 1
    (FAO/WHO 1991, section 5.4.1); ties go to the first of `AMINO`.

    >>> from workbookgen.model.science import ProteinPattern
    >>> flat = ProteinPattern("x", "x", "", dict.fromkeys(AMINO, 10.0), "", "")
    >>> s = score({**dict.fromkeys(AMINO, 20.0), "LYS": 5.0}, 1.0, flat)
    >>> s.score, s.limiting, s.reached
    (0.5, 'LYS', False)
    """
    if protein_g <= 0:
        return Score({}, None, "", False)
    ratios = {amino: mg[amino] / protein_g / pattern.mg_per_g[amino] for amino in AMINO}
    lowest = min(ratios.values())
    limiting = next(amino for amino in AMINO if ratios[amino] == lowest)
    return Score(ratios, lowest, limiting, half_up(lowest, 9) >= 1)


def _sums(lines: Sequence[ProteinLine]) -> tuple[dict[str, float], float]:
    counted = [x for x in lines if x.reference > 0]
    return {amino: sum(x.amino[amino] for x in counted) for amino in AMINO}, sum(x.reference for x in counted)


def corrected(mg: Mapping[str, float], protein_g: float, digested_g: float,
              pattern: ProteinPattern) -> tuple[float | None, float | None]:
    """Digestibility (0-1) and corrected score, cut at 1 (21 CFR 101.9(c)(7)(ii)); None without protein."""
    found = score(mg, protein_g, pattern).score
    if found is None:
        return None, None
    digestibility = digested_g / protein_g
    return digestibility, min(1.0, found * digestibility)


def protein_of_serving(kitchen: Kitchen, analysis: Analysis, pattern_id: str | None = None) -> ProteinResult:
    """Protein quality of one serving; ``pattern_id`` chooses the pattern shown (None: the default one)."""
    science, n = kitchen.tables.science, analysis.servings
    lines = tuple(protein_line(kitchen, line) for line in analysis.lines)
    chosen = next((p for p in science.patterns if p.id == pattern_id),
                  science.patterns[science.pattern_no("default")])
    rule = science.patterns[science.pattern_no("regulation")]
    everything = sum(x.nitrogen for x in lines)
    mg, protein = _sums(lines)
    digestibility, corrected_score = corrected(mg, protein, sum(x.digested for x in lines), rule)
    covered = protein / everything if everything else 0.0
    least = kitchen.constants["protein_covered_min"]
    enough = half_up(covered * 100, 9) >= least
    corrected_g = corrected_score * protein / n if enough and corrected_score is not None else None
    daily = kitchen.reference_set_by_id[analysis.settings.reference_set].values.get("PROCNT")
    shown = score(mg, protein, chosen)
    return ProteinResult(
        lines=lines,
        serving_g=analysis.nutrients["PROCNT"].serving,
        reference_g=everything / n,
        covered=covered,
        published=sum(x.published for x in lines) / protein if protein else 0.0,
        mg_per_g={amino: mg[amino] / protein if protein else 0.0 for amino in AMINO},
        chosen=shown,
        scores=tuple(score(mg, protein, p) for p in science.patterns),
        regulation=score(mg, protein, rule),
        digestibility=digestibility,
        corrected_score=corrected_score,
        corrected_g=corrected_g,
        dv_pct=None if corrected_g is None or daily is None else corrected_g / daily.value * 100,
        complete=completeness(shown, covered, least),
        without=tuple(_without(mg, protein, x, chosen) for x in lines),
    )


def completeness(found: Score, covered: float, least_pct: float) -> str:
    """"complete" only when every amino acid reaches the pattern and enough protein is covered."""
    if found.score is None:
        return "-"
    if half_up(covered * 100, 9) < least_pct:
        return NOT_ENOUGH
    return "complete" if found.reached else "not complete"


def _without(mg: Mapping[str, float], protein: float, line: ProteinLine,
             pattern: ProteinPattern) -> tuple[float | None, str]:
    """Score of all other covered lines together; None where that is nothing."""
    rest = protein - line.reference
    if not line.amino or line.reference == 0 or half_up(rest, 9) <= 0:
        return None, ""
    found = score({amino: mg[amino] - line.amino[amino] for amino in AMINO}, rest, pattern)
    return found.score, found.limiting


@dataclass(frozen=True, slots=True)
class PartnerResult:
    """A food tried as a partner: grams that bring the set protein, the score with it, what limits then."""

    food: Food
    grams: float
    score: float
    limiting: str


def partner_foods(kitchen: Kitchen) -> list[Food]:
    """Listed partners that the food table holds with protein and all amino acids, in list order."""
    found = [kitchen.food_by_id.get(p.food_id) for p in kitchen.tables.science.partners]
    return [f for f in found if f is not None and f.values.get("PROCNT", 0.0) > 0 and amino_mg(f.values) is not None]


def partners(kitchen: Kitchen, analysis: Analysis, pattern: ProteinPattern) -> list[PartnerResult]:
    """Score of one serving with each partner food added, in list order."""
    n = analysis.servings
    mg, protein = _sums([protein_line(kitchen, line) for line in analysis.lines])
    found = []
    for food in partner_foods(kitchen):
        grams = kitchen.constants["partner_protein"] / food.values["PROCNT"] * 100
        added = amino_mg(food.values)
        assert added is not None
        extra = reference_protein(food, kitchen.constants["partner_protein"], kitchen.constants["protein_factor"])
        both = {amino: mg[amino] / n + added[amino] * grams / 100 for amino in AMINO}
        result = score(both, protein / n + extra, pattern)
        assert result.score is not None
        found.append(PartnerResult(food, grams, result.score, result.limiting))
    return found
