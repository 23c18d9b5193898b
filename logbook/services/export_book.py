"""The whole book as a data package: every record with its history, struck ones included."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, BinaryIO, Final

from logbook.exchange.cells_out import row_writer
from logbook.exchange.descriptor import descriptor
from logbook.exchange.layout import LAYOUTS, PART_FILES, FileLayout
from logbook.exchange.package_out import package_to, refuse_taken
from logbook.reports.guard import guarded
from logbook.services.kinds import KINDS
from logbook.store.database import Book
from logbook.store.streams import snapshot, table_rows, version_rows

Progress = Callable[[int, str], None]
"""Called now and then with how many rows of a file are done, and the name of the file."""

_TELL_EVERY: Final = 1000


def export_package(
    book: Book, to: Path | BinaryIO, *, force: bool = False, progress: Progress | None = None
) -> None:
    """Writes everything in the book as CSV files with a `datapackage.json`, in one order, without time or place.

    Args:
        book: the open book.
        to: a folder, a file ending in `.zip`, or a binary stream for the bytes of the zip file.
        force: replace what is there.
        progress: told how far it is; an exception it raises ends the work, and nothing half-written stays.

    Raises:
        UsageError: something is there already.
        FileTrouble: it cannot be written.
    """
    if isinstance(to, Path):
        refuse_taken(to, force=force)
    with snapshot(book) as copy, package_to(to, force=force) as package:
        package.text("datapackage.json", descriptor())
        for layout in LAYOUTS.values():
            cells = row_writer(layout, guarded)(_told(_rows(copy, layout), layout.name, progress))
            package.table(f"{layout.name}.csv", layout.columns, cells)


def _told(rows: Iterable[Sequence[Any]], name: str, progress: Progress | None) -> Iterator[Sequence[Any]]:
    """The rows, with a word now and then of how many there were."""
    for done, row in enumerate(rows):
        if progress is not None and done % _TELL_EVERY == 0:
            progress(done, name)
        yield row


def _rows(book: Book, layout: FileLayout) -> Iterable[Sequence[Any]]:
    if layout.kind == "version":
        return version_rows(book)
    table = layout.kind if layout.kind in PART_FILES else KINDS[layout.kind].table
    return table_rows(book, table, layout.columns)
