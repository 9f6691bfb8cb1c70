"""Claims: the rules for statements as tables, each row with its section, source and status."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.claims import (
    CEILINGS,
    EU,
    EU_DISHES,
    KNOWN,
    REFERENCE_SET,
    SETS,
    STRICT,
    US,
    US_DISHES,
    Comparison,
    Condition,
    Quantity,
    Rule,
)
from workbookgen.nutrition.claims_compare import ALWAYS
from workbookgen.nutrition.claims_measures import group_most
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import declared_tags
from workbookgen.workbook.book import Book, Sheet, Value, a1
from workbookgen.workbook.claims_plan import (
    BASIS_WORDS,
    ClaimPlan,
    basis_number,
    joined,
    limit_words,
    quantity_words,
    steps,
)
from workbookgen.workbook.cooking_sheet import retention_columns
from workbookgen.workbook.frame import put_frame
from workbookgen.workbook.statements_layout import BOUND_TAGS
from workbookgen.workbook.tables_sheet import FIRST as TABLES_FIRST

TAB = "Claims"
HEAD, FIRST = 4, 5
PRINT_SCALE = 55
SET_WORDS = {US: "US rules (21 CFR part 101)", EU: "EU rules (Regulation (EC) No 1924/2006)"}
#: name ("" for none), heading, width, values, style
Column = tuple[str, str, float, Sequence[Value], str]


def put_claims(book: Book, kitchen: Kitchen) -> Sheet:
    """Lay out the sheet and name its columns."""
    sheet = book.add(TAB)
    put_frame(sheet, TAB, "The rules for statements: what each needs, for which dish, on which amount, and where it is written. "
              "A rule with a figure that is only remembered is judged but never printed.", 12)
    _name_reference_sets(book, kitchen)
    plan = ClaimPlan(kitchen.tables.claims)
    breaks = []
    col = 0
    for put in (_statements, _rules, _conditions, _quantities, _dishes, _raccs, _healthy, _most, _beside, _compared, _health):
        if col:
            breaks.append(col)
        col = put(book, sheet, kitchen, plan, col) + 1
    sheet.heights[HEAD] = 42
    sheet.freeze = (FIRST, 0)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = PRINT_SCALE, breaks
    sheet.first_input = (FIRST, 0)
    return sheet


def _name_reference_sets(book: Book, kitchen: Kitchen) -> None:
    """Name the columns of Tables that the rule sets count per cent in."""
    tables = next(s for s in book.sheets if s.name == "Tables")
    ids = [s.id for s in kitchen.tables.reference_sets]
    first_set = 3  # tag, name, unit stand before the reference sets on Tables
    for rule_set in SETS:
        col = first_set + ids.index(REFERENCE_SET[rule_set])
        book.name_range(f"dv_{rule_set}", tables, TABLES_FIRST, col, TABLES_FIRST + len(kitchen.tables.nutrients) - 1, col)


def _columns(book: Book, sheet: Sheet, col: int, title: str, columns: Sequence[Column]) -> int:
    sheet.put(HEAD - 1, col, title, "label")
    for name, heading, width, values, style in columns:
        sheet.put(HEAD, col, heading, "head")
        sheet.widths[col] = width
        for i, value in enumerate(values):
            sheet.put(FIRST + i, col, value, style)
        if name:
            book.name_range(name, sheet, FIRST, col, FIRST + max(len(values), 1) - 1, col)
        col += 1
    return col


def _statements(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    s = plan.statements
    return _columns(book, sheet, col, "Statements", (
        ("st_id", "Id", 20, [x.id for x in s], "fixed small"),
        ("", "Group", 18, [x.group for x in s], "fixed small"),
        ("st_words_us", "Words, US", 36, [x.words[US] for x in s], "fixed small"),
        ("st_words_eu", "Words, EU", 34, [x.words[EU] for x in s], "fixed small"),
        ("st_pick", "Words offered", 34, [x.words[US] or x.words[EU] for x in s[: plan.shown]], "fixed small"),
        ("st_part", "Words where a named ingredient carries it", 34, [x.part_words for x in s], "fixed small"),
    ))


def _rules(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    r = plan.ordered
    return _columns(book, sheet, col, "Rules", (
        ("rule_key", "Statement and dish", 30, [f"{x.statement}|{x.dish}" for x in r], "fixed small"),
        ("rule_first", "First condition", 9, [plan.first[x.statement, x.dish] for x in r], "fixed n0 small"),
        ("rule_n", "Conditions", 9, [len(x.conditions) for x in r], "fixed n0 small"),
        ("rule_beside", "Sentence beside", 14, [x.disclosure for x in r], "fixed small"),
        ("rule_ok", "Figures read (1 = all)", 9, [int(x.confirmed) for x in r], "fixed n0 small"),
        ("rule_section", "Section", 26, [x.conditions[0].proof.section for x in r], "fixed small"),
        ("", "Source", 16, [joined([c.proof.source_id for c in x.conditions]) for x in r], "fixed small"),
        ("rule_status", "Status", 12, [joined([c.proof.status for c in x.conditions]) for x in r], "fixed small"),
    ))


def _conditions(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    rows = plan.conditions
    number = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    sets = {s.id: s.values for s in kitchen.tables.reference_sets}
    start = col
    col = _columns(book, sheet, col, "Conditions", (
        ("", "Statement and dish", 30, [f"{r.statement}|{r.dish}" for r, _ in rows], "fixed small"),
        ("con_what", "What is compared", 30, [quantity_words(plan.rules, c) for _, c in rows], "fixed small"),
        ("con_q", "Quantity no. (0 = a statement)", 8, [plan.quantity_number.get(c.quantity, 0) for _, c in rows], "fixed n0 small"),
        ("con_b", "Amount no.", 8, [basis_number(c.basis) for _, c in rows], "fixed n0 small"),
        ("con_on", "On which amount", 16, [BASIS_WORDS[c.basis] for _, c in rows], "fixed small"),
        ("", "Sign", 8, [c.sign for _, c in rows], "fixed small"),
        ("con_ceiling", "Ceiling, unknowns at their most (1 = yes)", 10, [int(c.sign in CEILINGS) for _, c in rows], "fixed n0 small"),
        ("con_plain", "Ceiling on the known amount (1 = yes)", 10, [int(c.sign == KNOWN) for _, c in rows], "fixed n0 small"),
        ("con_strict", "Limit itself left out (1 = yes)", 10, [int(c.sign in STRICT) for _, c in rows], "fixed n0 small"),
        ("con_written", "Limit as written", 9, [c.limit for _, c in rows], "fixed general small"),
        ("con_nut", "% DV of nutrient no. (0 = amount)", 9, [number.get(c.dv_tag, 0) for _, c in rows], "fixed n0 small"),
    ))
    written, nut = col - 2, col - 1
    sheet.put(HEAD, col, "Limit in the quantity's unit", "head")
    sheet.widths[col] = 10
    for i, (rule, c) in enumerate(rows):
        at = FIRST + i
        value = c.limit
        if c.dv_tag:
            value = c.limit / 100 * sets[REFERENCE_SET[rule.rule_set]][c.dv_tag].value
        w, n = a1(at, written, fix_col=True), a1(at, nut, fix_col=True)
        sheet.formula(at, col, f"=IF({n}=0,{w},{w}/100*INDEX(dv_{rule.rule_set},{n}))", value, "calc general small")
    book.name_range("con_limit", sheet, FIRST, col, FIRST + len(rows) - 1, col)
    col = _columns(book, sheet, col + 1, "", (
        ("con_words", "Limit in words", 22, [limit_words(plan.rules, c) for _, c in rows], "fixed small"),
        ("con_path", "Alternative (0 = always counts)", 9, [c.path for _, c in rows], "fixed n0 small"),
        ("con_steps", "Steps (1 = no per cent of error)", 9, [steps(plan.rules.quantities[c.quantity]) for _, c in rows], "fixed n0 small"),
        ("", "Section", 20, [c.proof.section for _, c in rows], "fixed small"),
        ("", "Source", 14, [c.proof.source_id for _, c in rows], "fixed small"),
        ("", "Status", 9, [c.proof.status for _, c in rows], "fixed small"),
        ("", "Note", 46, [c.proof.note for _, c in rows], "fixed small"),
    ))
    sheet.put(HEAD - 1, start, "Conditions: all of one statement and dish must hold; alternatives share the rest", "label")
    return col


def _quantities(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    qs = plan.quantities

    number = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}
    columns = retention_columns(kitchen)

    def single(q: Quantity) -> int:
        """The one nutrient whose amounts a reader can follow food by food."""
        return number.get(q.terms[0][0], 0) if q.kind in ("sum", "part") and len(q.terms) == 1 else 0

    def keep(q: Quantity) -> int:
        nutrient = kitchen.nutrient_by_tag.get(q.terms[0][0]) if single(q) else None
        return columns.index(nutrient.keep) + 1 if nutrient is not None and nutrient.keep else 0

    def bound(q: Quantity) -> int:
        return BOUND_TAGS.index(q.terms[0][0]) + 1 if single(q) and q.terms[0][0] in BOUND_TAGS else 0

    def factor(place: int) -> list[Value]:
        return [q.terms[place][1] if len(q.terms) > place and q.kind in ("sum", "energy share") else "" for q in qs]

    col = _columns(book, sheet, col, "Quantities", (
        ("q_id", "Id", 24, [q.id for q in qs], "fixed small"),
        ("q_words", "What it is", 36, [q.words for q in qs], "fixed small"),
        ("q_unit", "Unit", 16, [q.unit for q in qs], "fixed small"),
        ("q_f1", "First factor", 9, [float(q.terms[0][0]) if q.kind == "equivalent groups" else f for q, f in zip(qs, factor(0), strict=True)],
         "fixed general small"),
        ("q_f2", "Second factor", 9, factor(1), "fixed general small"),
        ("q_nut", "Nutrient no. (0 = several or none)", 9, [single(q) for q in qs], "fixed n0 small"),
        ("q_keep", "Retention column (0 = nothing is lost)", 9, [keep(q) for q in qs], "fixed n0 small"),
        ("q_bound", "Upper-bound no. (0 = none)", 9, [bound(q) for q in qs], "fixed n0 small"),
        ("", "Note", 44, [q.note for q in qs], "fixed small"),
    ))
    return col


def _dishes(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    kinds = plan.rules.kinds
    col = _columns(book, sheet, col, "Kinds of dish (US)", (
        ("list_kind", "Kind", 11, list(US_DISHES), "fixed small"),
        ("kind_serving", "Least serving, g", 9, [k.least_serving_g for k in kinds], "fixed n1 small"),
        ("kind_portion", "Portion, g", 9, [k.portion_g for k in kinds], "fixed n0 small"),
        ("kind_portions", "Portions", 9, [k.portions for k in kinds], "fixed n0 small"),
        ("kind_groups", "Of how many groups", 9, [k.groups for k in kinds], "fixed n0 small"),
        ("kind_note", "Note", 50, [k.proof.note for k in kinds], "fixed small"),
        ("", "Section, status", 20, [f"{k.proof.section}, {k.proof.status}" for k in kinds], "fixed small"),
    )) + 1
    sets = kitchen.tables.reference_sets
    return _columns(book, sheet, col, "Rule set by reference values", (
        ("", "Reference values chosen", 26, [s.name for s in sets], "fixed small"),
        ("set_rules_of", "Rules (1 US, 2 EU)", 9, [2 if s.id == REFERENCE_SET[EU] else 1 for s in sets], "fixed n0 small"),
        ("set_rule_words", "Rules in words", 34, [SET_WORDS[s] for s in SETS], "fixed small"),
        ("", "Dishes, EU", 10, list(EU_DISHES), "fixed small"),
    ))


def _raccs(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    raccs = plan.rules.raccs
    return _columns(book, sheet, col, "Reference amounts (21 CFR 101.12(b))", (
        ("racc_id", "Id", 16, [r.id for r in raccs], "fixed small"),
        ("racc_name", "Category", 50, [r.category for r in raccs], "fixed small"),
        ("racc_g", "g", 8, ["" if r.grams is None else r.grams for r in raccs], "fixed general small"),
        ("racc_ml", "mL", 8, ["" if r.ml is None else r.ml for r in raccs], "fixed general small"),
        ("", "Source, status", 20, [f"{r.proof.source_id}, {r.proof.status}" for r in raccs], "fixed small"),
        ("", "Note", 44, [r.proof.note for r in raccs], "fixed small"),
    ))


def _healthy(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    groups, pairs = plan.rules.healthy_groups, plan.rules.healthy_map
    col = _columns(book, sheet, col, "The word healthy: food groups (21 CFR 101.65(d))", (
        ("hg_name", "Food group", 22, [g.name for g in groups], "fixed small"),
        ("hg_unit", "Counted in", 9, [g.unit for g in groups], "fixed small"),
        ("hg_one", "One equivalent", 9, [g.one_equivalent for g in groups], "fixed n2 small"),
        ("hg_whole", "Whole-grain share only (1 = yes)", 9, [int(g.id == "grain") for g in groups], "fixed n0 small"),
        ("hg_sugars", "Added sugars, % DV", 9, [g.added_sugars_dv for g in groups], "fixed n0 small"),
        ("hg_sodium", "Sodium, % DV", 9, [g.sodium_dv for g in groups], "fixed n0 small"),
        ("hg_sat", "Saturated fat, % DV", 9, [g.saturated_fat_dv for g in groups], "fixed n0 small"),
        ("", "Status", 9, [g.proof.status for g in groups], "fixed small"),
        ("", "Note", 40, [g.proof.note for g in groups], "fixed small"),
    )) + 1
    return _columns(book, sheet, col, "Which foods count", (
        ("hmap_key", "Food group and role", 34, [f"{g}|{r}" for g, r in pairs], "fixed small"),
        ("hmap_no", "Food group no.", 9, list(pairs.values()), "fixed n0 small"),
    ))


def _most(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    """Largest known value of each food group, for upper bounds; the last row is the whole table."""
    most = group_most(kitchen)
    groups = sorted({g for g, _ in most if g})
    columns: list[Column] = [("gmax_group", "Food group", 24, [*groups, "any food"], "fixed small")]
    for bound in plan.rules.bounds:
        nutrient = kitchen.nutrient_by_tag[bound.tag]
        values: list[Value] = [most.get((g, bound.tag), most.get(("", bound.tag), 0.0)) for g in (*groups, "")]
        columns.append((f"gmax_{bound.tag}", f"{nutrient.name}, {nutrient.unit} per 100 g", 11, values, "fixed general small"))
    return _columns(book, sheet, col, "Largest value of each food group: the upper bound of an unknown value", columns)


def _beside(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    rows = plan.rules.disclosures
    words = {s.id: s.words[US] or s.words[EU] for s in plan.statements}
    return _columns(book, sheet, col, "What must stand beside", (
        ("", "Id", 14, [d.id for d in rows], "fixed small"),
        ("beside_words", "Words", 40, [d.words for d in rows], "fixed small"),
        ("", "Falls away when this holds", 44, [words[d.unless] for d in rows], "fixed small"),
        ("", "Section, status", 22, [f"{d.proof.section}, {d.proof.status}" for d in rows], "fixed small"),
    ))





def _compared(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    """Comparisons, the US ones first; how many each set has stands in a table of its own."""
    rows = [c for s in SETS for c in plan.rules.comparisons if c.rule_set == s]
    number = {n.tag: i for i, n in enumerate(kitchen.tables.nutrients, 1)}

    def tag(c: Comparison, place: int) -> str:
        terms = plan.rules.quantities[c.quantity].terms
        return terms[place][0] if place < len(terms) else ""

    def bound(c: Comparison, place: int) -> int:
        return BOUND_TAGS.index(tag(c, place)) + 1 if tag(c, place) in BOUND_TAGS else 0

    def also(c: Comparison) -> Value:
        return plan.number[source_id(plan, c.quantity)] if c.also == "source" else 0

    labels = declared_tags(kitchen.tables)

    def low(c: Comparison, dish: str) -> int:
        """Number of the condition that says what is low in the same nutrient for that kind of dish."""
        rule = plan.rules.rule(c.rule_set, dish, c.reference_not) if c.reference_not else None
        place = next((i for i, x in enumerate(rule.conditions) if x.quantity == c.quantity), None) if rule else None
        return 0 if place is None else plan.first[c.reference_not, dish] + place

    col = _columns(book, sheet, col, "Comparisons with a reference dish", (
        ("", "Rules", 7, [c.rule_set for c in rows], "fixed small"),
        ("cmp_words", "Words", 30, [c.words for c in rows], "fixed small"),
        ("cmp_dish", "For", 9, [c.dish for c in rows], "fixed small"),
        ("cmp_n1", "Nutrient no.", 8, [number[tag(c, 0)] for c in rows], "fixed n0 small"),
        ("cmp_n2", "and nutrient no.", 8, [number.get(tag(c, 1), 0) for c in rows], "fixed n0 small"),
        ("cmp_b1", "Upper-bound no.", 8, [bound(c, 0) for c in rows], "fixed n0 small"),
        ("cmp_b2", "and upper-bound no.", 8, [bound(c, 1) for c in rows], "fixed n0 small"),
        ("cmp_less", "Less (1) or more (0)", 8, [int(c.change == "less") for c in rows], "fixed n0 small"),
        ("cmp_least", "At least", 8, [c.least for c in rows], "fixed n1 small"),
        ("cmp_pct", "% (1) or points of % DV (0)", 9, [int(c.counted == "%") for c in rows], "fixed n0 small"),
        ("cmp_not", "The reference must not hold statement no.", 10, [plan.number.get(c.reference_not, 0) for c in rows], "fixed n0 small"),
        *((f"cmp_low_{name}", f"Limit of low, condition no.: {dish}", 10, [low(c, dish) for c in rows], "fixed n0 small")
          for name, dish in (("food", "food"), ("main", "main dish"), ("meal", "meal"))),
        ("cmp_label", "Nutrient no. on labels (0 = several)", 9, [0 if tag(c, 1) or tag(c, 0) not in labels else labels.index(tag(c, 0)) + 1 for c in rows],
         "fixed n0 small"),
        ("cmp_also", "Further condition", 16, [c.also for c in rows], "fixed small"),
        ("cmp_st", "Statement no. of the further condition", 10, [also(c) for c in rows], "fixed n0 small"),
        ("cmp_limit", "Limit of the further condition", 10, ["" if c.also_limit is None else c.also_limit for c in rows], "fixed general small"),
        ("cmp_section", "Section", 18, [c.proof.section for c in rows], "fixed small"),
        ("cmp_status", "Status", 9, [c.proof.status for c in rows], "fixed small"),
        ("cmp_note", "Note", 44, [c.proof.note for c in rows], "fixed small"),
    )) + 1
    counts = [sum(c.rule_set == s for c in rows) for s in SETS]
    return _columns(book, sheet, col, "Comparisons of each set", (
        ("cmp_first", "First row", 8, [1, 1 + counts[0]], "fixed n0 small"),
        ("cmp_count", "Rows", 8, counts, "fixed n0 small"),
        ("label_energy", "Energy, no. on labels", 8, [labels.index("ENERC_KCAL") + 1], "fixed n0 small"),
        ("label_fat", "Fat, no. on labels", 8, [labels.index("FAT") + 1], "fixed n0 small"),
    ))


def source_id(plan: ClaimPlan, tag: str) -> str:
    return f"source_{tag}" if f"source_{tag}" in plan.number else f"micro_source_{tag}"


def health_inputs(plan: ClaimPlan) -> list[str]:
    """Substances a person types on Statements, in order of first use."""
    found = (c.quantity.removeprefix("input:") for _, rule in plan.rules.health for c in rule.conditions if c.quantity.startswith("input:"))
    return list(dict.fromkeys(found))


def health_rows(plan: ClaimPlan) -> list[tuple[int, Rule, Condition | None, str]]:
    """(claim no., rule, condition, statement id): first, for claim 0, what every claim needs."""
    first = plan.rules.health[0][1]
    rows: list[tuple[int, Rule, Condition | None, str]] = [(0, first, None, s) for s in ALWAYS]
    for i, (_, rule) in enumerate(plan.rules.health, 1):
        rows += [(i, rule, c, c.quantity.partition(":")[2] if c.quantity.startswith("say:") else "") for c in rule.conditions]
    return rows


def _health(book: Book, sheet: Sheet, kitchen: Kitchen, plan: ClaimPlan, col: int) -> int:
    claims, rows = plan.rules.health, health_rows(plan)
    typed = health_inputs(plan)
    words = {s.id: s.words[US] or s.words[EU] for s in plan.statements}

    def what(c: Condition | None, statement: str) -> str:
        if statement:
            return words[statement]
        assert c is not None
        return f"{c.quantity.removeprefix('input:').replace('_', ' ')} at least {c.limit:g}"

    col = _columns(book, sheet, col, "Authorised health claims (US)", (
        ("hc_words", "Claim", 44, [w for w, _ in claims], "fixed small"),
        ("hc_ok", "Figures read (1 = all)", 9, [int(r.confirmed) for _, r in claims], "fixed n0 small"),
        ("hc_section", "Section", 9, [r.conditions[0].proof.section for _, r in claims], "fixed small"),
        ("hc_status", "Status", 12, [joined([c.proof.status for c in r.conditions]) for _, r in claims], "fixed small"),
        ("hc_note", "Note", 60, [r.conditions[0].proof.note for _, r in claims], "fixed small"),
    )) + 1
    return _columns(book, sheet, col, "Conditions of health claims (claim 0: of every one)", (
        ("", "Claim no.", 8, [i for i, *_ in rows], "fixed n0 small"),
        ("hcc_what", "Needs", 44, [what(c, s) for _, _, c, s in rows], "fixed small"),
        ("hcc_st", "Statement no. (0 = typed)", 9, [plan.number.get(s, 0) for *_, s in rows], "fixed n0 small"),
        ("hcc_input", "Typed figure no.", 9, [0 if s or c is None else typed.index(c.quantity.removeprefix("input:")) + 1 for _, _, c, s in rows],
         "fixed n0 small"),
        ("hcc_least", "At least", 9, ["" if s or c is None else c.limit for _, _, c, s in rows], "fixed general small"),
        ("hcc_path", "Alternative (0 = always counts)", 9, [0 if c is None else c.path for _, _, c, _ in rows], "fixed n0 small"),
    ))
