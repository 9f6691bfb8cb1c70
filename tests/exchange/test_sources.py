"""Recipes in text, JSON and saved pages; one sentence for what cannot be read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from workbookgen.catalogue.paths import data_path
from workbookgen.exchange.draft_line import LineDrafter
from workbookgen.exchange.raw import RawRecipe, minutes, read_yield
from workbookgen.exchange.sources import LARGEST, read_source
from workbookgen.model.errors import BadInput

JSON_LD = """<!doctype html><html lang="en"><head>
<script type="application/ld+json">{"broken": </script>
<script type="application/ld+json">{"@context": "https://schema.org",
 "@graph": [{"@type": "WebPage", "name": "Page"},
 {"@type": ["Recipe", "Article"], "name": "Barley &amp; Bean Bowl", "recipeYield": ["4", "4 bowls"],
  "prepTime": "PT15M", "cookTime": "PT1H5M",
  "recipeIngredient": ["1 cup pearl barley", "<b>1&frac12; cups</b> water", "Salt, to taste"],
  "recipeInstructions": [{"@type": "HowToSection", "itemListElement": [
    {"@type": "HowToStep", "text": "Boil the barley."}, {"@type": "HowToStep", "text": "Stir in beans."}]}]}]}
</script></head><body></body></html>"""
MICRODATA = """<html lang="en"><body><div itemscope itemtype="https://schema.org/Recipe">
<h1 itemprop="name">Lentil soup</h1>
<meta itemprop="prepTime" content="PT10M"><time itemprop="cookTime" datetime="PT40M">40 minutes</time>
<span itemprop="recipeYield">Serves 6</span>
<ul><li itemprop="recipeIngredient">1 cup <b>brown</b> lentils
<li itemprop="recipeIngredient">2 carrots, diced</ul>
<p itemprop="ingredients">1 tsp cumin
<div itemprop="nutrition" itemscope itemtype="https://schema.org/NutritionInformation">
<b itemprop="calories">200</b></div>
<ol itemprop="recipeInstructions"><li>Boil.</li><li>Blend.</li></ol></div></body></html>"""
TEXT = """# Bean pot

Serves 6
Prep time: 20 minutes
Cook time: 1 hour 10 minutes

## Ingredients
- 1 cup pearl barley
- 2 (15 oz) cans kidney beans, drained

For the topping:
- 1/2 cup grated Parmesan

## Directions
1. Warm the oil.
2. Simmer for one hour.

## Notes
Keeps three days.
"""


@pytest.fixture
def read(tmp_path: Path, drafter: LineDrafter):  # type: ignore[no-untyped-def]
    def _read(name: str, content: str | bytes, which: str = "") -> RawRecipe:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_source(path, drafter.words, drafter.matcher.knows, data_path(), which)

    return _read


def test_json_ld_is_read_though_another_block_is_broken(read) -> None:  # type: ignore[no-untyped-def]
    raw = read("page.html", JSON_LD)
    assert raw.title == "Barley & Bean Bowl"
    assert [text for _, text in raw.lines] == ["1 cup pearl barley", "1½ cups water", "Salt, to taste"]
    assert raw.method == ["Boil the barley.", "Stir in beans."]
    assert (raw.gives.servings, raw.prep_minutes, raw.cook_minutes) == (4, 15, 65)


def test_microdata_are_read_with_open_list_items_and_old_names(read) -> None:  # type: ignore[no-untyped-def]
    raw = read("page.html", MICRODATA)
    assert raw.title == "Lentil soup"
    assert [text for _, text in raw.lines] == ["1 cup brown lentils", "2 carrots, diced", "1 tsp cumin"]
    assert raw.method == ["Boil.", "Blend."]
    assert (raw.gives.servings, raw.prep_minutes, raw.cook_minutes) == (6, 10, 40)


def test_a_recipe_told_twice_on_a_page_is_one_recipe(read) -> None:  # type: ignore[no-untyped-def]
    twice = MICRODATA.replace("<body>", '<body><script type="application/ld+json">' + json.dumps(
        {"@type": "Recipe", "name": "Lentil Soup", "recipeIngredient": ["1 cup brown lentils", "2 carrots"]}
    ) + "</script>")  # fmt: skip
    assert [text for _, text in read("page.html", twice).lines] == ["1 cup brown lentils", "2 carrots"]


def test_text_with_headings(read) -> None:  # type: ignore[no-untyped-def]
    raw = read("bean_pot.txt", TEXT)
    assert raw.title == "Bean pot"
    assert raw.lines == [
        ("", "- 1 cup pearl barley"), ("", "- 2 (15 oz) cans kidney beans, drained"),
        ("For the topping", "- 1/2 cup grated Parmesan"),
    ]  # fmt: skip
    assert raw.method == ["Warm the oil.", "Simmer for one hour."]
    assert raw.notes == ["Keeps three days."]
    assert (raw.gives.servings, raw.prep_minutes, raw.cook_minutes) == (6, 20, 70)


def test_text_without_headings(read) -> None:  # type: ignore[no-untyped-def]
    raw = read(
        "pot.txt",
        "Kale pot\n2 cups kale\n1 onion, diced\nsalt to taste\n1. Fry the onion until soft.\n2. Add kale.\n",
    )
    assert raw.title == "Kale pot"
    assert [text for _, text in raw.lines] == ["2 cups kale", "1 onion, diced", "salt to taste"]
    assert raw.method == ["Fry the onion until soft.", "Add kale."]


def test_bare_lines_take_their_title_from_the_file(read) -> None:  # type: ignore[no-untyped-def]
    raw = read("kale_pot.txt", "2 cups kale\n1 onion\n")
    assert (raw.title, len(raw.lines)) == ("kale pot", 2)


def test_plain_json_with_parts(read) -> None:  # type: ignore[no-untyped-def]
    told = {"title": "Salad", "servings": 4, "ingredients": [{"amount": 1.5, "unit": "cup", "food": "kale"},
            {"amount": 2, "unit": "each", "food": "egg", "note": "boiled"}]}  # fmt: skip
    raw = read("salad.json", json.dumps(told))
    assert [text for _, text in raw.lines] == ["1.5 cup kale", "2 egg, boiled"]
    assert raw.gives.servings == 4


def test_one_of_several_recipes_is_chosen_by_number_or_title(read) -> None:  # type: ignore[no-untyped-def]
    both = json.dumps([{"title": t, "ingredients": ["1 cup kale"]} for t in ("Red pot", "Green pot")])
    assert read("two.json", both, "2").title == "Green pot"
    assert read("two.json", both, "red").title == "Red pot"
    for which in ("", "pot", "7"):
        with pytest.raises(BadInput, match=r'1 "Red pot", 2 "Green pot"'):
            read("two.json", both, which)


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("empty.txt", "", "is empty"),
        ("blank.html", "  \n ", "is empty"),
        ("page.html", "<html><body><p>Hello</p></body></html>", "no schema.org Recipe"),
        ("page.html", '<script type="application/ld+json">{"@type": "Recipe", </script>', "broken JSON"),
        ("broken.json", '{"ingredients": [', "not proper JSON"),
        ("deep.json", "[" * 50_000, "nested too deeply"),
        ("other.json", '{"a": 1}', "needs a list"),
        ("steps.txt", "Ingredients\n\nMethod\nBoil it.\n", "no ingredient lines"),
        ("suppe.txt", "Zutaten\n500 g Kartoffeln\n1 EL Butter\n2 Zwiebeln\nSalz und Pfeffer", "English only"),
        ("soupe.txt", "200 g de farine\n2 oeufs\n1 pincée de sel", "English only"),
        ("sopa.txt", "2 tazas de arroz\n3 dientes de ajo\nsal al gusto", "English only"),
        ("ru.txt", "мука 200 г\nяйца 2 шт", "English only"),
        ("jp.txt", "小麦粉 200g\n卵 2個", "English only"),
        ("scan.pdf", b"%PDF-1.7 xxxx", "a PDF"),
        ("latin.txt", "1 cup caf\xe9".encode("latin-1"), "not UTF-8"),
        ("large.html", "x" * (LARGEST + 1), "more than 5 MB"),
        ("long.txt", "1 cup kale\n" * 300, "split it"),
    ],
)
def test_bad_input_gets_one_sentence(name: str, content: str | bytes, sentence: str, read) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput, match=sentence) as caught:
        read(name, content)
    assert str(caught.value).startswith(name)
    assert "\n" not in str(caught.value)


def test_missing_file_and_folder(tmp_path: Path, drafter: LineDrafter) -> None:
    for path, sentence in ((tmp_path / "none.txt", "does not exist"), (tmp_path, "is a folder")):
        with pytest.raises(BadInput, match=sentence):
            read_source(path, drafter.words, drafter.matcher.knows, data_path())


@pytest.mark.parametrize("text", [
    "2 cups linguine\n1 cup mozzarella\n1 jalapeño\n2 tbsp harissa",
    "salt\npepper\npaprika",
    "1 cup milk",
    "1 cup crème fraîche\n2 tbsp butter",
])  # fmt: skip
def test_short_english_lists_with_foreign_foods_are_read(text: str, read) -> None:  # type: ignore[no-untyped-def]
    assert read("list.txt", text).lines


@pytest.mark.parametrize(
    ("text", "servings", "cups", "piece"),
    [("Serves 4", 4, None, ""), ("4-6 servings", 4, None, ""), ("Makes 12 muffins", 12, None, "1 muffin"),
     ("Yield: 6 cups", None, 6, ""), ("makes about 2 1/2 cups", None, 2.5, ""), ("a lot", None, None, "")],
)  # fmt: skip
def test_yields(text: str, servings: float | None, cups: float | None, piece: str) -> None:
    told = read_yield(text)
    assert (told.cups, told.serving_text) == (cups, piece)
    assert told.servings == servings


def test_times() -> None:
    told = ("PT1H30M", "P1DT1H", "1 hour 10 minutes", "45 min", "1 1/2 hrs", "soon")
    assert [minutes(text) for text in told] == [
        90, 1500, 70, 45, 90, None,
    ]  # fmt: skip
