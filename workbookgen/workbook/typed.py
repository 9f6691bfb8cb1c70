"""Formula phrases that read what a person typed: numbers within limits, words of a list, names, allergens.

``x`` is a phrase that fetches the input cell; every phrase is free of errors whatever the cell holds.
"""

from __future__ import annotations

from collections.abc import Sequence

from workbookgen.nutrition.pack import ALLERGENS
from workbookgen.workbook.words import key_text, tidy

NOTHING = '""'
NONE = "none"


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


def word_list(x: str) -> str:
    """Typed words as ``,milk,treenut,``: small letters, no blanks; a text that is too long is no known word."""
    most = "const_title_letters*2"
    plain = f'LOWER(SUBSTITUTE(SUBSTITUTE({phrase(x, most)}," ",""),";",","))'
    return f'","&IF(ISTEXT({x}),IF(LEN({x})>{most},"too long",{plain}),"")&","'


def allergen_marks(listed: str, checked: str) -> str:
    """Marker text of a cell with the list as ``word_list`` gives it.

    All others are unknown until ``checked`` says yes, and also when a typed word is no allergen of the list: a
    slip of the keyboard must never read as "does not contain". ``-;`` closes a checked list, so that an empty
    cell keeps meaning that nothing is said.
    """
    marks = "&".join(f'IF(ISNUMBER(FIND(",{plain(a)},",{listed})),"+{a};","")' for a in ALLERGENS)
    yes = f'IF(ISTEXT({checked}),LOWER({tidy(checked)})="yes",FALSE)'
    return f'{marks}&IF(AND({yes},{unknown_words(listed, ALLERGENS)}=0),"-;","?*;")'


def caution_text(listed: str, marks: Sequence[str]) -> str:
    """Caution marks of a cell as ``word_list`` gives it: those typed, ``-`` for "none", empty when nothing is
    said or a word is not of the list, so that a slip never reads as "nothing to say"."""
    found = "&".join(f'IF(ISNUMBER(FIND(",{plain(m)},",{listed})),";{m}","")' for m in marks)
    odd = unknown_words(listed, (NONE, *marks))
    return f'IF({odd}>0,"",IF({listed}=",{NONE},","-",MID({found},2,1000)))'


def unknown_words(listed: str, words: Sequence[str]) -> str:
    """How many typed words are not of the list."""
    typed = f'(LEN({listed})-LEN(SUBSTITUTE({listed},",","")))-1-IF({listed}=",,",1,0)'
    known = "+".join(f'ISNUMBER(FIND(",{plain(a)},",{listed}))*1' for a in words)
    return f"({typed}-({known}))"


def plain(word: str) -> str:
    """An id as people type it without blanks."""
    return word.replace("_", "")
