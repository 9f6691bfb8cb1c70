"""Places that fail for real: a full disk, a folder nobody may write to. Where mounting is not allowed, the nearest."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
Run = Callable[..., "subprocess.CompletedProcess[str]"]


def environment(**more: str) -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(ROOT)} | more


@pytest.fixture
def run() -> Run:
    """Run ``python -m MODULE ARGUMENTS`` to its end; returns exit code and what was said."""

    def started(module: str, *arguments: object, **options: object) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", module, *map(str, arguments)]
        return subprocess.run(command, capture_output=True, text=True, timeout=300, check=False,
                              **{"env": environment(), "cwd": ROOT, **options})

    return started


def _mount(folder: Path, options: str) -> bool:
    """Whether a file system in memory could be mounted; root on Linux only."""
    if sys.platform != "linux" or os.geteuid() != 0 or shutil.which("mount") is None:
        return False
    folder.mkdir(exist_ok=True)
    return subprocess.run(["mount", "-t", "tmpfs", "-o", options, "none", str(folder)], capture_output=True, check=False).returncode == 0


@pytest.fixture
def full_disk(tmp_path: Path) -> Iterator[tuple[Path, dict[str, object]]]:
    """A folder with room for 40 kB and what a child process needs so that more fails: a small file system, else a limit
    on the size of files."""
    folder = tmp_path / "small disk"
    if _mount(folder, "size=40k"):
        yield folder, {}
        subprocess.run(["umount", str(folder)], check=True)
        return
    folder.mkdir(exist_ok=True)

    def limited() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))

    yield folder, {"preexec_fn": limited}


@pytest.fixture
def closed_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder that holds ``old.xlsx`` and ``old.toml`` and takes nothing new: mounted read-only, else without the right
    to write."""
    folder = tmp_path / "closed"
    mounted = _mount(folder, "size=1m")
    folder.mkdir(exist_ok=True)
    for name in ("old.xlsx", "old.toml"):
        (folder / name).write_bytes(b"old")
    if mounted:
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        yield folder
        subprocess.run(["umount", str(folder)], check=True)
        return
    folder.chmod(0o555)
    yield folder
    folder.chmod(0o755)
