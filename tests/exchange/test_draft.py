"""Drafting a recipe file."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workbookgen.exchange.draft import SERVINGS_UNTOLD, draft_file, draft_recipe, learn_file
from workbookgen.exchange.draft_line import LineDrafter
from workbookgen.exchange.raw import RawRecipe, read_yield
from workbookgen.model.errors import BadInput
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.check import check_recipe
from workbookgen.recipes.load import load_recipe
from workbookgen.recipes.save import save_recipe

TEXT = """Bean pot
Serves 6
Prep time: 20 minutes
Ingredients
1 cup pearl barley
1 cup milk
1/4 cup walnuts, toasted (optional)
Salt to taste
For the topping:
1/2 cup grated Parmesan
Method
Simmer.
"""


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "pot.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_a_draft_reads_back_and_only_open_lines_are_refused(source: Path, kitchen: Kitchen) -> None:
    out = source.with_suffix(".toml")
    report = draft_file(source, out, kitchen=kitchen)
    recipe = load_recipe(out)
    assert (recipe.title, recipe.servings, recipe.prep_minutes) == ("Bean pot", 6, 20)
    assert recipe.method == ("Simmer.",)
    assert [line.review for line in recipe.lines] == [False, True, False, True, False]
    assert recipe.lines[2].optional
    assert recipe.lines[2].treatment == "toasted"
    assert recipe.lines[4].section == "For the topping"
    errors = check_recipe(recipe, kitchen.table, kitchen.tables)
    assert len(errors) == 2
    assert "Milk, whole" in str(errors[0])
    assert "5 ingredients, 2 to review" in report


def test_every_line_that_is_not_marked_passes_the_checks_of_build(
    tmp_path: Path, kitchen: Kitchen, drafter: LineDrafter
) -> None:
    from workbookgen.catalogue.paths import data_path
    from workbookgen.exchange.accuracy import FRESH, LINES, read_lines

    texts = [
        e.text
        for parts in (LINES, FRESH)
        for e in read_lines(data_path().parent.joinpath(*parts))
        if not e.place
    ]
    draft = draft_recipe(RawRecipe("All", [("", t) for t in texts], gives=read_yield("Serves 4")), drafter)
    path = tmp_path / "all.toml"
    save_recipe(draft.recipe, path)
    errors = check_recipe(load_recipe(path), kitchen.table, kitchen.tables)
    assert len(errors) == len(draft.open_lines)


def test_in_a_pipe_nothing_is_asked(source: Path, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_prompt: str = "") -> str:
        raise AssertionError("asked in a pipe")

    monkeypatch.setattr("builtins.input", refuse)
    report = draft_file(source, source.with_suffix(".toml"), ask=True, kitchen=kitchen)
    assert "Nothing was asked" in report


def test_answers_decide_the_food_and_are_remembered(source: Path, kitchen: Kitchen) -> None:
    asked: list[str] = []

    def answer(question: str) -> str:
        asked.append(question)
        return "Milk, fat free"

    out = source.with_suffix(".toml")
    draft_file(source, out, kitchen=kitchen, answer=answer)
    assert len(asked) == 1  # the amount of the salt is no question about a food
    assert load_recipe(out).lines[1].food == "Milk, fat free"
    assert not load_recipe(out).lines[1].review
    assert "milk -> Milk, fat free" in (source.parent / "choices.txt").read_text(encoding="utf-8")
    draft_file(source, out, kitchen=kitchen, overwrite=True)
    assert load_recipe(out).lines[1].food == "Milk, fat free"


def test_a_number_chooses_and_enter_leaves_the_line_open(source: Path, kitchen: Kitchen) -> None:
    out = source.with_suffix(".toml")
    draft_file(source, out, kitchen=kitchen, answer=lambda _: "2", choices=source.parent / "mine.txt")
    second = load_recipe(out).lines[1]
    assert not second.review
    assert second.food != "Milk, whole"
    draft_file(
        source, out, kitchen=kitchen, answer=lambda _: "", choices=source.parent / "other.txt", overwrite=True
    )
    assert load_recipe(out).lines[1].review
    assert not (source.parent / "other.txt").exists()


def test_decisions_in_the_edited_file_are_learned(source: Path, kitchen: Kitchen) -> None:
    out = source.with_suffix(".toml")
    draft_file(source, out, kitchen=kitchen)
    text = out.read_text(encoding="utf-8")
    start = text.index('food = "Milk, whole"')
    block = text[start : text.index("[[ingredient]]", start)]
    decided = block.replace("Milk, whole", "Milk, fat free", 1).replace("review = true", "")
    decided = decided[: decided.index("candidates")]
    out.write_text(text.replace(block, decided + "\n"), encoding="utf-8")
    assert "1 decisions learned" in learn_file(out, kitchen=kitchen)
    draft_file(source, out, kitchen=kitchen, overwrite=True)
    assert load_recipe(out).lines[1].food == "Milk, fat free"
    assert "0 decisions learned" in learn_file(out, kitchen=kitchen)


def test_an_amount_no_recipe_file_takes_is_left_open_with_its_reason(drafter: LineDrafter) -> None:
    """Found by fuzzing."""
    line = draft_recipe(RawRecipe("Pot", [("", "0 cup onions"), ("", "2 cups kale")]), drafter).recipe.lines[0]
    assert (line.amount, line.review) == (0.0, True)
    assert "the amount is 0" in line.note


def test_untold_servings_are_said_in_report_and_file(drafter: LineDrafter) -> None:
    draft = draft_recipe(RawRecipe("Pot", [("", "1 cup kale")]), drafter)
    assert draft.recipe.servings == 1
    assert draft.remarks == (SERVINGS_UNTOLD,)
    assert draft.recipe.notes[0].text == SERVINGS_UNTOLD


def test_a_yield_in_cups_is_said_and_not_turned_into_servings(drafter: LineDrafter) -> None:
    draft = draft_recipe(RawRecipe("Pot", [("", "1 cup kale")], gives=read_yield("6 cups")), drafter)
    assert any("6 cups" in remark for remark in draft.remarks)


def test_a_recipe_file_is_not_overwritten_unasked(source: Path, kitchen: Kitchen) -> None:
    out = source.with_suffix(".toml")
    out.write_text("mine", encoding="utf-8")
    with pytest.raises(BadInput, match="may hold decisions"):
        draft_file(source, out, kitchen=kitchen)
    assert out.read_text(encoding="utf-8") == "mine"


def test_the_draft_never_replaces_its_source(source: Path, kitchen: Kitchen) -> None:
    with pytest.raises(BadInput, match="its own source"):
        draft_file(source, source, kitchen=kitchen)


def test_water_must_say_what_becomes_of_it(drafter: LineDrafter) -> None:
    draft = draft_recipe(RawRecipe("Pot", [("", "2 cups water"), ("", "8 cups water, drained")]), drafter)
    assert [(line.review, line.water) for line in draft.recipe.lines] == [(True, ""), (False, "poured off")]


def test_the_same_source_gives_the_same_bytes(source: Path, kitchen: Kitchen) -> None:
    one, two = source.with_name("one.toml"), source.with_name("two.toml")
    draft_file(source, one, kitchen=kitchen)
    draft_file(source, two, kitchen=kitchen)
    assert one.read_bytes() == two.read_bytes()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(texts=st.lists(st.text(max_size=60), min_size=1, max_size=4), title=st.text(max_size=20))
def test_any_lines_give_a_file_that_reads_back(
    drafter: LineDrafter, tmp_path: Path, texts: list[str], title: str
) -> None:
    raw = RawRecipe(title, [("", text) for text in (*texts, "1 cup kale")], method=list(texts))
    draft = draft_recipe(raw, drafter)
    save_recipe(draft.recipe, tmp_path / "any.toml")
    assert len(load_recipe(tmp_path / "any.toml").lines) == len(draft.lines)
    assert all(line.review or line.amount > 0 for line in draft.recipe.lines)
