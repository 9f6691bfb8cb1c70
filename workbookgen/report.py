"""An analysis as text: a table for the terminal, or JSON keyed by INFOODS tags."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.compare import amount_in_words, difference, per_cent_in_words
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.label import shown

if TYPE_CHECKING:
    from rich.console import Console


def as_json_text(kitchen: Kitchen, analysis: Analysis, variants: Sequence[Analysis] = ()) -> str:
    """Serving, nutrients by INFOODS tag (unit, amounts, % DV, coverage, reads), plate, targets; ``variants`` the
    same way."""
    told = _as_data(kitchen, analysis)
    if variants:
        told["variants"] = [_as_data(kitchen, v) for v in variants]
    return json.dumps(told, indent=2, ensure_ascii=False)


def _as_data(kitchen: Kitchen, analysis: Analysis) -> dict[str, Any]:
    nutrients: dict[str, Any] = {}
    for n in kitchen.tables.nutrients:
        r = analysis.nutrients[n.tag]
        nutrients[n.tag] = {
            "name": n.name, "unit": n.unit, "per_serving": r.serving, "per_100g": r.per_100g, "dish": r.dish,
            "dv_pct": r.dv_pct, "coverage": r.coverage, "reads": r.reads, "label": r.label_text,
        }
    return {
        "title": analysis.recipe.title, "servings": analysis.servings, "serving_g": analysis.serving_g,
        "cooked_weight_g": analysis.cooked_weight, "cooked_weight_weighed": analysis.cooked_weight_weighed,
        "reference_set": analysis.settings.reference_set, "nutrients": nutrients,
        "plate": [{"group": p.group, "grams": p.grams, "share_pct": p.share_pct, "target_pct": p.target_pct,
                   "verdict": p.verdict} for p in analysis.plate],
        "targets": [{"target": t.text, "value": t.value, "verdict": t.verdict} for t in analysis.targets],
    }


def as_table(kitchen: Kitchen, analysis: Analysis, variants: Sequence[Analysis] = ()) -> str:
    """A table of all nutrients of one serving, plate and targets beneath; then the variants against it."""
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
    if variants:
        _put_variants(console, kitchen, analysis, variants)
    return out.getvalue().rstrip()


def _put_variants(console: Console, kitchen: Kitchen, parent: Analysis, variants: Sequence[Analysis]) -> None:
    """One serving of the recipe beside one of each variant, main nutrients, with the difference."""
    from rich.table import Table

    for variant in variants:
        console.print(f"\n{variant.recipe.title}: {shown(variant.servings, 2)} servings of {shown(variant.serving_g, 0)} g", highlight=False)
        console.print(variant.recipe.notes[0].text, highlight=False)
        table = Table(box=None, pad_edge=False)
        for head, justify in (("Nutrient", "left"), ("Unit", "left"), ("Recipe", "right"), ("Variant", "right"), ("Difference", "right"),
                              ("%", "right"), ("% DV", "right")):
            table.add_column(head, justify=justify)  # type: ignore[arg-type]
        for n in kitchen.tables.nutrients:
            if n.main:
                old, new = parent.nutrients[n.tag], variant.nutrients[n.tag]
                found = difference(old, new)
                table.add_row(n.name, n.unit, *(f"{r.reads} {shown(r.serving, n.decimals)}".lstrip() for r in (old, new)),
                              amount_in_words(found, n.decimals), per_cent_in_words(found), "" if new.dv_pct is None else shown(new.dv_pct, 0))
        console.print(table)
        for t in variant.targets:
            console.print(f"target: {t.text}: {t.verdict}", highlight=False)

