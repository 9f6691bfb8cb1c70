"""A verification report as text for a terminal."""

from __future__ import annotations

from pathlib import Path

from workbookgen.verify.compare import Difference, EngineResult, Progress, Report, choose_engines, verify
from workbookgen.verify.rules import load_rules
from workbookgen.verify.values import ErrorValue, NotEvaluated, Value

AGREES, DIFFERS = 0, 1


def run(
    path: Path | str, engine: str | None = None, locale: str | None = None, progress: Progress | None = None
) -> tuple[int, str]:
    """Verify a workbook and say so: exit code 0 (all agree) or 1 (anything else), and the text to print.

    ``engine`` is one name, ``all``, or ``default`` (None) for the usual ones. Raises ``BadInput`` when
    the file cannot be read or the engine or locale is not known.
    """
    engines = None if engine in (None, "default") else choose_engines(engine, 0)
    report = verify(path, engines, locale, progress)
    return (AGREES if report.ok else DIFFERS), render_report(report)


def render_report(report: Report) -> str:
    """Per engine the cells compared, agreeing and differing with examples; the last line sums up."""
    lines = [f"{report.path.name}: {report.formulas:,} formulas"]
    for result in report.results:
        lines.extend(_engine_lines(result))
    examples = _rule("examples")
    lines.extend(f"  fault: {fault}" for fault in report.faults[:examples])
    if len(report.faults) > examples:
        lines.append(f"  and {len(report.faults) - examples:,} more faults")
    lines.append(_summary(report))
    return "\n".join(lines)


def _rule(name: str) -> int:
    return int(load_rules("verify_rules")["report"][name])


def _engine_lines(result: EngineResult) -> list[str]:
    title = f"{result.engine} {result.version}".rstrip()
    if result.failure:
        return [f"  {title}: FAILED. {result.failure}"]
    lines = [
        f"  {title}: {result.compared:,} compared, {result.agreeing:,} agreeing, "
        f"{len(result.differing):,} differing, {result.seconds:.1f} s"
    ]
    examples = _rule("examples")
    for difference in result.differing[:examples]:
        lines.extend(_difference_lines(difference))
    if len(result.differing) > examples:
        lines.append(f"    and {len(result.differing) - examples:,} more")
    return lines


def _difference_lines(difference: Difference) -> list[str]:
    return [
        f"    {difference.sheet}!{difference.cell}  {_short(difference.formula)}  ({difference.why})",
        f"      stored {show(difference.stored)}, recomputed {show(difference.recomputed)}",
    ]


def _short(text: str) -> str:
    width = _rule("text_width")
    flat = text.replace("\n", " ")
    return flat if len(flat) <= width else flat[: width - 3] + "..."


def show(value: Value) -> str:
    """A value as it reads in a report: texts in quotes, numbers with all their digits."""
    if value is None:
        return "(empty)"
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, (ErrorValue, NotEvaluated)):
        return str(value)
    if isinstance(value, float):
        return repr(value)
    return f'"{_short(value)}"'


def _summary(report: Report) -> str:
    if report.ok:
        engines = " and ".join(result.engine for result in report.results)
        return f"All {report.formulas:,} formulas agree with {engines}."
    failed = [result.engine for result in report.results if result.failure]
    cells = {(each.sheet, each.cell) for result in report.results for each in result.differing}
    parts = []
    if cells:
        parts.append(f"{len(cells):,} of {report.formulas:,} formula cells differ")
    if failed:
        parts.append(f"no result from {' and '.join(failed)}")
    if report.faults:
        parts.append(f"{len(report.faults):,} {'fault' if len(report.faults) == 1 else 'faults'} in the file")
    return f"NOT verified: {'; '.join(parts) or 'nothing was compared'}."
