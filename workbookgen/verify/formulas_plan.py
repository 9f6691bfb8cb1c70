"""The order in which formulas can be computed: every cell after the cells it refers to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from workbookgen.verify.formulas_shape import Reading, Unsupported, read_shape
from workbookgen.verify.read import Book, Sheet
from workbookgen.verify.tokens import Area, as_area
from workbookgen.verify.values import Address


@dataclass
class Plan:
    """Formulas in order.

    ``levels`` hold cells that depend only on earlier levels; ``readings`` how each is computed;
    ``refused`` the cells that cannot be computed, with the reason.
    """

    readings: dict[Address, Reading] = field(default_factory=dict)
    refused: dict[Address, str] = field(default_factory=dict)
    levels: list[list[Address]] = field(default_factory=list)


def usable_names(book: Book) -> dict[str, Area | None]:
    """Defined names in capitals with their areas; None for those this engine cannot use."""
    found: dict[str, Area | None] = {}
    for name in book.names:
        found[name.name.upper()] = as_area(name.text) if name.sheet is None else None
    return found


class Planner:
    """Reads the formulas of a book and puts them in order, following references through all sheets."""

    def __init__(self, book: Book) -> None:
        self._sheets: dict[str, Sheet] = {name.upper(): sheet for name, sheet in book.sheets.items()}
        self._names = usable_names(book)
        self._plan = Plan()
        self._level: dict[Address, int] = {}
        self._area_level: dict[Area, int] = {}
        self._area_cells: dict[Area, list[Address]] = {}

    def plan(self, targets: Iterable[Address]) -> Plan:
        """Plan for the targets and every formula they rest on."""
        for target in targets:
            self._visit(target)
        depth = max(self._level.values(), default=-1) + 1
        levels: list[list[Address]] = [[] for _ in range(depth)]
        for cell, level in self._level.items():
            if cell not in self._plan.refused:
                levels[level].append(cell)
        self._plan.levels = [sorted(cells) for cells in levels if cells]
        return self._plan

    def _read(self, cell: Address) -> Reading:
        """Reading of a cell with real sheet names; a refused cell reads as referring to nothing."""
        known = self._plan.readings.get(cell)
        if known is not None:
            return known
        name, row, column = cell
        sheet = self._sheets[name.upper()]
        try:
            if (row, column) in sheet.odd:
                raise Unsupported(sheet.odd[row, column])
            if ":" in sheet.arrays.get((row, column), "").replace("$", ""):
                raise Unsupported("array formula over several cells")
            reading = read_shape(sheet.formulas[row, column], name, (row, column), self._names)
            reading = reading._replace(areas=tuple(self._settle(area) for area in reading.areas))
        except Unsupported as reason:
            self._plan.refused[cell] = str(reason)
            reading = Reading("", ())
        self._plan.readings[cell] = reading
        return reading

    def _settle(self, area: Area) -> Area:
        """The area with its sheet's name as the tab spells it."""
        sheet = self._sheets.get((area.sheet or "").upper())
        if sheet is None:
            raise Unsupported(f"there is no sheet '{area.sheet}'")
        return area._replace(sheet=sheet.name)

    def _cells(self, area: Area) -> list[Address]:
        """Formula cells inside an area."""
        found = self._area_cells.get(area)
        if found is None:
            name = area.sheet or ""
            places = self._sheets[name.upper()].formulas
            found = self._area_cells[area] = [
                (name, row, column)
                for row in range(area.top, area.bottom + 1)
                for column in range(area.left, area.right + 1)
                if (row, column) in places
            ]
        return found

    def _visit(self, target: Address) -> None:
        """Give the target and what it rests on their levels, without recursion; cycles are refused."""
        level, stack, path = self._level, [target], set[Address]()
        while stack:
            cell = stack[-1]
            if cell in level:
                stack.pop()
                continue
            waiting: list[Address] = []
            height = 0
            for area in self._read(cell).areas:
                reached = self._area_level.get(area)
                if reached is None:
                    cells = self._cells(area)
                    missing = [each for each in cells if each not in level]
                    if missing:
                        waiting.extend(missing)
                        continue
                    reached = max((level[each] for each in cells), default=-1) + 1
                    self._area_level[area] = reached
                height = max(height, reached)
            path.add(cell)
            if not waiting:
                level[cell] = height
            elif any(each in path for each in waiting):
                self._plan.refused[cell] = "circular reference"
                level[cell] = 0
            else:
                stack.extend(waiting)
                continue
            path.discard(cell)
            stack.pop()


class Sharing:
    """Shares the cells of a level among processes so that each compiles few shapes and all end together.

    ``compile_cost`` is what compiling a shape costs, in cells computed.
    """

    def __init__(self, plan: Plan, processes: int, compile_cost: int) -> None:
        self._plan, self._cost = plan, compile_cost
        self._known: list[set[str]] = [set() for _ in range(processes)]

    def share(self, cells: list[Address]) -> list[list[Address]]:
        """One list of cells for each process."""
        shares: list[list[Address]] = [[] for _ in self._known]
        load = [0] * len(shares)
        by_shape: dict[str, list[Address]] = {}
        for cell in cells:
            by_shape.setdefault(self._plan.readings[cell].shape, []).append(cell)
        fair = -(-len(cells) // len(shares))
        for shape, group in sorted(by_shape.items(), key=lambda item: (-len(item[1]), item[0])):
            size = len(group) if len(group) <= fair // 2 else -(-len(group) // len(shares))
            for start in range(0, len(group), size):
                costs = [
                    load[number] + (0 if shape in known else self._cost)
                    for number, known in enumerate(self._known)
                ]
                chosen = costs.index(min(costs))
                part = group[start : start + size]
                load[chosen] = costs[chosen] + len(part)
                shares[chosen].extend(part)
                self._known[chosen].add(shape)
        return shares


def batches(
    levels: Sequence[list[Address]], small: int, sharing: Sharing | None
) -> list[list[list[Address]]]:
    """Levels cut into one list of cells for each process, a batch at a time (``sharing`` None: one process).

    Consecutive small levels become one list for the first process, in order, so that the others need
    not wait for each step of a long chain.
    """
    made: list[list[list[Address]]] = []
    chain: list[Address] = []
    for cells in levels:
        if sharing is None or len(cells) < small:
            chain.extend(cells)
            continue
        if chain:
            made.append([chain])
            chain = []
        made.append(sharing.share(cells))
    if chain:
        made.append([chain])
    return made
