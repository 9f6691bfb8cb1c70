"""A colleague with a spreadsheet program: every edit she may make, in the built file itself."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from xlsxwriter.utility import xl_cell_to_rowcol
from xlsxwriter.utility import xl_rowcol_to_cell as a1

from tests.behaviour.nonsense import NONSENSE
from tests.behaviour.office import Office, Typed
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.find import find
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings, open_folders
from workbookgen.verify import verify
from workbookgen.verify.libreoffice_engine import recalculate
from workbookgen.verify.read import read_book
from workbookgen.workbook.book import Sheet
from workbookgen.workbook.build import Built
from workbookgen.workbook.find_sheet import FIRST as FIND_FIRST
from workbookgen.workbook.labels_layout import FIRST as LABELS_FIRST
from workbookgen.workbook.labels_layout import labels_layout

pytestmark = pytest.mark.libreoffice

BEANS, OATS, SPARE, DISH = "Bean and greens pot", "Overnight oats", "Spare 1", "Spare dish 1"
FIRST, LAST = 12, 41  # ingredient lines as the sheet counts its rows
SERVING, ENERGY, ATTENTION = "C7", "D7", "A9"


def sheet_of(built: Built, name: str) -> Sheet:
    return next(s for s in built.book.sheets if s.name == name)


def row_of(built: Built, name: str, words: str, col: int = 2) -> int:
    """Row (as a sheet counts) whose cell in ``col`` reads ``words``."""
    return next(row for (row, c), cell in sorted(sheet_of(built, name).cells.items()) if c == col and cell.value == words) + 1


def inputs_of(sheet: Sheet) -> list[str]:
    """Every cell that takes typing."""
    return [a1(*at) for at, cell in sorted(sheet.cells.items())
            if "input" in cell.style.split() and "locked" not in cell.style.split()]  # fmt: skip


def nonsense_for(sheet: Sheet, cell: str, number: int) -> Typed:
    """The value of that number. LibreOffice 7.4 never returns from showing 1E-300 as a fraction, so cells of
    amounts get the smallest number it can show."""
    value = NONSENSE[number % len(NONSENSE)]
    style = sheet.cells[xl_cell_to_rowcol(cell)].style.split()
    return 1e-9 if value == 1e-300 and "amount" in style else value


def nutrient_row(built: Built, name: str, nutrient: str) -> int:
    """Row of a nutrient in the tables of one serving."""
    cells = sheet_of(built, name).cells
    return next(row for (row, c), cell in sorted(cells.items()) if c == 2 and cell.formula and cell.value == nutrient) + 1


def per_serving(office: Office, built: Built, name: str, nutrient: str) -> float:
    """Exact amount of one serving, as the nutrient table shows it."""
    value = office.one(name, f"F{nutrient_row(built, name, nutrient)}")
    assert isinstance(value, float)
    return value


def core(kitchen: Kitchen, recipe: Recipe, tag: str) -> float:
    return analyse_recipe(kitchen, recipe, default_settings()).nutrients[tag].serving


def type_lines(office: Office, sheet: str, lines: tuple[tuple[str, float, str], ...]) -> None:
    cells = [(sheet, f"{col}{FIRST + i}", value) for i, line in enumerate(lines) for col, value in zip("CDE", line, strict=True)]
    office.put(*cells)


@pytest.fixture(scope="module")
def demo_kitchen(kitchen: Kitchen) -> Kitchen:
    from workbookgen.catalogue.paths import data_path

    return open_folders(kitchen, [data_path("demo")])[0]


def test_a_swapped_food_changes_the_figures_as_the_core_works_them_out(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen) -> None:
    built = small_demo[0]
    recipe = next(a.recipe for a in built.analyses if a.recipe.title.startswith("Overnight"))
    before = per_serving(office, built, OATS, "Energy")
    office.put((OATS, "C12", "Oat groats, dry"), (OATS, "E12", "g"), (OATS, "D12", 150.0))
    lines = (replace(recipe.lines[0], food="Oat groats, dry", amount=150.0, unit="g"), *recipe.lines[1:])
    changed = replace(recipe, lines=lines)
    assert per_serving(office, built, OATS, "Energy") == pytest.approx(core(demo_kitchen, changed, "ENERC_KCAL"), rel=1e-9)
    assert per_serving(office, built, OATS, "Iron") == pytest.approx(core(demo_kitchen, changed, "FE"), rel=1e-9)
    assert per_serving(office, built, OATS, "Energy") != pytest.approx(before, rel=1e-6)
    assert office.errors() == {}


def test_a_unit_the_food_lacks_is_told_and_counts_as_nothing(office: Office, small_demo: tuple[Built, Path]) -> None:
    office.put((OATS, "E12", "clove"))
    assert office.get(OATS, "L12", "J12") == ["unit not known for this food", 0.0]
    assert "at least" in office.one(OATS, ENERGY)
    assert "1 line needs mending" in office.one(OATS, ATTENTION)


def test_a_cleared_line_is_gone_without_a_word(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen) -> None:
    built = small_demo[0]
    recipe = next(a.recipe for a in built.analyses if a.recipe.title.startswith("Overnight"))
    office.put(*((OATS, f"{col}12", None) for col in "BCDEFGHI"))
    left = replace(recipe, lines=recipe.lines[1:])
    assert per_serving(office, built, OATS, "Energy") == pytest.approx(core(demo_kitchen, left, "ENERC_KCAL"), rel=1e-9)
    assert office.get(OATS, "L12", "J12") == ["", 0.0]
    assert office.errors() == {}


def test_cut_inputs_keep_the_numbers(office: Office, small_demo: tuple[Built, Path]) -> None:
    built = small_demo[0]
    before = [per_serving(office, built, BEANS, n) for n in ("Energy", "Sodium", "Iron")]
    office.cut(BEANS, f"B{FIRST}:I{FIRST}", f"B{LAST}")
    assert [per_serving(office, built, BEANS, n) for n in ("Energy", "Sodium", "Iron")] == pytest.approx(before, rel=1e-9)
    office.cut(BEANS, f"B{FIRST + 1}:I{FIRST + 9}", f"B{LAST - 9}")
    assert [per_serving(office, built, BEANS, n) for n in ("Energy", "Sodium", "Iron")] == pytest.approx(before, rel=1e-9)
    assert office.errors() == {}


def test_a_pasted_line_counts_twice_until_it_is_cleared(office: Office, small_demo: tuple[Built, Path]) -> None:
    built = small_demo[0]
    before = per_serving(office, built, OATS, "Energy")
    office.put(*((OATS, f"{col}30", None) for col in "BCDEFGHI"))
    office.copy(OATS, "B12:I12", "B30")
    assert per_serving(office, built, OATS, "Energy") > before
    assert office.one(OATS, "J30") == office.one(OATS, "J12")
    office.put(*((OATS, f"{col}30", None) for col in "BCDEFGHI"))
    assert per_serving(office, built, OATS, "Energy") == pytest.approx(before, rel=1e-12)


@pytest.mark.parametrize(("typed", "said"), [
    (45292.0, "looks like a date: type 0 3/4"), (100000.0, "choose a larger unit"), (-1.0, "the amount is below 0"),
    (1e-6, "the amount is too small"), ("2 cups", "type the amount as a number"),
    (["=1/0"], "type the amount as a number"), (5000.0, "too heavy: check amount and unit"),
])  # fmt: skip
def test_an_impossible_amount_is_told_in_words(office: Office, typed: Typed, said: str) -> None:
    office.put((OATS, "D12", typed))
    assert office.get(OATS, "L12", "J12") == [said, 0.0]


@pytest.mark.parametrize("servings", [0.0, 10000.0, -2.0, "four", None, 45292.0])
def test_impossible_servings_show_a_dash_and_say_why(office: Office, servings: Typed) -> None:
    office.put((OATS, "D4", servings))
    assert office.get(OATS, SERVING, ENERGY) == ["-", "-"]
    assert "Servings: type a number" in office.one(OATS, ATTENTION)
    assert office.errors() == {}


def test_a_copied_recipe_sheet_stands_alone(office: Office, small_demo: tuple[Built, Path]) -> None:
    shown = office.get(BEANS, SERVING, ENERGY, "A1")
    office.copy_sheet(BEANS, "My copy")
    assert office.get("My copy", SERVING, ENERGY, "A1") == shown
    office.put(("My copy", "D4", 3.0))
    assert office.get(BEANS, SERVING, ENERGY, "A1") == shown
    halved = office.get("My copy", ENERGY)
    office.put((BEANS, "D4", 12.0))
    assert office.get("My copy", ENERGY) == halved
    assert office.is_protected("My copy")
    assert office.errors() == {}
    office.remove_sheet("My copy")


def test_a_spare_sheet_filled_from_scratch_joins_the_book(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen) -> None:
    built = small_demo[0]
    lines = (("Black beans, canned, with liquid", 2.0, "can (15 oz)"), ("Onions, raw", 1.5, "cup, chopped"), ("Olive oil", 1.0, "tbsp"))
    office.put((SPARE, "C4", "Quick bean pan"), (SPARE, "D4", 4.0), (SPARE, "E4", "about 1 cup"))
    type_lines(office, SPARE, lines)
    recipe = Recipe("Quick bean pan", 4, tuple(IngredientLine(f, a, u) for f, a, u in lines))
    for nutrient, tag in (("Energy", "ENERC_KCAL"), ("Sodium", "NA"), ("Dietary fibre", "FIBTG"), ("Folate DFE", "FOLDFE")):
        assert per_serving(office, built, SPARE, nutrient) == pytest.approx(core(demo_kitchen, recipe, tag), rel=1e-9)
    overview = [office.one("Overview", f"C{row}") for row in range(6, 11)]
    assert "Quick bean pan" in overview
    assert "Quick bean pan" in [office.one("Results", f"C{row}") for row in range(6, 11)]
    card = sheet_of(built, "Card " + SPARE)
    shown = office.get(card.name, *(a1(*at) for at, cell in sorted(card.cells.items()) if cell.formula))
    assert any(str(value) == "Quick bean pan" for value in shown)
    assert any("Black beans" in str(value) for value in shown)
    assert office.errors() == {}


def test_a_spare_dish_becomes_an_ingredient_of_another_recipe(office: Office, small_demo: tuple[Built, Path]) -> None:
    built = small_demo[0]
    office.put((DISH, "C4", "Green oil"), (DISH, "D4", 10.0))
    type_lines(office, DISH, (("Olive oil", 100.0, "g"), ("Parsley, fresh", 50.0, "g")))
    before = per_serving(office, built, OATS, "Energy")
    office.put((OATS, "C30", "Green oil"), (OATS, "D30", 2.0), (OATS, "E30", "serving"))
    servings = office.one(OATS, "D4")
    assert per_serving(office, built, OATS, "Energy") - before == pytest.approx(2 * per_serving(office, built, DISH, "Energy") / servings, rel=1e-9)
    assert office.errors() == {}


def test_a_label_is_a_food_as_soon_as_it_is_typed(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen) -> None:
    built, lay = small_demo[0], labels_layout(demo_kitchen)
    row = LABELS_FIRST + 3

    def at(key: str) -> str:
        return a1(row, lay.col[key])

    typed = {"name": "Brand D spread", "s_amount": 2.0, "s_unit": "tbsp", "s_g": 32.0, "i_ENERC_KCAL": 190.0, "i_FAT": 16.0, "i_NA": 0.0,
             "i_CHOCDF": 7.0, "i_PROCNT": 8.0, "i_FIBTG": 2.0, "contains": "peanut", "checked": "yes", "w1": "sodium free", "salt": "no"}  # fmt: skip
    office.put(*(("Labels", at(key), value) for key, value in typed.items()))
    assert office.get("Labels", at("message"), at("verdict_1")) == ["", "holds"]
    office.put((OATS, "C30", "Brand D spread"), (OATS, "D30", 1.0), (OATS, "E30", "serving"))
    assert office.get(OATS, "J30", "L30") == [32.0, ""]
    office.put((OATS, "E30", "tbsp"))
    assert office.one(OATS, "J30") == pytest.approx(16 * 14.78676478125 / 15)  # the label's spoon is 15 mL
    iron = nutrient_row(built, OATS, "Iron")
    assert office.one(OATS, f"B{iron}") == "at least"  # iron is not declared
    office.put(("Label view", "A5", "Brand D spread"))
    assert office.get("Label view", "A11", "C11", "I11") == ["Sodium", 0.0, "low"]
    office.put(("Labels", at("i_FAT"), 1.0))
    assert "4-9-4" in office.one("Labels", at("message"))
    assert office.errors() == {}


def test_a_slip_in_an_allergen_never_reads_as_free_of_it(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen) -> None:
    lay = labels_layout(demo_kitchen)
    row = LABELS_FIRST + 3
    office.put(*(("Labels", a1(row, lay.col[key]), value) for key, value in
                 {"name": "Brand D spread", "s_g": 32.0, "contains": "penuts", "checked": "yes"}.items()))  # fmt: skip
    assert office.one("Labels", a1(row, lay.col["alg"])) == "?*;"
    assert "allergen word" in office.one("Labels", a1(row, lay.col["message"]))
    office.put(("Own foods", "A8", "Nut paste"), ("Own foods", "E8", "fat"), ("Own foods", "I8", "penuts"), ("Own foods", "J8", "yes"))
    assert "allergen word" in office.one("Own foods", "B8")


def test_own_food_and_own_measure_are_used_at_once(office: Office, small_demo: tuple[Built, Path]) -> None:
    built = small_demo[0]
    heads = {str(cell.value): col for (row, col), cell in sheet_of(built, "Own foods").cells.items() if row == 5}
    row = 7  # the second own food
    typed: dict[str, Typed] = {"Food": "Acorn spread", "On the plate": "fat", "Energy, kcal": 600.0, "Iron, mg": 2.0}
    office.put(*(("Own foods", a1(row, heads[key]), value) for key, value in typed.items()))
    office.put(("Own measures", "A8", "Acorn spread"), ("Own measures", "B8", "dollop"), ("Own measures", "C8", 25.0))
    office.put((OATS, "C30", "Acorn spread"), (OATS, "D30", 2.0), (OATS, "E30", "dollop"))
    assert office.get(OATS, "J30", "L30") == [50.0, ""]
    assert office.get("Own measures", "D8") == [""]
    office.put(("Own foods", a1(row, heads["Food"]), "Kale, raw"))
    assert "choose another" in office.one("Own foods", "B8")
    assert office.errors() == {}


@pytest.mark.parametrize("query", ["bean", "BLACK be", "oat groat", "no such food", "", "a", "brand", "sauce, tom"])
def test_find_shows_what_the_core_finds(office: Office, small_demo: tuple[Built, Path], demo_kitchen: Kitchen, query: str) -> None:
    office.put(("Find", "B5", query))
    expected = [f.name for f in find(demo_kitchen.table.foods, query.replace(",", " ").replace("  ", " "))]
    shown = office.get("Find", *(f"B{FIND_FIRST + 1 + i}" for i in range(20)))
    assert [s for s in shown if s] == expected
    assert office.errors() == {}


def test_the_sign_off_notices_a_change_and_its_undoing(office: Office, small_demo: tuple[Built, Path]) -> None:
    built = small_demo[0]
    row = row_of(built, OATS, "Check number of this sheet now")
    number, status = f"E{row}", f"G{row}"
    assert office.one(OATS, status) == "not reviewed"
    office.put((OATS, f"L{row - 2}", office.one(OATS, number)), (OATS, f"C{row - 2}", "A. Rowan"))
    assert office.one(OATS, status) == "as reviewed"
    amount = office.one(OATS, "D12")
    office.put((OATS, "D12", 2.5))
    assert office.one(OATS, status) == "changed since review"
    checks = [office.one("Checks", f"D{r}") for r in range(6, 30)]
    assert 1.0 in checks
    office.put((OATS, "D12", amount))
    assert office.one(OATS, status) == "as reviewed"


def test_nonsense_in_every_input_never_makes_an_error_value(reopened: Office, small_demo: tuple[Built, Path], tmp_path: Path) -> None:
    """Every cell that takes typing, on one sheet of each kind; tables get all 35 values down their rows."""
    built, office = small_demo[0], reopened
    sheets = {s.name: s for s in built.book.sheets}
    every = [(name, cell) for name, one in sheets.items() if name not in (BEANS, SPARE, DISH) for cell in inputs_of(one)]
    assert len(every) > 3000
    for turn in (0, 17):
        office.put(*((name, cell, nonsense_for(sheets[name], cell, i + turn)) for i, (name, cell) in enumerate(every)))
        typed = set(every)
        left = {name: [c for c in cells if not _typed(name, c, typed)] for name, cells in office.errors().items()}
        assert {name: cells[:5] for name, cells in left.items() if cells} == {}
    # Calc keeps a logical as a number that looks like one, and spells 1E300 in another way than Excel: no common ground
    office.put(*((name, cell, "abc") for i, (name, cell) in enumerate(every)
                 if isinstance(value := nonsense_for(sheets[name], cell, i + 17), bool) or value == 1e300))
    saved = office.save(tmp_path / "nonsense.xlsx")
    result = verify(saved, ["formualizer"]).results[0]
    assert [d for d in result.differing if not _is_input(built, d.sheet, d.cell)][:5] == []


def test_nonsense_in_single_inputs(office: Office, small_demo: tuple[Built, Path]) -> None:
    """Titles, servings, settings, pickers, search box: each gets all 35 values."""
    built = small_demo[0]
    singles: list[tuple[str, str]] = [(OATS, f"{col}4") for col in "CDEFGHI"]
    for name in ("Start", "Label view", "Label ranks", "Find", "Statements", "Partners", "Shares"):
        if any(s.name == name for s in built.book.sheets):
            singles += [(name, cell) for cell in inputs_of(sheet_of(built, name))][:12]
    typed = set(singles)
    for i, value in enumerate(NONSENSE):
        office.put(*((name, cell, nonsense_for(sheet_of(built, name), cell, i)) for name, cell in singles))
        left = {name: [c for c in cells if not _typed(name, c, typed)] for name, cells in office.errors().items()}
        assert {name: cells[:5] for name, cells in left.items() if cells} == {}, value


def _typed(sheet: str, address: str, typed: set[tuple[str, str]]) -> bool:
    """True when every cell of a reported range was typed by us (an error value we put there ourselves)."""
    cells = [xl_cell_to_rowcol(c.replace("$", "")) for c in re.findall(r"\$[A-Z]+\$\d+", address)]
    (top, left), (bottom, right) = cells[0], cells[-1]
    return all((sheet, a1(row, col)) in typed for row in range(top, bottom + 1) for col in range(left, right + 1))


def _is_input(built: Built, sheet: str, cell: str) -> bool:
    return cell in inputs_of(sheet_of(built, sheet))


def test_after_a_day_of_edits_the_saved_file_still_agrees(office: Office, small_demo: tuple[Built, Path], tmp_path: Path) -> None:
    office.put((SPARE, "C4", "Evening soup"), (SPARE, "D4", 6.0))
    type_lines(office, SPARE, (("Kale, raw", 2.0, "armful"), ("Brand A crackers", 10.0, "cracker"), ("Water, tap", 1.0, "quart")))
    office.put((OATS, "C12", "Quinoa, dry"), (OATS, "D4", 7.0), ("Find", "B5", "lentil"), ("Label view", "A5", "Brand B crackers"))
    office.cut(BEANS, "C12:E12", "C38")
    office.put(("Start", "C55", "US, 1 to 3 years"))
    saved = office.save(tmp_path / "edited.xlsx")
    for result in verify(saved, ["formualizer", "ironcalc", "formulas"]).results:
        assert result.compared > 50_000, result.engine
        assert list(result.differing) == [], result.engine


def test_a_german_program_shows_the_same_numbers(small_demo: tuple[Built, Path]) -> None:
    """Texts may differ by the decimal comma alone."""
    book = read_book(small_demo[1])
    german = recalculate(small_demo[1], book, "de-DE")
    differing = []
    for (sheet, *place), value in german.items():
        stored = book.sheets[sheet].values.get(tuple(place))
        if isinstance(stored, str) and isinstance(value, str):
            if stored.replace(",", ".") != value.replace(",", "."):
                differing.append((sheet, place, stored, value))
        elif isinstance(stored, float | int) and not isinstance(stored, bool) and value != pytest.approx(stored, rel=2e-9, abs=2e-9):
            differing.append((sheet, place, stored, value))
    assert differing[:5] == []
