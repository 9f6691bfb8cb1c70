"""The energy block of the sheet Person, its working cells, and the reason where nothing is given."""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.model.person import GROUPS, PersonTables
from workbookgen.nutrition.person import PersonResult, gain_of, pace_of, stage_of, state_of
from workbookgen.workbook.book import LOOKUP, Sheet, Value, _Lookup, a1, block
from workbookgen.workbook.person_inputs import AFTER, LABEL, MESSAGE, READ, TICKS, read_cell
from workbookgen.workbook.words import in_words

WORK_LABEL, WORK = 17, 18
FLAG_LABEL = 22
#: Working cells, in this order from the first input row on.
WORKING = ("group", "who", "stage", "body", "bmi", "adult", "level", "mifflin", "basal", "eer_2005", "eer_2023", "day", "pace", "gain",
           "reason", "hidden", "shown", "energy")
WORKING_LABELS = ("Group", "Who is known (1 = yes)", "Life stage no.", "Body is known (1 = yes)", "Body mass index", "Adult (1 = yes)",
                  "Sex and activity", "Mifflin-St Jeor", "Basal, DRI 2005", "Day, DRI 2005", "Day, DRI 2023", "Day, taken", "Pace row",
                  "Gain row", "Reason no.", "All hidden (1 = yes)", "Life stage shown", "Energy less the cut")
REASON_ROW = AFTER
ENERGY_HEAD = AFTER + 2
ROWS = ("bmi", "mifflin", "basal", "mifflin_day", "eer_2005", "eer_2023", "energy", "protein")
ROW_LABELS = ("Body mass index, kg/m2", "Resting energy, Mifflin-St Jeor, kcal", "Basal energy, DRI 2005, kcal",
              "Day: resting energy x activity, kcal", "Day: DRI 2005, kcal", "Day: DRI 2023, kcal", "Energy of the day in use, kcal",
              "Protein by body weight, g")
WEIGHT_ROW = ENERGY_HEAD + len(ROWS) + 1
SHARES_ROW = WEIGHT_ROW + 2
RANGES = (("PROCNT", "Protein"), ("FAT", "Total fat"), ("CHOCDF", "Carbohydrate"))
END = SHARES_ROW + len(RANGES)


def cell(key: str) -> str:
    """Fixed address of a working cell."""
    return a1(AFTER - len(WORKING) - 1 + WORKING.index(key), WORK, True, True)


def put_energy(sheet: Sheet, tables: PersonTables, result: PersonResult, texts: Sequence[str], caution: str, last_col: int) -> None:
    """Working cells, the reason in words, the energies, weight and shares of energy."""
    _put_working(sheet, tables, result)
    reason = cell("reason")
    sheet.formula(REASON_ROW, LABEL, f'=IF({reason}=0,"",INDEX(reason_text,MAX(1,{reason})))', _reason_text(tables, result), "attention")
    sheet.merges.append((REASON_ROW, LABEL, REASON_ROW, last_col))
    sheet.heights[REASON_ROW] = 32
    sheet.put(ENERGY_HEAD, LABEL, "Energy", "section")
    sheet.band(ENERGY_HEAD, LABEL + 1, last_col, "section")
    _put_rows(sheet, result, texts, last_col)
    sheet.formula(WEIGHT_ROW, LABEL, f"={_weight_formula()}", result.weight_words, "calc small flow bold")
    sheet.merges.append((WEIGHT_ROW, LABEL, WEIGHT_ROW, last_col))
    sheet.put(WEIGHT_ROW + 1, LABEL, caution, "hint")
    sheet.merges.append((WEIGHT_ROW + 1, LABEL, WEIGHT_ROW + 1, last_col))
    sheet.heights[WEIGHT_ROW], sheet.heights[WEIGHT_ROW + 1] = 18, 18
    _put_ranges(sheet, last_col)


def _reason_text(tables: PersonTables, result: PersonResult) -> str:
    return next((r.text for r in tables.reasons if r.id == result.reason), "")


def _equation(key: str) -> str:
    """Formula body: kcal a day by the equation of this key, a text when there is none."""
    row = f"MATCH({key},eq_key,0)"
    size = f"(INDEX(eq_kg,{row})*{read_cell('weight')}+INDEX(eq_cm,{row})*{read_cell('height')})"
    return f"INDEX(eq_constant,{row})+INDEX(eq_year,{row})*{read_cell('age')}+INDEX(eq_pa,{row})*{size}"


def _between(name: str, value: str) -> str:
    """Number of the row of a table whose span holds the value, 0 when none does."""
    return f"SUMPRODUCT(({name}_from<={value})*({name}_below>{value})*{name}_no)"


def _put_working(sheet: Sheet, tables: PersonTables, result: PersonResult) -> None:
    age, sex, state = (read_cell(k) for k in ("age", "sex", "state"))
    cut = read_cell("cut")
    sex_word = f"INDEX(who_sex,{sex})"
    bmi, adult, group, stage = cell("bmi"), f"{cell('adult')}=1", cell("group"), cell("stage")
    exact = f"ROUND({bmi},9)"
    ticks = "".join(f",ISNUMBER({read_cell(k)})" for k in TICKS)
    formulas = {
        "group": f"=IF(ISNUMBER({state}),INDEX(state_group,MAX(1,{state})),0)",
        "who": f"=IF(AND(ISNUMBER({sex}),ISNUMBER({age}),ISNUMBER({state}){ticks}),IF(AND({sex}=2,{group}>1),0,1),0)",
        "stage": f"=IF({cell('who')}=1,SUMPRODUCT(((stage_sex=0)+(stage_sex={sex}))*(stage_group={group})*(stage_from<={age})"
                 f"*(stage_below>{age})*stage_no),0)",
        "body": f"=IF(AND(ISNUMBER({read_cell('height')}),ISNUMBER({read_cell('weight')}),ISNUMBER({read_cell('activity')}),"
                f"ISNUMBER({cut})),1,0)",
        "bmi": f"=IF({cell('body')}=1,{read_cell('weight')}/({read_cell('height')}/100)^2,0)",
        "adult": f"=IF(AND({stage}>0,{cell('body')}=1),IF({age}>=lim_adult_from,1,0),0)",
        "level": f'=IF({adult},{sex_word}&"|"&INDEX(act_id,{read_cell("activity")}),"")',
        "mifflin": f'=IF({adult},IF(AND({group}=1,{age}<=lim_mifflin_to),{_equation(f"""{_q("mifflin|")}&{sex_word}""")},""),"")',
        "basal": f'=IF({adult},IF({group}=1,{_equation(f"""{_q("bee_2005|")}&{sex_word}""")},""),"")',
        "eer_2005": f'=IF({adult},IF(AND({exact}>=lim_bmi_low,{exact}<lim_bmi_normal),'
                    f'{_equation(f"""{_q("eer_2005|")}&{cell("level")}""")}+INDEX(state_extra,{state}),""),"")',
        "eer_2023": f'=IF({adult},IF({group}=1,{_equation(f"""{_q("eer_2023|")}&{cell("level")}""")},""),"")',
        "day": f'=IF(ISNUMBER({cell("eer_2023")}),{cell("eer_2023")},{cell("eer_2005")})',
        "pace": f"={_between('pace', exact)}",
        "gain": f"={_between('gain', exact)}",
        "reason": f"=IFERROR(MATCH(1,{_put_flags(sheet, tables)},0),0)",
        "hidden": f"=IF({cell('reason')}=0,0,INDEX(reason_all,MAX(1,{cell('reason')})))",
        "shown": f"=IF({cell('hidden')}=1,0,{stage})",
        "energy": f'=IF({cell("reason")}=0,{cell("day")}-{cut},"")',
    }  # fmt: skip
    core = _core(tables, result)
    sheet.put(AFTER - len(WORKING) - 2, WORK_LABEL, "Working", "workhead")
    sheet.put(AFTER - len(WORKING) - 2, WORK, "", "workhead")
    for i, key in enumerate(WORKING):
        row = AFTER - len(WORKING) - 1 + i
        sheet.put(row, WORK_LABEL, WORKING_LABELS[i], "work")
        sheet.formula(row, WORK, formulas[key], core.get(key, LOOKUP), "work n2")


def _q(text: str) -> str:
    return f'"{text}"'


def _core(tables: PersonTables, result: PersonResult) -> dict[str, Value | _Lookup]:
    """What the core says to the working cells; where it gives nothing the engine's figure stands."""
    person = tables.start
    stage = stage_of(tables, person)
    reasons = [r.id for r in tables.reasons]
    number = reasons.index(result.reason) + 1 if result.reason else 0
    found: dict[str, Value | _Lookup] = {
        "group": float(GROUPS.index(state_of(tables, person).group) + 1),
        "stage": float(tables.stages.index(stage) + 1) if stage else 0.0,
        "reason": float(number), "energy": "" if result.energy is None else result.energy,
    }  # fmt: skip
    for key in ("mifflin", "eer_2005", "eer_2023"):
        if not result.reason:
            value = getattr(result, key)
            found[key] = "" if value is None else value
    if result.bmi is not None:
        pace, gain = pace_of(tables, result.bmi), gain_of(tables, result.bmi)
        found |= {"bmi": result.bmi, "pace": float(tables.paces.index(pace) + 1) if pace else 0.0,
                  "gain": float(tables.gains.index(gain) + 1) if gain else 0.0}  # fmt: skip
    return found


def _put_flags(sheet: Sheet, tables: PersonTables) -> str:
    """One cell per reason, in the order of the table: 1 where it holds. Returns their address."""
    age, cut, exact = read_cell("age"), read_cell("cut"), f"ROUND({cell('bmi')},9)"
    day, pace = cell("day"), cell("pace")
    floor = f"IF({read_cell('sex')}=2,lim_floor_male,lim_floor_female)"
    cuts = f"AND(ISNUMBER({day}),ISNUMBER({cut}),{pace}>0)"
    tests = (f"{cell('who')}=0", *(f"{read_cell(k)}=1" for k in TICKS), f"{cell('stage')}=0", f"{age}<lim_adult_from", f"{cell('body')}=0",
             f"{exact}<lim_bmi_low", f"{exact}>=lim_bmi_high", f"AND({cell('group')}>1,{cut}>0)", f"NOT(ISNUMBER({day}))",
             f"AND({cut}>0,{pace}=0)", f"IF({cuts},ROUND({cut},9)>INDEX(pace_cut_high,MAX(1,{pace})),FALSE)",
             f"IF({cuts},IF({cut}>0,ROUND({day}-{cut},9)<{floor},FALSE),FALSE)")
    first = AFTER - len(WORKING) - 1
    sheet.put(first - 1, FLAG_LABEL, "Reason", "workhead")
    sheet.put(first - 1, FLAG_LABEL + 1, "Holds", "workhead")
    for i, (reason, test) in enumerate(zip(tables.reasons, tests, strict=True)):
        sheet.put(first + i, FLAG_LABEL, reason.id, "work")
        sheet.formula(first + i, FLAG_LABEL + 1, f"=IF({test},1,0)", LOOKUP, "work n0")
    return block(first, FLAG_LABEL + 1, first + len(tests) - 1, FLAG_LABEL + 1)


def _put_rows(sheet: Sheet, result: PersonResult, texts: Sequence[str], last_col: int) -> None:
    given = f"{cell('reason')}=0"

    def plain(key: str) -> str:
        return f'=IF({given},IF(ISNUMBER({cell(key)}),{cell(key)},"-"),"-")'

    formulas = {
        "bmi": f'=IF(OR({cell("hidden")}=1,{cell("body")}=0),"-",{cell("bmi")})',
        "mifflin": plain("mifflin"), "basal": plain("basal"),
        "mifflin_day": f'=IF({given},IF(ISNUMBER({cell("mifflin")}),{cell("mifflin")}*INDEX(act_factor,{read_cell("activity")}),"-"),"-")',
        "eer_2005": plain("eer_2005"), "eer_2023": plain("eer_2023"), "energy": plain("energy"),
        "protein": f'=IF(AND({given},{cell("group")}=1),lim_protein_kg*{read_cell("weight")},"-")',
    }  # fmt: skip
    core = {"bmi": result.bmi, "mifflin": result.mifflin, "basal": result.basal_2005, "mifflin_day": result.mifflin_day,
            "eer_2005": result.eer_2005, "eer_2023": result.eer_2023, "energy": result.energy, "protein": result.protein_by_weight}
    for i, key in enumerate(ROWS):
        row = ENERGY_HEAD + 1 + i
        value = core[key]
        bold = " bold" if key == "energy" else ""
        sheet.put(row, LABEL, ROW_LABELS[i], "calc" + bold)
        sheet.put(row, LABEL + 1, "", "calc")
        sheet.formula(row, READ, formulas[key], "-" if value is None else value, f"calc {'n2' if key == 'bmi' else 'n0'} right{bold}")
        sheet.put(row, MESSAGE, texts[i], "calc small")
        sheet.merges.append((row, MESSAGE, row, last_col))


def _weight_formula() -> str:
    """Published range of weight change in words; nothing where no energy is given."""
    gain, pace = (f"MAX(1,{cell(k)})" for k in ("gain", "pace"))

    def told(name: str, at: str, decimals: int) -> str:
        return in_words(f"INDEX({name},{at})", decimals)

    gained = (f'"Published gain with one child: "&{told("gain_low", gain, 1)}&" to "&{told("gain_high", gain, 1)}&" kg in all, "&'
              f'{told("gain_rate_low", gain, 2)}&" to "&{told("gain_rate_high", gain, 2)}&" kg a week from the 2nd trimester on."')
    lost = (f'"Published pace: "&{told("pace_kg_low", pace, 2)}&" to "&{told("pace_kg_high", pace, 2)}&" kg a week with "&'
            f'{told("pace_cut_low", pace, 0)}&" to "&{told("pace_cut_high", pace, 0)}&" kcal a day less."')
    none = f'IF({cell("pace")}=0,"No pace of losing weight is published for this body mass index.",{lost})'
    fed = '"Losing weight while breastfeeding: ask the maternity care team."'
    return f'IF({cell("reason")}>0,"",IF({cell("group")}=1,{none},IF({cell("group")}=2,{gained},{fed})))'


def _put_ranges(sheet: Sheet, last_col: int) -> None:
    """Protein, fat and carbohydrate as shares of energy, with grams."""
    age = read_cell("age")
    for i, (tag, name) in enumerate(RANGES):
        row = SHARES_ROW + i
        sheet.put(row, LABEL, f"{name}: share of energy", "calc")
        sheet.put(row, LABEL + 1, "", "calc")

        def picked(column: str, tag: str = tag) -> str:
            return f'SUMPRODUCT((eshare_tag="{tag}")*(eshare_limit=0)*(eshare_from<={age})*(eshare_below>{age})*{column})'

        low, high, kcal = (a1(row, WORK + k, True, True) for k in range(3))
        known = f"{cell('shown')}>0"
        for k, column in enumerate(("eshare_low", "eshare_high", "eshare_kcal")):
            sheet.formula(row, WORK + k, f"=IF({known},{picked(column)},0)", LOOKUP, "work n0")
        grams = [in_words(f"{cell('energy')}*{share}/100/{kcal}", 0) for share in (low, high)]
        told = f'IF(ISNUMBER({cell("energy")}),": "&{grams[0]}&" to "&{grams[1]}&" g a day","")'
        sheet.formula(row, READ, f'=IF({kcal}=0,"-",{low}&" to "&{high}&" %"&{told})', LOOKUP, "calc left")
        sheet.band(row, MESSAGE, last_col, "calc")
        sheet.merges.append((row, READ, row, last_col))
