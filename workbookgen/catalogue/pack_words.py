"""Words on packs with their conditions: pack_words.csv, pack_rules.csv and the statements they point to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import Row, only_once, proof, read_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.claims import REFERENCE_SET, US, US_DISHES, Condition, Proof
from workbookgen.model.pack import (
    MOST_CONDITIONS,
    NOT_ON_LABEL,
    PACK_BASES,
    PackCondition,
    PackRules,
    PackWord,
)
from workbookgen.model.tables import Tables

WORD = ("id", "word", "statement", "note")
RULE = ("word", "dish", "quantity", "basis", "sign", "limit", "source_id", "section", "status", "note")
INGREDIENTS = {"salt_lines": "salt or sodium", "sugar_lines": "sugar", "fat_lines": "fat or oil"}
SHARES = ("energy_fat", "energy_sat")
LESS, MEETS, LIGHT_CUT = "less_", "meets_", "light_cut"
LIGHT_NEEDS = ("low_calorie", "low_fat")
SIGN_WORDS = {"<=": "at most", "<": "below", ">=": "at least", ">": "more than"}
PER = {
    "none": "",
    "reference": " per reference amount",
    "serving": " per serving",
    "100 g": " per 100 g",
    "small 50 g": " per 50 g",
    "healthy amount": " per reference amount or 50 g",
}
LIGHT_WORDS = "fat halved, or a third fewer calories where less than half of the energy is from fat"


def load_pack_rules(tables: Tables, folder: Path | None = None) -> PackRules:
    """All words with their conditions; raises BadInput naming file, row and mend."""
    folder = folder or data_path()
    rows = read_rows(folder / "pack_words.csv", WORD)
    only_once(rows, "id")
    only_once(rows, "word")
    more = read_rows(folder / "pack_rules.csv", RULE)
    ids = {row.text("id") for row in rows}
    for row in more:
        if row.text("word") not in ids:
            raise row.bad(f"word '{row.text('word')}' is not in pack_words.csv")
    words = tuple(_word(row, more, tables) for row in rows)
    used = list(dict.fromkeys(c.quantity for w in words for found in w.conditions.values() for c in found))
    meant = [q.removeprefix(MEETS) for q in used if q.startswith(MEETS)]
    if LIGHT_CUT in used:
        meant += [s for s in LIGHT_NEEDS if s not in meant]
    meets = {(s, dish): tuple(_of_statement(s, dish, tables)) for s in meant for dish in US_DISHES}
    return PackRules(words, tuple((q, *describe(q, tables)) for q in used), meets)


def _word(row: Row, more: Sequence[Row], tables: Tables) -> PackWord:
    word, statement = row.text("id"), row.cells["statement"]
    if statement and statement not in {s.id for s in tables.claims.statements}:
        raise row.bad(f"statement '{statement}' is not in statements.csv")
    found: dict[str, tuple[PackCondition, ...]] = {}
    for dish in US_DISHES:
        conditions = _of_statement(statement, dish, tables) if statement else []
        conditions += [
            _of_rule(rule, tables)
            for rule in more
            if rule.text("word") == word and dish in rule.items("dish", US_DISHES)
        ]
        if len(conditions) > MOST_CONDITIONS:
            raise row.bad(
                f"the word has {len(conditions)} conditions; at most {MOST_CONDITIONS} can be shown"
            )
        if conditions:
            found[dish] = tuple(conditions)
    if not found:
        raise row.bad("no condition is known for this word; name a statement or add rows to pack_rules.csv")
    return PackWord(word, row.text("word"), row.cells["note"], found)


def _of_statement(statement: str, dish: str, tables: Tables) -> list[PackCondition]:
    """Conditions of a US statement; what no label tells stands once."""
    rule = tables.claims.rule(US, dish, statement)
    conditions: list[PackCondition] = []
    for condition in rule.conditions if rule else ():
        made = _condition(condition, tables)
        if made.quantity != NOT_ON_LABEL or all(c.quantity != NOT_ON_LABEL for c in conditions):
            conditions.append(made)
    return conditions


def _condition(condition: Condition, tables: Tables) -> PackCondition:
    quantity, basis, limit = condition.quantity, condition.basis, condition.limit
    sign = condition.sign.removesuffix(" known")
    tags = {n.tag for n in tables.nutrients}
    if quantity not in tags and quantity not in INGREDIENTS and quantity not in SHARES:
        return PackCondition(NOT_ON_LABEL, "none", "<=", 0.0, "what a label does not tell", condition.proof)
    if condition.dv_tag:
        limit = limit / 100 * _daily_values(tables)[condition.dv_tag]
    asked = _asked(quantity, basis, sign, limit, tables)
    if condition.dv_tag:
        asked += f" ({condition.limit:g} % DV)"
    return PackCondition(quantity, basis, sign, limit, asked, condition.proof)


def _of_rule(row: Row, tables: Tables) -> PackCondition:
    source_id, status = proof(row, tables.sources)
    stands = Proof(source_id, row.text("section"), status, row.cells["note"])
    quantity = row.text("quantity")
    tag = quantity.removeprefix(LESS)
    known = (
        tag in {n.tag for n in tables.nutrients}
        or quantity == LIGHT_CUT
        or (quantity.removeprefix(MEETS) in {s.id for s in tables.claims.statements})
    )
    if not known:
        raise row.bad(
            f"quantity '{quantity}' is not known; use a tag, less_TAG, meets_STATEMENT or light_cut"
        )
    basis, sign = row.choice("basis", PACK_BASES), row.choice("sign", tuple(SIGN_WORDS))
    limit = row.number_in("limit")
    return PackCondition(quantity, basis, sign, limit, _asked(quantity, basis, sign, limit, tables), stands)


def _daily_values(tables: Tables) -> Mapping[str, float]:
    values = next(s.values for s in tables.reference_sets if s.id == REFERENCE_SET[US])
    return {tag: v.value for tag, v in values.items()}


def describe(quantity: str, tables: Tables) -> tuple[str, str]:
    """Name and unit of a quantity."""
    by_tag = {n.tag: n for n in tables.nutrients}
    if quantity in by_tag:
        return by_tag[quantity].name, by_tag[quantity].unit
    if quantity in INGREDIENTS:
        return f"Ingredients with {INGREDIENTS[quantity]}", ""
    if quantity == NOT_ON_LABEL:
        return "Not told by a label", ""
    if quantity == LIGHT_CUT:
        return "Reductions of a light product reached (1 = yes)", ""
    if quantity.startswith(MEETS):
        words = next(s.words[US] for s in tables.claims.statements if s.id == quantity.removeprefix(MEETS))
        return f"Compared product is itself {words.lower()} (1 = yes)", ""
    if quantity.startswith(LESS):
        return f"{by_tag[quantity.removeprefix(LESS)].name}, less than the compared product", "%"
    return tables.claims.quantities[quantity].words, "%"


def _asked(quantity: str, basis: str, sign: str, limit: float, tables: Tables) -> str:
    """The condition in words."""
    number = f"{limit:.1f}".rstrip("0").rstrip(".")
    if quantity in INGREDIENTS:
        return f"no {INGREDIENTS[quantity]} among the ingredients"
    if quantity == LIGHT_CUT:
        return LIGHT_WORDS
    if quantity.startswith(MEETS):
        words = next(s.words[US] for s in tables.claims.statements if s.id == quantity.removeprefix(MEETS))
        return f"the compared product is not itself {words.lower()}"
    if quantity.startswith(LESS):
        name = describe(quantity.removeprefix(LESS), tables)[0]
        return f"{name} {SIGN_WORDS[sign]} {number} % less than in the compared product"
    name, unit = describe(quantity, tables)
    return f"{name} {SIGN_WORDS[sign]} {number} {unit}{PER[basis]}"
