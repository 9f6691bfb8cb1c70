"""Sheet Compare: its columns, the three pickers, and what each picked recipe is for the core."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.analysis import Analysis
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import in_words, key_text, tidy

TAB = "Compare"
NO, NAME, UNIT = 0, 1, 2
PICKED = (3, 4, 5)
CHANGES = ((6, 7), (8, 9))  # amount and per cent: second against first, third against first
PERCENTS = (10, 11, 12)
LAST = PERCENTS[-1]
WIDTHS = (4, 25, 6, 24, 24, 24, 13, 7, 13, 7, 10, 10, 10)
WORK = LAST + 2
#: Working columns: values, words "at least" and "at most", scale of the decimals.
VALUES, READS, SCALE = (WORK, WORK + 1, WORK + 2), (WORK + 3, WORK + 4, WORK + 5), WORK + 6
#: Chart data; allergens with what changes; statements.
CHART_NO, CHART_NAME, CHART_PCT = WORK + 8, WORK + 9, (WORK + 10, WORK + 11, WORK + 12)
ALLERGEN_NO, ALLERGEN, ALLERGEN_CODE, ALLERGEN_JOIN = WORK + 14, WORK + 15, (WORK + 16, WORK + 17, WORK + 18), WORK + 19
SAY_NO, SAY_WORDS, SAY_CODE, SAY_RUNNING = WORK + 28, WORK + 29, (WORK + 30, WORK + 31, WORK + 32), WORK + 33
LABELS, INPUT, HINTS, MESSAGES, ABOUT = 3, 4, 5, 6, 7
PLACES = ("First", "Second", "Third")


@dataclass(frozen=True)
class Picks:
    """Cells of the three picks: ``used`` holds the place in Results or 0, ``row`` the same, at least 1."""

    used: tuple[str, ...]
    row: tuple[str, ...]
    analyses: tuple[Analysis | None, ...]
    recipes: tuple[RecipeSheet | None, ...]

    def value(self, k: int, found: Value | None) -> Value | _Lookup:
        """What a cell about pick ``k`` stores: nothing where no recipe is picked."""
        if self.recipes[k] is None:
            return ""
        return LOOKUP if found is None else found


def default_picks(recipes: Sequence[RecipeSheet]) -> list[RecipeSheet | None]:
    """A recipe with a variant, the variant, and another recipe; in a book without variants the first three."""
    named = [r for r in recipes if r.recipe]
    variant = next((r for r in named if r.recipe and r.recipe.variant_of), None)
    parent = None
    if variant and variant.recipe:
        parent = next((r for r in named if r.recipe and r.recipe.title == variant.recipe.variant_of), None)
    first = [r for r in (parent, variant) if r]
    found: list[RecipeSheet | None] = [*first, *(r for r in named if r not in first)]
    return [*found, None, None, None][:3]


def put_picks(sheet: Sheet, recipes: Sequence[RecipeSheet]) -> Picks:
    """Three inputs with messages below; the second and third may stay empty."""
    chosen = default_picks(recipes)
    used, rows = [], []
    for k, (col, pick) in enumerate(zip(PICKED, chosen, strict=True)):
        label = f"{PLACES[k]} recipe or variant"
        sheet.put(LABELS, col, label, "label")
        sheet.put(INPUT, col, pick.recipe.title if pick and pick.recipe else "", "input small flow")
        sheet.put(HINTS, col, "choose from the list" if k == 0 else "choose from the list, or leave empty", "hint")
        sheet.choose_from(INPUT, col, INPUT, col, "=res_title", label, "A title of this book. Its figures are those of one serving.")
        x = f"INDEX({block(LABELS, col, HINTS, col)},2)"
        empty = f'IF(ISTEXT({x}),{tidy(x)}="",ISBLANK({x}))'
        match = f'IF(ISTEXT({x}),IF(LEN({x})>const_title_letters,0,IF({tidy(x)}="",0,IFERROR(MATCH({key_text(x)},res_title,0),0))),0)'
        place = float(recipes.index(pick) + 1) if pick else 0.0
        sheet.put(LABELS, WORK + k, f"{PLACES[k]}, no. in Results", "workhead")
        found = sheet.formula(INPUT, WORK + k, f"={match}", place, "work n0")
        sheet.put(LABELS, WORK + 3 + k, f"{PLACES[k]}, row read", "workhead")
        row = sheet.formula(INPUT, WORK + 3 + k, f"=MAX(1,{found})", max(1.0, place), "work n0")
        fits = f"IF({found}=0,0,IF(INDEX(res_servings,{row})>0,{found},0))"
        sheet.put(HINTS, WORK + k, f"{PLACES[k]}, in use", "workhead")
        used.append(sheet.formula(MESSAGES, WORK + k, f"={fits}", place, "work n0"))
        rows.append(row)
        said = f'IF({found}=0,"not a recipe of this book: nothing is shown",IF({used[k]}=0,"servings are missing: nothing is shown",""))'
        nothing = '"choose a recipe"' if k == 0 else '""'
        sheet.formula(MESSAGES, col, f"=IF({empty},{nothing},{said})", LOOKUP, "message")
    sheet.heights |= {INPUT: 30, HINTS: 15, MESSAGES: 15}
    picks = Picks(tuple(used), tuple(rows), tuple(r.analysis if r else None for r in chosen), tuple(chosen))
    sheet.put(ABOUT, NAME, "One serving", "label")
    for k, col in enumerate(PICKED):
        words = f'INDEX(res_serving_words,{rows[k]})'
        text = f'{in_words(f"INDEX(res_serving_g,{rows[k]})", 0)}&" g"&IF({words}="","",", "&{words})'
        sheet.formula(ABOUT, col, f'=IF({used[k]}=0,"",{text})', LOOKUP, "calc small flow")
    sheet.put(ABOUT, UNIT, "", "calc")
    return picks


def head_words(sheet: Sheet, row: int) -> None:
    """Headings of a nutrient table; each names its recipe by place."""
    heads = {NO: "No.", NAME: "Nutrient", UNIT: "Unit", CHANGES[0][0]: "Second less first", CHANGES[0][1]: "%",
             CHANGES[1][0]: "Third less first", CHANGES[1][1]: "%"}
    heads |= dict(zip(PICKED, PLACES, strict=True))
    heads |= {col: f"{place}, % DV" for col, place in zip(PERCENTS, PLACES, strict=True)}
    for col, words in heads.items():
        sheet.put(row, col, words, "head")
    for k in range(3):
        sheet.put(row, VALUES[k], f"{PLACES[k]}, exact", "workhead")
        sheet.put(row, READS[k], f"{PLACES[k]} reads", "workhead")
    sheet.put(row, SCALE, "Decimals shown: times", "workhead")
    sheet.heights[row] = 30


def cell(row: int, col: int) -> str:
    """Address with its column fixed, so that a block keeps one formula."""
    return a1(row, col, fix_col=True)
