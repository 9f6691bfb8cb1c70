"""Fuzz every format and print a table: ``python -m tests.fuzz [--runs 10000] [--only NAME] [--to FILE.md]``."""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import time
from pathlib import Path

from tests.fuzz.formats import FORMATS

HEAD = """# Hostile input

Command: `python -m tests.fuzz --runs 10000` (coverage-guided, the PyPI library atheris with libFuzzer; seeds are the demo's own
files). Each input goes through the real reader. A result or a refusal in a sentence is right; another exception, more than
25 seconds, more than 3 GB, or a file outside its place is a fault and prints the input. Packed formats replace one member by the
fuzzed bytes, so that inputs reach the parsers behind the zip.

| format | inputs | code edges reached | seconds | faults |
|---|---|---|---|---|
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=10_000)
    parser.add_argument("--only", default="", help="part of a format's name")
    parser.add_argument("--to", type=Path)
    asked = parser.parse_args()
    rows, failed = [], False
    for number, form in enumerate(FORMATS):
        if asked.only not in form.name:
            continue
        began = time.perf_counter()
        done = subprocess.run([sys.executable, "-m", "tests.fuzz.one", str(number), str(asked.runs)], capture_output=True, text=True, check=False)
        said = done.stderr
        ran = re.search(r"stat::number_of_executed_units:\s*(\d+)", said)
        edges = re.findall(r"cov: (\d+)", said)
        bad = done.returncode != 0 or not ran or int(ran[1]) < asked.runs
        failed |= bad
        rows.append(f"| {form.name} | {int(ran[1]) if ran else 0:,} | {edges[-1] if edges else '?'} | {time.perf_counter() - began:.0f} | {'1' if bad else '0'} |")
        print(rows[-1], flush=True)
        if bad:
            print(said[-4000:], done.stdout[-2000:], flush=True)
    if asked.to and not asked.only:
        asked.to.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
