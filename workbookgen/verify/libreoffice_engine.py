"""Engine: LibreOffice Calc, run without a window in a private profile that really recalculates.

LibreOffice keeps the stored results of a file written by another program unless its setting
"Recalculation on File Load: Excel 2007 and newer" (OOXMLRecalcMode) is 0, "always".
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import subprocess
from pathlib import Path

from workbookgen.model.errors import BadInput
from workbookgen.verify.read import Book, read_book
from workbookgen.verify.rules import load_rules
from workbookgen.verify.values import EngineFailed, EngineMissing, NotEvaluated, Results
from workbookgen.verify.withheld import unless_stale, withheld_copy

NAME = "libreoffice"

_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
{items}
</oor:items>
"""
_SETTING = (
    '<item oor:path="/{path}"><prop oor:name="{name}" oor:op="fuse"><value>{value}</value></prop></item>'
)
_LOCALE = re.compile(r"[a-z]{2,3}-[A-Z]{2}")


def program() -> str:
    """Path of the LibreOffice program; ``EngineMissing`` when none is on the search path."""
    for name in load_rules("verify_rules")["libreoffice"]["programs"]:
        found = shutil.which(str(name))
        if found:
            return found
    raise EngineMissing(
        NAME, "'soffice' is not on the search path; install LibreOffice Calc or name another engine"
    )


def version() -> str:
    """Version as LibreOffice tells it; ``EngineMissing`` when it is not installed, ``EngineFailed`` when it hangs."""
    seconds = float(load_rules("verify_rules")["libreoffice"]["version_seconds"])
    words = _run([program(), "--version"], dict(os.environ), seconds).split()
    return words[1] if len(words) > 1 else "unknown"


def check_locale(locale: str | None) -> str:
    """The locale to run under, such as ``de-DE``; ``BadInput`` when it is not written like that."""
    chosen = locale or str(load_rules("verify_rules")["libreoffice"]["default_locale"])
    if not _LOCALE.fullmatch(chosen):
        raise BadInput(f"locale '{chosen}'", "write a locale as language and country, for example de-DE")
    return chosen


def recalculate(path: Path, book: Book | None = None, locale: str | None = None) -> Results:
    """Values of all formulas of the workbook, computed by LibreOffice under a locale (default en-US)."""
    chosen, soffice = check_locale(locale), program()
    book = book or read_book(path)
    with withheld_copy(path) as copy:
        saved = read_book(convert(soffice, copy, chosen))
    results: Results = {}
    for sheet in book.sheets.values():
        after = saved.sheets.get(sheet.name)
        for place in sheet.formulas:
            if after is None or place not in after.formulas:
                results[sheet.name, *place] = NotEvaluated("LibreOffice did not keep this formula")
            else:
                results[sheet.name, *place] = unless_stale(after.values.get(place))
    return results


def _write_profile(folder: Path, locale: str) -> None:
    calc = "org.openoffice.Office.Calc/Formula/Load"
    settings = [
        (calc, "OOXMLRecalcMode", "0"),
        (calc, "ODFRecalcMode", "0"),
        ("org.openoffice.Setup/L10N", "ooSetupSystemLocale", locale),
        ("org.openoffice.Office.Common/Misc", "UseOpenCL", "false"),
    ]
    items = "\n".join(_SETTING.format(path=path, name=name, value=value) for path, name, value in settings)
    user = folder / "user"
    user.mkdir(parents=True)
    (user / "registrymodifications.xcu").write_text(_SETTINGS.format(items=items), encoding="utf-8")


def convert(soffice: str, source: Path, locale: str, to: str = "xlsx") -> Path:
    """Recalculated copy of ``source`` in the format ``to`` (a file ending), saved in ``out`` beside it.

    ``source`` must stand in a private folder: the profile is written there too. Raises ``EngineFailed`` when
    LibreOffice saves nothing or takes longer than data/verify_rules.toml allows.
    """
    profile, out = source.parent / "profile", source.parent / "out"
    _write_profile(profile, locale)
    command = [
        soffice, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore", "--nolockcheck",
        "--nodefault", "--convert-to", to, "--outdir", str(out), str(source),
    ]  # fmt: skip
    environment = dict(os.environ, LC_ALL="C.UTF-8", HOME=str(profile))
    said = _run(command, environment, float(load_rules("verify_rules")["libreoffice"]["timeout_seconds"]))
    target = out / f"{source.stem}.{to}"
    if not target.is_file():
        reason = said.strip()[-200:] or "it gave no reason"
        raise EngineFailed(NAME, f"LibreOffice saved no {to} copy: {reason}")
    return target


def _run(command: list[str], environment: dict[str, str], seconds: float) -> str:
    """Run a program in a process group of its own; past the time limit the whole group is ended."""
    process = subprocess.Popen(
        command,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        start_new_session=True,
    )
    try:
        said, _ = process.communicate(timeout=seconds)
    except subprocess.TimeoutExpired as error:
        _end(process)
        raise EngineFailed(NAME, f"LibreOffice did not finish within {seconds:g} seconds") from error
    except BaseException:
        _end(process)
        raise
    return said


def _end(process: subprocess.Popen[str]) -> None:
    """End a program and the ones it started (it starts helpers that outlive it)."""
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    process.communicate()
