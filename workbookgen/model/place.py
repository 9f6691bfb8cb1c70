"""Files that are whole or not there: written beside their place, then moved into it.

A program that is stopped, a full disk or a closed folder never costs the old file: it stays until the new one is
complete. What a stopped run leaves behind is a hidden file named ``.workbookgen-...`` in the same folder. It is
harmless; the next run that writes there removes it once it is a day old. Younger ones stay, since a second run may
just be writing them.
"""

from __future__ import annotations

import os
import shutil
import stat
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from workbookgen.model.errors import BadInput

PREFIX = ".workbookgen-"
#: A left-over is removed at this age: no run takes that long.
STALE_SECONDS = 24 * 60 * 60
NEW_FILE_MODE = 0o644
#: Names Windows keeps for devices, whatever their suffix (Microsoft, Naming Files, Paths, and Namespaces).
DEVICES = frozenset({"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))})


@contextmanager
def written_beside(path: Path, suffix: str, choose: str) -> Iterator[Path]:
    """Give an empty file in the folder of ``path``; when the block ends well it takes the place of ``path``.

    A link is followed, the access rights of an old file stay. ``choose`` names what to choose instead ("another
    --out") in the sentences of BadInput, which is raised for a missing or closed folder, a full disk, and a place
    that a folder or device takes or another program holds.
    """
    target, beside = _begin(path, suffix, choose)
    try:
        yield beside
        _settle(beside)
        os.chmod(beside, target.stat().st_mode & 0o777 if target.exists() else NEW_FILE_MODE)
        os.replace(beside, target)
    except OSError as error:
        raise _not_written(path, error, choose) from None
    finally:
        beside.unlink(missing_ok=True)


def check_place(path: Path, choose: str = "another --out") -> None:
    """Raise the BadInput of `written_beside` before long work whose result could not be kept."""
    _, beside = _begin(path, ".part", choose)
    beside.unlink(missing_ok=True)


def _begin(path: Path, suffix: str, choose: str) -> tuple[Path, Path]:
    """The file that is meant and an empty one beside it."""
    try:
        target = Path(os.path.realpath(path)) if path.is_symlink() else path
        with suppress(FileNotFoundError):
            if stat.S_ISLNK(target.lstat().st_mode):  # a name no system takes fails here
                raise BadInput(str(path), f"cannot be written, the link leads back to itself; choose {choose}")
        if not target.parent.is_dir():
            raise BadInput(str(path), f"the folder {target.parent} does not exist; create it or choose {choose}")
        if target.exists() and not target.is_file():
            raise BadInput(str(path), f"cannot be written, it is a folder or a device; choose {choose}")
        sweep(target.parent)
        handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=suffix, dir=target.parent)
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL character
        raise BadInput(str(path), f"cannot be written ({_cause(error)}); choose {choose}") from None
    os.close(handle)
    return target, Path(name)


def put_bytes(path: Path, content: bytes, choose: str = "another --out") -> None:
    """Write one file whole or not at all; raises BadInput as `written_beside` does."""
    with written_beside(path, ".part", choose) as beside:
        beside.write_bytes(content)


def put_all(folder: Path, files: Mapping[str, bytes], choose: str = "another --to") -> list[Path]:
    """Write files by name into ``folder``, made if need be: nothing takes its place before all are complete.

    Returns their paths. Raises BadInput as `written_beside` does.
    """
    made = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        sweep(folder)
        for name in files:
            if (folder / name).exists() and not (folder / name).is_file():
                raise BadInput(str(folder / name), f"cannot be written, it is a folder or a device; choose {choose}")
        with tempfile.TemporaryDirectory(prefix=PREFIX, dir=folder) as growing:
            for name, content in files.items():
                (Path(growing) / name).write_bytes(content)
                _settle(Path(growing) / name)
            for name in files:
                os.replace(Path(growing) / name, folder / name)
    except OSError as error:
        if made:
            with suppress(OSError):  # only when nothing got into it
                folder.rmdir()
        raise _not_written(folder, error, choose) from None
    return [folder / name for name in files]


def _settle(path: Path) -> None:
    """Have the content on the disk before it replaces anything: some systems tell a full disk no sooner."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sweep(folder: Path) -> None:
    """Remove what runs that were stopped left here more than a day ago."""
    oldest = time.time() - STALE_SECONDS
    for left in folder.glob(f"{PREFIX}*"):
        with suppress(OSError):  # another run may be quicker
            if left.lstat().st_mtime >= oldest:
                continue
            if left.is_dir() and not left.is_symlink():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink()


def _not_written(path: Path, error: OSError, choose: str) -> BadInput:
    return BadInput(str(path), f"cannot be written ({_cause(error)}); close it if it is open elsewhere, free some space "
                               f"or choose {choose}")


def _cause(error: OSError | ValueError) -> str:
    return getattr(error, "strerror", None) or str(error) or error.__class__.__name__
