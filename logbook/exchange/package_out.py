"""Writing a package as a folder, a zip file or a zip stream: beside the target first, then renamed into place."""

from __future__ import annotations

import csv
import os
import shutil
import zipfile
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from io import TextIOWrapper
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import IO, Any, BinaryIO, Final, Protocol

from logbook.errors import FileTrouble, UsageError
from logbook.paths import for_owner, refuse_unfit

_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip file can hold: a package must not tell when it was made."""


class PackageWriter(Protocol):
    """Takes the files of a package one after the other."""

    def text(self, name: str, content: str) -> None:
        """Writes one file whole."""

    def table(self, name: str, header: Iterable[str], rows: Iterable[list[str]]) -> None:
        """Writes one CSV file row by row (RFC 4180: commas, double quotes, CR LF)."""


class _Writer(ABC):
    @abstractmethod
    def _file(self, name: str) -> AbstractContextManager[IO[bytes]]:
        """Opens one file of the package for writing."""

    def text(self, name: str, content: str) -> None:
        with self._file(name) as file:
            file.write(content.encode())

    def table(self, name: str, header: Iterable[str], rows: Iterable[list[str]]) -> None:
        with self._file(name) as raw, TextIOWrapper(raw, encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\r\n")
            writer.writerow(header)
            writer.writerows(rows)


class _FolderWriter(_Writer):
    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @contextmanager
    def _file(self, name: str) -> Iterator[IO[bytes]]:
        with open(self._folder / name, "xb", opener=for_owner) as file:
            yield file


class _ZipWriter(_Writer):
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    @contextmanager
    def _file(self, name: str) -> Iterator[IO[bytes]]:
        info = zipfile.ZipInfo(name, date_time=_EPOCH)
        info.compress_type = zipfile.ZIP_DEFLATED
        info.create_system = 3  # the same bytes whatever system writes them
        info.external_attr = 0o100600 << 16
        with self._archive.open(info, "w", force_zip64=True) as file:
            yield file


@contextmanager
def package_to(to: Path | BinaryIO, *, force: bool = False) -> Iterator[PackageWriter]:
    """Opens a package for writing; it stands at its place only once everything inside was written.

    Args:
        to: a folder, a file whose name ends in `.zip`, or a stream, which gets the bytes of the zip file.
        force: replace files of the same names.

    Raises:
        UsageError: something is there already.
        FileTrouble: it cannot be written; nothing half-written stays.
    """
    if not isinstance(to, Path):
        with _zip_stream(to) as writer:
            yield writer
        return
    refuse_taken(to, force=force)
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(prefix=f".{to.name}.part-", dir=to.parent) as draft:
            if to.suffix.lower() == ".zip":
                path = Path(draft) / to.name
                with open(path, "xb", opener=for_owner) as raw:
                    with zipfile.ZipFile(raw, "w") as archive:
                        yield _ZipWriter(archive)
                    _sync(raw)
                path.replace(to)
            else:
                yield _FolderWriter(Path(draft))
                to.mkdir(mode=0o700, exist_ok=True)
                for path in sorted(Path(draft).iterdir()):
                    path.replace(to / path.name)
    except OSError as error:
        raise FileTrouble(
            f"{to} cannot be written: {error.strerror or error}.",
            next_step="Check the folder; nothing was changed.",
        ) from error


def refuse_taken(to: Path, *, force: bool) -> None:
    """Makes sure that nothing is overwritten unless that is wanted; an empty folder may be filled.

    Raises:
        UsageError: there is something already, or it is a book or a device.
    """
    refuse_unfit(to)
    if force or not to.exists() or (to.is_dir() and not any(to.iterdir())):
        return
    raise UsageError(f"{to} is there already.", next_step="Name another place, or replace it with --force.")


@contextmanager
def _zip_stream(stream: BinaryIO) -> Iterator[PackageWriter]:
    """A pipe cannot be gone back in, so the zip file is made aside; its bytes are those of the file."""
    with TemporaryFile() as aside:
        with zipfile.ZipFile(aside, "w") as archive:
            yield _ZipWriter(archive)
        aside.seek(0)
        shutil.copyfileobj(aside, stream)
        stream.flush()


def _sync(file: Any) -> None:
    file.flush()
    os.fsync(file.fileno())
