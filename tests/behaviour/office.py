"""A workbook in LibreOffice as a colleague uses it: type, clear, cut, copy, read."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_cell_to_rowcol, xl_rowcol_to_cell

from workbookgen.verify.libreoffice_engine import _write_profile, program


def moved(source: str, target: str) -> str:
    """Where a range lies after it was moved to begin at ``target``."""
    (top, left), (bottom, right) = (xl_cell_to_rowcol(c) for c in (source.split(":") * 2)[:2])
    row, col = xl_cell_to_rowcol(target)
    return f"{target}:{xl_rowcol_to_cell(row + bottom - top, col + right - left)}"


Typed = float | int | str | bool | list[str] | None
SYSTEM_PYTHON = "/usr/bin/python3"


class Office:
    """One headless LibreOffice in a private profile, spoken to through the driver script."""

    def __init__(self, folder: Path, locale: str = "en-US") -> None:
        profile = folder / "profile"
        _write_profile(profile, locale)
        python = SYSTEM_PYTHON if Path(SYSTEM_PYTHON).exists() else shutil.which("python3") or "python3"
        script = Path(__file__).with_name("office_driver.py")
        self._process = subprocess.Popen([python, str(script), program(), str(profile)], stdin=subprocess.PIPE,
                                         stdout=subprocess.PIPE, text=True)  # fmt: skip
        self._touched: set[tuple[str, str]] = set()
        self._cuts: list[tuple[str, str, str]] = []
        self._answer()

    def restore(self, original: Callable[[str, str], Typed]) -> None:
        """Put back what was cut and typed; ``original`` gives the first content of a cell."""
        for sheet, source, target in reversed(self._cuts):
            self._do("shift", sheet, moved(source, target), source.split(":")[0], False)
        self._cuts.clear()
        self._do("put", [[sheet, cell, original(sheet, cell)] for sheet, cell in sorted(self._touched)])
        self._touched.clear()

    def _answer(self) -> Any:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the driver ended: Debian's python3-uno and libreoffice-calc are needed"
        answer = json.loads(line)
        assert "failed" not in answer, answer["failed"]
        return answer["ok"]

    def _do(self, do: str, *parts: Any) -> Any:
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps({"do": do, "with": parts}) + "\n")
        self._process.stdin.flush()
        return self._answer()

    def open(self, path: Path) -> list[str]:
        names: list[str] = self._do("open", str(path))
        return names

    def put(self, *cells: tuple[str, str, Typed]) -> None:
        """Type into cells: None empties one, a list of one text is a formula, anything else is typed as it is."""
        self._touched.update((sheet, cell) for sheet, cell, _ in cells)
        self._do("put", [list(c) for c in cells])

    def get(self, sheet: str, *cells: str) -> list[Any]:
        values: list[Any] = self._do("get", [[sheet, c] for c in cells])
        return values

    def one(self, sheet: str, cell: str) -> Any:
        return self.get(sheet, cell)[0]

    def errors(self, *but: str) -> dict[str, list[str]]:
        found: dict[str, list[str]] = self._do("errors", list(but))
        return found

    def cut(self, sheet: str, source: str, target: str) -> None:
        """Cut ``source`` and paste it at ``target``; undone by ``restore``."""
        self._cuts.append((sheet, source, target))
        self._do("shift", sheet, source, target, False)

    def copy(self, sheet: str, source: str, target: str) -> None:
        self._do("shift", sheet, source, target, True)

    def copy_sheet(self, name: str, new: str) -> None:
        self._do("copy_sheet", name, new)

    def remove_sheet(self, name: str) -> None:
        self._touched = {(sheet, cell) for sheet, cell in self._touched if sheet != name}
        self._do("remove_sheet", name)

    def is_protected(self, name: str) -> bool:
        return bool(self._do("is_protected", name))

    def locked(self, sheet: str, cell: str) -> bool:
        return bool(self._do("locked", sheet, cell))

    def save(self, path: Path) -> Path:
        self._do("save", str(path))
        return path

    def close(self) -> None:
        self._do("close")

    def forget(self) -> None:
        """Close the document without putting anything back."""
        self._cuts.clear()
        self._touched.clear()
        self.close()

    def stop(self) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps({"do": "stop"}) + "\n")
        self._process.stdin.flush()
        self._process.wait(30)
