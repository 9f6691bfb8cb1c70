"""What commands share: load the kitchen and recipes, build, analyse."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from workbookgen.catalogue.constants import constant_rows, load_constants
from workbookgen.catalogue.drained import load_drained
from workbookgen.catalogue.folders import open_table
from workbookgen.catalogue.pack_words import load_pack_rules
from workbookgen.catalogue.paths import data_path
from workbookgen.catalogue.person_tables import load_person
from workbookgen.catalogue.safety import load_safety
from workbookgen.catalogue.shopping import load_aisles
from workbookgen.catalogue.tables import load_tables
from workbookgen.model.analysis import Analysis, Settings
from workbookgen.model.errors import BadInput
from workbookgen.model.food import FoodTable, Measure
from workbookgen.model.place import check_place
from workbookgen.model.programme import Programme
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen, by_name
from workbookgen.nutrition.pack import pack_foods
from workbookgen.nutrition.shopping import check_prices
from workbookgen.nutrition.variants import with_variants
from workbookgen.recipes.beside import dishes_beside
from workbookgen.recipes.check import resolve_recipes
from workbookgen.recipes.folder import OWN_MEASURES, join, load_programme
from workbookgen.recipes.load import load_recipes

DEMO_FOLDER = "demo"
DEMO_FILE = "tuesday-table.xlsx"


@dataclass(frozen=True, slots=True)
class BuiltFile:
    """A workbook on disk."""

    path: Path
    recipes: int
    formulas: int


def load_kitchen(foods: str = "kitchen") -> Kitchen:
    """Food table ``foods`` ("kitchen", "usda" or the path of an imported one) with all tables and constants."""
    table, sources = open_table(foods)
    tables = load_tables()
    tables = replace(tables, sources={**tables.sources, **sources})
    safety = load_safety(tables.sources, tables.nutrients)
    return Kitchen(by_name(table), tables, load_constants(), safety=safety,
                   pack_rules=load_pack_rules(tables), drained=load_drained(tables.sources),
                   person=load_person(tables.sources, {n.tag for n in tables.nutrients}),
                   aisles=load_aisles(tables.sources))


def with_programme(kitchen: Kitchen, programme: Programme) -> Kitchen:
    """The kitchen with a folder's packaged products and own foods (in the order of sheet Foods), units and prices.

    Raises BadInput when an own measure names a food that is not known.
    """
    labels, units = pack_foods(kitchen, programme.packs)
    joined = replace(kitchen.with_foods([*labels, *programme.own_foods], units), packs=programme.packs,
                     own_measures=programme.own_measures, prices=programme.prices)
    for measure in programme.own_measures:
        if measure.food.lower() not in joined.food_by_name:
            raise BadInput(OWN_MEASURES, f"no food '{measure.food}' is known; write the name as in the food table")
    check_prices(joined)
    return joined


def open_folders(kitchen: Kitchen, paths: Sequence[Path]) -> tuple[Kitchen, Settings]:
    """The kitchen with everything that stands beside the recipes, and the settings of their folders."""
    folders = dict.fromkeys(path if path.is_dir() else path.parent for path in paths)
    programme = join([load_programme(folder, kitchen) for folder in folders])
    settings = replace(default_settings(), **programme.settings)  # type: ignore[arg-type]
    return with_programme(kitchen, programme), settings


def spelled_table(kitchen: Kitchen) -> FoodTable:
    """The food table with own measures among the units of their foods, for reading recipes."""
    own = [Measure(kitchen.food_by_name[m.food.lower()].id, m.unit, m.grams, 0, "own") for m in kitchen.own_measures]
    return replace(kitchen.table, measures=kitchen.table.measures + tuple(own))


def load_checked(kitchen: Kitchen, paths: Sequence[Path]) -> list[Recipe]:
    """Recipes of files and folders, then the recipes beside a named file that it uses as foods; every line
    understood and spelled as the tables spell it. Raises BadInputs with one sentence per fault."""
    named, beside = load_named(kitchen, paths)
    return [*named, *beside]


def load_named(kitchen: Kitchen, paths: Sequence[Path]) -> tuple[list[Recipe], list[Recipe]]:
    """What `load_checked` gives, in its two parts."""
    named = load_recipes(list(paths))
    both = [*named, *dishes_beside(named, paths, lambda name: name in kitchen.food_by_name)]
    resolved = resolve_recipes(both, spelled_table(kitchen), kitchen.tables)
    return resolved[: len(named)], resolved[len(named):]


def default_settings() -> Settings:
    """Settings as data/constants.csv gives them."""
    c = load_constants()
    return Settings(
        plate_tolerance=c["plate_tolerance"], low_practice=c["low_practice"], high_practice=c["high_practice"],
        low_regulator=c["low_regulator"], high_regulator=c["high_regulator"],
        water_boiled_off_pct=c["water_boiled_off_pct"],
    )


def build_file(paths: Sequence[Path], out: Path | None, style: Path | None, foods: str,
               progress: Callable[[str], None]) -> BuiltFile:
    """Build a workbook from recipe files; without any, the demo."""
    target = out or Path(DEMO_FILE if not paths else paths[0].stem + ".xlsx")
    check_place(target)
    progress("reading foods and tables")
    meant = list(paths) or [data_path(DEMO_FOLDER)]
    kitchen, settings = open_folders(load_kitchen(foods), meant)
    recipes = load_checked(kitchen, meant)
    return build_recipes(kitchen, recipes, settings, target, style, progress)


def build_recipes(kitchen: Kitchen, recipes: Sequence[Recipe], settings: Settings, target: Path, style: Path | None,
                  progress: Callable[[str], None], spares: bool = True) -> BuiltFile:
    """Build a workbook from recipes that are loaded and checked; without ``spares`` it gets no empty sheets.

    Raises BadInput when a cell disagrees with the core.
    """
    from workbookgen.model.collector import collector_paused
    from workbookgen.workbook.build import SPARES, Spares, build_workbook
    from workbookgen.workbook.look import load_look

    with collector_paused():
        built = build_workbook(kitchen, constant_rows(), recipes, settings, load_look(style), target, progress,
                               SPARES if spares else Spares(0, 0))
    if built.disagreements:
        first = built.disagreements[0]
        raise BadInput(str(target), f"{len(built.disagreements)} cells disagree with the core, first {first.sheet}!{first.cell} "
                                    f"({first.core!r} against {first.engine!r}); please report this")
    return BuiltFile(target, built.recipes, built.formulas)


def analyse_one(kitchen: Kitchen, path: Path) -> Analysis:
    """Analysis of one recipe file."""
    return analyse_all(kitchen, path)[0]


def analyse_all(kitchen: Kitchen, path: Path) -> list[Analysis]:
    """Analyses of one recipe file: the recipe, then its variants."""
    if path.is_dir():
        raise BadInput(path.name or str(path), "this is a folder; name one recipe file in it")
    kitchen, settings = open_folders(kitchen, [path])
    (recipe,), beside = load_named(kitchen, [path])
    dishes, _ = in_order([recipe, *beside])
    known, _ = with_dishes(kitchen, [dish for dish in dishes if dish is not recipe], settings)
    return [analyse_recipe(known, each, settings) for each in with_variants([recipe])]


def analyse_file(path: Path, as_json: bool, foods: str) -> str:
    """The figures of one recipe and its variants as tables for the terminal, or as JSON keyed by INFOODS tags."""
    from workbookgen.report import as_json_text, as_table

    kitchen = load_kitchen(foods)
    analysis, *variants = analyse_all(kitchen, path)
    return as_json_text(kitchen, analysis, variants) if as_json else as_table(kitchen, analysis, variants)
