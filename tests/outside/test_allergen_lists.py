"""Allergen lists against the statutes, typed here by hand.

US: Federal Food, Drug, and Cosmetic Act, section 201(qq)(1), as amended by the Food Allergen Labeling and
Consumer Protection Act of 2004 and the FASTER Act of 2021; kinds by section 403(w)(2); tree nuts by FDA,
Questions and Answers Regarding Food Allergens, Edition 5 (January 2025), Table 1.
EU: Regulation (EU) No 1169/2011, Annex II, as transcribed at several places.
"""

from __future__ import annotations

from workbookgen.session import load_kitchen

SAFETY = load_kitchen().safety
# section 201(qq)(1): milk, egg, fish, Crustacean shellfish, tree nuts, wheat, peanuts, soybeans and sesame
US_NINE = {
    "milk",
    "eggs",
    "fish",
    "crustacean shellfish",
    "tree nuts",
    "wheat",
    "peanuts",
    "soybeans",
    "sesame",
}
# Annex II, points 1 to 14
EU_FOURTEEN = {
    "cereals containing gluten",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphur dioxide and sulphites",
    "lupin",
    "molluscs",
}
# Edition 5, Table 1 (English, Persian, black and California walnut and heartnut are walnuts here)
US_TREE_NUTS = {
    "almond",
    "brazil nut",
    "cashew",
    "hazelnut",
    "macadamia",
    "pecan",
    "pine nut",
    "pistachio",
    "walnut",
}
# Annex II, point 1
EU_CEREALS = {"wheat", "rye", "barley", "oats", "spelt"}


def test_us_list_is_the_nine_of_the_act() -> None:
    assert {a.name_us for a in SAFETY.allergens if a.us == "list"} == US_NINE


def test_eu_list_is_the_fourteen_of_annex_ii() -> None:
    assert {a.name_eu for a in SAFETY.allergens if a.eu == "list"} == EU_FOURTEEN


def test_kinds_are_named_where_the_act_asks_for_them() -> None:
    asked = {"fish", "crustacean shellfish", "tree nuts"}
    assert {a.name_us for a in SAFETY.allergens if a.us == "list" and a.kinds} == asked


def test_tree_nuts_are_those_of_the_guidance_and_coconut_never_fills_a_contains_line() -> None:
    named = {k.kind for k in SAFETY.kinds if k.allergen == "tree_nut"}
    assert named >= US_TREE_NUTS
    assert named - US_TREE_NUTS == {"chestnut", "coconut"}
    kitchen = load_kitchen()
    assert not any("+tree_nut(coconut)" in f.allergens for f in kitchen.table.foods)
    assert not any("+tree_nut(chestnut)" in f.allergens for f in kitchen.table.foods)


def test_cereals_of_annex_ii_are_named() -> None:
    assert {k.kind for k in SAFETY.kinds if k.allergen == "gluten"} >= EU_CEREALS


def test_molluscs_are_no_major_allergen_of_the_us() -> None:
    assert next(a for a in SAFETY.allergens if a.id == "mollusc").us == "no"
