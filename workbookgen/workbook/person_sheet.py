"""Person: energy and reference intakes of one person, and what a serving of each recipe brings of that day."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.person import PersonTables
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.nutrition.person import (
    ENERGY,
    PersonResult,
    Reference,
    assess,
    held_against,
    servings_that_fit,
    share_words,
)
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, column_name
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.person_energy import END, cell, put_energy
from workbookgen.workbook.person_inputs import ENTRY, LABEL, READ, put_inputs, read_cell, row_of
from workbookgen.workbook.recipe_picker import before_hubs
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.words import in_words

SHEET = "Person"
ACROSS = 12  # nutrients side by side in the shares
LAST = READ + ACROSS - 1
NOTE_ROWS = (3, 4)
REFERENCE_TITLE = END + 1
REFERENCE_HEAD = REFERENCE_TITLE + 2
REFERENCE_FIRST = REFERENCE_HEAD + 1
UNIT, UPPER, WORDS = READ + 1, READ + 2, READ + 3
LIMITS, HELD = 20, 24  # working columns: shares of energy, what a day is held against
TEXT_LETTERS = 150


def put_person(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet | None:
    """Lay out the sheet; None without the tables behind it."""
    tables = kitchen.person
    if not tables.stages:
        return None
    texts = dict(read_sections("person.md"))
    result = assess(tables, tables.start)
    sheet = book.add(SHEET)
    before_hubs(book)
    put_frame(sheet, SHEET, "What one person needs in a day, by published equations and reference intakes, and what a serving of each recipe "
              "brings of it. Where they do not apply nothing is shown, and the words say whom to ask.", LAST)
    for col, width in ((0, 5), (LABEL, 40), (ENTRY, 31)):
        sheet.widths[col] = width
    for col in range(READ, LAST + 1):
        sheet.widths[col] = 11.5
    for row, text in zip(NOTE_ROWS, texts["privacy"], strict=True):
        sheet.put(row, LABEL, text, "wrap small bold" if row == NOTE_ROWS[0] else "wrap small")
        sheet.merges.append((row, LABEL, row, LAST))
        sheet.heights[row] = 14 * -(-len(text) // TEXT_LETTERS) + 4
    put_inputs(sheet, tables, LAST)
    put_energy(sheet, tables, result, texts["energy"], texts["weight"][0], LAST)
    _put_references(book, sheet, kitchen, result, texts["references"][0])
    last = _put_recipes(sheet, kitchen, recipes, result, texts["shares"][0])
    sheet.freeze = (3, 0)
    sheet.landscape = True
    sheet.print_area = (0, 0, last, LAST)
    sheet.first_input = (row_of("sex"), ENTRY)
    return sheet


def _put_references(book: Book, sheet: Sheet, kitchen: Kitchen, result: PersonResult, text: str) -> None:
    """One row per nutrient of the day: reference, kind, upper level and what it counts."""
    tables = kitchen.person
    stage = cell("shown")
    sheet.formula(REFERENCE_TITLE, LABEL, f'="Reference intakes"&IF({stage}=0,"",": "&INDEX(stage_name,MAX(1,{stage})))', LOOKUP, "section")
    sheet.band(REFERENCE_TITLE, LABEL + 1, LAST, "section")
    sheet.put(REFERENCE_TITLE + 1, LABEL, text, "hint")
    sheet.merges.append((REFERENCE_TITLE + 1, LABEL, REFERENCE_TITLE + 1, LAST))
    for col, head in ((0, "No."), (LABEL, "Nutrient"), (ENTRY, "Kind"), (READ, "For a day"), (UNIT, "Unit"), (UPPER, "Upper level"),
                      (WORDS, "What the upper level counts")):
        sheet.put(REFERENCE_HEAD, col, head, "head")
    sheet.band(REFERENCE_HEAD, WORDS + 1, LAST, "head")
    sheet.merges.append((REFERENCE_HEAD, WORDS, REFERENCE_HEAD, LAST))
    sheet.put(REFERENCE_HEAD, HELD, "A day is held against", "workhead")
    sheet.page_breaks.append(REFERENCE_TITLE)
    for i, nutrient in enumerate(tables.nutrients):
        _put_reference(sheet, kitchen, REFERENCE_FIRST + i, i + 1, nutrient.tag, result.references.get(nutrient.tag, Reference()))
    last = REFERENCE_FIRST + len(tables.nutrients) - 1
    for name, col in (("person_ref", HELD), ("person_upper", UPPER), ("person_words", WORDS)):
        book.name_range(name, sheet, REFERENCE_FIRST, col, last, col)


def has_reference(tables: PersonTables, tag: str) -> bool:
    """True where a person's day can have a reference for the nutrient."""
    limits = {s.tag for s in tables.shares if s.use == "limit"}
    return tag == ENERGY or tag in limits or any(t == tag for _, t in tables.intakes)


def _put_reference(sheet: Sheet, kitchen: Kitchen, row: int, number: int, tag: str, core: Reference) -> None:
    tables = kitchen.person
    nutrient = kitchen.nutrient_by_tag[tag]
    no, stage, energy, age = a1(row, 0, fix_col=True), cell("shown"), cell("energy"), read_cell("age")
    at = f"{no},MAX(1,{stage})"
    known: Value | _Lookup = "" if core.value is None else core.value
    style = f"calc n{min(nutrient.decimals, 2)} right"
    sheet.put(row, 0, number, "calc small centre")
    sheet.put(row, LABEL, nutrient.name, "calc")
    sheet.put(row, UNIT, nutrient.unit, "calc small")
    value = kind = ""
    if tag == ENERGY:
        value = f'=IF(ISNUMBER({energy}),{energy},"")'
        kind = f'=IF(ISNUMBER({energy}),"energy","")'
    elif any(t == tag for _, t in tables.intakes):
        value = f'=IF({stage}=0,"",IF(ISNUMBER(INDEX(dri_value,{at})),INDEX(dri_value,{at}),""))'
        kind = f'=IF({stage}=0,"",INDEX(dri_kind,{at})&"")'
    elif has_reference(tables, tag):
        pct, kcal = (a1(row, LIMITS + k, True, True) for k in range(2))
        for k, column in enumerate(("eshare_high", "eshare_kcal")):
            picked = f'SUMPRODUCT((eshare_tag="{tag}")*(eshare_limit=1)*(eshare_from<={age})*(eshare_below>{age})*{column})'
            sheet.formula(row, LIMITS + k, f"=IF({stage}=0,0,{picked})", LOOKUP, "work n0")
        given = f"AND(ISNUMBER({energy}),{kcal}>0)"
        value = f'=IF({given},{energy}*{pct}/100/{kcal},"")'
        kind = f'=IF({given},"at most "&{in_words(pct, 0)}&" % of energy","")'
    if value:
        sheet.formula(row, READ, value, known, style)
        sheet.formula(row, ENTRY, kind, core.kind, "calc small")
    else:
        sheet.put(row, READ, "", style)
        sheet.put(row, ENTRY, "no reference", "calc small")
    if tag in tables.uppers:
        upper = f"INDEX(dri_upper,{at})"
        sheet.formula(row, UPPER, f'=IF({stage}=0,"",IF(INDEX(dayn_counts,{no})=1,IF(ISNUMBER({upper}),{upper},""),""))',
                      "" if core.upper is None else core.upper, style)
        sheet.formula(row, WORDS, f'=IF({stage}=0,"",IF(ISNUMBER({upper}),INDEX(dayn_words,{no})&"",""))', core.upper_words, "calc small")
    else:
        sheet.put(row, UPPER, "", style)
        sheet.put(row, WORDS, "", "calc small")
    sheet.merges.append((row, WORDS, row, LAST))
    own = any(t == tag for _, t in tables.intakes)
    source = UPPER if own and next(n.kind for n in tables.nutrients if n.tag == tag) == "limit" else READ
    held = held_against(tables, tag, core)
    at_source = a1(row, source, fix_col=True)
    sheet.formula(row, HELD, f'=IF(ISNUMBER({at_source}),{at_source},"")', "" if held is None else held, "work general")


def _put_recipes(sheet: Sheet, kitchen: Kitchen, recipes: Sequence[RecipeSheet], result: PersonResult, text: str) -> int:
    """Servings that fill the chosen share of the day, and shares of the day that one serving brings; returns the last row."""
    tables = kitchen.person
    title = REFERENCE_FIRST + len(tables.nutrients) + 1
    sheet.page_breaks.append(title)
    sheet.formula(title, LABEL, f'="Servings that bring "&{in_words(read_cell("share"), 0)}&" % of the energy of the day"', LOOKUP, "section")
    sheet.band(title, LABEL + 1, LAST, "section")
    for col, head in ((0, "No."), (LABEL, "Recipe"), (ENTRY, "One serving is"), (READ, "Energy, kcal"), (READ + 1, "% of the day"),
                      (READ + 2, "Servings")):
        sheet.put(title + 1, col, head, "head")
    sheet.heights[title + 1] = 30
    first = title + 2
    for i, recipe in enumerate(recipes):
        _put_fit(sheet, first + i, i + 1, recipe, result, tables.limit("share_start"))
    picked = [n.tag for n in tables.nutrients if kitchen.nutrient_by_tag[n.tag].main and has_reference(tables, n.tag)]
    places = {n.tag: REFERENCE_FIRST + i for i, n in enumerate(tables.nutrients)}
    at = first + len(recipes) + 1
    for start in range(0, len(picked), ACROSS):
        sheet.put(at, LABEL, "Per cent of the person's day in one serving", "section")
        sheet.band(at, LABEL + 1, LAST, "section")
        sheet.put(at + 1, LABEL, text, "hint")
        sheet.merges.append((at + 1, LABEL, at + 1, LAST))
        sheet.put(at + 2, 0, "No.", "head")
        sheet.put(at + 2, LABEL, "Recipe", "head")
        sheet.put(at + 2, ENTRY, "", "head")
        sheet.merges.append((at + 2, LABEL, at + 2, ENTRY))
        sheet.heights[at + 2] = 32
        for k, tag in enumerate(picked[start : start + ACROSS]):
            sheet.put(at + 2, READ + k, kitchen.nutrient_by_tag[tag].name, "head")
            for i, recipe in enumerate(recipes):
                _put_share(sheet, at + 3 + i, READ + k, i + 1, first + i, tag, places[tag], recipe, tables, result)
        for i in range(len(recipes)):
            sheet.put(at + 3 + i, 0, i + 1, "calc small centre")
            sheet.formula(at + 3 + i, LABEL, f'={a1(first + i, LABEL, fix_col=True)}&""', LOOKUP, "calc small")
            sheet.put(at + 3 + i, ENTRY, "", "calc small")
            sheet.merges.append((at + 3 + i, LABEL, at + 3 + i, ENTRY))
        at += 3 + len(recipes) + 1
        if start == 0:
            sheet.page_breaks.append(at)
    return at - 2


def _put_fit(sheet: Sheet, row: int, number: int, recipe: RecipeSheet, result: PersonResult, share_pct: float) -> None:
    no, energy = a1(row, 0, fix_col=True), cell("energy")
    title, kcal, reads = a1(row, LABEL, fix_col=True), a1(row, READ, fix_col=True), f"INDEX(res_r_{ENERGY},{no})"
    analysis = recipe.analysis
    found = analysis.nutrients[ENERGY] if analysis else None
    sheet.put(row, 0, number, "calc small centre")
    sheet.formula(row, LABEL, f'=INDEX(res_title,{no})&""', LOOKUP, "calc small")
    sheet.formula(row, ENTRY, f'=IF({title}="","",{in_words(f"INDEX(res_serving_g,{no})", 0)}&" g")', LOOKUP, "calc small")
    sheet.formula(row, READ, f'=IF({title}="","",INDEX(res_v_{ENERGY},{no}))', found.serving if found else LOOKUP, "calc n0 right")
    sheet.formula(row, READ + 1, f'=IF({title}="","",IF(ISNUMBER({energy}),{_share(kcal, energy, reads)},"-"))',
                  (share_words(found.serving, found.reads, result.energy) or "-") if found else LOOKUP, "calc right")
    fits: Value | _Lookup = LOOKUP
    if found:
        servings = servings_that_fit(result.energy, share_pct, found.serving)
        bound = {"at least": "at most ", "at most": "at least "}.get(found.reads, "")
        fits = "-" if servings is None else bound + shown(servings, 1)
    bound_words = f'IF({reads}="at least","at most ",IF({reads}="at most","at least ",""))'
    served = in_words(f"{energy}*{read_cell('share')}/100/{kcal}", 1)
    sheet.formula(row, READ + 2, f'=IF({title}="","",IF(ISNUMBER({energy}),IF({kcal}=0,"-",{bound_words}&{served}),"-"))', fits, "calc right bold")


def _share(amount: str, reference: str, reads: str) -> str:
    """Formula body: per cent of the reference with the sign of its reading."""
    sign = f'IF({reads}="at least","+",IF({reads}="at most","-",""))'
    return f"{in_words(f'{amount}/{reference}*100', 0)}&{sign}"


def _put_share(sheet: Sheet, row: int, col: int, number: int, titled: int, tag: str, place: int, recipe: RecipeSheet,
               tables: PersonTables, result: PersonResult) -> None:
    no, title = a1(row, 0, fix_col=True), a1(titled, LABEL, fix_col=True)
    reference = a1(place, HELD, True, True)
    name = column_name(tag)
    value: Value | _Lookup = LOOKUP
    if recipe.analysis:
        found = recipe.analysis.nutrients[tag]
        held = held_against(tables, tag, result.references.get(tag, Reference()))
        value = share_words(found.serving, found.reads, held)
    told = _share(f"INDEX(res_v_{name},{no})", reference, f"INDEX(res_r_{name},{no})")
    sheet.formula(row, col, f'=IF(OR({title}="",{reference}=""),"",{told})', value, "calc small right")
