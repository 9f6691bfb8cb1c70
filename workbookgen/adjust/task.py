"""From a recipe and wishes to one task: what may change, what must hold, what stays out and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice, product

from workbookgen.adjust.claims_linear import Claim
from workbookgen.adjust.items import Freedom, Item, addition_item, addition_rows, line_items
from workbookgen.adjust.linear import caution_rows, water_rows, ways_of
from workbookgen.adjust.rules import Addition, AdjustRules, load_rules
from workbookgen.adjust.safety import Dish, blocked_reasons, quiet_cautions
from workbookgen.adjust.space import Demand, Space
from workbookgen.adjust.targets import (
    NUTRIENT,
    STATEMENT,
    Reading,
    Wish,
    parse_statement,
    parse_wish,
    wish_of,
)
from workbookgen.model.analysis import Analysis, LineResult
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.claims import rule_set_of
from workbookgen.nutrition.kitchen import NO_TREATMENT, Kitchen
from workbookgen.recipes.text import nearest

#: Combinations of ways that are tried; two statements with three ways each make nine.
MOST_WAYS = 27


@dataclass(frozen=True)
class Request:
    """What a caller asks for: targets and statements as written, foods to keep, the largest change (0.5 = half),
    foods and cautions allowed, how many foods may be added, whether siblings may be swapped in, foods to consider."""

    targets: Sequence[str] = ()
    statements: Sequence[str] = ()
    keep: Sequence[str] = ()
    max_change: float | None = None
    allow: Sequence[str] = ()
    additions: int = 0
    swaps: bool = False
    consider: Sequence[str] = ()


@dataclass(frozen=True)
class Task:
    """Everything that must hold. ``ways`` holds, for each wish, the ways to fulfil it; ``always`` rows of the kitchen,
    ``cautions`` rows that keep cautions quiet. ``refused`` tells foods that stay out and why; ``held`` foods that are
    never increased."""

    space: Space
    wishes: tuple[Wish, ...]
    ways: tuple[tuple[Demand, ...], ...]
    always: Demand
    cautions: Demand
    refused: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    held: tuple[str, ...] = ()
    additions: int = 0

    @property
    def parts(self) -> tuple[int | str, ...]:
        """Numbers of the wishes and ids of the cautions that must stay quiet."""
        return (*range(len(self.wishes)), *dict.fromkeys(row.wish for row in self.cautions.rows))


def reading_for(kitchen: Kitchen, analysis: Analysis, rules: AdjustRules) -> Reading:
    """What targets are read against for one recipe."""
    settings = analysis.settings
    model = kitchen.plate_model_by_id[analysis.recipe.plate_model or settings.plate_model]
    return Reading(kitchen, model, settings.reference_set, rule_set_of(analysis), rules.words)


def make_task(kitchen: Kitchen, analysis: Analysis, request: Request, rules: AdjustRules | None = None) -> Task:
    """Read the request. Raises BadInput with one sentence for what is not understood."""
    rules = rules or load_rules()
    reading = reading_for(kitchen, analysis, rules)
    wishes = [parse_wish(text, reading) for text in request.targets]
    wishes += [parse_statement(text, reading) for text in request.statements]
    wishes = wishes or [wish_of(target, kitchen) for target in analysis.recipe.targets]
    if not wishes:
        raise BadInput("--target", 'the recipe has no targets of its own; give one such as --target "FE >= 20 %DV"')
    in_dish = [line.food.name for line in analysis.lines]
    keep = frozenset(_named("--keep", name, in_dish).lower() for name in request.keep)
    cautions = {c.id for c in kitchen.safety.cautions}
    allow = frozenset(
        a.lower() if a in cautions else _named("--allow", a, [f.name for f in kitchen.table.foods]).lower()
        for a in request.allow
    )
    refused: dict[str, tuple[str, ...]] = {}
    dish = Dish(kitchen, rules, analysis)

    def permitted(one: LineResult) -> bool:
        reasons = () if one.food.name.lower() in allow else dish.brings(one)
        if reasons:
            refused[one.food.name] = reasons
        return not reasons

    held = [
        line.food.name for line in analysis.lines
        if line.food.name.lower() not in allow and blocked_reasons(rules.blocked, line.food, kitchen)
    ]  # fmt: skip
    freedom = Freedom(keep, request.max_change, request.swaps, frozenset(n.lower() for n in held), permitted)
    items = line_items(kitchen, analysis, rules, freedom)
    items += _additions(kitchen, analysis, rules, request, wishes, permitted, refused)
    space = Space(kitchen, rules, analysis, tuple(items))
    ways = tuple(_ways(space, wish, number) for number, wish in enumerate(wishes))
    demanded = [row for way in ways for row in way[0].rows]
    quiet = caution_rows(space, quiet_cautions(kitchen, analysis), allow, demanded)
    return Task(
        space, tuple(wishes), ways, Demand(water_rows(space)), Demand(quiet), refused, tuple(dict.fromkeys(held)),
        request.additions,
    )  # fmt: skip


def _ways(space: Space, wish: Wish, number: int) -> tuple[Demand, ...]:
    if wish.kind == STATEMENT:
        return Claim(space, number, wish).ways()
    return ways_of(space, wish, number)


def _named(option: str, name: str, known: Sequence[str]) -> str:
    by_name = {n.lower(): n for n in known}
    found = by_name.get(" ".join(name.split()).lower())
    if found is None:
        near = "; ".join(nearest(name, list(dict.fromkeys(known)), 3, 0.0))
        raise BadInput(option, f"'{name}' is not known here; the nearest are: {near}")
    return found


def _additions(
    kitchen: Kitchen, analysis: Analysis, rules: AdjustRules, request: Request, wishes: Sequence[Wish],
    permitted: Callable[[LineResult], bool], refused: dict[str, tuple[str, ...]],
) -> list[Item]:  # fmt: skip
    """Foods that may join the dish: those of the list that suit it and those the caller names; unsafe ones and ones
    that would leave a ceiling open stay out."""
    names = [f.name for f in kitchen.table.foods]
    named = [_named("--consider", name, names) for name in request.consider]
    rows = [(row, treatment) for row, treatment in addition_rows(analysis, rules) if row.food not in named]
    costs = rules.costs
    rows += [
        (Addition(n, "g", costs["other_usual"], costs["other_most"], NO_TREATMENT, NO_TREATMENT, True), NO_TREATMENT)
        for n in named
    ]
    ceilings = [w.tag for w in wishes if w.kind == NUTRIENT and w.high is not None]
    found = []
    for row, treatment in rows:
        item = addition_item(kitchen, analysis, rules, row, treatment)
        if item is None:
            continue
        one = item.slots[0].one
        open_tags = [kitchen.nutrient_by_tag[t].name.lower() for t in ceilings if one.values[t] is None]
        if not permitted(one):
            continue
        if open_tags:
            refused[item.name] = (f"no figure for {', '.join(dict.fromkeys(open_tags))}, so a ceiling could not be proven",)
            continue
        found.append(item)
    return found


def chosen_ways(task: Task, wishes: Sequence[int]) -> Iterator[tuple[Demand, ...]]:
    """Every combination of ways of some wishes, with the rows of the kitchen."""
    for ways in islice(product(*(task.ways[i] for i in wishes)), MOST_WAYS):
        yield (*ways, task.always)
