"""Where a report goes: a file that stands there only when it is whole, or a stream."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, BinaryIO

from logbook.errors import FileTrouble, UsageError
from logbook.paths import refuse_unfit


@contextmanager
def written_to(to: Path | str | BinaryIO, *, force: bool = False) -> Iterator[IO[bytes]]:
    """A binary stream for a report.

    A file is written beside its place and renamed, so that a half-written one never stands there, and an earlier one is
    whole until the new one is. It is readable by its owner only, as the book is.

    Args:
        to: a path, `-` for standard output, or an open binary stream, which is left open.
        force: replace a file that is there.

    Raises:
        UsageError: there is a file already, or it is a folder, a book or a device.
        FileTrouble: it cannot be written.
    """
    if isinstance(to, str) and to == "-":
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
    elif isinstance(to, (str, Path)):
        with _file(Path(to), force=force) as stream:
            yield stream
    else:
        yield to
        to.flush()


@contextmanager
def text_to(to: Path | str | BinaryIO, *, force: bool = False) -> Iterator[TextIOWrapper]:
    """The same as UTF-8 text, line ends as written."""
    with written_to(to, force=force) as binary:
        text = TextIOWrapper(binary, encoding="utf-8", newline="", write_through=False)
        try:
            yield text
            text.flush()
        finally:
            text.detach()


@contextmanager
def _file(path: Path, *, force: bool) -> Iterator[IO[bytes]]:
    if path.is_dir():
        raise UsageError(f"{path} is a folder.", next_step="Name a file.")
    refuse_unfit(path)
    if path.exists() and not force:
        raise UsageError(
            f"{path} is there already.", next_step="Name another file, or replace it with --force."
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        draft = NamedTemporaryFile(prefix=f".{path.name}.", suffix=".part", dir=path.parent, delete=False)  # noqa: SIM115 - renamed, not closed away
    except OSError as error:
        raise _trouble(path, error) from error
    try:
        with draft:
            yield draft
            draft.flush()
            os.fsync(draft.fileno())
        Path(draft.name).replace(path)
    except OSError as error:
        raise _trouble(path, error) from error
    finally:
        Path(draft.name).unlink(missing_ok=True)


def _trouble(path: Path, error: OSError) -> FileTrouble:
    return FileTrouble(
        f"{path} cannot be written: {error.strerror or error}.",
        next_step="Check the folder and its permissions.",
    )
