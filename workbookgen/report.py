"""An analysis as text: a table for the terminal, or JSON keyed by INFOODS tags."""

from __future__ import annotations

import io
import json
from typing import Any

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown


def as_json_text(kitchen: Kitchen, analysis: Analysis) -> str:
    """Serving, nutrients by INFOODS tag (unit, amounts, % DV, coverage, reads), plate, targets."""
    nutrients: dict[str, Any] = {}
    for n in kitchen.tables.nutrients:
        r = analysis.nutrients[n.tag]
        nutrients[n.tag] = {
            "name": n.name, "unit": n.unit, "per_serving": r.serving, "per_100g": r.per_100g, "dish": r.dish,
            "dv_pct": r.dv_pct, "coverage": r.coverage, "reads": r.reads, "label": r.label_text,
        }
    return json.dumps({
        "title": analysis.recipe.title, "servings": analysis.servings, "serving_g": analysis.serving_g,
        "cooked_weight_g": analysis.cooked_weight, "cooked_weight_weighed": analysis.cooked_weight_weighed,
        "reference_set": analysis.settings.reference_set, "nutrients": nutrients,
        "plate": [{"group": p.group, "grams": p.grams, "share_pct": p.share_pct, "target_pct": p.target_pct,
                   "verdict": p.verdict} for p in analysis.plate],
        "targets": [{"target": t.text, "value": t.value, "verdict": t.verdict} for t in analysis.targets],
    }, indent=2, ensure_ascii=False)


def as_table(kitchen: Kitchen, analysis: Analysis) -> str:
    """A table of all nutrients of one serving, plate and targets beneath."""
    from rich.console import Console
    from rich.table import Table

    out = io.StringIO()
    console = Console(file=out, width=100, force_terminal=False)
    weighed = "pot weighed" if analysis.cooked_weight_weighed else "estimated"
    console.print(f"{analysis.recipe.title}: {shown(analysis.servings, 2)} servings of {shown(analysis.serving_g, 0)} g "
                  f"({weighed})", highlight=False)
    table = Table(box=None, pad_edge=False)
    for head, justify in (("Tag", "left"), ("Nutrient", "left"), ("", "left"), ("One serving", "right"), ("Unit", "left"),
                          ("% DV", "right"), ("100 g", "right"), ("Known", "right")):
        table.add_column(head, justify=justify)  # type: ignore[arg-type]
    for n in kitchen.tables.nutrients:
        r = analysis.nutrients[n.tag]
        table.add_row(n.tag, n.name, r.reads, shown(r.serving, n.decimals), n.unit,
                      "" if r.dv_pct is None else shown(r.dv_pct, 0), shown(r.per_100g, n.decimals), f"{r.coverage:.0%}")
    console.print(table)
    for p in analysis.plate:
        console.print(f"plate: {p.group} {shown(p.share_pct, 0)} % (target {shown(p.target_pct, 0)} %): {p.verdict}", highlight=False)
    for t in analysis.targets:
        console.print(f"target: {t.text}: {t.verdict}", highlight=False)
    return out.getvalue().rstrip()
