"""Stands in for a source package's build step, so that pip reads its name and version and runs nothing of it.

pip will not hand over a source package before its metadata are prepared, and the usual backend does that by
running the package's ``setup.py``. A copy of this file, put before the usual backend as
``setuptools/build_meta.py``, answers the same call (PEP 517, prepare_metadata_for_build_wheel) from the file
PKG-INFO alone. It imports nothing of this project, because pip runs it in a process of its own.
"""

from __future__ import annotations

import re
from email.parser import HeaderParser
from pathlib import Path
from typing import Any


class _Backend:
    """The calls that pip makes before it saves a source package."""

    def get_requires_for_build_wheel(self, config_settings: Any = None) -> list[str]:
        """Nothing is needed."""
        return []

    def prepare_metadata_for_build_wheel(self, metadata_directory: str, config_settings: Any = None) -> str:
        """Copy PKG-INFO, which the package's author wrote when it was packed.

        The folder bears the package's own name and version: older pip reads them there, not in METADATA.
        """
        info = Path("PKG-INFO")
        heads = HeaderParser().parsestr(info.read_text(encoding="utf-8"))
        name = re.sub(r"[-_.]+", "_", str(heads["Name"]))
        folder = Path(metadata_directory, f"{name}-{heads['Version']}.dist-info")
        folder.mkdir()
        (folder / "METADATA").write_bytes(info.read_bytes())
        return folder.name


__legacy__ = _Backend()
get_requires_for_build_wheel = __legacy__.get_requires_for_build_wheel
prepare_metadata_for_build_wheel = __legacy__.prepare_metadata_for_build_wheel
