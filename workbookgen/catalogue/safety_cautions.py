"""Loads cautions: triggers (``cautions.csv``), words (``cautions.md``) and marks (``caution_foods.csv``)."""

from __future__ import annotations

from collections.abc import Container, Mapping
from pathlib import Path

from workbookgen.catalogue.csvread import PROVEN, STATUSES, Row, only_once, proof, read_rows
from workbookgen.catalogue.safety_texts import fill_in, read_words
from workbookgen.model.errors import BadInput
from workbookgen.model.safety import Caution, CautionFood, FoodSelector, Trigger

TRIGGER_KINDS = ("ingredient", "untreated", "amount", "share")
OF_NUTRIENT = ("amount", "share")
SIGNS = (">=", ">", "<=")
CAUTION_ANSWERS = ("ask first", "take care")
WHY = "why"
#: Phrases of which one must close each text: a person or the local rules have the last word.
HANDS_OVER = (
    "ask your own clinician",
    "follow your local food-safety rules",
    "follow local food-safety rules",
)


def load_cautions(
    folder: Path, templates: Path, figures: Mapping[str, str], sources: Container[str], tags: Container[str]
) -> tuple[Caution, ...]:
    """Cautions in the order of the file, each with its triggers and words.

    Raises ``BadInput`` for a caution without words, words without a caution, and a text that does not hand
    over to a clinician, a dietitian or local rules.
    """
    columns = (
        "caution", "answer", "kind", "key", "name", "sign", "limit", "per", "limit_source", "limit_status",
        *PROVEN,
    )  # fmt: skip
    rows = read_rows(folder / "cautions.csv", columns)
    only_once(rows, "caution", "kind", "key")
    words = read_words(templates / "cautions.md")
    triggers: dict[str, list[Trigger]] = {}
    answers: dict[str, str] = {}
    last = ""
    for row in rows:
        trigger = _trigger(row, sources, tags)
        if trigger.caution in triggers and trigger.caution != last:
            raise row.bad(f"triggers of '{trigger.caution}' stand further up; move the row there")
        answer = row.choice("answer", CAUTION_ANSWERS)
        if answers.setdefault(trigger.caution, answer) != answer:
            raise row.bad(f"'{trigger.caution}' has another answer further up; make them the same")
        triggers.setdefault(trigger.caution, []).append(trigger)
        last = trigger.caution
    unused = [name for name in words if name not in triggers]
    if unused:
        what = f"'{unused[0]}' has no trigger in cautions.csv; add one or remove the words"
        raise BadInput("cautions.md", what)
    return tuple(
        _caution(name, answers[name], tuple(found), words.get(name, {}), figures)
        for name, found in triggers.items()
    )


def _trigger(row: Row, sources: Container[str], tags: Container[str]) -> Trigger:
    source_id, status = proof(row, sources)
    kind, key = row.choice("kind", TRIGGER_KINDS), row.text("key")
    figures = kind in OF_NUTRIENT
    if figures and key not in tags:
        raise row.bad(f"nutrient '{key}' is not in nutrients.csv; correct the tag")
    if not figures and any(row.cells[c] for c in ("name", "sign", "limit", "per", "limit_source")):
        raise row.bad("an ingredient trigger has no name, sign, limit, per or limit_source; empty them")
    limit_source = row.text("limit_source", blank=not figures)
    if figures and limit_source not in sources:
        raise row.bad(f"source '{limit_source}' is not in sources.csv; add it there or correct the id")
    return Trigger(
        caution=row.text("caution"),
        kind=kind,
        key=key,
        name=row.text("name", blank=not figures),
        sign=row.choice("sign", SIGNS) if figures else "",
        limit=row.number_in("limit", 0) if figures else 0.0,
        per=row.positive("per") if kind == "share" else 0.0,
        source_id=source_id,
        status=status,
        limit_source=limit_source,
        limit_status=row.choice("limit_status", STATUSES) if figures else "",
        note=row.text("note", blank=True),
    )


def _caution(
    name: str,
    answer: str,
    triggers: tuple[Trigger, ...],
    words: Mapping[str, str],
    figures: Mapping[str, str],
) -> Caution:
    missing = [key for key in ("title", "sheet") if key not in words]
    if missing:
        raise BadInput("cautions.md", f"'{name}' lacks the line {missing[0]}; write it")
    texts = {
        key: fill_in(words.get(key, ""), figures, f"cautions.md, {name}, {key}", keep=(WHY,))
        for key in ("title", "sheet", "card")
    }
    for key in ("sheet", "card"):
        if texts[key] and not any(phrase in texts[key].lower() for phrase in HANDS_OVER):
            raise BadInput(f"cautions.md, {name}, {key}", f"must say one of: {'; '.join(HANDS_OVER)}")
    return Caution(name, answer, texts["title"], texts["sheet"], texts["card"], triggers)


def load_caution_foods(folder: Path, sources: Container[str]) -> tuple[CautionFood, ...]:
    """Caution marks told by the name of a food."""
    rows = read_rows(folder / "caution_foods.csv", ("mark", "words", "but", "groups", "states", *PROVEN))
    found = []
    for row in rows:
        row.text("words")
        selector = FoodSelector(
            groups=row.items("groups"),
            states=row.items("states"),
            words=row.items("words"),
            but=row.items("but"),
        )
        found.append(
            CautionFood(row.text("mark"), selector, *proof(row, sources), row.text("note", blank=True))
        )
    return tuple(found)
