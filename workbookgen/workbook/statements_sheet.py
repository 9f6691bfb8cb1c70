"""Statements: one chosen recipe, what may be said of it, compared with another, and how firm that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.model.claims import EU, SETS, US
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.cooking_sheet import retention_columns
from workbookgen.workbook.fit import wrapped_lines
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_measures import Judged
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.recipe_statements import judged_recipe
from workbookgen.workbook.texts import read_sections
from workbookgen.workbook.words import in_words, key_text, tidy

TAB = "Statements"
NO, NAME, A, B, C, D, E, F, G, LAST = range(10)
WIDTHS = (5, 42, 14, 14, 14, 14, 20, 18, 12, 40)
WORK = 12
LABELS, INPUT, HINTS, MESSAGES, FACT, HOLDING = 3, 4, 5, 6, 7, 8
FIRST_BLOCK = 10
LINE_POINTS = 12.0


@dataclass(frozen=True)
class Chosen:
    """Cells that say what was chosen, and what the core found for it."""

    slot: str
    other: str
    statement: str
    word: str
    rule_set: str
    racc: str
    serving_g: str
    other_racc: str
    other_g: str
    usable: str
    judged: Judged | None
    other_judged: Judged | None


def put_statements_sheet(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet:
    """Lay out the sheet; it reads recipe sheets through Results and Lines only."""
    from workbookgen.workbook.statements_compare import put_comparisons, put_readings
    from workbookgen.workbook.statements_firm import put_firmness
    from workbookgen.workbook.statements_health import put_health, put_healthy_groups
    from workbookgen.workbook.statements_pack import name_labels, put_pack_comparisons

    plan = ClaimPlan(kitchen.tables.claims)
    _name_blocks(book, kitchen)
    name_labels(book, kitchen)
    sheet = book.add(TAB)
    put_frame(sheet, TAB, "Choose a recipe, a reference dish to compare it with, and a statement to look at closely. Each verdict shows its limit and where "
              "the rule is written. US rules, or EU rules when the EU reference values are chosen on Start.", LAST)
    for col, width in enumerate(WIDTHS):
        sheet.widths[col] = width
    chosen = _put_pickers(sheet, kitchen, plan, recipes)
    row = put_readings(sheet, kitchen, chosen, FIRST_BLOCK)
    sheet.page_breaks.append(row)
    row = put_comparisons(sheet, kitchen, plan, chosen, row)
    sheet.page_breaks.append(row)
    row = put_pack_comparisons(sheet, kitchen, plan, chosen, row)
    sheet.page_breaks.append(row)
    row = put_health(sheet, kitchen, plan, chosen, row)
    row = put_healthy_groups(sheet, kitchen, plan, chosen, row)
    sheet.page_breaks.append(row)
    row = put_firmness(sheet, kitchen, plan, chosen, row, max(r.lay.lines for r in recipes))
    sheet.page_breaks.append(row)
    row = _put_guide(sheet, row)
    sheet.freeze = (HINTS, 0)
    sheet.landscape = True
    sheet.print_area = (0, 0, row, LAST)
    sheet.first_input = (INPUT, NAME)
    return sheet


def _name_blocks(book: Book, kitchen: Kitchen) -> None:
    """Names for the blocks of Foods and Cooking that are read by nutrient number."""
    by_name = {s.name: s for s in book.sheets}
    tags = [n.tag for n in kitchen.tables.nutrients]
    first, last = book.names[f"food_{tags[0]}"], book.names["food_" + tags[-1].replace("+", "_")]
    book.name_range("food_values", by_name[first[0]], first[1], first[2], last[3], last[4])
    kept = [book.names["keep_" + c.replace("+", "_")] for c in retention_columns(kitchen)]
    book.name_range("keep_values", by_name[kept[0][0]], kept[0][1], kept[0][2], kept[-1][3], kept[-1][4])


def section(sheet: Sheet, row: int, title: str, purpose: str, lines: int = 1) -> int:
    """Title and purpose of a block; returns the row after them."""
    sheet.put(row, 0, title, "section")
    sheet.band(row, 1, LAST, "section")
    sheet.put(row + 1, 0, purpose, "hint")
    sheet.merges.append((row + 1, 0, row + 1, LAST))
    sheet.heights[row + 1] = 13 * lines + 3
    return row + 2


def heads(sheet: Sheet, row: int, words: Sequence[str]) -> None:
    """Headings over all columns; an empty word leaves a plain head cell."""
    for col, text in enumerate(words):
        sheet.put(row, col, text, "head")
    sheet.heights[row] = 30


def _put_pickers(sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, recipes: Sequence[RecipeSheet]) -> Chosen:
    named = [r for r in recipes if r.recipe and r.analysis]
    first = next((r for r in named if r.recipe and r.recipe.compare_with), named[0] if named else None)
    wanted = first.recipe.compare_with.lower() if first and first.recipe else ""
    other = next((r for r in named if r.recipe and r.recipe.title.lower() == wanted),
                 next((r for r in named if r is not first), first))
    judged, other_judged = (judged_recipe(kitchen, r.analysis) if r else None for r in (first, other))
    pick = _least_firm(plan, judged)
    titles = [r.recipe.title if r and r.recipe else "" for r in (first, other)]
    slots = [float(recipes.index(r) + 1) if r else 1.0 for r in (first, other)]
    inputs = ((NAME, "Recipe", titles[0], "=res_title", "a title of this book"), (E, "Reference dish", titles[1], "=res_title", "what it is compared with"),
              (LAST, "Statement to look at", pick, "=st_pick", "choose from the list"))
    cells: list[str] = []
    for k, (col, label, value, source, hint) in enumerate(inputs):
        sheet.put(LABELS, col, label, "label")
        sheet.put(INPUT, col, value, "input")
        sheet.put(HINTS, col, hint, "hint")
        sheet.choose_from(INPUT, col, INPUT, col, source, label, "Choose from the list.")
        x = f"INDEX({block(LABELS, col, HINTS, col)},2)"
        wild = key_text(x)
        text = f'=IF(ISTEXT({x}),IF(LEN({x})>const_text_max,0,IF({tidy(x)}="",0,IFERROR(MATCH({wild},{source[1:]},0),0))),0)'
        sheet.put(LABELS, WORK + k, label + " no.", "workhead")
        known = slots[k] if k < 2 and named else LOOKUP
        at = sheet.formula(INPUT, WORK + k, text, known, "work n0")
        cells.append(sheet.formula(HINTS, WORK + k, f"=MAX(1,{at})", known, "work n0"))
        sheet.formula(MESSAGES, col, f'=IF({at}=0,"not in the list: the first one is shown","")', LOOKUP, "message")
    sheet.merges.append((INPUT, E, INPUT, G))
    sheet.heights |= {INPUT: 22, MESSAGES: 16}
    slot, other_slot, statement = cells
    rule_set = SETS.index(judged.verdicts.rule_set) + 1 if judged else None
    more = (("Judged as", f'=INDEX(res_say_word,{slot})&""', judged.verdicts.dish_word if judged else LOOKUP),
            ("Rules (1 US, 2 EU)", "=INDEX(set_rules_of,set_reference)", float(rule_set) if rule_set else LOOKUP),
            ("Reference amount, g", f"=INDEX(res_say_racc,{slot})", judged.verdicts.racc_g if judged else LOOKUP),
            ("Serving, g", f"=INDEX(res_serving_g,{slot})", judged.dish.analysis.serving_g if judged else LOOKUP),
            ("Its reference amount, g", f"=INDEX(res_say_racc,{other_slot})", other_judged.verdicts.racc_g if other_judged else LOOKUP),
            ("Its serving, g", f"=INDEX(res_serving_g,{other_slot})", other_judged.dish.analysis.serving_g if other_judged else LOOKUP),
            ("Nothing to mend (1 = yes)", f"=IF(AND(INDEX(res_bad,{slot})=0,INDEX(res_bad,{other_slot})=0,INDEX(res_serving_g,{slot})>0,"
             f"INDEX(res_serving_g,{other_slot})>0,INDEX(res_servings,{slot})>0,INDEX(res_servings,{other_slot})>0),1,0)", 1.0 if named else LOOKUP))
    found = []
    for k, (label, formula, stored) in enumerate(more):
        sheet.put(LABELS, WORK + 3 + k, label, "workhead")
        sheet.widths[WORK + 3 + k] = 12
        found.append(sheet.formula(INPUT, WORK + 3 + k, formula, stored, "work n1"))
    word, rules, racc, serving, other_racc, other_serving, usable = found
    chosen = Chosen(slot, other_slot, statement, word, rules, racc, serving, other_racc, other_serving, usable, judged, other_judged)
    _put_facts(sheet, chosen)
    return chosen


def _least_firm(plan: ClaimPlan, judged: Judged | None) -> str:
    """Words of the statement that holds and turns first: the one worth a second look."""
    by_amount = [
        r for r in (judged.verdicts.results if judged else ())
        if r.may_be_printed and r.rule and plan.rules.quantities[r.rule.conditions[r.governing].quantity].kind in ("sum", "part")
    ]
    first = min(by_amount, key=lambda r: r.judged[r.governing].flips, default=None)
    offered = plan.statements[0] if first is None else first.statement
    return offered.words[US] or offered.words[EU]


def _put_facts(sheet: Sheet, c: Chosen) -> None:
    kind = f'IF(AND({c.rule_set}={SETS.index(US) + 1},INDEX(res_say_kind,{c.slot})=0)," (but a serving is not what the rules call one)","")'
    amount = f'IF({c.word}="food",IF({c.racc}=0,"; reference amount missing: see its recipe sheet","; reference amount "&{in_words(c.racc, 1)}&" g"),"")'
    sheet.formula(FACT, 0, f'=IF({c.usable}=0,"Mend the lines of both recipes first. ","")&"Judged by "&INDEX(set_rule_words,{c.rule_set})&" as "&{c.word}&{kind}'
                           f'&"; one serving "&{in_words(c.serving_g, 0)}&" g"&{amount}&"."', LOOKUP, "calc flow")
    sheet.merges.append((FACT, 0, FACT, LAST))
    sheet.heights[FACT] = 18
    listed = f"INDEX(res_say_list,{c.slot})"
    sheet.formula(HOLDING, 0, f'="Holds now (tick on the recipe sheet what the card shall print): "&IF({listed}="","nothing",{listed})', LOOKUP, "calc small flow")
    sheet.merges.append((HOLDING, 0, HOLDING, LAST))
    sheet.heights[HOLDING] = 44


def _put_guide(sheet: Sheet, row: int) -> int:
    """The locked text on what may be said."""
    row = section(sheet, row, "What may be said, and how", "Locked text. It cites the rules; it does not replace them.")
    points = sum(WIDTHS[1:]) * 5.4
    for heading, lines in read_sections("statements_guide.md"):
        sheet.put(row, NAME, heading, "label")
        row += 1
        for line in lines:
            sheet.put(row, NAME, line, "wrap")
            sheet.merges.append((row, NAME, row, LAST))
            sheet.heights[row] = LINE_POINTS * 1.1 * wrapped_lines(line, 10, points) + 4
            row += 1
        sheet.heights[row] = 6
        row += 1
    return row
