"""Drives LibreOffice Calc over its own programming interface; run with the system's Python, which has ``uno``.

Reads one JSON command a line from standard input and answers with one JSON line:
``{"ok": result}`` or ``{"failed": reason}``. Imports nothing of the package, since the system's Python lacks it.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue

ERRORS = 4  # com.sun.star.sheet.FormulaResult.ERROR
FORMULAS = 16  # com.sun.star.sheet.CellFlags.FORMULA
PATIENCE = 60.0


def properties(**values):
    """UNO property values."""
    found = []
    for name, value in values.items():
        one = PropertyValue()
        one.Name, one.Value = name, value
        found.append(one)
    return tuple(found)


class Driver:
    """One office process with one document."""

    def __init__(self, soffice, profile):
        pipe = f"wbk{os.getpid()}"
        self.process = subprocess.Popen(
            [soffice, "-env:UserInstallation=" + Path(profile).as_uri(), "--headless", "--norestore", "--nolockcheck", "--nodefault",
             f"--accept=pipe,name={pipe};urp;"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
            env=dict(os.environ, LC_ALL="C.UTF-8", HOME=str(profile)))
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        end = time.time() + PATIENCE
        while True:
            try:
                context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                if time.time() > end or self.process.poll() is not None:
                    raise
                time.sleep(0.2)
        self.desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        self.document = None

    def open(self, path):
        """Load a workbook and recalculate all of it."""
        self.document = self.desktop.loadComponentFromURL(Path(path).as_uri(), "_blank", 0, properties(Hidden=True))
        self.document.calculateAll()
        return [s.Name for s in self.document.Sheets]

    def sheet(self, name):
        return self.document.Sheets.getByName(name)

    def cell(self, sheet, cell):
        return self.sheet(sheet).getCellRangeByName(cell)

    def put(self, cells):
        """[[sheet, cell, value]]: None clears, "=..." in a one-item list is a formula, anything else is typed as it is."""
        self.document.enableAutomaticCalculation(False)
        for sheet, name, value in cells:
            cell = self.cell(sheet, name)
            if value is None:
                cell.clearContents(1 | 2 | 4 | 16)
            elif isinstance(value, list):
                cell.setFormula(value[0])
            elif isinstance(value, bool):
                cell.setFormula("=TRUE()" if value else "=FALSE()")
            elif isinstance(value, (int, float)):
                cell.setValue(value)
            else:
                cell.setString(value)
        self.document.enableAutomaticCalculation(True)
        self.document.calculate()

    def get(self, cells):
        """[[sheet, cell]] -> values: numbers, texts, {"error": code}."""
        found = []
        for sheet, name in cells:
            cell = self.cell(sheet, name)
            if cell.getError():
                found.append({"error": cell.getError()})
            elif cell.Type.value == "FORMULA":
                number = cell.FormulaResultType2 == 1
                found.append(cell.getValue() if number else cell.getString())
            elif cell.Type.value == "VALUE":
                found.append(cell.getValue())
            else:
                found.append(cell.getString())
        return found

    def recalculate(self):
        self.document.calculate()

    def calculate_all(self):
        self.document.calculateAll()

    def errors(self, but=()):
        """Formula cells that show an error, as {sheet: [ranges]}; sheets with such typed inputs can be passed over."""
        found = {}
        for sheet in self.document.Sheets:
            ranges = sheet.queryFormulaCells(ERRORS)
            listed = [a for a in (r.AbsoluteName for r in ranges) if a not in but]
            if listed:
                found[sheet.Name] = listed
        return found

    def shift(self, sheet, source, target, copy):
        """Cut or copy a range to the cell ``target`` of the same sheet."""
        page = self.sheet(sheet)
        from_range = page.getCellRangeByName(source).getRangeAddress()
        to_cell = page.getCellRangeByName(target).getCellAddress()
        if copy:
            page.copyRange(to_cell, from_range)
        else:
            page.moveRange(to_cell, from_range)

    def copy_sheet(self, name, new):
        self.document.Sheets.copyByName(name, new, self.document.Sheets.Count)

    def remove_sheet(self, name):
        self.document.Sheets.removeByName(name)

    def is_protected(self, name):
        return self.sheet(name).isProtected()

    def locked(self, sheet, cell):
        return self.cell(sheet, cell).CellProtection.IsLocked

    def save(self, path):
        """Save a copy as an Excel workbook."""
        self.document.storeToURL(Path(path).as_uri(), properties(FilterName="Calc MS Excel 2007 XML"))

    def close(self):
        if self.document is not None:
            self.document.close(True)
            self.document = None

    def stop(self):
        """End the office and what it started."""
        with contextlib.suppress(Exception):  # a document that will not close ends with its program
            self.close()
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(10)


def main():
    driver = Driver(sys.argv[1], sys.argv[2])
    print(json.dumps({"ok": "ready"}), flush=True)
    try:
        for line in sys.stdin:
            command = json.loads(line)
            if command["do"] == "stop":
                break
            try:
                result = getattr(driver, command["do"])(*command.get("with", ()))
                print(json.dumps({"ok": result}), flush=True)
            except Exception as error:
                print(json.dumps({"failed": f"{type(error).__name__}: {error}"}), flush=True)
    finally:
        driver.stop()
    print(json.dumps({"ok": "stopped"}), flush=True)


if __name__ == "__main__":
    main()
