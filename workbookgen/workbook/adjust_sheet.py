"""Adjust: what a little more or less of each ingredient does to the targets of a chosen recipe, for adjusting by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.plate import BY_UNITS, plate_balance
from workbookgen.nutrition.sensitivity import LineMoves, line_moves
from workbookgen.workbook.book import LOOKUP, Book, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.recipe_layout import FIRST_LINE, TARGETS
from workbookgen.workbook.recipe_layout import INPUT_ROW as SERVINGS_ROW
from workbookgen.workbook.recipe_picker import (
    HINT_ROW,
    INPUT_ROW,
    LABEL_ROW,
    MESSAGE_ROW,
    before_hubs,
    chosen_cell,
    line_cell,
    put_picker,
)
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.science_inputs import choices_of
from workbookgen.workbook.tables_sheet import PLATE_GROUPS
from workbookgen.workbook.typed import number
from workbookgen.workbook.words import in_words

NO, FOOD, AMOUNT, UNIT, EDIBLE, FIRST_TARGET = range(6)
LAST = FIRST_TARGET + TARGETS - 1
WORK = LAST + 2
#: Working columns: targets from WORK + 2 on, then plate group, amount compared, grams in the dish.
BRINGS = WORK + 2
GROUP, COMPARED, DISH = (BRINGS + TARGETS + k for k in range(3))
HEAD = 8
NAME_ROW, WISH_ROW, VALUE_ROW, VERDICT_ROW, NEED_ROW = range(HEAD, HEAD + 5)
SIGN_ROW, LIMIT_ROW, BASIS_ROW, OK_ROW = VALUE_ROW, VERDICT_ROW, NEED_ROW, NEED_ROW + 1
FIRST_BLOCK = NEED_ROW + 2
SERVINGS_KEY = "r_amount"  # where a recipe sheet holds its servings as read
PERCENT_ROW = WISH_ROW  # of the working column before the targets


@dataclass(frozen=True, slots=True)
class Plan:
    """Rows of the four blocks, each of ``lines`` rows under a section and a head."""

    lines: int

    def head(self, block_no: int) -> int:
        return FIRST_BLOCK + 1 + block_no * (self.lines + 3)

    def first(self, block_no: int) -> int:
        return self.head(block_no) + 1


def put_adjust(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet]) -> Sheet:
    """Lay out the sheet: picker, step, targets, and four blocks of one row per ingredient."""
    sheet = book.add("Adjust")
    before_hubs(book)
    plan = Plan(max(r.lay.lines for r in recipes))
    put_frame(sheet, "Adjust", "Which ingredient moves which target: choose a recipe and a change in per cent, read what it does, then change the "
              "amount on the recipe's own sheet. Salts with potassium chloride are no way out: ask a clinician first.", LAST)
    for col, width in ((NO, 5), (FOOD, 34), (AMOUNT, 9), (UNIT, 16), (EDIBLE, 10)):
        sheet.widths[col] = width
    for col in range(FIRST_TARGET, LAST + 1):
        sheet.widths[col] = 13
    slot = put_picker(sheet, recipes, FOOD, WORK)
    percent = _put_percent(sheet, kitchen)
    recipe = recipes[0]
    analysis = recipe.analysis
    moves: tuple[LineMoves, ...] = ()
    if analysis is not None:
        by = choices_of(recipe.recipe).get("plate_by", "")
        balance = plate_balance(kitchen, analysis, by if by in BY_UNITS else "weight")
        moves = line_moves(kitchen, analysis, balance, kitchen.constants["adjust_step"])
    servings = _put_targets(sheet, recipes, slot)
    _put_working(sheet, plan, recipes, slot, servings, moves)
    _put_block(sheet, plan, 0, recipes, slot, f'="What "&{in_words(percent, 1)}&" % more of one ingredient adds to each target; less takes the same"')
    _put_block(sheet, plan, 1, recipes, slot, '="Change of this ingredient alone that would reach the target, %"')
    _put_moves(sheet, plan, percent, recipe, moves)
    _put_alone(sheet, plan, recipe, moves)
    _put_plate(sheet, plan, percent, recipes, slot, servings, moves)
    sheet.freeze = (HEAD, FOOD + 1)
    sheet.landscape = True
    sheet.page_breaks = [plan.head(k) - 1 for k in (1, 2, 3)]
    sheet.print_area = (0, 0, plan.first(3) + plan.lines - 1, LAST)
    sheet.first_input = (INPUT_ROW, FOOD)
    return sheet


def _put_percent(sheet: Sheet, kitchen: Kitchen) -> str:
    """Input for the size of the change; returns the cell that holds it as read."""
    col = UNIT
    sheet.put(LABEL_ROW, col, "Change, %", "label")
    sheet.put(INPUT_ROW, col, kitchen.constants["adjust_step"], "input general")
    sheet.put(HINT_ROW, col, "above 0 to 100", "hint")
    sheet.explain(INPUT_ROW, col, INPUT_ROW, col, "Change", "Per cent of the written amount, above 0 to 100.")
    x = f"INDEX({block(LABEL_ROW, col, HINT_ROW, col)},2)"
    typed = number(x, "const_adjust_step_min", "const_percent_max", '""')
    sheet.put(NAME_ROW, WORK + 1, "Change, %", "workhead")
    at = sheet.formula(PERCENT_ROW, WORK + 1, f'=IF(ISNUMBER({typed}),{typed},const_adjust_step)', kitchen.constants["adjust_step"], "work n1")
    sheet.formula(MESSAGE_ROW, col, f'=IF(ISNUMBER({typed}),"","no per cent above 0: "&{in_words("const_adjust_step", 0)}&" is taken")', LOOKUP, "message")
    sheet.merges.append((MESSAGE_ROW, col, MESSAGE_ROW, FIRST_TARGET))
    return at


def _targets(recipe: RecipeSheet, key: str, t: int) -> str:
    return recipe.sheet.ref(recipe.lay.target_first + t, recipe.lay.col[key])


def _put_targets(sheet: Sheet, recipes: Sequence[RecipeSheet], slot: str) -> str:
    """The targets of the chosen recipe, one column each; returns the cell with its servings."""
    analysis = recipes[0].analysis
    for row, text in ((NAME_ROW, "Target of one serving"), (WISH_ROW, "wished"), (VALUE_ROW, "reached"), (VERDICT_ROW, "verdict"),
                      (NEED_ROW, "still to go")):
        style = "head" if row == NAME_ROW else "calc small"
        sheet.put(row, FOOD, text, style)
        for col in (NO, AMOUNT, UNIT, EDIBLE):
            sheet.put(row, col, "", style)
    sheet.heights[NAME_ROW], sheet.heights[WISH_ROW] = 30, 30
    for t in range(TARGETS):
        col, work = FIRST_TARGET + t, BRINGS + t

        def pick(key: str, t: int = t) -> str:
            return chosen_cell(slot, [_targets(r, key, t) for r in recipes])

        cell = {row: a1(row, work, True, True) for row in range(NAME_ROW, OK_ROW + 1)}
        result = analysis.targets[t] if analysis and t < len(analysis.targets) else None
        known = analysis is not None
        sheet.formula(NAME_ROW, work, f"={pick('r_food')}", LOOKUP, "work n0")
        sheet.formula(SIGN_ROW, work, f"={pick('r_amount')}", LOOKUP, "work n0")
        sheet.formula(LIMIT_ROW, work, f"={pick('r_unit')}", LOOKUP, "work general")
        sheet.formula(BASIS_ROW, work, f"={pick('r_basis')}", LOOKUP, "work n0")
        sheet.formula(OK_ROW, work, f'=IF({pick("r_treat")}="ok",1,0)', LOOKUP, "work n0")
        ok = f"{cell[OK_ROW]}=1"
        sheet.formula(NAME_ROW, col, f'=IF({ok},INDEX(nut_name,{cell[NAME_ROW]}),"-")', LOOKUP, "head small")
        unit = f'IF({cell[BASIS_ROW]}=1,"% DV",INDEX(nut_unit,{cell[NAME_ROW]}))'
        sheet.formula(WISH_ROW, col, f'=IF({ok},IF({cell[SIGN_ROW]}=1,"at least ","at most ")&{in_words(cell[LIMIT_ROW], 2)}&" "&{unit},"")',
                      LOOKUP, "calc small flow")
        value: Value | _Lookup = LOOKUP if not known else result.value if result and result.value is not None else ""
        sheet.formula(VALUE_ROW, col, f"={pick('share')}", value, "calc n1 right")
        verdict: Value | _Lookup = LOOKUP if not known else result.verdict if result and result.value is not None else ""
        sheet.formula(VERDICT_ROW, col, f'={pick("treat")}&""', verdict, "calc small bold right")
        v = a1(VALUE_ROW, col, True, True)
        sheet.formula(NEED_ROW, col, f'=IF({a1(VERDICT_ROW, col, True, True)}="not met",{cell[LIMIT_ROW]}-{v},"")', LOOKUP, "calc plus2 right")
    sheet.put(LABEL_ROW, WORK + 1, "Servings", "workhead")
    return sheet.formula(INPUT_ROW, WORK + 1, f"={chosen_cell(slot, [r.sheet.ref(SERVINGS_ROW, r.lay.col[SERVINGS_KEY]) for r in recipes])}",
                         analysis.servings if analysis else LOOKUP, "work n1")


def _put_working(sheet: Sheet, plan: Plan, recipes: Sequence[RecipeSheet], slot: str, servings: str, moves: Sequence[LineMoves]) -> None:
    """What each line brings to each target of a serving ("?" = unknown), its plate group, amounts compared and in the dish."""
    head = plan.head(0)
    for t in range(TARGETS):
        sheet.put(head, BRINGS + t, f"Brings to target {t + 1}", "workhead")
    for col, text in ((GROUP, "Plate group"), (COMPARED, "Amount compared"), (DISH, "In the dish, g")):
        sheet.put(head, col, text, "workhead")
    analysis = recipes[0].analysis
    for i in range(plan.lines):
        row = plan.first(0) + i
        line = analysis.lines[i] if analysis and i < len(analysis.lines) else None
        for t in range(TARGETS):
            no, basis, ok = (a1(r, BRINGS + t, fix_row=True) for r in (NAME_ROW, BASIS_ROW, OK_ROW))
            cells = [_nutrient_cell(r, i, f"MAX(1,{no})") for r in recipes]
            picked = chosen_cell(slot, cells)
            daily = f"INDEX(nut_dv,MAX(1,{no}))"
            scaled = f"IF({basis}=1,IF(ISNUMBER({daily}),{picked}/{servings}/{daily}*100,{picked}/{servings}),{picked}/{servings})"
            stored: Value | _Lookup = LOOKUP
            if analysis is not None:
                there = line is not None and line.source_grams != 0 and t < len(moves[i].brings) and analysis.targets[t].value is not None
                brings = moves[i].brings[t] if there else None
                stored = ("?" if brings is None else brings) if there else ""
            sheet.formula(row, BRINGS + t, f'=IF(OR({ok}=0,{servings}=0),"",IF(ISNUMBER({picked}),{scaled},{picked}))', stored, "work n2")
        sheet.formula(row, GROUP, f"={chosen_cell(slot, [_or_zero(line_cell(r, 'pgroup', i)) for r in recipes])}", LOOKUP, "work n0")
        sheet.formula(row, COMPARED, f"={chosen_cell(slot, [_or_zero(line_cell(r, 'pl_amount', i)) for r in recipes])}", LOOKUP, "work n1")
        cooked = (line.cooked if line else 0.0) if analysis else LOOKUP
        sheet.formula(row, DISH, f"={chosen_cell(slot, [_or_zero(line_cell(r, 'dish', i)) for r in recipes])}", cooked, "work n1")


def _or_zero(cell: str) -> str:
    return "0" if cell == '""' else cell


def _nutrient_cell(recipe: RecipeSheet, line: int, nutrient: str) -> str:
    """The cell of an ingredient line for a nutrient told by its number."""
    lay = recipe.lay
    if line >= lay.lines:
        return '""'
    row = FIRST_LINE + line
    first = recipe.sheet.ref(row, lay.col["n_" + lay.nutrients[0].tag])
    last = a1(row, lay.col["n_" + lay.nutrients[-1].tag], True, True)
    return f"INDEX({first}:{last},{nutrient})"


def _put_block(sheet: Sheet, plan: Plan, block_no: int, recipes: Sequence[RecipeSheet], slot: str, title: str) -> None:
    """Section title, head with the targets, and the ingredients of the chosen recipe."""
    head = plan.head(block_no)
    sheet.formula(head - 1, NO, title, LOOKUP, "section")
    sheet.band(head - 1, FOOD, LAST, "section")
    for col, text in ((NO, "No."), (FOOD, "Ingredient"), (AMOUNT, "Amount"), (UNIT, "Unit"), (EDIBLE, "Edible weight, g")):
        sheet.put(head, col, text, "head")
    for t in range(TARGETS):
        sheet.formula(head, FIRST_TARGET + t, f'={a1(NAME_ROW, FIRST_TARGET + t, True, True)}&""', LOOKUP, "head small")
    sheet.heights[head] = 32
    analysis = recipes[0].analysis
    for i in range(plan.lines):
        row = plan.first(block_no) + i
        line = analysis.lines[i] if analysis and i < len(analysis.lines) else None
        sheet.put(row, NO, i + 1, "calc small centre")
        for col, key, style in ((FOOD, "r_food", "small flow"), (AMOUNT, "r_amount", "amount"), (UNIT, "r_unit", "small")):
            sheet.formula(row, col, f"={chosen_cell(slot, [line_cell(r, key, i) for r in recipes])}", LOOKUP, f"calc {style}")
        edible = (line.edible if line else 0.0) if analysis else LOOKUP
        sheet.formula(row, EDIBLE, f"={chosen_cell(slot, [_or_zero(line_cell(r, 'grams', i)) for r in recipes])}", edible, "calc z1")


def _put_moves(sheet: Sheet, plan: Plan, percent: str, recipe: RecipeSheet, moves: Sequence[LineMoves]) -> None:
    for i in range(plan.lines):
        row = plan.first(0) + i
        for t in range(TARGETS):
            brings = a1(row, BRINGS + t, fix_col=True)
            sheet.formula(row, FIRST_TARGET + t, f"=IF(ISNUMBER({brings}),{brings}*{percent}/100,{brings})",
                          _stored(recipe, moves, i, t, "moves"), "calc plus2 right")


def _put_alone(sheet: Sheet, plan: Plan, recipe: RecipeSheet, moves: Sequence[LineMoves]) -> None:
    for i in range(plan.lines):
        row = plan.first(1) + i
        for t in range(TARGETS):
            brings = a1(plan.first(0) + i, BRINGS + t, fix_col=True)
            limit = a1(LIMIT_ROW, BRINGS + t, fix_row=True)
            verdict, value = (a1(r, FIRST_TARGET + t, fix_row=True) for r in (VERDICT_ROW, VALUE_ROW))
            change = f"({limit}-{value})/{brings}*100"
            sheet.formula(row, FIRST_TARGET + t,
                          f'=IF({brings}="","",IF({verdict}<>"not met",{verdict},IF({brings}="?","?",IF({brings}=0,"-",'
                          f'IF(ROUND({change},9)<-100,"not alone",{change})))))', _stored(recipe, moves, i, t, "alone"), "calc small plus0 right")


def _stored(recipe: RecipeSheet, moves: Sequence[LineMoves], i: int, t: int, key: str) -> Value | _Lookup:
    """The core's figure of a line and a target: "" for a line without weight, "?" for an unknown one."""
    analysis = recipe.analysis
    if analysis is None:
        return LOOKUP
    if i >= len(analysis.lines) or analysis.lines[i].source_grams == 0 or t >= len(analysis.targets) or analysis.targets[t].value is None:
        return ""
    found: float | str | None = getattr(moves[i], key)[t]
    return "?" if found is None else found


def _put_plate(sheet: Sheet, plan: Plan, percent: str, recipes: Sequence[RecipeSheet], slot: str, servings: str, moves: Sequence[LineMoves]) -> None:
    """Weight of a serving and shares of the plate, for more and for less of each ingredient."""
    names: list[str] = []
    sums: list[str] = []
    for g in range(PLATE_GROUPS):
        work = BRINGS + g
        sheet.put(plan.head(2) - 1, work, g + 1, "work n0")
        for row, key, offset in ((plan.head(2), "food", 0), (plan.head(3), "amount", 0)):
            cells = [r.sheet.ref(r.lay.plate_first + g + offset, r.lay.col[key]) for r in recipes]
            at = sheet.formula(row, work, f'={chosen_cell(slot, cells)}' + ('&""' if key == "food" else ""), LOOKUP, "work n1" if key == "amount" else "work")
            (names if key == "food" else sums).append(at)
    total = sheet.formula(plan.head(3), BRINGS + PLATE_GROUPS, f"=SUM({sums[0]}:{sums[-1]})", LOOKUP, "work n1")
    for block_no, word, sign in ((2, "more", ""), (3, "less", "-")):
        _put_block(sheet, plan, block_no, recipes, slot,
                   f'="What "&{in_words(percent, 1)}&" % {word} of one ingredient does to the weight of a serving and to the shares of the plate"')
        head = plan.head(block_no)
        sheet.put(head, FIRST_TARGET, "Weight of a serving, g", "head small")
        for g in range(PLATE_GROUPS):
            sheet.formula(head, FIRST_TARGET + 1 + g, f'=IF({names[g]}="","",{names[g]}&", points")', LOOKUP, "head small")
        for col in range(FIRST_TARGET + 1 + PLATE_GROUPS, LAST + 1):
            sheet.put(head, col, "", "head small")
        sheet.heights[head] = 44
        for i in range(plan.lines):
            _put_plate_row(sheet, plan, block_no, i, f"{sign}{percent}/100", (names, sums, total), servings, recipes[0], moves)


def _put_plate_row(sheet: Sheet, plan: Plan, block_no: int, i: int, share: str, group_cells: tuple[list[str], list[str], str], servings: str,
                   recipe: RecipeSheet, moves: Sequence[LineMoves]) -> None:
    names, sums, total = group_cells
    row, at = plan.first(block_no) + i, plan.first(0) + i
    group, compared, dish = (a1(at, col, fix_col=True) for col in (GROUP, COMPARED, DISH))
    analysis = recipe.analysis
    mine = moves[i] if analysis and i < len(analysis.lines) and analysis.lines[i].edible else None
    edible = a1(row, EDIBLE, fix_col=True)
    weight: Value | _Lookup = LOOKUP
    if analysis is not None:
        weight = "" if mine is None else mine.weight if block_no == 2 else -mine.weight
    sheet.formula(row, FIRST_TARGET, f'=IF(OR({servings}=0,{edible}=0),"",{dish}/{servings}*({share}))', weight, "calc plus1 right")
    moved = f"IF({group}>0,{compared}*({share}),0)"
    for g in range(PLATE_GROUPS):
        new = f"({sums[g]}+IF({group}={a1(plan.head(2) - 1, BRINGS + g, True, True)},{moved},0))"
        formula = f'=IF(OR({names[g]}="",{total}=0,{edible}=0),"",IF({total}+{moved}<=0,0,{new}/({total}+{moved})*100)-{sums[g]}/{total}*100)'
        stored: Value | _Lookup = LOOKUP
        if analysis is not None and sum(p.grams for p in analysis.plate) > 0:
            told: tuple[float, ...] = () if mine is None else mine.more if block_no == 2 else mine.less
            stored = told[g] if g < len(told) else ""
        sheet.formula(row, FIRST_TARGET + 1 + g, formula, stored, "calc plus1 right")
