"""Settings a workbook was built with, and the built-in ones."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict

from workbookgen.roundtrip.record import Record
from workbookgen.session import default_settings
from workbookgen.workbook.record_fields import SETTING

Values = Mapping[str, str | float]


def default_values() -> dict[str, str | float]:
    """The built-in settings by name."""
    return asdict(default_settings())


def built_settings(record: Record, defaults: Values) -> dict[str, str | float]:
    """Settings of the build by name; a setting that the record lacks has its built-in value."""
    found = dict(defaults)
    for name in defaults:
        told = record.facts.get(SETTING + name)
        if told is not None:
            found[name] = json.loads(told)
    return found
