"""A recipe sheet back to a recipe: the recorded file with just those fields changed that were edited."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from workbookgen.model.recipe import KINDS, LEGUMES_AS, Note, Recipe, Review, Target
from workbookgen.nutrition.claims import DRINK
from workbookgen.nutrition.keeping import SOUP
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.load import LEAST_SERVINGS, MOST_SERVINGS
from workbookgen.recipes.text import LONGEST_NAME, LONGEST_TITLE
from workbookgen.roundtrip.lines_back import Row, lines_back
from workbookgen.roundtrip.record import Block, Edited, Plain, cell_of
from workbookgen.roundtrip.words import LeftOver, Taken, number_text, same, typed_number
from workbookgen.verify.read import Sheet
from workbookgen.workbook.card_texts import SWITCH
from workbookgen.workbook.record_fields import CARD_CHOICES, LINE, TARGET

_SIGNS = {"at least": ">=", "at most": "<="}
_MOST = 1e6
_WEEK = 10_080.0
"""Minutes: the recipe file takes no longer times."""


@dataclass(frozen=True, slots=True)
class Part:
    """One field of a sheet: contents now and when built, with addresses and part names."""

    now: tuple[Plain, ...]
    built: tuple[Plain, ...]
    at: tuple[str, ...]
    keys: tuple[str, ...]

    @property
    def changed(self) -> bool:
        return any(not same(n, b) for n, b in zip(self.now, self.built, strict=True))


@dataclass(frozen=True, slots=True)
class Back:
    """A recipe read back (None where the sheet gives none), whether anything was edited, and the row of the sheet (from
    0) that each of its lines came from."""

    recipe: Recipe | None
    changed: bool
    rows: tuple[int, ...] = ()


def parts_of(edited: Edited, blocks: Sequence[Block], sheet: Sheet | None = None) -> dict[str, Part]:
    """Fields of one tab; pieces of a long field are joined."""
    found: dict[str, Part] = {}
    for block in blocks:
        if not block.field:
            continue
        part = Part(tuple(edited.values(block, sheet)), block.built, tuple(cell_of(p) for p in block.places), block.keys)
        before = found.get(block.field)
        if before:
            part = Part(before.now + part.now, before.built + part.built, before.at + part.at, before.keys + part.keys)
        found[block.field] = part
    return found


def recipe_back(parts: Mapping[str, Part], old: Recipe | None, kitchen: Kitchen, taken: Taken, tab: str,
                card: Part | None = None) -> Back:
    """The recipe of a sheet. ``old`` is the recipe the sheet was built from, None for a spare or copied one; ``card``
    the choice on its card. An emptied sheet gives no recipe."""
    changed = any(p.changed for p in parts.values()) or bool(card and card.changed)
    if old is not None and not changed:
        return Back(old, False, tuple(range(len(old.lines))))
    rows = _rows(parts)
    if all(row.empty for row in rows) and not any(v is not None for v in parts["title"].now):
        _leave_all(parts, taken)
        return Back(None, changed)
    reader = _Reader(parts, old, kitchen, taken, tab)
    recipe = reader.read(rows)
    if card and card.changed:
        yes = taken.word(card.at[0], CARD_CHOICES, card.now[0], ("yes", "no"), "no", "") == "yes"
        recipe = replace(recipe, switches=_switched(recipe.switches, SWITCH, yes))
    return Back(recipe, changed, reader.rows)


def _rows(parts: Mapping[str, Part]) -> list[Row]:
    columns = {key.removeprefix(LINE): part for key, part in parts.items() if key.startswith(LINE)}
    count = len(next(iter(columns.values())).now)
    return [Row({k: p.now[i] for k, p in columns.items()}, {k: p.built[i] for k, p in columns.items()},
                {k: p.at[i] for k, p in columns.items()}) for i in range(count)]


def _leave_all(parts: Mapping[str, Part], taken: Taken) -> None:
    for name, part in parts.items():
        for now, built, at in zip(part.now, part.built, part.at, strict=True):
            if now is not None and not same(now, built):
                taken.leave(at, name, now, "the sheet has neither a title nor an ingredient")


def _switched(switches: Sequence[str], word: str, on: bool) -> tuple[str, ...]:
    rest = tuple(s for s in switches if s != word)
    return tuple(switches) if (word in switches) == on else (*rest, word) if on else rest


class _Reader:
    """Reads the fields that were edited into the recipe."""

    def __init__(self, parts: Mapping[str, Part], old: Recipe | None, kitchen: Kitchen, taken: Taken, tab: str) -> None:
        self.parts, self.kitchen, self.taken, self.tab, self.fresh = parts, kitchen, taken, tab, old is None
        self.recipe = old or Recipe(title="", servings=1, lines=())
        self.rows: tuple[int, ...] = ()

    def touched(self, name: str) -> Part | None:
        """The field when it must be read: edited, or there is no file behind it and something stands there."""
        part = self.parts.get(name)
        if part is None or not (part.changed or (self.fresh and any(v is not None for v in part.now))):
            return None
        return part

    def read(self, rows: Sequence[Row]) -> Recipe:
        old = self.recipe
        lines = lines_back(rows, old.lines, self.taken)
        self.rows = tuple(i for i, _ in lines)
        changes: dict[str, Any] = {"lines": tuple(line for _, line in lines)}
        changes |= self._title() | self._amounts() | self._texts() | self._choices() | self._targets() | self._notes()
        changes |= self._review() | self._kind() | self._ticks()
        return replace(old, **changes)

    def _title(self) -> dict[str, Any]:
        part = self.touched("title")
        title = self.taken.text(part.at[0], "title", part.now[0], self.recipe.title, LONGEST_TITLE) if part else self.recipe.title
        if title:
            return {"title": title}
        self.taken.left.append(_missing(self.tab, self.parts["title"].at[0], "title", self.recipe.title or self.tab))
        return {"title": self.recipe.title or self.tab}

    def _amounts(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for name, high in (("cooked_weight_g", _MOST), ("cup_weight_g", _MOST), ("prep_minutes", _WEEK), ("cook_minutes", _WEEK),
                           ("racc_g", _MOST)):
            if part := self.touched(name):
                low = 0.0 if name.endswith("minutes") else 0.001
                found[name] = self.taken.number(part.at[0], name, part.now[0], low, high, getattr(self.recipe, name))
        part = self.touched("servings")
        if part or self.fresh:
            part = part or self.parts["servings"]
            servings = self.taken.number(part.at[0], "servings", part.now[0], LEAST_SERVINGS, MOST_SERVINGS, None)
            if servings is None:
                self.taken.left.append(_missing(self.tab, part.at[0], "servings", number_text(float(self.recipe.servings))))
            else:
                found |= {"servings": servings, "makes_cups": None, "serving_cups": None}
        return found

    def _texts(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for name, key in (("serving", "serving_text"), ("may_contain", "may_contain"), ("version", "version")):
            if part := self.touched(name):
                longest = LONGEST_NAME if name == "version" else 2_000
                found[key] = self.taken.text(part.at[0], name, part.now[0], getattr(self.recipe, key), longest)
        if "version" in found:
            found["version"] = found["version"] or "1"
        for name in ("method", "storage"):
            if part := self.touched(name):
                shown = len(part.now)
                texts = [self.taken.text(at, name, v) for at, v in zip(part.at, part.now, strict=True)]
                found[name] = (*(t for t in texts if t), *getattr(self.recipe, name)[shown:])
        return found

    def _choices(self) -> dict[str, Any]:
        science, found = self.kitchen.tables.science, dict(self.recipe.settings)
        if part := self.touched("plate_by"):
            _choose(found, "plate_by", self.taken.text(part.at[0], "plate_by", part.now[0], longest=LONGEST_NAME))
        if part := self.touched("plate_mend"):
            for i, (at, value) in enumerate(zip(part.at, part.now, strict=True), 1):
                _choose(found, f"plate_mend_{i}", self.taken.text(at, "plate_mend", value, longest=LONGEST_NAME))
        if part := self.touched("iron_stores"):
            number = typed_number(part.now[0])
            levels = [row.stores_mg for row in science.stores]
            if (number is None and part.now[0] is not None) or (number is not None and number not in levels):
                self.taken.leave(part.at[0], "iron_stores", part.now[0], "not one of the levels of its list")
            else:
                _choose(found, "iron_stores", "" if number is None else f"{number:g}")
        for name, names in (("iron_stage", {n.name: n.id for n in science.needs}),
                            ("protein_pattern", {p.name: p.id for p in science.patterns})):
            if part := self.touched(name):
                word = self.taken.word(part.at[0], name, part.now[0], names, "", "?")
                if word != "?":
                    _choose(found, name, names.get(word, ""))
        return {"settings": tuple(found.items())}

    def _targets(self) -> dict[str, Any]:
        columns = {key: self.parts[TARGET + key] for key in ("nutrient", "sign", "value", "basis")}
        if not any(self.touched(TARGET + key) for key in columns):
            return {}
        tags = {n.name.casefold(): n for n in self.kitchen.tables.nutrients} | {n.tag.casefold(): n for n in self.kitchen.tables.nutrients}
        found: list[Target] = []
        old = self.recipe.targets
        for i in range(len(columns["nutrient"].now)):
            now = {key: part.now[i] for key, part in columns.items()}
            if all(same(now[key], part.built[i]) for key, part in columns.items()):
                found += old[i : i + 1]
                continue
            nutrient, sign = tags.get(str(now["nutrient"] or "").strip().casefold()), _SIGNS.get(str(now["sign"] or "").strip().lower())
            value, basis = typed_number(now["value"]), str(now["basis"] or "").strip()
            if nutrient and sign and value is not None and value >= 0 and basis in ("%DV", "amount"):
                found.append(Target(nutrient.tag, sign, value, basis, nutrient.unit if basis == "amount" else ""))
            else:
                for key, content in now.items():
                    self.taken.leave(columns[key].at[i], TARGET + key, content, "the target is not complete")
        return {"targets": (*found, *old[len(columns["nutrient"].now):])}

    def _notes(self) -> dict[str, Any]:
        texts, sources = self.parts.get("note.text"), self.parts.get("note.source")
        if texts is None or sources is None or not (self.touched("note.text") or self.touched("note.source")):
            return {}
        found: list[Note] = []
        old = self.recipe.notes
        for i, (value, source) in enumerate(zip(texts.now, sources.now, strict=True)):
            if same(value, texts.built[i]) and same(source, sources.built[i]):
                found += old[i : i + 1]
                continue
            text = self.taken.text(texts.at[i], "note.text", value)
            if not text:
                if not same(source, sources.built[i]):
                    self.taken.leave(sources.at[i], "note.source", source, "the note beside it is empty")
                continue
            known = old[i].source if i < len(old) and same(source, sources.built[i]) else ""
            found.append(Note(text, known or self._source(sources.at[i], source)))
        return {"notes": (*found, *old[len(texts.now):])}

    def _source(self, at: str, value: Plain) -> str:
        """The id of a source typed beside a note; other words cannot stand in a recipe file and are left over."""
        ids = self.kitchen.tables.sources
        word = self.taken.text(at, "note.source", value, longest=LONGEST_NAME)
        if word and word not in ids:
            self.taken.leave(at, "note.source", value, "a recipe file names sources by their id on sheet Sources")
            return ""
        return word

    def _review(self) -> dict[str, Any]:
        review = self.recipe.review
        texts = {}
        for key in ("reviewer", "date", "comment"):
            if part := self.touched(f"review.{key}"):
                texts[key] = self.taken.text(part.at[0], f"review.{key}", part.now[0], getattr(review, key), 2_000 if key == "comment" else LONGEST_NAME)
        if "date" in texts and texts["date"] and not _is_date(texts["date"]):
            part = self.parts["review.date"]
            self.taken.leave(part.at[0], "review.date", part.now[0], "not a date such as 2026-03-31")
            texts["date"] = review.date
        number = review.check_number
        if part := self.touched("review.check_number"):
            number = self.taken.number(part.at[0], "review.check_number", part.now[0], -1e12, 1e12, number)
        return {"review": Review(**({"reviewer": review.reviewer, "date": review.date, "comment": review.comment} | texts),
                                 check_number=number)}

    def _kind(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        if part := self.touched("legumes_as"):
            found["legumes_as"] = self.taken.word(part.at[0], "legumes_as", part.now[0], LEGUMES_AS, LEGUMES_AS[0], self.recipe.legumes_as)
        if part := self.touched("kind"):
            found["kind"] = self.taken.word(part.at[0], "kind", part.now[0], KINDS, "main dish", self.recipe.kind)
        if part := self.touched("counts_as"):
            found["counts_as"] = self.taken.text(part.at[0], "counts_as", part.now[0], longest=LONGEST_NAME).casefold()
        if part := self.touched("plate_model"):
            ids = {m.name: m.id for m in self.kitchen.tables.plate_models}
            word = self.taken.word(part.at[0], "plate_model", part.now[0], ids, "", "?")
            if word != "?":
                found["plate_model"] = ids.get(word, "")
        if part := self.touched("racc"):
            found["racc_text"] = self.taken.word(part.at[0], "racc", part.now[0], [r.category for r in self.kitchen.tables.claims.raccs], "",
                                                 self.recipe.racc_text)
        if part := self.touched("drink"):
            yes = self.taken.word(part.at[0], "drink", part.now[0], ("yes", "no"), "no", "") == "yes"
            found["switches"] = _switched(self.recipe.switches, DRINK, yes)
        if part := self.touched("keeps_like"):
            found |= self._keeps_like(part)
        return found

    def _keeps_like(self, part: Part) -> dict[str, Any]:
        """A recipe file knows soup or not; another kind chosen on the sheet stays with the sheet."""
        soup = next((k.name for k in self.kitchen.safety.keeping if k.id == SOUP), "")
        word = self.taken.text(part.at[0], "keeps_like", part.now[0], longest=LONGEST_NAME)
        if word and word.casefold() != soup.casefold():
            self.taken.leave(part.at[0], "keeps_like", part.now[0], "a recipe file only tells soups apart")
            return {}
        return {"soup": bool(word)}

    def _ticks(self) -> dict[str, Any]:
        part = self.touched("statement")
        if part is None:
            return {}
        ticked = list(self.recipe.statements)
        for key, at, now, built in zip(part.keys, part.at, part.now, part.built, strict=True):
            if same(now, built) and not self.fresh:
                continue
            yes = self.taken.word(at, "statement", now, ("yes", "no"), "no", "no") == "yes"
            names = _statement_names(self.kitchen, key)
            ticked = [s for s in ticked if s.casefold() not in names] if not yes else ticked
            if yes and not any(s.casefold() in names for s in ticked):
                ticked.append(key)
        return {"statements": tuple(ticked)}


def _statement_names(kitchen: Kitchen, statement: str) -> set[str]:
    """What a recipe file may call a statement."""
    found = next((s for s in kitchen.tables.claims.statements if s.id == statement), None)
    return {statement.casefold()} | ({words.casefold() for words in found.words.values()} if found else set())


def _choose(found: dict[str, str], key: str, value: str) -> None:
    if value:
        found[key] = value
    else:
        found.pop(key, None)


def _missing(tab: str, cell: str, name: str, used: str) -> LeftOver:
    return LeftOver(tab, cell, name, "", f"nothing usable is typed; the recipe file says {used}: mend it")


def _is_date(text: str) -> bool:
    try:
        return datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
