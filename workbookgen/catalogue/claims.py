"""The rules for statements, read from data/: statements, conditions, disclosures, kinds of dish, reference amounts."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from pathlib import Path

from workbookgen.catalogue.csvread import STATUSES, Row, only_once, proof, read_rows
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
    Comparison,
    Condition,
    Disclosure,
    DishKind,
    HealthyGroup,
    Proof,
    Quantity,
    Racc,
    Rule,
    Statement,
    UpperBound,
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
COMPARISON = (
    "id",
    "rule_set",
    "dish",
    "words",
    "quantity",
    "change",
    "least",
    "counted",
    "reference_not",
    "also",
    "source_id",
    "section",
    "status",
    "note",
)
DISCLOSURE = ("id", "words", "unless", "tag", "shows", "section", "source_id", "status")
KIND = (
    "kind",
    "words",
    "least_serving_g",
    "portion_g",
    "portions",
    "groups",
    "source_id",
    "section",
    "status",
    "note",
)
RACC = ("id", "category", "grams", "ml", "hints", "states", "names", "source_id", "status", "note")
HEALTHY = (
    "id",
    "group",
    "unit",
    "one_equivalent",
    "least_equivalents",
    "sodium_dv",
    "added_sugars_dv",
    "saturated_fat_dv",
    "status",
    "note",
)
HEALTHY_MAP = ("food_group", "role", "group")
BOUND = ("tag", "within", "use_within")
ALSO = ("", "sat_2g", "fat_below_half", "energy_not_higher", "source")
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
    healthy = _healthy(folder, sources)
    return ClaimRules(
        statements=statements,
        quantities=quantities,
        rules=rules,
        health=_health(folder, ids, quantities, units, sources),
        comparisons=_comparisons(folder, ids, quantities, units, sources),
        disclosures=_disclosures(folder, ids, units, sources),
        kinds=_kinds(folder, sources),
        raccs=_raccs(folder, sources),
        healthy_groups=healthy,
        healthy_map=_healthy_map(folder, healthy),
        bounds=_bounds(folder, units),
    )


def _proof(row: Row, sources: Container[str], section: str = "section") -> Proof:
    source_id, status = proof(row, sources)
    note = row.cells.get("note", "")
    return Proof(source_id, row.text(section) if section else "", status, note)


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
        quantity, row.choice("basis", BASES), sign, row.number_in("limit"), dv_tag, path, _proof(row, sources)
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


def _comparisons(
    folder: Path,
    ids: Container[str],
    quantities: Mapping[str, Quantity],
    units: Mapping[str, Nutrient],
    sources: Container[str],
) -> tuple[Comparison, ...]:
    rows = read_rows(folder / "claims_compare.csv", COMPARISON)
    only_once(rows, "id")
    found = []
    for row in rows:
        if row.text("quantity") not in quantities:
            raise row.bad(f"quantity '{row.text('quantity')}' is not known")
        if row.cells["reference_not"] and row.cells["reference_not"] not in ids:
            raise row.bad(f"statement '{row.cells['reference_not']}' is not in statements.csv")
        found.append(
            Comparison(
                row.text("id"),
                row.choice("rule_set", (US, EU)),
                row.choice("dish", ("any", *US_DISHES)),
                row.text("words"),
                row.text("quantity"),
                row.choice("change", ("less", "more")),
                row.positive("least"),
                row.choice("counted", ("%", "points of % DV")),
                row.cells["reference_not"],
                row.choice("also", ALSO),
                _proof(row, sources),
            )
        )
    return tuple(found)


def _disclosures(
    folder: Path, ids: Container[str], units: Mapping[str, Nutrient], sources: Container[str]
) -> tuple[Disclosure, ...]:
    found = []
    for row in read_rows(folder / "disclosures.csv", DISCLOSURE):
        if row.text("unless") not in ids:
            raise row.bad(f"statement '{row.cells['unless']}' is not in statements.csv")
        if row.cells["tag"] and row.cells["tag"] not in units:
            raise row.bad(f"'{row.cells['tag']}' is no tag of nutrients.csv")
        found.append(
            Disclosure(
                row.text("id"), row.text("words"), row.text("unless"), row.cells["tag"], _proof(row, sources)
            )
        )
    return tuple(found)


def _kinds(folder: Path, sources: Container[str]) -> tuple[DishKind, ...]:
    rows = read_rows(folder / "dish_kinds.csv", KIND)
    by_name = {row.text("kind"): row for row in rows}
    return tuple(
        DishKind(
            kind,
            by_name[kind].number_in("least_serving_g", 0),
            by_name[kind].number_in("portion_g", 0),
            by_name[kind].number_in("portions", 0),
            by_name[kind].number_in("groups", 0),
            _proof(by_name[kind], sources),
        )
        for kind in US_DISHES
    )


def _raccs(folder: Path, sources: Container[str]) -> tuple[Racc, ...]:
    rows = read_rows(folder / "racc.csv", RACC)
    only_once(rows, "id")
    only_once(rows, "category")
    found = []
    for row in rows:
        grams, ml = row.number_or_none("grams", 0), row.number_or_none("ml", 0)
        if (grams is None) == (ml is None):
            raise row.bad("give either grams or ml")
        found.append(
            Racc(
                row.text("id"),
                row.text("category"),
                grams,
                ml,
                row.items("hints"),
                row.items("states"),
                row.items("names"),
                _proof(row, sources, ""),
            )
        )
    return tuple(found)


def _healthy(folder: Path, sources: Container[str]) -> tuple[HealthyGroup, ...]:
    rows = read_rows(folder / "healthy_us.csv", HEALTHY)
    only_once(rows, "id")
    return tuple(
        HealthyGroup(
            row.text("id"),
            row.text("group"),
            row.choice("unit", ("cup", "oz")),
            row.positive("one_equivalent"),
            row.number_in("sodium_dv", 0),
            row.number_in("added_sugars_dv", 0),
            row.number_in("saturated_fat_dv", 0),
            Proof("fr_89_106064", "101.65(d)(3)(ii)", row.choice("status", STATUSES), row.cells["note"]),
        )
        for row in rows
    )


def _healthy_map(folder: Path, groups: Sequence[HealthyGroup]) -> dict[tuple[str, str], int]:
    number = {g.id: i for i, g in enumerate(groups, 1)}
    rows = read_rows(folder / "healthy_groups.csv", HEALTHY_MAP)
    only_once(rows, "food_group", "role")
    return {
        (row.text("food_group"), row.text("role")): number[row.choice("group", tuple(number))] for row in rows
    }


def _bounds(folder: Path, units: Mapping[str, Nutrient]) -> tuple[UpperBound, ...]:
    rows = read_rows(folder / "upper_bounds.csv", BOUND)
    only_once(rows, "tag")
    return tuple(
        UpperBound(row.choice("tag", tuple(units)), row.choice("within", ("", *units)), row.yes("use_within"))
        for row in rows
    )
