"""Formula phrases that read what a person typed: numbers within limits, words of a list, names, allergens.

``x`` is a phrase that fetches the input cell; every phrase is free of errors whatever the cell holds.
"""

from __future__ import annotations

from workbookgen.nutrition.pack import ALLERGENS
from workbookgen.workbook.words import key_text, tidy

NOTHING = '""'


def number(x: str, low: str, high: str, other: str = NOTHING) -> str:
    """The number from ``low`` to ``high``, else ``other``."""
    return f"IF(ISLOGICAL({x}),{other},IF(ISNUMBER({x}),IF(AND({x}>={low},{x}<={high}),{x},{other}),{other}))"


def word(x: str, names: str, other: str) -> str:
    """The word as the list spells it, else the text ``other``."""
    return (
        f'IF(ISTEXT({x}),IF(LEN({x})>100,"{other}",IFERROR(INDEX({names},MATCH({key_text(x)},{names},0)),'
        f'"{other}")),"{other}")'
    )


def place(x: str, names: str, other: str = "0") -> str:
    """Place of the word in the list, else ``other``."""
    return f"IF(ISTEXT({x}),IF(LEN({x})>100,{other},IFERROR(MATCH({key_text(x)},{names},0),{other})),{other})"


def text(x: str, letters: str = "100") -> str:
    """A short text fit for look-ups, empty when it is too long or no text."""
    return f'IF(ISTEXT({x}),IF(LEN({x})>{letters},"",{key_text(x)}),"")'


def phrase(x: str, letters: str) -> str:
    """Any text, tidied and cut to length."""
    return f'IF(ISTEXT({x}),LEFT({tidy(x)},{letters}),"")'


def allergen_list(x: str) -> str:
    """Typed allergens as ``,milk,treenut,``: small letters, no blanks; a text that is too long is no allergen."""
    most = "const_title_letters*2"
    plain = f'LOWER(SUBSTITUTE(SUBSTITUTE({phrase(x, most)}," ",""),";",","))'
    return f'","&IF(ISTEXT({x}),IF(LEN({x})>{most},"too long",{plain}),"")&","'


def allergen_marks(listed: str, checked: str) -> str:
    """Marker text of a cell with the list as ``allergen_list`` gives it.

    All others are unknown until ``checked`` says yes, and also when a typed word is no allergen of the list: a
    slip of the keyboard must never read as "does not contain". ``-;`` closes a checked list, so that an empty
    cell keeps meaning that nothing is said.
    """
    marks = "&".join(f'IF(ISNUMBER(FIND(",{plain(a)},",{listed})),"+{a};","")' for a in ALLERGENS)
    yes = f'IF(ISTEXT({checked}),LOWER({tidy(checked)})="yes",FALSE)'
    return f'{marks}&IF(AND({yes},{unknown_allergens(listed)}=0),"-;","?*;")'


def unknown_allergens(listed: str) -> str:
    """How many typed words are no allergen of the list."""
    typed = f'(LEN({listed})-LEN(SUBSTITUTE({listed},",","")))-1-IF({listed}=",,",1,0)'
    known = "+".join(f'ISNUMBER(FIND(",{plain(a)},",{listed}))*1' for a in ALLERGENS)
    return f"({typed}-({known}))"


def plain(allergen: str) -> str:
    """An allergen id as people type it without blanks."""
    return allergen.replace("_", "")
