"""What people and programs put into cells."""

from __future__ import annotations

from tests.behaviour.office import Typed

LONG = "x" * 3000
#: 35 values: words, numbers out of bounds, dates, error values, empty texts, signs that programs misread.
NONSENSE: tuple[Typed, ...] = (
    "abc", "'5", -3.0, 1e300, 1e-300, None, "   ", '"=1/0"', LONG, 45292.0, True, ["=1/0"], ["=NA()"], ['=""'], 0.0, "*", "?", "~",
    "Kale*", "crème brûlée", "1/2", "0,5", "5 g", 1e15, 5000.0, 5000.0001, "\u00a0", "a\nb", '"', "+cmd", "<b>&", "yes?", "1e5",
    False, "' OR 1=1",
)  # fmt: skip
