"""Recipe files that mean harm: wrong types, giant numbers, floods, any bytes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from recipe_texts import SOUP, sentences

from workbookgen.model.errors import BadInput
from workbookgen.recipes import load
from workbookgen.recipes.load import load_recipe, recipe_from_text

Write = Callable[..., Path]


def test_a_flood_of_faults_is_cut_short(write: Write) -> None:
    text = SOUP + "".join(f"key{i} = 1\n" for i in range(200)) + '[[ingredient]]\nfood = "x"\n' * 100
    with pytest.raises(BadInput) as caught:
        load_recipe(write(text))
    said = sentences(caught.value)
    assert len(said) == 51
    assert said[-1].endswith("more faults follow; mend the ones above first")


@pytest.mark.parametrize(
    "key", ["title", "servings", "version", "method", "soup", "makes_cups", "kind", "targets"]
)
def test_a_gigantic_number_is_refused_for_every_key(key: str) -> None:
    with pytest.raises(BadInput) as caught:
        recipe_from_text(f"{key} = 0x{'f' * 4000}", "soup.toml")
    assert any(said.startswith("soup.toml, line 1: ") for said in sentences(caught.value))


_VALUES = st.recursive(
    st.integers() | st.floats() | st.booleans() | st.text(max_size=8).map(lambda t: t.replace("\\", "")),
    lambda inner: st.lists(inner, max_size=2),
    max_leaves=3,
)


def _toml(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, str):
        return '"' + value.replace('"', "") + '"'
    return str(value).lower()


@given(st.dictionaries(st.sampled_from(load.KEYS), _VALUES, max_size=4))
def test_wrong_types_never_raise_anything_but_sentences(data: dict[str, object]) -> None:
    text = "".join(f"{key} = {_toml(value)}\n" for key, value in data.items())
    with pytest.raises(BadInput) as caught:
        recipe_from_text(text, "soup.toml")
    assert all(said.startswith("soup.toml") and "\n" not in said for said in sentences(caught.value))


@given(st.text(max_size=200) | st.binary(max_size=200).map(lambda raw: raw.decode("latin-1")))
def test_any_text_is_refused_in_sentences(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        recipe_from_text(text, "soup.toml")
    assert all(said.startswith("soup.toml") for said in sentences(caught.value))
