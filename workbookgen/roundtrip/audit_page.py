"""An audit as one page of text, or as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence

from workbookgen.roundtrip.audit import FACT, FAULT, Audit, Finding
from workbookgen.verify.rules import load_rules

_NAMED_SHEETS = 12


def audit_page(audit: Audit) -> str:
    """The page for a terminal: verdict, findings with places, the sheets with most formulas."""
    examples = int(load_rules("audit_rules")["report"]["examples"])
    formulas = sum(s.formulas for s in audit.sheets)
    lines = [f"{audit.path.name}: {len(audit.sheets)} sheets, {formulas:,} formulas, {sum(s.blocks for s in audit.sheets):,} blocks of one pattern"]
    lines += [audit.remark] if audit.remark else []
    lines.append("No faults." if not audit.faults else f"{audit.faults} kinds of faults: figures may mislead.")
    for finding in audit.findings:
        lines += _told(finding, examples)
    lines.append("Sheets by formulas:")
    by_size = sorted((s for s in audit.sheets if s.formulas), key=lambda s: (-s.formulas, s.name))
    lines += [f"  {s.name}: {s.formulas:,} formulas, {s.patterns:,} patterns, {s.blocks:,} blocks" for s in by_size[:_NAMED_SHEETS]]
    if len(by_size) > _NAMED_SHEETS:
        rest = by_size[_NAMED_SHEETS:]
        lines.append(f"  and {len(rest)} more sheets with {sum(s.formulas for s in rest):,} formulas")
    return "\n".join(lines)


def _told(finding: Finding, examples: int) -> Sequence[str]:
    check = finding.check
    if finding.unknown:
        return [f"[not known] {check.title}: {finding.unknown}"]
    if not finding.count:
        return [f"[ok] {check.title}: none"]
    word = {FAULT: "FAULT", FACT: "told"}.get(check.weight, "look")
    if check.weight == FACT:
        by_sheet: dict[str, int] = {}
        for place in finding.places:
            by_sheet[place.partition("!")[0]] = by_sheet.get(place.partition("!")[0], 0) + 1
        return [f"[{word}] {check.title}: {finding.count:,} ({', '.join(f'{s} {n}' for s, n in by_sheet.items())})"]
    more = [f"  and {finding.count - examples:,} more"] if finding.count > examples else []
    return [f"[{word}] {check.title}: {finding.count:,} ({check.why})", *(f"  {place}" for place in finding.places[:examples]), *more]


def audit_json(audit: Audit) -> str:
    """The same as JSON, with every place."""
    page = {
        "file": audit.path.name,
        "built_by_this_program": audit.ours,
        "remark": audit.remark,
        "faults": audit.faults,
        "sheets": [{"name": s.name, "formulas": s.formulas, "patterns": s.patterns, "blocks": s.blocks} for s in audit.sheets],
        "findings": [
            {"id": f.check.id, "title": f.check.title, "weight": f.check.weight, "why": f.check.why, "source": f.check.source,
             "count": None if f.unknown else f.count, "unknown": f.unknown, "places": f.places}
            for f in audit.findings
        ],
    }  # fmt: skip
    return json.dumps(page, indent=2, ensure_ascii=False) + "\n"
