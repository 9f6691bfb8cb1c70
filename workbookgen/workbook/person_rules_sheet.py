"""Reference intakes: life stages, equations, limits, texts and the tables that the sheets Person and Day read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from workbookgen.model.person import GROUPS, SEXES, PersonTables, Proof
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.workbook.book import Book, Sheet, Value
from workbookgen.workbook.day_layout import AGAINST_CHOICES
from workbookgen.workbook.frame import put_frame

HEAD, FIRST = 4, 5
SHEET = "Reference intakes"
NOTE_WIDTH = 72
UNITS = ("cm and kg", "inches and pounds")
Column = tuple[str, float, str, Sequence[Value]]


@dataclass
class _Blocks:
    """Tables side by side; ``col`` is the next free column."""

    book: Book
    sheet: Sheet
    col: int = 0
    starts: list[int] = field(default_factory=list)

    def put(self, title: str, columns: Sequence[Column]) -> int:
        """Columns (heading, width, range name, values) under a title; returns the first column."""
        start = self.col
        self.starts.append(start)
        self.sheet.put(HEAD - 1, start, title, "label")
        for head, width, name, values in columns:
            self.sheet.put(HEAD, self.col, head, "head")
            self.sheet.widths[self.col] = width
            for i, value in enumerate(values):
                self.sheet.put(FIRST + i, self.col, value, "fixed small" if isinstance(value, str) else "fixed general small")
            if name:
                self.book.name_range(name, self.sheet, FIRST, self.col, FIRST + max(len(values), 1) - 1, self.col)
            self.col += 1
        self.sheet.widths[self.col] = 2
        self.col += 1
        return start


def _proofs(proofs: Sequence[Proof]) -> list[Column]:
    return [("Source", 18, "", [p.source_id for p in proofs]), ("Status", 8, "", [p.status for p in proofs]),
            ("Note", NOTE_WIDTH, "", [p.note for p in proofs])]


def put_person_rules(book: Book, kitchen: Kitchen) -> Sheet | None:
    """Lay out the sheet and name its columns; None without the tables."""
    tables = kitchen.person
    if not tables.stages:
        return None
    sheet = book.add(SHEET)
    put_frame(sheet, SHEET, "What Person and Day work with: reference intakes by life stage, energy equations, limits and the words for "
              "what is not given. Every row has its source.", 8)
    blocks = _Blocks(book, sheet)
    _put_nutrients(blocks, kitchen)
    _put_stages(blocks, tables)
    _put_lists(blocks, tables)
    _put_equations(blocks, tables)
    _put_limits(blocks, tables)
    _put_energy(blocks, tables)
    _put_weight(blocks, tables)
    _put_reasons(blocks, tables)
    sheet.heights[HEAD] = 54
    sheet.freeze = (FIRST, 2)
    sheet.landscape = True
    sheet.repeat_rows = (HEAD, HEAD)
    sheet.print_scale, sheet.column_breaks = 50, blocks.starts[1:]
    sheet.first_input = (FIRST, 0)
    return sheet


def _put_nutrients(blocks: _Blocks, kitchen: Kitchen) -> None:
    """One row per nutrient of the day; values, kinds and upper levels by life stage as blocks of many columns."""
    tables, sheet = kitchen.person, blocks.sheet
    rows = tables.nutrients
    uppers = [tables.uppers.get(n.tag) for n in rows]
    blocks.put("Nutrients of the day, and what an upper level counts", [
        ("Tag (INFOODS)", 12, "", [n.tag for n in rows]),
        ("Nutrient", 26, "dayn_name", [kitchen.nutrient_by_tag[n.tag].name for n in rows]),
        ("Unit", 6, "dayn_unit", [kitchen.nutrient_by_tag[n.tag].unit for n in rows]),
        ("Held against a reference intake", 9, "dayn_kind", [n.kind for n in rows]),
        ("Held against a label value", 9, "dayn_label", [n.label_kind for n in rows]),
        ("Foods count towards the upper level (1 = yes)", 10, "dayn_counts", [int(bool(u and u.compared)) for u in uppers]),
        ("Counted nutrient", 10, "", [u.compared if u else "" for u in uppers]),
        ("Upper level", 84, "dayn_words", [u.words if u else "" for u in uppers]),
        ("Source", 12, "", [u.proof.source_id if u else "" for u in uppers])])
    for title, name in (("For a day", "dri_value"), ("Kind", "dri_kind"), ("Upper level for a day", "dri_upper"),
                        ("Source and status", "")):
        start = blocks.col
        width = 13 if name else NOTE_WIDTH / 3
        blocks.put(title, [(stage.name, width, "", [_intake(tables, name, stage.id, n.tag) for n in rows]) for stage in tables.stages])
        if name:
            blocks.book.name_range(name, sheet, FIRST, start, FIRST + len(rows) - 1, start + len(tables.stages) - 1)


def _intake(tables: PersonTables, name: str, stage: str, tag: str) -> Value:
    """A cell of one of the blocks by life stage; "" where nothing is set."""
    intake = tables.intakes.get((stage, tag))
    if intake is None:
        return ""
    if name == "dri_value":
        return intake.value
    if name == "dri_kind":
        return intake.kind
    if name == "dri_upper":
        return "" if intake.upper is None else intake.upper
    upper = f"; upper {intake.upper_status}" if intake.upper_status else ""
    note = f"; {intake.proof.note}" if intake.proof.note else ""
    return f"{intake.proof.source_id} ({intake.proof.status}{upper}){note}"


def _put_stages(blocks: _Blocks, tables: PersonTables) -> None:
    stages = tables.stages
    blocks.put("Life stages", [
        ("No.", 5, "stage_no", [i + 1 for i in range(len(stages))]), ("Life stage", 24, "stage_name", [s.name for s in stages]),
        ("Sex (0 any, 1 female, 2 male)", 8, "stage_sex", [SEXES.index(s.sex) + 1 if s.sex in SEXES else 0 for s in stages]),
        ("Group (1 neither, 2 pregnant, 3 breastfeeding)", 10, "stage_group", [GROUPS.index(s.group) + 1 for s in stages]),
        ("From, y", 7, "stage_from", [s.age_from for s in stages]), ("To below, y", 7, "stage_below", [s.age_below for s in stages]),
        *_proofs([s.proof for s in stages])])


def _put_lists(blocks: _Blocks, tables: PersonTables) -> None:
    states, levels = tables.states, tables.activities
    blocks.put("Words offered", [("Sex", 9, "who_sex", list(SEXES)), ("Units", 18, "who_units", list(UNITS)),
                                 ("Meal", 18, "day_meal", list(tables.meals)),
                                 ("A day is held against", 28, "day_against", list(AGAINST_CHOICES))])
    blocks.put("Pregnancy and breastfeeding", [
        ("State", 34, "who_state", [s.name for s in states]),
        ("Group", 7, "state_group", [GROUPS.index(s.group) + 1 for s in states]),
        ("Adds, kcal a day (DRI 2005)", 9, "state_extra", [s.extra_kcal for s in states]), *_proofs([s.proof for s in states])])
    blocks.put("Activity", [
        ("Level", 14, "act_name", [a.name for a in levels]), ("Key", 12, "act_id", [a.id for a in levels]),
        ("Physical activity level from", 9, "", [a.pal_from for a in levels]),
        ("Factor on resting energy", 9, "act_factor", [a.factor for a in levels]),
        ("Source of the factor", 16, "", [a.factor_source for a in levels]),
        ("For example", 50, "act_words", [a.words for a in levels]), *_proofs([a.proof for a in levels])])


def _put_equations(blocks: _Blocks, tables: PersonTables) -> None:
    rows = tables.equations
    blocks.put("Energy, kcal a day = constant + per year x age + PA x (per kg x kg + per cm x cm)", [
        ("Key", 26, "eq_key", [e.key for e in rows]), ("Equation", 44, "", [e.name for e in rows]),
        ("Constant", 9, "eq_constant", [e.constant for e in rows]), ("Per year", 8, "eq_year", [e.per_year for e in rows]),
        ("PA", 7, "eq_pa", [e.pa for e in rows]), ("Per kg", 8, "eq_kg", [e.per_kg for e in rows]),
        ("Per cm", 8, "eq_cm", [e.per_cm for e in rows]), *_proofs([e.proof for e in rows])])


def _put_limits(blocks: _Blocks, tables: PersonTables) -> None:
    limits = list(tables.limits.values())
    start = blocks.put("Limits", [
        ("Name in formulas", 18, "", ["lim_" + f.id for f in limits]), ("Meaning", 44, "", [f.name for f in limits]),
        ("Value", 9, "", [f.value for f in limits]), ("Unit", 10, "", [f.unit for f in limits]),
        ("Source", 18, "", [f.source_id for f in limits]), ("Status", 8, "", [f.status for f in limits]),
        ("Note", NOTE_WIDTH, "", [f.note for f in limits])])
    for i, figure in enumerate(limits):
        blocks.book.name_range("lim_" + figure.id, blocks.sheet, FIRST + i, start + 2, FIRST + i, start + 2)


def _put_energy(blocks: _Blocks, tables: PersonTables) -> None:
    rows = tables.shares
    blocks.put("Shares of energy", [
        ("Tag", 10, "eshare_tag", [r.tag for r in rows]), ("Limit (1 = yes)", 7, "eshare_limit", [int(r.use == "limit") for r in rows]),
        ("From, y", 7, "eshare_from", [r.age_from for r in rows]), ("To below, y", 7, "eshare_below", [r.age_below for r in rows]),
        ("From, %", 7, "eshare_low", [r.low_pct for r in rows]), ("To, %", 7, "eshare_high", [r.high_pct for r in rows]),
        ("kcal per g", 7, "eshare_kcal", [r.kcal_per_g for r in rows]), *_proofs([r.proof for r in rows])])


def _put_weight(blocks: _Blocks, tables: PersonTables) -> None:
    paces, gains = tables.paces, tables.gains
    blocks.put("Losing weight: published pace of adults", [
        ("No.", 5, "pace_no", [i + 1 for i in range(len(paces))]),
        ("Body mass index from", 8, "pace_from", [p.bmi_from for p in paces]), ("to below", 8, "pace_below", [p.bmi_below for p in paces]),
        ("kcal a day less, from", 8, "pace_cut_low", [p.cut_low for p in paces]), ("to", 8, "pace_cut_high", [p.cut_high for p in paces]),
        ("kg a week, from", 8, "pace_kg_low", [p.kg_low for p in paces]), ("to", 8, "pace_kg_high", [p.kg_high for p in paces]),
        *_proofs([p.proof for p in paces])])
    blocks.put("Gaining weight in pregnancy, one child", [
        ("No.", 5, "gain_no", [i + 1 for i in range(len(gains))]),
        ("Body mass index before, from", 8, "gain_from", [g.bmi_from for g in gains]),
        ("to below", 8, "gain_below", [g.bmi_below for g in gains]),
        ("kg in all, from", 8, "gain_low", [g.total_low for g in gains]), ("to", 8, "gain_high", [g.total_high for g in gains]),
        ("kg a week from 2nd trimester, from", 8, "gain_rate_low", [g.rate_low for g in gains]),
        ("to", 8, "gain_rate_high", [g.rate_high for g in gains]), *_proofs([g.proof for g in gains])])


def _put_reasons(blocks: _Blocks, tables: PersonTables) -> None:
    rows = tables.reasons
    blocks.put("Why a figure is not given, in the order asked", [
        ("Reason", 16, "", [r.id for r in rows]), ("Hides all (1 = yes)", 8, "reason_all", [int(r.hides == "all") for r in rows]),
        ("Text", 90, "reason_text", [r.text for r in rows]), *_proofs([r.proof for r in rows])])
