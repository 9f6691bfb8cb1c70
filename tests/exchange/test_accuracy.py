"""The aims of drafting, measured on the lines of this folder, and the arithmetic of the measuring."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.accuracy import (
    ANSWERS,
    FRESH,
    LINES,
    accuracy_report,
    outcomes,
    read_lines,
    read_published,
)
from workbookgen.exchange.draft_line import LineDrafter
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen

TREE = data_path().parent


@pytest.mark.parametrize("parts", [LINES, FRESH], ids=["practice", "fresh"])
def test_the_aims_are_reached(parts: tuple[str, ...], drafter: LineDrafter) -> None:
    """Aims: right food first in 90 %, among three in 98 %, at most 1 line in 50 wrong and not marked."""
    done = list(outcomes(read_lines(TREE.joinpath(*parts)), drafter))
    assert sum(o.right(1) for o in done) >= 0.90 * len(done)
    assert sum(o.right(3) for o in done) >= 0.98 * len(done)
    assert sum(not o.right(1) and not o.review for o in done) <= len(done) / 50


def test_there_are_at_least_200_varied_practice_lines(drafter: LineDrafter) -> None:
    lines = read_lines(TREE.joinpath(*LINES))
    assert len({line.text for line in lines}) >= 200
    assert len({food for line in lines for food in line.foods}) >= 150


@pytest.mark.parametrize("parts", [LINES, FRESH])
def test_right_answers_are_foods_of_the_table(parts: tuple[str, ...], drafter: LineDrafter) -> None:
    named = {food for line in read_lines(TREE.joinpath(*parts)) for food in line.foods}
    assert sorted(named - set(drafter.matcher.by_name)) == []


def test_right_answers_of_the_published_lines_are_foods_of_the_table(drafter: LineDrafter) -> None:
    from workbookgen.catalogue.csvread import read_rows

    rows = read_rows(TREE.joinpath(*ANSWERS), ("recipe", "line", "food", "also_right", "grams", "reason"))
    named = {food for row in rows for food in (row.cells["food"], *row.items("also_right")) if food}
    assert sorted(named - set(drafter.matcher.by_name)) == []


HEADER = "text,food,also_right,grams,why\n"


def test_the_report_counts_right_wrong_and_marked(tmp_path: Path, kitchen: Kitchen) -> None:
    lines = tmp_path / "lines.csv"
    lines.write_text(
        HEADER
        + '1 cup quinoa,"Quinoa, dry",,170,\n1 cup quinoa seeds,"Kale, raw",,,\n'
        + '1 cup milk,"Milk, whole",,,\n',
        encoding="utf-8",
    )
    report = accuracy_report(lines=lines, kitchen=kitchen)
    assert "right food first             2 = 66.7%" in report
    assert "sent to review               1 = 33.3%" in report
    assert "wrong food and not marked    1 = 33.3%" in report
    assert "grams within 10%             1 of 1" in report


def test_published_lines_need_an_answer_each(tmp_path: Path) -> None:
    recipes = tmp_path / "recipes.json"
    recipes.write_text(
        json.dumps([{"id": "a", "ingredients": [{"amount": 1, "unit": "cup", "food": "kale"}]}]),
        encoding="utf-8",
    )
    answers = tmp_path / "answers.csv"
    answers.write_text("recipe,line,food,also_right,grams,reason\n", encoding="utf-8")
    with pytest.raises(BadInput, match="no right answer"):
        read_published(recipes, answers)
    answers.write_text('recipe,line,food,also_right,grams,reason\na,1,"Kale, raw",,,\n', encoding="utf-8")
    assert read_published(recipes, answers)[0].text == "1 cup kale"
    recipes.write_text("{", encoding="utf-8")
    with pytest.raises(BadInput, match="not a JSON list"):
        read_published(recipes, answers)
