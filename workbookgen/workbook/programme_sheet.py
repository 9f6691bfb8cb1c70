"""Programme: every recipe against the targets that the programme sets on Start, one word a cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbookgen.catalogue.programme_targets import load_programme_rules
from workbookgen.model.analysis import Settings
from workbookgen.model.programme_targets import ProgrammeRules, ProgrammeTarget
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import half_up, shown
from workbookgen.nutrition.programme import FAIL, NEAR, OPEN, PASS, judge_recipe, limits_in_use, target_value
from workbookgen.workbook.book import LOOKUP, Book, Sheet, a1, block, column_name
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.programme_inputs import limit_name
from workbookgen.workbook.recipe_sheet import RecipeSheet
from workbookgen.workbook.words import in_words

TAB = "Programme"
NO, OPENS, RECIPE, FIRST = range(4)
COUNTED = (PASS, NEAR, FAIL, OPEN)
LEGEND = 3
#: Rows between the legend and the recipes.
NAMES, LIMITS, MARGINS, EDGES = range(LEGEND + 6, LEGEND + 10)
TOP = EDGES + 1
STYLES = {PASS: "holds", NEAR: "nears", FAIL: "fails"}


@dataclass(frozen=True)
class Plan:
    """Columns: one per target, then the counts, then working columns with a code per target."""

    rules: ProgrammeRules
    recipes: int

    def target(self, j: int) -> int:
        return FIRST + j

    @property
    def counts(self) -> int:
        return FIRST + len(self.rules.targets)

    @property
    def last(self) -> int:
        return self.counts + len(COUNTED) - 1

    def code(self, j: int) -> int:
        return self.last + 2 + j

    @property
    def bottom(self) -> int:
        return TOP + self.recipes - 1

    def code_cell(self, code: int) -> str:
        """Cell of the legend that holds ``code``."""
        return a1(LEGEND + code, NO, True, True)

    @property
    def words(self) -> str:
        """The four printed words by rising code."""
        return block(LEGEND + 1, OPENS, LEGEND + len(COUNTED), OPENS)


def put_programme(book: Book, kitchen: Kitchen, recipes: Sequence[RecipeSheet], settings: Settings) -> Sheet:
    """Lay out the sheet behind Overview; it reads recipe sheets through Results only."""
    sheet = book.add(TAB)
    at = next(i for i, other in enumerate(book.sheets) if other.name == "Overview")
    book.sheets.insert(at + 1, book.sheets.pop())
    rules = load_programme_rules()
    plan = Plan(rules, len(recipes))
    put_frame(sheet, TAB, "One serving of every recipe against the targets set on Start. What is not known never counts as met. The targets fit a programme, "
              "not a person: needs differ, and a practitioner sets them for anyone with a condition.", plan.last)
    for col, width in ((NO, 5), (OPENS, 24), (RECIPE, 34)):
        sheet.widths[col] = width
    _put_legend(sheet, plan)
    for j, target in enumerate(rules.targets):
        _put_target(sheet, plan, j, target, limits_in_use(rules, settings)[target.id])
    _put_heads(sheet, plan)
    for i, recipe in enumerate(recipes):
        _put_recipe(sheet, kitchen, plan, i, recipe)
    _put_totals(sheet, plan)
    for code, style in STYLES.items():
        first = a1(TOP, plan.code(0))
        sheet.conditions.append((TOP, FIRST, plan.bottom, plan.counts - 1, {"type": "formula", "criteria": f"={first}={code}"}, style))
    sheet.freeze = (TOP, FIRST)
    sheet.landscape = True
    sheet.repeat_rows = (NAMES, LIMITS)
    sheet.print_area = (0, 0, plan.bottom + 1, plan.last)
    sheet.first_input = (TOP, RECIPE)
    return sheet


def _put_legend(sheet: Sheet, plan: Plan) -> None:
    sheet.put(LEGEND, NO, "Code", "head")
    sheet.put(LEGEND, OPENS, "Verdict", "head")
    sheet.put(LEGEND, RECIPE, "Meaning", "head")
    sheet.band(LEGEND, FIRST, plan.counts - 1, "head")
    sheet.merges.append((LEGEND, RECIPE, LEGEND, plan.counts - 1))
    for word in plan.rules.words:
        row = LEGEND + word.code
        sheet.put(row, NO, word.code, "fixed small centre")
        sheet.put(row, OPENS, word.shown, "fixed " + STYLES.get(word.code, "bold"))
        sheet.put(row, RECIPE, word.meaning, "fixed small")
        sheet.band(row, FIRST, plan.counts - 1, "fixed small")
        sheet.merges.append((row, RECIPE, row, plan.counts - 1))


def _put_heads(sheet: Sheet, plan: Plan) -> None:
    for col, words in ((NO, "No."), (OPENS, "Open"), (RECIPE, "Recipe")):
        sheet.put(NAMES, col, words, "head")
        sheet.band(NAMES, col, col, "head")
    for row, words in ((LIMITS, "Limit in use (set on Start)"), (MARGINS, "Margin for near, per cent of the limit"), (EDGES, "Near from here on, or up to here")):
        sheet.put(row, NO, "", "calc")
        sheet.put(row, OPENS, "", "calc")
        sheet.put(row, RECIPE, words, "calc small")
        sheet.band(row, plan.counts, plan.last, "calc")
    by_code = {w.code: w for w in plan.rules.words}
    for k, code in enumerate(COUNTED):
        sheet.put(NAMES, plan.counts + k, f"Targets: {by_code[code].word}", "head")
        sheet.widths[plan.counts + k] = 9
    sheet.heights[NAMES] = 44


def _put_target(sheet: Sheet, plan: Plan, j: int, target: ProgrammeTarget, limit: float | None) -> None:
    col = plan.target(j)
    sheet.widths[col] = 14
    sheet.put(NAMES, col, f"{target.name}, {target.unit}", "head")
    sheet.put(NAMES, plan.code(j), f"Code: {target.name}", "workhead")
    unused = "" if limit is None else limit
    sheet.formula(LIMITS, col, f"={limit_name(target)}", unused, "calc general")
    sheet.put(MARGINS, col, target.near_pct, "fixed general")
    at, near = a1(LIMITS, col, fix_row=True), a1(MARGINS, col, fix_row=True)
    sign = "-" if target.sign == ">=" else "+"
    edge = "" if limit is None else half_up(limit * (1 + (-1 if sign == "-" else 1) * target.near_pct / 100), 9)
    sheet.formula(EDGES, col, f'=IF({at}="","",ROUND({at}*(1{sign}{near}/100),9))', edge, "calc general")


def _put_recipe(sheet: Sheet, kitchen: Kitchen, plan: Plan, i: int, recipe: RecipeSheet) -> None:
    row = TOP + i
    analysis = recipe.analysis
    no, title = a1(row, NO, fix_col=True), a1(row, RECIPE, fix_col=True)
    sheet.put(row, NO, i + 1, "calc small centre")
    sheet.link(row, OPENS, recipe.sheet.name, recipe.sheet.name, "link small flow")
    sheet.formula(row, RECIPE, f'=INDEX(res_title,{no})&""', LOOKUP, "calc bold flow")
    sheet.heights[row] = 30
    codes = judge_recipe(plan.rules, analysis, limits_in_use(plan.rules, analysis.settings)) if analysis else None
    by_code = {w.code: w for w in plan.rules.words}
    for j, target in enumerate(plan.rules.targets):
        col = plan.target(j)
        code = sheet.formula(row, plan.code(j), _code(plan, j, target, no, title, _number(kitchen, target)), float(codes[j]) if codes else LOOKUP, "work n0")
        code = code.replace("$", "")
        nutrient = kitchen.nutrient_by_tag[target.tag]
        decimals = nutrient.decimals if target.basis == "amount" else 0
        value, reads = _value(target, no, _number(kitchen, target)), f"INDEX(res_r_{column_name(target.tag)},{no})"
        amount = f'IF({reads}="","",{reads}&" ")&{in_words(value, decimals)}&" {target.unit}"'
        if target.basis != "amount":
            amount = f'IF(ISNUMBER(INDEX(nut_dv,{_number(kitchen, target)})),{amount},"no Daily Value")'
        said = None
        if codes and analysis:
            found, words = target_value(target, analysis), analysis.nutrients[target.tag].reads
            told = "no Daily Value" if found is None else f"{words} {shown(found, decimals)} {target.unit}".lstrip()
            said = f"{by_code[codes[j]].shown}\n{told}" if codes[j] else ""
        sheet.formula(row, col, f'=IF({code}=0,"",INDEX({plan.words},{code})&CHAR(10)&{amount})', LOOKUP if said is None else said, "calc small flow centre")
    across = f"{a1(row, plan.code(0), fix_col=True)}:{a1(row, plan.code(len(plan.rules.targets) - 1), fix_col=True)}"
    for k, counted in enumerate(COUNTED):
        value_stored = float(codes.count(counted)) if codes else LOOKUP
        sheet.formula(row, plan.counts + k, f'=IF({title}="","",COUNTIF({across},{plan.code_cell(counted)}))', value_stored, "calc n0 centre")


def _number(kitchen: Kitchen, target: ProgrammeTarget) -> int:
    return next(i for i, n in enumerate(kitchen.tables.nutrients, 1) if n.tag == target.tag)


def _value(target: ProgrammeTarget, no: str, number: int) -> str:
    """What one serving holds, in the target's terms."""
    amount = f"INDEX(res_v_{column_name(target.tag)},{no})"
    return amount if target.basis == "amount" else f"{amount}/INDEX(nut_dv,{number})*100"


def _code(plan: Plan, j: int, target: ProgrammeTarget, no: str, title: str, number: int) -> str:
    """0 unused, 1 open, 2 fail, 3 near, 4 pass: `nutrition.programme.judge` in one formula."""
    col = plan.target(j)
    limit, edge = a1(LIMITS, col, fix_row=True), a1(EDGES, col, fix_row=True)
    value, reads = f"ROUND({_value(target, no, number)},9)", f"INDEX(res_r_{column_name(target.tag)},{no})"
    if target.sign == ">=":
        better, worse, holds, close = "at least", "at most", f"{value}>=ROUND({limit},9)", f"{value}>={edge}"
    else:
        better, worse, holds, close = "at most", "at least", f"{value}<=ROUND({limit},9)", f"{value}<={edge}"
    met, near, failed, unsure = (plan.code_cell(c) for c in (PASS, NEAR, FAIL, OPEN))
    judged = (f'IF({reads}="{worse}",IF({close},{unsure},{failed}),IF({holds},{met},IF({reads}="{better}",{unsure},IF({close},{near},{failed}))))')
    if target.basis != "amount":
        judged = f"IF(ISNUMBER(INDEX(nut_dv,{number})),{judged},{unsure})"
    return f'=IF(OR({title}="",{limit}=""),0,IF(INDEX(res_servings,{no})=0,{unsure},{judged}))'


def _put_totals(sheet: Sheet, plan: Plan) -> None:
    row = plan.bottom + 1
    sheet.put(row, NO, "", "total")
    sheet.put(row, OPENS, "", "total")
    sheet.put(row, RECIPE, "Recipes that pass", "total")
    for j in range(len(plan.rules.targets)):
        codes = f"{a1(TOP, plan.code(j), fix_row=True)}:{a1(plan.bottom, plan.code(j), fix_row=True)}"
        judged = f'COUNTIF({codes},">0")'
        sheet.formula(row, plan.target(j), f'=IF({judged}=0,"-",COUNTIF({codes},{plan.code_cell(PASS)})&" of "&{judged})', LOOKUP, "total centre")
    sheet.band(row, plan.counts, plan.last, "total")
