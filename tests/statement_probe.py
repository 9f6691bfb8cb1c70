"""A book of probe dishes whose one food can be given any composition, judged by the core and by the fast engine."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from workbookgen.catalogue.constants import constant_rows
from workbookgen.catalogue.paths import data_path
from workbookgen.model.claims import REFERENCE_SET
from workbookgen.model.food import Food, FoodTable, Measure
from workbookgen.model.recipe import IngredientLine, Recipe
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.nutrition.claims import Verdicts, judge_statements
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.session import default_settings
from workbookgen.workbook.book import Book, Sheet, block, quoted
from workbookgen.workbook.build import Spares, lay_out
from workbookgen.workbook.claims_plan import ClaimPlan
from workbookgen.workbook.look import load_look
from workbookgen.workbook.recipe_layout import RecipeLayout, recipe_layout, strip_lengths
from workbookgen.workbook.statements_layout import Places

GRAIN, EGG = "Grain without anything", "Egg without anything"
DERIVED = {"FOL": "FOLFD", "FOLDFE": "FOLFD", "NIAEQ": "NIA"}
#: Sheets that verdicts read besides the recipe sheets.
READ = ("Start", "Foods", "Measures", "Own foods", "Own measures", "Cooking", "Tables", "Claims", "Methods")
CUP_ML = 236.5882365
_TOKEN = re.compile(r'"(?:[^"]|"")*"|[A-Za-z][A-Za-z0-9]*_[A-Za-z0-9_]+')
US_DISHES = ("food", "small", "not cup", "main dish", "meal")
EU_DISHES = ("solid", "liquid")


def rows() -> list[dict[str, str]]:
    """The limits typed for the tests, one row per limit."""
    path = data_path().parent / "tests" / "outside" / "statement_limits.csv"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def probe_kitchen(kitchen: Kitchen, values: Mapping[str, float] | None = None, **marks: Any) -> Kitchen:
    """The kitchen with a probe food for each dish, of the given composition (all else 0), and two foods that hold
    nothing."""
    zero = {n.tag: 0.0 for n in kitchen.tables.nutrients}
    given = {DERIVED.get(tag, tag): v for tag, v in (values or {}).items()}
    plain: dict[str, Any] = {"salt_ingredient": "no", "sugar_ingredient": "no"}
    probe: dict[str, Any] = {"racc_hint": "all other vegetables without sauce"} | plain | marks
    foods = [
        Food("egg", EGG, "Eggs", "cooked", "protein", zero, oz_eq_g=50.0, source_number="3", **plain),
        Food("grain", GRAIN, "Grains and flours", "cooked", "whole grain", zero, source_number="2", **plain),
        *(Food(f"probe{i}", probe_name(d), "Vegetables", "raw", "vegetable", zero | given, source_number=f"1{i}", **probe)
          for i, d in enumerate((*US_DISHES, *EU_DISHES))),
    ]
    foods.sort(key=lambda f: f.name)
    first = next(f for f in foods if f.id.startswith("probe"))
    return replace(kitchen, table=FoodTable("probe", tuple(foods), (Measure(first.id, "bunch", 100.0, 1, "written_rule"),)))


def probe_name(dish: str) -> str:
    return f"Probe for {dish}"


def recipe(dish: str) -> Recipe:
    """One serving: 100 g of the probe, with what makes it that kind of dish."""
    kind = {"main dish": "main dish", "meal": "meal"}.get(dish, "food")
    others = {"main dish": (GRAIN,), "meal": (GRAIN, EGG)}.get(dish, ())
    lines = tuple(IngredientLine(food, 100.0, "g") for food in (probe_name(dish), *others))
    return Recipe(
        f"Probe {dish}", 1.0, lines, kind=kind, racc_g=30.0 if dish == "small" else 100.0,
        racc_text="mixed_not_cup" if dish == "not cup" else "", cup_weight_g=CUP_ML,
        switches=("drink",) if dish == "liquid" else (),
    )


def core_verdicts(kitchen: Kitchen, dish: str, rule_set: str) -> Verdicts:
    settings = replace(default_settings(), reference_set=REFERENCE_SET[rule_set])
    return judge_statements(kitchen, analyse_recipe(kitchen, recipe(dish), settings))


def _runs(sheet: Sheet, formulas: bool) -> Iterator[tuple[int, int, list[Any]]]:
    """Cells of one kind as runs of neighbours."""
    start, contents = (-1, -1), []
    for row, col in sorted(at for at, c in sheet.cells.items() if bool(c.formula) is formulas and (formulas or c.value != "")):
        if contents and (row, col) == (start[0], start[1] + len(contents)):
            contents.append(sheet.cells[row, col].formula if formulas else sheet.cells[row, col].value)
            continue
        if contents:
            yield *start, contents
        start, contents = (row, col), [sheet.cells[row, col].formula if formulas else sheet.cells[row, col].value]
    if contents:
        yield *start, contents


@dataclass
class _Group:
    """Cases that one composition of the probe can answer together."""

    members: list[int] = field(default_factory=list)
    values: dict[str, float] = field(default_factory=dict)
    watched: set[str] = field(default_factory=set)

    def takes(self, values: Mapping[str, float], looks_at: set[str]) -> bool:
        theirs = all(values.get(tag, 0.0) == v for tag, v in self.values.items() if tag in looks_at)
        return theirs and all(self.values.get(tag, 0.0) == v for tag, v in values.items() if tag in self.watched)

    def add(self, member: int, values: Mapping[str, float], looks_at: set[str]) -> None:
        self.members.append(member)
        self.values.update(values)
        self.watched |= looks_at


@dataclass
class ProbeBook:
    """The same dishes as a workbook in the fast engine; `verdicts` changes the probe and reads what the cells say."""

    kitchen: Kitchen
    rule_set: str
    dishes: tuple[str, ...]

    @cached_property
    def plan(self) -> ClaimPlan:
        return ClaimPlan(self.kitchen.tables.claims)

    @cached_property
    def book(self) -> Book:
        settings = replace(default_settings(), reference_set=REFERENCE_SET[self.rule_set])
        made = [recipe(d) for d in self.dishes]
        return lay_out(probe_kitchen(self.kitchen), constant_rows(), made, settings, load_look(), Spares(0, 0))[0]

    @cached_property
    def engine(self) -> Any:
        """Only what verdicts depend on is loaded: recipe sheets and tables."""
        import formualizer

        engine = formualizer.Workbook()
        engine.set_changelog_enabled(False)
        spelled = {n.lower(): f"{quoted(s)}!{block(*where)}" for n, (s, *where) in self.book.names.items()}
        for sheet in self.book.sheets:
            engine.add_sheet(sheet.name)
        kept = [s for s in self.book.sheets if s.name.startswith("Probe") or s.name in READ]
        for formulas in (False, True):  # constants first: one that formulas read already costs more
            for sheet in kept:
                for row, col, contents in _runs(sheet, formulas):
                    texts = [_TOKEN.sub(lambda m: spelled.get(m[0].lower(), m[0]), x) if formulas else x for x in contents]
                    load = engine.set_formulas_batch if formulas else engine.set_values_batch
                    load(sheet.name, row + 1, col + 1, [texts])
        engine.evaluate_all()
        return engine

    @cached_property
    def layout(self) -> RecipeLayout:
        kitchen = probe_kitchen(self.kitchen)
        return recipe_layout(kitchen, 1, strip_lengths(kitchen), 0, False)

    def verdicts(self, cases: Sequence[tuple[str, str, Mapping[str, float]]]) -> list[str]:
        """Verdict of each (dish, statement, composition of the probe). Cases whose rules look at different nutrients
        share a composition, and cases of different dishes share a round."""
        waiting: dict[str, list[_Group]] = {d: [] for d in self.dishes}
        for i, (dish, statement, values) in enumerate(cases):
            looks_at = self._looks_at(statement) | set(values)
            group = next((g for g in waiting[dish] if g.takes(values, looks_at)), None)
            if group is None:
                group = _Group()
                waiting[dish].append(group)
            group.add(i, values, looks_at)
        found = [""] * len(cases)
        while any(waiting.values()):
            together = {dish: groups.pop(0) for dish, groups in waiting.items() if groups}
            for dish, group in together.items():
                self._set(dish, group.values)
            self.engine.evaluate_all()
            for dish, group in together.items():
                for i in group.members:
                    found[i] = self._read(dish, cases[i][1])
        return found

    def _looks_at(self, statement: str) -> set[str]:
        """Tags any rule of a statement measures, through the statements it refers to."""
        rules, tags = self.plan.rules, set()
        for rule in (r for r in self.plan.ordered if r.statement == statement):
            for condition in rule.conditions:
                quantity = rules.quantities[condition.quantity]
                if quantity.kind == "say":
                    tags |= self._looks_at(quantity.terms[0][0])
                else:
                    tags |= {tag for tag, _ in quantity.terms} | ({"ENERC_KCAL"} if "energy" in quantity.kind else set())
                    tags |= {"FASAT", "FAMS", "FAPU"} if quantity.kind == "fat share" else set()
                    tags |= {"ENERC_KCAL"} if condition.basis == "100 kcal" else set()
        return tags

    def _set(self, dish: str, values: Mapping[str, float]) -> None:
        sheet, first, *_ = self.book.names["food_name"]
        names = [f.name for f in probe_kitchen(self.kitchen).table.foods]
        row = first + names.index(probe_name(dish))
        wanted = {DERIVED.get(tag, tag): v for tag, v in values.items()}
        for n in self.kitchen.tables.nutrients:
            value = wanted.get(n.tag, 0.0)
            if self._now.get((dish, n.tag), 0.0) != value:
                col = self.book.names["food_" + n.tag.replace("+", "_")][2]
                self.engine.set_value(sheet, row + 1, col + 1, value)
                self._now[dish, n.tag] = value

    def _read(self, dish: str, statement: str) -> str:
        places = Places(self.layout, self.plan)
        row = places.row(self.plan.number[statement] - 1)
        sheet = next(s.name for s in self.book.sheets if s.name == f"Probe {dish}")
        return str(self.engine.get_value(sheet, row + 1, places.lead["verdict"] + 1))

    @cached_property
    def _now(self) -> dict[tuple[str, str], float]:
        return {}


#: A composition with something in most columns.
PROBE_KITCHEN_VALUES = {"NA": 100.0, "FAT": 2.0, "FASAT": 0.5, "ENERC_KCAL": 90.0, "FE": 4.0, "VITC": 20.0, "SUGAR": 3.0, "FIBTG": 4.0,
                        "CHOLE": 10.0, "PROCNT": 5.0, "CA": 50.0, "K": 300.0}
