"""Keeping on a recipe sheet: published texts by kind of dish, and the user's own lines in their place."""

from __future__ import annotations

from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.keeping import SOUP, keeping_kind, keeping_lines
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block
from workbookgen.workbook.handout_layout import KEEPING, OWN_KEEPING_LINES, Handout
from workbookgen.workbook.words import key_text, tidy

PUBLISHED = (
    ("Cool", "store_cool"),
    ("Refrigerate", "store_fridge"),
    ("Freeze", "store_freeze"),
    ("Reheat", "store_reheat"),
)
LONGEST_LINE = 300
#: Lines whose source is that of the figures they print (names in handling.csv); the others have their own.
FIGURES = {"Cool": ("out_hours", "shallow_in"), "Reheat": ("reheat_f", "fridge_f")}
SERVICE_FIGURES = ("code_hot_f", "code_mid_f", "code_cold_f", "code_all_hours")


def put_keeping(sheet: Sheet, h: Handout, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """Lay out the block; raises BadInput for a recipe with more keeping lines than a sheet holds."""
    if recipe and len(recipe.storage) > OWN_KEEPING_LINES:
        what = (
            f"has {len(recipe.storage)} keeping lines, a sheet holds {OWN_KEEPING_LINES}; join some of them"
        )
        raise BadInput(recipe.path or recipe.title, what)
    lay = h.lay
    top = lay.section[KEEPING]
    sheet.put(top, 0, "Keeping", "section")
    sheet.band(top, 0, lay.front_last, "section")
    sheet.put(
        top + 1,
        0,
        "Published guidance by kind of dish. Lines of your own take its place on the card; the published "
        "text stays in sight here.",
        "hint",
    )
    sheet.merges.append((top + 1, 0, top + 1, lay.front_last))
    _put_kind(sheet, h, recipe, analysis)
    _put_published(sheet, h, analysis)
    _put_own(sheet, h, recipe, analysis)


def _put_kind(sheet: Sheet, h: Handout, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """The kind of dish: chosen, or the first one whose mark is found. Locked cells stand round the input."""
    lay, safety = h.lay, h.safety
    row, col = h.keep_input, lay.col["unit"]
    soup = next((k.name for k in safety.keeping if k.id == SOUP), "")
    sheet.put(row - 1, col, "Choose, or leave empty", "label")
    sheet.put(row, lay.col["food"], "Keeps like", "label flow")
    sheet.put(row, col, soup if recipe and recipe.soup else "", "input small")
    sheet.band(row, col, lay.col["treat"], "input small")
    sheet.merges.append((row, col, row, lay.col["treat"]))
    sheet.choose_from(row, col, row, col, "=store_name", "Keeps like", "Empty: found from the ingredients.")
    x = f"INDEX({block(row - 1, col, row + 1, col)},2)"
    chosen = f"IF(ISTEXT({x}),IF(LEN({x})>100,0,IFERROR(MATCH({key_text(x)},store_name,0),0)),0)"
    sheet.formula(row, lay.col["r_food"], f"={chosen}", LOOKUP, "work n0")
    sheet.formula(
        row,
        lay.col["message"],
        f'=IF({lay.at("r_food", row)}>0,"",IF(ISBLANK({x}),"","not in the list: found from the '
        'ingredients"))',
        LOOKUP,
        "message",
    )
    flags = h.rows("r_treat", h.keep_input, h.keep_input + len(safety.keeping) - 1)
    heated = (
        f'SUMPRODUCT(({lay.column("a_counts")}=1)*({lay.column("row")}>0)*({lay.column("r_treat")}<>"none"))'
    )
    for k in range(len(safety.keeping)):
        by, key = f"INDEX(store_by,{k + 1})", f"INDEX(store_key,{k + 1})"
        sheet.formula(
            h.keep_input + k,
            lay.col["r_treat"],
            f'=IF({by}="cold",IF({heated}=0,1,0),IF({by}="caution",ISNUMBER(FIND({key},{h.all_cautions}))*1,'
            f'IF({by}="diet",ISNUMBER(FIND({key},{h.all_diet}))*1,IF({by}="rest",1,0))))',
            LOOKUP,
            "work n0",
        )
    kind = keeping_kind(safety, analysis) if analysis else None
    number = f"IF({lay.at('r_food', row)}>0,{lay.at('r_food', row)},MATCH(1,{flags},0))"
    sheet.formula(
        h.keep_kind,
        lay.col["r_food"],
        f"={number}",
        float(safety.keeping.index(kind) + 1) if kind else LOOKUP,
        "work n0",
    )
    sheet.put(row + 1, lay.col["food"], "Published guidance", "head")
    sheet.band(row + 1, lay.col["amount"], lay.front_last, "head")
    sheet.merges.append((row + 1, lay.col["food"], row + 1, lay.front_last))
    sheet.put(h.keep_kind, lay.col["food"], "Taken as", "label flow")
    sheet.formula(
        h.keep_kind,
        col,
        f"=INDEX(store_name,{lay.at('r_food', h.keep_kind)})",
        kind.name if kind else LOOKUP,
        "calc",
    )
    sheet.band(h.keep_kind, col, lay.front_last, "calc")
    sheet.merges.append((h.keep_kind, col, h.keep_kind, lay.front_last))


def sources_of(h: Handout, names: tuple[str, ...]) -> str:
    """Source and status of the figures with these names, each once."""
    found = {f.id: f"{f.source_id} ({f.status})" for f in h.safety.handling}
    return "; ".join(dict.fromkeys(found[name] for name in names))


def _put_published(sheet: Sheet, h: Handout, analysis: Analysis | None) -> None:
    lay = h.lay
    number = lay.at("r_food", h.keep_kind)
    lines = keeping_kind(h.safety, analysis).lines if analysis else None
    for i, (label, name) in enumerate(PUBLISHED):
        row = h.keep_first + i
        sheet.put(row, lay.col["food"], label, "label flow")
        sheet.formula(
            row, lay.col["unit"], f"=INDEX({name},{number})", lines[i] if lines else LOOKUP, "calc flow"
        )
        sheet.band(row, lay.col["unit"], lay.col["dish"], "calc flow")
        sheet.merges.append((row, lay.col["unit"], row, lay.col["dish"]))
        figures = FIGURES.get(label)
        if figures:
            sheet.put(row, lay.col["message"], sources_of(h, figures), "calc small flow")
        else:
            sheet.formula(
                row, lay.col["message"], f"=INDEX(store_source,{number})", LOOKUP, "calc small flow"
            )
        sheet.heights[row] = 42 if i == 0 else 28
    row = h.service
    sheet.put(row, lay.col["food"], "In a food service", "label flow")
    sheet.formula(row, lay.col["unit"], "=INDEX(temp_note,2)", h.safety.service, "calc small flow")
    sheet.band(row, lay.col["unit"], lay.col["dish"], "calc small flow")
    sheet.merges.append((row, lay.col["unit"], row, lay.col["dish"]))
    sheet.put(row, lay.col["message"], sources_of(h, SERVICE_FIGURES), "calc small flow")
    sheet.heights[row] = 42


def _put_own(sheet: Sheet, h: Handout, recipe: Recipe | None, analysis: Analysis | None) -> None:
    """Own lines as typed, as read, and what a card prints."""
    lay = h.lay
    written = recipe.storage if recipe else ()
    printed = (
        [" ".join(t.split())[:LONGEST_LINE] for t in keeping_lines(h.safety, analysis)] if analysis else None
    )
    col = lay.col["food"]
    sheet.put(h.own_head, col, "Your own keeping lines (one is enough to replace the published ones)", "head")
    sheet.band(h.own_head, col, lay.front_last, "head")
    sheet.merges.append((h.own_head, col, h.own_head, lay.front_last))
    guarded = block(h.own_head, col, h.own_last + 1, col)
    texts, places = h.rows("r_food", h.own_first, h.own_last), h.rows("r_amount", h.own_first, h.own_last)
    published = h.rows("unit", h.keep_first, h.service - 1)
    for i in range(OWN_KEEPING_LINES):
        row = h.own_first + i
        no = a1(row, 0, fix_col=True)
        sheet.put(row, 0, i + 1, "calc small centre")
        sheet.put(row, col, written[i] if i < len(written) else "", "input wrap")
        sheet.band(row, col, lay.front_last, "input wrap")
        sheet.merges.append((row, col, row, lay.front_last))
        sheet.heights[row] = 28 if i < len(written) and len(written[i]) > 150 else 17
        x = f"INDEX({guarded},{no}+1)"
        sheet.formula(
            row, lay.col["r_food"], f'=IF(ISTEXT({x}),LEFT({tidy(x)},{LONGEST_LINE}),"")', LOOKUP, "work"
        )
        sheet.formula(
            row, lay.col["r_amount"], f'=IF({lay.cell("r_food", row)}="","",{no})', LOOKUP, "work n0"
        )
        core: Value | None = None if printed is None else (printed[i] if i < len(printed) else "")
        sheet.formula(
            row,
            lay.col["r_basis"],
            f'=IF({h.counted}=0,"",IF(COUNT({places})>0,IF(COUNT({places})<{no},"",INDEX({texts},SMALL({places},{no}))),'
            f'IF({no}>ROWS({published}),"",INDEX({published},{no}))))',
            LOOKUP if core is None else core,
            "work",
        )
    sheet.put(h.own_last + 1, col, "end of the keeping lines", "edge")
    sheet.band(h.own_last + 1, col, lay.front_last, "edge")
