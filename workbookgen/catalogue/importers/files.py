"""Safe reading of what a user gives: a folder, a zip file or one CSV file; nothing is unpacked to disk."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Any

from workbookgen.catalogue.importers.rules import Limits
from workbookgen.model.errors import BadInput

BYTE_ORDER_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16"}
ENCRYPTED = 0x1
#: Below this many bytes a high ratio is harmless (an empty or tiny file).
SMALL = 1 << 20
BUFFER = 1 << 20


@dataclass(frozen=True)
class FileSet(AbstractContextManager["FileSet"]):
    """Files by lower-case base name, wherever they lie in the folder or archive."""

    label: str
    members: dict[str, Path | zipfile.ZipInfo]
    archive: zipfile.ZipFile | None = None

    def __exit__(self, *_: object) -> None:
        if self.archive is not None:
            self.archive.close()

    def __contains__(self, name: str) -> bool:
        return name.lower() in self.members

    def open(self, name: str) -> IO[bytes]:
        """Open one file for reading; raises `BadInput` when it is not there."""
        member = self.members.get(name.lower())
        if member is None:
            raise BadInput(self.label, f"lacks the file {name}; give the complete download")
        if isinstance(member, Path):
            return member.open("rb")
        assert self.archive is not None
        try:
            return self.archive.open(member)
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError) as error:
            raise BadInput(
                f"{self.label}, {name}", f"cannot be unpacked ({error}); download it again"
            ) from error

    def lines(self, name: str, encoding: str = "utf-8-sig") -> Iterator[str]:
        """Lines of a text file; raises `BadInput` for another encoding or a damaged archive."""
        with self.open(name) as stream:
            try:
                start = stream.read(2)
                if start in BYTE_ORDER_MARKS:
                    raise BadInput(name, "is UTF-16 text; save it as CSV UTF-8")
                joined = io.BufferedReader(_Joined(start, stream), BUFFER)
                yield from io.TextIOWrapper(joined, encoding=encoding, newline="")
            except UnicodeDecodeError as error:
                raise BadInput(name, f"is not UTF-8 text ({error.reason}); save it as CSV UTF-8") from error
            except (zipfile.BadZipFile, EOFError, OSError) as error:
                raise BadInput(name, f"is damaged ({error}); download it again") from error

    def rows(self, name: str, columns: Sequence[str]) -> Iterator[tuple[int, list[str]]]:
        """Numbered rows of a CSV file, cells in the order of ``columns``; others are left out.

        Raises `BadInput` when a column is missing or the text is no CSV. Row 1 is the header.
        """
        reader = csv.reader(self.lines(name))
        try:
            header = [cell.strip().lower() for cell in next(reader, [])]
            missing = [column for column in columns if column.lower() not in header]
            if missing:
                raise BadInput(name, _missing(header, missing))
            where = [header.index(column.lower()) for column in columns]
            for number, cells in enumerate(reader, start=2):
                if len(cells) == len(header):
                    yield number, [cells[i] for i in where]
                elif cells:
                    yield number, []
        except csv.Error as error:
            raise BadInput(f"{name}, line {reader.line_num}", f"is no proper CSV ({error})") from error


class _Joined(io.RawIOBase):
    """A stream with its first bytes put back."""

    def __init__(self, start: bytes, stream: IO[bytes]) -> None:
        self._start, self._stream = start, stream

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        """Fill ``buffer`` as io.RawIOBase asks."""
        chunk = self._start or self._stream.read(len(buffer))
        self._start = b""
        buffer[: len(chunk)] = chunk
        return len(chunk)


def open_files(path: Path, limits: Limits) -> FileSet:
    """Open a folder, a zip file or a single CSV file.

    Raises `BadInput` when there is no such path, it is neither, it is encrypted, holds a name twice, or
    would unpack to more than ``limits``.
    """
    if path.is_dir():
        return _folder(path)
    if not path.is_file():
        raise BadInput(str(path), "there is no such file or folder")
    if path.suffix.lower() == ".csv":
        return FileSet(path.name, {path.name.lower(): path})
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError) as error:
        what = f"is neither a folder, a CSV file nor a zip file ({error}); give the download as it came"
        raise BadInput(path.name, what) from error
    try:
        return FileSet(path.name, _members(path.name, archive, limits), archive)
    except BadInput:
        archive.close()
        raise


def _folder(path: Path) -> FileSet:
    """Files of the folder; of its only folder where it holds nothing else, as downloads often unpack."""
    entries = sorted(entry for entry in path.iterdir() if not entry.name.startswith("."))
    if len(entries) == 1 and entries[0].is_dir():
        entries = sorted(entries[0].iterdir())
    members: dict[str, Path | zipfile.ZipInfo] = {}
    for file in entries:
        if file.is_file():
            if file.name.lower() in members:
                raise BadInput(path.name, f"holds {file.name} twice; give one download at a time")
            members[file.name.lower()] = file
    return FileSet(path.name, members)


def _members(label: str, archive: zipfile.ZipFile, limits: Limits) -> dict[str, Path | zipfile.ZipInfo]:
    infos = [info for info in archive.infolist() if not info.is_dir()]
    if len(infos) > limits.most_members:
        raise BadInput(label, f"holds {len(infos):,} files; at most {limits.most_members} are read")
    size = sum(info.file_size for info in infos)
    if size > limits.most_bytes:
        what = (
            f"unpacks to {size / 1e6:,.0f} MB; at most {limits.most_bytes / 1e6:,.0f} MB are read, so give "
        )
        raise BadInput(label, what + "the download of one data type")
    members: dict[str, Path | zipfile.ZipInfo] = {}
    for info in infos:
        name = PurePosixPath(info.filename).name.lower()
        if info.flag_bits & ENCRYPTED:
            raise BadInput(label, f"{name} is encrypted; unpack it first and give the folder")
        if info.file_size > SMALL and info.file_size > limits.most_ratio * max(1, info.compress_size):
            raise BadInput(label, f"{name} unpacks to more than {limits.most_ratio} times its size; not read")
        if name in members:
            raise BadInput(label, f"holds {name} twice; give one download at a time")
        members[name] = info
    return members


def _missing(header: Sequence[str], missing: Sequence[str]) -> str:
    if len(header) == 1 and ";" in header[0]:
        return "is parted by semicolons; save it with commas"
    return f"lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}"
