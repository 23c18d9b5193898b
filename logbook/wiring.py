"""How the parts fit together: the only place that knows the store and the screens at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from logbook.paths import default_book, sample_file

if TYPE_CHECKING:
    from logbook.store.database import Book


def open_book(path: Path, *, create: bool = False, anew: bool = False) -> Book:
    """The book at a path, open for reading and writing; `anew` as in `Book.open`.

    Raises:
        NoBook: there is none, and none is to be made.
        FileTrouble: it cannot be used.
    """
    from logbook.store.database import Book

    return Book.open(path, create=create, anew=anew)


def sample_copy() -> Path:
    """A scratch copy of the sample that may be written to and forgotten."""
    import shutil
    import tempfile

    folder = Path(tempfile.mkdtemp(prefix="logbook-sample-"))
    target = folder / "sample.logbook"
    shutil.copyfile(sample_file(), target)
    target.chmod(0o600)
    return target


def open_screens(path: Path | None, *, sample: bool = False) -> int:
    """Opens the screens on a book, which is made where it is missing. Returns the exit status."""
    from logbook.ui.first_paint import hurry

    hurry()
    from logbook.ui.app import run_app

    chosen = sample_copy() if sample else path or default_book()
    return run_app(chosen, sample=None if sample else sample_copy)
