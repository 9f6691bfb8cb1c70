"""Recipe files that read back as the same recipe."""

from __future__ import annotations

import stat
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from recipe_texts import FULL, SOUP

from workbookgen.model import recipe as model
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Change, IngredientLine, Note, Recipe, Review, Target, Variant
from workbookgen.recipes.load import load_recipe, recipe_from_text
from workbookgen.recipes.save import recipe_text, save_recipe
from workbookgen.recipes.text import clean, forbidden_character

Write = Callable[..., Path]

_LETTERS = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")).filter(
    lambda c: not forbidden_character(c)
)
_TEXT = st.text(_LETTERS, max_size=20).map(clean)
_WORDS = _TEXT.filter(bool)
_LOWER = st.sampled_from(["", "vegetable", "whole grain"])
_TEXTS = st.lists(_WORDS, max_size=3).map(tuple)
_POSITIVE = st.floats(0.001, 5000)
_MAYBE = st.none() | _POSITIVE
_UNIT = st.sampled_from(["cup", "cup, chopped", "g", "can (15 oz)"])


def _one_and_a_half(text: str) -> dict[str, object]:
    return {"amount": 1.5, "amount_text": text}


_AMOUNTS = st.one_of(
    st.builds(lambda value: {"amount": value}, _POSITIVE),
    st.builds(
        lambda low, gap, high: {
            "amount": float(low + gap if high else low), "amount_low": float(low),
            "amount_high": float(low + gap), "amount_text": f"{low}-{low + gap}",
        },
        st.integers(1, 9), st.integers(1, 9), st.booleans(),
    ),
    st.sampled_from(["1 1/2", "1½", "1.5", "one and a half"]).map(_one_and_a_half),
)  # fmt: skip
_LINES = st.builds(
    lambda amount, **rest: IngredientLine(**amount, **rest),
    _AMOUNTS, food=_WORDS, unit=_UNIT, basis=st.sampled_from(model.BASES), treatment=st.just("none") | _WORDS,
    share_eaten_pct=st.floats(0, 100), include=st.booleans(), optional=st.booleans(), role=_LOWER,
    water=st.sampled_from(["", *model.WATER_FATES]), note=_TEXT, section=_TEXT, held_back=st.booleans(),
    garnish=st.booleans(), review=st.booleans(), candidates=_TEXTS,
)  # fmt: skip
_UNDECIDED = st.builds(
    IngredientLine, food=_TEXT, amount=st.just(0.0), unit=st.just("") | _UNIT,
    amount_text=st.sampled_from(["", "to taste"]), review=st.just(True), candidates=_TEXTS,
)  # fmt: skip
_CHANGES = st.one_of(
    st.builds(Change, st.just("leave out"), _WORDS),
    st.builds(Change, st.just("replace"), _WORDS, _WORDS, st.none(), st.just("") | _UNIT, _TEXT),
    st.builds(Change, st.just("change amount"), _WORDS, amount=_POSITIVE, unit=_UNIT),
    st.builds(Change, st.just("add"), _WORDS, amount=_POSITIVE, unit=_UNIT, water=st.sampled_from(["", *model.WATER_FATES])),
)
_VARIANTS = st.lists(
    st.builds(Variant, _WORDS, st.lists(_CHANGES, min_size=1, max_size=2).map(tuple), st.booleans()),
    max_size=2, unique_by=lambda variant: variant.name.casefold(),
).map(tuple)  # fmt: skip
_TARGETS = st.builds(
    lambda tag, sign, value, unit: Target(tag, sign, value, *(("amount", unit) if unit else ("%DV", ""))),
    st.sampled_from(["FE", "LUT+ZEA", "Vitamin B12"]), st.sampled_from([">=", "<="]),
    st.floats(0, 1e6), st.sampled_from(["", "mg", "mcg", "kcal"]),
)  # fmt: skip
_NUMBER = st.floats(-1e6, 1e6).filter(lambda value: value != 0)
_RECIPES = st.builds(
    Recipe, title=_WORDS, servings=st.floats(0.5, 1000),
    lines=st.lists(_LINES | _UNDECIDED, min_size=1, max_size=4).map(tuple),
    serving_text=_TEXT, cup_weight_g=_MAYBE, cooked_weight_g=_MAYBE, kind=st.sampled_from(model.KINDS),
    racc_g=_MAYBE, racc_text=_TEXT, prep_minutes=_MAYBE, cook_minutes=st.none() | st.floats(0, 600),
    method=_TEXTS, storage=_TEXTS, notes=st.lists(st.builds(Note, _WORDS, _TEXT), max_size=2).map(tuple),
    targets=st.lists(_TARGETS, max_size=2).map(tuple), variants=_VARIANTS, plate_model=_TEXT,
    legumes_as=st.sampled_from(model.LEGUMES_AS), soup=st.booleans(), may_contain=_TEXT, statements=_TEXTS,
    switches=_TEXTS, compare_with=_TEXT, component=st.booleans(), counts_as=_LOWER,
    review=st.builds(Review, _TEXT, st.sampled_from(["", "2026-03-31"]), _TEXT, st.none() | _NUMBER),
    version=_WORDS, settings=st.dictionaries(_WORDS, _TEXT, max_size=2).map(lambda d: tuple(d.items())),
)  # fmt: skip


@given(_RECIPES)
@settings(max_examples=150, deadline=None)
def test_a_saved_recipe_reads_back_the_same(recipe: Recipe) -> None:
    assert recipe_from_text(recipe_text(recipe), "x.toml") == recipe


@given(_RECIPES, st.floats(1, 100), st.floats(0.25, 4))
@settings(max_examples=40, deadline=None)
def test_a_dish_told_in_cups_reads_back_the_same(recipe: Recipe, servings: float, cups: float) -> None:
    told = replace(recipe, makes_cups=servings * cups, serving_cups=cups, servings=servings * cups / cups)
    assert recipe_from_text(recipe_text(told), "x.toml") == told


def test_saving_and_loading_a_file_gives_the_same_recipe(write: Write, tmp_path: Path) -> None:
    recipe = load_recipe(write(FULL))
    target = tmp_path / "again.toml"
    save_recipe(recipe, target)
    assert load_recipe(target) == replace(recipe, path=str(target))
    first = target.read_bytes()
    save_recipe(load_recipe(target), target)
    assert target.read_bytes() == first


def test_usual_values_are_left_out_of_the_file(write: Write) -> None:
    text = recipe_text(load_recipe(write(SOUP)))
    assert text == (
        'title = "Soup"\nservings = 4\n\n[[ingredient]]\nfood = "Kale, raw"\namount = "3/4"\nunit = "cup"\n'
    )


def test_an_existing_file_keeps_its_permissions_and_nothing_is_left_beside_it(
    write: Write, tmp_path: Path
) -> None:
    path = write()
    path.chmod(0o600)
    save_recipe(load_recipe(path), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [entry.name for entry in tmp_path.iterdir()] == ["soup.toml"]


def test_a_failed_save_leaves_the_old_file_whole(
    write: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write()
    recipe = replace(load_recipe(path), title="Other")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", fail)
    with pytest.raises(BadInput, match=r"cannot be written .No space left"):
        save_recipe(recipe, path)
    assert path.read_text() == SOUP
    assert [entry.name for entry in tmp_path.iterdir()] == ["soup.toml"]


def test_a_folder_that_does_not_exist_is_named(write: Write, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"the folder .*no does not exist; create it or choose another file"):
        save_recipe(load_recipe(write()), tmp_path / "no" / "x.toml")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"serving_text": "two\nlines"}, "serving_text would not read back the same"),
        ({"title": ""}, "the title is missing"),
        ({"lines": ()}, "the recipe has no ingredients"),
        ({"servings": float("nan")}, "servings is nan"),
        ({"may_contain": "x\x00"}, "may_contain holds the control character U\\+0000"),
    ],
)
def test_what_a_file_cannot_hold_is_refused_before_anything_is_written(
    changes: dict[str, object], words: str, write: Write, tmp_path: Path
) -> None:
    recipe = replace(load_recipe(write()), **changes)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match=words):
        save_recipe(recipe, tmp_path / "new.toml")
    assert not (tmp_path / "new.toml").exists()
