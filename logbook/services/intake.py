"""Taking in one record after the other inside an import: as `add` does, with less asking around."""

from __future__ import annotations

from logbook.domain.record import Record
from logbook.services.add import make_id, put
from logbook.services.kinds import Kind
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.loading import Loader, Taken, attempt
from logbook.store.records import Row


class Intake:
    """Writes records inside an open transaction; what a refused one wrote is undone, the rest stands."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._loader = Loader(book)

    def put(self, kind: Kind, record: Record, stamp: Row) -> str:
        """Writes one record. Returns `new` or `same`.

        A new record is simply written. Only where the book says that its place is taken is it looked at whether
        it is the same record, as `add` would have done first.

        Raises:
            DataRefused: as `add.put`.
        """
        table = TABLES[kind.table]
        filled = dict(stamp)
        if getattr(record, table.file_id) is None:
            filled["id"] = make_id(kind, record, record.columns())
        try:
            self._loader.insert(kind.table, record, filled)
        except Taken:
            with attempt(self._book):
                return put(self._book, kind, record, stamp)[1]
        return "new"
