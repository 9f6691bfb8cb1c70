"""The adjusted recipe reads back, is worked out anew by the core, and by the workbook in another engine."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.dishes import dish, line, small_kitchen
from workbookgen.adjust.least import Result, least_change
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.adjust.variant import adjusted_recipe, amount_words, as_variant, with_variant
from workbookgen.catalogue.constants import constant_rows
from workbookgen.model.analysis import Analysis
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.variants import apply_variant
from workbookgen.recipes.check import resolve_recipe
from workbookgen.recipes.load import load_recipe
from workbookgen.recipes.save import save_recipe
from workbookgen.session import default_settings
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill

LINES = (
    line("Tomatoes, canned, in juice", 1, "can (28 oz)", treatment="reheated", section="Pot"),
    line("Chickpeas, canned, drained", 300, treatment="reheated"), line("Salt, table", 1, "tsp", section="To finish"),
    line("Parsley, fresh", 0.25, "cup, chopped", garnish=True), line("Avocado, raw", 50, include=False, optional=True),
)  # fmt: skip


def pot(kitchen: Kitchen) -> Analysis:
    return dish(kitchen, *LINES, servings=4.0, cooked_weight_g=1200.0)


def solved(kitchen: Kitchen, **asked: object) -> tuple[Task, Result]:
    task = make_task(kitchen, pot(kitchen), Request(**asked))  # type: ignore[arg-type]
    result = least_change(task)
    assert result is not None
    return task, result


def test_amounts_are_written_as_a_cook_writes_them() -> None:
    words = {Fraction(5, 4): "1 1/4", Fraction(1, 3): "1/3", Fraction(3): "", Fraction(1, 20): "", Fraction(7, 2): "3 1/2"}
    assert {f: amount_words(f) for f in words} == words


def test_a_line_that_goes_leaves_its_heading(kitchen: Kitchen) -> None:
    salt = pot(kitchen).lines[2].values["NA"] or 0.0
    least = pot(kitchen).nutrients["NA"].serving - salt / 4 * 0.99
    keep = ["Tomatoes, canned, in juice", "Chickpeas, canned, drained"]
    _, result = solved(kitchen, targets=[f"NA <= {least:.1f} mg"], keep=keep)
    foods = [(x.food, x.section) for x in result.recipe.lines]
    assert foods == [("Tomatoes, canned, in juice", "Pot"), ("Chickpeas, canned, drained", ""), ("Parsley, fresh", "To finish"), ("Avocado, raw", "")]


def test_unchanged_lines_stay_as_written(kitchen: Kitchen) -> None:
    task, result = solved(kitchen, targets=[f"NA <= {pot(kitchen).nutrients['NA'].serving * 0.9:.1f} mg"])
    before = task.space.analysis.recipe.lines
    for old, new in zip(before, result.recipe.lines, strict=True):
        assert new == old or new.amount != old.amount


def test_the_recipe_file_reads_back_and_gives_the_same_figures(kitchen: Kitchen, tmp_path: Path) -> None:
    _, result = solved(kitchen, targets=["NA <= 200 mg", "FIBTG >= 6 g"], swaps=True, additions=1)
    path = tmp_path / "variant.toml"
    save_recipe(result.recipe, path)
    again = resolve_recipe(load_recipe(path), kitchen.table, kitchen.tables)
    assert again.compare_with == "Test dish"
    assert again.cooked_weight_g is None
    figures = analyse_recipe(kitchen, again, default_settings()).nutrients
    for tag, figure in result.analysis.nutrients.items():
        assert figures[tag].serving == pytest.approx(figure.serving, rel=1e-12, abs=1e-12)


def test_the_workbook_agrees_that_targets_are_met(kitchen: Kitchen) -> None:
    """The adjusted recipe beside the first in a book: another engine works out every cell and every target is met."""
    _, result = solved(kitchen, targets=["NA <= 200 mg", "FIBTG >= 25 %DV"], swaps=True)
    small = small_kitchen(kitchen, *(x.food for x in (*LINES, *result.recipe.lines)), "Water, tap")
    recipes = [pot(small).recipe, result.recipe]
    book, analyses = lay_out(small, constant_rows(), recipes, default_settings(), load_look(), Spares(0, 0))
    assert fill(book) == []
    assert [t.verdict for t in analyses[1].targets] == ["met", "met"]
    sheet = next(s for s in book.sheets if s.name.startswith("Test dish, adjusted"))
    assert sum(cell.value == "met" for cell in sheet.cells.values() if cell.formula) >= 2


def test_changes_inside_the_file(kitchen: Kitchen, tmp_path: Path) -> None:
    task, result = solved(kitchen, targets=["NA <= 190 mg"], swaps=True)
    variant = as_variant(task.space, result.choice)
    assert {c.do for c in variant.changes} <= {"replace", "change amount", "leave out"}
    copy = with_variant(task.space.analysis.recipe, variant)
    path = tmp_path / "copy.toml"
    save_recipe(copy, path)
    again = resolve_recipe(load_recipe(path), kitchen.table, kitchen.tables)
    assert again.variants == (variant,)
    assert with_variant(copy, variant).variants == (variant,)


def test_a_new_food_is_added_inside_the_file(kitchen: Kitchen) -> None:
    """The variant in the file gives the figures that the adjuster found."""
    task, result = solved(kitchen, targets=["VITC >= 60 mg"], additions=1)
    variant = as_variant(task.space, result.choice)
    assert "add" in {c.do for c in variant.changes}
    made = resolve_recipe(with_variant(task.space.analysis.recipe, variant), kitchen.table, kitchen.tables)
    figures = analyse_recipe(kitchen, apply_variant(made, made.variants[0]), default_settings()).nutrients
    for tag, figure in result.analysis.nutrients.items():
        assert figures[tag].serving == pytest.approx(figure.serving, rel=1e-9, abs=1e-9)


def test_one_food_on_two_lines_that_part_is_no_change_inside_the_file(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 100), line("Kale, raw", 200), line("Salt, table", 1, "tsp"), servings=4.0)
    task = make_task(kitchen, analysis, Request(targets=[f"VITC >= {analysis.nutrients['VITC'].serving * 1.2:.1f} mg"], allow=["kidney", "iron"]))
    result = least_change(task)
    assert result is not None
    with pytest.raises(BadInput, match="several lines"):
        as_variant(task.space, result.choice)


def test_long_titles_still_fit(kitchen: Kitchen) -> None:
    analysis = dish(kitchen, line("Kale, raw", 100))
    long = replace(analysis, recipe=replace(analysis.recipe, title="A" * 120))
    task = make_task(kitchen, long, Request(targets=["NA <= 4000 mg"]))
    result = least_change(task)
    assert result is not None
    assert len(adjusted_recipe(task.space, result.choice, ()).title) <= 120
