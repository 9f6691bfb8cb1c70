"""Writes one small workbook as build does, or a folder of files as extract does; run in a process of its own:
``python -m tests.faults.small_build OUT [TIMES NAME]`` or ``python -m tests.faults.small_build FOLDER/``.

The word in cell A1 tells which process wrote the file. Faults come out as they do from a command: a sentence and exit
code 2.
"""

from __future__ import annotations

import sys
from pathlib import Path

from workbookgen.model.errors import BadInput
from workbookgen.model.place import put_all
from workbookgen.workbook.book import Book
from workbookgen.workbook.look import load_look
from workbookgen.workbook.stored import fill
from workbookgen.workbook.write import write_book

ROWS = 4000


def small_book(word: str = "small") -> Book:
    """Numbers, texts and formulas enough for a file of some 100 kB."""
    book = Book()
    sheet = book.add("One")
    sheet.put(0, 0, word)
    for row in range(1, ROWS):
        sheet.put(row, 0, float(row * row % 9973) / 7)
        sheet.put(row, 1, f"text {row * 7919 % 10007}")
        sheet.formula(row, 2, f"=A{row + 1}*2", float(row * row % 9973) / 7 * 2)
    return book


def main() -> None:
    try:
        if sys.argv[1].endswith("/"):
            put_all(Path(sys.argv[1]), {f"{n}.toml": b"new " * 4000 for n in range(4)})
        else:
            write_workbooks()
    except BadInput as error:
        print(error, file=sys.stderr)
        sys.exit(2)


def write_workbooks() -> None:
    out, times = Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1
    book = small_book(out.stem if times == 1 else f"by {sys.argv[3]}")
    assert fill(book) == []
    look = load_look()
    print("ready", flush=True)
    for _ in range(times):
        write_book(book, out, look)


if __name__ == "__main__":
    main()
