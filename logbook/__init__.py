"""A pilot's logbook for battery-electric light aeroplanes.

For scripts and notebooks there is one door, `open_logbook`; it is described in docs/library.md.
"""

from __future__ import annotations

from os import PathLike
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from logbook.services.library import Logbook

__all__ = ["open_logbook"]
__version__ = "0.1.0"
"""Of the program; the package is built with it. To look up what is installed takes longer than the whole of `--version`."""


def open_logbook(
    path: str | PathLike[str] | None = None, *, by: str | None = None, create: bool = False
) -> Logbook:
    """Opens a book for a script or a notebook; nothing heavy is loaded before it is called.

    Args:
        path: the file; absent: the one that `logbook` opens (`LOGBOOK_FILE`, else the data folder).
        by: the name under which entries and corrections are kept; absent: the operator set in the book.
        create: make the book where there is none.

    Raises:
        logbook.errors.NoBook: there is none, and none is to be made.
        logbook.errors.FileTrouble: the file cannot be used; says why.
    """
    from pathlib import Path

    from logbook.paths import default_book
    from logbook.services.library import Logbook
    from logbook.store.database import Book

    book = Book.open(default_book() if path is None else Path(path), create=create)
    try:
        return Logbook(book, by)
    except BaseException:
        book.close()
        raise
