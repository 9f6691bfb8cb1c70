"""Rules for the text of one formula; the rules themselves stand in ``data/lint_rules.toml``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from workbookgen.verify.tokens import Token, function_name, has_span, split_sheet, tokens


class Fault(NamedTuple):
    """A rule that is broken, and what breaks it."""

    rule: str
    detail: str


@dataclass
class _Frame:
    """An open bracket: the function it belongs to (empty for a plain bracket) and where we are in it."""

    name: str
    argument: int = 1
    look_up: bool = False


_REFERENCE = re.compile(r"(?<![\w.\"])\$?[A-Z]{1,3}\$?[1-9][0-9]{0,6}(?![\w(.!])")


def alike(formula: str) -> str:
    """The formula with every cell name made equal: what breaks a rule in one breaks it in all alike."""
    return _REFERENCE.sub("A1", formula)


def length_faults(formula: str, rules: dict[str, Any]) -> Iterator[Fault]:
    """Faults that depend on the exact length of the formula and its texts."""
    limits = rules["limits"]
    if len(formula) + 1 > limits["formula_characters"]["max"]:
        yield Fault("formula too long", f"{len(formula) + 1} characters")
    longest = limits["text_in_formula"]["max"]
    if len(formula) > longest:
        for token in tokens(formula):
            if token.kind == "text" and len(token.text[1:-1].replace('""', '"')) > longest:
                yield Fault("text in formula too long", f"{len(token.text) - 2} characters")


class FormulaLint:
    """Checks formulas one by one; remembers those it has seen.

    ``names`` are the defined names of the whole workbook in capitals, ``ranges`` those among them that
    stand for more than one cell, ``local`` those confined to one sheet.
    """

    def __init__(self, rules: dict[str, Any], names: set[str], ranges: set[str], local: set[str]) -> None:
        self._rules, self._names, self._ranges, self._local = rules, names, ranges, local
        self._banned: dict[str, str] = rules["banned"]
        self._proven = set(rules["proven"]["functions"])
        self._scalar = set(rules["sumproduct"]["scalar"])
        self._criteria = set(rules["criteria"]["functions"])
        self._look_ups = set(rules["iferror"]["look_ups"])
        self._allowed = {float(row["number"]) for row in rules["constants"]["allowed"]}
        self._places: dict[str, list[int]] = rules["constants"]["places"]
        self._seen: dict[str, tuple[Fault, ...]] = {}

    def check(self, formula: str) -> tuple[Fault, ...]:
        """Faults of a cell formula given without its leading ``=``."""
        key = alike(formula)
        found = self._seen.get(key)
        if found is None:
            found = self._seen[key] = tuple(dict.fromkeys(self._walk(key)))
        return (*found, *length_faults(formula, self._rules))

    def check_elsewhere(self, formula: str) -> tuple[Fault, ...]:
        """Faults of a formula of a validation or conditional format, which stores no value: figures, joined
        ranges and wildcards (a list that starts as typed) may stand."""
        lenient = ("constant in formula", "joined references", "wildcard in a criterion")
        return tuple(fault for fault in self.check(formula) if fault.rule not in lenient)

    def _walk(self, formula: str) -> Iterator[Fault]:
        frames: list[_Frame] = []
        parts = [token for token in tokens(formula) if token.kind != "space"]
        deepest = self._rules["limits"]["formula_nesting"]["max"]
        for number, token in enumerate(parts):
            before = parts[number - 1] if number else Token("start", "")
            after = parts[number + 1] if number + 1 < len(parts) else Token("end", "")
            if token.kind == "function":
                yield from self._function(token, after, frames)
                if sum(1 for frame in frames if frame.name) == deepest + 1:
                    yield Fault("nested too deep", f"more than {deepest} functions inside each other")
            elif token.kind == "open":
                frames.append(_Frame(""))
            elif token.kind in ("close", "comma"):
                yield from self._end_of_argument(token, frames)
            elif token.kind in ("area", "whole", "table", "name"):
                yield from self._reference(token, frames)
            elif token.kind == "number":
                yield from self._number(token, before, after, frames)
            elif token.kind == "text":
                yield from self._text(token, frames)
            elif token.kind == "operator":
                yield from _operator(token, before)
            elif token.kind in ("error", "other"):
                yield Fault("not plain formula text", token.text)

    def _function(self, token: Token, after: Token, frames: list[_Frame]) -> Iterator[Fault]:
        name = function_name(token)
        frames.append(_Frame(name))
        if name in self._banned:
            yield Fault("banned function", f"{name}: {self._banned[name]}")
        elif name not in self._proven:
            yield Fault("function not proven", f"{name}: not yet tried in all engines")
        if name in self._look_ups:
            for frame in frames:
                frame.look_up = True
        if name in ("ROW", "COLUMN") and after.kind == "close":
            yield Fault("banned function", f"{name}() without a reference")

    def _end_of_argument(self, token: Token, frames: list[_Frame]) -> Iterator[Fault]:
        if not frames:
            return
        frame = frames[-1]
        if frame.name == "IFERROR" and frame.argument == 1 and not frame.look_up:
            yield Fault("IFERROR without a look-up", "IFERROR round something that is no look-up")
        if token.kind == "comma":
            frame.argument += 1
        else:
            frames.pop()

    def _reference(self, token: Token, frames: list[_Frame]) -> Iterator[Fault]:
        sheet, rest = split_sheet(token.text)
        if token.kind == "table":
            yield Fault("structured reference", token.text)
            return
        if token.kind == "whole":
            yield Fault("whole column or row", rest)
        if sheet is not None and has_span(sheet):
            yield Fault("several sheets or another workbook", token.text)
        if token.kind == "name":
            upper = token.text.upper()
            if upper in self._local or sheet is not None:
                yield Fault("name of one sheet in a formula", token.text)
            elif upper not in self._names:
                yield Fault("unknown name", token.text)
        wide = (
            ":" in rest
            if token.kind == "area"
            else token.kind == "whole" or token.text.upper() in self._ranges
        )
        inner = next((frame.name for frame in reversed(frames) if frame.name), "")
        if wide and inner in self._scalar and any(frame.name == "SUMPRODUCT" for frame in frames):
            yield Fault("scalar function over a range in SUMPRODUCT", inner)

    def _number(self, token: Token, before: Token, after: Token, frames: list[_Frame]) -> Iterator[Fault]:
        value = float(token.text)
        inner = next((frame for frame in reversed(frames) if frame.name), _Frame(""))
        places = self._places.get(inner.name, ())
        if value not in self._allowed and not (value.is_integer() and inner.argument in places):
            yield Fault("constant in formula", token.text)
        alone = before.kind == "comma" and after.kind in ("comma", "close")
        if inner.name == "INDEX" and inner.argument > 1 and alone and value == 0:
            yield Fault("INDEX of a whole row or column", "INDEX with 0 for all rows or columns")

    def _text(self, token: Token, frames: list[_Frame]) -> Iterator[Fault]:
        if not frames:
            return
        frame, text = frames[-1], token.text[1:-1]
        if frame.name in self._criteria and ("?" in text or "*" in text or text == "<>"):
            yield Fault("wildcard in a criterion", f"{frame.name} with {token.text}")
        if frame.name == "TEXT" and frame.argument == 2 and ("." in text or "," in text or "/" in text):
            yield Fault("TEXT with a decimal format", token.text)


def _operator(token: Token, before: Token) -> Iterator[Fault]:
    if token.text == "-" and before == token:
        yield Fault("double minus", "--( is 0 in one engine; multiply by 1")
    elif token.text == ":":
        yield Fault("joined references", "a range joined of two references")
    elif token.text in ("@", "#"):
        yield Fault("dynamic array notation", token.text)
