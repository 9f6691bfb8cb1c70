"""Quality gates of a food table: each returns what looks wrong, with the food and the tag.

Limits stand in ``food_gates.toml``; findings that are known and explained stand in
``food_exceptions.csv``. A gate skips what is unknown: a blank is never a fault.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workbookgen.catalogue.constants import load_constants
from workbookgen.catalogue.csvread import only_once, read_rows
from workbookgen.model.food import Food

GATES_FILE = "food_gates.toml"
EXCEPTIONS_FILE = "food_exceptions.csv"
FACTORS_FILE = "food_factors.csv"
FACTOR_FIELDS = ("food_id", "protein_kcal", "fat_kcal", "carbohydrate_kcal")
MG_PER_G = 1000.0
WHOLE_G = 100.0

Limits = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that looks wrong: ``gate`` and ``tag`` name the check, ``text`` says what it saw."""

    gate: str
    food_id: str
    tag: str
    text: str

    @property
    def key(self) -> tuple[str, str, str]:
        """What an exception row names."""
        return (self.gate, self.food_id, self.tag)


@dataclass(frozen=True, slots=True)
class EnergyFactors:
    """Energy per gram (kcal/g) of protein, fat, carbohydrate and alcohol."""

    protein: float
    fat: float
    carbohydrate: float
    alcohol: float

    def energy(self, food: Food, carbohydrate_less: float = 0.0) -> float | None:
        """Energy (kcal per 100 g) of the food; ``None`` when a macronutrient is unknown."""
        v = food.values
        if not all(tag in v for tag in ("PROCNT", "FAT", "CHOCDF")):
            return None
        return (
            self.protein * v["PROCNT"]
            + self.fat * v["FAT"]
            + self.carbohydrate * (v["CHOCDF"] - carbohydrate_less)
            + self.alcohol * v.get("ALC", 0.0)
        )


def load_limits(data: Path) -> Limits:
    """Read ``food_gates.toml``."""
    return tomllib.loads((data / GATES_FILE).read_text(encoding="utf-8"))


def load_exceptions(data: Path) -> dict[tuple[str, str, str], str]:
    """Read ``food_exceptions.csv``: the reason by gate, food id and tag."""
    rows = read_rows(data / EXCEPTIONS_FILE, ("gate", "food_id", "tag", "reason"))
    only_once(rows, "gate", "food_id", "tag")
    return {
        (row.text("gate"), row.text("food_id"), row.text("tag", blank=True)): row.text("reason")
        for row in rows
    }


def load_factors(data: Path) -> dict[str, EnergyFactors]:
    """Read ``food_factors.csv``: the factors the source used, by food id."""
    alcohol = load_constants()["alcohol_kcal"]
    return {
        row.text("food_id"): EnergyFactors(
            row.number_in("protein_kcal", 0),
            row.number_in("fat_kcal", 0),
            row.number_in("carbohydrate_kcal", 0),
            alcohol,
        )
        for row in read_rows(data / FACTORS_FILE, FACTOR_FIELDS)
    }


def general_factors() -> EnergyFactors:
    """The general factors of ``constants.csv``."""
    c = load_constants()
    return EnergyFactors(c["general_protein"], c["general_fat"], c["general_carbohydrate"], c["alcohol_kcal"])


def findings(
    foods: Sequence[Food], limits: Limits, factors: Mapping[str, EnergyFactors]
) -> Iterator[Finding]:
    """Run every gate over a table."""
    general = general_factors()
    for food in foods:
        yield from proximates(food, limits["proximates"])
        yield from own_energy(food, limits["own_energy"], factors.get(food.id))
        yield from general_energy(food, limits["general_energy"], general)
        yield from parts(food, limits["part"])
        yield from amino_acids(food, limits["amino_acids"])
        yield from vitamin_a(food, limits["vitamin_a"])
        yield from minerals(food, limits["minerals"])
    yield from isolated(foods, limits["isolated"])
    yield from pairs(foods, limits["pair"])
    yield from duplicates(foods, limits["duplicate"])
    yield from links(foods, limits["link"])


def proximates(food: Food, limits: Limits) -> Iterator[Finding]:
    """Water, protein, fat, carbohydrate, ash and alcohol sum to about 100 g."""
    if all(tag in food.values for tag in limits["needed"]):
        total = sum(food.values.get(tag, 0.0) for tag in limits["tags"])
        if abs(total - limits["total_g"]) > limits["tolerance_g"]:
            yield Finding("proximates", food.id, "", f"{food.name}: proximates sum to {total:.2f} g")


def own_energy(food: Food, limits: Limits, factors: EnergyFactors | None) -> Iterator[Finding]:
    """Energy follows from the food's own factors."""
    printed = food.values.get("ENERC_KCAL")
    expected = None if factors is None else factors.energy(food)
    if printed is not None and expected is not None:
        allowed = max(limits["tolerance_kcal"], limits["tolerance_share"] * printed)
        if abs(printed - expected) > allowed:
            text = f"{food.name}: {printed:g} kcal, its own factors give {expected:.1f}"
            yield Finding("own_energy", food.id, "ENERC_KCAL", text)


def general_energy(food: Food, limits: Limits, general: EnergyFactors) -> Iterator[Finding]:
    """Energy lies between general factors without fibre (less a share) and with all carbohydrate."""
    printed = food.values.get("ENERC_KCAL")
    most = general.energy(food)
    least = general.energy(food, min(food.values.get("FIBTG", 0.0), food.values.get("CHOCDF", 0.0)))
    if printed is not None and most is not None and least is not None:
        low = limits["least_share"] * least - limits["slack_kcal"]
        high = limits["most_share"] * most + limits["slack_kcal"]
        if not low <= printed <= high:
            text = f"{food.name}: {printed:g} kcal, general factors give {least:.0f} to {most:.0f}"
            yield Finding("general_energy", food.id, "ENERC_KCAL", text)


def parts(food: Food, limits: Sequence[Limits]) -> Iterator[Finding]:
    """The parts of a whole are not above it."""
    for limit in limits:
        whole = food.values.get(limit["whole"])
        if whole is not None:
            total = sum(food.values.get(tag, 0.0) for tag in limit["parts"])
            if total > limit["share"] * whole + limit["slack"]:
                names = " + ".join(limit["parts"])
                text = f"{food.name}: {names} = {total:.3g}, {limit['whole']} = {whole:g}"
                yield Finding("part", food.id, "+".join(limit["parts"]), text)


def amino_acids(food: Food, limits: Limits) -> Iterator[Finding]:
    """A whole set of amino acids is a believable share of the protein."""
    protein = food.values.get("PROCNT", 0.0)
    if protein > limits["least_protein_g"] and all(tag in food.values for tag in limits["tags"]):
        share = sum(food.values[tag] for tag in limits["tags"]) / protein
        animal = food.group in limits["animal_groups"]
        least = limits["animal_least_share"] if animal else limits["least_share"]
        if not least <= share <= limits["most_share"]:
            text = f"{food.name}: eleven amino acids are {share:.0%} of {protein:g} g protein"
            yield Finding("amino_acids", food.id, "PROCNT", text)


def vitamin_a(food: Food, limits: Limits) -> Iterator[Finding]:
    """Retinol activity equivalents follow from retinol and the carotenes."""
    v = food.values
    if all(tag in v for tag in ("VITA_RAE", "RETOL", "CARTB")):
        others = v.get("CARTA", 0.0) + v.get("CRYPXB", 0.0)
        expected = v["RETOL"] + v["CARTB"] / limits["beta_per_rae"] + others / limits["other_per_rae"]
        allowed = max(limits["tolerance_mcg"], limits["tolerance_share"] * expected)
        if abs(v["VITA_RAE"] - expected) > allowed:
            text = f"{food.name}: {v['VITA_RAE']:g} mcg RAE, retinol and carotenes give {expected:.1f}"
            yield Finding("vitamin_a", food.id, "VITA_RAE", text)


def minerals(food: Food, limits: Limits) -> Iterator[Finding]:
    """The five large minerals (mg) are parts of the ash (g)."""
    ash = food.values.get("ASH")
    total = sum(food.values.get(tag, 0.0) for tag in limits["tags"]) / MG_PER_G
    if ash is not None and total > limits["share"] * ash + limits["slack_g"]:
        text = f"{food.name}: minerals are {total:.2f} g, ash is {ash:g} g"
        yield Finding("minerals", food.id, "ASH", text)


def isolated(foods: Sequence[Food], limits: Limits) -> Iterator[Finding]:
    """The largest value of a group does not stand alone by a slip of the decimal point."""
    groups: dict[tuple[str, str], list[tuple[float, Food]]] = defaultdict(list)
    for food in foods:
        for tag, value in food.values.items():
            if value > 0:
                groups[food.group, tag].append((value, food))
    for (group, tag), members in groups.items():
        if len(members) >= limits["least_foods"]:
            (first, food), (second, _) = sorted(members, key=lambda m: -m[0])[:2]
            if first > limits["factor"] * second:
                text = f"{food.name}: {tag} = {first:g}, the next in {group} is {second:g}"
                yield Finding("isolated", food.id, tag, text)


def pairs(foods: Sequence[Food], limits: Limits) -> Iterator[Finding]:
    """Raw and cooked form of one food agree per dry matter within a large factor."""
    by_id = {food.id: food for food in foods}
    for raw in foods:
        cooked = by_id.get(raw.counterpart_id)
        if cooked is None or "WATER" not in raw.values or "WATER" not in cooked.values:
            continue
        swell = (WHOLE_G - raw.values["WATER"]) / (WHOLE_G - cooked.values["WATER"])
        for tag, value in raw.values.items():
            after = cooked.values.get(tag, 0.0) * swell
            if tag in limits["but"] or value <= 0 or after <= 0:
                continue
            if not 1 / limits["factor"] <= after / value <= limits["factor"]:
                text = f"{raw.name}: {tag} = {value:g}, {cooked.name} {cooked.values[tag]:g}"
                yield Finding("pair", raw.id, tag, text)


def duplicates(foods: Sequence[Food], limits: Limits) -> Iterator[Finding]:
    """No two foods agree in all chosen figures."""
    first: dict[tuple[float | None, ...], Food] = {}
    for food in foods:
        key = tuple(food.values.get(tag) for tag in limits["tags"])
        twin = first.setdefault(key, food)
        if twin is not food:
            yield Finding("duplicate", food.id, "", f"{food.name} has the figures of {twin.name}")


def links(foods: Sequence[Food], limits: Limits) -> Iterator[Finding]:
    """A counterpart is the cooked form, in the same group, of a raw, dry or frozen food."""
    by_id = {food.id: food for food in foods}
    for food in foods:
        other = by_id.get(food.counterpart_id)
        if other is not None and not (
            food.state in limits["from_states"]
            and other.state in limits["to_states"]
            and other.group == food.group
            and not other.counterpart_id
        ):
            text = f"{food.name} ({food.state}) points to {other.name} ({other.state}, {other.group})"
            yield Finding("link", food.id, "", text)
