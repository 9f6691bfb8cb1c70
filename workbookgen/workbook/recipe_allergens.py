"""Allergens and suitability on a recipe sheet: contains, not known, no, and the sentences of the card."""

from __future__ import annotations

from workbookgen.model.recipe import Recipe
from workbookgen.model.safety import APART
from workbookgen.nutrition.allergens import AllergenReport
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.handout_layout import ALLERGENS, Handout
from workbookgen.workbook.recipe_marks import check_length, kinds_of, times
from workbookgen.workbook.words import tidy

LONGEST_NOTE = 250


def put_allergens(sheet: Sheet, h: Handout, recipe: Recipe | None, report: AllergenReport | None) -> None:
    """Lay out the block."""
    lay = h.lay
    top = lay.section[ALLERGENS]
    sheet.put(top, 0, "Allergens and suitability", "section")
    sheet.band(top, 0, lay.front_last, "section")
    sheet.put(
        top + 1,
        0,
        "Counts lines that are included, optional, garnish or held back; a line left out counts when it "
        "carries such a mark. The list follows the reference values chosen on Start. \"no\": no ingredient is known to hold it; "
        "that is no promise of a dish free from it. Read every package.",
        "hint",
    )
    sheet.merges.append((top + 1, 0, top + 1, lay.front_last))
    _wide_heads(
        sheet, h, top + 2, ("No.", "On the list", "Allergen", "State", "From, or left open by", "Source")
    )
    for i in range(len(h.safety.allergens)):
        _put_row(sheet, h, i, report)
    _put_said(sheet, h)
    _put_sentences(sheet, h, report)
    _put_may_contain(sheet, h, recipe)
    _put_suitability(sheet, h, report)
    for row, word in ((h.allergen_first, "contains"), (h.allergen_first, "not known")):
        sheet.conditions.append(
            (
                row,
                lay.col["unit"],
                h.allergen_last,
                lay.col["unit"],
                {"type": "cell", "criteria": "==", "value": f'"{word}"'},
                "attention",
            )
        )


def _wide_heads(sheet: Sheet, h: Handout, row: int, heads: tuple[str, str, str, str, str, str]) -> None:
    lay = h.lay
    for col, head in zip(
        (0, 1, lay.col["food"], lay.col["unit"], lay.col["basis"], lay.col["message"]), heads, strict=True
    ):
        sheet.put(row, col, head, "head")
    sheet.put(row, lay.col["amount"], "", "head")
    sheet.band(row, lay.col["basis"], lay.col["dish"], "head")
    sheet.merges += [
        (row, lay.col["food"], row, lay.col["amount"]),
        (row, lay.col["basis"], row, lay.col["dish"]),
    ]
    sheet.heights[row] = 28


def _put_row(sheet: Sheet, h: Handout, i: int, report: AllergenReport | None) -> None:
    lay = h.lay
    row = h.allergen_first + i
    no = a1(row, 0, fix_col=True)
    c = {
        key: lay.cell(key, row)
        for key in ("r_food", "r_amount", "r_unit", "r_count", "r_basis", "r_treat", "unit")
    }
    found = report.states[i] if report else None

    def put(key: str, formula: str, value: Value | None, style: str) -> None:
        sheet.formula(row, lay.col[key], formula, LOOKUP if value is None else value, style)

    def by_list(name: str) -> str:
        return f'IF(INDEX(alg_list,set_reference)="eu",INDEX({name}eu,{no}),INDEX({name}us,{no}))'

    sheet.put(row, 0, i + 1, "calc small centre")
    put("r_food", f"={times(f'INDEX(alg_key,{no})', h.all_marks)}", None, "work n0")
    put("r_amount", f"={times(f'INDEX(alg_ask,{no})', h.all_marks)}", None, "work n0")
    put("r_unit", kinds_of(h, no, c["r_food"]), ", ".join(found.kinds) if found else None, "work")
    put("r_count", f"={by_list('alg_')}", None, "work")
    put("r_basis", f"=IF({c['r_food']}>0,INDEX(alg_key,{no}),INDEX(alg_ask,{no}))", None, "work")
    name = lay.cell("food", row)
    put("r_treat", f'={name}&IF({c["r_unit"]}="",""," ("&{c["r_unit"]}&")")', None, "work")
    put("r_share", f'=IF(AND({c["r_count"]}="list",{c["unit"]}="not known"),1,0)', None, "work n0")
    sheet.formula(row, 1, f'=IF({c["r_count"]}="list","yes",{c["r_count"]})', LOOKUP, "calc small centre")
    put("food", f"={by_list('alg_name_')}", None, "calc")
    sheet.blank(row, lay.col["amount"], "calc")
    sheet.merges.append((row, lay.col["food"], row, lay.col["amount"]))
    put(
        "unit",
        f'=IF({h.counted}=0,"-",IF({c["r_food"]}>0,"contains",IF({c["r_amount"]}>0,"not known","no")))',
        found.state if found else None,
        "calc bold",
    )
    names = check_length(
        f'=IF({c["r_food"]}+{c["r_amount"]}=0,"",MID({h.names_with(c["r_basis"], "a_marks")},3,1000))',
        lay.lines,
    )
    put("basis", names, "; ".join(found.foods) if found else None, "calc small flow")
    sheet.band(row, lay.col["basis"], lay.col["dish"], "calc small flow")
    sheet.merges.append((row, lay.col["basis"], row, lay.col["dish"]))
    put("message", f"={by_list('alg_source_')}", None, "calc small flow")
    sheet.heights[row] = 26


def _put_said(sheet: Sheet, h: Handout) -> None:
    """What the dish says of itself when another recipe uses it: markers, diet words, cautions."""
    lay = h.lay
    top = lay.section[ALLERGENS]
    for i in range(len(h.safety.allergens)):
        row = h.allergen_first + i
        no, n, asks, kinds = (
            a1(row, 0, fix_col=True),
            *(lay.cell(k, row) for k in ("r_food", "r_amount", "r_unit")),
        )
        untold = f'OR(INDEX(alg_kinds,{no})=0,ISNUMBER(FIND("kind not named",{kinds})))'
        sheet.formula(
            row,
            lay.col["r_water"],
            f'=IF({n}>0,IF({untold},INDEX(alg_key,{no}),""),IF({asks}>0,INDEX(alg_ask,{no}),""))',
            LOOKUP,
            "work",
        )
    markers = "&".join(a1(r, lay.col["r_water"]) for r in range(h.allergen_first, h.allergen_last + 1))
    kinds = "&".join(
        f'IF({a1(h.kind_first + k, lay.col["a_ask"])}>0,INDEX(kind_mark,{k + 1}),"")'
        for k in range(len(h.safety.kinds))
    )
    words = "&".join(
        f'IF({a1(r, lay.col["a_ask"])}>0,";"&SUBSTITUTE(SUBSTITUTE({mark},"<",""),">",""),"")'
        for r in range(h.word_first, h.word_last + 1)
        for mark in (a1(r, lay.col["a_marks"]),)
    )
    sheet.formula(top, lay.col["r_food"], f'={markers}&{kinds}&"-;"', LOOKUP, "work")
    sheet.formula(top, lay.col["r_amount"], f"=MID({words},2,500)", LOOKUP, "work")
    sheet.formula(top, lay.col["r_unit"], f'={h.all_cautions}&"<->"', LOOKUP, "work")


def _sentence(
    sheet: Sheet, h: Handout, row: int, label: str, formula: str, value: Value | None, height: float = 30
) -> None:
    lay = h.lay
    sheet.put(row, lay.col["food"], label, "label flow")
    sheet.formula(
        row,
        lay.col["unit"],
        check_length(formula, lay.lines),
        LOOKUP if value is None else value,
        "calc flow",
    )
    sheet.band(row, lay.col["unit"], lay.front_last, "calc flow")
    sheet.merges += [(row, lay.col["unit"], row, lay.front_last)]
    sheet.heights[row] = height


def _put_sentences(sheet: Sheet, h: Handout, report: AllergenReport | None) -> None:
    """The Contains line, what was not checked, and gluten where it has a line of its own."""
    lay = h.lay
    rows = range(h.allergen_first, h.allergen_last + 1)
    places, states, flags = (
        h.rows(key, h.allergen_first, h.allergen_last) for key in ("r_count", "unit", "r_share")
    )
    contained = "&".join(
        f'IF(AND({listed}="list",{state}="contains"),", "&{name},"")'
        for listed, state, name in (
            [a1(r, lay.col[key]) for key in ("r_count", "unit", "r_treat")] for r in rows
        )
    )
    asked = "&".join(f'IF({a1(r, lay.col["r_share"])}=1,", "&{a1(r, lay.col["food"])},"")' for r in rows)
    lines = range(lay.last_line - lay.lines + 1, lay.last_line + 1)
    openers = "&".join(f'IF({a1(r, lay.col["a_ask"])}=1,{a1(r, lay.col["a_name"])},"")' for r in lines)
    _sentence(
        sheet,
        h,
        h.contains,
        "Contains line",
        f'=IF({h.counted}=0,"",IF(SUMPRODUCT(({places}="list")*({states}="contains"))=0,IF(SUM({flags})>0,'
        f'"Contains: no listed allergen found so far.",'
        f'"Contains: no listed allergen named in the ingredients."),'
        f'"Contains: "&MID({contained},3,1000)&"."))',
        report.contains if report else None,
    )
    _sentence(
        sheet,
        h,
        h.unchecked,
        "Not checked",
        f'=IF(SUM({flags})=0,"","Not checked: "&MID({asked},3,500)&" (read the package: "'
        f'&MID({openers},3,1000)&").")',
        report.unchecked if report else None,
        42,
    )
    apart = next((i for i, a in enumerate(h.safety.allergens) if APART in (a.us, a.eu)), None)
    if apart is None:
        _sentence(sheet, h, h.apart, "Gluten", '=""', "")
        return
    row = h.allergen_first + apart
    place, state, piece, source = (
        a1(row, lay.col[key], True, True) for key in ("r_count", "unit", "r_treat", "basis")
    )
    _sentence(
        sheet,
        h,
        h.apart,
        "Gluten",
        f'=IF(OR({place}<>"apart",{h.counted}=0),"",IF({state}="contains","Gluten: contains "&{piece}&".",'
        f'IF({state}="not known","Gluten: not checked (read the package: "&{source}&").",'
        f'"Gluten: no gluten-containing grain named; not tested, so no gluten-free claim.")))',
        report.apart if report else None,
    )


def _put_may_contain(sheet: Sheet, h: Handout, recipe: Recipe | None) -> None:
    """The user's own note; locked cells stand above and below the input."""
    lay = h.lay
    row, col = h.may_input, lay.col["unit"]
    sheet.put(row - 1, col, "Your own note, such as what a factory or a shared kitchen may bring in", "hint")
    sheet.band(row - 1, col, lay.front_last, "hint")
    sheet.merges.append((row - 1, col, row - 1, lay.front_last))
    sheet.put(row, lay.col["food"], "May contain, in your words", "label flow")
    sheet.put(row, col, recipe.may_contain if recipe else "", "input wrap")
    sheet.band(row, col, lay.front_last, "input wrap")
    sheet.merges.append((row, col, row, lay.front_last))
    sheet.heights[row] = 30
    x = f"INDEX({block(row - 1, col, row + 1, col)},2)"
    sheet.formula(
        row, lay.col["r_food"], f'=IF(ISTEXT({x}),LEFT({tidy(x)},{LONGEST_NOTE}),"")', LOOKUP, "work"
    )
    note = lay.at("r_food", row)
    _sentence(
        sheet,
        h,
        h.may_contain,
        "May contain, as printed",
        f'=IF({note}="","","May contain (the cook\'s note): "&{note})',
        None,
    )


def _put_suitability(sheet: Sheet, h: Handout, report: AllergenReport | None) -> None:
    lay = h.lay
    _wide_heads(sheet, h, h.suit_head, ("No.", "", "Suitable for", "Answer", "Because of", "Source"))
    counts = h.rows("a_ask", h.word_first, h.word_last)
    words = range(h.word_first, h.word_last + 1)
    for i, rule in enumerate(h.safety.suitability):
        row = h.suit_first + i
        found = report.suitability[i] if report else None
        name, state = f"suit_{rule.id}", lay.cell("unit", row)

        def because(answer: str, name: str = name) -> str:
            parts = "&".join(
                f'IF(AND(INDEX({name},{k})="{answer}",{h.cell("a_ask", r)}>0),", "&INDEX(diet_word,{k}),"")'
                for k, r in enumerate(words, 1)
            )
            return f"MID({parts},3,200)"

        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.put(row, 1, "", "calc")
        sheet.formula(
            row, lay.col["food"], f"=INDEX(suit_name,{a1(row, 0, fix_col=True)})", rule.name, "calc flow"
        )
        sheet.blank(row, lay.col["amount"], "calc")
        sheet.merges.append((row, lay.col["food"], row, lay.col["amount"]))
        sheet.formula(
            row,
            lay.col["unit"],
            f'=IF({h.counted}=0,"-",IF(SUMPRODUCT(({name}="no")*({counts}>0))>0,"no",'
            f'IF(SUMPRODUCT(({name}="?")*({counts}>0))>0,"not known","yes")))',
            found.state if found else LOOKUP,
            "calc bold",
        )
        sheet.formula(
            row,
            lay.col["basis"],
            f'=IF({state}="no",{because("no")},IF({state}="not known",{because("?")},""))',
            ", ".join(found.because) if found else LOOKUP,
            "calc small flow",
        )
        sheet.band(row, lay.col["basis"], lay.col["dish"], "calc small flow")
        sheet.merges.append((row, lay.col["basis"], row, lay.col["dish"]))
        sheet.put(row, lay.col["message"], "common practice, no source", "calc small flow")
    _put_alcohol(sheet, h)


def _put_alcohol(sheet: Sheet, h: Handout) -> None:
    """What stays of the alcohol of an ingredient, from the nutrient table."""
    if "alcohol" not in h.safety.diet_words or "ALC" not in h.lay.result_rows():
        _sentence(sheet, h, h.alcohol, "Alcohol that stays", '=""', "", 16)
        return
    times_found = h.cell("a_ask", h.word_first + h.safety.diet_words.index("alcohol"))
    reading = h.lay.at("unit", h.lay.result_rows()["ALC"])
    _sentence(
        sheet,
        h,
        h.alcohol,
        "Alcohol that stays",
        f'=IF({times_found}=0,"","Alcohol left in one serving after cooking: "&{reading}&".")',
        None,
        16,
    )
