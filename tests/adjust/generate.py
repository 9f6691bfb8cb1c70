"""Dishes and targets for the adjuster's tests: the same random numbers give the same problem."""

from __future__ import annotations

import random
from collections.abc import Sequence

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.kitchen import Kitchen

#: Foods a savoury dish may hold, with a usual amount for four and a treatment.
PANTRY = (
    ("Onions, raw", 1.0, "cup, chopped", "sauteed"), ("Garlic, raw", 3.0, "clove", "sauteed"),
    ("Carrots, raw", 1.0, "cup, chopped", "boiled, water used"), ("Celery, raw", 1.0, "cup, chopped", "boiled, water used"),
    ("Kale, raw", 6.0, "cup, 1 in pieces", "boiled, water used"), ("Red bell pepper, raw", 1.0, "medium", "sauteed"),
    ("Green bell pepper, raw", 1.0, "medium", "sauteed"), ("Zucchini, with skin, raw", 1.0, "medium", "sauteed"),
    ("Tomatoes, canned, in juice", 1.0, "can (28 oz)", "reheated"), ("Tomato paste, canned, no salt added", 2.0, "tbsp", "none"),
    ("White mushrooms, raw", 2.0, "cup, pieces or slices", "sauteed"), ("Potatoes, with skin, raw", 1.0, "lb", "boiled, water used"),
    ("Sweet corn, yellow, frozen", 1.0, "cup", "boiled, water used"), ("Black beans, canned, with liquid", 1.0, "can (15 oz)", "reheated"),
    ("Chickpeas, canned, drained", 200.0, "g", "reheated"), ("Brown rice, long grain, cooked", 2.0, "cup", "reheated"),
    ("Bulgur, cooked", 1.0, "cup", "reheated"), ("Egg, whole, raw", 4.0, "large", "hard-boiled"),
    ("Olive oil", 2.0, "tbsp", "none"), ("Butter, salted", 1.0, "tbsp", "none"), ("Salt, table", 1.0, "tsp", "none"),
    ("Black pepper, ground", 0.5, "tsp", "none"), ("Cumin seed", 1.0, "tsp", "none"), ("Paprika", 1.0, "tsp", "none"),
    ("Soy sauce", 1.0, "tbsp", "none"), ("Parmesan, grated", 4.0, "tbsp", "none"), ("Feta", 60.0, "g", "none"),
    ("Milk, whole", 1.0, "cup", "none"), ("Lemon juice, fresh", 2.0, "tbsp", "none"), ("Parsley, fresh", 0.25, "cup, chopped", "none"),
    ("Chicken breast, no skin, boneless, raw", 12.0, "oz", "roasted"), ("Sunflower seeds, shelled, dry roasted, unsalted", 2.0, "tbsp", "none"),
    ("Green beans, raw", 200.0, "g", "boiled, water used"), ("Vegetable broth, ready to serve", 2.0, "cup", "none"),
)  # fmt: skip
#: Nutrients that targets are drawn from, with the sign that makes sense.
WISHED = (
    ("FE", ">="), ("FIBTG", ">="), ("CA", ">="), ("K", ">="), ("VITC", ">="), ("PROCNT", ">="), ("MG", ">="), ("ZN", ">="),
    ("NA", "<="), ("FASAT", "<="), ("FAT", "<="), ("CHOLE", "<="), ("ENERC_KCAL", "<="), ("FOLDFE", ">="),
)  # fmt: skip


def _line(row: tuple[str, float, str, str], factor: float) -> IngredientLine:
    food, amount, unit, treatment = row
    return IngredientLine(food=food, amount=max(0.125, round(amount * factor * 8) / 8), unit=unit, treatment=treatment)


def big_dish(kitchen: Kitchen, rng: random.Random, lines: int = 30) -> Recipe:
    """A dish of many lines for four."""
    rows = rng.sample(PANTRY, lines)
    return Recipe(title="Big pot", servings=4, lines=tuple(_line(r, rng.choice((0.75, 1, 1.25, 1.5))) for r in rows))


def big_targets(analysis: Analysis, rng: random.Random, count: int) -> list[str]:
    """Targets around what the dish reaches, about half of them beyond it, the plate and the weight among them."""
    found = ["plate within 12", f"serving weight <= {analysis.serving_g * 1.25:.0f} g"]
    for tag, sign in rng.sample(WISHED, count - len(found)):
        factor = rng.uniform(0.9, 1.12)
        found.append(f"{tag} {sign} {analysis.nutrients[tag].serving * factor:.4g}")
    return found


def more_foods(kitchen: Kitchen, analysis: Analysis, count: int) -> list[str]:
    """Plain vegetables and fruit that are not in the dish, for a longer list of foods to add."""
    present = {line.food.name for line in analysis.lines}
    plain = [f.name for f in kitchen.fixed_foods if f.group in ("Vegetables", "Fruit") and f.state == "raw" and not f.cautions]
    return [name for name in plain if name not in present][:count]


def small_dish(kitchen: Kitchen, rng: random.Random) -> Recipe:
    """Three to six lines, so that every point on kitchen steps can be listed."""
    rows = rng.sample(PANTRY, rng.randint(3, 6))
    return Recipe(
        title=f"Small pot {rng.randint(1, 999)}", servings=rng.choice((2.0, 4.0)),
        lines=tuple(_line(r, rng.choice((0.5, 1, 1.25))) for r in rows),
    )  # fmt: skip


def small_targets(analysis: Analysis, rng: random.Random) -> list[str]:
    """One to four targets around what the dish reaches; some can be met, some not."""
    makers: Sequence[str] = rng.sample(("nutrient", "nutrient", "range", "per 100 g", "plate", "weight", "dv"), rng.randint(1, 4))
    found = []
    for maker in makers:
        tag, sign = rng.choice(WISHED)
        value, factor = analysis.nutrients[tag], rng.uniform(0.8, 1.3)
        if maker == "nutrient":
            found.append(f"{tag} {sign} {value.serving * factor:.5g}")
        elif maker == "range":
            energy = analysis.nutrients["ENERC_KCAL"].serving
            found.append(f"ENERC_KCAL {energy * (factor - 0.1):.5g}..{energy * (factor + 0.1):.5g} kcal")
        elif maker == "per 100 g":
            unit = {"FE": "mg", "FIBTG": "g", "CA": "mg", "K": "mg", "VITC": "mg", "PROCNT": "g", "MG": "mg", "ZN": "mg", "NA": "mg",
                    "FASAT": "g", "FAT": "g", "CHOLE": "mg", "ENERC_KCAL": "kcal", "FOLDFE": "mcg"}[tag]  # fmt: skip
            found.append(f"{tag} {sign} {value.per_100g * factor:.5g} {unit} per 100 g")
        elif maker == "plate":
            group = rng.choice([g for g in analysis.plate if g.target_pct])
            found.append(f"plate {group.group} {rng.choice(('>=', '<='))} {min(95, group.share_pct * factor):.4g} %")
        elif maker == "weight":
            found.append(f"serving weight {rng.choice(('>=', '<='))} {analysis.serving_g * factor:.4g} g")
        elif value.dv_pct is not None:
            found.append(f"{tag} {sign} {value.dv_pct * factor:.5g} %DV")
    return found or [f"NA <= {analysis.nutrients['NA'].serving * 0.9:.5g}"]
