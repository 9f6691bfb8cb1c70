"""Recomputes finished workbooks with independent engines, and lints what no engine can show.

Reads .xlsx files only; knows nothing of how they were made.
"""

from workbookgen.verify.compare import Difference, EngineResult, Report, verify
from workbookgen.verify.report import render_report, run

__all__ = ["Difference", "EngineResult", "Report", "render_report", "run", "verify"]
