"""Raw rows cooked by yields and retention factors, against USDA's own cooked rows.

Source of both rows: USDA National Nutrient Database for Standard Reference, Release 28 (2015). Yields:
data/yields.csv; retention: USDA Table of Nutrient Retention Factors, Release 6 (2007). Each pair is a recipe
of one raw ingredient through the same core that the workbook shows; links to cooked rows are cut, so that
drained meats cannot borrow the answer. A measure, not a target: nothing is tuned to it.

``python -m tests.outside.raw_to_cooked`` prints the table kept in tests/outside/results/raw_to_cooked.md.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median

from workbookgen.catalogue.foods_gates import load_exceptions
from workbookgen.catalogue.paths import data_path
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, load_kitchen

HERE = Path(__file__).parent
PAIRS = HERE / "raw_cooked.csv"
TAGS = (
    "ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG", "SUGAR", "FASAT", "CHOLE", "CA", "FE", "MG", "P", "K", "NA",
    "ZN", "CU", "MN", "SE", "VITC", "THIA", "RIBF", "NIA", "PANTAC", "VITB6A", "FOL", "VITB12", "CHOLN",
    "VITA_RAE", "CARTB", "LUT+ZEA", "TOCPHA", "VITK1",
)  # fmt: skip
#: A cooked figure below this many of its last printed digits is too small for a relative error.
LEAST_DIGITS = 10
BOILED_GRAINS = ("rice", "pasta", "cereal", "oatmeal")
WITHIN, OUTLIER, LISTED = 0.2, 0.5, 1.0
#: Reasons, tried in this order.
OTHER_ROWS = "most nutrients of the pair differ: raw and cooked row likely stem from different samples"
DRIPPED = "fat drips away; the workbook takes the cooked row for drained meat, this measure does not"
NO_FACTOR = "no retention factor is published for this nutrient; nothing is taken off"
GAINED = "more in the cooked than in the raw food: other samples, cooking water, or drying while cooked"
SMALL = "small figure: a few units of its last printed digit"
WATER = "the published loss is larger than the factor of the food's group: cooking water, or other samples"
SINGLE = "not explained; the rows do not tell (other samples?)"
PAIR_OFF = 0.35
FAT_FROM = 10.0
FAT_TAGS = ("ENERC_KCAL", "FAT", "FASAT", "CHOLE", "TOCPHA")
SMALL_DIGITS = 25


@dataclass(frozen=True)
class Error:
    """Predicted against published, per 100 g cooked."""

    kind: str
    raw: Food
    cooked: Food
    tag: str
    treatment: str
    predicted: float
    published: float

    @property
    def relative(self) -> float:
        """(predicted - published) / published."""
        return self.predicted / self.published - 1


def pairs() -> list[dict[str, str]]:
    """Raw number, cooked number, treatment."""
    lines = [line for line in PAIRS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def kind(raw: Food, treatment: str) -> str:
    """Which row of the first table a pair counts in."""
    if raw.keep_group.startswith("legume"):
        return "pulses, boiled"
    if raw.keep_group in BOILED_GRAINS:
        return "grains and pasta, boiled"
    if raw.group == "Fish and seafood":
        return "fish and seafood"
    if raw.group in ("Meat", "Poultry"):
        ways = {
            "roasted": "roasted",
            "baked": "roasted",
            "broiled": "broiled",
            "fried": "pan-cooked, drained",
        }
        return f"meat and poultry, {ways.get(treatment, 'braised or simmered')}"
    return "eggs" if raw.group == "Eggs" else "vegetables, boiled or baked"


def without_links(kitchen: Kitchen) -> Kitchen:
    """The kitchen with no food pointing to its cooked row."""
    foods = tuple(replace(food, counterpart_id="") for food in kitchen.table.foods)
    return replace(kitchen, table=replace(kitchen.table, foods=foods))


def errors(kitchen: Kitchen) -> Iterator[Error]:
    """Every pair and nutrient whose cooked figure is large enough to judge."""
    bare, settings = without_links(kitchen), default_settings()
    decimals = {n.tag: n.decimals for n in kitchen.tables.nutrients}
    for pair in pairs():
        raw, cooked = bare.food_by_id["sr" + pair["raw"]], bare.food_by_id["sr" + pair["cooked"]]
        line = IngredientLine(raw.name, 1000, "g", treatment=pair["treatment"])
        analysis = analyse_recipe(bare, Recipe(f"{raw.name} cooked", 1, (line,)), settings)
        for tag in TAGS:
            published, found = cooked.values.get(tag), analysis.nutrients[tag]
            least = LEAST_DIGITS * 10.0 ** -decimals[tag]
            if published is not None and published >= least and found.coverage == 1:
                yield Error(
                    kind(raw, pair["treatment"]),
                    raw,
                    cooked,
                    tag,
                    pair["treatment"],
                    found.per_100g,
                    published,
                )


def share(value: float) -> str:
    """A relative error in whole per cents with its sign."""
    return f"{round(value * 100):+d} %"


def table() -> Iterator[str]:
    """Markdown: errors by kind, by nutrient and kind, then every outlier with its reason."""
    kitchen = load_kitchen()
    found = list(errors(kitchen))
    kinds = sorted({e.kind for e in found})
    names = {n.tag: n.name for n in kitchen.tables.nutrients}
    yield "| kind | pairs | values | median error | median size of error | within 20 % |"
    yield "|---|---|---|---|---|---|"
    for one in kinds:
        yield _summary(one, [e for e in found if e.kind == one])
    yield _summary("all", found)
    yield "\n| nutrient | values | median error | median size | worst | where |"
    yield "|---|---|---|---|---|---|"
    for tag in TAGS:
        mine = [e for e in found if e.tag == tag]
        if mine:
            worst = max(mine, key=lambda e: abs(e.relative))
            sizes = median(abs(e.relative) for e in mine)
            yield (
                f"| {names[tag]} | {len(mine)} | {share(median(e.relative for e in mine))} | {share(sizes)[1:]} "
                f"| {share(worst.relative)} | {worst.raw.name} |"
            )
    yield "\n| kind | nutrient | values | median error | worst |\n|---|---|---|---|---|"
    for one in kinds:
        for tag in TAGS:
            mine = [e for e in found if e.kind == one and e.tag == tag]
            if mine:
                worst = max((e.relative for e in mine), key=abs)
                middle = share(median(e.relative for e in mine))
                yield f"| {one} | {names[tag]} | {len(mine)} | {middle} | {share(worst)} |"
    yield from _outliers(found, kitchen)


def _summary(name: str, found: Sequence[Error]) -> str:
    count = len({(e.raw.id, e.cooked.id) for e in found})
    middle, size = median(e.relative for e in found), median(abs(e.relative) for e in found)
    within = sum(abs(e.relative) <= WITHIN for e in found) / len(found)
    return f"| {name} | {count} | {len(found)} | {share(middle)} | {share(size)[1:]} | {within:.0%} |"


def reasons(found: Sequence[Error], kitchen: Kitchen) -> list[tuple[Error, str]]:
    """Why each prediction that is off by more than half is so, as far as the rows themselves tell."""
    exceptions = load_exceptions(data_path())
    kept = {n.tag: n.keep for n in kitchen.tables.nutrients} | {"FOL": "FOLFD"}  # by its parts
    decimals = {n.tag: n.decimals for n in kitchen.tables.nutrients}
    off: dict[str, float] = {}
    for raw_id in {e.raw.id for e in found}:
        off[raw_id] = median(abs(e.relative) for e in found if e.raw.id == raw_id)
    told: list[tuple[Error, str]] = []
    for e in sorted(found, key=lambda e: (-abs(e.relative), e.raw.id, e.tag)):
        if abs(e.relative) > OUTLIER:
            exception = exceptions.get(("pair", e.raw.id, e.tag))
            told.append((e, exception or _reason(e, off[e.raw.id], kept[e.tag], decimals[e.tag])))
    return told


def _reason(e: Error, off: float, factor: str, decimals: int) -> str:
    """The first reason that fits; ``off`` is the median size of the pair's errors."""
    drained = "kept" not in e.treatment and e.raw.group in ("Meat", "Poultry")
    if off > PAIR_OFF:
        return OTHER_ROWS
    if drained and e.tag in FAT_TAGS and e.raw.values["FAT"] >= FAT_FROM:
        return DRIPPED
    if e.relative < 0:
        return GAINED
    if not factor and e.tag not in ("ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG", "SUGAR"):
        return NO_FACTOR
    if e.published < SMALL_DIGITS * 10.0**-decimals:
        return SMALL
    return WATER if "boiled" in e.treatment else SINGLE


def _outliers(found: Sequence[Error], kitchen: Kitchen) -> Iterator[str]:
    names = {n.tag: n.name for n in kitchen.tables.nutrients}
    told = reasons(found, kitchen)
    yield f"\n{len(told)} of {len(found)} values are off by more than {OUTLIER:.0%}:\n"
    yield "| reason | values |\n|---|---|"
    for reason, count in Counter(reason for _, reason in told).most_common():
        yield f"| {reason} | {count} |"
    yield f"\n| off by more than {LISTED:.0%} | nutrient | predicted | published | error | reason |"
    yield "|---|---|---|---|---|---|"
    for e, reason in told:
        if abs(e.relative) > LISTED:
            numbers = f"{e.predicted:.4g} | {e.published:g} | {share(e.relative)}"
            yield f"| {e.raw.name} | {names[e.tag]} | {numbers} | {reason} |"


HEAD = """# Raw rows cooked by yields and retention factors, against USDA's cooked rows

Sources: USDA National Nutrient Database for Standard Reference, Release 28 (2015), raw and cooked rows; USDA Table of Nutrient Retention Factors, Release 6 (2007); yields as in data/yields.csv. Command: `python -m tests.outside.raw_to_cooked`. Each pair (tests/outside/raw_cooked.csv, every pair of the kitchen catalogue whose cooked row names its method, fixed before the first run) is 1,000 g of the raw food with its treatment through the core that the workbook shows, per 100 g cooked. Figures below ten of their last digits are left out.

A measure, not a target: no yield or factor was changed after it. What is circular: most yields were derived from these same pairs, for meat, poultry, fish and eggs from protein, for pulses, grains and vegetables from dry matter. Protein of meats and fish and the sum of the solids of plants therefore agree by construction and prove nothing; energy and carbohydrate of plants are nearly as circular. Minerals, vitamins, fat and fibre are not.

The reasons in the last table are assigned by rule, in a fixed order, from what the rows themselves show or data/food_exceptions.csv says; they are readings, not proofs.

The workbook does better for meat whose drippings are poured off: it takes the composition of the cooked row. Here that link is cut, to see what yields and factors alone can do.
"""

if __name__ == "__main__":
    print(HEAD)
    print("\n".join(table()))
