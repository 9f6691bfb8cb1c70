"""The smallest recipe file, one with every key, and reading what a user is told."""

from __future__ import annotations

from workbookgen.model.errors import BadInput, BadInputs

SOUP = """\
title = "Soup"
servings = 4

[[ingredient]]
food = "Kale, raw"
amount = "3/4 cup"
"""

FULL = """\
title = "Lentil  pot"
version = 3
makes_cups = 8
serving_cups = 2
serving = "2 cups"
cup_weight_g = 240
cooked_weight_g = 1900.5
kind = "meal"
racc_g = 245
racc = "soups"
prep_minutes = 10
cook_minutes = 45
plate_model = "myplate"
legumes_as = "Vegetable"
soup = true
component = true
counts_as = "Legume"
compare_with = "Other pot"
may_contain = "peanut"
statements = ["good source of iron"]
switches = ["no card"]
targets = ["FE >= 20 %DV", "NA<=600 mg", "Iron ≥ 3.5 mg"]
method = ["Boil.", "Eat."]
storage = "Refrigerate."

[settings]
programme = "Tuesday Table"

[[ingredient]]
food = "Lentils, dry"
amount = "1-1 1/2 cups"
use = "high"
basis = "as purchased"
treatment = "boiled, water used"
share_eaten = 90
note = "sorted"
section = "Pot"
held_back = true

[[ingredient]]
food = "Water, tap"
amount = 3
unit = "cup"
water = "stays"
include = false
optional = true
garnish = true
role = "Liquid"

[[note]]
text = "Good."
source = "usda_sr28"

[[variant]]
name = "Less"
[[variant.change]]
do = "change amount"
food = "Lentils, dry"
amount = "1/2 cup"

[review]
reviewer = "A. Example"
date = 2026-03-31
comment = "fine"
check_number = 12
"""


def sentences(error: BadInput) -> list[str]:
    """The sentences a user sees, one for each fault."""
    return [str(one) for one in error.errors] if isinstance(error, BadInputs) else [str(error)]
