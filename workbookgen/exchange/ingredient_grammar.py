"""A small grammar of ingredient lines in English.

Four general libraries that parse such lines were tried on thirty lines before this was written.
ingredient-parser-nlp reads well but fetches a tagger from the network when it is first imported, so it does
not work offline after install. ingredient-slicer averages "1-2" into 1.5, reads "half a cup" as 1 cup and
drops the 4 oz of "1 lb 4 oz". ingreedypy reads "1¼ lb" as 0.25 lb and knows no ranges, "plus" or
"juice of". parse-ingredients fails without a leading digit. None keeps apart "divided", "plus more for",
alternatives and grams in brackets. Hence a grammar of our own, with the units table and pint for units.
"""

from __future__ import annotations

import re
from dataclasses import replace

from workbookgen.exchange.alternatives import alternatives, choices_left
from workbookgen.exchange.fruit_parts import parts_of_fruit, parts_said_after
from workbookgen.exchange.lead import Lead, read_lead, read_quantity
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.line_text import LineText, read_line_text, without_bullet
from workbookgen.exchange.parsed import ParsedLine
from workbookgen.exchange.quantities import Quantity, read_number

_PLUS_AMOUNT = re.compile(r",?\s*\b(?:plus|\+)\s+(?=[\d½¼¾]|an?\s|one\s|two\s)", re.I)
_SALT_AND_PEPPER = re.compile(
    r"^(?P<salt>(?:\w+\s+)?salt)\s*(?:and|&|,|\+)\s*"
    r"(?P<pepper>(?:freshly\s+)?(?:ground\s+)?(?:black\s+|white\s+)?pepper)\b",
    re.I,
)
_PIECES = re.compile(r"\s*[,;]\s+|\s+-\s+|\s*;\s*")
_TOKEN = re.compile(r"\[\d+\]")


def parse_line(text: str, words: Lexicon, section: str = "") -> tuple[ParsedLine, ...]:
    """The foods of one ingredient line: mostly one, two for "salt and pepper" or "zest and juice of a lemon".

    Empty for a line without letters or digits.
    """
    if not re.search(r"\w", text):
        return ()
    line = read_line_text(text, section, words)
    fruit = parts_of_fruit(line, words)
    if fruit:
        return fruit
    lead = read_lead(line.text, line.brackets, words) or _trailing(line, words) or Lead(rest=line.text)
    return _foods(lead, line, words)


def starts_with_number(text: str, words: Lexicon) -> bool:
    """True when the line starts with an amount once bullets are gone."""
    return read_number(without_bullet(text), words) is not None


def _trailing(line: LineText, words: Lexicon) -> Lead | None:
    """ "Flour - 2 cups", "butter: 100 g", "Chicken thighs (2 lb)": the amount after the name."""
    for match in re.finditer(r"(?:^|[\s,:(–-])(?=\d)", line.text):
        lead = read_lead(line.text[match.end() :], line.brackets, words)
        name = line.text[: match.start()].strip(" ,:-–")
        if name and lead and lead.amounts and not re.search(r"[a-z]", _TOKEN.sub("", lead.rest), re.I):
            lead.rest = f"{name} {lead.rest}".strip()
            return lead
    for place, bracket in enumerate(line.brackets):
        inside = read_quantity(bracket, words)
        if inside and inside[0].unit and inside[0].unit.factor and not inside[1].strip(" ,."):
            line.brackets[place] = ""
            return Lead(amounts=[inside[0]], rest=line.text)
    return None


def _foods(lead: Lead, line: LineText, words: Lexicon) -> tuple[ParsedLine, ...]:
    """Splits what follows the amount into food words, alternatives and comment."""
    rest = _later_amount(lead, lead.rest, words)
    comments, same_as, each = [], list(lead.same_as), lead.each
    for bracket in line.brackets:
        inside = read_quantity(bracket, words) if bracket else None
        if inside and inside[0].unit and inside[0].unit.factor and not re.search(r"\bfor\b", bracket):
            if re.search(r"\beach\b", inside[1]) and each is None:
                each = inside[0]
            else:
                same_as.append(inside[0])
        elif bracket:
            comments.append(bracket)
    name, comment = _cut(" ".join(_TOKEN.sub(" ", rest).split()), words)
    comment = _amounts_behind(comment, same_as, words)
    parsed = replace(
        line.base,
        amounts=tuple(lead.amounts),
        each=each,
        size=lead.size,
        same_as=tuple(same_as),
        comment="; ".join(filter(None, [comment, lead.packing, *comments])),
        undecided="" if lead.amounts else line.base.undecided or lead.undecided,
        doubts=tuple(lead.doubts),
    )
    return _split(parsed, name, lead, words)


def _amounts_behind(comment: str, same_as: list[Quantity], words: Lexicon) -> str:
    """Takes amounts such as ", about 4 lb" out of the comment."""
    kept = []
    for piece in comment.split("; "):
        inside = read_quantity(piece, words) if piece else None
        alone = inside is not None and not inside[1].strip(" .") and not inside[0].doubt
        if inside and alone and inside[0].unit and inside[0].unit.factor:
            same_as.append(inside[0])
        else:
            kept.append(piece)
    return "; ".join(kept)


def _later_amount(lead: Lead, rest: str, words: Lexicon) -> str:
    """Adds an amount that follows the name: "2 cups flour, plus 2 tablespoons for dusting"."""
    match = _PLUS_AMOUNT.search(rest)
    second = read_quantity(rest[match.end() :], words) if match else None
    if match and second and second[0].unit and second[0].unit.factor and lead.amounts:
        first = lead.amounts[0].unit
        if first and first.kind == second[0].unit.kind:
            lead.amounts.append(second[0])
            return rest[: match.start()] + re.sub(r"^[^,\[]*", "", second[1])
    return rest


def _cut(rest: str, words: Lexicon) -> tuple[str, str]:
    """The food words and what follows their first comma; adjectives before a comma stay with the food."""
    pieces = [p.strip() for p in _PIECES.split(rest) if p.strip(" .")]
    if not pieces:
        return "", ""
    name = pieces.pop(0)
    while pieces and _only_cutting(name, words):
        name = f"{name} {pieces.pop(0)}"
    return name.strip(" .:-"), "; ".join(pieces).strip(" .")


def _only_cutting(name: str, words: Lexicon) -> bool:
    said = [word.lower() for word in re.findall(r"[A-Za-z]+", name)]
    return all(word in words.prep or word.rstrip("s") in words.prep for word in said)


def _split(line: ParsedLine, name: str, lead: Lead, words: Lexicon) -> tuple[ParsedLine, ...]:
    """One line for each food: salt and pepper, a list behind "each", juice and zest; else the one food."""
    pair = _SALT_AND_PEPPER.match(name) or _SALT_AND_PEPPER.match(f"{name}, {line.comment}")
    if pair and (lead.each_of or not line.amounts):
        return tuple(replace(line, names=(pair[g],), comment="") for g in ("salt", "pepper"))
    if lead.each_of:
        listed = [p for p in re.split(r"\s*(?:,|;|\band\b|&)\s*", f"{name}; {line.comment}") if p.strip()]
        if len(listed) > 1:
            return tuple(replace(line, names=(p.strip(),), comment="") for p in listed)
    fruit = parts_said_after(line, name, words)
    if fruit:
        return fruit
    line, name = _unit_behind(line, name, words)
    names, longer = alternatives(name)
    doubts = (*line.doubts, *choices_left(" ".join(names), line.comment, words))
    return (replace(line, names=names, longer=longer, doubts=doubts),)


def _unit_behind(line: ParsedLine, name: str, words: Lexicon) -> tuple[ParsedLine, str]:
    """ "3 garlic cloves", "2 chicken breasts", "3 ripe medium bananas": unit or size behind the name."""
    if not line.amounts or line.unit is not None:
        return line, name
    size = words.phrase("sizes").search(name)
    if size and not line.size:
        line = replace(line, size=words.sizes.get(size[0].lower(), size[0].lower()))
        name = " ".join((name[: size.start()] + name[size.end() :]).split())
    last = re.search(r"\s([A-Za-z]+)$", name)
    unit = words.units.get(last[1].lower()) if last else None
    if last and unit and unit.kind in ("piece", "container") and not unit.factor:
        line = replace(line, amounts=(replace(line.amounts[0], unit=unit), *line.amounts[1:]))
        name = name if unit.keep else name[: last.start()]
    return line, name
