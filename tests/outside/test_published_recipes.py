"""Published recipes through the real workbook path; the yardstick is the one public bodies work with.

Within 20 % for energy is a usual expectation for recipes worked out from another database and year (common
practice, no source; 21 CFR 101.9(g) itself is one-sided and meant for labels).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.outside.published_recipes import Figure, figures, recipes
from workbookgen.nutrition.kitchen import Kitchen


@pytest.fixture(scope="module")
def found(kitchen: Kitchen, tmp_path_factory: pytest.TempPathFactory) -> list[Figure]:
    folder: Path = tmp_path_factory.mktemp("published")
    return figures(kitchen, folder)


def test_every_recipe_and_figure_is_compared(found: list[Figure]) -> None:
    assert {f.recipe for f in found} == {r.title for r in recipes()}
    assert len(found) > 130


def test_energy_of_most_recipes_lies_within_20_per_cent(found: list[Figure]) -> None:
    off = [abs(f.off_pct) for f in found if f.tag == "ENERC_KCAL"]
    assert len(off) == 14
    assert sum(o <= 20 for o in off) >= 12


def test_the_printed_table_is_the_one_that_is_kept(found: list[Figure]) -> None:
    kept = (Path(__file__).parent / "results" / "published_recipes.md").read_text(encoding="utf-8")
    for f in found:
        off = f"{f.off_pct:+.0f}" if f.printed else "-"
        assert f"| {f.recipe} | {f.tag} | {f.printed:g} | {f.computed:.4g} | {off} | {f.reads} |" in kept
