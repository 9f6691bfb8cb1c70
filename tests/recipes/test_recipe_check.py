"""Whether a recipe fits the food table."""

from __future__ import annotations

from dataclasses import replace

import pytest
from recipe_texts import sentences

from workbookgen.catalogue.constants import load_constants
from workbookgen.model.errors import BadInputs
from workbookgen.model.food import FoodTable
from workbookgen.model.recipe import Change, IngredientLine, Note, Recipe, Target, Variant
from workbookgen.model.tables import Tables
from workbookgen.recipes import check
from workbookgen.recipes.check import check_recipe, resolve_recipe, resolve_recipes

KALE = IngredientLine("Kale, raw", 2.0, "cup, chopped", row=5)
SOUP = Recipe("Soup", 4.0, (KALE,), path="here/soup.toml")
HERE = "soup.toml, line 5, ingredient 1 (Kale, raw)"


def _with(**changes: object) -> Recipe:
    return replace(SOUP, lines=(replace(KALE, **changes),))  # type: ignore[arg-type]


def test_a_recipe_that_fits_has_no_faults(foods: FoodTable, tables: Tables) -> None:
    assert check_recipe(SOUP, foods, tables) == []
    assert resolve_recipe(SOUP, foods, tables) == SOUP


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"food": "Kal, raw"},
            'soup.toml, line 5, ingredient 1 (Kal, raw): no food "Kal, raw" is known; '
            "the nearest names are: Kale, raw; Scallions, raw; Garlic, raw",
        ),
        (
            {"unit": "handful"},
            f'{HERE}: no unit "handful" is known for Kale, raw; '
            "known: cup, chopped; leaf; g; lb; cup; tbsp; tsp; fl oz; or weigh it and use g",
        ),
        (
            {"treatment": "reheated"},
            f'{HERE}: treatment "reheated" is not offered for Kale, raw; '
            "raw food of this kind allows: none; boiled, drained; steamed",
        ),
        (
            {"role": "leafy"},
            f'{HERE}: role "leafy" is no plate role; use legume, liquid, seasoning, vegetable',
        ),
        (
            {"water": "stays"},
            f'{HERE}: water = "stays" is for liquids, and Kale, raw is none; take it out',
        ),
        (
            {"amount": 120.0, "unit": "lb"},
            f"{HERE}: 120 lb is 54 kg; a line holds at most 50 kg; check the unit",
        ),
        (
            {"review": True, "candidates": ("Kale, raw", "Kale, boiled")},
            f"{HERE}: this line still waits for a decision; "
            "choose the food (Kale, raw; Kale, boiled), then take review = true out",
        ),
        (
            {"review": True, "amount": 0.0, "amount_text": "to taste", "note": "not told (as written: kale)"},
            f"{HERE}: this line still waits for a decision (not told); "
            'write its amount in place of "to taste", then take review = true out',
        ),
        (
            {"review": True},
            f"{HERE}: this line still waits for a decision; settle it, then take review = true out",
        ),
        (
            {"food": "Water, tap", "unit": "cup"},
            "soup.toml, line 5, ingredient 1 (Water, tap): say what becomes of the water; "
            'write water = "absorbed", "stays" or "poured off"',
        ),
        (
            {"food": "Soup", "unit": "serving"},
            "soup.toml, line 5, ingredient 1 (Soup): the recipe is its own ingredient; take the line out",
        ),
    ],
)
def test_a_line_that_does_not_fit_gets_one_sentence(
    changes: dict[str, object], sentence: str, foods: FoodTable, tables: Tables
) -> None:
    [error] = check_recipe(_with(**changes), foods, tables)
    assert str(error) == sentence


def test_two_faults_of_one_line_are_both_told(foods: FoodTable, tables: Tables) -> None:
    assert len(check_recipe(_with(unit="handful", treatment="fried"), foods, tables)) == 2


def test_words_are_given_back_as_the_tables_spell_them(foods: FoodTable, tables: Tables) -> None:
    recipe = replace(
        _with(food="kale, RAW", unit="Cups chopped", treatment="Steamed"),
        targets=(Target("iron", ">=", 0.003, "amount", "g"), Target("na", "<=", 20.0, "%DV")),
        variants=(Variant("Less", (Change("change amount", "kale, raw", amount=3.0, unit="leaves"),)),),
    )
    assert resolve_recipe(recipe, foods, tables) == replace(
        _with(treatment="steamed"),
        targets=(Target("FE", ">=", 3.0, "amount", "mg"), Target("NA", "<=", 20.0, "%DV")),
        variants=(Variant("Less", (Change("change amount", "Kale, raw", amount=3.0, unit="leaf"),)),),
    )


def test_resolving_twice_changes_nothing_more(foods: FoodTable, tables: Tables) -> None:
    once = resolve_recipe(_with(food="kale, RAW", unit="Cups chopped"), foods, tables)
    assert resolve_recipe(once, foods, tables) == once


@pytest.mark.parametrize(
    ("target", "sentence"),
    [
        (
            Target("Irn", ">=", 3.0, "amount", "mg"),
            'soup.toml, target Irn >= 3 mg: no nutrient "Irn" is known; did you mean FE (Iron)',
        ),
        (
            Target("LYCPN", ">=", 5.0, "%DV"),
            "soup.toml, target LYCPN >= 5 %DV: Lycopene has no Daily Value; give the target in mcg",
        ),
        (
            Target("FE", ">=", 5.0, "amount", "kcal"),
            'soup.toml, target FE >= 5 kcal: Iron is told in mg, not in "kcal"; change it',
        ),
    ],
)
def test_a_target_that_does_not_fit_gets_one_sentence(
    target: Target, sentence: str, foods: FoodTable, tables: Tables
) -> None:
    [error] = check_recipe(replace(SOUP, targets=(target,)), foods, tables)
    assert str(error).startswith(sentence)


def test_an_energy_target_may_be_told_in_kilojoules(foods: FoodTable, tables: Tables) -> None:
    recipe = replace(SOUP, targets=(Target("Energy", "<=", 2092.0, "amount", "kJ"),))
    assert resolve_recipe(recipe, foods, tables).targets == (
        Target("ENERC_KCAL", "<=", 500.0, "amount", "kcal"),
    )


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"plate_model": "moon"}, 'soup.toml: plate_model "moon" is not known; use practice'),
        (
            {"counts_as": "sauce"},
            'soup.toml: counts_as "sauce" is no plate role; use legume, liquid, seasoning, vegetable',
        ),
        (
            {"notes": (Note("x", "usda"),)},
            'soup.toml, note 1: source "usda" is not in the sources table; nearest: usda_sr28',
        ),
        (
            {"variants": (Variant("V", (Change("leave out", "Salt, table"),)),)},
            'soup.toml, variant V, change 1: "Salt, table" is no ingredient of this recipe; '
            "its foods are: Kale, raw",
        ),
        (
            {"variants": (Variant("V", (Change("replace", "Kale, raw", "Garlic, raw"),)),)},
            'soup.toml, variant V, change 1 (Garlic, raw): no unit "cup, chopped" is known for Garlic, raw; '
            "known: clove; g; lb; or weigh it and use g",
        ),
    ],
)
def test_other_parts_that_do_not_fit_get_one_sentence(
    changes: dict[str, object], sentence: str, foods: FoodTable, tables: Tables
) -> None:
    errors = check_recipe(replace(SOUP, **changes), foods, tables)  # type: ignore[arg-type]
    assert list(map(str, errors)) == [sentence]


def test_a_finished_recipe_is_an_ingredient_by_serving_weight_and_weighed_cup(
    foods: FoodTable, tables: Tables
) -> None:
    stock = Recipe("Stock", 4.0, (KALE,), cup_weight_g=240.0)
    plain = replace(stock, title="Plain stock", cup_weight_g=None)
    lines = tuple(IngredientLine(food, 1.0, unit) for food, unit in (
        ("stock", "servings"), ("Stock", "cups"), ("Stock", "grams"), ("Plain stock", "g"),
    ))  # fmt: skip
    done = resolve_recipes([replace(SOUP, lines=lines), stock, plain], foods, tables)[0]
    assert [(line.food, line.unit) for line in done.lines] == [
        ("Stock", "serving"), ("Stock", "cup"), ("Stock", "g"), ("Plain stock", "g"),
    ]  # fmt: skip
    wrong = replace(SOUP, lines=(IngredientLine("Plain stock", 1.0, "cup", treatment="boiled"),))
    assert list(map(str, check_recipe(wrong, foods, tables, [plain]))) == [
        'soup.toml, ingredient 1 (Plain stock): no unit "cup" is known for Plain stock; '
        "known: serving; g; lb; or write cup_weight_g into that recipe for cups",
        "soup.toml, ingredient 1 (Plain stock): Plain stock is a finished recipe; take treatment out",
    ]


def test_recipes_that_use_each_other_in_a_circle_are_refused_by_name(
    foods: FoodTable, tables: Tables
) -> None:
    def uses(title: str, other: str) -> Recipe:
        return Recipe(title, 1.0, (IngredientLine(other, 1.0, "serving"), KALE), path=f"{title.lower()}.toml")

    with pytest.raises(BadInputs) as caught:
        resolve_recipes([uses("A", "B"), uses("B", "C"), uses("C", "A")], foods, tables)
    assert sentences(caught.value) == [
        "a.toml: recipes use each other in a circle: A -> B -> C -> A; take one out"
    ]


def test_two_recipes_with_one_title_are_refused_in_memory_too(foods: FoodTable, tables: Tables) -> None:
    with pytest.raises(BadInputs, match="give each recipe its own title"):
        resolve_recipes([SOUP, replace(SOUP, path="b.toml")], foods, tables)


def test_the_weight_limit_is_that_of_the_workbook() -> None:
    assert load_constants()["grams_max"] == check.MOST_LINE_G
