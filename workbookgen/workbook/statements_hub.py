"""What the hubs carry on from the statements of each recipe sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import LOOKUP, Book, Sheet, column_name
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.statements_layout import BOUND_TAGS, Places

if TYPE_CHECKING:
    from workbookgen.workbook.recipe_sheet import RecipeSheet

Head = tuple[str, str, float]
#: Group of the many statements on single vitamins and minerals, which stand last; a short list only counts them.
MICRO = "Vitamins and minerals"
#: Working columns of a recipe sheet that Lines carries on: key on both sheets, heading, width.
LINE_COLUMNS: tuple[Head, ...] = (
    ("srow", "Row of nutrients", 8), ("sgrams", "Weight for nutrients, g", 10), ("krow", "Retention row", 8),
)


def statement_heads(kitchen: Kitchen) -> list[Head]:
    """Columns of Results: facts on the dish, upper bounds, food groups, then code, deciding condition and the
    per cent that turns it for every statement."""
    rules = kitchen.tables.claims
    if not rules.statements:
        return []
    plan = ClaimPlan(rules)
    by_tag = kitchen.nutrient_by_tag
    heads: list[Head] = [("say_word", "Statements judged as", 11), ("say_racc", "Reference amount, g", 10),
                         ("say_kind", "Is that kind (1 = yes)", 8), ("say_list", "Statements that hold", 40),
                         ("say_short", "Statements that hold, in short", 34)]
    heads += [(f"u_{tag}", f"{by_tag[tag].name}: upper bound of the unknown, {by_tag[tag].unit} per serving", 11) for tag in BOUND_TAGS]
    heads += [(f"eq_{g.id}", f"Equivalents per serving: {g.name}", 10) for g in rules.healthy_groups]
    for key, what in (("c", "code"), ("k", "condition"), ("f", "turns at, %")):
        heads += [(f"{key}_{s.id}", f"{s.words['us'] or s.words['eu']}: {what}", 9) for s in plan.statements]
    return heads


def name_statement_ranges(book: Book, sheet: Sheet, col: dict[str, int], first: int, last: int, kitchen: Kitchen) -> None:
    """Names for single columns and for the blocks that are read by number."""
    rules = kitchen.tables.claims
    if not rules.statements:
        return
    plan = ClaimPlan(rules)
    nutrients = kitchen.tables.nutrients
    for key in ("say_word", "say_racc", "say_kind", "say_list", "bad", *(f"u_{tag}" for tag in BOUND_TAGS)):
        book.name_range(f"res_{key}", sheet, first, col[key], last, col[key])
    ends = plan.statements[0].id, plan.statements[-1].id
    blocks = {
        "codes": (f"c_{ends[0]}", f"c_{ends[1]}"), "deciding": (f"k_{ends[0]}", f"k_{ends[1]}"), "turns": (f"f_{ends[0]}", f"f_{ends[1]}"),
        "amounts": (f"v_{nutrients[0].tag}", f"v_{nutrients[-1].tag}"), "reads": (f"r_{nutrients[0].tag}", f"r_{nutrients[-1].tag}"),
        "bounds": (f"u_{BOUND_TAGS[0]}", f"u_{BOUND_TAGS[-1]}"),
        "groups": (f"eq_{rules.healthy_groups[0].id}", f"eq_{rules.healthy_groups[-1].id}"),
    }
    for name, (left, right) in blocks.items():
        book.name_range(f"res_all_{name}", sheet, first, col[left], last, col[right])
    assert all(column_name(tag) for tag in BOUND_TAGS)


def put_statement_row(sheet: Sheet, col: dict[str, int], row: int, kitchen: Kitchen, recipe: RecipeSheet) -> None:
    """One recipe's cells on Results."""
    rules = kitchen.tables.claims
    if not rules.statements:
        return
    lay, source = recipe.lay, recipe.sheet
    plan = ClaimPlan(rules)
    places = Places(lay, plan)

    def put(key: str, formula: str, style: str) -> None:
        sheet.formula(row, col[key], formula, LOOKUP, f"calc small {style}".strip())

    put("say_word", f"={source.ref(places.input, lay.col['r_role'])}&\"\"", "")
    put("say_racc", f"={source.ref(places.input, lay.col['r_amount'])}", "n1")
    put("say_kind", f"={source.ref(places.fact + 6, lay.col['r_amount'])}", "n0")
    put("say_list", f"={source.ref(places.last, places.lead['list'])}&\"\"", "")
    before = sum(s.group != MICRO for s in plan.statements[: plan.shown])
    listed = source.ref(places.row(before - 1), places.lead["list"])
    first, last = (source.ref(places.row(i), places.lead["verdict"]) for i in (before, plan.shown - 1))
    micro = f'COUNTIF({first}:{last.rsplit("!", 1)[1]},"holds")'
    put("say_short", f'={listed}&IF({micro}=0,"",IF({listed}="","","; ")&{micro}&" on vitamins and minerals")', "")
    servings = source.ref(3, lay.col["r_amount"])
    for tag in BOUND_TAGS:
        total = source.ref(lay.total, lay.col[f"ub_{tag}"])
        put(f"u_{tag}", f"=IF({servings}=0,0,{total}/{servings})", "n2")
    for i, group in enumerate(rules.healthy_groups):
        total = source.ref(places.hg_first + i, places.hg["eq"])
        put(f"eq_{group.id}", f"=IF({servings}=0,0,{total}/{servings})", "n2")
    for i, statement in enumerate(plan.statements):
        at = places.row(i)
        place = source.ref(at, places.lead["place"])
        count = plan.slots[statement.id]
        left = {key: source.ref(at, places.field[key]) for key in ("con", "flips")}
        right = {key: source.ref(at, places.field[key] + count - 1).rsplit("!", 1)[1] for key in ("con", "flips")}
        put(f"c_{statement.id}", f"={source.ref(at, places.lead['judged'])}", "n0")
        put(f"k_{statement.id}", f"=IF({place}=0,0,INDEX({left['con']}:{right['con']},{place}))", "n0")
        put(f"f_{statement.id}", f"=IF({place}=0,const_flips_never,INDEX({left['flips']}:{right['flips']},{place}))", "n1")
