"""Statements on a recipe sheet: what the dish is, what may be said of it, what the card prints."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.claims import EU, SETS, US, Rule
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.claims import (
    DRINK,
    FOUR_GROUPS,
    NEVER,
    StatementResult,
    judge_statements,
    racc_category,
    racc_grams,
)
from workbookgen.nutrition.claims import Judged as JudgedCondition
from workbookgen.nutrition.claims_measures import Dish
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.recipe_layout import INPUT_ROW, RecipeLayout
from workbookgen.workbook.recipe_measures import Facts, Judged, MeasureWriter, head_columns, put_line_columns
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.statements_layout import CARD_STATEMENTS, WIDEST, Places
from workbookgen.workbook.words import in_words, key_text, tidy

GROUP_NAMES = ("Grain", "Vegetables and fruit", "Dairy", "Meat, fish, beans, eggs, nuts")
HEADS = (
    ("count", "On the card"), ("food", "Statement"), ("amount", "Value"), ("unit", "Judged on"), ("basis", "Limit"),
    ("treat", "Verdict"), ("share", "Margin"), ("water", "May be wrong by, %"), ("grams", "Rule"), ("dish", "Figures"),
    ("message", "What must stand beside it, or why not"),
)


def judged_recipe(kitchen: Kitchen, analysis: Analysis | None) -> Judged | None:
    """The core's verdicts for stored values."""
    if analysis is None:
        return None
    recipe = analysis.recipe
    dish = Dish(kitchen, analysis, racc_grams(kitchen, recipe), racc_category(kitchen, recipe.racc_text))
    return Judged(dish, judge_statements(kitchen, analysis, dish=dish))


def put_statements(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None, analysis: Analysis | None) -> Judged | None:
    """Lay out every block on statements; returns what the core found."""
    plan = ClaimPlan(kitchen.tables.claims)
    places = Places(lay, plan)
    judged = judged_recipe(kitchen, analysis)
    head_columns(sheet, lay)
    put_line_columns(sheet, lay, kitchen, judged)
    facts = _put_dish(sheet, lay, kitchen, places, recipe, judged)
    writer = MeasureWriter(sheet, lay, kitchen, places, facts, judged)
    codes = {s.id: a1(places.row(i), places.lead["judged"], True, True) for i, s in enumerate(plan.statements)}
    writer.put_bases()
    writer.put_healthy()
    writer.put_quantities()
    _put_beside(sheet, lay, kitchen, places, codes)
    rows = _Rows(sheet, lay, places, writer, facts, judged, recipe, codes)
    rows.put()
    _put_card(sheet, lay, places)
    return judged


def _put_dish(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, places: Places, recipe: Recipe | None, judged: Judged | None) -> Facts:
    """Kind of dish, reference amount, and whether a serving is what the rules call a main dish or meal."""
    rules = kitchen.tables.claims
    top, row = places.dish, places.input
    sheet.put(top, 0, "Statements: what this dish is", "section")
    sheet.band(top, 0, lay.front_last, "section")
    sheet.put(top + 1, 0, "US rules judge a food on its reference amount, a main dish or meal on 100 g and on the serving; EU rules on 100 g or 100 mL.",
              "hint")
    sheet.merges.append((top + 1, 0, top + 1, lay.front_last))
    racc = racc_category(kitchen, recipe.racc_text) if recipe else None
    inputs: tuple[tuple[str, str, Value, str, str, str], ...] = (
        ("food", "Kind of dish (US)", recipe.kind if recipe else "", "input", "food, main dish or meal; empty: main dish", "=list_kind"),
        ("treat", "Reference amount (US foods)", racc.category if racc else "", "input small", "choose the category, or type grams", "=racc_name"),
        ("grams", "or grams", (recipe.racc_g or "") if recipe else "", "input n0", "", ""),
        ("message", "Sold by volume: a drink or soup (EU)", ("yes" if DRINK in recipe.switches else "") if recipe else "", "input small",
         "yes counts per 100 mL and needs a weighed cup", "=list_yes"),
    )
    for key, label, given, style, hint, source in inputs:
        at = lay.col[key]
        sheet.put(row - 1, at, label, "label")
        sheet.put(row, at, given, style)
        sheet.put(row + 1, at, hint, "hint")
        if source:
            sheet.choose_from(row, at, row, at, source, label[:32], "Choose from the list.")
    sheet.heights |= {top + 1: 16, row - 1: 16, row: 22, row + 1: 26, row + 2: 24}
    read = {key: _x(lay, key, row) for key in ("food", "treat", "grams", "message")}
    col = lay.col
    word = a1(row, col["r_food"], True, True)
    racc_no, racc_g = a1(row, col["r_treat"], True, True), a1(row, col["r_amount"], True, True)
    drink, density = a1(row, col["r_unit"], True, True), a1(row, col["r_share"], True, True)
    rule_set, dish_word = a1(row, col["r_water"], True, True), a1(row, col["r_role"], True, True)
    kind = (f'=IF(ISTEXT({read["food"]}),IF(LEN({read["food"]})>100,"main dish",IFERROR(INDEX(list_kind,MATCH({key_text(read["food"])},list_kind,0)),"main dish")),"main dish")')
    category = f'=IF(ISTEXT({read["treat"]}),IF(LEN({read["treat"]})>100,0,IFERROR(MATCH({key_text(read["treat"])},racc_name,0),0)),0)'
    cup = lay.at("r_water", INPUT_ROW)
    cup_ml = 'INDEX(unit_factor,MATCH("cup",unit_name,0))'
    typed = f'IF(ISLOGICAL({read["grams"]}),0,IF(ISNUMBER({read["grams"]}),IF(AND({read["grams"]}>0,{read["grams"]}<=const_grams_max),{read["grams"]},0),0))'
    grams = (f'=IF({typed}>0,{typed},IF({racc_no}=0,0,IF(ISNUMBER(INDEX(racc_g,{racc_no})),INDEX(racc_g,{racc_no}),'
             f'IF(AND({cup}>0,ISNUMBER(INDEX(racc_ml,{racc_no}))),INDEX(racc_ml,{racc_no})*{cup}/{cup_ml},0))))')
    is_eu = f"{rule_set}={SETS.index(EU) + 1}"
    found = judged.verdicts if judged else None
    numbers: tuple[tuple[str, str, str, Value | None], ...] = (
        ("r_food", "Kind of dish", kind, recipe.kind if recipe else None),
        ("r_treat", "Category no.", category, None),
        ("r_amount", "Reference amount, g", grams, found.racc_g if found else None),
        ("r_unit", "By volume (1 = yes)", f'=IF(ISTEXT({read["message"]}),IF(LOWER({tidy(read["message"])})="yes",1,0),0)', None),
        ("r_share", "g per mL", f"={cup}/{cup_ml}", None),
        ("r_water", "Rules (1 US, 2 EU)", "=INDEX(set_rules_of,set_reference)", float(SETS.index(found.rule_set) + 1) if found else None),
        ("r_role", "Judged as", f'=IF({is_eu},IF({drink}=1,"liquid","solid"),{word})', found.dish_word if found else None),
    )
    for key, label, formula, value in numbers:
        sheet.put(row - 1, col[key], label, "workhead")
        sheet.formula(row, col[key], formula, LOOKUP if value is None else value, "work")
    _put_kind(sheet, lay, places, word, judged)
    first = places.fact
    facts: tuple[tuple[str, str], ...] = (
        ("Rules in use (they follow the reference values chosen on Start)", f"=INDEX(set_rule_words,{rule_set})"),
        ("One serving weighs", f'=IF({servings_cell(lay)}=0,"-",{in_words(f"{weight_cell(lay)}/{servings_cell(lay)}", 0)}&" g")'),
        ("Reference amount in use", f'=IF({racc_g}=0,IF({racc_no}=0,"none: choose a category or type grams","told in cups or spoons: weigh one cup of the dish"),'
                                    f'{in_words(racc_g, 1)}&" g")'),
        ("A serving is what the rules call this kind", f'=IF({is_eu},"not asked by EU rules",IF({_kind_ok(lay, places)}=1,"yes","no: "&INDEX(kind_note,MATCH({word},list_kind,0))&". Choose food."))'),
    )
    for i, (label, formula) in enumerate(facts):
        at = first + i
        sheet.put(at, lay.col["food"], label, "calc small flow")
        sheet.formula(at, lay.col["amount"], formula, LOOKUP, "calc small flow")
        sheet.band(at, 0, lay.front_last, "calc")
        sheet.merges.append((at, lay.col["amount"], at, lay.front_last))
        sheet.heights[at] = 26
    assert rules.kinds
    return Facts(racc_g, racc_no, dish_word, word, density)


def _x(lay: RecipeLayout, key: str, row: int) -> str:
    return f"INDEX({block(row - 1, lay.col[key], row + 1, lay.col[key])},2)"


def _kind_ok(lay: RecipeLayout, places: Places) -> str:
    return a1(places.fact + 6, lay.col["r_amount"], True, True)


def _put_kind(sheet: Sheet, lay: RecipeLayout, places: Places, word: str, judged: Judged | None) -> None:
    """Grams of a serving by the four groups of 21 CFR 101.13(l), (m), whole portions of them, and the test."""
    first = places.fact
    col = lay.col
    servings = servings_cell(lay)
    number = f"MATCH({word},list_kind,0)"
    roles, marks, dish = lay.column("erole"), lay.column("r_mark"), lay.column("dish")
    for key, head in (("r_food", "Group"), ("r_amount", "g per serving"), ("r_unit", "Whole portions")):
        sheet.put(first, col[key], head, "workhead")
    for i, (name, group) in enumerate(zip(GROUP_NAMES, FOUR_GROUPS, strict=True)):
        at = first + 1 + i
        total = "+".join(f'SUMPRODUCT(({roles}="{role}")*({marks}<>"garnish")*{dish})' for role in group)
        here = a1(at, col["r_amount"], fix_col=True)
        portion = f"INDEX(kind_portion,{number})"
        sheet.put(at, col["r_food"], name, "work")
        sheet.formula(at, col["r_amount"], f"=IF({servings}=0,0,({total})/{servings})", LOOKUP, "work n1")
        sheet.formula(at, col["r_unit"], f"=IF({portion}=0,0,INT(ROUND({here}/{portion},9)))", LOOKUP, "work n0")
    at = first + 6
    portions = block(first + 1, col["r_unit"], first + 4, col["r_unit"])
    serving = f"IF({servings}=0,0,{weight_cell(lay)}/{servings})"
    sheet.put(at, col["r_food"], "This kind (1 = yes)", "work")
    sheet.formula(at, col["r_amount"], f"=IF(AND(ROUND({serving},9)>=INDEX(kind_serving,{number}),SUM({portions})>=INDEX(kind_portions,{number}),"
                  f'COUNTIF({portions},">0")>=INDEX(kind_groups,{number})),1,0)',
                  float(judged.verdicts.kind_ok) if judged and judged.verdicts.rule_set == US else LOOKUP, "work n0")


def _put_beside(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, places: Places, codes: dict[str, str]) -> None:
    """Sentences that must stand beside a statement, part by part, then joined by id."""
    rows = places.plan.rules.disclosures
    result = lay.result_rows()
    for key, head in (("id", "Beside: id"), ("text", "Part"), ("joined", "All parts of this id")):
        sheet.put(places.d_first - 1, places.d[key], head, "workhead")
    ids: dict[str, list[str]] = {}
    for i, part in enumerate(rows):
        row = places.d_first + i
        words = f"INDEX(beside_words,{i + 1})"
        if part.tag and "{value}" in part.words:
            at = result[part.tag]
            reads, exact = a1(at, 1, True, True), lay.at("basis", at)
            decimals = kitchen.nutrient_by_tag[part.tag].decimals
            words = f'SUBSTITUTE({words},"{{value}}",IF({reads}="","",{reads}&" ")&{in_words(exact, decimals)})'
        sheet.put(row, places.d["id"], part.id, "work")
        sheet.formula(row, places.d["text"], f'=IF({codes[part.unless]}=1,"",{words})', LOOKUP, "work")
        ids.setdefault(part.id, []).append(a1(row, places.d["text"], True, True))
    for i, (key, cells) in enumerate(ids.items()):
        row = places.d_first + i
        if key == "level":
            listed = "MID(" + "&".join(f'IF({c}="","",", "&{c})' for c in cells) + ",3,200)"
            text = f'=IF({"&".join(cells)}="","","See nutrition information for "&{listed}&" content.")'
        else:
            text = "=" + "&".join(f'IF({c}="","",IF({n}=0,""," ")&{c})' for n, c in enumerate(cells))
        sheet.put(row, places.d["joined"] + 1, key, "work")
        sheet.formula(row, places.d["joined"], text, LOOKUP, "work")


def beside_cells(places: Places) -> tuple[str, str, str]:
    """Ranges of ids and joined sentences, and the cell of the disclosure-level sentence."""
    ids = list(dict.fromkeys(d.id for d in places.plan.rules.disclosures))
    last = places.d_first + len(ids) - 1
    level = a1(places.d_first + ids.index("level"), places.d["joined"], True, True)
    col = places.d["joined"]
    return block(places.d_first, col + 1, last, col + 1), block(places.d_first, col, last, col), level


class _Rows:
    """The two lists: statements with ticks, and the levels rules refer to."""

    def __init__(self, sheet: Sheet, lay: RecipeLayout, places: Places, writer: MeasureWriter, facts: Facts, judged: Judged | None,
                 recipe: Recipe | None, codes: dict[str, str]) -> None:
        self.codes = codes
        self.sheet, self.lay, self.places, self.writer, self.facts, self.judged = sheet, lay, places, writer, facts, judged
        self.plan = places.plan
        wanted = {w.strip().lower() for w in recipe.statements} if recipe else set()
        self.ticked = {s.id for s in self.plan.statements
                       if s.shown and ({s.id.lower(), s.words[US].lower(), s.words[EU].lower()} - {""}) & wanted}

    def put(self) -> None:
        p, lay, sheet = self.places, self.lay, self.sheet
        sheet.put(p.list, 0, "Statements: what the rules allow to be said", "section")
        sheet.band(p.list, 0, lay.front_last, "section")
        sheet.put(p.list + 1, 0, "Tick yes to print a statement on the card. It is printed only while it holds, with the words beside it; else the card strikes it out. "
                  "A recipe is not a label: local rules and licensed practice decide.", "hint")
        sheet.merges.append((p.list + 1, 0, p.list + 1, lay.front_last))
        sheet.heights[p.list + 1] = 28
        sheet.put(p.levels, 0, "Levels that rules refer to", "section")
        sheet.band(p.levels, 0, lay.front_last, "section")
        for head, title in ((p.head, "No."), (p.level_head, "No.")):
            sheet.put(head, 0, title, "head")
            for key, words in HEADS:
                sheet.put(head, lay.col[key], words if head == p.head or key != "count" else "", "head")
            sheet.heights[head] = 40
        self._put_work_heads()
        for i in range(len(self.plan.statements)):
            self._put_row(i)
        for key in ("count", "food"):
            sheet.put(p.edge, lay.col[key], "end of the statements" if key == "food" else "", "edge")
        sheet.choose_from(p.first, lay.col["count"], p.last, lay.col["count"], "=list_yes", "On the card", "yes prints the statement while it holds.")
        struck = f"AND(${_letter(p.lead['tick'])}{p.first + 1}=1,${_letter(p.lead['verdict'])}{p.first + 1}<>\"holds\")"
        for col in ("food", "treat"):
            sheet.conditions.append((p.first, lay.col[col], p.last, lay.col[col], {"type": "formula", "criteria": f"={struck}"}, "struck"))
        for first, last in ((p.first, p.last), (p.level_first, p.row(len(self.plan.statements) - 1))):
            sheet.conditions.append((first, lay.col["treat"], last, lay.col["treat"], {"type": "cell", "criteria": "==", "value": '"holds"'}, "holds"))

    def _put_work_heads(self) -> None:
        p = self.places
        words = {"tick": "Ticked", "rule": "Rule row", "n": "Conditions", "first": "First condition", "judged": "Code (1 holds, 0 open, -1 fails)",
                 "verdict": "Verdict", "place": "Deciding condition", "shown": "Card place", "struck": "Struck place", "beside": "Words beside",
                 "words": "Words", "list": "Holding so far"}
        fields = {"con": "Condition", "known": "Value", "most": "At most", "code": "Code", "flips": "Flips at, %", "path": "Alternative"}
        for j in range(WIDEST):  # numbers of the alternatives, above their headings
            self.sheet.put(p.head - 1, p.field["path"] + j, j + 1, "work n0")
        for head in (p.head, p.level_head):
            for key, text in words.items():
                self.sheet.put(head, p.lead[key], text, "workhead")
            for key, text in fields.items():
                for j in range(WIDEST):
                    self.sheet.put(head, p.field[key] + j, f"{text} {j + 1}", "workhead")

    def _put_row(self, i: int) -> None:
        p, lay, sheet = self.places, self.lay, self.sheet
        statement = self.plan.statements[i]
        row, shown = p.row(i), i < self.plan.shown
        found = self.judged.verdicts.by_id[statement.id] if self.judged else None
        sheet.put(row, 0, i + 1, "calc small centre")
        if shown:
            sheet.put(row, lay.col["count"], "yes" if statement.id in self.ticked else "", "input centre small")
            x = f"INDEX({block(p.head, lay.col['count'], p.edge, lay.col['count'])},{a1(row, 0, fix_col=True)}+1)"
            sheet.formula(row, p.lead["tick"], f'=IF(ISTEXT({x}),IF(LOWER({tidy(x)})="yes",1,0),0)',
                          float(statement.id in self.ticked) if self.judged else LOOKUP, "work n0")
        else:
            sheet.put(row, lay.col["count"], "", "calc")
        self._put_rule(row, i)
        self._put_slots(row, statement.id, found)
        self._put_verdict(row, i, found, shown)
        self._put_front(row, found, shown)
        if shown:
            self._put_card_places(row)
        sheet.heights[row] = 26 if shown else 36  # levels cite more than one section

    def _put_rule(self, row: int, i: int) -> None:
        p, sheet = self.places, self.sheet
        no, rule = a1(row, 0, fix_col=True), p.cell("rule", row)
        sheet.formula(row, p.lead["rule"], f'=IFERROR(MATCH(INDEX(st_id,{no})&"|"&{self.facts.word},rule_key,0),0)', LOOKUP, "work n0")
        sheet.formula(row, p.lead["n"], f"=IF({rule}=0,0,INDEX(rule_n,{rule}))", LOOKUP, "work n0")
        sheet.formula(row, p.lead["first"], f"=IF({rule}=0,0,INDEX(rule_first,{rule}))", LOOKUP, "work n0")

    def _put_slots(self, row: int, statement: str, found: StatementResult | None) -> None:
        p, sheet, w = self.places, self.sheet, self.writer
        q = {key: w.range(key) for key in ("known", "most", "short", "open", "loose", "drained")}
        factor, state = w.basis_range("factor"), w.basis_range("state")
        n, first = p.cell("n", row), p.cell("first", row)
        for j in range(self.plan.slots[statement]):
            con, known, most, code = (p.slot(key, row, j) for key in ("con", "known", "most", "code"))
            before = p.slot("con", row, j - 1) if j else ""
            qn, bn = f"INDEX(con_q,{con})", f"INDEX(con_b,{con})"
            ready, limit = f"INDEX({state},{bn})", f"INDEX(con_limit,{con})"
            ceiling, plain, strict = (f"INDEX(con_{key},{con})=1" for key in ("ceiling", "plain", "strict"))
            judged = found.judged[j] if found and j < len(found.judged) else None
            unjudged = found is not None and not found.judged and found.rule is not None
            value: Value | _Lookup = LOOKUP
            sheet.formula(row, p.field["con"] + j, f"=IF({n}=0,0,{first})" if j == 0 else f"=IF(OR({before}=0,{before}+1>={first}+{n}),0,{before}+1)", LOOKUP, "work n0")
            if self.plan.paths[statement]:
                sheet.formula(row, p.field["path"] + j, f"=IF({con}=0,0,INDEX(con_path,{con}))", LOOKUP, "work n0")
            if target := self.plan.said(statement, j):
                self._put_said(row, j, con, self.codes[target], judged, found is not None and not unjudged)
                continue
            usable = f"IF({con}=0,FALSE,{ready}=1)"
            for key, text in (("known", f"INDEX({q['known']},{qn})"), ("most", f"INDEX({q['most']},{qn})")):
                value = LOOKUP if found is None or unjudged else 0.0
                if judged is not None:
                    value = judged.value if key == "known" else judged.most
                sheet.formula(row, p.field[key] + j, f"=IF({usable},{text}*INDEX({factor},{bn}),0)", value, "work general")

            def reaches(x: str, beyond: str, limit: str = limit, strict: str = strict) -> str:
                return f"IF({strict},ROUND({x},9){beyond}ROUND({limit},9),ROUND({x},9){beyond}=ROUND({limit},9))"

            low_known, low_most, high = reaches(known, "<"), reaches(most, "<"), reaches(known, ">")
            doubt = f"INDEX({q['drained']},{qn})+INDEX({q['loose']},{qn})>0"
            low = f"IF(AND({low_most},INDEX({q['open']},{qn})=0),1,IF({low_known},0,IF({doubt},0,-1)))"
            floor = f"IF({high},IF(INDEX({q['loose']},{qn})=1,0,1),IF(INDEX({q['short']},{qn})=1,0,-1))"
            text = (f"=IF({con}=0,2,IF({ready}=0,0,IF({ready}=2,1,IF({plain},IF({low_known},1,-1),IF({ceiling},{low},{floor})))))")
            value = LOOKUP
            if found is not None and not unjudged:
                value = float(judged.code) if judged is not None else 2.0
            sheet.formula(row, p.field["code"] + j, text, value, "work n0")
            compared = f"IF(AND({ceiling},{code}=1),{most},{known})"
            text = (f"=IF({con}=0,const_flips_never,IF(OR({ready}<>1,{code}=0,INDEX(con_steps,{con})=1),const_flips_never,"
                    f"IF({compared}<=0,const_flips_never,ABS({limit}-{compared})/{compared}*100)))")
            if found is not None and not unjudged:
                value = judged.flips if judged is not None else NEVER
            sheet.formula(row, p.field["flips"] + j, text, value if found is not None and not unjudged else LOOKUP, "work n1")

    def _put_said(self, row: int, j: int, con: str, code: str, judged: JudgedCondition | None, known: bool) -> None:
        """A condition that asks for the verdict on another statement: 0 when it holds, 1 when it fails."""
        p, sheet = self.places, self.sheet
        cells: tuple[tuple[str, str, Value], ...] = (
            ("known", f"=IF({con}=0,0,IF({code}=-1,1,0))", judged.value if judged else 0.0),
            ("most", f"=IF({con}=0,0,IF({code}=1,0,1))", judged.most if judged else 0.0),
            ("code", f"=IF({con}=0,2,{code})", float(judged.code) if judged else 2.0),
        )
        for key, text, value in cells:
            sheet.formula(row, p.field[key] + j, text, value if known else LOOKUP, "work n0")
        sheet.formula(row, p.field["flips"] + j, "=const_flips_never", NEVER if known else LOOKUP, "work n0")

    def _put_verdict(self, row: int, i: int, found: StatementResult | None, shown: bool) -> None:
        p, sheet, lay = self.places, self.sheet, self.lay
        statement = self.plan.statements[i]
        count = self.plan.slots[statement.id]
        rule, code = p.cell("rule", row), p.cell("judged", row)
        codes, flips = p.slots("code", row, count), p.slots("flips", row, count)
        if paths := self.plan.paths[statement.id]:
            alternatives = p.slots("path", row, count)
            each = []
            for path in paths:
                number = a1(p.head - 1, p.field["path"] + path - 1, True, True)
                here = f"(({alternatives}=0)+({alternatives}={number}))"
                each.append(f"IF(SUMPRODUCT(({codes}=-1)*{here})>0,-1,IF(SUMPRODUCT(({codes}=0)*{here})>0,0,1))")
            joined = f"IF(SUM({alternatives})=0,MIN({codes}),MAX({','.join(each)}))"
        else:
            joined = f"MIN({codes})"
        kind_no = f'AND({self.facts.kind}={self.facts.word},{_kind_ok(lay, p)}=0)'
        dry = lay.at("dry", lay.total)
        sheet.formula(row, p.lead["judged"], f"=IF(OR({rule}=0,{dry}=0,{kind_no}),0,{joined})", float(found.code) if found else LOOKUP, "work n0")
        bad, servings = lay.at("bad", lay.total), servings_cell(lay)
        other = self._defined(statement.id)
        undefined = f'IF({self._set_cell()}={SETS.index(US) + 1},"{other[US]}","{other[EU]}")'
        text = (f'=IF({dry}=0,IF({bad}>0,"mend the lines first","-"),IF(OR({bad}>0,{servings}=0),"mend the lines first",IF({rule}=0,{undefined},'
                f'IF({kind_no},"not for this kind of dish",IF(INDEX(rule_ok,{rule})=0,"figures not confirmed",IF({code}=1,"holds",IF({code}=0,"cannot be judged","fails")))))))')
        sheet.formula(row, p.lead["verdict"], text, found.verdict if found else LOOKUP, "work")
        closest = f"MATCH(MIN({flips}),{flips},0)"
        if paths:
            closest = f"IF(SUM({p.slots('path', row, count)})=0,{closest},IFERROR(MATCH(1,{codes},0),1))"
        place = f"=IF({rule}=0,0,IF({code}=1,{closest},IFERROR(MATCH({code},{codes},0),1)))"
        value: Value | _Lookup = LOOKUP
        if found is not None and found.judged and found.verdict != "not for this kind of dish":
            value = float(found.governing + 1)
        sheet.formula(row, p.lead["place"], place, value, "work n0")

    def _defined(self, statement: str) -> dict[str, str]:
        """What an empty rule means in each set: not for this kind of dish, or no such statement."""
        def has(rule_set: str, r: Rule) -> bool:
            return r.rule_set == rule_set and r.statement == statement

        return {s: "not for this kind of dish" if any(has(s, r) for r in self.plan.ordered) else "not in this rule set" for s in SETS}

    def _set_cell(self) -> str:
        return a1(self.places.input, self.lay.col["r_water"], True, True)

    def _put_front(self, row: int, found: StatementResult | None, shown: bool) -> None:
        p, lay, sheet, w = self.places, self.lay, self.sheet, self.writer
        no, rule, place, code, verdict = a1(row, 0, fix_col=True), *(p.cell(k, row) for k in ("rule", "place", "judged", "verdict"))
        count = self.plan.slots[self.plan.statements[self._index(row)].id]
        con = f"INDEX({p.slots('con', row, count)},{place})"
        decisive = found.decisive if found else None
        known, most, flips = (f"INDEX({p.slots(k, row, count)},{place})" for k in ("known", "most", "flips"))
        q_name = f'IF(INDEX(con_q,{con})=0,"",INDEX({w.range("decides")},INDEX(con_q,{con}))&"")'
        set_words = f'IF({self._set_cell()}={SETS.index(EU) + 1},INDEX(st_words_eu,{no})&"",INDEX(st_words_us,{no})&"")'
        plain = f'IF({set_words}="",INDEX(st_words_us,{no})&INDEX(st_words_eu,{no}),{set_words})'
        part = f'LEFT(INDEX(q_id,INDEX(con_q,{p.slot("con", row, 0)})),5)="part:"'
        food = f"INDEX({w.range('decides')},INDEX(con_q,{p.slot('con', row, 0)}))"
        short_food = f'LOWER(LEFT({food},FIND(",",{food}&",")-1))'
        words = f"={plain}"
        if self.plan.by_part(self.plan.statements[self._index(row)].id):
            words = f'=IF({rule}=0,{plain},IF({part},IF({food}="",{plain},SUBSTITUTE(INDEX(st_part,{no}),"{{food}}",{short_food})),{plain}))'
        sheet.formula(row, p.lead["words"], words, LOOKUP, "work")
        sheet.formula(row, lay.col["food"], f"={p.cell('words', row)}", LOOKUP, "calc flow")
        hidden = f'OR({rule}=0,{place}=0,{verdict}="-",{verdict}="mend the lines first",{verdict}="not for this kind of dish")'
        basis_state = f"INDEX({w.basis_range('state')},INDEX(con_b,{con}))"
        low_sign = f"INDEX(con_ceiling,{con})=1"
        shown_value = f"IF(AND({low_sign},{code}=1),{most},{known})"
        value: Value | _Lookup = LOOKUP
        visible = decisive is not None and found is not None and found.verdict != "not for this kind of dish"
        if visible and decisive is not None and not decisive.missing and found is not None and found.rule is not None:
            low = found.rule.conditions[found.governing].sign in ("<=", "<")
            value = decisive.most if low and found.code == 1 else decisive.value
            if self.plan.said(found.statement.id, found.governing) or (decisive.code == 1 and decisive.most == 0.0):
                value = LOOKUP  # nothing is measured, or the amount was not asked for
        sheet.formula(row, lay.col["amount"], f'=IF({hidden},"",IF(OR({basis_state}<>1,INDEX(con_q,{con})=0),"",{shown_value}))', value, "calc n2")
        sheet.formula(row, lay.col["basis"], f'=IF({hidden},"",INDEX(con_words,{con}))', LOOKUP, "calc small flow")
        what = f'INDEX(con_what,{con})&IF(INDEX(con_b,{con})=1,""," per "&INDEX(con_on,{con}))'
        sheet.formula(row, lay.col["unit"], f'=IF({hidden},"",{what})', LOOKUP, "calc small flow")
        sheet.formula(row, lay.col["treat"], f"={verdict}", LOOKUP, "calc bold flow")
        margin = f"ABS(INDEX(con_limit,{con})-{shown_value})"
        stepping = f"INDEX(con_steps,{con})=1"
        sheet.formula(row, lay.col["share"], f'=IF(OR({hidden},{code}=0),"",IF(OR({basis_state}<>1,{stepping}),"",{margin}))', LOOKUP, "calc n2")
        sheet.formula(row, lay.col["water"], f'=IF(OR({hidden},{code}=0),"",IF({flips}>=const_flips_never,"any",{flips}))', LOOKUP, "calc n0 right")
        sheet.formula(row, lay.col["grams"], f'=IF({rule}=0,"",INDEX(rule_section,{rule}))', LOOKUP, "calc small flow")
        sheet.formula(row, lay.col["dish"], f'=IF({rule}=0,"",INDEX(rule_status,{rule}))', LOOKUP, "calc small flow")
        mend = f"INDEX({w.basis_range('mend')},INDEX(con_b,{con}))"
        unknown = f'IF({basis_state}=0,{mend},IF({q_name}="","part of the ingredients is not known","not known for: "&{q_name}))'
        ids, texts, level = beside_cells(p)
        own = f"INDEX(rule_beside,{rule})"
        beside = f'IF({own}="","",IFERROR(INDEX({texts},MATCH({own},{ids},0)),""))'
        levels = f'IF({self._set_cell()}={SETS.index(US) + 1},{level},"")'
        glue = f'IF(AND({beside}<>"",{levels}<>"")," ","")'
        if shown:
            sheet.formula(row, p.lead["beside"], f'=IF({rule}=0,"",{beside}&{glue}&{levels})', LOOKUP, "work")
            holds = p.cell("beside", row)
        else:
            holds = '""'
        reason = (f'=IF({verdict}="holds",{holds},IF({verdict}="figures not confirmed","by remembered figures: "&IF({code}=1,"holds",IF({code}=0,"cannot be judged","fails"))&". Never printed.",'
                  f'IF({hidden},"",IF({code}=0,{unknown},IF({code}=-1,IF({stepping},INDEX(con_what,{con})&IF({q_name}="","",": "&{q_name}),"" ),"")))))')
        sheet.formula(row, lay.col["message"], reason, LOOKUP, "calc small flow")

    def _index(self, row: int) -> int:
        p = self.places
        return row - p.first if row <= p.last else self.plan.shown + row - p.level_first

    def _put_card_places(self, row: int) -> None:
        """Running numbers of what the card prints and of what it strikes out; the list of what holds."""
        p, sheet = self.places, self.sheet
        tick, verdict, words = (p.cell(k, row) for k in ("tick", "verdict", "words"))
        for key, test in (("shown", f'{verdict}="holds"'), ("struck", f'{verdict}<>"holds"')):
            above = f"{a1(p.head, p.lead[key], True, True)}:{a1(row - 1, p.lead[key], fix_col=True)}"
            sheet.formula(row, p.lead[key], f'=IF(AND({tick}=1,{test}),COUNT({above})+1,"")', LOOKUP, "work n0")
        before = "" if row == p.first else a1(row - 1, p.lead["list"], fix_col=True)
        if self.plan.statements[self._index(row)].kind == "light":  # another word for a statement that stands above
            sheet.formula(row, p.lead["list"], f"={before}", LOOKUP, "work")
            return
        joined = f'IF({verdict}="holds",{words},"")' if not before else f'{before}&IF({verdict}="holds",IF({before}="","","; ")&{words},"")'
        sheet.formula(row, p.lead["list"], f"={joined}", LOOKUP, "work")


def _letter(col: int) -> str:
    return a1(0, col)[:-1]


def _put_card(sheet: Sheet, lay: RecipeLayout, places: Places) -> None:
    """What the card prints and strikes out, in order, without gaps."""
    sheet.put(places.card, 0, "What the card prints of the ticked statements", "section")
    sheet.band(places.card, 0, lay.front_last, "section")
    sheet.put(places.card + 1, 0, "No.", "head")
    sheet.band(places.card + 1, 1, lay.front_last, "head")
    sheet.put(places.card + 1, lay.col["food"], "Printed, with the words beside it", "head")
    sheet.put(places.card + 1, lay.col["message"], "Struck out, with the reason", "head")
    first, last = places.first, places.last

    def column(key: str) -> str:
        return block(first, places.lead[key], last, places.lead[key])

    reason = block(first, lay.col["message"], last, lay.col["message"])
    for k in range(CARD_STATEMENTS):
        row = places.card_first + k
        sheet.put(row, 0, k + 1, "calc small centre")
        number = a1(row, 0, fix_col=True)
        at = f"MATCH({number},{column('shown')},0)"
        beside = f"INDEX({column('beside')},{at})"
        sheet.formula(row, lay.col["food"], f'=IF({number}>COUNT({column("shown")}),"",INDEX({column("words")},{at})&"."&IF({beside}="",""," "&{beside}))',
                      LOOKUP, "calc small flow")
        sheet.band(row, 1, 1, "calc")
        sheet.band(row, lay.col["amount"], lay.col["dish"], "calc")
        sheet.merges.append((row, lay.col["food"], row, lay.col["dish"]))
        at = f"MATCH({number},{column('struck')},0)"
        why = f"INDEX({reason},{at})"
        value, limit = (f"INDEX({block(first, lay.col[key], last, lay.col[key])},{at})" for key in ("amount", "basis"))
        figures = f'IF({value}="","",", "&{in_words(value, 2)}&" (needed: "&{limit}&")")'
        sheet.formula(row, lay.col["message"], f'=IF({number}>COUNT({column("struck")}),"",INDEX({column("words")},{at})&": "&INDEX({column("verdict")},{at})'
                      f'&IF({why}="",{figures},", "&{why}))', LOOKUP, "struck small flow")
        before = a1(row - 1, places.lead["list"], fix_col=True) if k else '""'
        here = lay.cell("message", row)
        sheet.formula(row, places.lead["list"], f'={before}&IF({here}="","",IF({before}="","","; ")&{here})', LOOKUP, "work")
        sheet.heights[row] = 26


def supported_cell(lay: RecipeLayout, plan: ClaimPlan) -> tuple[int, int]:
    """Row and column of the list of statements that hold."""
    places = Places(lay, plan)
    return places.last, places.lead["list"]
