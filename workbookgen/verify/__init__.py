"""Recomputes finished workbooks with independent engines, and lints what no engine can show.

Reads .xlsx files only; knows nothing of how they were made.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

from workbookgen.verify.compare import Difference, EngineResult, Report, verify
from workbookgen.verify.report import render_report, run

__all__ = ["Difference", "EngineResult", "Report", "render_report", "run", "verify"]


class _Callable(ModuleType):
    """Lets ``from workbookgen import verify`` be called: Python gives that name to this package as soon as
    any part of it is imported, so the package itself has to do what the function does."""

    def __call__(self, *given: Any, **named: Any) -> Report:
        """As the function ``verify`` of this package."""
        return verify(*given, **named)


sys.modules[__name__].__class__ = _Callable
