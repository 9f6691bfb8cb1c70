"""Weights as purchased, packages rounded up, costs that say what they do not know."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import dish, line
from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.model.programme import TRIMMED, Price
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.shopping import (
    Pick,
    bought_grams,
    check_prices,
    needs,
    package_grams,
    price_per_g,
    recipe_costs,
    shopping_list,
    whole_packages,
)
from workbookgen.session import default_settings

KALE = "Kale, raw"
BEANS = "Black beans, boiled"
OIL = "Olive oil"


def priced(kitchen: Kitchen, *prices: Price) -> Kitchen:
    return replace(kitchen, prices=prices)


def worked_out(kitchen: Kitchen, *recipes: Recipe) -> tuple[Kitchen, list[Analysis]]:
    dishes, others = in_order(recipes)
    kitchen, analyses = with_dishes(kitchen, dishes, default_settings())
    return kitchen, analyses + [analyse_recipe(kitchen, r, default_settings()) for r in others]


def test_an_edible_weight_gets_its_refuse_back(kitchen: Kitchen) -> None:
    refuse = kitchen.food_by_name[KALE.lower()].refuse_pct
    assert refuse > 0
    one = dish(kitchen, line(KALE, 100)).lines[0]
    assert bought_grams(kitchen, one) == pytest.approx(100 / (1 - refuse / 100))


def test_as_purchased_is_bought_as_it_stands(kitchen: Kitchen) -> None:
    one = dish(kitchen, line(KALE, 100, basis="as purchased")).lines[0]
    assert bought_grams(kitchen, one) == pytest.approx(100)


def test_what_stays_on_the_plate_is_bought_too(kitchen: Kitchen) -> None:
    whole, half = (dish(kitchen, line(KALE, 100, share_eaten_pct=share)).lines[0] for share in (100, 50))
    assert bought_grams(kitchen, half) == bought_grams(kitchen, whole)


def test_trimmed_food_has_no_refuse_to_buy(kitchen: Kitchen) -> None:
    refuse = kitchen.food_by_name[KALE.lower()].refuse_pct / 100
    trimmed = priced(kitchen, Price(KALE, 3.0, 250, "g", sold_as=TRIMMED))
    edible, purchased = (dish(kitchen, line(KALE, 100, basis=b)).lines[0] for b in ("edible", "as purchased"))
    assert bought_grams(trimmed, edible) == pytest.approx(100)
    assert bought_grams(trimmed, purchased) == pytest.approx(100 * (1 - refuse))


def test_household_measures_of_a_package_are_edible_portions(kitchen: Kitchen) -> None:
    egg = kitchen.food_by_name["egg, whole, raw"]
    assert egg.refuse_pct == 12
    assert package_grams(kitchen, egg, Price(egg.name, 3.6, 12, "large")) == pytest.approx(12 * 50 / 0.88)
    assert package_grams(kitchen, egg, Price(egg.name, 3.6, 1, "lb")) == pytest.approx(453.59237)
    two = dish(kitchen, line(egg.name, 2, "large")).lines[0]
    dozen = priced(kitchen, Price(egg.name, 3.6, 12, "large"))
    assert bought_grams(dozen, two) * (price_per_g(dozen, egg.name) or 0) == pytest.approx(0.6)


def test_water_is_free_and_not_on_the_list(kitchen: Kitchen) -> None:
    soup = dish(kitchen, line("Water, tap", 500, water="stays"), line(OIL, 10))
    assert price_per_g(kitchen, "Water, tap") == 0
    assert list(needs(kitchen, [soup], [Pick("Test dish", 1)])) == [OIL]


def test_a_food_without_a_price_is_unknown_not_free(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line(OIL, 10), line(KALE, 100), line(KALE, 50), line(BEANS, 100, include=False))
    cost = recipe_costs(priced(kitchen, Price(OIL, 10, 1, "kg")), [analysis])["test dish"]
    assert (cost.total, cost.unpriced) == (pytest.approx(0.1), (KALE,))
    nothing = recipe_costs(kitchen, [analysis])["test dish"]
    assert (nothing.total, nothing.serving) == (None, None)


def test_dishes_inside_dishes_are_bought_and_paid_to_every_depth(kitchen: Kitchen) -> None:
    stock = Recipe("Stock", 4, (line(KALE, 200), line("Water, tap", 800, water="stays")))
    sauce = Recipe("Sauce", 4, (line("Stock", 400), line(OIL, 100)))
    stew = Recipe("Stew", 2, (line("Sauce", 250), line("Stock", 100), line(BEANS, 300)))
    made, analyses = worked_out(priced(kitchen, Price(KALE, 2, 1, "kg"), Price(OIL, 10, 1, "kg"), Price(BEANS, 3, 1, "kg")), stock, sauce, stew)
    weight = {a.recipe.title: a.cooked_weight for a in analyses}
    of_sauce = 250 / weight["Sauce"]
    of_stock = (400 * of_sauce + 100) / weight["Stock"]
    kale = 200 / (1 - kitchen.food_by_name[KALE.lower()].refuse_pct / 100)
    costs = recipe_costs(made, analyses)
    assert costs["stew"].total == pytest.approx(0.9 + of_sauce * 1.0 + of_stock * kale * 0.002)
    assert costs["stew"].dishes["Stock"] == pytest.approx(400 * of_sauce + 100)
    bought = needs(made, analyses, [Pick("Stew", 6), Pick("Stock", 4)])
    assert bought[KALE] == pytest.approx(kale * (3 * of_stock + 1))
    assert bought[OIL] == pytest.approx(3 * of_sauce * 100)
    assert "Stock" not in bought


def test_the_list_goes_by_aisle_and_takes_the_pantry_off(kitchen: Kitchen) -> None:
    shop = priced(kitchen, Price(KALE, 2.5, 300, "g"), Price(OIL, 8, 500, "g", pantry_g=30), Price(BEANS, 1, 400, "g", pantry_g=9000))
    pot = dish(kitchen, line(KALE, 216), line(OIL, 20), line(BEANS, 300), line("Feta", 50), servings=2.0)
    items = {i.food: i for i in shopping_list(shop, [pot], [Pick("Test dish", 4)])}
    places = [shop.aisles.index(i.aisle) for i in items.values()]
    assert places == sorted(places)
    assert (items[KALE].buy, items[KALE].packages, items[KALE].cost) == (pytest.approx(600), 2, 5)
    assert (items[OIL].need, items[OIL].pantry, items[OIL].buy, items[OIL].packages) == (40, 30, 10, 1)
    assert (items[BEANS].pantry, items[BEANS].buy, items[BEANS].packages, items[BEANS].cost) == (600, 0, 0, 0)
    assert (items["Feta"].packages, items["Feta"].cost) == (None, None)


@given(st.integers(1, 200), st.sampled_from([0.1, 0.3, 28.349523125, 453.59237]))
def test_an_exact_number_of_packages_is_not_rounded_up_by_noise(number: int, package: float) -> None:
    total = sum([package] * number)
    assert whole_packages(total, package) == number
    assert whole_packages(total + package / 100, package) == number + 1


@pytest.mark.parametrize(("row", "words"), [(Price("Moonbeans", 1, 1, "lb"), "Moonbeans"), (Price(KALE, 1, 1, "barrel"), "barrel")])
def test_a_price_nobody_can_use_is_named(kitchen: Kitchen, row: Price, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        check_prices(priced(kitchen, row))
