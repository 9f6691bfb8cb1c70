"""Reading recipe files, and every fault in one sentence with its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from recipe_texts import FULL, SOUP, sentences

from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Change, IngredientLine, Note, Recipe, Review, Target, Variant
from workbookgen.recipes.load import load_recipe, load_recipes, recipe_from_text

Write = Callable[..., Path]


def test_a_full_recipe_is_read_word_for_word(write: Write) -> None:
    path = write(FULL)
    assert load_recipe(path) == Recipe(
        title="Lentil pot", version="3", servings=4.0, makes_cups=8.0, serving_cups=2.0,
        serving_text="2 cups", cup_weight_g=240.0, cooked_weight_g=1900.5, kind="meal",
        racc_g=245.0, racc_text="soups",
        prep_minutes=10.0, cook_minutes=45.0, plate_model="myplate", legumes_as="vegetable", soup=True,
        component=True, counts_as="legume", compare_with="Other pot", may_contain="peanut",
        statements=("good source of iron",), switches=("no card",), path=str(path),
        targets=(
            Target("FE", ">=", 20.0, "%DV"), Target("NA", "<=", 600.0, "amount", "mg"),
            Target("Iron", ">=", 3.5, "amount", "mg"),
        ),
        method=("Boil.", "Eat."), storage=("Refrigerate.",), settings=(("programme", "Tuesday Table"),),
        notes=(Note("Good.", "usda_sr28"),),
        lines=(
            IngredientLine(
                "Lentils, dry", 1.5, "cups", "1-1 1/2", amount_low=1.0, amount_high=1.5, basis="as purchased",
                treatment="boiled, water used", share_eaten_pct=90.0, note="sorted", section="Pot",
                held_back=True,
            ),
            IngredientLine(
                "Water, tap", 3.0, "cup", water="stays", include=False, optional=True, garnish=True,
                role="liquid",
            ),
        ),
        variants=(Variant("Less", (Change("change amount", "Lentils, dry", amount=0.5, unit="cup"),)),),
        review=Review("A. Example", "2026-03-31", "fine", 12.0),
    )  # fmt: skip


def test_each_line_knows_its_row_in_the_file(write: Write) -> None:
    assert [line.row for line in load_recipe(write(FULL)).lines] == [29, 40]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('title = "Soup"', "", ': the title is missing; write title = "..." on top'),
        (
            'title = "Soup"', 'title = " "',
            ', line 1: the title is missing; write title = "..." on top',
        ),
        (
            '"Soup"', f'"{"x" * 121}"',
            ", line 1: title is 121 characters long; shorten it to at most 120",
        ),
        (
            '"Soup"', '"So\\u0007up"',
            ", line 1: title holds the control character U+0007; delete it and type the words again",
        ),
        (
            '"Soup"', '"So\\u202eup"',
            ", line 1: title holds the control character U+202E; delete it and type the words again",
        ),
        (
            "servings = 4", "servings = 0",
            ", line 2: servings is 0; write how many the dish gives, above 0",
        ),
        (
            "servings = 4", "servings = -2.5",
            ", line 2: servings is -2.5; write how many the dish gives, above 0",
        ),
        (
            "servings = 4", "servings = 1001",
            ", line 2: servings is 1001; it must lie between 0.5 and 1,000",
        ),
        (
            "servings = 4", 'servings = "4"',
            ", line 2: servings is \"4\"; write a number without quotes",
        ),
        (
            "servings = 4", "servings = nan",
            ", line 2: servings is nan; write a number without quotes",
        ),
        (
            "servings = 4", "",
            ": the number of servings is missing; write servings = ... or makes_cups with serving_cups",
        ),
        (
            "servings = 4", "makes_cups = 6",
            ": makes_cups needs the size of a serving; write serving_cups = ... or serving_g = ...",
        ),
        (
            "servings = 4", "makes_cups = 6\nserving_g = 300",
            ": makes_cups with serving_g needs cup_weight_g, one weighed cup of the finished dish in grams",
        ),
        (
            "servings = 4", "servings = 4\nmakes_cups = 6\nserving_cups = 2",
            ", line 2: servings is 4, but makes_cups and the serving give 3; take servings out or mend it",
        ),
        (
            "servings = 4", "servings = 4\nsevings = 3",
            ', line 3: the key "sevings" is not known; did you mean "servings"?',
        ),
        (
            'amount = "3/4 cup"', 'amount = "to taste"',
            ', line 6, ingredient 1: amount "to taste" is not decided; '
            'measure it once and write a number, such as "1/4 tsp"',
        ),
        (
            'amount = "3/4 cup"', "",
            ', line 4, ingredient 1: the amount is blank; '
            'measure it once and write a number, such as "1/4 tsp"',
        ),
        (
            'amount = "3/4 cup"', "amount = -1\nunit = 'cup'",
            ', line 6, ingredient 1: amount -1 is negative; write a number above 0',
        ),
        (
            'amount = "3/4 cup"', "amount = 45000\nunit = 'cup'",
            ', line 6, ingredient 1: amount 45000 is above 5,000; choose a larger unit',
        ),
        (
            'amount = "3/4 cup"', "amount = true\nunit = 'cup'",
            ', line 6, ingredient 1: amount true is not a number; write it like 2, 0.5 or "3/4"',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4"',
            ', line 4, ingredient 1: the unit is missing; write unit = "..." or amount = "3/4 cup"',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4 cup"\nunit = "g"',
            ', line 7, ingredient 1: the amount already holds the unit "cup"; take unit = "g" out',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4 cup"\nuse = "high"',
            ', line 7, ingredient 1: use picks an end of a range; write the amount as "2-3" or take use out',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4 cup"\nbasis = "cooked"',
            ', line 7, ingredient 1: basis "cooked" is not known; use edible, as purchased',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4 cup"\noptional = "yes"',
            ', line 7, ingredient 1: optional is "yes"; write true or false without quotes',
        ),
        (
            'amount = "3/4 cup"', 'amount = "3/4 cup"\nshare_eaten = 101',
            ', line 7, ingredient 1: share_eaten is 101; it must lie between 0 and 100',
        ),
        (
            'food = "Kale, raw"', "",
            ', line 4, ingredient 1: the food is missing; write food = "..."',
        ),
        (
            "servings = 4", 'servings = 4\ntargets = ["FE high"]',
            ', line 3: target "FE high" is not understood; write it like "FE >= 20 %DV" or "NA <= 600 mg"',
        ),
        (
            "servings = 4", "servings = 4\nmethod = [1]",
            ', line 3: method must be a list of texts; write ["...", "..."]',
        ),
        (
            "servings = 4", 'servings = 4\nreview = { date = "31 March" }',
            ', review: date "31 March" is not understood; write it like 2026-03-31',
        ),
    ],
)  # fmt: skip
def test_a_fault_gets_one_sentence_with_its_line(old: str, new: str, sentence: str, write: Write) -> None:
    assert SOUP.count(old) == 1
    with pytest.raises(BadInput) as caught:
        load_recipe(write(SOUP.replace(old, new)))
    assert sentences(caught.value) == [f"soup.toml{sentence}"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            'title = "A"\ntitle = "B"',
            ', line 2: the key "title" is written twice; keep one of the two',
        ),
        (
            "[review]\n[review]",
            ", line 2: the table [review] is written twice; [[double]] brackets begin a list",
        ),
        ('title = "A', ', line 1: a text does not end; close it with "'),
        (
            "title = Soup",
            ', line 1, column 9: the value is not understood; put words and fractions in "quotes"',
        ),
        ("amount = 3/4", None),
        (
            'method = ["a"\n',
            ", line 2: a list does not end; separate its parts by commas and close it with ]",
        ),
        (
            "My soup",
            ', line 1, column 4: this is not "key = value" (multi-word text needs "quotes"); mend the line',
        ),
        ('title = "A\x07"', None),
        ("x = " + "[" * 5000, ": the brackets are nested too deeply; a recipe needs two levels"),
        (
            "a = 1\n" + "x." * 300 + "y = 1",
            ", line 2: too many words are joined by dots; take some of the dots out",
        ),
        ("x = 1" + "0" * 5000, ": a number or date cannot be read; write amounts in quotes"),
    ],
)
def test_broken_toml_is_one_sentence_with_line_and_column(
    text: str, sentence: str | None, write: Write
) -> None:
    with pytest.raises(BadInput) as caught:
        load_recipe(write(text))
    [said] = sentences(caught.value)
    assert said.startswith("soup.toml")
    assert sentence is None or said == f"soup.toml{sentence}"


def test_utf8_with_and_without_byte_order_mark_and_windows_line_ends_are_read(write: Write) -> None:
    plain = load_recipe(write(SOUP.replace("Soup", "Crème soup")))
    with_mark = load_recipe(write(b"\xef\xbb\xbf" + SOUP.replace("Soup", "Crème soup").encode()))
    windows = load_recipe(write(SOUP.replace("Soup", "Crème soup").replace("\n", "\r\n")))
    assert plain == with_mark == windows


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (
            'title = "A"\nserving = "Crème"'.encode("latin-1"),
            "soup.toml, line 2: byte 0xe8 is not UTF-8 text; save the file again with the encoding UTF-8",
        ),
        (SOUP.encode("utf-16"), "soup.toml: the file is UTF-16 text; save it again with the encoding UTF-8"),
        (b"x" * 200_001, "soup.toml: the file is above 200,000 bytes; a recipe is a short text"),
    ],
)
def test_another_encoding_or_a_huge_file_is_refused(raw: bytes, sentence: str, write: Write) -> None:
    with pytest.raises(BadInput) as caught:
        load_recipe(write(raw))
    assert sentences(caught.value) == [sentence]


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"^no\.toml: there is no such file; check the name and the folder$"):
        load_recipe(tmp_path / "no.toml")
    with pytest.raises(BadInput, match="this is a folder; name a recipe file"):
        load_recipe(tmp_path)


def test_several_faults_are_told_together(write: Write) -> None:
    text = SOUP.replace('"Soup"', '""').replace("servings = 4", "servings = 0").replace("3/4 cup", "-1 cup")
    with pytest.raises(BadInput) as caught:
        load_recipe(write(text))
    assert len(sentences(caught.value)) == 3
    assert str(caught.value).count("\n") == 2


def test_a_line_under_review_may_wait_for_its_amount(write: Write) -> None:
    text = SOUP.replace(
        'amount = "3/4 cup"', 'amount = "to taste"\nreview = true\ncandidates = ["Kale, raw"]'
    )
    [line] = load_recipe(write(text)).lines
    assert (line.amount, line.amount_text, line.review, line.candidates) == (
        0.0,
        "to taste",
        True,
        ("Kale, raw",),
    )


def test_a_text_that_looks_like_a_formula_stays_text(write: Write) -> None:
    text = SOUP.replace("Kale, raw", '=HYPERLINK(\\"x\\")')
    assert load_recipe(write(text)).lines[0].food == '=HYPERLINK("x")'


def test_a_folder_gives_its_recipes_by_name_and_leaves_settings_out(write: Write, tmp_path: Path) -> None:
    write(SOUP.replace("Soup", "Second"), "b.toml")
    write(SOUP.replace("Soup", "First"), "a.TOML")
    write("low = 5", "settings.toml")
    write("x", "notes.txt")
    assert [recipe.title for recipe in load_recipes([tmp_path])] == ["First", "Second"]


def test_an_empty_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"the folder holds no recipe file; add one named \*\.toml"):
        load_recipes([tmp_path])


def test_two_recipes_with_one_title_are_refused(write: Write, tmp_path: Path) -> None:
    write(SOUP, "a.toml")
    write(SOUP.replace("Soup", "SOUP"), "b.toml")
    with pytest.raises(BadInput) as caught:
        load_recipes([tmp_path])
    assert sentences(caught.value) == [
        'b.toml: the title "SOUP" is also that of a.toml; give each recipe its own title'
    ]


def test_faults_of_all_files_are_told_together(write: Write, tmp_path: Path) -> None:
    write("title = ", "a.toml")
    write(SOUP.replace("4", "0", 1), "b.toml")
    with pytest.raises(BadInput) as caught:
        load_recipes([tmp_path])
    assert [said.split(",")[0].split(":")[0] for said in sentences(caught.value)] == ["a.toml", "b.toml"]


def test_an_unknown_key_unlike_any_other_gets_the_list_of_keys(write: Write) -> None:
    with pytest.raises(BadInput, match='the key "colour" is not known; known keys: title, version, servings'):
        load_recipe(write('colour = "red"\n' + SOUP))


def test_lines_inside_long_texts_are_not_taken_for_keys() -> None:
    text = 'note = """\n[[ingredient]]\nfood = 1\n"""\n' + SOUP
    with pytest.raises(BadInput) as caught:
        recipe_from_text(text.replace("Kale, raw", ""), "soup.toml")
    places = [said.split(":")[0] for said in sentences(caught.value)]
    assert sorted(places) == ["soup.toml, line 1", "soup.toml, line 9, ingredient 1"]
