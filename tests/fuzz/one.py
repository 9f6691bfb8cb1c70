"""Fuzz one format in a process of its own: ``python -m tests.fuzz.one NUMBER RUNS``; libFuzzer ends the process."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["workbookgen"]):
    from tests.fuzz.formats import FORMATS, feed, seeds_of

HANG_SECONDS = 25
MOST_MEGABYTES = 3000


def main() -> None:
    form, runs = FORMATS[int(sys.argv[1])], sys.argv[2]
    place = Path(tempfile.mkdtemp(prefix="fuzz"))
    corpus, room = place / "corpus", place / "room"
    corpus.mkdir()
    room.mkdir()
    for i, seed in enumerate(seeds_of(form)):
        (corpus / str(i)).write_bytes(seed)
    with atheris.instrument_imports(include=["workbookgen"]):
        reader = form.reader()

    def test_one(data: bytes) -> None:
        feed(form, reader, data, room)

    words = [sys.argv[0], f"-runs={runs}", f"-max_len={form.longest}", f"-timeout={HANG_SECONDS}", f"-rss_limit_mb={MOST_MEGABYTES}",
             "-seed=1", "-print_final_stats=1", f"-artifact_prefix={place}/", str(corpus)]
    atheris.Setup(words, test_one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
