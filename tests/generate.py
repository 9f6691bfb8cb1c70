"""Seeded recipes that try everything: odd units, every treatment, unknown nutrients, long and rude titles."""

from __future__ import annotations

import random

from workbookgen.model.recipe import IngredientLine, Recipe, Target
from workbookgen.nutrition.amounts import units_offered
from workbookgen.nutrition.kitchen import Kitchen

TITLES = (
    "Plain pot", "A title that is far longer than thirty-one letters allow for a tab", '=HYPERLINK("http://x","y")', "+1 & <b>bold</b>",
    "Crème brûlée (v2), 50% more", "It's [odd] / really: \\ tab * name?", "-1+1", "@home", "50% mix", "History", "Results", "Suppe für zwei",
)
AMOUNTS = (0.125, 0.25, 1 / 3, 0.5, 2 / 3, 0.75, 1, 1.5, 2, 3, 7.25)
FATES = ("", "absorbed", "stays", "poured off")


def random_recipe(kitchen: Kitchen, seed: int) -> Recipe:
    """A recipe of 1 to 30 lines; the same seed gives the same recipe."""
    rng = random.Random(seed)
    lines = tuple(random_line(kitchen, rng) for _ in range(rng.choice((1, 3, 8, 15, 30))))
    lines += (IngredientLine("Onions, raw", 10, "g"),)  # a dish that weighs nothing is refused at build
    tags = [n.tag for n in kitchen.tables.nutrients]
    reference = kitchen.tables.reference_sets[0].values
    targets = []
    for _ in range(rng.randint(0, 4)):
        tag = rng.choice(tags)
        basis = "%DV" if tag in reference and rng.random() < 0.5 else "amount"
        targets.append(Target(tag, rng.choice((">=", "<=")), rng.choice((0.1, 5, 20, 600)), basis))
    return Recipe(
        title=f"{TITLES[seed % len(TITLES)]} {seed}", servings=rng.choice((0.5, 1, 2, 3.5, 4, 6, 100)), lines=lines,
        serving_text=rng.choice(("", "1 1/2 cups", "=1+1")), cooked_weight_g=rng.choice((None, None, 850.0)),
        cup_weight_g=rng.choice((None, 245.0)), targets=tuple(targets), legumes_as=rng.choice(("protein", "vegetable")),
        plate_model=rng.choice(["", *(m.id for m in kitchen.tables.plate_models)]),
    )


def random_line(kitchen: Kitchen, rng: random.Random) -> IngredientLine:
    """One line with a unit and a treatment that its food allows."""
    food = rng.choice(kitchen.fixed_foods)
    unit, grams = rng.choice(units_offered(kitchen, food))
    amount = rng.choice(AMOUNTS) if grams < 2000 else 0.25
    liquid = food.role == "liquid"
    return IngredientLine(
        food=food.name, amount=amount, unit=unit, basis=rng.choice(("edible", "edible", "as purchased")),
        treatment=rng.choice(kitchen.offers(food.keep_group, food.state)).name, share_eaten_pct=rng.choice((100, 100, 100, 60, 0)),
        include=rng.random() < 0.9, optional=rng.random() < 0.2, garnish=rng.random() < 0.1,
        role=rng.choice(("", "", "", "vegetable", "fat")), water=rng.choice(FATES) if liquid else "",
        note=rng.choice(("", "=2+2", "<&>\"'")),
    )
