"""Everything a recipe is worked out with, ready for look-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from workbookgen.model.food import Food, FoodTable, Measure
from workbookgen.model.pack import Pack, PackRules
from workbookgen.model.person import PersonTables
from workbookgen.model.programme import OwnMeasure, Price
from workbookgen.model.safety import Safety
from workbookgen.model.states import Drained
from workbookgen.model.tables import Nutrient, PlateModel, ReferenceSet, Retention, Tables, Treatment, Unit

NO_TREATMENT = "none"
NOTHING_LOST = "0"


def by_name(table: FoodTable) -> FoodTable:
    """The same table sorted by name (capitals ignored), as the workbook lists it; measures follow."""
    foods = sorted(table.foods, key=lambda f: f.name.lower())
    place = {f.id: i for i, f in enumerate(foods)}
    measures = sorted(table.measures, key=lambda m: (place[m.food_id], m.number))
    return FoodTable(table.name, tuple(foods), tuple(measures), table.details)


@dataclass(frozen=True, eq=False)  # one kitchen is one key: what is worked out of it can be kept
class Kitchen:
    """Food table, small tables and constants with the look-ups that the science needs."""

    table: FoodTable
    tables: Tables
    constants: Mapping[str, float]
    own_measures: tuple[OwnMeasure, ...] = ()
    safety: Safety = field(default_factory=Safety)
    packs: tuple[Pack, ...] = ()
    pack_rules: PackRules = field(default_factory=PackRules)
    prices: tuple[Price, ...] = ()
    drained: Mapping[str, Drained] = field(default_factory=dict)
    person: PersonTables = field(default_factory=PersonTables)
    aisles: tuple[str, ...] = ("Other",)

    @cached_property
    def food_by_name(self) -> dict[str, Food]:
        """Foods by lower-case kitchen name, as a spreadsheet's MATCH finds them."""
        return {f.name.lower(): f for f in self.table.foods}

    def with_foods(self, extra: Sequence[Food], measures: Sequence[Measure] = ()) -> Kitchen:
        """The same kitchen with more foods after the fixed rows."""
        table = replace(self.table, foods=self.table.foods + tuple(extra), measures=self.table.measures + tuple(measures))
        return replace(self, table=table)

    @cached_property
    def fixed_foods(self) -> tuple[Food, ...]:
        """Rows of the food table itself, without own foods and dishes."""
        return tuple(f for f in self.table.foods if not f.own)

    @cached_property
    def food_by_id(self) -> dict[str, Food]:
        return {f.id: f for f in self.table.foods}

    @cached_property
    def measures_by_food(self) -> dict[str, list[Measure]]:
        found: dict[str, list[Measure]] = {}
        for measure in self.table.measures:
            found.setdefault(measure.food_id, []).append(measure)
        return found

    @cached_property
    def unit_by_name(self) -> dict[str, Unit]:
        return {u.name.lower(): u for u in self.tables.units}

    @cached_property
    def retention_by_code(self) -> dict[str, Retention]:
        return {r.code: r for r in self.tables.retention}

    @cached_property
    def nutrient_by_tag(self) -> dict[str, Nutrient]:
        return {n.tag: n for n in self.tables.nutrients}

    @cached_property
    def reference_set_by_id(self) -> dict[str, ReferenceSet]:
        return {s.id: s for s in self.tables.reference_sets}

    @cached_property
    def plate_model_by_id(self) -> dict[str, PlateModel]:
        return {m.id: m for m in self.tables.plate_models}

    @cached_property
    def _yield_by_key(self) -> dict[tuple[str, str, str], float]:
        return {(y.kind, y.key, y.treatment): y.factor for y in self.tables.yields}

    def offers(self, keep_group: str, state: str) -> list[Treatment]:
        """Treatments a food of this retention group and state allows, "none" first."""
        none = Treatment(keep_group, NO_TREATMENT, (state,), NOTHING_LOST, "")
        return [none] + [
            t for t in self.tables.treatments if t.keep_group == keep_group and state in t.states
        ]

    def counterpart(self, food: Food) -> Food | None:
        """The cooked row of the same food, if the table has one."""
        return self.food_by_id.get(food.counterpart_id) if food.counterpart_id else None

    def yield_factor(self, food: Food, treatment: str) -> tuple[float, str]:
        """Cooked grams per raw gram and where the figure comes from: "food", "group" or "unchanged"."""
        if treatment == NO_TREATMENT:
            return 1.0, "unchanged"
        for kind, key in (("food", food.source_number), ("group", food.keep_group)):
            factor = self._yield_by_key.get((kind, key, treatment))
            if factor is not None:
                return factor, kind
        return 1.0, "unchanged"


def is_water(food: Food) -> bool:
    """True for water itself: no energy and at least 99 g water per 100 g."""
    return food.values.get("WATER", 0.0) >= 99.0 and food.values.get("ENERC_KCAL") == 0.0
