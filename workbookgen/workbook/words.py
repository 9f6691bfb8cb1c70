"""Small formula phrases used in many sheets, each written once."""

from __future__ import annotations

NO_BREAK_SPACE = "\u00a0"


def tidy(x: str) -> str:
    """Text of ``x`` without no-break spaces, line feeds and outer blanks (engines differ inside TRIM)."""
    return f'TRIM(SUBSTITUTE(SUBSTITUTE({x},"{NO_BREAK_SPACE}"," "),CHAR(10)," "))'


def key_text(x: str) -> str:
    """Tidy text whose wildcards are neutral, fit for MATCH."""
    return f'SUBSTITUTE(SUBSTITUTE(SUBSTITUTE({tidy(x)},"*","_"),"?","_"),"~","_")'


def as_listed(title: str) -> str:
    """A title as lists offer it: * ? ~ are wildcards there.

    >>> as_listed("What? A pot*")
    'What_ A pot_'
    """
    return title.translate(str.maketrans("*?~", "___"))


def in_words(x: str, decimals: int) -> str:
    """Number ``x`` ready to become text: halves up in every engine."""
    if decimals == 0:
        return f"ROUND(ROUND({x},9),0)"
    scale = 10**decimals
    return f"ROUND(ROUND({x}*{scale},9),0)/{scale}"


def to_step(x: str, step: str) -> str:
    """Nearest multiple of ``step`` with the guard against binary noise."""
    return f"ROUND(ROUND({x}/{step},9),0)*{step}"
