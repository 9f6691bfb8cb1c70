"""Full-size measurement: import, build, size, memory and check on thousands of foods.

``python -m tests.whole_table`` builds the demo on the whole USDA table; ``python -m tests.whole_table DOWNLOAD``
imports a FoodData Central download or SR ASCII release first and builds one demo recipe on it. Not part of the
tests: it takes half a minute to a minute.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from workbookgen.catalogue.importers.run import import_foods
from workbookgen.catalogue.paths import data_path
from workbookgen.session import build_file
from workbookgen.verify import run

RECIPE = "fruit-walnut-slaw.toml"


def timed(what: str, work: Callable[[], object]) -> None:
    """Run one step and print its seconds (wall and processor) and the most memory so far."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{what}: {time.perf_counter() - wall:.1f} s ({time.process_time() - cpu:.1f} s processor), {used:,.0f} MiB"
    )


def main(download: Path | None) -> int:
    """Measure; returns the exit code of the check."""
    with tempfile.TemporaryDirectory() as folder:
        out, foods, recipes = Path(folder) / "book.xlsx", "usda", ()
        if download is not None:
            foods, recipes = str(Path(folder) / "foods"), (data_path("demo", RECIPE),)
            timed("import", lambda: import_foods(download, Path(foods)))
        timed("build", lambda: build_file(recipes, out, None, foods, lambda _: None))
        print(f"file: {out.stat().st_size / 1e6:.1f} MB")
        code, text = run(out, "formualizer")
        print(text)
    return code


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else None))
