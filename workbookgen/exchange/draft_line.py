"""Decides food, unit and treatment of one ingredient line, and says what a person must settle."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.choices import Choices, choice_key
from workbookgen.exchange.lexicon import FOLDER, Lexicon, load_lexicon
from workbookgen.exchange.match import Found, Matcher, Query
from workbookgen.exchange.measure_choice import DRAINED_STATES, choose_measure
from workbookgen.exchange.measured import Kit, Measured, amount_words
from workbookgen.exchange.parsed import ParsedLine
from workbookgen.exchange.treatments import guess_treatment, load_treatment_words, water_fate
from workbookgen.model.food import Food
from workbookgen.model.recipe import IngredientLine
from workbookgen.nutrition.amounts import edible_grams
from workbookgen.nutrition.kitchen import NO_TREATMENT, Kitchen
from workbookgen.recipes.amounts import AmountError, parse_amount
from workbookgen.recipes.check import AS_WRITTEN
from workbookgen.recipes.text import LONGEST_NAME

NO_AMOUNT = 0.0  # a recipe file's mark of an undecided amount, always under review
# Words for an amount that is not told, as recipe files take them until it is decided.
UNDECIDED = {
    w: w
    for w in (
        "to taste",
        "as needed",
        "a few",
        "some",
        "a little",
        "for serving",
        "to serve",
        "for greasing",
        "for frying",
    )
}
UNKNOWN = "?"
WATER_AISLE = "Water"
LARGER = {"g": "kg", "mL": "L"}
_ALIKE = {
    "energy_kcal": "ENERC_KCAL",
    "protein_g": "PROCNT",
    "fat_g": "FAT",
    "carbohydrate_g": "CHOCDF",
    "sodium_mg": "NA",
}


@dataclass(frozen=True, slots=True)
class DraftedLine:
    """A drafted ingredient with the line it came from.

    ``reasons`` are empty when nothing is left to decide, ``remarks`` only tell; ``found`` are the foods with
    their scores, best first; ``grams`` is the edible weight, None when not known; ``key`` files decisions;
    ``food_settled`` is true when only the amount is open.
    """

    line: IngredientLine
    text: str
    key: str
    found: tuple[Found, ...]
    reasons: tuple[str, ...]
    remarks: tuple[str, ...]
    grams: float | None
    food_settled: bool = False


class LineDrafter:
    """Everything needed to draft lines against one food table."""

    def __init__(self, kitchen: Kitchen, choices: Choices | None = None, data: Path | None = None) -> None:
        folder = data if data is not None else data_path()
        raw = tomllib.loads((folder / FOLDER / "matching.toml").read_text(encoding="utf-8"))
        self.kitchen = kitchen
        self.words: Lexicon = load_lexicon(folder)
        self.matcher = Matcher(kitchen.table, self.words, folder)
        self.choices = choices if choices is not None else Choices()
        self.sure: Mapping[str, float] = raw["sure"]
        self.alike_within: Mapping[str, float] = raw["alike"]
        self.limits: Mapping[str, float] = raw["amounts"]
        shares = read_rows(
            folder / FOLDER / "drained_share.csv", ("kind", "key", "share", "source_id", "status", "note")
        )
        drained = {(r.text("kind"), r.text("key")): r.number_in("share", 0, 1) for r in shares}
        self.kit = Kit(self.words, self.matcher.spell, self.limits, drained)
        self.treatment_words = load_treatment_words(folder)

    def draft(self, parsed: ParsedLine) -> tuple[DraftedLine, ...]:
        """The drafted line; a second one without amount for more of the food ("plus more for greasing")."""
        longer = parsed.longer or ("",) * len(parsed.names)
        pairs = list(zip(parsed.names, longer, strict=True)) or [("", "")]
        options = [self._better(parsed, name, borrowed) for name, borrowed in pairs]
        query, found = options[0]
        reasons = self._food_reasons(query, found)
        others = [o[1][0] for o in options[1:] if o[1]]
        if found and any(not self._alike(found[0].food, o.food) for o in others):
            named = " or ".join(f'"{f.food.name}"' for f in [found[0], *others])
            reasons.append(f"the line leaves a choice: {named}")
        found = (*found[:1], *others, *found[1:])
        first = self._finish(parsed, query, found, reasons)
        if not parsed.extra:
            return (first,)
        more = replace(
            parsed, amounts=(), same_as=(), each=None, extra="", undecided=parsed.extra, optional=False
        )
        return (first, self._finish(more, query, found, list(reasons)))

    def decide(self, drafted: DraftedLine, parsed: ParsedLine, food: Food) -> DraftedLine:
        """The same line with the food a person chose; only what else is open stays under review."""
        query, _ = self._options(parsed, parsed.name)
        others = tuple(f for f in drafted.found if f.food.id != food.id)
        return self._finish(parsed, query, (Found(food, 100.0, 1.0), *others), [])

    def _better(self, parsed: ParsedLine, name: str, borrowed: str) -> tuple[Query, tuple[Found, ...]]:
        """The reading that fits better: the words alone, or with the words borrowed from the other choice."""
        alone = self._options(parsed, name)
        if not borrowed:
            return alone
        with_more = self._options(parsed, borrowed)
        worth = [(o[1][0].score if o[1] and not o[1][0].missed else -1.0) for o in (alone, with_more)]
        return with_more if worth[1] >= worth[0] else alone

    def _options(self, parsed: ParsedLine, name: str) -> tuple[Query, tuple[Found, ...]]:
        unit = parsed.unit
        spoon = not parsed.amounts or (
            unit is not None
            and unit.kind == "volume"
            and unit.factor * float(parsed.amounts[0].low) <= self.limits["spoon_ml"]
        )
        in_can = unit is not None and unit.name == "can"
        query = self.matcher.query(name, parsed.comment, in_can, spoon)
        found = tuple(self.matcher.find(query))
        chosen = self.choices.find(choice_key(query.all_words, query.state))
        food = self.matcher.by_name.get(chosen) if chosen else None
        if food is not None:
            found = (
                Found(food, 100.0, 1.0, (), "decided before"),
                *(f for f in found if f.food.id != food.id),
            )
        return query, found

    def _food_reasons(self, query: Query, found: tuple[Found, ...]) -> list[str]:
        """Why the best food is not certain."""
        if not found:
            return ["no food of the table fits the words"]
        best = found[0]
        if best.default and not best.missed:
            return [] if best.sure else [f"{best.default}: {best.food.name} is only the usual one"]
        reasons = []
        if best.missed:
            reasons.append(f"the table has nothing for {', '.join(repr(m) for m in best.missed)}")
        if query.state and best.state < self.sure["state"]:
            reasons.append(f'asked for "{query.state}", the nearest row is "{best.food.state}"')
        if best.degree_off:
            reasons.append(f'"{best.degree_off}" is not in the nearest row')
        if (best.score < self.sure["score"] or best.head < self.sure["head"]) and not reasons:
            reasons.append("the words fit no food well")
        rival = next(
            (
                f
                for f in found[1:]
                if f.score > best.score - self.sure["ahead"] and not self._alike(best.food, f.food)
            ),
            None,
        )
        if rival is not None:
            reasons.append(f'"{best.food.name}" or "{rival.food.name}" could be meant')
        return reasons

    def _alike(self, one: Food, other: Food) -> bool:
        """True when it hardly matters which of two is taken: same allergens and nearly the same figures."""
        if one.allergens != other.allergens or one.diet != other.diet:
            return False
        for name, tag in _ALIKE.items():
            a, b = one.values.get(tag), other.values.get(tag)
            if a is None or b is None or abs(a - b) > self.alike_within[name]:
                return False
        return True

    def _finish(
        self, parsed: ParsedLine, query: Query, found: tuple[Found, ...], reasons: list[str]
    ) -> DraftedLine:
        """Unit, treatment and weight for the first of ``found``; ``reasons``: the doubts about the food."""
        key, settled = choice_key(query.all_words, query.state), not reasons
        reasons = [*reasons, *parsed.doubts]
        if not found:
            line = self._line(
                parsed, parsed.name or parsed.text, Measured(None, None, "", None), NO_TREATMENT, (), reasons
            )
            return DraftedLine(line, parsed.text, key, (), tuple(reasons), (), None)
        food = found[0].food
        own = self.kitchen.measures_by_food.get(food.id, [])
        measured = choose_measure(parsed, food, own, query.state in DRAINED_STATES, self.kit)
        reasons += measured.doubts
        remarks = list(measured.remarks)
        treatment = guess_treatment(
            self.kitchen, food, f"{parsed.name}; {parsed.comment}", self.treatment_words
        )
        if treatment != NO_TREATMENT:
            remarks.append(f"treatment guessed: {treatment}")
        water = water_fate(parsed.text, self.words) if food.aisle == WATER_AISLE else ""
        if food.aisle == WATER_AISLE and not water:
            reasons.append('say what becomes of the water: "absorbed", "stays" or "poured off"')
        named = found[: int(self.sure["candidates"])]
        candidates = () if settled else tuple(f.food.name for f in named)
        line = self._line(parsed, food.name, measured, treatment, candidates, reasons)
        line = replace(line, water=water)
        grams = None
        if measured.grams is not None:
            grams = edible_grams(measured.grams, food.refuse_pct, measured.as_bought, line.share_eaten_pct)
        return DraftedLine(line, parsed.text, key, found, tuple(reasons), tuple(remarks), grams, settled)

    def _line(
        self,
        parsed: ParsedLine,
        food: str,
        measured: Measured,
        treatment: str,
        candidates: tuple[str, ...],
        reasons: list[str],
    ) -> IngredientLine:
        unit = measured.unit or (parsed.unit.name if parsed.unit else "")
        low, high, unit = self._large(measured.low, measured.high, unit)
        text = amount_words(low, high) if low is not None else UNDECIDED.get(parsed.undecided, UNKNOWN)
        amount = None
        if low is not None:
            try:  # read back from its words, so that the file says the same as the draft
                amount = parse_amount(text)
            except AmountError as error:  # 0 cups, or more than a file takes: a person must say what is meant
                text = UNKNOWN
                reasons.append(str(error))
        why = "; ".join(reasons)
        return IngredientLine(
            food=food[:LONGEST_NAME].strip(),
            amount=amount.value if amount else NO_AMOUNT,
            unit=unit,
            amount_text=text,
            basis="as purchased" if measured.as_bought else "edible",
            treatment=treatment,
            optional=parsed.optional,
            note=(f"{why} {AS_WRITTEN} {parsed.text})" if why else ""),
            section=parsed.section,
            garnish=parsed.garnish,
            amount_low=amount.low if amount else None,
            amount_high=amount.high if amount else None,
            review=bool(reasons),
            candidates=candidates if reasons else (),
        )

    def _large(
        self, low: Fraction | None, high: Fraction | None, unit: str
    ) -> tuple[Fraction | None, Fraction | None, str]:
        """Amounts above what a recipe file takes in a larger unit: 6,000 g are 6 kg."""
        if low is not None and (high or low) > self.limits["most"] and unit in LARGER:
            return low / 1000, high / 1000 if high else None, LARGER[unit]
        return low, high, unit
