"""The answer in words: before and after, changes, what binds, prices, conflicts, what stayed out and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from workbookgen.adjust.conflict import Conflict, Near, missed_by
from workbookgen.adjust.items import ADDITION, AS_IS, OUT, STEPS, Item
from workbookgen.adjust.least import Result
from workbookgen.adjust.model import STRICT_GAP
from workbookgen.adjust.prices import Mover, Price
from workbookgen.adjust.run import Answer
from workbookgen.adjust.solve import BEST_SO_FAR
from workbookgen.adjust.space import Row
from workbookgen.adjust.targets import PER_DV
from workbookgen.adjust.task import Task
from workbookgen.adjust.variant import amount_words
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.claims import judge_statements
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown

LABEL_TAGS = ("ENERC_KCAL", "PROCNT", "FAT", "FASAT", "CHOCDF", "FIBTG", "NA", "K", "CA", "FE")
_NAMED = 6
_LEAST_MOVE = 1e-3
_DENOMINATOR = 16
CAUTION = (
    "Figures are calculated, not analysed. Sodium, potassium, vitamin K, iron and energy matter to people with kidney disease, "
    "blood thinners, pregnancy or an eating disorder: local rules and licensed practice decide."
)


def as_text(answer: Answer) -> str:
    """The whole answer for a terminal."""
    task = answer.task
    analysis = task.space.analysis
    lines = [f"{analysis.recipe.title}: {shown(analysis.servings, 2)} servings of {shown(analysis.serving_g, 0)} g", ""]
    if answer.result is not None:
        lines += _found(answer, answer.result)
    elif answer.conflict is not None:
        lines += _impossible(answer, answer.conflict)
    lines += _additions(answer)
    lines += _stayed_out(task)
    return "\n".join([*lines, "", CAUTION])


def _block(title: str, rows: Iterable[str]) -> list[str]:
    rows = list(rows)
    return ["", title, *(f"  {row}" for row in rows)] if rows else []


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows]


def _found(answer: Answer, result: Result) -> list[str]:
    task, analysis = answer.task, answer.task.space.analysis
    before, after = answer.before, result.reached
    rows = [("Target", "before", "", "after", "")]
    rows += [(a.wish.text, b.words, b.verdict, a.words, a.verdict) for b, a in zip(before, after, strict=True)]
    lines = _table(rows)
    changes = change_rows(task, result)
    if not changes:
        lines += ["", "Nothing has to change."]
    else:
        lines += _block("Least change", [*changes, _total(result), *_search_words(answer, result)])
    lines += _block("Serving before and after", _facts(task.space.kitchen, analysis, result.analysis))
    lines += _block("What stays open", [f"{r.wish.text}: {r.remark}" for r in after if r.remark])
    lines += _block("What binds", [*_binds(answer), *(f"{food} stands at its {which} by kitchen sense or by --max-change"
                                                      for food, which in answer.bounds)])
    lines += _block("What each target costs", [price_words(p) for p in answer.prices])
    lines += _block("Statements", _statements(task.space.kitchen, analysis, result.analysis))
    lines += _block("Safety", _safety(answer))
    if analysis.cooked_weight_weighed and changes:
        lines += ["", "The weighed pot belongs to the old amounts: weigh the new one. Its weight is estimated here."]
    return lines


def _total(result: Result) -> str:
    text = f"in all {shown(result.cost * 100, 0)} % of change (100 % = one ingredient changed by its whole written amount)"
    if result.state == BEST_SO_FAR:
        return f"{text}; the search stopped early: at most {shown(result.gap * 100, 0)} % less could exist"
    return text


def _search_words(answer: Answer, result: Result) -> list[str]:
    new = sum(item.kind == ADDITION for item in answer.task.space.items)
    most = int(answer.task.space.rules.costs["tried_most"])
    if answer.request.additions and new > most:
        return [f"{new} foods to add were ranked; the {most} most helpful took part in the search"]
    return []


def amount_text(amount: float) -> str:
    """An amount as a cook reads it: "2 1/2"; figures that are no kitchen fraction with three decimals."""
    near = Fraction(amount).limit_denominator(_DENOMINATOR)
    return amount_words(near) or str(near) if abs(float(near) - amount) < STRICT_GAP else shown(amount, 3)


def change_rows(task: Task, result: Result) -> list[str]:
    """Every change as a line: what was, what is, by how much."""
    rows = []
    for k, item in enumerate(task.space.items):
        mode = item.modes[result.choice.modes[k]]
        slot = item.slots[mode.slot]
        amount = float(result.choice.amounts[task.space.first[k] + mode.slot])
        written = _written(item)
        now = f"{amount_text(amount)} {slot.line.unit}"
        if item.start == "absent":
            if mode.kind != OUT:
                rows.append(f"{'add' if item.kind == ADDITION else 'count'} {slot.food.name}: {now}")
        elif mode.kind == OUT:
            rows.append(f"leave out {item.name} ({written})")
        elif mode.slot:
            rows.append(f"{slot.food.name}, {now}, in place of {item.name}, {written}")
        elif mode.kind == STEPS:
            rows.append(f"{item.name}: {written} -> {now} ({(amount / slot.base - 1) * 100:+.0f} %)")
        else:
            assert mode.kind == AS_IS
    return rows


def _written(item: Item) -> str:
    line = item.slots[0].line
    return f"{line.amount_text or amount_text(line.amount)} {line.unit}"


def _facts(kitchen: Kitchen, before: Analysis, after: Analysis) -> list[str]:
    rows = [("weight, g", shown(before.serving_g, 0), shown(after.serving_g, 0))]
    for tag in LABEL_TAGS:
        n = kitchen.nutrient_by_tag[tag]
        old, new = before.nutrients[tag], after.nutrients[tag]
        was, now = (f"{r.reads} {shown(r.serving, n.decimals)}".strip() for r in (old, new))
        rows.append((f"{n.name}, {n.unit}", was, now))
    return _table(rows)


def limit_words(row: Row) -> str:
    """A row in words: "Sodium at most 480 mg"."""
    sign = "at least" if row.sense == ">=" else "at most"
    if row.strict:
        sign = "above" if row.sense == ">=" else "below"
    unit = {"money": "", "score": "", "g serving": " g"}.get(row.unit, f" {row.unit}")
    return f"{row.label} {sign} {shown(row.limit, 2)}{unit}"


def _binds(answer: Answer) -> list[str]:
    return [limit_words(p.row) for p in answer.prices]


def price_words(price: Price) -> str:
    """The dual value of a row in words."""
    row = price.row
    unit = {"money": "", "score": "", "g serving": " g", PER_DV: " %DV", "% of the plate": " %"}.get(row.unit, f" {row.unit}")
    harder = "more" if row.sense == ">=" else "less"
    text = f"each {shown(price.step, 2)}{unit} {harder} {_lower(row.label)} costs {shown(price.per_step * 100, 1)} % of change"
    if not price.possible:
        return f"{text}; a whole step is out of reach with these foods"
    moves = [m for m in price.movers if abs(m.amount) > _LEAST_MOVE]
    return f"{text} (mostly {' and '.join(_move(m) for m in moves)})" if moves else text


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _move(mover: Mover) -> str:
    return f"{'+' if mover.amount > 0 else '-'}{shown(abs(mover.amount), 3)} {mover.unit} {mover.food}"


def _statements(kitchen: Kitchen, before: Analysis, after: Analysis) -> list[str]:
    held = [{r.statement.id: r.statement for r in judge_statements(kitchen, a).results if r.may_be_printed} for a in (before, after)]
    rule_set = judge_statements(kitchen, after).rule_set
    lost = [s.words[rule_set] for key, s in held[0].items() if key not in held[1]]
    won = [s.words[rule_set] for key, s in held[1].items() if key not in held[0]]
    return [f"no longer: {'; '.join(lost)}"] * bool(lost) + [f"now also: {'; '.join(won)}"] * bool(won)


def _safety(answer: Answer) -> list[str]:
    task = answer.task
    rows = [f"brings the caution {key}: {title.lower()}" for key, title in answer.cautions]
    if not rows:
        rows.append("no caution that the dish did not have")
    came = [
        item.slots[item.modes[m].slot].food.name
        for item, m in zip(task.space.items, answer.result.choice.modes if answer.result else (), strict=False)
        if item.modes[m].kind != OUT and (item.start == "absent" or item.modes[m].slot)
    ]
    allowed = [f for f in came if f.lower() in {a.lower() for a in answer.request.allow}]
    rows += [f"{food} came in because --allow names it" for food in allowed]
    if len(came) > len(allowed):
        rows.append("what else came in brings no new allergen, caution or salt with potassium chloride, and keeps the dish as "
                    "vegetarian, vegan, pork-free and alcohol-free as it was")
    rows += [f"{food} is never increased: a salt with potassium chloride" for food in task.held]
    return rows


def _part_words(task: Task, part: int | str) -> str:
    if isinstance(part, int):
        return task.wishes[part].text
    return next(row.label for row in task.cautions.rows if row.wish == part)


def _impossible(answer: Answer, conflict: Conflict) -> list[str]:
    task = answer.task
    lines = _table([("Target", "before", ""), *((b.wish.text, b.words, b.verdict) for b in answer.before)])
    names = [_part_words(task, p) for p in conflict.parts]
    if len(names) == 1:
        told = f"cannot be reached within kitchen sense: {names[0]}"
    else:
        told = f"cannot hold together: {'; '.join(names)}"
    lines += ["", f"No change does it. What {told}."]
    if len(names) > 1:
        lines.append("No smaller set is in conflict." if conflict.smallest else "Nothing of it can be left out; a smaller set was not ruled out.")
    if conflict.by_steps:
        lines.append("Amounts between kitchen steps would do; measurable ones do not.")
    if not conflict.exact:
        lines.append("Corrected protein is asked for a little more strictly than the rule does, so a dish may still exist.")
    lines += _block("How near one can come", [row for near in conflict.near for row in _near(task, near)])
    lines += _block("It would do if", answer.ways_out)
    return lines


def _near(task: Task, near: Near) -> list[str]:
    name = _part_words(task, near.part)
    if near.result is None:
        return [f"{name}: the other targets cannot hold without it either"]
    others = len(task.parts) - 1
    kept = "everything else kept" if len(near.kept) == others else "the others of the conflict kept"
    if isinstance(near.part, int):
        reached = f"{near.result.reached[near.part].words}"
    else:
        row = next(r for r in task.cautions.rows if r.wish == near.part)
        reached = f"{shown(row.value(near.result.choice.amounts), 1)} {row.unit}"
    rows = [r for d in near.result.demands for r in d.rows if r.wish == near.part and missed_by(r, near.result) > STRICT_GAP]
    short = "; ".join(f"{limit_words(r)} missed by {shown(missed_by(r, near.result), 2)}" for r in rows) if len(rows) > 1 else ""
    all_changes = change_rows(task, near.result)
    more = f", and {len(all_changes) - _NAMED} more" if len(all_changes) > _NAMED else ""
    changes = ", ".join(all_changes[:_NAMED]) + more
    return [f"{name}: at best {reached} ({kept})", *([f"  {short}"] if short else []), f"  by {changes}" if changes else "  as written"]


def _additions(answer: Answer) -> list[str]:
    """Foods to add that would help, best first; the change is that between kitchen steps."""
    ranking, rules = answer.ranking, answer.task.space.rules
    shown_most = int(rules.costs["ranked_shown"])
    rows = []
    for h in ranking.foods[:shown_most]:
        if ranking.without.missed > h.missed + STRICT_GAP:
            after, before = shown(h.missed * 100, 0), shown(ranking.without.missed * 100, 0)
            part = "all targets in reach" if h.missed <= STRICT_GAP else f"targets missed by {after} % of their limits, not {before} %"
        else:
            after, before = shown(h.change * 100, 0), shown(ranking.without.change * 100, 0)
            part = f"{after} % of change instead of {before} %"
        if after != before:  # a help too small to read is none
            rows.append(f"{h.food}, about {shown(h.amount, 1)} {h.unit}: {part}")
    flag = "" if answer.request.additions else " (--add 1 lets one in)"
    return _block(f"Foods to add that would help most{flag}", rows)


def _stayed_out(task: Task) -> list[str]:
    """Foods that stayed out because of what they would bring."""
    if not task.refused:
        return []
    rows = [f"{food}: {'; '.join(reasons)}" for food, reasons in list(task.refused.items())[:_NAMED]]
    rest = list(task.refused)[_NAMED:]
    rows += [f"and {len(rest)} more: {'; '.join(rest)}"] if rest else []
    return _block("Stayed out unless --allow names them", rows)
