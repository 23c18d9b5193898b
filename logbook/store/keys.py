"""Names and the rows they stand for: registrations, serial numbers, people.

These tables are small (hundreds of rows in a large school), so they are read whole and kept until somebody
writes, here or in another program; translating a hundred thousand flights then costs a look into a dictionary each.
"""

from __future__ import annotations

import sqlite3

from logbook.errors import DataRefused
from logbook.store.catalogue import KEYS

_WORDS = {"aircraft": "aircraft", "pack": "pack", "person": "person"}


class Keys:
    """Both directions between what people write and the numbers the tables hold."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._numbers: dict[str, dict[str, int]] = {}
        self._names: dict[str, dict[int, str]] = {}
        self._seen = 0
        self.columns: dict[str, list[str]] = {}
        """Columns of each table as SQL calls them, once asked for; no program changes them while a book is open."""

    def look(self) -> None:
        """Forgets what was read if another program has written since; one cheap question to SQLite."""
        seen = self._connection.execute("PRAGMA data_version").fetchone()[0]
        if seen != self._seen:
            self._seen = seen
            self.forget()

    def forget(self) -> None:
        """Reads the tables anew next time: somebody may have changed them."""
        self._numbers.clear()
        self._names.clear()

    def numbers(self, table: str) -> dict[str, int]:
        """Name to row number of one table."""
        if table not in self._numbers:
            rows = self._connection.execute(f"SELECT {KEYS[table]}, n FROM {table}").fetchall()
            self._numbers[table] = dict(rows)
        return self._numbers[table]

    def names(self, table: str) -> dict[int, str]:
        """Row number to name of one table."""
        if table not in self._names:
            self._names[table] = {n: name for name, n in self.numbers(table).items()}
        return self._names[table]

    def name(self, table: str, n: int) -> str:
        """The name of a row that a record refers to."""
        if n not in self.names(table):
            self.look()
        return self.names(table)[n]

    def number(self, table: str, name: str, field: str) -> int:
        """The row a name stands for.

        Raises:
            DataRefused: the book knows no such aircraft, pack or person.
        """
        if name not in self.numbers(table):
            self.look()
        try:
            return self.numbers(table)[name]
        except KeyError:
            word = _WORDS[table]
            raise DataRefused(
                f"The book knows no {word} '{name}'.",
                next_step=f"Add the {word} first, or correct the name.",
                field=field,
            ) from None
