"""Facts on Compare: plate, targets, allergens, suitability, iron taken up, statements won and lost."""

from __future__ import annotations

from collections.abc import Callable

from workbookgen.model.claims import SETS, US
from workbookgen.model.safety import EU_LIST
from workbookgen.nutrition.allergens import allergen_report, place
from workbookgen.nutrition.compare import ALLERGEN_CODES, ALLERGEN_STEPS, NOTHING_CHANGES, allergen_changes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown
from workbookgen.workbook.book import LOOKUP, Sheet, Value, block
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.compare_hub import iron_as_chosen
from workbookgen.workbook.compare_picks import (
    ALLERGEN,
    ALLERGEN_CODE,
    ALLERGEN_JOIN,
    ALLERGEN_NO,
    NAME,
    NO,
    PICKED,
    PLACES,
    SAY_CODE,
    SAY_NO,
    SAY_RUNNING,
    SAY_WORDS,
    UNIT,
    Picks,
    cell,
)
from workbookgen.workbook.recipe_statements import judged_recipe
from workbookgen.workbook.words import in_words

DIFFERENCES = 14
VERDICTS = {1: "holds", 0: "open", -1: "does not hold"}


def put_facts(sheet: Sheet, kitchen: Kitchen, picks: Picks, row: int, costs: bool) -> int:
    """Everything but nutrients and statements, one row a fact; returns the row after them. ``costs`` says that the
    sheet Costs is in the book."""
    for col, words in ((NAME, "What"), (UNIT, ""), *zip(PICKED, PLACES, strict=True)):
        sheet.put(row, col, words, "head")
    sheet.put(row, NO, "", "head")
    row += 1

    def fact(label: str, formula: Callable[[str], str], stored: Callable[[int], Value | None] = lambda _: None, height: float = 15) -> None:
        nonlocal row
        _label(sheet, row, label)
        for k, col in enumerate(PICKED):
            value = picks.value(k, stored(k) if picks.recipes[k] else None)
            sheet.formula(row, col, f'=IF({picks.used[k]}=0,"",{formula(picks.row[k])})', value, "calc small flow")
        sheet.heights[row] = height
        row += 1

    for g in range(1, max(len(m.groups) for m in kitchen.tables.plate_models) + 1):
        fact("On the plate" if g == 1 else "", _plate(g), _plate_words(picks, g), 26)
    fact("Own targets met", lambda at: f'INDEX(res_met,{at})&" of "&(INDEX(res_met,{at})+INDEX(res_not_met,{at})+INDEX(res_unsure,{at}))')
    if kitchen.tables.science.iron:
        low, high = (in_words(f"INDEX(res_iron_{end},{{at}})", 2) for end in ("low", "high"))
        fact("Iron taken up, an estimate", lambda at: f'{low.format(at=at)}&" to "&{high.format(at=at)}&" mg"', _iron_words(kitchen, picks))
    if costs:
        fact("Cost of one serving", lambda at: f'IF(ISNUMBER(INDEX(shop_cost_serving,{at})),IF(INDEX(shop_cost_reads,{at})="","",INDEX(shop_cost_reads,{at})&" ")'
                                               f'&{in_words(f"INDEX(shop_cost_serving,{at})", 2)}&" "&set_currency,"no price yet")')
    fact("Lines to mend", lambda at: f'IF(INDEX(res_bad,{at})=0,"none",INDEX(res_bad,{at})&" lines")')
    if kitchen.safety.allergens:
        fact("Contains", lambda at: f"INDEX(res_contains,{at})", height=39)
        row = _put_allergen_changes(sheet, kitchen, picks, row)
        fact("Listed allergens not checked", lambda at: f'IF(INDEX(res_open,{at})=0,"none",INDEX(res_open,{at})&" of the list")')
        for rule in kitchen.safety.suitability:
            fact(rule.name, lambda at, rule=rule: f"INDEX(res_fit_{rule.id},{at})")  # type: ignore[misc]
        fact("Who should ask first", lambda at: f"INDEX(res_ask,{at})", height=39)
    return row


def _label(sheet: Sheet, row: int, label: str) -> None:
    sheet.put(row, NO, "", "calc")
    sheet.put(row, NAME, label, "calc small flow")
    sheet.put(row, UNIT, "", "calc")
    sheet.merges.append((row, NAME, row, UNIT))


def _plate(g: int) -> Callable[[str], str]:
    def text(at: str) -> str:
        share = in_words(f"INDEX(res_share_{g},{at})", 0)
        return f'IF(INDEX(res_group_{g},{at})="","",INDEX(res_group_{g},{at})&" "&{share}&" %: "&INDEX(res_verdict_{g},{at}))'

    return text


def _plate_words(picks: Picks, g: int) -> Callable[[int], Value | None]:
    """Words of the core where the plate is compared by weight, as the file asks for nothing else."""
    def words(k: int) -> Value | None:
        analysis, sheet = picks.analyses[k], picks.recipes[k]
        if analysis is None or sheet is None or sheet.recipe is None or any(key.startswith("plate") for key, _ in sheet.recipe.settings):
            return None
        if g > len(analysis.plate):
            return ""
        p = analysis.plate[g - 1]
        return f"{p.group} {shown(p.share_pct, 0)} %: {p.verdict}"

    return words


def _iron_words(kitchen: Kitchen, picks: Picks) -> Callable[[int], Value | None]:
    def words(k: int) -> Value | None:
        sheet = picks.recipes[k]
        found = iron_as_chosen(kitchen, sheet.recipe, picks.analyses[k]) if sheet else None
        return f"{shown(found.low_mg, 2)} to {shown(found.high_mg, 2)} mg" if found else None

    return words


def _put_allergen_changes(sheet: Sheet, kitchen: Kitchen, picks: Picks, row: int) -> int:
    """What the second and third bring or no longer name against the first; working rows beside."""
    count = len(kitchen.safety.allergens)
    reports = [allergen_report(kitchen.safety, a) if a else None for a in picks.analyses]
    heads = ((ALLERGEN_NO, "No."), (ALLERGEN, "Allergen on the list"), *((c, f"{PLACES[k]}: code") for k, c in enumerate(ALLERGEN_CODE)))
    for col, words in heads:
        sheet.put(row - 1, col, words, "workhead")
    for i in range(count):
        at = row + i
        sheet.put(at, ALLERGEN_NO, i + 1, "work n0")
        no = cell(at, ALLERGEN_NO)
        us, eu = (f'IF(INDEX(alg_{which},{no})="no","",INDEX(alg_name_{which},{no}))' for which in ("us", "eu"))
        name = _name(kitchen, i, reports[0].which) if reports[0] else LOOKUP
        sheet.formula(at, ALLERGEN, f'=IF(INDEX(alg_list,set_reference)="eu",{eu},{us})', name, "work")
        for k, col in enumerate(ALLERGEN_CODE):
            report = reports[k]
            stored = picks.value(k, ALLERGEN_CODES[report.states[i].state] if report else None)
            sheet.formula(at, col, f'=IF({picks.used[k]}=0,"",MID(INDEX(res_alg_codes,{picks.row[k]}),{no},1))', stored, "work")
    _label(sheet, row, "Allergens against the first")
    sheet.put(row, PICKED[0], "", "calc small")
    for k in (1, 2):
        told = []
        for j, (words, of_other, of_first) in enumerate(ALLERGEN_STEPS):
            col = ALLERGEN_JOIN + len(ALLERGEN_STEPS) * (k - 1) + j
            sheet.put(row - 1, col, f"{PLACES[k]}: {words}", "workhead")
            joined = "&".join(_if_changed(row + i, k, of_other, of_first) for i in range(count))
            sheet.formula(row, col, f"=MID({joined},3,300)", LOOKUP, "work")
            told.append((words, cell(row, col)))
        said = "&".join(f'IF({c}="","","; {words}: "&{c})' for words, c in told)
        nothing = "&".join(c for _, c in told)
        stored_words: Value | None = None
        first, other = reports[0], reports[k]
        if first and other:
            names = [_name(kitchen, i, first.which) for i in range(count)]
            letters = ["".join(ALLERGEN_CODES[s.state] for s in r.states) for r in (first, other)]
            stored_words = allergen_changes(names, letters[0], letters[1])
        sheet.formula(row, PICKED[k], f'=IF({picks.used[0]}*{picks.used[k]}=0,"",IF({nothing}="","{NOTHING_CHANGES}",MID({said},3,900)))',
                      picks.value(k, stored_words), "calc small flow")
    sheet.heights[row] = 76
    return row + 1


def _name(kitchen: Kitchen, i: int, which: str) -> str:
    """Name of allergen ``i`` on the list in use, "" when it is not on it."""
    allergen = kitchen.safety.allergens[i]
    if place(allergen, which) == "no":
        return ""
    return allergen.name_eu if which == EU_LIST else allergen.name_us


def _if_changed(row: int, k: int, of_other: str, of_first: str) -> str:
    name, first, other = (cell(row, c) for c in (ALLERGEN, ALLERGEN_CODE[0], ALLERGEN_CODE[k]))
    came = " ".join(f'{first}="{letter}",' for letter in of_first).replace(" ", "").rstrip(",")
    return f'IF(AND({name}<>"",{other}="{of_other}",OR({came})),", "&{name},"")'


def put_statement_changes(sheet: Sheet, kitchen: Kitchen, picks: Picks, row: int, work_row: int) -> int:
    """Statements that hold for one picked recipe and not for the first; returns the row after the list."""
    plan = ClaimPlan(kitchen.tables.claims)
    judged = [judged_recipe(kitchen, a) for a in picks.analyses]
    rule_set = judged[0].verdicts.rule_set if judged[0] else None
    statements = plan.statements[: plan.shown]
    codes = [tuple(j.verdicts.by_id[s.id].code if j else None for j in judged) for s in statements]
    words = [s.words[rule_set] if rule_set else None for s in statements]
    differing = [i for i, (w, c) in enumerate(zip(words, codes, strict=True)) if w and any(x is not None and (x == 1) != (c[0] == 1) for x in c[1:])]
    heads = ((SAY_NO, "No."), (SAY_WORDS, "Statement"), *((c, f"{PLACES[k]}: code") for k, c in enumerate(SAY_CODE)), (SAY_RUNNING, "Differing so far"))
    for col, head in heads:
        sheet.put(work_row, col, head, "workhead")
    for i in range(len(statements)):
        at = work_row + 1 + i
        no, run = cell(at, SAY_NO), cell(at - 1, SAY_RUNNING)
        sheet.put(at, SAY_NO, i + 1, "work n0")
        sheet.formula(at, SAY_WORDS, f'=IF(INDEX(set_rules_of,set_reference)={SETS.index(US) + 1},INDEX(st_words_us,{no})&"",INDEX(st_words_eu,{no})&"")',
                      LOOKUP if words[i] is None else words[i] or "", "work")
        for k, col in enumerate(SAY_CODE):
            code = codes[i][k]
            sheet.formula(at, col, f'=IF({picks.used[k]}=0,"",INDEX(res_all_codes,{picks.row[k]},{no}))', picks.value(k, None if code is None else float(code)),
                          "work n0")
        first, second, third = (cell(at, c) for c in SAY_CODE)
        tests = ",".join(f'AND({x}<>"",{x}=1,{first}<>1),AND({x}<>"",{x}<>1,{first}=1)' for x in (second, third))
        before = "0" if i == 0 else run
        here = f'IF(AND({cell(at, SAY_WORDS)}<>"",OR({tests})),1,0)'
        sheet.formula(at, SAY_RUNNING, f"={before}+{here}", float(sum(x <= i for x in differing)), "work n0")
    last = work_row + len(statements)
    running = block(work_row + 1, SAY_RUNNING, last, SAY_RUNNING)
    said, *column = (block(work_row + 1, c, last, c) for c in (SAY_WORDS, *SAY_CODE))
    _label(sheet, row, "Against the first")
    sheet.put(row, PICKED[0], "", "calc")
    for k in (1, 2):
        won, lost = (f'SUMPRODUCT(({said}<>"")*({column[a]}=1)*({column[b]}<>1))' for a, b in ((k, 0), (0, k)))
        counts = [sum(bool(w) and c[a] == 1 and c[b] != 1 for w, c in zip(words, codes, strict=True)) for a, b in ((k, 0), (0, k))]
        sheet.formula(row, PICKED[k], f'=IF({picks.used[0]}*{picks.used[k]}=0,"",{won}&" won, "&{lost}&" lost")',
                      picks.value(k, f"{counts[0]} won, {counts[1]} lost" if judged[k] else None), "calc small bold")
    row += 1
    return _put_statement_list(sheet, picks, row, work_row + 1, running, (differing, words, codes))


def _put_statement_list(sheet: Sheet, picks: Picks, row: int, first: int, running: str,
                        found: tuple[list[int], list[str | None], list[tuple[int | None, ...]]]) -> int:
    """The differing statements, each with the three verdicts."""
    differing, words, codes = found
    for col, head in ((NO, "No."), (NAME, "Statement"), (UNIT, ""), *zip(PICKED, PLACES, strict=True)):
        sheet.put(row, col, head, "head")
    sheet.merges.append((row, NAME, row, UNIT))
    last = first + len(words) - 1
    count = f"MAX({running})"
    for j in range(DIFFERENCES):
        at = row + 1 + j
        place = cell(at, SAY_RUNNING + 2)
        has = j < len(differing)
        sheet.put(at, NO, j + 1, "calc small centre")
        sheet.put(at, SAY_RUNNING + 1, j + 1, "work n0")
        sheet.formula(at, SAY_RUNNING + 2, f"=IF({cell(at, SAY_RUNNING + 1)}>{count},0,IFERROR(MATCH({cell(at, SAY_RUNNING + 1)},{running},0),0))",
                      float(differing[j] + 1) if has else 0.0, "work n0")
        sheet.formula(at, NAME, f'=IF({place}=0,"",INDEX({block(first, SAY_WORDS, last, SAY_WORDS)},{place}))', words[differing[j]] or "" if has else "",
                      "calc small flow")
        sheet.put(at, UNIT, "", "calc")
        sheet.merges.append((at, NAME, at, UNIT))
        for k, col in enumerate(PICKED):
            code = f"INDEX({block(first, SAY_CODE[k], last, SAY_CODE[k])},{place})"
            verdict = codes[differing[j]][k] if has else None
            sheet.formula(at, col, f'=IF({place}=0,"",IF({picks.used[k]}=0,"",IF({code}=1,"{VERDICTS[1]}",IF({code}=-1,"{VERDICTS[-1]}","{VERDICTS[0]}"))))',
                          "" if verdict is None else VERDICTS.get(verdict, VERDICTS[0]), "calc small flow")
        sheet.heights[at] = 17
    end = row + 1 + DIFFERENCES
    more = len(differing) - DIFFERENCES
    told = "no statement differs" if not differing else f"and {more} more: see Statements" if more > 0 else ""
    room = f"ROWS({block(row + 1, NO, end - 1, NO)})"
    sheet.formula(end, NAME, f'=IF({count}=0,"no statement differs",IF({count}>{room},"and "&({count}-{room})&" more: see Statements",""))',
                  told, "calc small")
    sheet.merges.append((end, NAME, end, PICKED[0]))
    sheet.conditions.append((row + 1, PICKED[0], end - 1, PICKED[2], {"type": "cell", "criteria": "==", "value": f'"{VERDICTS[1]}"'}, "holds"))
    return end + 1
