"""Working of the statements on a recipe sheet: flags and bounds per line, quantities, amounts they refer to."""

from __future__ import annotations

from dataclasses import dataclass

from workbookgen.model.analysis import LineResult
from workbookgen.model.claims import BASES, Quantity
from workbookgen.nutrition.claims import Verdicts
from workbookgen.nutrition.claims_measures import (
    ENERGY,
    FATTY_ACIDS,
    Dish,
    Measured,
    basis_of,
    flag_of,
    line_equivalents,
    measure,
)
from workbookgen.nutrition.dish import DISH_GROUP
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.totals import DRAINED_TAGS
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.claims_plan import BASIS_WORDS
from workbookgen.workbook.recipe_layout import FIRST_LINE, HEAD_ROW, RecipeLayout
from workbookgen.workbook.recipe_protein import S_COVERED, corrected_cell
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.science_layout import TABLE_FIRST
from workbookgen.workbook.statements_layout import BOUND_TAGS, FLAGS, STATEMENT_COLUMNS, Places


@dataclass(frozen=True)
class Judged:
    """What the core found for a recipe, for stored values; None on an empty sheet."""

    dish: Dish
    verdicts: Verdicts

    @property
    def fge_basis(self) -> str:
        return "healthy amount" if self.verdicts.dish_word == "food" else "serving"


@dataclass(frozen=True)
class Facts:
    """Cells of the block on the dish that the working reads."""

    racc: str
    racc_no: str
    word: str
    kind: str
    density: str


def put_line_columns(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, judged: Judged | None) -> None:
    """Flags, food groups and upper bounds of each ingredient line."""
    lines = judged.dish.lines if judged else ()
    bounds = {tag: judged.dish.line_bounds(tag) for tag in BOUND_TAGS} if judged else {}
    for i in range(lay.lines):
        row = FIRST_LINE + i
        line = lines[i] if i < len(lines) else None
        _put_flags(sheet, lay, row, line, judged is not None)
        _put_equivalents(sheet, lay, row, kitchen, line, judged is not None)
        group = f"INDEX(food_group,{lay.cell('srow', row)})"
        sheet.formula(row, lay.col["gm"], f"=IF({lay.cell('row', row)}=0,ROWS(gmax_group),IFERROR(MATCH({group},gmax_group,0),ROWS(gmax_group)))",
                      LOOKUP, "work n0")
        for bound in kitchen.tables.claims.bounds:
            value: Value | _Lookup = LOOKUP
            if judged:
                value = bounds[bound.tag][i] if line is not None else 0.0
            sheet.formula(row, lay.col[f"ub_{bound.tag}"], _bound_formula(lay, row, bound.tag, bound.within), value, "work n2")
    for tag in BOUND_TAGS:
        total = sum(bounds[tag]) if judged else LOOKUP
        sheet.formula(lay.total, lay.col[f"ub_{tag}"], f"=SUM({lay.column(f'ub_{tag}')})", total, "work bold n2")


def _put_flags(sheet: Sheet, lay: RecipeLayout, row: int, line: LineResult | None, known: bool) -> None:
    food, grams = lay.cell("row", row), lay.cell("grams", row)
    dish = f'INDEX(food_group,{food})="{DISH_GROUP}"'
    formulas = {
        "salt": f'IF(INDEX(food_salt,{food})="","unknown",INDEX(food_salt,{food}))',
        "sugar": f'IF(INDEX(food_sweet,{food})="","unknown",INDEX(food_sweet,{food}))',
        "fat": f'IF({dish},"unknown",IF(INDEX(food_role,{food})="fat","yes","no"))',
        "meat": f'IF({dish},"unknown",IF(OR(INDEX(food_group,{food})="Meat",INDEX(food_group,{food})="Poultry"),"yes","no"))',
    }
    for flag in FLAGS:
        value: Value | _Lookup = LOOKUP
        if known:
            value = flag_of(line.food, flag) if line is not None and line.edible > 0 else ""
        sheet.formula(row, lay.col[f"fl_{flag}"], f'=IF(OR({food}=0,{grams}=0),"",{formulas[flag]})', value, "work")


def _put_equivalents(sheet: Sheet, lay: RecipeLayout, row: int, kitchen: Kitchen, line: LineResult | None, known: bool) -> None:
    food, grams, dish, hg = (lay.cell(key, row) for key in ("row", "grams", "dish", "hg"))
    group, amount = line_equivalents(kitchen, line) if line is not None else (0, None)
    key = f'INDEX(food_group,{food})&"|"&INDEX(food_role,{food})'
    sheet.formula(row, lay.col["hg"], f"=IF(OR({food}=0,{grams}=0),0,IFERROR(INDEX(hmap_no,MATCH({key},hmap_key,0)),0))",
                  float(group) if known else LOOKUP, "work n0")
    pair = f"INDEX(food_pair,{food})"

    def per(name: str) -> str:
        own, other = f"INDEX({name},{food})", f"INDEX({name},MAX({pair},1))"
        return (f'IF(ISNUMBER({own}),{grams}/{own},IF({pair}=0,"?",IF(ISNUMBER({other}),{dish}/{other},"?")))')

    whole = f"INDEX(food_whole,{food})"
    cups, ounces = per("food_cupeq"), per("food_ozeq")
    amounts = f'IF(INDEX(hg_unit,{hg})="cup",{cups},{ounces})'
    eq = f'IF({hg}=0,"",IF(INDEX(hg_whole,{hg})=1,IF(ISNUMBER({whole}),IF(ISNUMBER({amounts}),{amounts}*{whole}/100,"?"),"?"),{amounts}))'
    value: Value | _Lookup = LOOKUP
    if known:
        value = "" if not group else ("?" if amount is None else amount)
    sheet.formula(row, lay.col["eq"], f"={eq}", value, "work n2")


def _bound_formula(lay: RecipeLayout, row: int, tag: str, within: str) -> str:
    cell, sgrams, dry, gm = (lay.cell(key, row) for key in (f"n_{tag}", "sgrams", "dry", "gm"))
    srow = lay.cell("srow", row)
    most = f"INDEX(gmax_{tag},{gm})"
    if within:
        part = f"INDEX(food_{within},{srow})"
        most = f"IF(ISNUMBER({part}),MIN({most},{part}),{most})"
    own = f"INDEX(food_{tag},{srow})"
    unknown = f"{sgrams}/100*IF(ISNUMBER({own}),{own},{most})"
    partly = "0"
    if lay.dishes:
        first = "INDEX(dish_rank,1)"
        share = f"INDEX(dish_known_{tag},{srow}-{first}+1)"
        partly = f"IF({srow}>={first},IF(ROUND({share},9)<1,{sgrams}/100*INDEX(gmax_{tag},ROWS(gmax_group)),0),0)"
    return f'=IF(OR({sgrams}=0,{dry}=0),0,IF({cell}="?",{unknown},{partly}))'


class MeasureWriter:
    """Writes the quantities and amounts of one recipe sheet; `known`, `most` ... are the ranges conditions read."""

    def __init__(self, sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, places: Places, facts: Facts, judged: Judged | None) -> None:
        self.sheet, self.lay, self.kitchen, self.places, self.facts, self.judged = sheet, lay, kitchen, places, facts, judged
        self.bounded = {b.tag for b in kitchen.tables.claims.bounds}

    def range(self, key: str) -> str:
        first = self.places.q_first
        return block(first, self.places.q[key], first + len(self.places.plan.quantities) - 1, self.places.q[key])

    def basis_range(self, key: str) -> str:
        first = self.places.q_first
        return block(first, self.places.b[key], first + len(BASES) - 1, self.places.b[key])

    def total(self, tag: str) -> str:
        return self.lay.at(f"n_{tag}", self.lay.total)

    def cover(self, tag: str) -> str:
        return self.lay.at(f"n_{tag}", self.lay.cover)

    def put_bases(self) -> None:
        """Factor from the whole dish to each amount, whether it can be used, and what to mend."""
        p, f = self.places, self.facts
        servings, weight = servings_cell(self.lay), weight_cell(self.lay)
        for key, head in (("no", "No."), ("words", "Amount"), ("factor", "Part of the dish"), ("state", "1 use, 0 missing, 2 not asked"), ("mend", "What to mend")):
            self.sheet.put(p.head, p.b[key], head, "workhead")
        energy = self.total(ENERGY)
        no_kcal = f"OR(ROUND({self.cover(ENERGY)},9)<1,{energy}<=0)"
        usable = f"IF(OR({weight}=0,{f.racc}=0),0,1)"
        spoon = f"IF({f.racc_no}=0,FALSE,IF(ISNUMBER(INDEX(racc_ml,{f.racc_no})),INDEX(racc_ml,{f.racc_no})<={{ml}},FALSE))"
        small = f"OR({f.racc}<=const_small_racc_g,{spoon.format(ml='const_small_racc_ml')})"
        healthy = f"OR({f.racc}<=const_healthy_small_g,{spoon.format(ml='const_healthy_small_ml')})"
        formulas = {
            "none": ("1", "1", ""),
            "reference": (f"IF({weight}=0,0,{f.racc}/{weight})", usable, "type the reference amount"),
            "serving": (f"IF({servings}=0,0,1/{servings})", f"IF({servings}=0,0,1)", "type the servings"),
            "100 g": (f"IF({weight}=0,0,100/{weight})", f"IF({weight}=0,0,1)", ""),
            "100 mL": (f"IF({weight}=0,0,100*{f.density}/{weight})", f"IF(OR({weight}=0,{f.density}=0),0,1)", "weigh one cup of the dish"),
            "100 kcal": (f"IF({no_kcal},0,100/{energy})", f"IF({no_kcal},0,1)", "energy is not known for every ingredient"),
            "small 50 g": (f"IF({weight}=0,0,IF({small},const_small_basis_g/{weight},0))", f"IF(OR({weight}=0,{f.racc}=0),0,IF({small},1,2))",
                           "type the reference amount"),
            "healthy amount": (f"IF({weight}=0,0,IF({healthy},const_small_basis_g,{f.racc})/{weight})", usable, "type the reference amount"),
        }
        for i, name in enumerate(BASES):
            row = p.q_first + i
            factor, state, mend = formulas[name]
            found = basis_of(self.judged.dish, name) if self.judged else None
            self.sheet.put(row, p.b["no"], i + 1, "work n0")
            self.sheet.put(row, p.b["words"], BASIS_WORDS[name], "work")
            if name == "none":
                self.sheet.put(row, p.b["factor"], 1, "work n0")
                self.sheet.put(row, p.b["state"], 1, "work n0")
            else:
                value: Value | _Lookup = LOOKUP
                if found is not None and (found.state == 1 or name not in ("healthy amount", "small 50 g")):
                    value = found.factor
                self.sheet.formula(row, p.b["factor"], f"={factor}", value, "work general")
                self.sheet.formula(row, p.b["state"], f"={state}", float(found.state) if found else LOOKUP, "work n0")
            self.sheet.put(row, p.b["mend"], mend, "work")

    def put_healthy(self) -> None:
        """Equivalents by food group, and which groups reach a quarter or half of one on the amount asked."""
        p, lay = self.places, self.lay
        for key, head in (("no", "No."), ("words", "Food group (healthy)"), ("eq", "Equivalents in the dish"), ("quarter", "Reaches the lower share"), ("half", "Reaches the higher share")):
            self.sheet.put(p.hg_first - 1, p.hg[key], head, "workhead")
        totals = self.judged.dish.equivalents[0] if self.judged else ()
        amount = self.fge_factor()
        for i, group in enumerate(p.plan.rules.healthy_groups):
            row = p.hg_first + i
            self.sheet.put(row, p.hg["no"], i + 1, "work n0")
            self.sheet.put(row, p.hg["words"], group.name, "work")
            no, eq = a1(row, p.hg["no"], fix_col=True), a1(row, p.hg["eq"], fix_col=True)
            self.sheet.formula(row, p.hg["eq"], f"=SUMIF({lay.column('hg')},{no},{lay.column('eq')})/INDEX(hg_one,{no})",
                               totals[i] if self.judged else LOOKUP, "work n2")
            for key, quantity in (("quarter", "fge_quarter_groups"), ("half", "fge_half_groups")):
                share = f"INDEX(q_f1,{p.plan.quantity_number[quantity]})"
                self.sheet.formula(row, p.hg[key], f"=IF(ROUND({eq}*{amount},9)>={share},1,0)", LOOKUP, "work n0")

    def fge_factor(self) -> str:
        p = self.places
        serving = a1(p.q_first + BASES.index("serving"), p.b["factor"], True, True)
        healthy = a1(p.q_first + BASES.index("healthy amount"), p.b["factor"], True, True)
        return f'IF({self.facts.word}="food",{healthy},{serving})'

    def put_quantities(self) -> None:
        """Every quantity: known, at most, and what is doubtful about it."""
        p = self.places
        for key, head in (("no", "No."), ("words", "Quantity"), ("known", "Known, whole dish"), ("most", "With upper bounds"),
                          ("short", "Something unknown (1 = yes)"), ("open", "without upper bound"), ("loose", "Known may be too high"),
                          ("drained", "Drained fat counted"), ("decides", "Heaviest unknown food")):
            self.sheet.put(p.head, p.q[key], head, "workhead")
        for i, quantity in enumerate(p.plan.quantities):
            self._put_quantity(p.q_first + i, i + 1, quantity)

    def _measured(self, quantity: Quantity) -> Measured | None:
        if self.judged is None:
            return None
        return measure(self.judged.dish, quantity, self.judged.fge_basis)

    def _put_quantity(self, row: int, number: int, quantity: Quantity) -> None:
        p, sheet = self.places, self.sheet
        found = self._measured(quantity)
        cells = self._formulas(row, number, quantity)
        sheet.put(row, p.q["no"], number, "work n0")
        sheet.put(row, p.q["words"], quantity.words, "work")
        for key, attr in (("known", "known"), ("most", "most"), ("short", "short"), ("open", "open"), ("loose", "loose"), ("drained", "drained")):
            text = cells.get(key, "0")
            value = float(getattr(found, attr)) if found else LOOKUP
            style = "work general" if key in ("known", "most") else "work n0"
            if text == "0":
                sheet.put(row, p.q[key], 0, style)
            else:
                sheet.formula(row, p.q[key], f"={text}", value, style)
        if "decides" in cells:
            sheet.formula(row, p.q["decides"], f"={cells['decides']}", LOOKUP, "work")
        else:
            sheet.put(row, p.q["decides"], "", "work")

    def _formulas(self, row: int, number: int, quantity: Quantity) -> dict[str, str]:
        kind, lay, p = quantity.kind, self.lay, self.places
        if kind in ("sum", "energy share", "fat share"):
            return self._amount(row, number, quantity)
        if kind == "ingredients":
            column = lay.column(f"fl_{quantity.terms[0][0]}")
            unknown = f'COUNTIF({column},"unknown")'
            return {"known": f'COUNTIF({column},"yes")', "most": f'COUNTIF({column},"yes")+{unknown}', "short": f"IF({unknown}>0,1,0)",
                    "decides": f'IFERROR(INDEX({lay.column("r_food")},MATCH("yes",{column},0)),IFERROR(INDEX({lay.column("r_food")},MATCH("unknown",{column},0)),""))'}
        if kind == "roles":
            grams = "+".join(f'SUMIF({lay.column("erole")},"{role}",{lay.column("dish")})' for role, _ in quantity.terms)
            return {"known": grams, "most": a1(row, p.q["known"], fix_col=True)}
        if kind in ("equivalents", "equivalent groups"):
            key = {"equivalents": "eq", "equivalent groups": "quarter" if "quarter" in quantity.id else "half"}[kind]
            last = p.hg_first + len(p.plan.rules.healthy_groups) - 1
            short = f'IF(SUMPRODUCT(({lay.column("eq")}="?")*1)>0,1,0)'
            return {"known": f"SUM({block(p.hg_first, p.hg[key], last, p.hg[key])})", "most": a1(row, p.q["known"], fix_col=True),
                    "short": short, "open": short}
        if kind == "category":
            return {"known": f'IF({self.facts.racc_no}=MATCH("mixed_not_cup",racc_id,0),1,0)', "most": a1(row, p.q["known"], fix_col=True)}
        if kind == "part":
            return self._part(row, quantity.terms[0][0])
        return self._protein(row)

    def _short(self, tag: str) -> str:
        return f"ROUND({self.cover(tag)},9)<1"

    def _decides(self, tag: str) -> str:
        lay = self.lay
        column, dry, no = lay.column(f"n_{tag}"), lay.column("dry"), lay.column("no")
        heaviest = f'SUMPRODUCT(MAX(({column}="?")*{dry}))'
        after = f"ROWS({no})+1"
        return (f'IF({heaviest}=0,"",INDEX({lay.column("r_food")},{after}-SUMPRODUCT(MAX(({column}="?")*({dry}={heaviest})*({after}-{no})))))')

    def _amount(self, row: int, number: int, quantity: Quantity) -> dict[str, str]:
        plain = quantity.id in self.kitchen.nutrient_by_tag
        tags = [tag for tag, _ in quantity.terms]
        signs = [factor for _, factor in quantity.terms]

        def weighed(place: int, x: str) -> str:
            return x if signs[place] == 1.0 else f"INDEX(q_f{place + 1},{number})*{x}"

        known = "+".join(weighed(i, self.total(tag)) for i, tag in enumerate(tags))
        more = [weighed(i, self.lay.at(f"ub_{tag}", self.lay.total)) for i, tag in enumerate(tags) if tag in self.bounded and signs[i] > 0]
        short_tags = list(FATTY_ACIDS) if quantity.kind == "fat share" else tags + ([ENERGY] if quantity.kind == "energy share" else [])
        short = f"IF(OR({','.join(self._short(t) for t in short_tags)}),1,0)"
        open_tags = [t for t, s in quantity.terms if t not in self.bounded or s < 0]
        cells = {"short": short}
        if open_tags:
            cells["open"] = f"IF(OR({','.join(self._short(t) for t in open_tags)}),1,0)"
        if quantity.kind == "sum":
            if any(s < 0 for s in signs):
                negative = [t for t, s in quantity.terms if s < 0]
                cells["loose"] = f"IF(OR({','.join(self._short(t) for t in negative)}),1,0)"
            here = a1(row, self.places.q["known"], fix_col=True)
            cells |= {"known": known, "most": "+".join([here, *more])}
        else:
            whole = self.total(ENERGY) if quantity.kind == "energy share" else "+".join(self.total(t) for t in FATTY_ACIDS)
            cells |= {"known": f"IF({whole}<=0,0,({known})/({whole})*100)", "most": f"IF({whole}<=0,0,({'+'.join([known, *more])})/({whole})*100)",
                      "loose": short}
        if any(t in DRAINED_TAGS for t in tags):
            cells["drained"] = f"IF({self.lay.at('most', self.lay.total)}>0,1,0)"
        first = self._decides(tags[0])
        if len(tags) == 1 or not plain:
            cells["decides"] = first
        return cells

    def _part(self, row: int, tag: str) -> dict[str, str]:
        lay = self.lay
        column, dish, food = lay.column(f"n_{tag}"), lay.column("dish"), lay.column("row")
        none = f'COUNTIF({column},">0")=0'
        line = f"MATCH(MAX({column}),{column},0)"
        racc = f"INDEX(food_racc,INDEX({food},{line}))"
        missing = f"OR(INDEX({dish},{line})<=0,ISNUMBER({racc})=FALSE)"
        here = a1(row, self.places.q["known"], fix_col=True)
        short = f"IF({none},IF({self._short(tag)},1,0),IF({missing},1,0))"
        return {"known": f"IF({none},0,IF({missing},0,INDEX({column},{line})/INDEX({dish},{line})*{racc}))", "most": here,
                "short": short, "open": a1(row, self.places.q["short"], fix_col=True),
                "decides": f'IF({none},"",INDEX({lay.column("r_food")},{line}))'}

    def _protein(self, row: int) -> dict[str, str]:
        """Corrected protein where the protein block gives it; else the uncorrected figure, which may be too high."""
        lay = self.lay
        here = a1(row, self.places.q["known"], fix_col=True)
        raw, decides = self.total("PROCNT"), self._decides("PROCNT")
        if "protein" not in lay.section:
            short = f"IF({self._short('PROCNT')},1,0)"
            return {"known": raw, "most": here, "short": short, "open": short, "loose": "1", "decides": decides}
        corrected = corrected_cell(lay)
        covered = lay.at("dish", lay.section["protein"] + TABLE_FIRST + S_COVERED)
        short = f"IF(OR({self._short('PROCNT')},AND(ISNUMBER({corrected}),ROUND({covered},9)<1)),1,0)"
        return {"known": f"IF(ISNUMBER({corrected}),{corrected}*{servings_cell(lay)},{raw})", "most": here, "short": short, "open": short,
                "loose": f"IF(ISNUMBER({corrected}),0,1)", "decides": decides}


def head_columns(sheet: Sheet, lay: RecipeLayout) -> None:
    """Headings of the working columns of the ingredient lines."""
    for key, head, _, _ in STATEMENT_COLUMNS:
        sheet.put(HEAD_ROW, lay.col[key], head, "workhead")
    sheet.put(HEAD_ROW - 1, lay.col["fl_salt"], "For statements: flags, food groups, upper bounds of unknown values", "label")
