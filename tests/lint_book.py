"""Lint a finished workbook: ``python -m tests.lint_book FILE.xlsx``; exits 1 on any finding."""

from __future__ import annotations

import sys
from pathlib import Path

from workbookgen.verify.lint import lint, render_findings


def main() -> None:
    findings = lint(Path(sys.argv[1]))
    print(render_findings(findings))
    sys.exit(1 if findings else 0)


if __name__ == "__main__":
    main()
