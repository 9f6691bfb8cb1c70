"""The protein block of a recipe sheet: amino acids against patterns, corrected protein, the dish without a line."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.recipe import Recipe
from workbookgen.model.science import AMINO, AMINO_NAMES, AMINO_TAGS, amino_parts
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.protein import ProteinResult, protein_of_serving
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell
from workbookgen.workbook.science_cells import (
    put_choice,
    put_column,
    put_heads,
    put_number,
    put_text,
    put_title,
)
from workbookgen.workbook.science_inputs import choices_of
from workbookgen.workbook.science_layout import (
    INPUTS,
    PROTEIN_FIRST_2,
    PROTEIN_HEAD_2,
    PROTEIN_PATTERNS,
    PROTEIN_TEXT,
    TABLE_FIRST,
    TABLE_HEAD,
)
from workbookgen.workbook.texts import read_sections

#: Rows of the summary, counted from the first.
(S_TABLE, S_NITROGEN, S_COVERED, S_SCORE, S_LIMIT, S_COMPLETE, S_RULE, S_DIGEST, S_CORRECTED_SCORE, S_CORRECTED, S_DV,
 S_SOURCE) = range(12)
LABEL, VALUE, WORDS = "share", "dish", "message"


def corrected_cell(lay: RecipeLayout) -> str:
    """Cell with the corrected protein of one serving in g (21 CFR 101.9(c)(7)); a text where too little is known."""
    return lay.at(VALUE, lay.section["protein"] + TABLE_FIRST + S_CORRECTED)


def protein_dv_cell(lay: RecipeLayout) -> str:
    """Cell with the per cent Daily Value of protein from corrected protein; a text where it cannot be given."""
    return lay.at(VALUE, lay.section["protein"] + TABLE_FIRST + S_DV)


def corrected_score_cell(lay: RecipeLayout) -> str:
    """Cell with the corrected amino-acid score, cut at 1; "-" without protein."""
    return lay.at(VALUE, lay.section["protein"] + TABLE_FIRST + S_CORRECTED_SCORE)


def pattern_cell(lay: RecipeLayout) -> str:
    """Cell with the number of the pattern shown."""
    return lay.at("r_food", lay.section["protein"] + INPUTS)


def put_protein(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, recipe: Recipe | None,
                analysis: Analysis | None) -> None:
    """Lay out the block and its working columns; nothing without the tables behind it."""
    science = kitchen.tables.science
    if not science.patterns:
        return
    wanted = choices_of(recipe).get("protein_pattern", "")
    chosen = next((p for p in science.patterns if wanted in (p.id, p.name)), None)
    result = protein_of_serving(kitchen, analysis, chosen.id if chosen else None) if analysis else None
    top = put_title(sheet, lay, "protein", "Protein: amino acids against reference patterns")
    default = science.pattern_no("default") + 1
    x = put_choice(sheet, lay, top, "food", "Pattern", chosen.name if chosen else "", "empty: FAO 2013, from 3 y and adults",
                   "pattern_name")
    put_number(sheet, lay, top + INPUTS, "r_food", x, "pattern_name", 'MATCH("default",pattern_use,0)',
               float(science.patterns.index(chosen) + 1 if chosen else default))
    _put_lines(sheet, lay, result)
    _put_sums(sheet, lay, top, result)
    _put_amino(sheet, lay, top, result)
    _put_summary(sheet, lay, top, kitchen, result)
    _put_patterns(sheet, lay, top, kitchen, result)
    _put_without(sheet, lay, top)
    for i, text in enumerate(dict(read_sections("science.md"))["protein"]):
        put_text(sheet, lay, top + PROTEIN_TEXT + i, text)


def _sum_of(lay: RecipeLayout, row: int, amino: str) -> str:
    """Grams of a pattern's amino acid on one line."""
    return "+".join(lay.cell("n_" + tag, row) for tag in amino_parts(amino))


def _put_lines(sheet: Sheet, lay: RecipeLayout, result: ProteinResult | None) -> None:
    rows = list(range(FIRST_LINE, FIRST_LINE + lay.lines))

    def values(name: str) -> list[Value | _Lookup]:
        if result is None:
            return [LOOKUP] * lay.lines
        return [getattr(result.lines[i], name) if i < len(result.lines) else 0.0 for i in range(lay.lines)]

    factor = "INDEX(food_nfactor,{srow})"
    known = "AND(" + ",".join(f"ISNUMBER({{n_{tag}}})" for tag in AMINO_TAGS) + ")"
    digest = "INDEX(food_digest,{srow})"
    for key, name, head, text in (
        ("p_all", "nitrogen", "Protein as N x 6.25, g",
         f"=IF(ISNUMBER({{n_PROCNT}}),IF(ISNUMBER({factor}),IF({factor}>0,{{n_PROCNT}}*const_protein_factor/{factor},{{n_PROCNT}}),"
         "{n_PROCNT}),0)"),
        ("p_ref", "reference", "of it with known amino acids, g", f"=IF({known},{{p_all}},0)"),
        ("p_digest", "digested", "of it digested, g",
         f"=IF({{p_ref}}=0,0,{{p_ref}}*IF(ISNUMBER({digest}),{digest},const_protein_digestibility_floor)/100)"),
        ("p_known", "published", "with published digestibility, g", f"=IF({{p_ref}}=0,0,IF(ISNUMBER({digest}),{{p_ref}},0))"),
    ):
        keys = ("srow", "n_PROCNT", "p_all", "p_ref", *("n_" + tag for tag in AMINO_TAGS))
        cells = [{k: lay.cell(k, row) for k in keys} for row in rows]
        put_column(sheet, lay, key, head, [text.format(**c) for c in cells], values(name), "work n2")
    _put_without_columns(sheet, lay, rows, result)


def _put_without_columns(sheet: Sheet, lay: RecipeLayout, rows: list[int], result: ProteinResult | None) -> None:
    """Score of the dish without each line, and what limits it then."""
    top = lay.section["protein"]
    protein = lay.at("r_amount", top + INPUTS)
    pattern = pattern_cell(lay)
    formulas, limits = [], []
    for row in rows:
        own = lay.cell("p_ref", row)
        rest = f"({protein}-{own})"
        ratios = [f"({lay.at('r_unit', top + TABLE_FIRST + k)}-({_sum_of(lay, row, amino)})*1000)/{rest}/INDEX(pattern_{amino},{pattern})"
                  for k, amino in enumerate(AMINO)]
        guard = f"OR({own}=0,ROUND({rest},9)<=0)"
        formulas.append(f'=IF({guard},"",MIN({",".join(ratios)}))')
        least = lay.cell("p_without", row)
        words = '""'
        for amino, ratio in reversed(list(zip(AMINO, ratios, strict=True))):
            words = f'IF(ROUND({ratio}-{least},9)<=0,"{AMINO_NAMES[amino]}",{words})'
        limits.append(f'=IF(ISNUMBER({least}),{words},"")')
    stored: list[Value | _Lookup] = [LOOKUP] * lay.lines
    names: list[Value | _Lookup] = [LOOKUP] * lay.lines
    if result is not None:
        found = [*result.without, *[(None, "")] * lay.lines][: lay.lines]
        stored = ["" if value is None else value for value, _ in found]
        names = [AMINO_NAMES.get(limit, "") for _, limit in found]
    put_column(sheet, lay, "p_without", "Score without this line", formulas, stored, "work n2")
    put_column(sheet, lay, "p_limits", "Limits then", limits, names, "work")


def _put_sums(sheet: Sheet, lay: RecipeLayout, top: int, result: ProteinResult | None) -> None:
    """Covered protein of the dish (g), in a working cell of the input row."""
    sheet.formula(top + INPUTS, lay.col["r_amount"], f"=SUM({lay.column('p_ref')})",
                  sum(x.reference for x in result.lines) if result else LOOKUP, "work n2")


def _put_amino(sheet: Sheet, lay: RecipeLayout, top: int, result: ProteinResult | None) -> None:
    """Amino acids per g of protein, the chosen pattern, their ratio."""
    put_heads(sheet, lay, top + TABLE_HEAD, (("food", "Amino acid"), ("amount", "mg per g protein"), ("unit", "Pattern, mg per g"),
                                             ("basis", "Ratio"), ("treat", "Reaches the pattern?")))
    protein, pattern = lay.at("r_amount", top + INPUTS), pattern_cell(lay)
    for k, amino in enumerate(AMINO):
        row = top + TABLE_FIRST + k
        sums = "+".join(f"SUMIF({lay.column('p_ref')},\">0\",{lay.column('n_' + tag)})" for tag in amino_parts(amino))
        mg = sum(x.amino[amino] for x in result.lines if x.reference > 0) if result else LOOKUP
        sheet.put(row, 0, k + 1, "calc small centre")
        sheet.put(row, 1, "", "calc")
        sheet.formula(row, lay.col["r_unit"], f"=({sums})*1000", mg, "work n1")
        sheet.put(row, lay.col["food"], AMINO_NAMES[amino], "calc small")
        sheet.formula(row, lay.col["amount"], f"=IF({protein}=0,0,{lay.cell('r_unit', row)}/{protein})",
                      result.mg_per_g[amino] if result else LOOKUP, "calc n1")
        sheet.formula(row, lay.col["unit"], f"=INDEX(pattern_{amino},{pattern})", LOOKUP, "calc n1")
        ratio = result.chosen.ratios.get(amino, 0.0) if result else LOOKUP
        sheet.formula(row, lay.col["basis"], f"={lay.cell('amount', row)}/{lay.cell('unit', row)}", ratio, "calc n2 bold")
        sheet.formula(row, lay.col["treat"], f'=IF({protein}=0,"-",IF(ROUND({lay.cell("basis", row)},9)>=1,"yes","no"))', LOOKUP,
                      "calc small")


def _put_summary(sheet: Sheet, lay: RecipeLayout, top: int, kitchen: Kitchen, result: ProteinResult | None) -> None:
    """Score, limiting amino acid, complete or not, corrected protein."""
    put_heads(sheet, lay, top + TABLE_HEAD, ((LABEL, "Summary of one serving"), (VALUE, "Value"), (WORDS, "In words")))
    sheet.merges.append((top + TABLE_HEAD, lay.col[LABEL], top + TABLE_HEAD, lay.col["grams"]))
    first = top + TABLE_FIRST
    at = [lay.at(VALUE, first + i) for i in range(12)]
    servings, protein = servings_cell(lay), lay.at("r_amount", top + INPUTS)
    ratios = block(first, lay.col["basis"], first + len(AMINO) - 1, lay.col["basis"])
    rule = 'MATCH("regulation",pattern_use,0)'
    rule_ratios = ",".join(f"{lay.at('amount', first + k)}/INDEX(pattern_{a},{rule})" for k, a in enumerate(AMINO))
    everything, digested, published = (f"SUM({lay.column(k)})" for k in ("p_all", "p_digest", "p_known"))
    enough = f"ROUND({at[S_COVERED]}*100,9)>=const_protein_covered_min"
    pro_no = [n.tag for n in lay.nutrients].index("PROCNT") + 1
    dv = f"INDEX(nut_dv,{pro_no})"
    r = result
    too_little = '"not enough data"'
    names = "amino_name"
    none = r is not None and r.chosen.score is None
    rows: tuple[tuple[str, str, Value | None, str, str], ...] = (
        ("Protein as the food table gives it, g", f"=IF({servings}=0,0,{lay.at('n_PROCNT', lay.total)}/{servings})",
         r.serving_g if r else None, "n1", '=""'),
        ("Protein as nitrogen x 6.25, g", f"=IF({servings}=0,0,{everything}/{servings})", r.reference_g if r else None, "n1", '=""'),
        ("Protein with known amino acids", f"=IF({everything}=0,0,{protein}/{everything})", r.covered if r else None, "share",
         f'=IF({enough},"","not enough data: see the rule below")'),
        ("Amino-acid score, chosen pattern", f'=IF({protein}=0,"-",MIN({ratios}))',
         ("-" if none else r.chosen.score) if r else None, "n2", '="from 1 on every amino acid reaches it"'),
        ("Limiting amino acid", f'=IF({protein}=0,"-",INDEX({names},MATCH({at[S_SCORE]},{ratios},0)))',
         ("-" if none else AMINO_NAMES[r.chosen.limiting]) if r else None, "words", ""),
        ("Complete?", f'=IF({protein}=0,"-",IF({enough},IF(ROUND({at[S_SCORE]},9)>=1,"complete","not complete"),{too_little}))',
         r.complete if r else None, "words", ""),
        ("Score, FAO/WHO 1991", f'=IF({protein}=0,"-",MIN({rule_ratios}))',
         ("-" if r.regulation.score is None else r.regulation.score) if r else None, "n2", '="the pattern of 21 CFR 101.9(c)(7)"'),
        ("Digestibility, weighted by protein", f'=IF({protein}=0,"-",{digested}/{protein})',
         ("-" if r.digestibility is None else r.digestibility) if r else None, "share",
         f'=IF({protein}=0,"",ROUND(ROUND({published}/{protein}*100,9),0)&" % of it published")'),
        ("Corrected score, cut at 1", f'=IF({protein}=0,"-",MIN(1,{at[S_RULE]}*{at[S_DIGEST]}))',
         ("-" if r.corrected_score is None else r.corrected_score) if r else None, "n2",
         f'=IF({protein}=0,"",IF(ROUND({at[S_CORRECTED_SCORE]},9)<const_protein_source_min,"not a significant source of protein",""))'),
        ("Corrected protein, g", f'=IF({protein}=0,"-",IF(OR({enough}=FALSE,{servings}=0),"-",{at[S_CORRECTED_SCORE]}*{protein}/{servings}))',
         ("-" if r.corrected_g is None else r.corrected_g) if r else None, "n1 bold",
         f'=IF({enough},"counts protein with known acids only",{too_little})'),
        ("% DV of protein, from corrected protein", f'=IF(AND(ISNUMBER({at[S_CORRECTED]}),ISNUMBER({dv})),{at[S_CORRECTED]}/{dv}*100,"-")',
         ("-" if r.dv_pct is None else r.dv_pct) if r else None, "n0 bold", '="for label panels and statements"'),
        ("Missed most: without which line?", f"=MIN({lay.column('p_without')})", None, "n2",
         f'=IF(COUNT({lay.column("p_without")})=0,"",INDEX({lay.column("r_food")},MATCH(MIN({lay.column("p_without")}),'
         f'{lay.column("p_without")},0)))'),
    )
    for i, (label, formula, value, style, words) in enumerate(rows):
        row = first + i
        sheet.put(row, lay.col[LABEL], label, "calc small")
        for key in ("water", "grams"):
            sheet.put(row, lay.col[key], "", "calc")
        sheet.merges.append((row, lay.col[LABEL], row, lay.col["grams"]))
        stored = LOOKUP if value is None else value
        if style == "words":  # too long for the value column
            sheet.put(row, lay.col[VALUE], "", "calc")
            sheet.formula(row, lay.col[WORDS], formula, stored, "calc small bold flow")
        else:
            sheet.formula(row, lay.col[VALUE], formula, stored, f"calc {style} right")
            sheet.formula(row, lay.col[WORDS], words, LOOKUP, "calc small flow")
        sheet.heights[row] = 20


def _put_patterns(sheet: Sheet, lay: RecipeLayout, top: int, kitchen: Kitchen, result: ProteinResult | None) -> None:
    """Score against every pattern of the table."""
    put_heads(sheet, lay, top + PROTEIN_HEAD_2, (("food", "Against every pattern"), ("amount", "Score"), ("unit", "Every one reached?")))
    protein = lay.at("r_amount", top + INPUTS)
    for k in range(min(PROTEIN_PATTERNS, len(kitchen.tables.science.patterns))):
        row = top + PROTEIN_FIRST_2 + k
        found = result.scores[k] if result else None
        ratios = ",".join(f"{lay.at('amount', top + TABLE_FIRST + i)}/INDEX(pattern_{a},{k + 1})" for i, a in enumerate(AMINO))
        sheet.put(row, 0, k + 1, "calc small centre")
        sheet.put(row, 1, "", "calc")
        sheet.formula(row, lay.col["food"], f"=INDEX(pattern_name,{k + 1})", LOOKUP, "calc small")
        value: Value | _Lookup = LOOKUP
        if found is not None:
            value = "-" if found.score is None else found.score
        sheet.formula(row, lay.col["amount"], f'=IF({protein}=0,"-",MIN({ratios}))', value, "calc n2")
        here = lay.cell("amount", row)
        sheet.formula(row, lay.col["unit"], f'=IF(ISTEXT({here}),"-",IF(ROUND({here},9)>=1,"yes","no"))', LOOKUP, "calc small")


def _put_without(sheet: Sheet, lay: RecipeLayout, top: int) -> None:
    """The lines that bring most protein: their share and the score of the dish without them."""
    put_heads(sheet, lay, top + PROTEIN_HEAD_2, (("treat", "Without one ingredient"), ("share", "Protein, %"), ("water", "Score without"),
                                                 ("message", "Limits then")))
    sheet.put(top + PROTEIN_HEAD_2, lay.col["grams"], "", "head")
    sheet.put(top + PROTEIN_HEAD_2, lay.col["dish"], "", "head")
    shares, numbers = lay.column("p_ref"), lay.column("no")
    protein = lay.at("r_amount", top + INPUTS)
    after = f"(ROWS({numbers})+1-{numbers})"
    picked: list[str] = []
    for m in range(PROTEIN_PATTERNS):
        row = top + PROTEIN_FIRST_2 + m
        rank = a1(row, 0, fix_col=True)
        sheet.put(row, 0, m + 1, "calc small centre")
        sheet.formula(row, lay.col["r_amount"], f'=IF(COUNTIF({shares},">0")<{rank},0,LARGE({shares},{rank}))', LOOKUP, "work n2")
        value, line = lay.at("r_amount", row), lay.at("r_unit", row)
        others = "".join(f"*({numbers}<>{p})" for p in picked)
        sheet.formula(row, lay.col["r_unit"], f"=IF({value}=0,0,ROWS({numbers})+1-SUMPRODUCT(MAX(({shares}={value}){others}*{after})))",
                      LOOKUP, "work n0")
        picked.append(line)
        sheet.formula(row, lay.col["treat"], f'=IF({line}=0,"",INDEX({lay.column("r_food")},{line}))', LOOKUP, "calc small flow")
        sheet.formula(row, lay.col["share"], f'=IF({line}=0,"",{value}/{protein}*100)', LOOKUP, "calc n0")
        sheet.formula(row, lay.col["water"], f'=IF({line}=0,"",INDEX({lay.column("p_without")},{line}))', LOOKUP, "calc n2")
        sheet.put(row, lay.col["grams"], "", "calc")
        sheet.put(row, lay.col["dish"], "", "calc")
        sheet.formula(row, lay.col["message"], f'=IF({line}=0,"",INDEX({lay.column("p_limits")},{line})&"")', LOOKUP, "calc small")
        sheet.heights[row] = 24
