"""More about one serving: ratios with a published reading, colours, carotenoids; and the likely ranges."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.ranges import (
    LIKELY,
    NO_RANGE,
    RANGE_TAGS,
    TOO_FEW,
    RangeResult,
    deviations,
    range_of_serving,
)
from workbookgen.nutrition.serving_facts import (
    CAROTENOIDS,
    COLOURS,
    FACTS,
    NOT_ENOUGH,
    FactRule,
    colour_grams,
    serving_facts,
)
from workbookgen.workbook.book import LOOKUP, Sheet, Value, column_name
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.recipe_results import servings_cell, weight_cell
from workbookgen.workbook.science_cells import put_column, put_heads, put_title
from workbookgen.workbook.words import in_words


def _serving(lay: RecipeLayout, tag: str) -> str:
    """Amount of a nutrient in one serving; callers see to servings above 0."""
    return f"{lay.at('n_' + tag, lay.total)}/{servings_cell(lay)}"


def _energy_terms(lay: RecipeLayout) -> dict[str, str]:
    n = {tag: lay.at("n_" + tag, lay.total) for tag in ("PROCNT", "FAT", "CHOCDF", "FIBTG", "ALC")}
    return {
        "protein": f"{n['PROCNT']}*const_general_protein",
        "fat": f"{n['FAT']}*const_general_fat",
        "carbohydrate": f"MAX(0,{n['CHOCDF']}-{n['FIBTG']})*const_general_carbohydrate",
        "fibre": f"{n['FIBTG']}*const_fibre_kcal",
        "alcohol": f"{n['ALC']}*const_alcohol_kcal",
    }


def _formulas(lay: RecipeLayout, total: str) -> dict[str, tuple[str, str]]:
    """Numerator and denominator of every figure, for the whole dish."""
    n = {tag: lay.at("n_" + tag, lay.total) for tag in
         ("ENERC_KCAL", "FIBTG", "FASAT", "SUGAD", "NA", "K", "FAMS", "FAPU", "F20D5N3", "F22D6N3")}
    energy, parts = n["ENERC_KCAL"], _energy_terms(lay)
    return {
        "energy_density": (energy, weight_cell(lay)),
        "fibre_1000": (f"{n['FIBTG']}*1000", energy),
        "protein_share": (f"{parts['protein']}*100", total),
        "fat_share": (f"{parts['fat']}*100", total),
        "carbohydrate_share": (f"({parts['carbohydrate']}+{parts['fibre']})*100", total),
        "fibre_share": (f"{parts['fibre']}*100", total),
        "alcohol_share": (f"{parts['alcohol']}*100", total),
        "saturated_share": (f"{n['FASAT']}*const_general_fat*100", energy),
        "added_sugar_share": (f"{n['SUGAD']}*const_general_carbohydrate*100", energy),
        "sodium_1000": (f"{n['NA']}*1000", energy),
        "sodium_potassium": (f"{n['NA']}/const_sodium_molar", f"{n['K']}/const_potassium_molar"),
        "unsaturated_saturated": (f"({n['FAMS']}+{n['FAPU']})", n["FASAT"]),
        "epa_dha": (f"({n['F20D5N3']}+{n['F22D6N3']})*1000", servings_cell(lay)),
    }


def put_facts(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None) -> None:
    """The block of readings, colours and carotenoids; nothing without the tables behind it."""
    if not kitchen.tables.science.readings:
        return
    top = put_title(sheet, lay, "facts", "More about one serving")
    put_heads(sheet, lay, top + 1, (("food", "Figure"), ("amount", "Value"), ("unit", "Unit"), ("basis", "Weight known"),
                                    ("treat", "Published reading"), ("share", "Source of the reading; for a whole diet, one dish may stray")))
    sheet.put(top + 1, 0, "", "head")
    sheet.put(top + 1, 1, "", "head")
    sheet.merges.append((top + 1, lay.col["share"], top + 1, lay.front_last))
    facts = serving_facts(kitchen, analysis) if analysis else None
    first = top + 2
    total = lay.at("r_food", first)
    sheet.formula(first, lay.col["r_food"], "=" + "+".join(_energy_terms(lay).values()), LOOKUP, "work n1")
    formulas = _formulas(lay, total)
    for i, rule in enumerate(FACTS):
        fact = facts[i] if facts else None
        value: Value | None = None if fact is None else "-" if fact.value is None else fact.value
        _put_fact(sheet, lay, kitchen, first + i, rule, formulas[rule.key], value, fact.known if fact else None,
                  fact.reads if fact else None)
    _put_colours(sheet, lay, kitchen, first + len(FACTS), analysis)


def _put_fact(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, row: int, rule: FactRule, ratio: tuple[str, str],
              value: Value | None, known: float | None, reads: str | None) -> None:
    above, below = ratio
    here, cover = lay.cell("amount", row), lay.cell("basis", row)
    style = f"n{max(1, rule.decimals)}" if rule.decimals else "n0"
    _label(sheet, lay, row, rule.name, rule.unit)
    sheet.formula(row, lay.col["amount"], f'=IF({below}>0,{above}/({below}),"-")', LOOKUP if value is None else value, f"calc {style}")
    covers = ",".join(lay.at("n_" + tag, lay.cover) for tag in rule.tags)
    sheet.formula(row, lay.col["basis"], f"=MIN({covers})", LOOKUP if known is None else known, "calc share")
    source = ""
    if rule.reading:
        reading = kitchen.tables.science.readings[rule.reading]
        step = f"MATCH({in_words(here, reading.decimals)},read_{rule.reading},1)"
        formula = (f'=IF(ISTEXT({here}),"",IF(ROUND({cover}*100,9)<const_known_weight_min,"{NOT_ENOUGH}",'
                   f"INDEX(read_{rule.reading}_words,{step})))")
        sheet.formula(row, lay.col["treat"], formula, LOOKUP if reads is None else reads, "calc small bold flow")
        first = reading.steps[0]
        citation = kitchen.tables.sources[first.source_id].citation
        note = next((s.note for s in reading.steps if s.note), "")
        source = f"{_short(citation)}{'; ' + note if note else ''}{'' if first.status == 'seen' else '; from memory'}"
    else:
        sheet.put(row, lay.col["treat"], "none published", "calc small")
    _wide(sheet, lay, row, source)
    sheet.heights[row] = 28


def _short(citation: str) -> str:
    """A citation cut before its journal details."""
    return citation if len(citation) <= 90 else citation[:87].rsplit(" ", 1)[0] + " ..."


def _label(sheet: Sheet, lay: RecipeLayout, row: int, label: str, unit: str) -> None:
    sheet.put(row, 0, "", "calc")
    sheet.put(row, 1, "", "calc")
    sheet.put(row, lay.col["food"], label, "calc small flow")
    sheet.put(row, lay.col["unit"], unit, "calc small")


def _wide(sheet: Sheet, lay: RecipeLayout, row: int, text: str) -> None:
    sheet.band(row, lay.col["share"], lay.front_last, "calc")
    sheet.put(row, lay.col["share"], text, "calc small flow")
    sheet.merges.append((row, lay.col["share"], row, lay.front_last))


def _put_colours(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, row: int, analysis: Analysis | None) -> None:
    """Grams of vegetables and fruit by colour, and carotenoids: no published reading."""
    servings = servings_cell(lay)
    grams = colour_grams(analysis) if analysis else None
    _label(sheet, lay, row, "Colours of vegetables and fruit in the dish", "of 5")
    colours = lay.column("colour")
    dish = lay.column("dish")
    sheet.formula(row, lay.col["amount"], f'=COUNTIF({_span(lay, row + 1, len(COLOURS))},">0")',
                  float(sum(g > 0 for g in grams.values())) if grams else LOOKUP, "calc n0 bold")
    sheet.put(row, lay.col["basis"], "", "calc")
    sheet.put(row, lay.col["treat"], "none published", "calc small")
    _wide(sheet, lay, row, "a mix of colours is common advice; no number of colours is published")
    for i, colour in enumerate(COLOURS, 1):
        _label(sheet, lay, row + i, f"of which {colour}", "g")
        sheet.formula(row + i, lay.col["amount"], f'=IF({servings}=0,0,SUMIF({colours},"{colour}",{dish})/{servings})',
                      grams[colour] if grams else LOOKUP, "calc n0")
        for key in ("basis", "treat"):
            sheet.put(row + i, lay.col[key], "", "calc")
        _wide(sheet, lay, row + i, "")
    row += len(COLOURS) + 1
    for i, tag in enumerate(CAROTENOIDS):
        nutrient = kitchen.nutrient_by_tag[tag]
        _label(sheet, lay, row + i, nutrient.name, nutrient.unit)
        sheet.formula(row + i, lay.col["amount"], f"=IF({servings}=0,0,{_serving(lay, tag)})",
                      analysis.nutrients[tag].serving if analysis else LOOKUP, "calc n0")
        sheet.formula(row + i, lay.col["basis"], f"={lay.at('n_' + tag, lay.cover)}",
                      analysis.nutrients[tag].coverage if analysis else LOOKUP, "calc share")
        sheet.put(row + i, lay.col["treat"], "none published", "calc small")
        _wide(sheet, lay, row + i, "carotenoid" if tag in ("LYCPN", "LUT+ZEA") else "carotenoid that becomes vitamin A")


def _span(lay: RecipeLayout, first: int, rows: int) -> str:
    return f"{lay.at('amount', first)}:{lay.at('amount', first + rows - 1)}"


def put_colour_column(sheet: Sheet, lay: RecipeLayout, analysis: Analysis | None) -> None:
    """Working column: colour of each line's food."""
    rows = range(FIRST_LINE, FIRST_LINE + lay.lines)
    formulas = [f'=IF({lay.cell("row", r)}=0,"",INDEX(food_colour,{lay.cell("row", r)})&"")' for r in rows]
    values = [LOOKUP if analysis is None else analysis.lines[i].food.colour if i < len(analysis.lines) else ""
              for i in range(lay.lines)]
    put_column(sheet, lay, "colour", "Colour", formulas, values, "work")


def put_likely_ranges(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, analysis: Analysis | None,
                      spreads: Mapping[str, Mapping[str, float]]) -> None:
    """The block of likely ranges and its working columns; ``spreads`` maps tag and food id to a deviation."""
    if not kitchen.tables.science.divisors:
        return
    top = put_title(sheet, lay, "range", "How far the figures may stray: likely range of one serving")
    put_heads(sheet, lay, top + 1, (("food", "Nutrient"), ("amount", "One serving"), ("unit", "Unit"), ("basis", "From"), ("treat", "In words"),
                                    ("share", "To"), ("water", "Amount with a range"), ("grams", "What it means")))
    sheet.put(top + 1, 0, "", "head")
    sheet.put(top + 1, 1, "", "head")
    sheet.merges.append((top + 1, lay.col["grams"], top + 1, lay.front_last))
    sheet.heights[top + 1] = 42
    for i, tag in enumerate(RANGE_TAGS):
        result = range_of_serving(kitchen, analysis, tag, spreads.get(tag, {})) if analysis else None
        _put_spread_column(sheet, lay, tag, result)
        _put_range(sheet, lay, kitchen, top + 2 + i, tag, analysis.nutrients[tag].serving if analysis else None, result)
    row = top + 2 + len(RANGE_TAGS)
    sheet.put(row, 0, "", "calc")
    sheet.put(row, 1, "", "calc")
    others = [n.name for n in lay.main if n.tag not in RANGE_TAGS]
    sheet.put(row, lay.col["food"], f"{', '.join(others)}: {NO_RANGE}, or too seldom.", "calc small flow")
    sheet.merges.append((row, lay.col["food"], row, lay.front_last))
    sheet.heights[row] = 28


def _put_spread_column(sheet: Sheet, lay: RecipeLayout, tag: str, result: RangeResult | None) -> None:
    """Standard deviation each line brings: amount x spread / value; -1 where no spread is printed."""
    spread, value = f"spread_{column_name(tag)}", f"food_{column_name(tag)}"
    formulas = []
    for row in range(FIRST_LINE, FIRST_LINE + lay.lines):
        amount, srow = lay.cell("n_" + tag, row), lay.cell("srow", row)
        fixed = f"AND(ISNUMBER({amount}),{srow}>0,{srow}<=ROWS({spread}))"
        formulas.append(f"=IF({fixed},IF(ISNUMBER(INDEX({spread},{srow})),{amount}*INDEX({spread},{srow})/INDEX({value},{srow}),-1),-1)")
    found = result.spreads if result else ()
    values = [LOOKUP if result is None else -1.0 if i >= len(found) or found[i] is None else found[i] for i in range(lay.lines)]
    put_column(sheet, lay, f"sd_{tag}", f"Spread of {tag}; -1 = none printed", formulas,
               [-1.0 if v is None else v for v in values], "work n2")


def _put_range(sheet: Sheet, lay: RecipeLayout, kitchen: Kitchen, row: int, tag: str, serving: float | None,
               result: RangeResult | None) -> None:
    nutrient, servings = kitchen.nutrient_by_tag[tag], servings_cell(lay)
    spread, amounts, total = lay.column(f"sd_{tag}"), lay.column("n_" + tag), lay.at("n_" + tag, lay.total)
    low, high, share, words = (lay.cell(k, row) for k in ("basis", "share", "water", "treat"))
    _label(sheet, lay, row, nutrient.name, nutrient.unit)
    style = f"n{min(max(nutrient.decimals, 1), 3)}" if nutrient.decimals else "n0"
    sheet.formula(row, lay.col["amount"], f"=IF({servings}=0,0,{total}/{servings})", LOOKUP if serving is None else serving, f"calc {style}")
    sheet.formula(row, lay.col["water"], f'=IF({total}=0,0,SUMIF({spread},">=0",{amounts})/{total})',
                  result.share if result else LOOKUP, "calc share")
    sheet.formula(row, lay.col["treat"],
                  f'=IF({share}=0,"{NO_RANGE}",IF(OR({servings}=0,ROUND({share}*100,9)<const_range_share_min),"{TOO_FEW}","{LIKELY}"))',
                  result.words if result else LOOKUP, "calc small bold")
    width = f"const_range_width*SQRT(SUMPRODUCT(({spread}>0)*{spread}*{spread}))"
    for key, formula, value in (("basis", f"MAX(0,{total}-{width})/{servings}", result.low if result else None),
                                ("share", f"({total}+{width})/{servings}", result.high if result else None)):
        stored: Value = "" if value is None else value
        sheet.formula(row, lay.col[key], f'=IF({words}="{LIKELY}",{formula},"")', LOOKUP if result is None else stored, f"calc {style}")
    sheet.formula(row, lay.col["grams"],
                  f'=IF({words}="{LIKELY}",{in_words(low, nutrient.decimals)}&" to "&{in_words(high, nutrient.decimals)}&" {nutrient.unit} '
                  f'in about 95 of 100 batches","")', LOOKUP, "calc small flow")
    sheet.band(row, lay.col["grams"], lay.front_last, "calc")
    sheet.merges.append((row, lay.col["grams"], row, lay.front_last))
    sheet.heights[row] = 18


@lru_cache(maxsize=2)
def spreads_of(kitchen: Kitchen) -> Mapping[str, Mapping[str, float]]:
    """Spread of every tag with a range column, for all recipe sheets of a book."""
    return {tag: deviations(kitchen, tag) for tag in RANGE_TAGS}
