"""One question answered: the least change, or the conflict, with everything that explains it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbookgen.adjust.check import Reached, all_reached
from workbookgen.adjust.conflict import Conflict, can_hold, find_conflict
from workbookgen.adjust.least import Result, least_change
from workbookgen.adjust.prices import Price, at_bounds, find_prices
from workbookgen.adjust.rank import Ranking, rank_additions
from workbookgen.adjust.safety import new_cautions
from workbookgen.adjust.task import Request, Task, make_task
from workbookgen.model.analysis import Analysis
from workbookgen.nutrition.kitchen import Kitchen


@dataclass(frozen=True)
class Answer:
    """What the adjuster found. ``result`` is None where the targets cannot all hold; then ``conflict`` says why and
    ``ways_out`` which freedom would do. ``cautions`` tells new cautions by id."""

    task: Task
    request: Request
    before: tuple[Reached, ...]
    ranking: Ranking
    result: Result | None
    prices: tuple[Price, ...] = ()
    bounds: tuple[tuple[str, str], ...] = ()
    cautions: tuple[tuple[str, str], ...] = ()
    conflict: Conflict | None = None
    ways_out: tuple[str, ...] = ()


def adjust(kitchen: Kitchen, analysis: Analysis, request: Request) -> Answer:
    """Answer ``request`` for a worked-out recipe. Raises BadInput for what is not understood."""
    task = make_task(kitchen, analysis, request)
    before = all_reached(kitchen, analysis, task.wishes)
    ranking = rank_additions(task)
    result = least_change(task, ranking if request.additions else None)
    if result is None:
        conflict = find_conflict(task)
        ways = ways_out(kitchen, analysis, request)
        return Answer(task, request, before, ranking, None, conflict=conflict, ways_out=ways)
    return Answer(
        task, request, before, ranking, result, find_prices(task, result), tuple(at_bounds(task, result)),
        tuple(new_cautions(kitchen, analysis, result.analysis).items()),
    )  # fmt: skip


def ways_out(kitchen: Kitchen, analysis: Analysis, request: Request) -> tuple[str, ...]:
    """Which single freedom, or all of them, would let the targets hold."""
    more: list[tuple[str, Request]] = []
    if not request.swaps:
        more.append(("siblings of foods may stand in (--swap)", replace(request, swaps=True)))
    if request.additions < 1:
        more.append(("one food may be added (--add 1)", replace(request, additions=1)))
    if request.keep:
        more.append(("kept foods may change (without --keep)", replace(request, keep=())))
    if request.max_change is not None:
        more.append(("amounts may change as far as kitchen sense goes (without --max-change)", replace(request, max_change=None)))
    found = [words for words, asked in more if can_hold(make_task(kitchen, analysis, asked))]
    if not found and len(more) > 1:
        everything = replace(request, swaps=True, additions=max(2, request.additions), keep=(), max_change=None)
        if can_hold(make_task(kitchen, analysis, everything)):
            found = ["all of it together: --swap, --add 2, nothing kept, no --max-change"]
    return tuple(found)
