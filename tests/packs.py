"""Generated packaged products: rounded figures, per cents that fit or not, words, comparisons."""

from __future__ import annotations

import random

from workbookgen.model.pack import KINDS, MOST_WORDS, Pack
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import declared
from workbookgen.nutrition.pack import daily_values, declared_tags, less_than_value

UNITS = ("", "cup", "tbsp", "fl oz", "mL", "g", "cracker", "slice", "serving")


def random_packs(kitchen: Kitchen, number: int, start: int) -> tuple[Pack, ...]:
    """``number`` products; the same start gives the same products."""
    rng = random.Random(start)
    return tuple(random_pack(kitchen, rng, f"Product {i + 1} of {start}", i) for i in range(number))


def random_pack(kitchen: Kitchen, rng: random.Random, name: str, before: int) -> Pack:
    """One product; some compare themselves with a food of the table or an earlier product."""
    amounts, percents = {}, {}
    values = daily_values(kitchen.tables)
    for tag in declared_tags(kitchen.tables):
        rule = kitchen.tables.rounding.get(tag)
        if rng.random() < 0.3:
            continue
        amount = rng.choice((0, 0.4, 1, 2.6, 3, 5, 13, 35, 140, 141, 230, 480)) * rng.choice((0.25, 1, 1))
        if rule is not None and rng.random() < 0.8:
            amount = declared(amount, rule)
        middle = less_than_value(rule) if rule else None
        amounts[tag] = middle if middle is not None and rng.random() < 0.1 else float(amount)
        if tag in values and "%" + tag in kitchen.tables.rounding and rng.random() < 0.5:
            exact = amounts[tag] / values[tag] * 100
            printed = declared(exact, kitchen.tables.rounding["%" + tag]) + rng.choice((0, 0, 0, 3))
            percents[tag] = min(printed, kitchen.constants["pack_percent_max"])
            if rng.random() < 0.2:
                del amounts[tag]
    foods = [f.name for f in kitchen.fixed_foods]
    other = f"Product {rng.randint(1, before)} of " + name.rsplit(" ", 1)[1] if before and rng.random() < 0.5 else rng.choice(foods)
    words = [w.id for w in kitchen.pack_rules.words]
    known = ("yes", "no", "unknown")
    return Pack(
        name=name, serving_g=rng.choice((5.0, 28.0, 30.0, 55.0, 112.5, 240.0)),
        serving_amount=rng.choice((None, 0.25, 1.0, 2.0, 5.0)), serving_unit=rng.choice(UNITS), amounts=amounts,
        percents=percents, words=tuple(rng.sample(words, rng.randint(0, MOST_WORDS))), compare=rng.choice(("", other, other)),
        kind=rng.choice(KINDS), reference=rng.choice(["", *(r.id for r in kitchen.tables.claims.raccs)]),
        contains=tuple(rng.sample(("milk", "egg", "tree_nut", "wheat"), rng.randint(0, 2))), checked=rng.random() < 0.5,
        salt=rng.choice(known), sugar=rng.choice(known), fat=rng.choice(known), diet=rng.choice(("", "plant", "dairy;egg", "beef;meat")),
        group=rng.choice(("", "Dairy", "Breads and baked")), role=rng.choice(("seasoning", "dairy", "protein")),
    )  # fmt: skip
