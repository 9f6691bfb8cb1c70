"""What each line of a recipe sheet says about allergens, diet and cautions, and the sums of it.

Working beneath and beside the ingredient lines; nothing here is shown on the front.
"""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.model.safety import Safety
from workbookgen.nutrition.cautions import CautionReport, TriggerResult
from workbookgen.nutrition.markers import UNKNOWN_SHOWN, UNKNOWN_WORD, line_counts
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.handout_layout import MARK_COLUMNS, Handout
from workbookgen.workbook.recipe_layout import FIRST_LINE, HEAD_ROW, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell

LONGEST_FORMULA = 8000
NO_FOOD = "(no food chosen)"


def put_marks(sheet: Sheet, h: Handout, analysis: Analysis | None, report: CautionReport | None) -> None:
    """Lay out the working columns, the sums beneath them and the triggers of the cautions.

    Raises BadInput for a recipe with more lines than one formula can read.
    """
    lay = h.lay
    for key, head, _, _ in MARK_COLUMNS:
        sheet.put(HEAD_ROW, lay.col[key], head, "workhead")
    sheet.put(HEAD_ROW - 1, lay.col["a_counts"], "Allergens and cautions of each line", "label")
    for i in range(lay.lines):
        _put_line(sheet, h, FIRST_LINE + i, i, analysis)
    _put_joined(sheet, h)
    _put_kinds(sheet, h)
    _put_words(sheet, h)
    _put_triggers(sheet, h, report)


def check_length(formula: str, lines: int) -> str:
    """The formula itself; raises BadInput when a recipe has too many lines for it."""
    if len(formula) > LONGEST_FORMULA:
        raise BadInput(
            f"a recipe with {lines} lines", "is too long for the lists of names; split it into two recipes"
        )
    return formula


def _put_line(sheet: Sheet, h: Handout, row: int, i: int, analysis: Analysis | None) -> None:
    lay, safety = h.lay, h.safety
    c = {key: lay.cell(key, row) for key in ("r_food", "problem", "r_count", "r_mark", "row", "r_treat")}
    counts, marks = lay.cell("a_counts", row), lay.cell("a_marks", row)
    food = c["row"]
    mine: Value = 0
    if analysis and i < len(analysis.lines):
        mine = int(line_counts(analysis.lines[i].line))

    def text(name: str, empty: str, full: str) -> str:
        """A food's text from Foods; a food that is not found or says nothing counts as ``empty``."""
        return (
            f'=IF({counts}=0,"",IF({food}=0,{empty},IF(INDEX({name},{food})&""="",{empty},'
            f"{full.format(x=f'INDEX({name},{food})')})))"
        )

    caution = (
        f'IF(LEFT({{x}},1)="<",{{x}},"<"&SUBSTITUTE({{x}},";","><")&">"&IF({c["r_treat"]}="none",'
        '"<"&SUBSTITUTE({x},";","!><")&"!>",""))'
    )
    asks = "+".join(
        f"ISNUMBER(FIND(INDEX(alg_ask,{k}),{marks}))*{h.cell('r_share', h.allergen_first + k - 1)}"
        for k in range(1, len(safety.allergens) + 1)
    )
    formulas: tuple[tuple[str, str, Value | None], ...] = (
        (
            "a_counts",
            f'=IF(AND({c["r_food"]}="",{c["problem"]}=""),0,IF(AND({c["r_count"]}=0,{c["r_mark"]}=""),0,1))',
            mine if analysis else None,
        ),
        (
            "a_name",
            f'=IF({counts}=0,"","; "&IF({food}>0,INDEX(food_name,{food}),IF({c["r_food"]}="","{NO_FOOD}",'
            f"{c['r_food']})))",
            None,
        ),
        ("a_marks", text("food_alg", "alg_all", 'SUBSTITUTE(SUBSTITUTE({x},"?*;",alg_all),"(",";(")'), None),
        ("a_diet", text("food_diet", '"<?>"', '"<"&SUBSTITUTE(SUBSTITUTE({x}," ",""),";","><")&">"'), None),
        ("a_caution", text("food_caution", '"<?>"', caution), None),
        ("a_ask", f"=IF({counts}=0,0,IF({asks}>0,1,0))", None),
    )
    for key, formula, value in formulas:
        style = "work n0" if key in ("a_counts", "a_ask") else "work"
        sheet.formula(row, lay.col[key], formula, LOOKUP if value is None else value, style)


def _put_joined(sheet: Sheet, h: Handout) -> None:
    """All lines together: how many count, and their marks in one text each."""
    lay = h.lay
    sheet.formula(h.joined, lay.col["a_counts"], f"=SUM({lay.column('a_counts')})", LOOKUP, "work bold n0")
    sheet.put(h.joined, lay.col["a_name"], "all lines", "work bold")
    for key in ("a_marks", "a_diet", "a_caution"):
        cells = "&".join(a1(FIRST_LINE + i, lay.col[key]) for i in range(lay.lines))
        sheet.formula(h.joined, lay.col[key], check_length(f"={cells}", lay.lines), LOOKUP, "work")


def times(key: str, text: str) -> str:
    """Formula piece: how often the text in ``key`` stands in ``text``."""
    return f'(LEN({text})-LEN(SUBSTITUTE({text},{key},"")))/LEN({key})'


def _put_kinds(sheet: Sheet, h: Handout) -> None:
    """Kinds of nuts, fish, crustaceans and cereals found, gathered per allergen."""
    lay = h.lay
    _heads(
        sheet,
        h,
        h.kind_first - 2,
        "Kinds found",
        {
            "a_counts": "No.",
            "a_name": "Allergen",
            "a_marks": "Mark",
            "a_diet": "Kind",
            "a_caution": "Found up to here",
            "a_ask": "Times",
        },
    )
    for k in range(len(h.safety.kinds)):
        row = h.kind_first + k
        no, found, before = (
            lay.cell("a_counts", row),
            lay.cell("a_ask", row),
            a1(row - 1, lay.col["a_caution"]),
        )
        sheet.put(row, lay.col["a_counts"], k + 1, "work n0")
        sheet.formula(
            row, lay.col["a_name"], f"=INDEX(kind_allergen,{no})", h.safety.kinds[k].allergen, "work"
        )
        sheet.formula(row, lay.col["a_marks"], f"=INDEX(kind_key,{no})", LOOKUP, "work")
        sheet.formula(row, lay.col["a_diet"], f"=INDEX(kind_shown,{no})", h.safety.kinds[k].shown, "work")
        sheet.formula(
            row, lay.col["a_ask"], f"={times(lay.cell('a_marks', row), h.all_marks)}", LOOKUP, "work n0"
        )
        sheet.formula(
            row,
            lay.col["a_caution"],
            f'=IF(INDEX(kind_first,{no})=1,"",{before})&IF({found}>0,", "&{lay.cell("a_diet", row)},"")',
            LOOKUP,
            "work",
        )


def _put_words(sheet: Sheet, h: Handout) -> None:
    """Words of the diet column found; the last row counts what nobody knows."""
    lay = h.lay
    _heads(
        sheet,
        h,
        h.word_first - 2,
        "Made from",
        {"a_counts": "No.", "a_name": "Word", "a_marks": "Mark", "a_ask": "Times"},
    )
    for k, word in enumerate(h.safety.diet_words):
        row = h.word_first + k
        no, mark = lay.cell("a_counts", row), lay.cell("a_marks", row)
        sheet.put(row, lay.col["a_counts"], k + 1, "work n0")
        sheet.formula(
            row,
            lay.col["a_name"],
            f"=INDEX(diet_word,{no})",
            UNKNOWN_SHOWN if word == UNKNOWN_WORD else word,
            "work",
        )
        sheet.formula(row, lay.col["a_marks"], f"=INDEX(diet_key,{no})", LOOKUP, "work")
        count = times(mark, h.all_diet)
        if row == h.word_last:
            above = block(h.word_first, lay.col["a_ask"], row - 1, lay.col["a_ask"])
            count = f'LEN({h.all_diet})-LEN(SUBSTITUTE({h.all_diet},"<",""))-SUM({above})'
        sheet.formula(row, lay.col["a_ask"], f"={count}", LOOKUP, "work n0")


def _put_triggers(sheet: Sheet, h: Handout, report: CautionReport | None) -> None:
    """Each trigger: figure or lines, whether it fires, what to say; gathered per caution."""
    lay = h.lay
    _heads(
        sheet,
        h,
        h.trigger_first - 2,
        "What sets cautions off",
        {
            "a_counts": "No.",
            "a_name": "Key",
            "a_marks": "Times found, or figure of one serving",
            "a_diet": "Compared with the limit",
            "a_caution": "Words",
            "a_ask": "Fires (1 = yes, ? = open)",
            "a_w1": "Fired up to here",
            "a_w2": "Open up to here",
            "a_w3": "Words up to here",
        },
    )
    results = [r for c in report.cautions for r in c.triggers] if report else []
    for k, trigger in enumerate(h.safety.triggers):
        row = h.trigger_first + k
        result = results[k] if report else None
        sheet.put(row, lay.col["a_counts"], k + 1, "work n0")
        no, fires, words = (lay.cell(key, row) for key in ("a_counts", "a_ask", "a_caution"))
        sheet.formula(row, lay.col["a_name"], f'=INDEX(trig_key,{no})&""', LOOKUP, "work")
        (_put_figure if trigger.of_nutrient else _put_mark)(sheet, h, row, result)
        for key, add in (("a_w1", f"IF({fires}=1,1,0)"), ("a_w2", f'IF({fires}="?",1,0)')):
            before = a1(row - 1, lay.col[key])
            sheet.formula(
                row, lay.col[key], f"=IF(INDEX(trig_first,{no})=1,0,{before})+{add}", LOOKUP, "work n0"
            )
        before = a1(row - 1, lay.col["a_w3"])
        sheet.formula(
            row,
            lay.col["a_w3"],
            f'=IF(INDEX(trig_first,{no})=1,"",{before})&IF({fires}=1,"; "&{words},"")',
            LOOKUP,
            "work",
        )


def _fires(result: TriggerResult | None) -> Value | None:
    if result is None:
        return None
    return "?" if result.fires is None else int(result.fires)


def _put_mark(sheet: Sheet, h: Handout, row: int, result: TriggerResult | None) -> None:
    """A trigger that looks for a mark on the lines."""
    lay = h.lay
    key, found = lay.cell("a_name", row), lay.cell("a_marks", row)
    names = check_length(f'=IF({found}=0,"",MID({h.names_with(key, "a_caution")},3,1000))', lay.lines)

    def put(column: str, formula: str, value: Value | None, style: str) -> None:
        sheet.formula(row, lay.col[column], formula, LOOKUP if value is None else value, style)

    put("a_marks", f"={times(key, h.all_cautions)}", None, "work n0")
    put("a_diet", f"={found}", None, "work n0")
    put("a_ask", f"=IF({found}>0,1,0)", _fires(result), "work n0")
    put("a_caution", names, result.words if result else None, "work")


def _put_figure(sheet: Sheet, h: Handout, row: int, result: TriggerResult | None) -> None:
    """A trigger that compares a figure of one serving with a limit, guarded against binary noise."""
    lay = h.lay
    no, value, measure = (lay.cell(key, row) for key in ("a_counts", "a_marks", "a_diet"))
    first, last = (lay.col["n_" + n.tag] for n in (lay.nutrients[0], lay.nutrients[-1]))
    totals, covers = (block(r, first, r, last) for r in (lay.total, lay.cover))
    servings, dry, bad = servings_cell(lay), lay.at("dry", lay.total), lay.at("bad", lay.total)
    nut, sign, per, scale = (f"INDEX(trig_{n},{no})" for n in ("nut", "sign", "per", "scale"))
    none = f"OR({servings}=0,{dry}=0)"
    short = f"OR(ROUND(INDEX({covers},{nut}),9)<1,{bad}>0)"
    v, limit = f"ROUND({measure},9)", f"ROUND(INDEX(trig_limit,{no}),9)"
    hit = f'IF({sign}=">",{v}>{limit},IF({sign}=">=",{v}>={limit},{v}<={limit}))'
    fires = f'=IF({none},0,IF({sign}="<=",IF({hit},IF({short},"?",1),0),IF({hit},1,IF({short},"?",0))))'
    unit = f"INDEX(nut_unit,{nut})"
    words = (
        f'=IF({none},"",INDEX(trig_name,{no})&" "&IF({short},"at least ","")'
        f'&ROUND(ROUND({value}*{scale},9),0)/{scale}&" "&{unit}&IF(ISNUMBER({per}),'
        f'" ("&ROUND(ROUND({measure},9),0)&" % of "&ROUND(ROUND({per},9),0)&" "&{unit}&")",""))'
    )
    serving = None if result is None else _serving(result)

    def put(column: str, formula: str, core: Value | None, style: str) -> None:
        sheet.formula(row, lay.col[column], formula, LOOKUP if core is None else core, style)

    put("a_marks", f"=IF({servings}=0,0,INDEX({totals},{nut})/{servings})", serving, "work n2")
    put(
        "a_diet",
        f"=IF(ISNUMBER({per}),{value}/{per}*100,{value})",
        result.value if result else None,
        "work n2",
    )
    put("a_ask", fires, _fires(result), "work n0")
    put("a_caution", words, result.words if result else None, "work")


def _serving(result: TriggerResult) -> float:
    share = result.trigger.kind == "share"
    return result.value * result.trigger.per / 100 if share else result.value


def _heads(sheet: Sheet, h: Handout, row: int, title: str, heads: dict[str, str]) -> None:
    sheet.put(row - 1, h.lay.col["a_counts"], title, "label")
    for key, head in heads.items():
        sheet.put(row, h.lay.col[key], head, "workhead")


def kinds_of(h: Handout, number: str, found: str) -> str:
    """Formula: kinds found of the allergen with this row number, "kind not named" where one is not told."""
    counts = h.rows("a_ask", h.kind_first, h.kind_last)
    of = f"({h.rows('a_name', h.kind_first, h.kind_last)}=INDEX(alg_id,{number}))"
    last = f"INDEX(alg_kinds,{number})"
    gathered = f"INDEX({h.rows('a_caution', h.kind_first, h.kind_last)},MAX(1,{last}))"
    unnamed = f'IF({found}>SUMPRODUCT({of}*{counts}),", kind not named","")'
    return f'=IF({last}=0,"",MID({gathered}&{unnamed},3,500))'


def layout_of(lay: RecipeLayout, safety: Safety) -> Handout | None:
    """Where the handout blocks stand; None when no rules are loaded."""
    return Handout(lay, safety) if safety.allergens else None
