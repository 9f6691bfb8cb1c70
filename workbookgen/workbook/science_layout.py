"""Working columns and front blocks of a recipe sheet for plate, iron, protein, readings and likely ranges."""

from __future__ import annotations

from workbookgen.model.science import AMINO
from workbookgen.nutrition.iron import FACTORS
from workbookgen.nutrition.ranges import RANGE_TAGS
from workbookgen.nutrition.serving_facts import CAROTENOIDS, COLOURS, FACTS

#: key, heading, width, number style
SCIENCE_COLUMNS: tuple[tuple[str, str, float, str], ...] = (
    ("pl_other", "Plate group, legumes the other way", 9, "n0"),
    ("pl_cups", "Cups in the dish", 9, "n2"),
    ("pl_amount", "Amount compared on the plate", 9, "n2"),
    ("colour", "Colour", 10, ""),
    ("fe_heme", "Heme iron, mg", 9, "n2"),
    ("fe_non", "Nonheme iron, mg", 9, "n2"),
    ("fe_raw", "Meat, fish, poultry, raw g", 9, "n1"),
    ("fe_cooked", "Meat, fish, poultry, cooked g", 9, "n1"),
    ("fe_egg", "Eggs", 8, "n2"),
    ("fe_soy", "Soy protein, g", 9, "n2"),
    ("p_all", "Protein as N x 6.25, g", 9, "n2"),
    ("p_ref", "of it with known amino acids, g", 9, "n2"),
    ("p_digest", "of it digested, g", 9, "n2"),
    ("p_known", "with published digestibility, g", 9, "n2"),
    ("p_without", "Score without this line", 9, "n2"),
    ("p_limits", "Limits then", 18, ""),
    *((f"sd_{tag}", f"Spread of {tag}", 9, "n2") for tag in RANGE_TAGS),
)

# Rows of the blocks, counted from the block's first row.
INPUT_LABELS, INPUTS, INPUT_HINTS = 1, 2, 3
TABLE_HEAD, TABLE_FIRST = 4, 5

MEAL_ROWS = 9  # what the serving brings
METHOD_ROWS = 8  # classes, four levels, algorithm, spread, need
IRON_HEAD_2 = TABLE_FIRST + MEAL_ROWS
IRON_FIRST_2 = IRON_HEAD_2 + 1
IRON_HELP_FOODS = 6
IRON_ROWS_2 = 9  # help words, two gaps and six foods; the factors need fewer
IRON_TEXT = IRON_FIRST_2 + IRON_ROWS_2
IRON_TEXTS = 4

PROTEIN_SUMMARY = 12
PROTEIN_HEAD_2 = TABLE_FIRST + PROTEIN_SUMMARY
PROTEIN_FIRST_2 = PROTEIN_HEAD_2 + 1
PROTEIN_PATTERNS = 11
PROTEIN_TEXT = PROTEIN_FIRST_2 + PROTEIN_PATTERNS
PROTEIN_TEXTS = 3

FACT_ROWS = len(FACTS) + len(COLOURS) + len(CAROTENOIDS) + 1
RANGE_ROWS = len(RANGE_TAGS) + 1

assert len(AMINO) <= PROTEIN_SUMMARY
assert len(FACTORS) <= IRON_ROWS_2

#: key, rows with title and heading, starts a new page
SCIENCE_SECTIONS: tuple[tuple[str, int, bool], ...] = (
    ("iron", IRON_TEXT + IRON_TEXTS, True),
    ("protein", PROTEIN_TEXT + PROTEIN_TEXTS, True),
    ("facts", 2 + FACT_ROWS, True),
    ("range", 2 + RANGE_ROWS, True),
)
