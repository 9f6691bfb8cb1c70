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
from dataclasses import dataclass, field, replace

from workbookgen.exchange.lead import Lead, read_lead, read_quantity
from workbookgen.exchange.lexicon import Lexicon
from workbookgen.exchange.parsed import JUICE, JUICE_OF, ZEST, ZEST_OF, ParsedLine
from workbookgen.exchange.quantities import Quantity, plain, read_number

LONGEST_LINE = 400
LONGEST_CHOICE = 6  # words of a comment that names a choice
_BULLET = re.compile(r"^\s*(?:[-*•‣▢☐◦·●▪–—□✓✔]|\[ ?\]|\d+[.)](?=\s+\D))\s*")
_EXTRA = re.compile(
    r",?\s*\(?\b(?:plus|and|with|\+)\s+(?:a\s+(?:little|bit|few)\s+)?(?:more|extra|additional)\b[^,;()]*\)?", re.I
)
_PLUS_AMOUNT = re.compile(r",?\s*\b(?:plus|\+)\s+(?=[\d½¼¾]|an?\s|one\s|two\s)", re.I)
_SALT_AND_PEPPER = re.compile(
    r"^(?P<salt>(?:\w+\s+)?salt)\s*(?:and|&|,|\+)\s*(?P<pepper>(?:freshly\s+)?(?:ground\s+)?(?:black\s+|white\s+)?pepper)\b",
    re.I,
)
_OF_FRUIT = re.compile(
    r"^(?:the\s+)?(?:finely\s+|freshly\s+)?(?:grated\s+|squeezed\s+)?(?P<one>juice|zest|rind|peel)"
    r"(?:\s*(?:and|&|\+)\s*(?:the\s+)?(?:finely\s+)?(?:grated\s+)?(?P<two>juice|zest|rind|peel))?\s+(?:of|from)\s+(?P<rest>.+)$",
    re.I,
)
_MORE_OR_LESS = re.compile(r",?\s*\bor (?:more|less|so)\b(?:\s+or\s+less)?", re.I)


@dataclass
class _Draft:
    """A line on its way through the grammar."""

    text: str
    brackets: list[str]
    flags: dict[str, str | bool] = field(default_factory=dict)
    doubts: list[str] = field(default_factory=list)


def parse_line(text: str, words: Lexicon, section: str = "") -> tuple[ParsedLine, ...]:
    """The foods of one ingredient line: mostly one, two for "salt and pepper" or "zest and juice of a lemon".

    Empty for an empty line.
    """
    written = " ".join(text.split())[:LONGEST_LINE]
    cleaned = plain(_BULLET.sub("", written.replace("**", "").replace("__", "")))
    if not re.search(r"\w", cleaned):
        return ()
    draft = _flags(_take_brackets(cleaned), words)
    common = {"text": written, "section": section, **draft.flags}
    fruit = _OF_FRUIT.match(draft.text)
    if fruit:
        return _of_fruit(fruit, draft, common, words)
    lead = read_lead(draft.text, draft.brackets, words)
    if lead is None:
        lead = _trailing(draft, words) or Lead(rest=draft.text)
    return _foods(lead, draft, common, words)


def _take_brackets(text: str) -> _Draft:
    """Replaces "(...)" by "[0]", "[1]" ...; brackets inside brackets stay in the outer one."""
    text = text.replace("[", "(").replace("]", ")")
    brackets: list[str] = []
    out, depth, start = [], 0, 0
    for place, sign in enumerate(text):
        if sign == "(":
            depth += 1
            start = place + 1 if depth == 1 else start
        elif sign == ")" and depth:
            depth -= 1
            if depth == 0:
                out.append(f" [{len(brackets)}] ")
                brackets.append(text[start:place].replace("(", "").replace(")", "").strip())
        elif depth == 0 and sign != ")":
            out.append(sign)
    if depth:  # never closed
        out.append(f" [{len(brackets)}] ")
        brackets.append(text[start:].strip())
    return _Draft(" ".join("".join(out).split()), brackets)


def _flags(draft: _Draft, words: Lexicon) -> _Draft:
    """Takes out what is said about the line as a whole, in the text and in its brackets."""
    for place, part in enumerate([draft.text, *draft.brackets]):
        part = _flags_of(part, draft, words)
        if place == 0:
            draft.text = part
        else:
            draft.brackets[place - 1] = part
    return draft


def _flags_of(part: str, draft: _Draft, words: Lexicon) -> str:
    extra = _EXTRA.search(part)
    if extra:
        draft.flags["extra"] = extra[0].strip(" ,()")
        part = part[:extra.start()] + part[extra.end():]
    for name, flag in (("to_taste", "undecided"), ("as_needed", "undecided"), ("garnish", "garnish"),
                       ("optional", "optional"), ("divided", "divided"), ("purpose", "undecided")):  # fmt: skip
        match = words.phrase(name).search(part)
        if match:
            value = match[0].lower().removeprefix("or ")
            if flag == "undecided":
                draft.flags.setdefault(flag, value)
            else:
                draft.flags[flag] = True
            part = part[:match.start()] + " " + part[match.end():]
    part = _MORE_OR_LESS.sub("", part)
    return re.sub(r"\s*,\s*(?=,|$)", "", " ".join(part.split())).strip(" ,;:")


def _of_fruit(match: re.Match[str], draft: _Draft, common: dict, words: Lexicon) -> tuple[ParsedLine, ...]:  # type: ignore[type-arg]
    """ "juice of 1 lemon", "zest and juice of 2 limes"."""
    rest = re.sub(r"^the\s+", "", match["rest"], flags=re.I)
    lead = read_lead(rest, draft.brackets, words) or Lead(rest=rest)
    fruit = _fruit(lead.rest, words)
    if fruit is None:
        return _foods(Lead(rest=draft.text), draft, common, words)
    parts = [p.lower() for p in (match["one"], match["two"]) if p]
    return tuple(_part_line(part, fruit, lead, draft, common, words) for part in parts)


def _fruit(text: str, words: Lexicon) -> str | None:
    found = re.search(rf"\b({'|'.join(words.fruits)})s?\b", text, re.I)
    return found[1].lower() if found else None


def _part_line(part: str, fruit: str, lead: Lead, draft: _Draft, common: dict, words: Lexicon) -> ParsedLine:  # type: ignore[type-arg]
    juice = part == JUICE
    unit = JUICE_OF if juice else ZEST_OF
    amounts = tuple(Quantity(q.low, q.high, unit) for q in lead.amounts[:1])
    # An amount beside it ("juice of 1 lemon (about 3 tablespoons)") is the juice's, not the zest's.
    beside = [q for b in draft.brackets if (q := _amount_in(b, words)) is not None] if juice else []
    return ParsedLine(
        **common, amounts=amounts, size=lead.size, same_as=tuple(beside), names=(f"squeezed {fruit} juice" if juice else f"{fruit} zest",),
        part=JUICE if juice else ZEST, doubts=tuple(lead.doubts),
    )  # fmt: skip


def _amount_in(text: str, words: Lexicon) -> Quantity | None:
    inside = read_quantity(text, words)
    return inside[0] if inside and inside[0].unit and inside[0].unit.factor else None


def _trailing(draft: _Draft, words: Lexicon) -> Lead | None:
    """ "Flour - 2 cups", "butter: 100 g", "Chicken thighs (2 lb)": the amount after the name."""
    for match in re.finditer(r"(?:^|[\s,:(–-])(?=\d)", draft.text):
        lead = read_lead(draft.text[match.end():], draft.brackets, words)
        name = draft.text[:match.start()].strip(" ,:-–")
        if lead and lead.amounts and not re.search(r"[a-z]", re.sub(r"\[\d+\]", "", lead.rest), re.I) and name:
            lead.rest = f"{name} {lead.rest}".strip()
            return lead
    for place, bracket in enumerate(draft.brackets):
        inside = read_quantity(bracket, words)
        if inside and inside[0].unit and inside[0].unit.factor and not inside[1].strip(" ,."):
            draft.brackets[place] = ""
            return Lead(amounts=[inside[0]], rest=draft.text)
    return None


def _foods(lead: Lead, draft: _Draft, common: dict, words: Lexicon) -> tuple[ParsedLine, ...]:  # type: ignore[type-arg]
    """Splits what follows the amount into food words, alternatives and comment."""
    rest = _later_amount(lead, lead.rest, words)
    comments, same_as, each = [], list(lead.same_as), lead.each
    for bracket in draft.brackets:
        inside = read_quantity(bracket, words) if bracket else None
        if inside and inside[0].unit and inside[0].unit.factor and not re.search(r"\bfor\b", bracket):
            if re.search(r"\beach\b", inside[1]) and each is None:
                each = inside[0]
            elif inside[0].unit.kind in ("mass", "volume"):
                same_as.append(inside[0])
        elif bracket:
            comments.append(bracket)
    rest = " ".join(re.sub(r"\[\d+\]", " ", rest).split())
    name, comment = _cut(rest, words)
    comment = _amounts_behind(comment, same_as, words)
    comment = "; ".join(filter(None, [comment, lead.packing, *comments]))
    undecided = common.pop("undecided", "") or lead.undecided
    line = ParsedLine(
        **common, amounts=tuple(lead.amounts), each=each, size=lead.size, same_as=tuple(same_as), comment=comment,
        undecided=undecided if not lead.amounts else "", doubts=(*lead.doubts, *draft.doubts),
    )  # fmt: skip
    return _split(line, name, lead, words)


def _amounts_behind(comment: str, same_as: list[Quantity], words: Lexicon) -> str:
    """Takes amounts such as ", about 4 lb" out of the comment."""
    kept = []
    for piece in comment.split("; "):
        inside = read_quantity(piece, words) if piece else None
        if inside and inside[0].unit and inside[0].unit.factor and not inside[1].strip(" .") and not inside[0].doubt:
            same_as.append(inside[0])
        else:
            kept.append(piece)
    return "; ".join(kept)


def _choices_left(name: str, comment: str, words: Lexicon) -> tuple[str, ...]:
    """Doubts about a second amount in the food words and a choice in the comment ("whole or 2%")."""
    doubts = []
    if re.search(r"\d(?![\d.]*\s*(?:%|/|-?in(?:ch)?\b))", re.sub(r"\d+/\d+", "", name)):
        doubts.append("another amount stands in the line")
    for piece in comment.split("; "):
        said = re.findall(r"[A-Za-z%\d]+", piece.lower())
        if "or" in said and len(said) <= LONGEST_CHOICE and not all(w in words.prep or w == "or" or w.isdigit() for w in said):
            doubts.append(f'the line leaves a choice: "{piece}"')
    return tuple(doubts)


def _later_amount(lead: Lead, rest: str, words: Lexicon) -> str:
    """Adds an amount that follows the name: "2 cups flour, plus 2 tablespoons for dusting"."""
    match = _PLUS_AMOUNT.search(rest)
    second = read_quantity(rest[match.end():], words) if match else None
    if match and second and second[0].unit and second[0].unit.factor and lead.amounts:
        first = lead.amounts[0].unit
        if first and first.kind == second[0].unit.kind:
            lead.amounts.append(second[0])
            return rest[:match.start()] + re.sub(r"^[^,\[]*", "", second[1])
    return rest


def _cut(rest: str, words: Lexicon) -> tuple[str, str]:
    """The food words and what follows their first comma; adjectives before a comma stay with the food."""
    pieces = [p.strip() for p in re.split(r"\s*[,;]\s+|\s+-\s+|\s*;\s*", rest) if p.strip(" .")]
    if not pieces:
        return "", ""
    name = pieces.pop(0)
    while pieces and all(w.lower().rstrip("s") in words.prep or w.lower() in words.prep for w in re.findall(r"[A-Za-z]+", name)):
        name = f"{name} {pieces.pop(0)}"
    return name.strip(" .:-"), "; ".join(pieces).strip(" .")


def _split(line: ParsedLine, name: str, lead: Lead, words: Lexicon) -> tuple[ParsedLine, ...]:
    pair = _SALT_AND_PEPPER.match(name) or (_SALT_AND_PEPPER.match(f"{name}, {line.comment}") if line.comment else None)
    if pair and (lead.each_of or not line.amounts):
        return tuple(replace(line, names=(pair[g],), comment="") for g in ("salt", "pepper"))
    if lead.each_of:
        listed = [p for p in re.split(r"\s*(?:,|;|\band\b|&)\s*", f"{name}; {line.comment}") if p.strip()]
        if len(listed) > 1:
            return tuple(replace(line, names=(p.strip(),), comment="") for p in listed)
    fruit = _fruit_parts(line, name, words)
    if fruit:
        return fruit
    line, name = _unit_behind(line, name, words)
    names, longer = alternatives(name)
    doubts = (*line.doubts, *_choices_left(" ".join(names), line.comment, words))
    return (replace(line, names=names, longer=longer, doubts=doubts),)


def _fruit_parts(line: ParsedLine, name: str, words: Lexicon) -> tuple[ParsedLine, ...]:
    """ "1 lemon, juiced", "2 limes, zest and juice only"."""
    fruit = re.fullmatch(rf"(?:\w+\s+)?({'|'.join(words.fruits)})s?", name, re.I)
    if not fruit or line.unit is not None or not line.amounts:
        return ()
    low = line.comment.lower()
    parts = [part for part, said in ((JUICE, words.juice), (ZEST, words.zest)) if any(re.search(rf"\b{w}\b", low) for w in said)]
    beside = tuple(q for q in line.same_as if q.unit and q.unit.factor)
    return tuple(
        replace(
            line, names=(f"squeezed {fruit[1].lower()} juice" if part == JUICE else f"{fruit[1].lower()} zest",), part=part, comment="",
            amounts=tuple(Quantity(q.low, q.high, JUICE_OF if part == JUICE else ZEST_OF) for q in line.amounts[:1]),
            same_as=beside if part == JUICE else (),
        )
        for part in parts
    )  # fmt: skip


def _unit_behind(line: ParsedLine, name: str, words: Lexicon) -> tuple[ParsedLine, str]:
    """ "3 garlic cloves", "2 chicken breasts", "3 ripe medium bananas": unit or size behind the name."""
    if not line.amounts or line.unit is not None:
        return line, name
    size = words.phrase("sizes").search(name)
    if size and not line.size:
        line = replace(line, size=words.sizes.get(size[0].lower(), size[0].lower()))
        name = " ".join((name[:size.start()] + name[size.end():]).split())
    last = re.search(r"\s([A-Za-z]+)$", name)
    unit = words.units.get(last[1].lower()) if last else None
    if last and unit and unit.kind in ("piece", "container") and not unit.factor:
        line = replace(line, amounts=(replace(line.amounts[0], unit=unit), *line.amounts[1:]))
        name = name if unit.keep else name[:last.start()]
    return line, name


def alternatives(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The foods of "butter or margarine", and beside each what it may borrow from the last one.

    >>> alternatives("vegetable or canola oil")
    (('vegetable', 'canola oil'), ('vegetable oil', ''))
    """
    split = r"\s+(?:and/or|or)\s+|(?<=[a-z])\s*/\s*(?=[a-z])"
    parts = [p.strip(" ,/") for p in re.split(split, re.sub(r"^or\s+", "", name, flags=re.I), flags=re.I) if p.strip(" ,/")]
    if not parts:
        return (), ()
    # "or 1 cup margarine": the amount of the other choice is not needed to find it
    last = parts[-1] if len(parts) == 1 else re.sub(r"^(?:[\d/. ]+|an?\s+)(?:(?:cups?|tablespoons?|tbsp|teaspoons?|tsp|oz|ounces?|g|lbs?|pounds?|cans?)\b\.?\s+)?", "", parts[-1])
    end = last.split()
    borrowed = []
    for part in parts[:-1]:
        short = part.split()
        tail = end[len(short):] if len(end) > len(short) and short[-1].rstrip("s") != end[-1].rstrip("s") else []
        borrowed.append(f"{part} {' '.join(tail)}" if tail else "")
    return (*parts[:-1], last), (*borrowed, "")


def starts_with_number(text: str, words: Lexicon) -> bool:
    """True when the line starts with an amount once bullets are gone."""
    return read_number(plain(_BULLET.sub("", text)), words) is not None
