"""The rules for statements: what may be said, under which conditions, with which words beside."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from pathlib import Path

from workbookgen.catalogue.claims_tables import (
    read_bounds,
    read_comparisons,
    read_disclosures,
    read_healthy,
    read_healthy_map,
    read_kinds,
    read_raccs,
    row_proof,
)
from workbookgen.catalogue.csvread import Row, only_once, read_rows
from workbookgen.model.claims import (
    BASES,
    EU,
    EU_DISHES,
    HEALTH,
    QUANTITY_KINDS,
    REFERENCE_SET,
    SIGNS,
    US,
    US_DISHES,
    ClaimRules,
    Condition,
    Quantity,
    Rule,
    Statement,
)
from workbookgen.model.tables import Nutrient, ReferenceSet, ReferenceValue

STATEMENT = ("id", "group", "kind", "words_us", "words_eu", "part_words", "tags", "shown")
QUANTITY = ("id", "words", "kind", "terms", "unit", "note")
CONDITION = (
    "id",
    "dish",
    "quantity",
    "basis",
    "sign",
    "limit",
    "limit_is",
    "path",
    "disclosure",
    "source_id",
    "section",
    "status",
    "note",
)
HEALTH_CONDITION = ("id", "words", *CONDITION[1:])
PREFIXED = ("say", "part", "input")


def load_claims(
    folder: Path,
    nutrients: Sequence[Nutrient],
    reference_sets: Sequence[ReferenceSet],
    sources: Container[str],
) -> ClaimRules:
    """Read every rule table below ``folder``; raises BadInput naming file, row and mend."""
    units = {n.tag: n for n in nutrients}
    values = {s.id: s.values for s in reference_sets}
    statements, tags_of = _statements(folder, units)
    quantities = _quantities(folder, units)
    ids = {s.id for s in statements}
    rules: dict[tuple[str, str, str], Rule] = {}
    for name, rule_set, dishes in (("claims_us.csv", US, US_DISHES), ("claims_eu.csv", EU, EU_DISHES)):
        rows = read_rows(folder / name, CONDITION)
        rules |= _rules(
            rows, rule_set, dishes, tags_of, ids, quantities, units, sources, values[REFERENCE_SET[rule_set]]
        )
    healthy = read_healthy(folder, sources)
    return ClaimRules(
        statements=statements,
        quantities=quantities,
        rules=rules,
        health=_health(folder, ids, quantities, units, sources),
        comparisons=read_comparisons(folder, ids, quantities, units, sources),
        disclosures=read_disclosures(folder, ids, units, sources),
        kinds=read_kinds(folder, sources),
        raccs=read_raccs(folder, sources),
        healthy_groups=healthy,
        healthy_map=read_healthy_map(folder, healthy),
        bounds=read_bounds(folder, units),
    )


def _tags(row: Row, units: Mapping[str, Nutrient]) -> list[tuple[str, str]]:
    found = []
    for part in row.items("tags"):
        tag, _, name = part.partition(":")
        if tag not in units or not name:
            raise row.bad(f"'tags' holds '{part}'; write TAG:name with a tag of nutrients.csv")
        found.append((tag, name))
    return found


def _statements(
    folder: Path, units: Mapping[str, Nutrient]
) -> tuple[tuple[Statement, ...], dict[str, list[str]]]:
    """Statements, spelled out per tag, and the tags of each row as written."""
    rows = read_rows(folder / "statements.csv", STATEMENT)
    only_once(rows, "id")
    found: list[Statement] = []
    tags_of: dict[str, list[str]] = {}
    for row in rows:
        plain = row.text("id")
        tags = _tags(row, units)
        if ("{tag}" in plain) != bool(tags):
            raise row.bad("'tags' must be filled exactly when the id holds {tag}")
        tags_of[plain] = [tag for tag, _ in tags]
        for tag, name in tags or [("", "")]:

            def spell(text: str, tag: str = tag, name: str = name) -> str:
                return text.replace("{tag}", tag).replace("{nutrient}", name)

            words = {US: spell(row.cells["words_us"]), EU: spell(row.cells["words_eu"])}
            found.append(
                Statement(
                    spell(plain),
                    row.text("group"),
                    row.text("kind"),
                    words,
                    spell(row.cells["part_words"]),
                    row.yes("shown"),
                )
            )
    return tuple(found), tags_of


def _quantities(folder: Path, units: Mapping[str, Nutrient]) -> dict[str, Quantity]:
    rows = read_rows(folder / "claim_quantities.csv", QUANTITY)
    only_once(rows, "id")
    found = {n.tag: Quantity(n.tag, n.name, "sum", ((n.tag, 1.0),), n.unit) for n in units.values()}
    for row in rows:
        kind = row.choice("kind", QUANTITY_KINDS)
        terms = tuple(
            _term(row, part, units if kind in ("sum", "energy share", "fat share") else None)
            for part in row.items("terms")
        )
        found[row.text("id")] = Quantity(
            row.text("id"), row.text("words"), kind, terms, row.text("unit"), row.cells["note"]
        )
    return found


def _term(row: Row, part: str, units: Mapping[str, Nutrient] | None) -> tuple[str, float]:
    tag, _, factor = part.partition("*")
    if units is not None and tag not in units:
        raise row.bad(f"'terms' holds '{tag}', which is no tag of nutrients.csv")
    try:
        return tag, float(factor) if factor else 1.0
    except ValueError:
        raise row.bad(f"'terms' holds the factor '{factor}', which is no number") from None


def _quantity_id(
    row: Row, text: str, ids: Container[str], quantities: dict[str, Quantity], units: Mapping[str, Nutrient]
) -> str:
    """A known quantity; ``say:``, ``part:`` and ``input:`` ones are made when first met."""
    if text in quantities:
        return text
    kind, _, what = text.partition(":")
    if kind not in PREFIXED or not what:
        raise row.bad(f"quantity '{text}' is not known; add it to claim_quantities.csv")
    if kind == "say" and what not in ids:
        raise row.bad(f"'{text}' asks for a statement that statements.csv does not have")
    if kind == "part" and what not in units:
        raise row.bad(f"'{text}' names no tag of nutrients.csv")
    words = {"say": "statement", "part": "ingredient that brings most", "input": "typed on Statements"}[kind]
    unit = units[what].unit if kind == "part" else ("g" if kind == "input" else "")
    quantities[text] = Quantity(
        text, f"{words}: {units[what].name if kind == 'part' else what}", kind, ((what, 1.0),), unit
    )
    return text


def _condition(
    row: Row,
    tag: str,
    ids: Container[str],
    quantities: dict[str, Quantity],
    units: Mapping[str, Nutrient],
    sources: Container[str],
) -> Condition:
    quantity = _quantity_id(row, row.text("quantity").replace("{tag}", tag), ids, quantities, units)
    sign = row.choice("sign", SIGNS)
    limit_is = row.text("limit_is").replace("{tag}", tag)
    dv_tag = ""
    if limit_is.startswith("% DV"):
        dv_tag = limit_is.removeprefix("% DV").removeprefix(" of ").strip() or quantity.removeprefix("part:")
        if dv_tag not in units:
            raise row.bad(f"'limit_is' is '{limit_is}'; name a tag: % DV of TAG")
    elif limit_is != "amount":
        raise row.bad(f"'limit_is' is '{limit_is}'; write amount or % DV")
    path = int(row.number_or_none("path", 1, 9) or 0)
    return Condition(
        quantity,
        row.choice("basis", BASES),
        sign,
        row.number_in("limit"),
        dv_tag,
        path,
        row_proof(row, sources),
    )


def _rules(
    rows: Sequence[Row],
    rule_set: str,
    dishes: Sequence[str],
    tags_of: Mapping[str, list[str]],
    ids: Container[str],
    quantities: dict[str, Quantity],
    units: Mapping[str, Nutrient],
    sources: Container[str],
    values: Mapping[str, ReferenceValue],
) -> dict[tuple[str, str, str], Rule]:
    grouped: dict[tuple[str, str, str], list[Condition]] = {}
    beside: dict[tuple[str, str, str], str] = {}
    for row in rows:
        plain = row.text("id")
        for tag in tags_of.get(plain, []) or [""]:
            statement = plain.replace("{tag}", tag)
            if statement not in ids:
                raise row.bad(f"statement '{statement}' is not in statements.csv")
            condition = _condition(row, tag, ids, quantities, units, sources)
            if condition.dv_tag and condition.dv_tag not in values:
                if tag:
                    continue  # this set has no reference value for the nutrient, so no such statement
                raise row.bad(
                    f"there is no reference value for {condition.dv_tag} in the set this rule belongs to"
                )
            for dish in row.items("dish", dishes):
                key = rule_set, dish, statement
                grouped.setdefault(key, []).append(condition)
                beside[key] = beside.get(key, "") or row.cells["disclosure"]
    return {key: Rule(key[2], rule_set, key[1], tuple(found), beside[key]) for key, found in grouped.items()}


def _health(
    folder: Path,
    ids: Container[str],
    quantities: dict[str, Quantity],
    units: Mapping[str, Nutrient],
    sources: Container[str],
) -> tuple[tuple[str, Rule], ...]:
    grouped: dict[str, list[Condition]] = {}
    words: dict[str, str] = {}
    for row in read_rows(folder / "claims_health_us.csv", HEALTH_CONDITION):
        key = row.text("id")
        words[key] = row.text("words")
        grouped.setdefault(key, []).append(_condition(row, "", ids, quantities, units, sources))
    return tuple((words[key], Rule(key, HEALTH, "any", tuple(found))) for key, found in grouped.items())
