"""Finds the foods that the words of an ingredient line mean, each with a score from 0 to 100.

Names and synonyms are compared word by word, rare words weighing more than common ones; the state (dry,
cooked, canned, drained) and words of degree (low sodium, fat free) weigh heavily. Mistyped words are caught
with rapidfuzz. Bare words ("milk", "flour") follow a table of what a cook means by them.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from rapidfuzz import fuzz, process

from workbookgen.catalogue.csvread import read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.faces import Face, faces_of
from workbookgen.exchange.food_words import Speller
from workbookgen.exchange.lexicon import FOLDER, Lexicon
from workbookgen.exchange.states import (
    Degree,
    load_degrees,
    load_state_scores,
    state_score,
    take_degrees,
    take_state,
)
from workbookgen.model.food import Food, FoodTable


@dataclass(frozen=True, slots=True)
class Found:
    """A food with its score; ``state`` 0 to 1 says how well its state fits, ``missed`` are words not found.

    ``default`` is "" or the reason for which a bare word means this food, ``sure`` whether that is settled.
    ``degree_off`` names a degree the line tells and the food is far from ("low sodium"),
    ``head`` the share of the food's own head words that the line says.
    """

    food: Food
    score: float
    state: float
    missed: tuple[str, ...] = ()
    default: str = ""
    sure: bool = True
    degree_off: str = ""
    head: float = 1.0


@dataclass(frozen=True, slots=True)
class Query:
    """A line in the one spelling: food words, words behind the comma, state asked for, degrees told."""

    name: tuple[str, ...]
    comment: tuple[str, ...]
    state: str
    degrees: Mapping[str, Degree]
    all_words: tuple[str, ...]
    spoonful: bool = False


class Matcher:
    """Knows the names of a food table; ``find`` ranks its foods for a line."""

    def __init__(self, table: FoodTable, words: Lexicon, data: Path | None = None) -> None:
        folder = data if data is not None else data_path()
        raw = tomllib.loads((folder / FOLDER / "matching.toml").read_text(encoding="utf-8"))
        self.weights: dict[str, float] = raw["weights"]
        self.sure: dict[str, float] = raw["sure"]
        self.words, self.spell = words, Speller(words)
        self._state_tokens = words.state_tokens
        self._degrees = load_degrees(folder, self.spell)
        self._states = load_state_scores(folder)
        self.by_name = {f.name: f for f in table.foods}
        self.faces = [face for food in table.foods for face in self._faces_of(food)]
        self._index: dict[str, list[int]] = {}
        for number, face in enumerate(self.faces):
            for token in {*face.head, *face.rest}:
                self._index.setdefault(token, []).append(number)
        self._idf = {t: math.log(len(self.faces) / len(found)) for t, found in self._index.items()}
        self._usual = sorted(self._idf.values())[len(self._idf) // 2]
        self._vocabulary = sorted(self._index)
        self._defaults = self._load_defaults(folder)

    def _faces_of(self, food: Food) -> list[Face]:
        return faces_of(food, self.spell, self._degrees)

    def _load_defaults(self, data: Path) -> dict[tuple[frozenset[str], str, str], tuple[Food, bool, str]]:
        found = {}
        for row in read_rows(
            data / FOLDER / "defaults.csv", ("words", "state", "units", "food", "sure", "why")
        ):
            key, state = frozenset(self.spell.tokens(row.text("words"))), row.text("state", blank=True)
            food = self.by_name.get(row.text("food"))
            if food is not None:  # another food table may lack it: then the words are compared as usual
                entry = (food, row.yes("sure"), row.text("why", blank=True) or "usual meaning")
                found[(key, state, row.choice("units", ("any", "spoon", "more")))] = entry
        return found

    def query(self, name: str, comment: str = "", in_can: bool = False, spoonful: bool = False) -> Query:
        """The words of a line as they are compared."""
        state, name, comment = take_state(name, comment, in_can, self.words, self.spell)
        all_words = self.spell.tokens(name)
        flat_name, told = take_degrees(name, self._degrees)
        flat_comment, told_later = take_degrees(comment, self._degrees)
        flat_name = flat_name or name  # "whole milk" is a degree and the food in one
        return Query(
            self.spell.tokens(flat_name),
            self.spell.tokens(flat_comment),
            state,
            {**told_later, **told},
            all_words,
            spoonful,
        )

    def knows(self, word: str) -> bool:
        """True when ``word`` stands in the name or synonym of a food or is a word of cutting."""
        tokens = self.spell.tokens(word)
        return any(t in self._index or t in self.spell.prep for t in tokens if len(t) > 2)

    def find(self, query: Query, limit: int = 10) -> list[Found]:
        """The best foods for ``query``, best first, names breaking ties; empty when no word is known."""
        name, known = self._known(query.name)
        comment, known_later = self._known(query.comment)
        numbers = sorted({n for t in (*name, *comment) for n in self._index.get(t, ())})
        best: dict[str, Found] = {}
        for number in numbers:
            found = self._score(self.faces[number], name, comment, {**known_later, **known}, query)
            kept = best.get(found.food.id)
            if kept is None or found.score > kept.score:
                best[found.food.id] = found
        ranked = sorted(best.values(), key=lambda f: (-f.score, f.food.name))
        return self._default_first(query, ranked)[:limit]

    def _known(self, tokens: tuple[str, ...]) -> tuple[tuple[str, ...], dict[str, float]]:
        """``tokens`` with mistyped ones mended, and how much each counts (1 when typed as known)."""
        out, worth = [], {}
        for token in tokens:
            if (
                token not in self._index
                and len(token) >= self.weights["typing_least_letters"]
                and token not in self.spell.prep
            ):
                near = process.extractOne(
                    token, self._vocabulary, scorer=fuzz.ratio, score_cutoff=self.weights["typing"]
                )
                if near:
                    token = near[0]
                    worth[token] = self.weights["typing_worth"]
            out.append(token)
        return tuple(dict.fromkeys(out)), worth

    def _weight(self, token: str, found: bool, comment: bool) -> float:
        cutting = token in self.spell.prep
        kind = (
            ""
            if token in self._state_tokens
            else "comment_word"
            if comment
            else "cutting_word"
            if cutting
            else ""
        )
        share = 1.0 if not kind else self.weights[f"{kind}_found"] if found else self.weights[kind]
        return share * min(1.5, max(0.5, self._idf.get(token, self._usual) / self._usual))

    def _score(
        self,
        face: Face,
        name: tuple[str, ...],
        comment: tuple[str, ...],
        worth: dict[str, float],
        query: Query,
    ) -> Found:
        w, has = self.weights, {*face.head, *face.rest}
        total = found = 0.0
        missed = []
        for tokens, later in ((name, False), (comment, True)):
            for token in tokens:
                weight = self._weight(token, token in has, later)
                total += weight
                found += weight * worth.get(token, 1.0) if token in has else 0.0
                if (
                    token not in has
                    and not later
                    and token not in self.spell.prep
                    and token not in self._state_tokens
                ):
                    missed.append(token)
        said = {*name, *comment}
        head_all = sum(self._idf[t] for t in face.head) or 1.0
        head_said = sum(self._idf[t] for t in face.head if t in said)
        state = state_score(self._states, query.state, face.food.group, face.food.state)
        score = 100 * (
            w["covered"] * found / (total or 1.0) + w["head"] * head_said / head_all + w["state"] * state
        )
        last = next(
            (t for t in reversed(name) if t not in self.spell.prep and t not in self._state_tokens), ""
        )
        if last and last not in has:
            score *= w["head_missed"]
        elif last and face.head and last == face.head[-1]:
            score += w["same_last"]
        extra = [t for t in face.rest if t not in said and t not in self._state_tokens]
        score -= w["extra_word"] * len(extra) * (0.5 if face.synonym else 1.0)
        score -= w["synonym"] if face.synonym else 0.0
        points, off = self._degree_points(face, query)
        return Found(
            face.food,
            max(0.0, score - points),
            state,
            tuple(missed),
            degree_off=off,
            head=head_said / head_all,
        )

    def _degree_points(self, face: Face, query: Query) -> tuple[float, str]:
        points, off = 0.0, ""
        for group in sorted({*face.degrees, *query.degrees}):
            has, told = face.degrees.get(group), query.degrees.get(group)
            one = has or told
            usual = one.bare if one else 0
            level = has.level if has else self._bare(face.food, group, usual)
            apart = abs(level - (told.level if told else usual))
            kind = "degree" if told else "degree_untold"
            points += apart * self.weights[kind] + (self.weights[f"{kind}_step"] if apart else 0.0)
            if told and apart > 1:
                off = told.words
        return points, off

    @staticmethod
    def _bare(food: Food, group: str, usual: int) -> int:
        """The level of a food whose name tells none: without added salt or sugar it is the lowest."""
        added = {"salt": food.salt_ingredient, "sweet": food.sugar_ingredient}.get(group)
        return 0 if added == "no" else usual

    def _default_first(self, query: Query, ranked: list[Found]) -> list[Found]:
        """Puts the food that a bare word means in front; words no food has make it unsure."""
        bare = {t for t in query.name if t not in self._index and t not in self.spell.prep}
        prep = {t for t in query.all_words if t in self.spell.prep}
        whole = frozenset(query.all_words)
        for words in dict.fromkeys((whole, whole - prep, whole - bare, whole - bare - prep)):
            strange = tuple(t for t in query.all_words if t in bare and t not in words)
            for state, units in (
                (query.state, "any"),
                ("", "spoon" if query.spoonful else "more"),
                ("", "any"),
            ):
                entry = self._defaults.get((words, state, units)) if words else None
                if entry is None or (not state and self._other_state(query, entry[0])):
                    continue
                food, sure, why = entry
                if self._said_more(food, {*whole, *query.comment} - words, ranked):
                    return ranked
                fits = state_score(self._states, query.state, food.group, food.state)
                first = Found(food, 100.0, max(fits, self.sure["state"]), strange, why, sure and not strange)
                return [first, *(f for f in ranked if f.food.id != food.id)]
        return ranked

    def _said_more(self, food: Food, dropped: set[str], ranked: list[Found]) -> bool:
        """True when the line has a word beside the bare ones that settles the food: one that the best food
        by its words has and the usual one lacks ("peeled"), or that the usual food has ("skinless")."""
        if not ranked or ranked[0].score < self.sure["score"]:
            return False
        has, own = self._tokens_of(ranked[0].food), self._tokens_of(food)
        if ranked[0].food.id == food.id:
            return any(t in own and t not in self.spell.prep for t in dropped - self._state_tokens)
        return any(t in has and t not in own for t in dropped - self._state_tokens)

    def _tokens_of(self, food: Food) -> set[str]:
        return set(self.spell.tokens(f"{food.name} {food.synonyms.replace(';', ' ')}"))

    def _other_state(self, query: Query, food: Food) -> bool:
        """True when the line asks for a state, degree or kind that the bare word's food does not have."""
        levels = {(d.group, d.level) for f in self._faces_of(food) for d in f.degrees.values()}
        told = any((group, d.level) not in levels for group, d in query.degrees.items())
        asked = query.state and state_score(self._states, query.state, food.group, food.state) < 0.8
        own = self._tokens_of(food)
        comment = any(
            t in self._index and t not in self.spell.prep and t not in self._state_tokens and t not in own
            for t in query.comment
        )
        return bool(told or asked or comment)
