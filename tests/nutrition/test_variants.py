"""Variants are recipes of their own, with the changes and nothing else."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.dishes import line
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Change, Recipe, Review, Variant
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.dish import in_order
from workbookgen.nutrition.hold_back import as_frozen
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import apply_variant, changes_in_words, variant_lines, with_variants
from workbookgen.recipes.check import check_recipe, resolve_recipes
from workbookgen.recipes.load import recipe_from_text
from workbookgen.recipes.save import recipe_text
from workbookgen.session import analyse_file, default_settings

POT = Recipe(
    "Pot", 4.0,
    (line("Tomatoes, canned, in juice", 400, section="Pot"), line("Salt, table", 1, "tsp", section="To finish"),
     line("Kale, raw", 200, treatment="boiled, water used"), line("Kale, raw", 50, garnish=True, held_back=True),
     line("Parsley, fresh", 10, held_back=True)),
    review=Review("A. Example", "2026-03-31", "", 12.0), cooked_weight_g=900.0, statements=("Low fat",), component=True,
)  # fmt: skip
WORDS = st.sampled_from([x.food for x in POT.lines])
CHANGES = st.one_of(
    st.builds(Change, st.just("leave out"), WORDS),
    st.builds(Change, st.just("replace"), WORDS, st.just("Spinach, raw")),
    st.builds(Change, st.just("change amount"), WORDS, amount=st.floats(1, 500), unit=st.just("g")),
    st.builds(Change, st.just("add"), st.just("Garlic, raw"), amount=st.floats(1, 50), unit=st.just("g")),
)


def lines_after(*changes: Change, hold_back: bool = False) -> list[tuple[str, float, str]]:
    made = variant_lines(POT, Variant("v", changes, hold_back))
    return [(x.food, x.amount, x.section) for x in made]


def test_every_change_does_what_it_says() -> None:
    rest = [("Kale, raw", 200, ""), ("Kale, raw", 50, ""), ("Parsley, fresh", 10, "")]
    tomatoes, salt = ("Tomatoes, canned, in juice", 400, "Pot"), ("Salt, table", 1, "To finish")
    assert lines_after(Change("replace", "salt, table", "Paprika")) == [tomatoes, ("Paprika", 1, "To finish"), *rest]
    assert lines_after(Change("change amount", "Salt, table", amount=0.5, unit="tsp")) == [tomatoes, ("Salt, table", 0.5, "To finish"), *rest]
    added = ("Garlic, raw", 5, "")
    assert lines_after(Change("add", "Garlic, raw", amount=5.0, unit="g")) == [tomatoes, salt, *rest, added]
    headed = [tomatoes, ("Kale, raw", 200, "To finish"), *rest[1:]]
    assert lines_after(Change("leave out", "Salt, table")) == headed


def test_a_change_meets_every_line_of_its_food_and_leaving_out_wins() -> None:
    assert [x[0] for x in lines_after(Change("replace", "Kale, raw", "Spinach, raw"))].count("Spinach, raw") == 2
    both = lines_after(Change("replace", "Kale, raw", "Spinach, raw"), Change("leave out", "Kale, raw"))
    assert {x[0] for x in both} == {"Tomatoes, canned, in juice", "Salt, table", "Parsley, fresh"}


@given(st.lists(CHANGES, max_size=4))
def test_lines_that_no_change_names_stay_as_written(changes: list[Change]) -> None:
    made = variant_lines(POT, Variant("v", tuple(changes)))
    named = {c.food for c in changes if c.do != "add"}
    unnamed = [replace(x, section="") for x in POT.lines if x.food not in named]
    assert [replace(x, section="") for x in made if x.food in {y.food for y in unnamed}] == unnamed
    adds = sum(c.do == "add" for c in changes)
    out = {c.food for c in changes if c.do == "leave out"}
    assert len(made) == sum(x.food not in out for x in POT.lines) + adds


def test_what_a_variant_keeps_and_what_it_does_not() -> None:
    made = apply_variant(replace(POT, targets=()), Variant("mild", (Change("leave out", "Salt, table"),)))
    assert (made.title, made.variant_of, made.compare_with) == ("Pot: mild", "Pot", "Pot")
    assert (made.review, made.statements, made.cooked_weight_g, made.component, made.variants) == (Review(), (), None, False, ())
    assert made.notes[0].text == 'Changed against "Pot": Salt, table left out.'
    changed = {"title", "lines", "notes", "variants", "cooked_weight_g", "statements", "review", "component", "counts_as",
               "compare_with", "variant_of"}  # fmt: skip
    for field in fields(Recipe):
        assert field.name in changed or getattr(made, field.name) == getattr(POT, field.name)


def test_variants_follow_their_recipe_and_are_ordinary_recipes() -> None:
    parent = replace(POT, variants=(Variant("a", (Change("leave out", "Salt, table"),)), Variant("b", (Change("leave out", "Kale, raw"),))))
    soup = Recipe("Soup", 2.0, (line("Pot", 1, "serving"),))
    made = with_variants([parent, soup])
    assert [r.title for r in made] == ["Pot", "Pot: a", "Pot: b", "Soup"]
    dishes, others = in_order(made)
    assert [r.title for r in dishes] == ["Pot"]
    assert [r.title for r in others] == ["Pot: a", "Pot: b", "Soup"]


def test_as_frozen_gives_the_figures_of_the_block_on_the_sheet(kitchen: Kitchen) -> None:
    parent = replace(POT, cooked_weight_g=None)
    analysis = analyse_recipe(kitchen, parent, default_settings())
    frozen = analyse_recipe(kitchen, apply_variant(parent, Variant("as frozen", hold_back=True)), default_settings())
    assert [x.line.food for x in frozen.lines].count("Parsley, fresh") == 0
    for n in kitchen.tables.nutrients:
        told = as_frozen(analysis, n.tag)
        assert frozen.nutrients[n.tag].serving == pytest.approx(told.frozen, rel=1e-9, abs=1e-9)
        assert frozen.nutrients[n.tag].reads == told.reads


def test_a_long_list_of_changes_is_cut_and_says_so() -> None:
    many = tuple(Change("leave out", f"Food with a name as long as it may become, number {i}") for i in range(40))
    words = changes_in_words(POT, Variant("v", many))
    assert len(words) < 600
    assert words.endswith("more changes")


FILE = """
title = "Pot"
servings = 2
[[ingredient]]
food = "Kale, raw"
amount = "100 g"
held_back = {held}
[[ingredient]]
food = "Salt, table"
amount = "1 tsp"
{variant}
"""


def told(kitchen: Kitchen, variant: str, held: str = "true") -> list[str]:
    try:
        recipe = recipe_from_text(FILE.format(variant=variant, held=held), "pot.toml")
    except BadInput as error:
        return [str(error)]
    assert recipe_from_text(recipe_text(recipe), "pot.toml") == recipe
    return [str(e) for e in check_recipe(recipe, kitchen.table, kitchen.tables)]


@pytest.mark.parametrize(
    ("variant", "words"),
    [
        ('[[variant]]\nname = "x"', "changes nothing"),
        ('[[variant]]\nname = "x"\n[[variant.change]]\ndo = "add"\nfood = "Garlic, raw"', "amount of the added food is missing"),
        ('[[variant]]\nname = "x"\n[[variant.change]]\ndo = "add"\nfood = "Garlic, raw"\namount = 2', "the unit is missing"),
        ('[[variant]]\nname = "x"\n[[variant.change]]\ndo = "add"\nfood = "Garlik"\namount = "2 g"', "no food"),
        ('[[variant]]\nname = "x"\n[[variant.change]]\ndo = "add"\nfood = "Water, tap"\namount = "1 cup"', "what becomes of the water"),
        ('[[variant]]\nname = "x"\n[[variant.change]]\ndo = "leave out"\nfood = "Kale, raw"\nwater = "stays"', "water is for added foods"),
        ('[[variant]]\nname = "x"\nhold_back = true\n[[variant.change]]\ndo = "leave out"\nfood = "Salt, table"', "no ingredient that counts"),
        ('[[variant]]\nname = "' + "x" * 100 + '"\nhold_back = true', ""),
    ],
)  # fmt: skip
def test_a_faulty_variant_gets_a_sentence(kitchen: Kitchen, variant: str, words: str) -> None:
    faults = told(kitchen, variant)
    assert (len(faults) == 1 and words in faults[0]) if words else faults == []


def test_holding_back_needs_a_held_back_line(kitchen: Kitchen) -> None:
    assert "no ingredient is held back" in told(kitchen, '[[variant]]\nname = "x"\nhold_back = true', "false")[0]
    assert told(kitchen, '[[variant]]\nname = "x"\nhold_back = true\n[[variant.change]]\ndo = "add"\nfood = "Water, tap"\n'
                         'amount = "1 cup"\nwater = "stays"') == []


def test_a_variant_may_not_take_the_title_of_another_recipe(kitchen: Kitchen) -> None:
    kale = (line("Kale, raw", 100), line("Salt, table", 1, "tsp"))
    parent = Recipe("Pot", 2.0, kale, variants=(Variant("mild", (Change("leave out", "Salt, table"),)),))
    with pytest.raises(BadInput, match="Pot: mild"):
        resolve_recipes([parent, Recipe("pot: Mild", 2.0, kale)], kitchen.table, kitchen.tables)


def test_every_line_of_a_changed_food_is_checked(kitchen: Kitchen) -> None:
    """A unit that only the second line of the food uses must fit the new food too."""
    lines = (line("Kale, raw", 100), line("Kale, raw", 1, "cup, 1 in pieces"))
    parent = Recipe("Pot", 2.0, lines, variants=(Variant("x", (Change("replace", "Kale, raw", "Garlic, raw"),)),))
    faults = [str(e) for e in check_recipe(parent, kitchen.table, kitchen.tables)]
    assert len(faults) == 1
    assert 'no unit "cup, 1 in pieces" is known for Garlic, raw' in faults[0]


def test_analyse_tells_the_variants_beside_the_recipe(tmp_path: Path) -> None:
    """The table for the terminal and the JSON give the figures of the variant itself."""
    path = tmp_path / "pot.toml"
    path.write_text(FILE.format(held="true", variant='[[variant]]\nname = "mild"\n[[variant.change]]\ndo = "leave out"\nfood = "Salt, table"'))
    text = analyse_file(path, False, "kitchen")
    assert 'Changed against "Pot": Salt, table left out.' in text
    told = json.loads(analyse_file(path, True, "kitchen"))
    (variant,) = told["variants"]
    salt = told["nutrients"]["NA"]["per_serving"] - variant["nutrients"]["NA"]["per_serving"]
    assert (variant["title"], round(salt)) == ("Pot: mild", 1179)  # half a teaspoon at 292 g a cup, 38.758 % sodium: USDA SR 28, 02047
    assert "-1179" in next(row for row in text.splitlines() if row.startswith("Sodium"))
