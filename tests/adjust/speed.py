"""How long the adjuster takes: ``python -m tests.adjust.speed [--dishes 5]``.

Each dish has 30 ingredients, 12 targets and at least 40 foods that may be added (one unless told otherwise); siblings may be
swapped in. Prints processor seconds for reading the request, ranking foods to add, solving, and explaining.
"""

from __future__ import annotations

import argparse
import random
import time
from itertools import pairwise

from tests.adjust.generate import big_dish, big_targets, more_foods
from workbookgen.adjust.conflict import find_conflict
from workbookgen.adjust.least import least_change
from workbookgen.adjust.prices import find_prices
from workbookgen.adjust.rank import rank_additions
from workbookgen.adjust.task import Request, make_task
from workbookgen.nutrition.analyse import analyse_recipe
from workbookgen.session import default_settings, load_kitchen


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--dishes", type=int, default=5)
    parser.add_argument("--more", type=int, default=32, help="foods considered beyond the list")
    parser.add_argument("--add", type=int, default=1, help="new foods allowed")
    options = parser.parse_args()
    kitchen = load_kitchen()
    print("| dish | ingredients | targets | foods to add | answer | change | read, s | rank, s | solve, s | explain, s | all, s |")
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    for seed in range(options.dishes):
        rng = random.Random(seed)
        analysis = analyse_recipe(kitchen, big_dish(kitchen, rng), default_settings())
        targets = big_targets(analysis, rng, 12)
        clock = [time.process_time()]
        consider = more_foods(kitchen, analysis, options.more)
        task = make_task(kitchen, analysis, Request(targets=targets, additions=options.add, swaps=True, consider=consider))
        clock.append(time.process_time())
        ranking = rank_additions(task)
        clock.append(time.process_time())
        result = least_change(task, ranking)
        clock.append(time.process_time())
        if result is None:
            find_conflict(task)
        else:
            find_prices(task, result)
        clock.append(time.process_time())
        seconds = [b - a for a, b in pairwise(clock)]
        new = sum(item.start == "absent" for item in task.space.items)
        answer, change = ("impossible", "") if result is None else (result.state, f"{result.cost:.2f}")
        cells = [seed, len(analysis.lines), len(targets), new, answer, change, *(f"{s:.2f}" for s in seconds), f"{clock[-1] - clock[0]:.2f}"]
        print("| " + " | ".join(str(c) for c in cells) + " |")


if __name__ == "__main__":
    main()
